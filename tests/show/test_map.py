"""map.png: nothing collides, nothing leaves the sheet, and the scale is true."""

import warnings
from dataclasses import replace
from itertools import combinations

import matplotlib
import numpy as np
import pytest
from made_plans import Made, made_plan, smooth_field
from matplotlib.text import Text
from PIL import Image
from shapely import Point

from zoning import colours
from zoning.inputs.area import from_lonlat
from zoning.show import map as picture
from zoning.show.panels import panels
from zoning.words import cautions

LONG = "A field with a very long name that somebody typed to see what happens " * 4


def made(seed=3, shape=(40, 39), blocks=3, per_block=2, hole=False, **wanted):
    labels, of_zone = smooth_field(seed, blocks, per_block, shape, hole)
    return Made(labels=labels, block_of_zone=of_zone, cell_m=20, simplify_m=8, **wanted)


CASES = {
    "one zone": Made(labels=[[1] * 8] * 5, cell_m=80),
    "three blocks": made(pass_of_zone={1: 1, 3: 1, 4: 2}),
    "hole, metric, south": made(5, blocks=2, per_block=3, hole=True, units="metric", epsg=32720,
                                origin_m=(400_000.0, 6_400_000.0), pass_of_zone={1: 1, 2: 1, 4: 2, 5: 3}),
    "many small zones": made(8, (30, 60), 6, 3),
    "strip, long names": made(8, (10, 75), 2, 2, field=LONG, farm="Ünal & Söhne $5 $6 漢字"),
    "tall": made(9, (75, 12), 2, 2),
    "level 1": made(level=1),
    "level 1 without dates": made(level=1, dates=False),
    "level 2": made(level=2),
    "all skipped": made(pass_of_zone={}),
}  # fmt: skip


@pytest.fixture(params=CASES, ids=lambda name: name, scope="module")
def drawn(request):
    with matplotlib.rc_context(picture._LOOK):
        plan = replace(made_plan(CASES[request.param]), cautions=cautions("US"))
        return plan, picture.draw(plan)


def boxes(axes, figure):
    renderer = figure.canvas.get_renderer()
    texts = [text for text in axes.texts if isinstance(text, Text) and text.get_text()]
    return [(text, text.get_window_extent(renderer)) for text in texts]


def overlap(one, other):
    wide = min(one.x1, other.x1) - max(one.x0, other.x0)
    high = min(one.y1, other.y1) - max(one.y0, other.y0)
    return max(wide, 0) * max(high, 0)


def test_no_text_leaves_the_sheet_or_covers_another(drawn):
    _, figure = drawn
    with matplotlib.rc_context(picture._LOOK):
        everything = [(axes, *pair) for axes in figure.axes for pair in boxes(axes, figure)]
    sheet = figure.bbox
    for _, text, box in everything:
        assert box.x0 >= 0, text
        assert box.y0 >= 0, text
        assert box.x1 <= sheet.x1, text
        assert box.y1 <= sheet.y1, text
    for (_, one, first), (_, other, second) in combinations(everything, 2):
        assert overlap(first, second) < 1.0, (one, other)


def test_text_around_the_maps_stays_off_them(drawn):
    _, figure = drawn
    page, *maps = figure.axes
    with matplotlib.rc_context(picture._LOOK):
        around = boxes(page, figure)
    for axes in maps:
        assert all(overlap(box, axes.bbox) < 1.0 for _, box in around)


def test_every_zone_is_named_on_every_map(drawn):
    plan, figure = drawn
    for axes in figure.axes[1:]:
        named = {int(text.get_text().replace(" ", "\n").split("\n")[0]) for text in axes.texts}
        assert named == {zone.zone for zone in plan.zones}


def test_labels_lie_in_their_zones(drawn):
    plan, figure = drawn
    outlines = {zone.zone: from_lonlat(zone.outline, plan.epsg) for zone in plan.zones}
    for axes in figure.axes[1:]:
        for text in axes.texts:
            number = int(text.get_text().replace(" ", "\n").split("\n")[0])
            assert outlines[number].contains(Point(text.get_position()))


def test_both_scale_bars_are_true(drawn):
    _, figure = drawn
    page, first = figure.axes[:2]
    pixel_per_m = first.transData.transform((1.0, 0.0))[0] - first.transData.transform((0.0, 0.0))[0]
    assert pixel_per_m == pytest.approx(
        first.transData.transform((0.0, 1.0))[1] - first.transData.transform((0.0, 0.0))[1], rel=1e-9
    )
    found = {}
    for text in page.texts:
        length, _, unit = text.get_text().rpartition(" ")
        if unit in ("m", "ft") and length.replace(",", "").isdigit():
            y = text.get_position()[1]
            bar = max(
                (patch for patch in page.patches if abs(patch.get_extents().y0 / 200 - y - 0.02) < 0.02),
                key=lambda patch: patch.get_extents().width,
            )
            metres = float(length.replace(",", "")) * (1.0 if unit == "m" else 0.3048)
            found[unit] = bar.get_extents().width / metres
    assert found == {
        "m": pytest.approx(pixel_per_m, rel=1e-3),
        "ft": pytest.approx(pixel_per_m, rel=1e-3),
    }


