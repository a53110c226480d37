"""Crop pressed down on a driven acre."""

from datetime import date

import pytest

from zoning.returns.tracks import boom_loss_frac, is_late, loss_frac
from zoning.settings.model import Sprayer

MAY, JUNE = date(2026, 5, 5), date(2026, 6, 10)


def rig(boom="90 ft", **more):
    return Sprayer(name="rig", boom=boom, speed=["5 mph", "14 mph"], tank="1000 gal", fill_min=15, **more)


def test_by_hand_constant_of_narrow_rows():
    # S. Conley quoted by DTN, 10 July 2014: 2.5 % at 60 ft, 1.9 at 90, 1.3 at 120:
    # (150 + 171 + 156) / 3 = 159
    assert 100 * boom_loss_frac(1) == pytest.approx(159)


@pytest.mark.parametrize(
    ("boom_ft", "percent", "bu_ac"), [(60, 2.65, 1.59), (90, 1.77, 1.06), (120, 1.33, 0.80)]
)
def test_by_hand_loss_by_boom(boom_ft, percent, bu_ac):
    # 159 / boom; times 60 bu/ac
    assert 100 * boom_loss_frac(boom_ft) == pytest.approx(percent, abs=0.0051)
    assert 60 * boom_loss_frac(boom_ft) == pytest.approx(bu_ac, abs=0.0051)


def test_by_hand_late_planting_and_wide_rows():
    # 159/90 = 1.767 %, late x 1.57 = 2.774 %; wide rows .4 % whenever planted
    assert loss_frac(rig(), 0.381, MAY, 44) == pytest.approx(0.01767, abs=0.00001)
    assert loss_frac(rig(), 0.381, JUNE, 44) == pytest.approx(0.02774, abs=0.00001)
    assert loss_frac(rig(), 0.762, JUNE, 44) == 0.004
    assert loss_frac(rig(), 0.508, MAY, 44) == loss_frac(rig(), 0.19, MAY, 44)  # 20 in is still narrow


def test_witness_mechanistic_formula_for_late_15_inch_rows():
    # Holshouser and Taylor 2006, poster 62: June-planted loss 1.00 of the area run over;
    # two wheels, one row each
    mechanistic = 2 * 1 * 1.25 * 1.00 / 90
    assert loss_frac(rig(), 0.381, JUNE, 44) == pytest.approx(mechanistic, rel=0.01)


def test_no_tracks_by_air_or_where_they_exist():
    assert loss_frac(rig(kind="aerial"), 0.381, MAY, 44) == 0
    assert loss_frac(rig(kind="drone"), 0.381, MAY, 44) == 0
    assert loss_frac(rig(tracks_exist=True), 0.381, MAY, 44) == 0
    assert loss_frac(rig(tracks_exist=False), 0.381, MAY, 44) > 0


def test_late_is_half_a_year_later_in_the_south():
    assert [is_late(day, 44) for day in (date(2026, 6, 1), date(2026, 6, 2))] == [False, True]
    south = [date(2026, 11, 5), date(2026, 12, 1), date(2026, 12, 2), date(2027, 1, 10)]
    assert [is_late(day, -32) for day in south] == [False, False, True, True]
