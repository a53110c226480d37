"""The way to a field: hours, and which hub serves it."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.settings.model import Sprayer
from zoning.sprayer.travel import notes, served_by, straight_m, travel_h

HOME = (44.310, -95.385)
LATITUDES, LONGITUDES = st.floats(-55, 55), st.floats(-179, 179)


def rig(**changes: object) -> Sprayer:
    keys: dict[str, object] = {
        "name": "rig", "boom": "90 ft", "tank": "1000 gal", "fill_min": 15, "speed": ["5 mph", "14 mph"],
        "road_speed": "20 mph", "base": list(HOME),
    }  # fmt: skip
    keys.update(changes)
    return Sprayer.model_validate({key: value for key, value in keys.items() if value is not None})


@given(latitude=LATITUDES, longitude=LONGITUDES)
def test_witness_the_way_over_a_sphere(latitude, longitude):
    # great circle on a sphere of 6,371 km; the ellipsoid differs by at most 0.6 %
    north, other = map(math.radians, (HOME[0], latitude))
    turn = math.radians(longitude - HOME[1])
    chord = math.sin((other - north) / 2) ** 2 + math.cos(north) * math.cos(other) * math.sin(turn / 2) ** 2
    sphere_m = 2 * 6_371_000 * math.asin(math.sqrt(chord))
    assert straight_m(HOME, latitude, longitude) == pytest.approx(sphere_m, rel=0.006, abs=1)


def test_by_hand_hours_of_the_way():
    # along the equator a degree is 6,378,137 m x pi / 180 = 111,319.491 m = 69.171 mi; x 1.27 / 20 = 4.392 h
    at_equator = rig(base=[0, 10])
    assert travel_h(at_equator, 0, 11) == pytest.approx(4.392, abs=0.0005)
    # 0.05 of it at 25 km/h = 15.534 mph: 3.4586 x 1.27 / 15.534 = 0.2828 h
    assert travel_h(rig(base=[0, 10], road_speed="25 km/h"), 0, 10.05) == pytest.approx(0.2828, abs=0.0001)


def test_by_hand_an_aircraft_flies_straight_at_its_top_speed():
    # 69.171 mi / 140 mph = 0.4941 h; a drone comes by road
    flying = {"base": [0, 10], "speed": ["120 mph", "140 mph"]}
    assert travel_h(rig(kind="aerial", **flying), 0, 11) == pytest.approx(0.4941, abs=0.00005)
    assert travel_h(rig(kind="drone", **flying), 0, 11) == pytest.approx(4.392, abs=0.0005)


def test_without_a_base_the_way_costs_nothing_and_it_is_said():
    assert travel_h(rig(base=None), 44.4, -95.0) == 0
    said = notes([rig(), rig(name="other", base=None)])
    assert [one.code for one in said] == ["sprayer.no_base", "sprayer.way"]
    assert "other" in said[0].text
    assert "rig" not in said[0].values["sprayers"]
    assert [one.code for one in notes([rig()])] == ["sprayer.way"]
    assert notes([]) == ()


@given(latitude=LATITUDES, longitude=LONGITUDES, factor=st.floats(1, 4))
def test_a_faster_road_takes_less_time_in_proportion(latitude, longitude, factor):
    slow = travel_h(rig(road_speed="10 mph"), latitude, longitude)
    fast = travel_h(rig(road_speed=f"{10 * factor} mph"), latitude, longitude)
    assert fast * factor == pytest.approx(slow)
    assert travel_h(rig(), *HOME) == pytest.approx(0, abs=1e-9)


@given(latitude=LATITUDES, longitude=LONGITUDES)
def test_the_way_is_as_long_back_as_there(latitude, longitude):
    there = straight_m(HOME, latitude, longitude)
    assert straight_m((latitude, longitude), *HOME) == pytest.approx(there)


def test_one_hub_serves_every_field_with_all_its_sprayers():
    assert served_by([rig(), rig(name="b", base=None), rig(name="c", base=[0, 0])], 44.3, -95.4) == (0, 1, 2)
    assert served_by([], 44.3, -95.4) == ()


@given(st.lists(st.tuples(st.sampled_from("abc"), LATITUDES, LONGITUDES), min_size=1), LATITUDES, LONGITUDES)
def test_a_field_belongs_to_the_hub_whose_base_is_nearest(stations, latitude, longitude):
    fleet = [
        rig(name=f"rig {number}", hub=hub, base=[one, other])
        for number, (hub, one, other) in enumerate(stations)
    ]
    served = served_by(fleet, latitude, longitude)
    away_m = [straight_m(sprayer.base, latitude, longitude) for sprayer in fleet]
    hubs = {fleet[place].hub for place in served}
    assert len(hubs) == 1
    assert served == tuple(place for place, sprayer in enumerate(fleet) if sprayer.hub in hubs)
    if len({sprayer.hub for sprayer in fleet}) > 1:
        assert min(away_m[place] for place in served) == min(away_m)


def test_equally_near_hubs_are_taken_in_the_order_of_the_settings():
    pair = [rig(hub="east", base=[0, 11]), rig(name="b", hub="west", base=[0, 9])]
    assert served_by(pair, 0, 10) == (0,)
    assert served_by(pair[::-1], 0, 10) == (0,)


def test_several_hubs_without_a_base_are_a_fault_of_ours():
    with pytest.raises(ValueError, match="b has no base"):
        served_by([rig(hub="east"), rig(name="b", hub="west", base=None)], 0, 10)