def test_what_the_sheet_must_say(drawn):
    plan, figure = drawn
    said = " ".join(text.get_text() for text in figure.axes[0].texts)
    for part in (
        "grid N",
        "as of Jul 1, 2026",
        f"EPSG:{plan.epsg}",
        plan.run_id,
        "schedule: alone",
        plan.cautions[0][1:],
    ):
        assert part in said
    assert "safe" not in said.lower()


@pytest.mark.parametrize(
    ("case", "titles"),
    [
        ("level 1", ["Zones", "R3 begins, likely day"]),
        ("level 1 without dates", ["Zones"]),
        ("level 2", ["Spray or skip", "R3 begins, likely day", "Expected net return, $/ac"]),
        (
            "hole, metric, south",
            ["Action and carrier rate, L/ha", "R3 begins, likely day", "Expected net return, $/ha"],
        ),
    ],
)
def test_panels_of_each_level(case, titles):
    assert [panel.title for panel in panels(made_plan(CASES[case]))] == titles


def test_skip_is_hatched_and_returns_have_their_sign():
    plan = made_plan(CASES["three blocks"])
    action, _, net = panels(plan)
    for zone, doing, earning in zip(plan.zones, action.patches, net.patches, strict=True):
        assert doing.hatched == (zone.action == "skip")
        assert earning.value[0] == ("+" if zone.money.net_mean_usd_ac > 0 else "−")
    assert {key.hatched for key in action.keys} == {True, False}


def test_zero_is_the_palest_colour_whatever_the_range():
    plan = made_plan(CASES["three blocks"])
    for net in (0.0, 400.0, -3.0):
        zone = replace(plan.zones[0], money=replace(plan.zones[0].money, net_mean_usd_ac=net))
        patch = panels(replace(plan, zones=(zone, *plan.zones[1:])))[2].patches[0]
        assert (patch.fill == colours.NET[4]) == (net == 0.0)


def rgb(path, plan, east_m, north_m):
    """Colour of the saved picture at a place of the first map."""
    with matplotlib.rc_context(picture._LOOK):
        figure = picture.draw(plan)
    x, y = figure.axes[1].transData.transform((east_m, north_m))
    pixels = np.asarray(Image.open(path).convert("RGB"))
    return "#{:02x}{:02x}{:02x}".format(*pixels[pixels.shape[0] - 1 - int(y), int(x)])


def test_holes_stay_white_and_islands_keep_their_colour(tmp_path):
    labels = np.ones((9, 9), dtype=int)
    labels[1:4, 1:4], labels[5:8, 5:8] = 0, 2  # a hole, and zone 2 as an island in zone 1
    plan = made_plan(Made(labels=labels, pass_of_zone={1: 1, 2: 2}, rates_gal_ac=(10.0, 20.0)))
    picture.write(plan, tmp_path / "map.png")
    west, north = 270_000.0, 4_900_000.0
    at = {
        name: (west + 40 * x, north - 40 * y)
        for name, x, y in (("hole", 2, 2), ("island", 5.4, 5.4), ("sea", 8.5, 1))
    }
    assert rgb(tmp_path / "map.png", plan, *at["hole"]) == colours.WHITE
    assert rgb(tmp_path / "map.png", plan, *at["island"]) == colours.SPRAY_MOST
    assert rgb(tmp_path / "map.png", plan, *at["sea"]) == colours.SPRAY_LEAST


def test_same_plan_same_bytes_at_200_dots_an_inch(tmp_path):
    plan = made_plan(CASES["three blocks"])
    for name in ("a.png", "b.png"):
        picture.write(plan, tmp_path / name)
    assert (tmp_path / "a.png").read_bytes() == (tmp_path / "b.png").read_bytes()
    with Image.open(tmp_path / "a.png") as image:
        assert image.info["dpi"] == pytest.approx((200, 200), abs=0.1)
        assert set(image.info) == {"dpi", "Title", "Description"}
        assert image.info["Description"] == f"run {plan.run_id}"


def test_letters_that_the_font_lacks_and_dollar_signs_do_no_harm(tmp_path):
    plan = replace(made_plan(CASES["one zone"]), field="$x^2$ \\frac 漢字 \x1b[31m\n", farm="{%s}")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        picture.write(plan, tmp_path / "map.png")
    assert (tmp_path / "map.png").stat().st_size > 10_000
