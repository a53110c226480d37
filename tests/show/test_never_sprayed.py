"""Ground that is never sprayed, on the map, below the tables and in every share of the acres."""

from dataclasses import replace

import matplotlib
import numpy as np
import pytest
import shapely
from made_farm_plans import farm_of, with_passes
from made_no_spray import with_no_spray
from made_plans import Made, made_plan, smooth_field, with_scouting
from PIL import Image
from shapely import Point

from zoning import colours
from zoning.inputs.area import from_lonlat
from zoning.show import farm_report, table
from zoning.show import map as picture
from zoning.show.never_sprayed import line
from zoning.show.panels import panels
from zoning.show.report import report
from zoning.words import Said

WIDTHS = (40, 60, 80, 100, 120)


def field(kinds=("dead ground", "setback"), shape=(60, 58), **wanted):
    """A field of three blocks with a pond in its middle, a small one, and a strip along its north edge."""
    labels, blocks = smooth_field(3, shape=shape)
    rows, cols = np.mgrid[0 : shape[0], 0 : shape[1]]
    inside = labels > 0
    for row, col, radius in ((21, 35, 6.0), (42, 14, 1.8)):
        labels[((rows - row) ** 2 + (cols - col) ** 2 < radius**2) & inside] = 7
    labels[(rows < 4) & inside] = 8
    given = {"pass_of_zone": {1: 1, 3: 1, 4: 2}} | wanted
    plan = made_plan(
        Made(labels=labels, block_of_zone={**blocks, 7: "A", 8: "A"}, cell_m=14, simplify_m=6, **given)
    )
    return with_no_spray(plan, {7: kinds[0], 8: kinds[1]}) if kinds else plan


def drawn(plan):
    with matplotlib.rc_context(picture._LOOK):
        return picture.draw(plan)


def texts(axes):
    return [text.get_text() for text in axes.texts]


# -- the map ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("level", [1, 2, 3])
def test_the_legend_of_each_map_names_it_only_where_there_is_some(level):
    plan = field(level=level)
    page, *maps = drawn(plan).axes
    keys = [text for text in texts(page) if text.startswith("never sprayed")]
    assert keys == [
        f"never sprayed, {plan.no_spray_ac:.1f} ac (setbacks, dead ground)",
        *["never sprayed"] * (len(maps) - 1),
    ]
    assert all(key.crossed == key.text.startswith("never") for panel in panels(plan) for key in panel.keys)
    page, *_ = drawn(field(kinds=(), level=level)).axes
    assert not any("never" in text for text in texts(page))


def test_each_map_has_its_word_on_ground_that_has_room_and_covers_no_zone():
    plan = with_scouting(field(), counted=[1, 2], low=[3, 5])
    figure = drawn(plan)
    outline_of = {one.kind: from_lonlat(one.outline, plan.epsg) for one in plan.no_spray}
    zones = shapely.union_all([from_lonlat(zone.outline, plan.epsg) for zone in plan.zones])
    for axes in figure.axes[1:]:
        words = {text.get_text(): text for text in axes.texts if text.get_text() in ("setback", "dead")}
        assert sorted(words) == ["dead", "setback"]  # the small pond has no room for another
        for name, kind in (("setback", "setback"), ("dead", "dead ground")):
            renderer = figure.canvas.get_renderer()
            box = words[name].get_window_extent(renderer)
            corners = axes.transData.inverted().transform([(box.x0, box.y0), (box.x1, box.y1)])
            assert outline_of[kind].contains(shapely.box(*corners.ravel()))
            assert not zones.intersects(shapely.box(*corners.ravel()).buffer(-0.01))


def pixels_of(plan, path, where_m):
    """Grey values of the first map in a square of 40 pixels around a place."""
    picture.write(plan, path)
    x, y = drawn(plan).axes[1].transData.transform(where_m)
    grey = np.asarray(Image.open(path).convert("L"))
    row, col = grey.shape[0] - 1 - int(y), int(x)
    return grey[row - 20 : row + 20, col - 20 : col + 20].astype(int)


def directions(grey):
    """How much the grey changes along both diagonals: lines of one direction leave one of them even."""
    return [float(np.abs(grey[1:, 1:] - grey[:-1, :-1]).mean()),
            float(np.abs(grey[1:, :-1] - grey[:-1, 1:]).mean())]  # fmt: skip


def test_in_grey_it_is_crossed_both_ways_and_paler_than_skipped_ground(tmp_path):
    plan = made_plan(Made(labels=[[1, 2, 3]] * 2, cell_m=300))
    plan = with_no_spray(plan, {2: "dead ground"})
    assert plan.zones[1].action == "spray"
    zones = (plan.zones[0], replace(plan.zones[1], action="skip", rate_gal_ac=None, pass_number=None))
    plan = replace(plan, zones=zones)
    west, north = 270_000.0, 4_900_000.0
    at = {name: (west + 300 * col + 60, north - 80.0) for col, name in enumerate(("spray", "dead", "skip"))}
    grey = {name: pixels_of(plan, tmp_path / f"{name}.png", where) for name, where in at.items()}
    assert np.ptp(grey["spray"]) == 0
    down, up = directions(grey["dead"])
    assert 0.8 < down / up < 1.25
    down, up = directions(grey["skip"])
    assert max(down, up) > 2 * min(down, up)
    assert grey["dead"].max() == 255 > grey["skip"].max()


