"""Where the reader's own colours are forced on the page, the map keeps its own and can be read."""

import pytest
from demo_plan import demo_plan

from zoning import colours
from zoning.show import page

# What is painted: of labels, of the ground under the map, and whether the chosen row can be told.
PAINTED = """() => {
  const style = (one) => getComputedStyle(one);
  return {
    labels: Array.from(document.querySelectorAll("#map-labels text"),
      (one) => [one.getAttribute("fill"), style(one).fill]),
    foot: style(document.querySelector("#map-foot text")).fill,
    weeks: Array.from(document.querySelectorAll(".weeks text"), (one) => style(one).fill),
    ground: style(document.getElementById("map")).backgroundColor,
    chosen: style(document.querySelector("#zone-table tr.chosen")).outlineStyle,
  };
}"""


def of(colour):
    return "rgb({}, {}, {})".format(*colours.rgb(colour))


@pytest.mark.parametrize("forced", ["active", "none"])
def test_the_map_keeps_its_colours(open_page, tmp_path, forced):
    page.write(demo_plan(), tmp_path / "page.html")
    shown = open_page(tmp_path / "page.html", forced_colors=forced, color_scheme="dark").page
    shown.click("#zone-table tr[data-zone='1']")
    found = shown.evaluate(PAINTED)
    assert len(found["labels"]) >= len(demo_plan().zones)
    assert all(painted == of(wanted) for wanted, painted in found["labels"])
    assert found["foot"] == of(colours.INK)
    assert set(found["weeks"]) <= {of(colours.INK), of(colours.SECONDARY), of(colours.WHITE)}
    if forced == "active":
        assert found["ground"] == of(colours.PAPER)
        assert found["chosen"] == "solid"
    else:  # a dark device: the page says that it is light
        ground = shown.evaluate("getComputedStyle(document.body).backgroundColor")
        assert ground == of(colours.PAPER)
