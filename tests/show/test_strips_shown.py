"""Check strips as people see them: on the first map, in the report and on the load sheet."""

from dataclasses import replace
from datetime import timedelta
from itertools import combinations

import matplotlib
import numpy as np
import pytest
import shapely
from made_farm_plans import small_farm
from made_laid_strips import with_laid_strips
from made_plans import Made, made_plan, smooth_field
from made_sheets import made_sheet
from made_strips import with_strips
from PIL import Image
from shapely import Point

from zoning import colours
from zoning.inputs.area import from_lonlat
from zoning.show import check_strips
from zoning.show import map as picture
from zoning.show.check_strips import farm_line, for_operator, line, patches
from zoning.show.farm_report import whole_page
from zoning.show.figures import day
from zoning.show.load_sheet import texts
from zoning.show.page.drawing import drawing
from zoning.show.panels import panels
from zoning.show.report import report
from zoning.show.sheet import maps
from zoning.words import cautions

M2_PER_AC = 4046.8564224


def made(seed=3, shape=(40, 39), blocks=3, per_block=2, **wanted):
    labels, of_zone = smooth_field(seed, blocks, per_block, shape)
    return Made(labels=labels, block_of_zone=of_zone, cell_m=20, simplify_m=8, **wanted)


CASES = {
    "four pairs": with_laid_strips(made(pass_of_zone={1: 1, 3: 1, 4: 2}), 4),
    "aslant, metric": with_laid_strips(made(8, (30, 60), 6, 3, units="metric"), 8, heading_deg=12),
    "narrow": with_laid_strips(made(5), 6, boom_m=9.144),
    "one pair": with_laid_strips(made(9, (75, 22), 2, 2), 1, heading_deg=0),
}


@pytest.fixture(params=CASES, scope="module")
def drawn(request):
    plan = replace(CASES[request.param], cautions=cautions("US"))
    with matplotlib.rc_context(picture._LOOK):
        return plan, picture.draw(plan)


# -- the map ------------------------------------------------------------------------------------------------


def test_strips_stand_on_the_first_map_only(drawn):
    plan, _ = drawn
    first, *others = panels(plan)
    assert {one.pair for one in first.strips} == set(range(1, plan.strips.pairs + 1))
    assert not any(one.strips for one in others)
    assert not any(one.strips for one in panels(replace(plan, strips=None)))


def test_patches_are_the_strips_where_there_is_crop(drawn):
    plan, _ = drawn
    field = from_lonlat(plan.boundary, plan.epsg)
    for dotted, treatment in ((True, "untreated"), (False, "treated")):
        shown = shapely.union_all([one.outline_m for one in patches(plan) if one.dotted == dotted])
        laid = [one.outline for one in plan.strips.strips if one.treatment == treatment]
        on_crop = shapely.union_all([from_lonlat(one, plan.epsg) for one in laid]).intersection(field)
        assert shown.symmetric_difference(on_crop).area < 1e-4 * on_crop.area


def test_a_strip_that_no_pass_may_treat_looks_skipped():
    plan = CASES["four pairs"]
    closed = tuple(
        replace(one, pass_number=0) if one.treatment == "treated" and one.zone == 6 else one
        for one in plan.strips.pieces
    )
    shown = patches(replace(plan, strips=replace(plan.strips, pieces=closed)))
    hatched = [one for one in shown if one.hatched]
    assert hatched
    assert {one.fill for one in hatched} == {colours.SKIP}
    assert not any(one.dotted for one in hatched)
    assert not any(one.hatched for one in patches(plan))


def test_no_text_covers_another_and_all_pairs_are_named(drawn):
    plan, figure = drawn
    with matplotlib.rc_context(picture._LOOK):
        renderer = figure.canvas.get_renderer()
        boxes = [
            (text.get_text(), text.get_window_extent(renderer))
            for axes in figure.axes
            for text in axes.texts
            if text.get_text()
        ]
    for (one, first), (other, second) in combinations(boxes, 2):
        wide = min(first.x1, second.x1) - max(first.x0, second.x0)
        high = min(first.y1, second.y1) - max(first.y0, second.y0)
        assert max(wide, 0) * max(high, 0) < 1.0, (one, other)
    named = {text.get_text() for text in figure.axes[1].texts if text.get_text().startswith("S")}
    assert named <= {f"S{pair}" for pair in range(1, plan.strips.pairs + 1)}
    if plan.strips.width_m > 20:
        assert len(named) == plan.strips.pairs