def test_it_is_drawn_on_ground_that_no_zone_holds(tmp_path):
    """Its outline and its lines stay on its own ground, and every pixel of it is white or grey."""
    plan = field()
    picture.write(plan, tmp_path / "map.png")
    rgb = np.asarray(Image.open(tmp_path / "map.png").convert("RGB")).astype(int)
    axes = drawn(plan).axes[1]
    pond = from_lonlat(plan.no_spray[0].outline, plan.epsg)
    inner = max(pond.geoms, key=lambda part: part.area).buffer(-6.0)
    west, south, east, north = inner.bounds
    for x in np.linspace(west, east, 40):
        for y in np.linspace(south, north, 40):
            if inner.contains(Point(x, y)):
                col, row = axes.transData.transform((x, y))
                shade = rgb[rgb.shape[0] - 1 - int(row), int(col)]
                assert np.ptp(shade) < 14  # no colour of a rate, a day or a return


@pytest.mark.parametrize("ground", [colours.NO_SPRAY])
def test_its_lines_and_words_meet_wcag(ground):
    assert colours.contrast(colours.NO_SPRAY_HATCH, ground) >= 4.5
    assert colours.contrast(colours.readable_on(ground), ground) >= 4.5


# -- the lines below the tables ------------------------------------------------------------------------------


def with_acres(plan, *acres):
    ground = [replace(one, area_ac=area_ac) for one, area_ac in zip(plan.no_spray, acres, strict=True)]
    return replace(plan, no_spray=tuple(ground))


def test_by_hand_the_line_below_the_table():
    plan = with_acres(field(), 0.8, 1.5)
    told = "never sprayed: 2.3 ac (setbacks 1.5, dead ground 0.8)"
    assert line([plan]) == told
    assert told in report(plan, 120)
    assert line([plan, plan]) == "never sprayed: 4.6 ac (setbacks 3.0, dead ground 1.6)"
    # one kind; by hand 2.3 ac x 0.40469 = 0.93 ha
    alike = with_acres(field(kinds=("setback", "setback"), units="metric"), 0.8, 1.5)
    assert line([alike]) == "never sprayed: 0.9 ha (setbacks)"
    assert line([with_acres(field(kinds=("dead ground", "dead ground")), 0.02, 0.01)]) == (
        "never sprayed: <0.1 ac (dead ground)"
    )
    assert line([]) == line([field(kinds=())]) == ""
    assert "never sprayed" not in report(field(kinds=()), 120)


@pytest.mark.parametrize("level", [1, 2, 3])
@pytest.mark.parametrize("width", WIDTHS)
def test_every_level_says_it_and_no_line_is_too_wide(level, width):
    text = report(field(level=level), width)
    assert "never sprayed:" in text
    assert max(map(len, text.splitlines())) <= width


def farm(*plans):
    return farm_of(
        [with_passes(replace(plan, passes=()), []) for plan in plans], {}, order_by=None, call_by=None
    )


@pytest.mark.parametrize("width", WIDTHS)
def test_the_farms_table_is_followed_by_it(width):
    plans = [replace(field(), field="North forty"), replace(field(kinds=()), field="Gravel")]
    text = farm_report.whole_page(farm(*plans), width)
    assert " ".join(text.split()).count(line(plans)) == 1
    assert "never sprayed" not in farm_report.whole_page(farm(plans[1]), width)


# -- shares of the acres -------------------------------------------------------------------------------------


def bare(no_spray_ac, skipped_ac, sprayed_ac=0.0):
    """A field whose acres are as given; what is in no zone is a setback."""
    plan = made_plan(Made(labels=[[1, 2, 4]], pass_of_zone={1: 1} if sprayed_ac else {}))
    plan = with_acres(with_no_spray(plan, {4: "setback"}), no_spray_ac)
    parts = (sprayed_ac, skipped_ac) if sprayed_ac else (skipped_ac / 2, skipped_ac / 2)
    zones = tuple(replace(zone, area_ac=area) for zone, area in zip(plan.zones, parts, strict=True))
    totals = replace(plan.totals, spray_ac=sprayed_ac, skip_ac=skipped_ac)
    return replace(plan, zones=zones, totals=totals, area_ac=no_spray_ac + skipped_ac + sprayed_ac)


def test_by_hand_where_all_is_skipped_the_acres_are_those_of_the_zones():
    plan = bare(4.0, 36.0)
    assert table.headline(plan).startswith("skip all 36 acres: no pass is worth it")
    done = tuple(replace(zone, reason=Said("passes.treated", days="Jul 1")) for zone in plan.zones)
    assert table.headline(replace(plan, zones=done)) == "skip all 36 acres: sprayed already"
    assert farm_report.headline(farm(plan)).startswith("skip all 36 acres: no pass is worth it")


def test_by_hand_ground_that_is_never_sprayed_is_none_that_does_not_pay():
    # of 40 acres 15 are sprayed; 25 would be most of them, but 10 are a setback and 15 do not pay
    plan = bare(10.0, 15.0, 15.0)
    for told in (table.headline(plan), farm_report.headline(farm(plan))):
        assert "spray 15 of 40 acres" in told
        assert "most of these acres" not in told
    # 21 of 40 do not pay
    plan = bare(4.0, 21.0, 15.0)
    for told in (table.headline(plan), farm_report.headline(farm(plan))):
        assert "most of these acres do not pay" in told


def test_the_acres_in_the_farms_table_and_below_it_add_up():
    plans = [field(), bare(4.0, 21.0, 15.0)]
    shown = table.farm_table(plans)
    cells = dict(zip(shown.head, shown.rows[-1], strict=True))
    never = float(line(plans).split()[2])
    parts = float(cells["spray ac"]) + float(cells["skip ac"]) + never
    assert parts == pytest.approx(float(cells["area ac"]), abs=0.21)  # four figures, each rounded to 0.1
