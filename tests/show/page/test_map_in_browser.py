"""The map in a real browser: true scale bars, labels that fit, reached by keyboard."""

import json
from dataclasses import replace

import pytest
from browser import DESK, PHONE
from demo_plan import demo_plan
from made_page_plans import page_plan

from zoning import units
from zoning.show import page
from zoning.show.figures import day
from zoning.show.page import map_svg
from zoning.show.page.map_labels import Room, placed
from zoning.show.page.themes import looks

SIZES = (DESK, PHONE, (1024, 600), (1900, 1000))
# Pixels to the metre, measured on the field itself; the length of each bar; and what it says.
BARS = """() => {
  const field = document.getElementById("map-boundary").getBBox();
  const seen = document.getElementById("map-boundary").getBoundingClientRect();
  return Array.from(document.querySelectorAll("[data-bar]")).map((bar) => ({
    px_m: seen.width / field.width,
    px: bar.querySelector("rect").getBoundingClientRect().width,
    says: bar.querySelector("text").textContent,
  }));
}"""
LABELS = """() => Array.from(document.querySelectorAll("#map-labels [data-of]")).map((one) => ({
  of: Number(one.dataset.of),
  lines: Array.from(one.children, (line) => line.textContent),
}))"""
# Corners and middles of a label's box that do not lie in its zone.
OUTSIDE = """() => {
  const out = [];
  for (const one of document.querySelectorAll("#map-labels [data-of]")) {
    const shape = document.getElementById(`map-z${one.dataset.of}`);
    const box = one.getBBox();
    for (const across of [0, 0.5, 1]) for (const down of [0, 0.5, 1]) {
      const point = document.getElementById("map").createSVGPoint();
      [point.x, point.y] = [box.x + across * box.width, box.y + down * box.height];
      if (!shape.isPointInFill(point)) out.push(one.textContent);
    }
  }
  return out;
}"""


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    """The pages of some plans as files."""
    folder = tmp_path_factory.mktemp("maps")
    plans = {"demo": demo_plan(), "fifty": page_plan(50)}
    for name, plan in plans.items():
        (folder / f"{name}.html").write_text(page.text(plan), encoding="utf-8")
    return {name: (plan, folder / f"{name}.html") for name, plan in plans.items()}


@pytest.mark.parametrize("scripts", [True, False])
@pytest.mark.parametrize("size", SIZES)
def test_scale_bars_are_true(open_page, written, size, scripts):
    """Within 0.1 % of what they say, with scripts or without; lengths in feet by the one that converts."""
    _, path = written["demo"]
    bars = open_page(path, size, scripts=scripts).page.evaluate(BARS)
    assert {bar["says"].split()[1] for bar in bars} == {"m", "ft"}
    for bar in bars:
        length, unit = bar["says"].replace(",", "").split()
        length_m = float(length) / (1.0 if unit == "m" else units.ft_from_m(1.0))
        assert bar["px"] / bar["px_m"] == pytest.approx(length_m, rel=0.001)


@pytest.mark.parametrize("size", [DESK, PHONE])
@pytest.mark.parametrize("name", ["demo", "fifty"])
def test_labels_say_what_python_would_say_at_that_size(open_page, written, name, size):
    """The twins agree: in every theme of a real plan, and in those of a made one that no draw moves."""
    plan, path = written[name]
    shown = open_page(path, size)
    data = json.loads(json.dumps(map_svg.map_data(plan)))
    for theme in data["themes"] if name == "demo" else ("date", "zone"):
        shown.page.check(f'#themes input[value="{theme}"]')
        shown.page.wait_for_timeout(120)
        px_m = 1 / shown.page.evaluate("document.getElementById('map').getScreenCTM().a")
        wanted = []
        for zone, look, there in zip(plan.zones, looks(plan, theme), data["zones"], strict=True):
            places = [([Room(*one[:2], tuple(one[2:])) for one in there["rooms"]], look.tries)]
            places += [([Room(*one[:2], tuple(one[2:]))], look.tries[-1:]) for one in there["again"]]
            for rooms, tries in places:
                label = placed(tries, rooms, 14 * px_m, zone.area_ac, px_m)
                if label is not None:
                    wanted.append((zone.zone, list(label.lines)))
        found = [(one["of"], one["lines"]) for one in shown.page.evaluate(LABELS)]
        assert sorted(found) == sorted(wanted)
        assert len(found) > 3
        assert shown.page.evaluate(OUTSIDE) == []
    shown.check_quiet()