def test_names_lie_on_their_pair(drawn):
    plan, figure = drawn
    ground = check_strips.pairs(patches(plan))
    for text in figure.axes[1].texts:
        if text.get_text() in ground:
            assert ground[text.get_text()].buffer(1).contains(Point(text.get_position()))


def test_every_zone_keeps_its_number(drawn):
    plan, figure = drawn
    named = {text.get_text().replace(" ", "\n").split("\n")[0] for text in figure.axes[1].texts}
    assert {str(zone.zone) for zone in plan.zones} <= named


def test_the_legend_tells_both_and_what_they_cost(drawn):
    plan, figure = drawn
    told = [text.get_text() for text in figure.axes[0].texts]
    unit = "ha" if plan.units == "metric" else "ac"
    assert sum(text.startswith("check strip, boom off") and f" {unit} less" in text for text in told) == 1
    assert sum(text.startswith("check strip, treated") and f" {unit} more" in text for text in told) == 1
    assert sum(text.startswith("S1") and text.endswith("cost about $61") for text in told) == 1


def test_both_patterns_survive_a_grey_copy(tmp_path):
    # in grey: ground left untreated is white with dots of ink, treated ground plain and darker than any of it
    plan = CASES["four pairs"]
    path = tmp_path / "map.png"
    picture.write(plan, path)
    grey = np.asarray(Image.open(path).convert("L"), dtype=float)
    with matplotlib.rc_context(picture._LOOK):
        axes = picture.draw(plan).axes[1]
    names = [axes.transData.transform(text.get_position()) for text in axes.texts]

    def inside(one):
        """Grey of the picture well inside a strip, away from labels."""
        ground = shapely.transform(one.outline_m.buffer(-8), axes.transData.transform)
        ground = shapely.difference(ground, shapely.union_all([Point(x, y).buffer(90) for x, y in names]))
        west, south, east, north = (int(side) for side in ground.bounds)
        columns, rows = np.meshgrid(np.arange(west, east), np.arange(south, north))
        held = shapely.contains_xy(ground, columns + 0.5, rows + 0.5)
        return grey[len(grey) - 1 - rows[held], columns[held]]

    for one in patches(plan):
        shades = inside(one)
        if one.dotted:
            assert np.median(shades) > 250
            assert 0.03 < (shades < 128).mean() < 0.4  # dots
        else:
            assert np.median(shades) < 190
            assert (np.abs(shades - np.median(shades)) < 12).mean() > 0.85  # plain, but for edges of zones


# -- the report ---------------------------------------------------------------------------------------------


def test_by_hand_the_line_of_the_report():
    # 4 pairs show 3 bu/ac in 57 of 100 trials, 8 pairs in 84 (published table); 3 bu/ac are 202 kg/ha
    # 500 - 61.4 = 438.6 USD
    four = CASES["four pairs"]
    strips = replace(four.strips, untreated_ac=2.14, treated_ac=1.26, cost_usd=61.4)
    plan = replace(four, strips=strips, totals=replace(four.totals, net_usd=500.0))
    told = (
        "check strips: 4 pairs, 2.1 ac of sprayed zones left dry, 1.3 ac of skipped ones sprayed, cost "
        "about $61: expected net with them $439; 4 pairs show 3 bu/ac in 57 of 100 trials"
    )
    assert line(plan) == told
    assert told in " ".join(report(plan).split())
    assert "; 8 pairs show 202 kg/ha in 84 of 100 trials" in line(CASES["aslant, metric"])
    assert line(CASES["one pair"]).endswith("; 1 pair shows nothing")
    assert line(made_plan(made())) == ""
    assert "check strips" not in report(made_plan(made()))


