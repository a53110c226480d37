"""trial.png: nothing leaves the sheet, no text covers another, the scale is true, the same bytes."""

from itertools import combinations

import matplotlib
import pytest
from made_trials import CASES, made_trial, with_long_names
from matplotlib.patches import Circle
from matplotlib.text import Text
from PIL import Image

from zoning.show.trial import picture, written
from zoning.show.trial.axis import axis
from zoning.show.trial.trial_units import TrialUnits

SHOWN = [*CASES, "long names"]


@pytest.fixture(params=SHOWN, scope="module")
def drawn(request):
    case = request.param
    result = with_long_names(made_trial()) if case == "long names" else made_trial(CASES[case])
    with matplotlib.rc_context(picture._LOOK):
        return result, picture.draw(result)


def boxes(figure):
    renderer = figure.canvas.get_renderer()
    found = []
    for axes in figure.axes:
        for text in axes.texts:
            if isinstance(text, Text) and text.get_text():
                found.append((text.get_text(), Text.get_window_extent(text, renderer)))
    return found


def overlap(one, other):
    wide = min(one.x1, other.x1) - max(one.x0, other.x0)
    high = min(one.y1, other.y1) - max(one.y0, other.y0)
    return max(wide, 0) * max(high, 0)


def test_no_text_leaves_the_sheet_or_covers_another(drawn):
    _, figure = drawn
    with matplotlib.rc_context(picture._LOOK):
        found = boxes(figure)
    for text, box in found:
        assert box.x0 >= 0, text
        assert box.y0 >= 0, text
        assert box.x1 <= figure.bbox.x1, text
        assert box.y1 <= figure.bbox.y1, text
    for (one, first), (other, second) in combinations(found, 2):
        assert overlap(first, second) < 1.0, (one, other)


def test_pairs_have_dots_where_the_axis_says(drawn):
    result, figure = drawn
    scale = axis(result)
    dots = [one for one in figure.axes[0].artists if isinstance(one, Circle)]
    dots += [one for one in figure.axes[0].patches if isinstance(one, Circle)]
    counted = [one.difference_bu_ac for one in result.pairs[:12] if one.why_not is None]
    zones = min(len(result.by_zone.zones), 12) if result.by_zone is not None else 0
    assert len(dots) == len(counted) + zones
    x = [dot.center[0] for dot in dots[: len(counted)]]
    if len(counted) > 1:
        left, right = min(range(len(x)), key=x.__getitem__), max(range(len(x)), key=x.__getitem__)
        per = (x[right] - x[left]) / (scale.share(counted[right]) - scale.share(counted[left]))
        for place, value in zip(x, counted, strict=True):
            assert place - x[left] == pytest.approx(per * (scale.share(value) - scale.share(counted[left])))


def test_the_answer_and_the_money_are_on_it(drawn):
    result, figure = drawn
    said = [text.get_text() for text in figure.axes[0].texts]
    says = TrialUnits(metric=result.units == "metric", minus="−")
    assert written.answer(result, says) in said
    if result.response is not None and result.response.money is not None:
        assert any(one.startswith("Net ") for one in said)
    assert "grid N" in said


def test_the_map_is_true_to_scale(drawn):
    _, figure = drawn
    field = figure.axes[1]
    zero, right, down = (field.transData.transform(at) for at in ((0, 0), (100, 0), (0, 100)))
    assert abs(right[0] - zero[0]) == pytest.approx(abs(down[1] - zero[1]), rel=1e-6)
    assert right[0] > zero[0]
    assert down[1] < zero[1]  # south is down


def test_the_file_is_the_same_bytes_at_200_dots_an_inch(tmp_path):
    for name in ("one", "two"):
        picture.write(made_trial(), tmp_path / f"{name}.png")
    assert (tmp_path / "one.png").read_bytes() == (tmp_path / "two.png").read_bytes()
    with Image.open(tmp_path / "one.png") as image:
        assert round(image.info["dpi"][0]) == 200
        assert image.info["Description"] == "run 5f0c1e7ab2d4"
