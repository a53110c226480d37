"""What a sprayer reaches, how fast, and how many acres an hour."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.settings.model import Sprayer
from zoning.sprayer.capacity import acres_per_load, cycle_ac_h, driving_ac_h
from zoning.sprayer.nozzle import sizes_gal_min
from zoning.sprayer.reach import reach
from zoning.sprayer.smallest import footprint, rate_footprint, smallest_rate_zone_ac, smallest_zone_ac, step_m

FT_M = 0.3048


def rig(**changes: object) -> Sprayer:
    """A 90-ft machine with 04 tips 20 in apart, 30-90 psi, 1,000 gal, 15 min a fill."""
    keys: dict[str, object] = {
        "name": "rig", "boom": "90 ft", "sections": 9, "nozzle": "04", "nozzle_spacing": "20 in",
        "pressure": ["30 psi", "90 psi"], "speed": ["5 mph", "14 mph"], "efficiency": 0.85,
        "tank": "1000 gal", "fill_min": 15,
    }  # fmt: skip
    keys.update(changes)
    return Sprayer.model_validate({key: value for key, value in keys.items() if value is not None})


@pytest.mark.parametrize(
    ("boom_ft", "mph", "efficiency", "ac_h"),
    [
        (40, 6, 0.70, 20.4),
        (60, 6, 0.68, 29.7),
        (60, 12, 0.68, 59.3),
        (80, 6, 0.68, 39.6),
        (80, 12, 0.68, 79.1),
    ],
)
def test_published_field_capacity(boom_ft, mph, efficiency, ac_h):
    # Estimating field capacity, AgDM A3-24, Iowa State (there the efficiency has filling in it)
    assert driving_ac_h(mph, boom_ft * FT_M, efficiency) == pytest.approx(ac_h, abs=0.05)


def test_published_base_case_of_a_self_propelled_sprayer():
    # T. Wolf, Spraying: race with the calendar, Western Producer June 2015: 14 mph, 90 ft, 15 % of driving
    # time turning, 37 % of the time filling -> 82 ac/h
    assert driving_ac_h(14, 90 * FT_M, 0.85) * (1 - 0.37) == pytest.approx(82, abs=0.5)


def test_witness_cycle_formula_against_shares_of_time():
    # the same sprayer with 800 gal, 10 gal/ac, 20-min fills: two ways of counting its fills agree within 3 %
    assert cycle_ac_h(driving_ac_h(14, 90 * FT_M, 0.85), acres_per_load(800, 10), 20 / 60) == pytest.approx(
        82, rel=0.03
    )


@pytest.mark.parametrize(
    ("boom_ft", "mph", "tank", "fill_min", "ac_h"),
    [
        (90, 14, 800, 20, (84.2, 71.7, 62.4)),
        (90, 14, 1000, 20, (90.6, 78.7, 69.6)),
        (120, 15, 1200, 8, (153.8, 141.7, 131.3)),
    ],
)
def test_by_hand_cycle_capacity(boom_ft, mph, tank, fill_min, ac_h):
    # 1 / (8.25 / (mph x ft x 0.85) + fill_h x gal/ac / tank) at 10, 15, 20 gal/ac;
    # first row: 8.25 / (14 x 90 x .85) = .007703; (20 / 60) / 80 = .004167; 1 / .011870 = 84.2
    driving = driving_ac_h(mph, boom_ft * FT_M, 0.85)
    found = [cycle_ac_h(driving, acres_per_load(tank, volume), fill_min / 60) for volume in (10, 15, 20)]
    assert found == pytest.approx(ac_h, abs=0.05)


@pytest.mark.parametrize(
    ("boom_ft", "mph", "tank", "fill_min", "loads_ac", "less"),
    [(90, 14, 800, 20, (80, 53.3, 40), 0.26), (120, 15, 1200, 8, (120, 80, 60), 0.15)],
)
def test_by_hand_fast_filling_shrinks_what_volume_costs(boom_ft, mph, tank, fill_min, loads_ac, less):
    # tank / gal/ac; 62.4 / 84.2 = .741 and 131.3 / 153.8 = .854: 20 gal/ac costs 26 % and 15 % of the acres
    loads = [acres_per_load(tank, volume) for volume in (10, 15, 20)]
    assert loads == pytest.approx(loads_ac, abs=0.05)
    driving = driving_ac_h(mph, boom_ft * FT_M, 0.85)
    low, _, high = (cycle_ac_h(driving, load, fill_min / 60) for load in loads)
    assert 1 - high / low == pytest.approx(less, abs=0.005)


def test_by_hand_spraying_time_of_a_load():
    # 80 ac a load at 14 x 90 / 8.25 x 0.85 = 129.8 ac/h: 37.0 min
    assert acres_per_load(800, 10) / driving_ac_h(14, 90 * FT_M, 0.85) * 60 == pytest.approx(37.0, abs=0.05)


def test_by_hand_fixed_tips_make_volume_dear():
    # top speed 5940 x 0.4 x sqrt(90 / 40) / (gal/ac x 20): 17.8 -> 14, 11.88, 8.91 mph;
    # 1 / (8.25 / (mph x 90 x .85) + .25 x gal/ac / 1000): 98.0, 78.0, 58.5 ac/h
    found = reach(rig(), (10, 15, 20))
    assert [round(at.speed_mph, 1) for at in found] == [14.0, 11.9, 8.9]
    assert [at.acres_per_hour for at in found] == pytest.approx([98.0, 78.0, 58.5], abs=0.05)
    assert [at.acres_per_load for at in found] == pytest.approx([100, 66.7, 50], abs=0.05)
    # pressure 40 x (10 x 14 x 20 / 5940 / 0.4)^2 = 55.55 psi; at the top of the range otherwise
    assert [at.pressure_psi for at in found] == pytest.approx([55.55, 90, 90], abs=0.005)
    assert [at.nozzle_gal_min for at in found] == pytest.approx([0.4714, 0.6, 0.6], abs=0.00005)


def test_by_hand_06_tips_are_too_large_for_10_gallons():
    # 5940 x 0.6 x sqrt(30 / 40) / (10 x 20) = 15.4 mph, above 14
    [at] = reach(rig(nozzle="06"), (10,))
    assert not at.reachable
    assert at.speed_mph is None
    assert at.acres_per_hour == 0
    assert "at least 15.4 mph" in at.why_not.text
    sizes = at.why_not.values["sizes"]
    # size q needs 5940 q sqrt(.75) / 200 <= 14, so q <= .544; and 5940 q x 1.5 / 200 >= 5, so q >= .112
    assert sizes == "015 or 02 or 025 or 03 or 04 or 05"
    for size in sizes.split(" or "):
        assert reach(rig(nozzle=size), (10,))[0].reachable


def test_by_hand_a_small_tip_is_refused_with_the_slower_speed():
    # 5940 x 0.1 x sqrt(90 / 40) / (20 x 20) = 2.2 mph, below 5
    [at] = reach(rig(nozzle="01"), (20,))
    assert not at.reachable
    assert at.why_not.code == "sprayer.needs_less_speed"
    assert "2.2 mph (3.6 km/h) or less" in at.why_not.text


def test_by_hand_no_size_would_do_it():
    # even the largest size, 2.0 gal/min at 40 psi, holds 300 gal/ac only up to 5940 x 2 x 1.5 / 6000 = 3 mph
    [at] = reach(rig(), (300,))
    assert at.why_not.code == "sprayer.needs_less_speed_no_size"


def test_by_hand_pulsed_nozzles():
    # 10 tips at 40 psi, duty 0.4-1.0: 10 gal/ac at 14 mph needs .4714 gal/min = duty .471, 20 needs .943
    pulsed = rig(nozzle="10", pressure="40 psi", duty=[0.4, 1.0])
    low, high = reach(pulsed, (10, 20))
    assert low.speed_mph == high.speed_mph == 14
    assert (low.duty_frac, high.duty_frac) == pytest.approx((0.4714, 0.9428), abs=0.00005)
    assert low.pressure_psi is None


def test_duty_with_a_pressure_range_is_not_guessed():
    [at] = reach(rig(duty=[0.4, 1.0]), (10,))
    assert at.why_not.code == "sprayer.duty_needs_one_pressure"


@pytest.mark.parametrize("gone", ["nozzle", "nozzle_spacing", "pressure"])
def test_a_ground_sprayer_without_its_nozzle_reaches_nothing(gone):
    [at] = reach(rig(**{gone: None}), (15,))
    assert (at.reachable, at.why_not.code) == (False, "sprayer.nozzle_missing")


def test_an_unknown_size_is_named_with_the_known_ones():
    [at] = reach(rig(nozzle="07"), (15,))
    assert at.why_not.code == "sprayer.nozzle_unknown"
    assert "025" in at.why_not.text


@pytest.mark.parametrize("kind", ["aerial", "drone"])
def test_without_a_nozzle_a_flying_machine_goes_at_its_top_speed(kind):
    flying = rig(kind=kind, nozzle=None, nozzle_spacing=None, pressure=None, speed=["10 mph", "15 mph"])
    for at in reach(flying, (2, 5)):
        assert at.reachable
        assert at.speed_mph == 15
        assert at.nozzle_gal_min is None


@given(
    volume=st.floats(3, 40),
    size=st.sampled_from(list(sizes_gal_min())),
    low=st.floats(15, 60),
    factor=st.floats(1, 4),
    slow=st.floats(2, 10),
    wider=st.floats(0, 12),
)
def test_what_is_reached_is_inside_every_limit(volume, size, low, factor, slow, wider):
    machine = rig(
        nozzle=size,
        pressure=[f"{low} psi", f"{low * factor} psi"],
        speed=[f"{slow} mph", f"{slow + wider} mph"],
    )
    [at] = reach(machine, (volume,))
    assert at.reachable is (at.why_not is None)
    if at.reachable:
        assert slow - 1e-9 <= at.slowest_mph <= at.speed_mph <= slow + wider + 1e-9
        assert low - 1e-6 <= at.pressure_psi <= low * factor + 1e-6
        faster = rig(
            nozzle=size,
            pressure=[f"{low} psi", f"{low * factor} psi"],
            speed=[f"{slow} mph", f"{slow + wider} mph"],
            fill_min=60,
        )
        assert reach(faster, (volume,))[0].acres_per_hour < at.acres_per_hour


@pytest.mark.parametrize(("mph", "feet"), [(14, (10, 41, 82, 164)), (10, (7, 29, 59, 117))])
def test_by_hand_distance_lost_while_the_rate_changes(mph, feet):
    # 14 mph = 20.533 ft/s, 10 mph = 14.667 ft/s; in 0.5, 2, 4 and 8 s
    found = [step_m(mph, lag_s) / FT_M for lag_s in (0.5, 2, 4, 8)]
    assert found == pytest.approx(feet, abs=0.5)
    # the metric form: s x km/h / 3.6
    assert step_m(mph, 2) == pytest.approx(2 * mph * 1.609344 / 3.6)


@pytest.mark.parametrize(("lag_s", "ac"), [(2, 0.25), (4, 0.51)])
def test_by_hand_smallest_zone_for_a_change_of_rate(lag_s, ac):
    # 14 mph = 20.53 ft/s; 90 ft x 3 x 41.07 ft = 0.25 ac, with 4 s 0.51 ac
    assert smallest_rate_zone_ac(rig(rate_lag_s=lag_s)) == pytest.approx(ac, abs=0.005)


def test_by_hand_sides_of_the_smallest_zone_for_a_change_of_rate():
    # 90 ft across; 2 s at 20.533 ft/s are 41.07 ft, x 3 = 123 ft along
    assert rate_footprint(rig(rate_lag_s=2)) == pytest.approx((90 * FT_M, 123.2 * FT_M), abs=0.05 * FT_M)


def test_by_hand_smallest_zone_is_square_where_the_step_is_short():
    # 5 mph, 0.5 s: 3 x 3.67 ft = 11 ft, less than the boom: 90 x 90 / 43560 = 0.186 ac
    assert smallest_rate_zone_ac(rig(rate_lag_s=0.5, speed=["3 mph", "5 mph"])) == pytest.approx(
        0.186, abs=0.0005
    )


def test_by_hand_smallest_zone_for_on_and_off():
    # section 10 ft; 3 x 20.53 x 0.5 = 30.8 ft: 308 ft2 = 0.0071 ac; one section: 90 x 90 ft = 0.186 ac
    assert smallest_zone_ac(rig()) == pytest.approx(0.0071, abs=0.00005)
    assert smallest_zone_ac(rig(sections=1)) == pytest.approx(0.186, abs=0.0005)


@pytest.mark.parametrize(("hours", "acres"), [(11.2, (1098, 873, 655)), (6.3, (617, 491, 368))])
def test_by_hand_acres_in_the_hours_there_are(hours, acres):
    # 3 days x 4.9 h less 6 x 35 min of moving = 11.2 h, 2 days 6.3 h; x 98.0, 78.0, 58.5 ac/h
    found = [at.acres_per_hour * hours for at in reach(rig(speed=["7 mph", "14 mph"]), (10, 15, 20))]
    assert found == pytest.approx(acres, abs=1)


def test_by_hand_footprint():
    # 90 ft in 9 sections is 10 ft each; 14 mph = 20.533 ft/s, x 0.5 s x 3 = 30.8 ft
    assert footprint(rig()) == pytest.approx((10 * FT_M, 30.8 * FT_M), abs=0.001)
    # without sections the boom; 30.8 ft along would be less than 90 ft across
    assert footprint(rig(sections=1)) == pytest.approx((90 * FT_M, 90 * FT_M))
    # 27 m in 9 sections is 3 m; 18 km/h = 5 m/s, x 1 s x 3 = 15 m
    metric = rig(boom="27 m", speed=["8 km/h", "18 km/h"], section_lag_s=1)
    assert footprint(metric) == pytest.approx((3, 15))


@given(
    sections=st.integers(1, 60),
    lag_s=st.floats(0.1, 5),
    top_mph=st.floats(6, 20),
    boom_ft=st.floats(20, 135),
)
def test_the_smallest_zone_is_the_footprint(sections, lag_s, top_mph, boom_ft):
    one = rig(sections=sections, section_lag_s=lag_s, speed=["5 mph", f"{top_mph} mph"], boom=f"{boom_ft} ft")
    across_m, along_m = footprint(one)
    assert along_m >= across_m
    assert across_m * sections == pytest.approx(one.boom_m)
    assert across_m * along_m / 4046.8564224 == pytest.approx(smallest_zone_ac(one))