def test_by_hand_the_report_says_what_a_pass_treats_with_its_strips():
    # 40.0 ac of zones; dry strips take 3 ac of them, treated ones add 1.5 ac elsewhere: 38.5 ac
    plan = CASES["four pairs"]
    first, *others = plan.passes
    first = replace(first, area_ac=40.0, map=replace(first.map, treated_ac=38.5))
    plan = replace(plan, passes=(first, *others))
    assert "40.0 ac (38.5 ac with check strips), " in " ".join(report(plan).split())
    assert "with check strips" not in report(replace(plan, strips=None))
    same = replace(first, map=replace(first.map, treated_ac=40.04))
    assert "40.0 ac, " in " ".join(report(replace(plan, passes=(same,))).split())
    # the bill is that of the zones, and says so
    told = " ".join(report(plan).split())
    assert "the bill of the zones alone: " in told
    treated = 38.5 + sum(one.map.treated_ac for one in others)
    assert f"; with check strips {treated:.1f} ac are sprayed" in told
    assert "the bill, to hold against paper: " in " ".join(report(replace(plan, strips=None)).split())


@pytest.mark.parametrize(
    ("usd", "told"), [(61.4, "cost about $61"), (0.4, "cost nothing"), (-12.2, "bring about $12")]
)
def test_what_strips_cost_is_told_in_whole_dollars(usd, told):
    plan = CASES["four pairs"]
    plan = replace(plan, strips=replace(plan.strips, cost_usd=usd, untreated_ac=0.02, treated_ac=0.0))
    assert f"<0.1 ac of sprayed zones left dry, 0.0 ac of skipped ones sprayed, {told}: " in line(plan)


def test_by_hand_the_report_says_which_treated_strips_are_sprayed_before_r3():
    # zone 2 is skipped and has a treated strip: a pass that ends before its early R3 is too soon for it
    plan = with_strips(Made(labels=[[1] * 8, [2] * 8], cell_m=40.0), {1: ([1], [2]), 2: ([5], [6])})
    (one,), two = plan.passes, plan.zones[1]
    assert (one.zones, two.pass_number) == ((1,), None)
    soon = replace(one, day=two.window.r3_early - timedelta(days=1), parts=())
    told = f"treated strips of zone 2: pass 1 on {day(soon.day)}, before R3 is likely to begin there"
    assert told in " ".join(report(replace(plan, passes=(soon,))).split())
    on_time = replace(one, day=two.window.r3_early, parts=())
    assert "before R3 is likely" not in report(replace(plan, passes=(on_time,)))
    assert not check_strips.off_time(replace(plan, passes=(soon,), strips=None))


def _with_net(plan, usd):
    return replace(plan, totals=replace(plan.totals, net_usd=usd))


def test_by_hand_a_farm_adds_up_its_strips():
    # 4 and 1 pairs; 2.14 + 1 ac, 1.26 + 0 ac; 61.4 + 61.4 = 122.8 USD; 500 + 100 + 20 - 122.8 = 497.2 USD
    four, one = CASES["four pairs"], CASES["one pair"]
    four = _with_net(replace(four, strips=replace(four.strips, untreated_ac=2.14, treated_ac=1.26)), 500.0)
    one = _with_net(replace(one, strips=replace(one.strips, untreated_ac=1.0, treated_ac=0.0)), 100.0)
    without = _with_net(made_plan(made()), 20.0)
    told = (
        "check strips: 5 pairs in 2 fields, 3.1 ac of sprayed zones left dry, 1.3 ac of skipped ones "
        "sprayed, cost about $123"
    )
    assert farm_line([four, without, one]).startswith(f"{told}: expected net with them $497; 5 pairs show ")
    eight = CASES["aslant, metric"]  # with the four: .94 with 12 pairs (published table)
    assert farm_line([four, eight]).endswith("; 12 pairs show 3 bu/ac in 94 of 100 trials")
    assert farm_line([without, one]).startswith("check strips: 1 pair in 1 field, 1.0 ac of sprayed zones")
    assert farm_line([without, one]).endswith("; 1 pair shows nothing")
    assert farm_line([without]) == ""
    farm = small_farm()
    first, second, *others = farm.plans
    with_both = (replace(first, strips=four.strips), replace(second, strips=one.strips), *others)
    assert told in " ".join(whole_page(replace(farm, plans=with_both)).split())
    assert "check strips" not in whole_page(farm)


