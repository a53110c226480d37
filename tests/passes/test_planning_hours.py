"""Spray hours of the planning triple."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.evidence import entry, number, numbers
from zoning.passes.hours.triple import planning_hours_per_day
from zoning.words import Said


def test_by_hand_usual_and_robust_hours():
    # 5.7 / 7 x 6 = 4.9 h a day; 3.5 / 7 x 4 = 2.0 h a day; good week 6.4 / 7 x 6 = 5.5
    assert planning_hours_per_day(0.5) == pytest.approx(4.9, abs=0.05)
    assert planning_hours_per_day(0.175) == pytest.approx(2.0)
    assert planning_hours_per_day(0.825) == pytest.approx(5.5, abs=0.05)


def test_by_hand_between_the_points_hours_are_interpolated():
    # .3 lies .125 / .325 of the way from 2.0 to 4.886: 3.110
    assert planning_hours_per_day(0.3) == pytest.approx(3.110, abs=0.0005)


def test_outside_the_points_hours_are_held():
    assert planning_hours_per_day(0.01) == planning_hours_per_day(0.1) == pytest.approx(2.0)
    assert planning_hours_per_day(0.99) == planning_hours_per_day(0.9)


def test_published_days_of_the_triple():
    # USDA-NASS Iowa: 5.7 days fit for fieldwork in the weeks to 12 and 19 July 2020, 6.4 to 9 August 2020
    assert numbers("passes.field_days_per_week").tolist() == [3.5, 5.7, 6.4]
    assert entry("passes.planning_quantiles_frac").kind == "assumption"
    assert entry("passes.spray_hours_per_field_day").kind == "assumption"
    assert number("passes.longest_visit_d") == 3


@given(low=st.floats(0.01, 0.99), high=st.floats(0.01, 0.99))
def test_a_better_season_never_has_fewer_hours(low, high):
    low, high = sorted((low, high))
    assert planning_hours_per_day(low) <= planning_hours_per_day(high)


def test_the_figure_is_marked_as_a_planning_figure():
    first = date(2026, 7, 8)
    said = Said("hours.triple", first=first, hours=float(planning_hours_per_day(0.3)), percent=70)
    assert "from Jul 8 on spray hours are a planning figure and no forecast: 3.1 h a day" in said.text
