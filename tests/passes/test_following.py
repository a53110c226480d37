"""What a machine cannot follow of a map: runs and gaps too short to switch, islands, volumes, two rates."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, affinity, box

from zoning.inputs.given import Heading
from zoning.passes.following import Ground, not_followed, too_short
from zoning.settings.model import Sprayer
from zoning.sprayer.reach import nearest, reach
from zoning.sprayer.smallest import footprint

AC_M2 = 4046.8564224  # 43 560 international square feet
NORTH = Heading(0.0, "edge")


def rig(**more) -> Sprayer:
    made = {
        "name": "rig",
        "boom": "30 m",
        "sections": 3,
        "nozzle": "04",
        "nozzle_spacing": "20 in",
        "pressure": ["30 psi", "90 psi"],
        "speed": ["5 mph", "14 mph"],
        "tank": "1000 gal",
        "fill_min": 15,
        "section_lag_s": 1,
    }
    return Sprayer.model_validate(made | more)


def ground(treated, field, closed=()) -> Ground:
    """A map that treats some ground of a field."""
    dry = shapely.difference(field, shapely.union_all([*treated, *closed]))
    parts = [(one, 15.0) for one in treated]
    parts += [(one, 0.0) for one in (*shapely.get_parts(dry), *closed) if one.area > 1e-9]
    return Ground(parts=parts, crop=[field], closed=list(closed))


def figures(*of, **more):
    """Treated ground in runs too short, and ground in gaps too short, in m2; islands."""
    found = too_short(*of, **more)
    return found.runs_ac * AC_M2, found.gaps_ac * AC_M2, found.islands


def test_by_hand_the_shortest_run():
    # 14 mph are 14 x 0.44704 = 6.25856 m/s; three times the way of 1 s is 18.776 m, and a section is 10 m
    assert footprint(rig()) == pytest.approx((10.0, 18.77568))
    # at 10 mph 13.411 m
    assert footprint(rig(), 10.0) == pytest.approx((10.0, 13.4112))


def test_by_hand_runs_and_gaps():
    field = box(0, 0, 30, 400)
    # three sections of 10 m. Runs of 100 m and of 15 m (3 x 10 x 15 = 450 m2 too short), 10 m apart
    # (3 x 10 x 10 = 300 m2 of gap), and 275 m of nothing up to the field's end, which is no gap
    map_of = ground([box(0, 0, 30, 100), box(0, 110, 30, 125)], field)
    # the run of 15 m is an island of 450 m2 too, which is more than the 187.8 m2 of the smallest zone
    assert figures(map_of, NORTH, rig()) == (pytest.approx(450), pytest.approx(300), 0)
    # at 10 mph a run of 15 m is long enough and a gap of 10 m still too short
    assert figures(map_of, NORTH, rig(), speed_mph=10.0) == (0.0, pytest.approx(300), 0)
    # across, sections pass along runs of 30 m, each next to nothing else in its section
    assert figures(map_of, Heading(90.0, "edge"), rig()) == (0.0, 0.0, 0)


def test_by_hand_islands_count_once():
    field = box(0, 0, 30, 400)
    # 5 x 18 m = 90 m2: smaller than the smallest zone of 187.8 m2, and its run is too short as well
    # 2 x 60 m = 120 m2: smaller too, though its run is long enough
    map_of = ground([box(0, 0, 5, 18), box(12, 100, 14, 160)], field)
    assert figures(map_of, NORTH, rig()) == (pytest.approx(90 + 120), 0.0, 2)


def test_by_hand_a_setback_makes_a_gap():
    # a ditch of 4 m across the way, of which the sections keep off: 3 x 10 x 4 = 120 m2 too short a gap
    field, ditch = box(0, 0, 30, 400), box(0, 200, 30, 204)
    map_of = ground([box(0, 0, 30, 200), box(0, 204, 30, 400)], field, closed=[ditch])
    assert figures(map_of, NORTH, rig()) == (0.0, pytest.approx(120), 0)


def test_by_hand_a_setback_closes_the_whole_width_of_a_section():
    # it reaches over half of the first section only; all 10 m of it close for 4 m, of which 5 x 4 m are dry
    field, yard = box(0, 0, 30, 400), box(0, 200, 5, 204)
    map_of = ground([shapely.difference(field, yard)], field, closed=[yard])
    assert figures(map_of, NORTH, rig()) == (0.0, pytest.approx(20), 0)


def test_the_tip_of_a_field_is_no_fault_of_the_map():
    point = Polygon([(0, 0), (300, 0), (300, 60)])  # its first sections have runs of 2, 4, ... m
    assert figures(ground([point], point), NORTH, rig()) == (0.0, 0.0, 0)
    # but treating strips of it is
    strips = [box(200, y, 300, y + 5) for y in range(0, 40, 10)]
    assert too_short(ground(strips, point), NORTH, rig()).share_frac > 0.9


def test_zones_side_by_side_are_one_run():
    field = box(0, 0, 30, 400)
    zones = [box(0, y, 30, y + 10) for y in range(0, 400, 10)]
    assert figures(ground(zones, field), NORTH, rig()) == (0.0, 0.0, 0)
    # nor does a tenth of a millimetre between them, as left by the way to degrees and back, make two runs
    apart = [box(0, y + 0.0001, 30, y + 10) for y in range(0, 400, 10)]
    assert too_short(ground(apart, field), NORTH, rig()).share_frac < 1e-6


@st.composite
def maps(draw):
    """A slanted field with some treated rectangles, and a heading."""
    sides = st.integers(2, 120)
    field = affinity.skew(box(0, 0, draw(st.integers(60, 300)), draw(st.integers(60, 300))), xs=20)
    boxes = []
    for _ in range(draw(st.integers(1, 6))):
        x, y = draw(st.integers(0, 300)), draw(st.integers(0, 300))
        boxes.append(affinity.rotate(box(x, y, x + draw(sides), y + draw(sides)), draw(st.integers(0, 90))))
    union = shapely.intersection(shapely.union_all(boxes), field)
    treated = [one for one in shapely.get_parts(union) if one.geom_type == "Polygon" and one.area > 1]
    return treated, field, draw(st.integers(0, 359))


def cut(treated, field, degrees, sprayer):
    """The same figures, cut strip by strip by another way: an independent witness."""
    section_m, least_m = footprint(sprayer)

    def upright(area):
        return affinity.rotate(area, degrees, origin=(0, 0))  # so that the heading leads north

    treated, field = [upright(one) for one in treated], upright(field)
    west, south, east, north = field.bounds
    large = shapely.union_all([one for one in treated if one.area >= section_m * least_m])
    dry = shapely.difference(field, shapely.union_all(treated))
    runs_m2 = sum(one.area for one in treated if one.area < section_m * least_m)
    gaps_m2 = 0.0
    for number in range(int(np.ceil((east - west) / section_m))):
        left, right = west + number * section_m, west + (number + 1) * section_m
        spans = [
            merged([one.intersection(box(left, south, right, north)) for one in some])
            for some in (treated, [field])
        ]
        for low, high in spans[0]:
            of_field = next(one for one in spans[1] if one[0] - 1e-6 <= low and high <= one[1] + 1e-6)
            if high - low < least_m and of_field[1] - of_field[0] >= least_m:
                runs_m2 += large.intersection(box(left, low, right, high)).area
        for (_, low), (high, _) in zip(spans[0], spans[0][1:], strict=False):
            if high - low < least_m:
                gaps_m2 += dry.intersection(box(left, low, right, high)).area
    return runs_m2, gaps_m2


def merged(areas):
    """Stretches along the heading, of ground within a section."""
    parts = [part for area in areas for part in shapely.get_parts(area) if part.area > 1e-3]
    found: list[list[float]] = []
    for low, high in sorted((part.bounds[1], part.bounds[3]) for part in parts):
        if found and low <= found[-1][1] + 0.01:
            found[-1][1] = max(found[-1][1], high)
        else:
            found.append([low, high])
    return found


@settings(max_examples=60)
@given(maps())
def test_a_witness_that_cuts_strips_agrees(made):
    treated, field, degrees = made
    if not treated:
        return
    found = figures(ground(treated, field), Heading(float(degrees), "edge"), rig())
    runs_m2, gaps_m2 = cut(treated, field, degrees, rig())
    # half a percent of the treated ground: slivers of a millimetre, and runs that are as long as the shortest
    # one to a millimetre, fall on either side
    slack_m2 = 0.005 * sum(one.area for one in treated) + 0.5
    assert found[0] == pytest.approx(runs_m2, abs=slack_m2)
    assert found[1] == pytest.approx(gaps_m2, abs=slack_m2)


def told(map_of, sprayer, volume_gal_ac=15.0):
    (at,) = reach(sprayer, (volume_gal_ac,))
    return not_followed(map_of, NORTH, sprayer, nearest(sprayer, at))


def codes(map_of, sprayer, volume_gal_ac=15.0):
    not_done, doubts = told(map_of, sprayer, volume_gal_ac)
    return [said.code for said in not_done], [said.code for said in doubts]


def test_too_much_in_short_runs_is_not_followed_and_less_is_a_note():
    field = box(0, 0, 30, 2000)
    whole, island = box(0, 0, 30, 1000), box(0, 1500, 30, 1515)  # 15 m at 11.9 mph need 15.96
    assert codes(ground([whole], field), rig()) == ([], [])
    # 450 of 30 450 m2 are 1.5 %: more than the one percent that is told
    assert codes(ground([whole, island], field), rig()) == ([], ["passes.some_runs_short"])
    # four of them are 1 800 of 31 800 m2, 5.7 %: more than the five that are let pass
    islands = [box(0, y, 30, y + 15) for y in (1100, 1200, 1300, 1400)]
    assert codes(ground([whole, *islands], field), rig()) == (["passes.runs_too_short"], [])
    (why,), _ = told(ground([whole, *islands], field), rig())
    assert "as much as 5.7 % of the treated ground, where 5 % are let pass" in why.text


def test_a_volume_that_is_held_at_no_speed_is_not_followed():
    map_of = ground([box(0, 0, 30, 300)], box(0, 0, 30, 400))
    assert codes(map_of, rig(nozzle="06"), 10.0) == (["sprayer.needs_more_speed"], [])
    assert codes(map_of, rig(nozzle="04"), 10.0) == ([], [])


def test_by_hand_two_rates_in_one_map_must_share_a_speed():
    def two(low, high):
        parts = [(box(0, 0, 30, 300), low), (box(0, 300, 30, 600), high)]
        return Ground(parts=parts, crop=[box(0, 0, 30, 600)], closed=[])

    # sqrt(90 / 30) = 1.73: 10 and 20 lie 2 times apart, 12 and 20 lie 1.67 times apart
    assert codes(two(10.0, 20.0), rig()) == (["passes.no_one_speed"], [])
    assert codes(two(12.0, 20.0), rig()) == ([], [])
    # pulsed nozzles at 0.4 to 1: 2.5 times
    pulsed = rig(nozzle="08", pressure="40 psi", duty=[0.4, 1.0])
    assert codes(two(10.0, 20.0), pulsed) == ([], [])