def test_by_hand_the_passes_of_a_farm_say_what_they_treat_with_strips():
    farm = small_farm()
    with_pass = next(plan for plan in farm.plans if plan.passes)
    one = replace(with_pass.passes[0], area_ac=40.0)
    one = replace(one, map=replace(one.map, treated_ac=38.5))
    plans = (replace(with_pass, passes=(one,), strips=CASES["four pairs"].strips),)
    told = "ac: zones alone; with check strips, as on the load sheet: "
    told += f"{with_pass.field} pass {one.number} 38.5 ac"
    assert told in " ".join(whole_page(replace(farm, plans=plans)).split())


# -- the load sheet -----------------------------------------------------------------------------------------


def test_the_operator_is_told_to_leave_them_as_they_are():
    plan = CASES["four pairs"]
    for one in plan.passes:
        met = for_operator(plan, one)
        dry_ac = sum(
            from_lonlat(part.outline, plan.epsg).area / M2_PER_AC
            for part in plan.strips.pieces
            if part.treatment == "untreated" and part.zone in one.zones
        )
        assert met.startswith("S1 to S4 on the map")
        assert "do not switch by hand" in met
        assert f"{dry_ac:.1f} ac of these zones stay dry" in met
        more_ac = sum(
            from_lonlat(part.outline, plan.epsg).area / M2_PER_AC
            for part in plan.strips.pieces
            if part.treatment == "treated" and part.pass_number == one.number and part.zone not in one.zones
        )
        assert f"{more_ac:.1f} ac of other zones are sprayed" in met
    assert for_operator(replace(plan, strips=None), plan.passes[0]) == ""


def test_a_pass_that_meets_no_strip_says_nothing():
    plan = CASES["four pairs"]
    nowhere = replace(plan.passes[0], number=9, zones=())
    assert for_operator(plan, nowhere) == ""
    some = tuple(one for one in plan.strips.pieces if one.pair in (0, 1, 3))
    told = for_operator(replace(plan, strips=replace(plan.strips, pieces=some)), plan.passes[0])
    assert told.startswith("S1, S3 on the map")


def test_the_line_stands_on_the_sheet_and_the_page_stays_one():
    plan = CASES["four pairs"]
    one = replace(plan.passes[0], sheet=made_sheet({1: 40.0, 3: 80.0}))
    page = texts(replace(plan, passes=(one,), cautions=cautions("US")))["passes/P1/load_sheet.txt"]
    assert for_operator(plan, one) in " ".join(page.split())
    assert len(page.splitlines()) <= 66
    assert max(len(row) for row in page.splitlines()) <= 80


# -- the operator's map of a pass ---------------------------------------------------------------------------


def test_the_operator_sees_both_strips_of_a_pair_wherever_the_pass_drives_them():
    plan = CASES["four pairs"]
    one = plan.passes[0]  # sprays the treated strips of skipped zones too
    strips = [part for part in plan.strips.pieces if part.kind == "strip"]
    beside = {(part.pair, part.zone) for part in strips if part.pass_number == one.number}
    dry = [part for part in strips if not part.pass_number]
    in_skipped = [part for part in dry if part.zone not in one.zones and (part.pair, part.zone) in beside]
    assert in_skipped, "or this proves nothing"
    found = maps._strips(plan, one, drawing(plan))
    dotted = sum(patch.outline_m.area for patch in found if patch.dotted)
    wanted = [part for part in dry if part.zone in one.zones or part in in_skipped]
    assert dotted == pytest.approx(sum(part.area_ac for part in wanted) * M2_PER_AC, rel=1e-3)
    assert "check strip: drive it, boom off" in [key.text for key in maps.pass_keys(plan, one)]
    # pass 2 sprays nothing of those zones: there it drives neither strip
    two = plan.passes[1]
    theirs = {part.zone for part in maps._met(plan, two)}
    assert theirs <= set(two.zones)
