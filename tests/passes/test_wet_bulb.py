"""Wet bulb and delta T against a table of the formula and a psychrometric library."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.passes.hours.wet_bulb import delta_t_c, dew_point_c, wet_bulb_c

# Worked out apart from this code by the formula of Stull 2011: C, %, wet bulb, delta T. The row of 24 C was
# noted as 23.38, which is 23.37496 rounded twice.
TABLE = (
    (15, 40, 8.25, 6.75), (15, 80, 12.73, 2.27), (20, 30, 10.82, 9.18), (20, 50, 13.70, 6.30),
    (20, 70, 16.28, 3.72), (24, 95, 23.37, 0.63), (25, 30, 14.59, 10.41), (25, 40, 16.38, 8.62),
    (25, 60, 19.50, 5.50), (28, 75, 24.48, 3.52), (30, 30, 18.37, 11.63), (30, 40, 20.45, 9.55),
    (30, 50, 22.30, 7.70), (35, 40, 24.51, 10.49),
)  # fmt: skip


@pytest.mark.parametrize(("temp_c", "rh_pct", "wet_c", "drop_c"), TABLE)
def test_table_of_the_formula_of_stull(temp_c: float, rh_pct: float, wet_c: float, drop_c: float) -> None:
    assert float(wet_bulb_c(temp_c, rh_pct)) == pytest.approx(wet_c, abs=0.005001)
    # printed from the rounded wet bulb, so a whole last digit off at most
    assert float(delta_t_c(temp_c, rh_pct)) == pytest.approx(drop_c, abs=0.0101)


def test_example_of_the_paper_from_memory() -> None:
    # Stull 2011 as remembered: 20 C and 50 % give 13.7 C
    assert float(wet_bulb_c(20, 50)) == pytest.approx(13.7, abs=0.05)


def test_wet_bulb_against_psychrolib() -> None:
    """Within 0.7 C up to 35 C; in hotter and drier air the formula errs more (0.8 C at 40 C and 30 %)."""
    psychrolib = pytest.importorskip("psychrolib", reason="psychrolib is not installed")
    psychrolib.SetUnitSystem(psychrolib.SI)
    errors = [
        float(wet_bulb_c(temp_c, rh_pct)) - psychrolib.GetTWetBulbFromRelHum(temp_c, rh_pct / 100, 101_325)
        for temp_c in range(5, 36, 5)
        for rh_pct in range(10, 100, 5)
    ]
    assert np.abs(errors).max() < 0.7


def test_dew_point_against_psychrolib() -> None:
    psychrolib = pytest.importorskip("psychrolib", reason="psychrolib is not installed")
    psychrolib.SetUnitSystem(psychrolib.SI)
    above_freezing = 0
    for temp_c in range(5, 41, 5):
        for rh_pct in range(20, 101, 10):
            theirs = psychrolib.GetTDewPointFromRelHum(temp_c, rh_pct / 100)
            if theirs > 0:  # below, psychrolib gives the frost point
                above_freezing += 1
                assert float(dew_point_c(temp_c, rh_pct)) == pytest.approx(theirs, abs=0.1)
    assert above_freezing > 50


@given(temp_c=st.floats(0, 45), rh_pct=st.floats(10, 95))
def test_moister_air_has_less_delta_t(temp_c: float, rh_pct: float) -> None:
    assert delta_t_c(temp_c, rh_pct) >= delta_t_c(temp_c, rh_pct + 4) >= 0


def test_what_is_not_known_stays_so() -> None:
    assert np.isnan(delta_t_c([20, np.nan], [np.nan, 50])).all()
