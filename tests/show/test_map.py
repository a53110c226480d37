"""map.png: nothing collides, nothing leaves the sheet, and the scale is true."""

import warnings
from dataclasses import replace
from itertools import combinations

import matplotlib
import numpy as np
import pytest
from made_plans import Made, made_plan, smooth_field, with_scouting
from matplotlib.text import Text
from PIL import Image
from shapely import Point

from zoning import colours
from zoning.inputs.area import from_lonlat
from zoning.show import map as picture
from zoning.show.figures import day
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


SCOUTED = {"three blocks": [1, 2, 5], "many small zones": range(1, 19), "tall": [1, 3], "level 1": [1, 2, 3],
           "level 2": [2, 6]}  # fmt: skip


def plan_of(case):
    """The plan of a case, "scouted" with counts in some zones and pressure seen in all."""
    name, _, scouted = case.partition(", scouted")
    plan = replace(made_plan(CASES[name]), cautions=cautions("US"))
    if case == name and not scouted:
        return plan
    return with_scouting(plan, counted=SCOUTED[name], low=[zone.zone for zone in plan.zones])


@pytest.fixture(
    params=[*CASES, *(f"{name}, scouted" for name in list(SCOUTED)[:4])],
    ids=lambda name: name,
    scope="module",
)
def drawn(request):
    with matplotlib.rc_context(picture._LOOK):
        plan = plan_of(request.param)
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


def marks(axes):
    """Places of the marks on a map, in metres, and the pixels that they cover."""
    found = [line for line in axes.lines if line.get_marker() in ("o", "D")]
    return [(line, np.array(line.get_xydata()[0])) for line in found]


def test_no_label_covers_a_mark_and_no_mark_leaves_its_map(drawn):
    _, figure = drawn
    with matplotlib.rc_context(picture._LOOK):
        for axes in figure.axes[1:]:
            texts = boxes(axes, figure)
            for line, place in marks(axes):
                x, y = axes.transData.transform(place)
                reach = (line.get_markersize() + line.get_markeredgewidth()) / 2 / 72 * picture.DPI
                assert axes.bbox.contains(x, y)
                for text, box in texts:
                    away = max(box.x0 - x, x - box.x1, 0.0), max(box.y0 - y, y - box.y1, 0.0)
                    assert np.hypot(*away) > reach, (text, place)


@pytest.mark.parametrize("case", ["three blocks", "level 1", "level 2"])
def test_counts_stand_on_the_map_of_days_and_pressure_on_that_of_actions(case):
    plan = plan_of(f"{case}, scouted")
    with matplotlib.rc_context(picture._LOOK):
        figure = picture.draw(plan)
    by_title = dict(zip((panel.title for panel in panels(plan)), figure.axes[1:], strict=True))
    for title, axes in by_title.items():
        kind = "count" if title.startswith("R3") else "pressure" if title[:5] in ("Actio", "Spray") else ""
        wanted = [Point(one.lon, one.lat) for one in plan.scouting if one.kind == kind]
        wanted_m = [from_lonlat(place, plan.epsg) for place in wanted]
        found = [place for _, place in marks(axes)]
        assert len(found) == len(wanted), title
        for place, point in zip(found, wanted_m, strict=True):
            assert np.hypot(*(place - [point.x, point.y])) < 0.01


def test_marks_are_white_with_a_rim_of_ink_on_every_colour(tmp_path):
    plan = with_scouting(made_plan(Made(labels=[[1] * 8] * 5, cell_m=80)), counted=[1], low=[1])
    picture.write(plan, tmp_path / "map.png")
    pressure = next(one for one in plan.scouting if one.kind == "pressure")
    place = from_lonlat(Point(pressure.lon, pressure.lat), plan.epsg)
    assert rgb(tmp_path / "map.png", plan, place.x, place.y) == colours.WHITE
    pixels = np.asarray(Image.open(tmp_path / "map.png").convert("RGB")).astype(int)
    with matplotlib.rc_context(picture._LOOK):
        figure = picture.draw(plan)
    x, y = figure.axes[1].transData.transform((place.x, place.y))
    line = pixels[pixels.shape[0] - 1 - int(y), int(x) : int(x) + 12]
    rim = line[np.argmin(line.sum(axis=1))]
    # between white and the fill the line crosses ink, though thin lines are a little paler
    assert rim.sum() < 0.7 * sum(int(colours.SPRAY_MOST[i : i + 2], 16) for i in (1, 3, 5))


def labels_of(plan, panel):
    with matplotlib.rc_context(picture._LOOK):
        figure = picture.draw(plan)
    return {int(text.get_text().split()[0]): text.get_text() for text in figure.axes[1 + panel].texts}


def test_labels_name_the_closing_day_and_counted_zones_where_there_is_room():
    plan = with_scouting(plan_of("three blocks"), counted=[2])
    panel = panels(plan)[1]
    assert [patch.more for patch in panel.patches] == [
        f"closes {day(zone.window.closes)}" for zone in plan.zones
    ]
    assert [patch.beside for patch in panel.patches] == ["", "counted", "", "", "", ""]
    one = made_plan(CASES["one zone"])
    assert labels_of(one, 1)[1] == "1\nJul 8\ncloses Jul 17"
    assert labels_of(with_scouting(one, counted=[1]), 1)[1] == "1 counted\nJul 8\ncloses Jul 17"


@pytest.mark.parametrize(
    ("counted", "said", "not_said"),
    [
        ([], "no count yet: all dates are provisional", "counted"),
        ([2], "counted Jun 28; other dates are provisional", "no count yet"),
        ([1, 2, 3, 4, 5, 6], "counted Jun 28–30", "provisional"),
    ],
)
def test_the_legend_says_which_days_are_provisional(counted, said, not_said):
    plan = with_scouting(plan_of("three blocks"), counted=counted)
    with matplotlib.rc_context(picture._LOOK):
        figure = picture.draw(plan)
    texts = [text.get_text() for text in figure.axes[0].texts]
    assert said in texts
    assert not any(not_said in text for text in texts)
    assert len(marks(figure.axes[0])) == (1 if counted else 0)


def test_a_zone_too_small_for_label_and_mark_keeps_its_label():
    labels = np.ones((12, 12), dtype=int)
    labels[5, 5:7] = 2
    plan = with_scouting(made_plan(Made(labels=labels, cell_m=60)), counted=[1, 2])
    assert labels_of(plan, 1)[2].endswith("\nJul 8")
    with matplotlib.rc_context(picture._LOOK):
        figure = picture.draw(plan)
    (left,) = marks(figure.axes[2])
    west, south, east, north = from_lonlat(plan.zones[1].outline, plan.epsg).bounds
    x, y = left[1]
    assert not (west < x < east and south < y < north), "the mark in zone 2 gives way to its label"
