"""Nozzle formulas against other people's tables."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.sprayer.nozzle import (
    colour,
    flow_at,
    metric_reference_psi,
    nozzle_gal_min,
    pressure_for,
    rated_gal_min,
    rated_l_min,
    reference_psi,
    sizes_gal_min,
    speeds_mph,
)
from zoning.units import (
    KMH_PER_MPH,
    L_PER_GAL,
    ac_h_from_mph,
    gal_ac_from_l_ha,
    ha_from_ac,
    l_ha_from_gal_ac,
)

IN_M = 0.0254


def test_published_pressure_for_a_higher_speed():
    # Iowa State crop news 844, lib.dr.iastate.edu/cropnews/844: 12 -> 15 mph at 40 psi needs 63 psi
    assert pressure_for(12, 15, rated_pressure=40) == pytest.approx(63, abs=0.5)


def test_published_flow_factor_of_three_times_the_pressure():
    # T. Wolf, Variable rate spraying, sprayers101.com: 30 -> 90 psi gives 1.73 x the flow
    assert flow_at(1, 90, rated_pressure=30) == pytest.approx(1.73, abs=0.005)


def test_by_hand_flow_factor_of_twice_the_pressure():
    # sqrt(60 / 30) = 1.414, "40 % more" in the same article
    assert flow_at(1, 60, rated_pressure=30) == pytest.approx(1.414, abs=0.0005)


@pytest.mark.parametrize(
    ("psi", "gal_min"), [(20, 0.283), (30, 0.346), (60, 0.490), (90, 0.600), (160, 0.800)]
)
def test_by_hand_flow_of_an_04_tip(psi, gal_min):
    # 0.40 x sqrt(psi / 40); the rated flow itself from sprayers101.com/nozzle-chart-twist
    rated = rated_gal_min("04")
    assert rated is not None
    assert flow_at(rated, psi, reference_psi()) == pytest.approx(gal_min, abs=0.0005)


@pytest.mark.parametrize(
    ("size", "l_min_at_2_bar", "l_ha"),
    [(2, 0.65, 131), (4, 1.31, 261)],
)
def test_published_metric_nozzle_table(size, l_min_at_2_bar, l_ha):
    # Nozzle coding table, royalbrinkman.com knowledge center: L/min at 2 bar, L/ha at 6 km/h and 0.5 m.
    # A metric table rates a tip at 3 bar with 0.4 L/min a size step, so the law is tested from there.
    flow = flow_at(0.4 * size, 2, rated_pressure=3)
    assert flow == pytest.approx(l_min_at_2_bar, abs=0.005)
    slow_mph = 6 / KMH_PER_MPH
    per_l_ha = nozzle_gal_min(gal_ac_from_l_ha(1), slow_mph, 0.5) * L_PER_GAL
    assert flow / per_l_ha == pytest.approx(l_ha, abs=0.5)


def test_by_hand_us_and_metric_rating_differ_by_the_pressure_only():
    # 04: 0.40 gal/min x 3.785412 = 1.514 L/min at 40 psi = 2.7579 bar -> 1.579 at 3 bar; metric 1.6
    at_3_bar = flow_at(0.40 * L_PER_GAL, 3, rated_pressure=2.7579)
    assert at_3_bar == pytest.approx(1.579, abs=0.0005)
    assert 1.6 / at_3_bar == pytest.approx(1.013, abs=0.001)


def test_by_hand_pressure_ratings_are_not_the_same_pressure():
    # 40 psi = 2.7579 bar; sqrt(3 / 2.7579) = 1.043: a tip gives 4.3 % more at 3 bar
    assert metric_reference_psi() == pytest.approx(43.51, abs=0.005)
    assert flow_at(1, metric_reference_psi(), reference_psi()) == pytest.approx(1.043, abs=0.0005)
    assert rated_l_min("04") == pytest.approx(1.579, abs=0.0005)
    assert rated_l_min("07") is None


@pytest.mark.parametrize(
    ("size", "word"),
    [
        *(("01", "orange"), ("015", "green"), ("02", "yellow"), ("025", "purple"), ("03", "blue")),
        *(("04", "red"), ("05", "brown"), ("06", "grey"), ("08", "white")),
    ],
)
def test_published_colours_of_the_sizes(size, word):
    # sprayers101.com/nozzle-chart-twist; McCloskey, Andrade-Sanchez and Brown 2012, University of Arizona
    assert colour(size) == word


def test_a_size_without_a_colour_of_the_standard_has_none():
    assert {colour(size) for size in ("10", "15", "20", "07", "")} == {""}


def test_by_hand_the_constants_from_their_units():
    # 5940 = 43,560 ft2 x 12 in x 60 min / 5,280 ft; 8.25 = 43,560 / 5,280; 600 = 10,000 m2 x 60 min / 1,000 m
    assert 43_560 * 12 * 60 / 5_280 == 5_940
    assert ac_h_from_mph(1, 0.3048) == pytest.approx(1 / (43_560 / 5_280), rel=1e-12)
    assert ac_h_from_mph(1, 0.3048) == pytest.approx(1 / 8.25, rel=1e-12)
    one_l_ha, one_km_h = gal_ac_from_l_ha(1), 1 / KMH_PER_MPH
    assert nozzle_gal_min(one_l_ha, one_km_h, 1) * L_PER_GAL == pytest.approx(1 / 600, rel=1e-12)
    assert ha_from_ac(ac_h_from_mph(one_km_h, 1)) == pytest.approx(1 / 10, rel=1e-12)


def test_by_hand_the_known_us_constant():
    # gal/min = gal/ac x mph x in / 5940, 5940 = 43560 x 12 x 60 / 5280 exactly
    assert nozzle_gal_min(1, 1, IN_M) == pytest.approx(1 / 5940, rel=1e-12)


@pytest.mark.parametrize(
    ("volume", "speed", "spacing_in", "gal_min"),
    [(20, 10, 20, 0.6734), (10, 14, 20, 0.4714), (20, 14, 20, 0.9428)],
)
def test_by_hand_nozzle_flow(volume, speed, spacing_in, gal_min):
    # volume x speed x spacing / 5940
    assert nozzle_gal_min(volume, speed, spacing_in * IN_M) == pytest.approx(gal_min, abs=0.00005)


def test_by_hand_metric_identity():
    # L/min = L/ha x km/h x m / 600: 93.54 x 22.531 x 0.508 / 600 = 1.784 L/min, the 10 gal/ac row above
    assert nozzle_gal_min(10, 14, 20 * IN_M) * L_PER_GAL == pytest.approx(
        93.54 * 22.531 * 0.508 / 600, rel=1e-4
    )


def test_by_hand_twice_the_volume_needs_four_times_the_pressure():
    flows = [nozzle_gal_min(volume, 14, 20 * IN_M) for volume in (10, 20)]
    assert pressure_for(0.4, flows[1], 40) / pressure_for(0.4, flows[0], 40) == pytest.approx(4)


@pytest.mark.parametrize(("low", "high", "at_one_speed"), [(10, 20, False), (10, 17, True), (12, 20, True)])
def test_by_hand_turndown_of_a_threefold_pressure_range(low, high, at_one_speed):
    # sqrt(90 / 30) = 1.732: 2.0 is out of reach at one speed, 1.7 and 1.667 are in reach
    flows = flow_at(0.4, 30, 40), flow_at(0.4, 90, 40)
    slow, fast = speeds_mph(low, 0.508, flows), speeds_mph(high, 0.508, flows)
    assert (slow[0] <= fast[1]) is at_one_speed


def test_by_hand_turndown_of_pulsed_nozzles():
    # duty 0.40-1.0 -> ratio 2.5, so 10 and 20 gal/ac meet at one speed
    flows = 0.4 * 0.5, 1.0 * 0.5
    assert speeds_mph(10, 0.508, flows)[0] <= speeds_mph(20, 0.508, flows)[1]


@given(
    volume=st.floats(2, 40),
    speed=st.floats(2, 20),
    spacing=st.floats(0.2, 1.0),
    size=st.sampled_from(list(sizes_gal_min())),
)
def test_pressure_and_flow_undo_each_other(volume, speed, spacing, size):
    rated = rated_gal_min(size)
    flow = nozzle_gal_min(volume, speed, spacing)
    pressure = pressure_for(rated, flow, 40)
    assert flow_at(rated, pressure, 40) == pytest.approx(flow)
    assert all(math.isclose(v, speed) for v in speeds_mph(volume, spacing, (flow, flow)))


def test_sizes_follow_the_rule_of_the_standard():
    # the digits of a size are tenths of a gallon a minute; a leading-zero three-digit size has a decimal
    for size, flow in sizes_gal_min().items():
        tenths = int(size) / 10 if len(size) == 3 else int(size)
        assert flow == pytest.approx(tenths / 10)
    assert l_ha_from_gal_ac(1) > 9
