"""Two carrier volumes at one speed, and the pressure that would reach a volume."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.settings.model import Sprayer
from zoning.sprayer.nozzle import nozzle_gal_min, sizes_gal_min
from zoning.sprayer.reach import nozzle_at, reach
from zoning.sprayer.remedies import by_pressure
from zoning.sprayer.turndown import most_ratio, one_speed_for


def rig(**changes: object) -> Sprayer:
    """04 tips 20 in apart, 30-90 psi, 5-14 mph."""
    keys: dict[str, object] = {
        "name": "rig", "boom": "90 ft", "nozzle": "04", "nozzle_spacing": "20 in", "tank": "1000 gal",
        "pressure": ["30 psi", "90 psi"], "speed": ["5 mph", "14 mph"], "fill_min": 15,
    }  # fmt: skip
    keys.update(changes)
    return Sprayer.model_validate({key: value for key, value in keys.items() if value is not None})


PULSED = rig(nozzle="10", pressure="40 psi", duty=[0.4, 1.0])
SIZES = st.sampled_from(list(sizes_gal_min()))
PRESSURES = st.tuples(st.floats(15, 60), st.floats(1, 4))


def test_by_hand_most_ratio():
    # sqrt(90 / 30) = 1.732; duty 1.0 / 0.4 = 2.5
    assert most_ratio(rig()) == pytest.approx(1.732, abs=0.0005)
    assert most_ratio(PULSED) == pytest.approx(2.5)
    # 28.28 -> 40 psi: sqrt(2); one pressure and no duty holds one volume at a speed
    assert most_ratio(rig(pressure=["20 psi", "40 psi"])) == pytest.approx(1.414, abs=0.0005)
    assert most_ratio(rig(pressure=["40 psi", "40 psi"])) == 1


def test_published_practical_limit_of_a_plain_sprayer():
    # T. Wolf, Variable rate spraying, sprayers101.com/variable-rate-spraying: 3 x the pressure, flow x 1.73
    assert most_ratio(rig(pressure=["30 psi", "90 psi"])) == pytest.approx(1.73, abs=0.005)


@pytest.mark.parametrize(("low", "high", "is_there"), [(10, 20, False), (10, 17, True), (12, 20, True)])
def test_by_hand_turndown_at_one_speed(low, high, is_there):
    # ratios 2.0, 1.7 and 1.667 against 1.732
    assert (one_speed_for(rig(), low, high) is not None) is is_there
    assert (high / low <= most_ratio(rig())) is is_there


def test_by_hand_speeds_that_two_volumes_share():
    # 12 gal/ac: 5940 x .4 / 240 x sqrt(.75) = 8.57 mph and up; 20: 5940 x .4 / 400 x 1.5 = 8.91 and down
    assert one_speed_for(rig(), 12, 20) == pytest.approx((8.57, 8.91), abs=0.005)
    assert one_speed_for(rig(), 20, 12) == one_speed_for(rig(), 12, 20)


def test_by_hand_pulsed_nozzles_make_twice_the_volume():
    # 10 gal/ac from 5940 x 1.0 x .4 / 200 = 11.88 mph on; 20 up to 5940 / 400 = 14.85, above 14
    assert one_speed_for(PULSED, 10, 20) == pytest.approx((11.88, 14), abs=0.005)


def test_by_hand_twice_the_volume_at_three_times_the_pressure_or_at_half_the_speed():
    # 10 gal/ac at 14 mph: 20 needs 14 x 1.732 / 2 = 12.12 mph with 3 x the pressure, 7 mph at the same
    _, at_10, _ = nozzle_at(rig(), 10, 14)
    assert nozzle_at(rig(), 20, 12.124)[1] == pytest.approx(3 * at_10, rel=0.0005)
    assert nozzle_at(rig(), 20, 7)[1] == pytest.approx(at_10)


@pytest.mark.parametrize("gone", ["nozzle", "nozzle_spacing", "pressure"])
def test_without_its_nozzle_nothing_is_said(gone):
    lacking = rig(**{gone: None})
    assert most_ratio(lacking) is None
    assert one_speed_for(lacking, 10, 11) is None
    assert by_pressure(lacking, 10) is None
    assert nozzle_at(lacking, 10, 10) == (None, None, None)


@given(low=st.floats(3, 30), ratio=st.floats(1, 4), pressures=PRESSURES, size=SIZES)
def test_volumes_share_a_speed_just_where_both_are_held_at_it(low, ratio, pressures, size):
    psi = [f"{pressures[0]} psi", f"{pressures[0] * pressures[1]} psi"]
    machine = rig(nozzle=size, pressure=psi, speed=["2 mph", "30 mph"])
    shared = one_speed_for(machine, low, low * ratio)
    if shared is None:
        at_low, at_high = reach(machine, (low, low * ratio))
        assert not (at_low.reachable and at_high.reachable) or at_low.slowest_mph > at_high.speed_mph
        return
    assert ratio <= most_ratio(machine) * (1 + 1e-9)
    for mph in shared:
        assert 2 <= mph <= 30
        for volume in (low, low * ratio):
            _, at_psi, _ = nozzle_at(machine, volume, mph)
            assert pressures[0] * (1 - 1e-9) <= at_psi <= pressures[0] * pressures[1] * (1 + 1e-9)


def test_by_hand_a_lower_pressure_would_reach_it():
    # 06 tips at 14 mph and 10 gal/ac: 40 x (.4714 / .6)^2 = 24.69 psi = 1.702 bar, written as 24 and 1.7
    said = by_pressure(rig(nozzle="06"), 10)
    assert said.code == "sprayer.or_lower_pressure"
    assert (said.values["psi"], said.values["bar"], said.values["mph"]) == (24, 1.7, 14)
    assert reach(rig(nozzle="06", pressure=["24 psi", "90 psi"]), (10,))[0].reachable
    assert reach(rig(nozzle="06", pressure=["1.7 bar", "90 psi"]), (10,))[0].reachable


def test_by_hand_a_higher_pressure_would_reach_it():
    # 02 tips at 5 mph and 20 gal/ac: .3367 gal/min, 40 x (.3367 / .2)^2 = 113.4 psi = 7.817 bar: 114 and 7.9
    said = by_pressure(rig(nozzle="02"), 20)
    assert said.code == "sprayer.or_higher_pressure"
    assert (said.values["psi"], said.values["bar"], said.values["mph"]) == (114, 7.9, 5)
    assert reach(rig(nozzle="02", pressure=["30 psi", "7.9 bar"]), (20,))[0].reachable


def test_by_hand_no_pressure_of_a_nozzle_would_reach_it():
    # 01 tips, 5 mph, 20 gal/ac: 40 x (.3367 / .1)^2 = 453 psi; 20 tips, 14 mph, 5: 40 x (.2357 / 2)^2 = .6
    assert by_pressure(rig(nozzle="01"), 20) is None
    assert by_pressure(rig(nozzle="20"), 5) is None


def test_by_hand_pulsed_nozzles_at_another_pressure():
    # 10 tips, least duty .4, 5 gal/ac at 14 mph: .2357 / .4 = .5893 gal/min in full: 40 x .5893^2 = 13.9 psi
    said = by_pressure(PULSED, 5)
    assert (said.code, said.values["psi"]) == ("sprayer.or_lower_pressure", 13)
    assert reach(rig(nozzle="10", pressure="13 psi", duty=[0.4, 1.0]), (5,))[0].reachable


@given(volume=st.floats(2, 60), pressures=PRESSURES, size=SIZES)
def test_what_is_proposed_does_it(volume, pressures, size):
    low, high = pressures[0], pressures[0] * pressures[1]
    machine = rig(nozzle=size, pressure=[f"{low} psi", f"{high} psi"])
    said = by_pressure(machine, volume)
    assert said is None or not reach(machine, (volume,))[0].reachable
    if said is not None:
        for new in (f"{said.values['psi']} psi", f"{said.values['bar']} bar"):
            is_lower = said.code == "sprayer.or_lower_pressure"
            mended = rig(nozzle=size, pressure=[new, f"{high} psi"] if is_lower else [f"{low} psi", new])
            assert reach(mended, (volume,))[0].reachable


@given(volume=st.floats(3, 40), mph=st.floats(3, 20))
def test_the_nozzle_at_a_speed_gives_what_the_volume_needs(volume, mph):
    flow, psi, duty = nozzle_at(rig(), volume, mph)
    assert flow == pytest.approx(nozzle_gal_min(volume, mph, 20 * 0.0254))
    assert duty is None
    assert psi == pytest.approx(40 * (flow / 0.4) ** 2)
    _, none, duty = nozzle_at(PULSED, volume, mph)
    assert none is None
    assert duty == pytest.approx(flow / 1.0)