def test_a_zone_is_chosen_by_pointer_and_keys(open_page, written):
    plan, path = written["demo"]
    shown = open_page(path, DESK)
    chosen = "() => document.querySelector('#zone-table tr.chosen')?.dataset.zone"
    shown.page.locator('#map a.zone[data-zone="4"]').focus()
    shown.page.keyboard.press("Enter")
    shown.page.wait_for_timeout(60)
    assert shown.page.evaluate(chosen) == "4"
    assert shown.page.evaluate("location.hash") == ""
    middle_y = {one["zone"]: one["rooms"][0][1] for one in map_svg.map_data(plan)["zones"]}
    way = [4]
    for key in ("ArrowDown", "ArrowUp", "ArrowUp"):
        shown.page.keyboard.press(key)
        shown.page.wait_for_timeout(60)
        way.append(int(shown.page.evaluate(chosen)))
    assert middle_y[way[0]] < middle_y[way[1]] > middle_y[way[2]] > middle_y[way[3]]
    shown.page.keyboard.press("Tab")
    assert "zone" in shown.page.evaluate("document.activeElement.className.baseVal")
    box = shown.page.locator("#map-z6").bounding_box()
    shown.page.mouse.click(box["x"] + 30, box["y"] + 40)
    shown.page.wait_for_timeout(60)
    assert shown.page.evaluate(chosen) == "6"
    shown.check_quiet()


def test_a_passing_mouse_shows_a_story_but_never_leaves_a_chosen_zone(open_page, written):
    _, path = written["demo"]
    shown = open_page(path, DESK)
    chosen = "() => document.querySelector('#zone-table tr.chosen')?.dataset.zone"
    shown.page.locator("#map-box").scroll_into_view_if_needed()

    def over(zone):
        box = shown.page.locator(f"#map-z{zone}").bounding_box()
        shown.page.mouse.move(box["x"] + 30, box["y"] + 40)
        shown.page.wait_for_timeout(60)
        return shown.page.evaluate(chosen)

    assert over(6) == "6"
    assert over(4) == "4"
    shown.page.locator('#zone-table tr[data-zone="3"]').click()
    assert over(6) == "3"
    shown.check_quiet()


def test_layers_are_switched(open_page, written):
    _, path = written["demo"]
    shown = open_page(path, DESK)
    assert not shown.page.locator("#map-layer-0").is_visible()
    shown.page.check('#layers input[value="layer-0"]')
    assert shown.page.locator("#map-layer-0").is_visible()
    assert shown.page.evaluate("getComputedStyle(document.querySelector('#map-zones')).fillOpacity") == "0"
    shown.page.uncheck('#layers input[value="points"]')
    assert not shown.page.locator("#map-points a").first.is_visible()
    shown.check_quiet()


def test_a_point_tells_what_was_seen_there(open_page, written):
    plan, path = written["demo"]
    shown = open_page(path, DESK)
    counted = next(at for at, one in enumerate(plan.scouting) if one.kind == "count")
    shown.page.locator(f'#map a.point[data-at="{counted}"]').click()
    told = shown.page.locator("#map-point").text_content()
    assert plan.scouting[counted].text in told
    assert told.startswith("Jul 7")
    shown.page.keyboard.press("Escape")
    shown.page.locator("#map-box h2").click()
    shown.check_quiet()


def test_points_that_were_read_lie_where_they_should(open_page, written):
    plan, path = written["demo"]
    shown = open_page(path, DESK)
    one = plan.scouting[0]
    given = {"lon": one.lon, "lat": one.lat, "kind": "count", "on": "2026-07-09", "text": "read here"}
    shown.page.evaluate(
        """(given) => {
            const data = written.read(document.getElementById("data").textContent);
            fieldMap.points([{ ...given, ...pointsRead.placed(given, data.scouting.place) }]);
        }""",
        given,
    )
    assert shown.page.locator("#map a.point").count() == len(plan.scouting) + 1
    places = [shown.page.locator("#map a.point").nth(at).bounding_box() for at in (0, len(plan.scouting))]
    assert abs(places[0]["x"] - places[1]["x"]) < 1
    assert abs(places[0]["y"] - places[1]["y"]) < 1
    shown.page.evaluate("() => fieldMap.points([])")
    assert shown.page.locator("#map a.point").count() == len(plan.scouting)


