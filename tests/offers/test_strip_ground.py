"""Zones cut by check strips: nothing is lost, and no crumb is left that only rounding tells from its zone."""

import numpy as np
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.affinity import rotate

from zoning.inputs.given import Strip
from zoning.offers.check_strips.ground import cut


def strips_at(left_m, width_m=20.0, turn_deg=0.0):
    outlines = [shapely.box(left_m + at, -900, left_m + at + width_m, 900) for at in (0.0, width_m)]
    turned = [rotate(one, turn_deg, origin=(0, 0)) for one in outlines]
    return [
        Strip(pair=1, treatment=treatment, outline=outline)
        for treatment, outline in zip(("untreated", "treated"), turned, strict=True)
    ]


def test_by_hand_a_crumb_stays_with_its_zone():
    # zone 1 reaches 2 cm over the strip's edge, by a tooth of 10 m: 0.2 m2; it keeps that ground whole
    tooth = shapely.box(0, 0, 100, 50).union(shapely.box(100, 0, 100.02, 10))
    zones = [tooth, shapely.box(0, 0, 200, 50).difference(tooth)]
    pieces = [one for one in cut(zones, strips_at(100.0), [True, True]) if one.place == 0]
    assert [(round(one.outline.area, 6), one.strip) for one in pieces] == [(5000.2, None)]


def test_by_hand_a_tooth_wider_than_a_crumb_lies_in_the_strip():
    # 20 cm over the edge by a tooth of 10 m: 2 m2
    tooth = shapely.box(0, 0, 100, 50).union(shapely.box(100, 0, 100.2, 10))
    zones = [tooth, shapely.box(0, 0, 200, 50).difference(tooth)]
    pieces = [one for one in cut(zones, strips_at(100.0), [True, True]) if one.place == 0]
    assert [round(one.outline.area, 6) for one in pieces] == [5000.0, 2.0]
    assert [one.strip.treatment for one in pieces if one.strip is not None] == ["untreated"]


@given(st.integers(0, 10_000), st.floats(-60, 60), st.floats(0, 179))
def test_stairs_under_turned_strips(seed, left_m, turn_deg):
    # zones with the stairs of cells of 10 m, as they are drawn, under strips in any heading
    steps = np.random.default_rng(seed).integers(-4, 5, 20) * 10.0
    west = shapely.union_all([shapely.box(-100, 10 * i - 100, x, 10 * i - 90) for i, x in enumerate(steps)])
    zones = [west, shapely.box(-100, -100, 100, 100).difference(west)]
    pieces = cut(zones, strips_at(left_m, turn_deg=turn_deg), [True, True])
    for place, zone in enumerate(zones):
        of_zone = [one.outline for one in pieces if one.place == place]
        assert np.isclose(sum(one.area for one in of_zone), zone.area, atol=0.5)
        for one in of_zone:
            single = shapely.get_parts(one)
            assert shapely.area(single).min() >= 1.0
