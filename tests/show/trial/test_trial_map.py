"""The map of a trial: cells are means of near points, strips and names lie right; and the axis of all."""

import re
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from made_trials import CASES, MadeTrial, made_trial

from zoning.inputs.area import from_lonlat
from zoning.show.trial import map_svg
from zoning.show.trial.axis import axis, axis_of
from zoning.show.trial.cells import CLASSES, cells_of
from zoning.show.trial.ground import apart, ground, name_shift

BOX = shapely.box(1000, 2000, 1300, 2240)


def with_points(east, north, grown, removed=None, header_m=10.0):
    result = made_trial(MadeTrial(step_m=40.0))
    count = len(east)
    points = replace(
        result.points,
        row=np.arange(count),
        east_m=np.asarray(east, dtype=float),
        north_m=np.asarray(north, dtype=float),
        yield_bu_ac=np.asarray(grown, dtype=float),
        removed_by=np.zeros(count, dtype=np.int64) if removed is None else np.asarray(removed),
    )
    return replace(result, points=points, header_m=header_m)


def test_a_cell_has_the_class_of_the_points_near_it_and_none_far_from_all():
    # two points with the lowest and the highest yield: a cell within 0.6 headers of one has its class
    cells = cells_of(with_points([1050, 1250], [2120, 2120], [30.0, 60.0]), BOX)
    rows, columns = np.indices(cells.yields.shape)
    x, y = 1000 + (columns + 0.5) * cells.side_m, 2240 - (rows + 0.5) * cells.side_m
    near = [np.hypot(x - east, y - 2120) <= 6.0 for east in (1050, 1250)]
    assert set(cells.yields[near[0]]) == {1}
    assert set(cells.yields[near[1]]) == {CLASSES}
    assert not cells.yields[~near[0] & ~near[1]].any()


def test_points_that_were_left_out_give_no_yield_but_their_spot():
    given_ = with_points([1050, 1100, 1250], [2120, 2100, 2120], [30.0, 200.0, 60.0], removed=[0, 2, 0])
    cells = cells_of(given_, BOX)
    assert cells.high_bu_ac <= 60.0
    (spot,) = np.argwhere(cells.left_out)
    assert 1000 + spot[1] * cells.fine_m <= 1100 <= 1000 + (spot[1] + 1) * cells.fine_m
    assert 2240 - (spot[0] + 1) * cells.fine_m <= 2100 <= 2240 - spot[0] * cells.fine_m


@pytest.mark.parametrize("removed", [[], [1, 1]])
def test_without_points_the_map_is_empty(removed):
    count = len(removed)
    cells = cells_of(with_points([1050] * count, [2120] * count, [30.0] * count, removed=removed), BOX)
    assert not cells.yields.any()


def test_yields_that_are_all_alike_have_one_class():
    cells = cells_of(with_points([1050, 1150], [2120, 2120], [44.0, 44.0]), BOX)
    assert len(set(cells.yields[cells.yields > 0])) == 1


@pytest.mark.parametrize("case", CASES)
def test_strips_keep_their_area_and_names_stand_beside_the_field(case):
    result = made_trial(CASES[case])
    shown = ground(result)
    for strip, drawn in zip(result.strips, shown.strips, strict=True):
        assert drawn.area == pytest.approx(from_lonlat(strip.outline, result.epsg).area, rel=1e-9)
    assert [one.text for one in shown.names] == [f"S{pair.pair}" for pair in result.pairs]
    x, y = name_shift(result)
    assert np.hypot(x, y) == pytest.approx(1.0)
    left, top, wide, high = shown.drawing.box
    for one in shown.names:  # beyond the end of its strips, inside the picture
        away = 12 * shown.drawing.px_m
        place = shapely.Point(one.x + x * away, one.y + y * away)
        assert shapely.box(left, top, left + wide, top + high).contains(place)
        assert all(strip.distance(place) > 0.5 * away for strip in shown.strips)


@pytest.mark.parametrize("case", CASES)
def test_treated_strips_are_solid_and_untreated_ones_dotted(case):
    result = made_trial(CASES[case])
    text = map_svg.svg(result)
    (strips,) = re.findall(r'<g id="map-strips".*?</g>', text, re.DOTALL)
    dotted = [one.treatment == "untreated" for one in result.strips]
    drawn = re.findall(r"<path [^>]*>", strips)[1::2]  # each has a white edge below
    assert ["dasharray" in one for one in drawn] == dotted


def test_names_that_would_meet_are_left_out():
    shown = ground(made_trial(CASES["12 pairs, 30 zones"]))
    all_names = apart(shown.names, 1.0)
    few = apart(shown.names, 80.0)
    assert len(all_names) == 12
    assert 1 < len(few) < 12
    gaps = np.diff([one.x for one in few])
    assert (np.abs(gaps) >= 80.0).all()


def test_the_picture_of_paper_is_whole_and_has_no_lengths_of_the_screen():
    result = made_trial()
    svg, wide, high = map_svg.static_svg(result, 2.0)
    assert svg.startswith("<svg xmlns=")
    assert "non-scaling-stroke" not in svg
    assert wide > ground(result).drawing.wide_m
    assert high > ground(result).drawing.high_m


# ---- the axis ----


@given(
    st.lists(st.floats(-60, 60), max_size=30),
    st.sampled_from([1.0, 67.251]),
)
def test_an_axis_holds_all_that_it_was_made_of(values, per):
    scale = axis_of(values, per)
    for value in (0.0, *values):
        assert 0 < scale.share(value) < 1
    assert 1 <= len(scale.ticks) <= 7
    assert 0.0 in scale.ticks
    shares = [share for share, _ in scale.marks()]
    assert shares == sorted(shares)
    assert all(0 <= share <= 1 for share in shares)


@given(st.floats(-40, 40), st.floats(-40, 40))
def test_places_on_an_axis_are_in_order_and_true_to_scale(one, other):
    scale = axis_of([one, other, 5.0], 1.0)
    apart_ = scale.share(one) - scale.share(other)
    assert apart_ * (scale.high - scale.low) == pytest.approx(one - other, abs=1e-9)


@pytest.mark.parametrize("case", CASES)
def test_pairs_zones_mean_and_what_pays_are_inside_the_axis(case):
    result = made_trial(CASES[case])
    scale = axis(result)
    held = [one.difference_bu_ac for one in result.pairs if one.why_not is None]
    if result.response is not None:
        held += [result.response.low_bu_ac, result.response.high_bu_ac]
    held += [one.low_bu_ac for one in (result.by_zone.zones if result.by_zone else ())]
    assert all(0 < scale.share(value) < 1 for value in held)