def test_what_the_reader_decides_is_seen(open_page, written):
    """The reader sprays a zone that the plan skips: its colour, star, dashed edge and the legend say so."""
    plan, path = written["demo"]
    shown = open_page(path, DESK)
    skipped = next(zone.zone for zone in plan.zones if zone.action == "skip")
    show = """(zone) => {
      const data = written.read(document.getElementById("data").textContent);
      const model = whatIf.read(data.what_if);
      const figures = { ...data.what_if.base };
      fieldMap.show(whatIf.judge(model, figures, { [zone]: "spray" }), { figures, theme: "decision", zone });
    }"""
    before = shown.page.locator(f'#map a.zone[data-zone="{skipped}"]').get_attribute("fill")
    shown.page.evaluate(show, skipped)
    link = shown.page.locator(f'#map a.zone[data-zone="{skipped}"]')
    assert link.get_attribute("fill") != before
    assert link.locator("use").get_attribute("fill") == "none"
    assert "decided by you" in link.get_attribute("aria-label")
    assert any(one["lines"][0] == f"{skipped}!" for one in shown.page.evaluate(LABELS))
    assert shown.page.locator("#map-over use[stroke-dasharray]").count() == 1
    assert shown.page.locator('#legend [data-key="overruled"]').is_visible()
    shown.check_quiet()


def test_what_is_read_out_stays_as_it_was_rendered(open_page, written):
    """The twins say the same of every zone, as long as nothing is moved."""
    plan, path = written["demo"]
    found = """() => Object.fromEntries(Array.from(document.querySelectorAll("#map a.zone"),
        (one) => [one.dataset.zone, one.getAttribute("aria-label")]))"""
    told = open_page(path, DESK).page.evaluate(found)
    assert told == open_page(path, DESK, scripts=False).page.evaluate(found)
    assert len(told) == len(plan.zones)


def test_table_and_map_say_the_same_of_a_zone_that_the_reader_sprays(open_page, written):
    """Rate and day are those of the pass that the zone would go with; skipped again it has neither."""
    plan, path = written["demo"]
    shown = open_page(path, DESK)
    row = shown.page.locator('#zone-table tr[data-zone="3"]')
    before = row.inner_text()
    row.click()
    shown.page.check('#overrule input[value="spray"]')
    shown.page.fill("#overrule-reason", "the neighbour saw lesions")
    shown.page.click('#overrule button[type="submit"]')
    shown.page.wait_for_timeout(120)
    (only,) = plan.passes
    assert row.locator(".c-rate").inner_text() == f"{only.rate_gal_ac:g}"
    assert row.locator(".c-day").inner_text() == day(only.day)
    (label,) = [one["lines"] for one in shown.page.evaluate(LABELS) if one["of"] == 3]
    assert label[0] == "3!"
    assert f"{only.rate_gal_ac:g}" in label[1]
    shown.page.click("#decisions-undo")
    shown.page.wait_for_timeout(120)
    assert row.inner_text() == before
    shown.check_quiet()


def test_another_rate_that_the_reader_decides_is_marked_everywhere(open_page, written):
    _, path = written["demo"]
    shown = open_page(path, DESK)
    row = shown.page.locator('#zone-table tr[data-zone="1"]')
    row.click()
    shown.page.check('#overrule input[value=""]')  # as the rule says, at another rate
    shown.page.select_option("#overrule-rate", "20")
    shown.page.fill("#overrule-reason", "a dense crop")
    shown.page.click('#overrule button[type="submit"]')
    shown.page.wait_for_timeout(120)
    (label,) = [one["lines"] for one in shown.page.evaluate(LABELS) if one["of"] == 1]
    assert label == ["1!", "20 gal/ac"]
    link = shown.page.locator('#map a.zone[data-zone="1"]')
    assert "spray 20 gal/ac" in link.get_attribute("aria-label")
    assert link.get_attribute("aria-label").endswith("decided by you")
    assert row.locator(".c-action").inner_text() == "spray!"
    assert row.locator(".c-rate").inner_text() == "20"
    assert shown.page.locator("#stays").is_visible()
    shown.check_quiet()


def test_without_money_the_map_shows_zones_and_dates(open_page, tmp_path):
    plan = replace(page_plan(6), level=1, what_if=None, totals=None, passes=())
    zones = tuple(
        replace(one, action=None, money=None, rate_gal_ac=None, pass_number=None) for one in plan.zones
    )
    (tmp_path / "page.html").write_text(page.text(replace(plan, zones=zones)), encoding="utf-8")
    shown = open_page(tmp_path / "page.html", DESK)
    assert shown.page.locator("#map").get_attribute("data-theme") == "zone"
    assert len(shown.page.evaluate(LABELS)) == 6
    shown.check_quiet()
