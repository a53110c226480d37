"""What takes from the response besides the stage."""

import pytest

from zoning.returns.factors import volume_frac, volume_matters, yield_frac


@pytest.mark.parametrize(
    ("expected_bu_ac", "left"), [(0, 0.0), (7.5, 0.25), (29.9, 29.9 / 30), (30, 1.0), (75, 1.0), (-1, 0.0)]
)
def test_by_hand_poor_ground(expected_bu_ac, left):
    # a straight line from 0 to 30 bu/ac, then the same everywhere
    assert yield_frac(expected_bu_ac) == pytest.approx(left)


@pytest.mark.parametrize(("volume", "left"), [(5, 0.8), (10, 0.9), (12.5, 0.95), (15, 1.0), (20, 1.0)])
def test_by_hand_carrier_below_full_coverage(volume, left):
    # 2 % for each gallon below 15, where the volume matters at all
    assert volume_frac(volume, True) == pytest.approx(left)
    assert volume_frac(volume, False) == 1
    assert volume_frac(None, True) == 1


@pytest.mark.parametrize("pressure", ["low", "unknown", "medium", "high", "seen"])
@pytest.mark.parametrize("canopy", ["closed", "open", ""])
@pytest.mark.parametrize("kind", ["ground", "aerial", "drone"])
def test_volume_matters_to_a_ground_boom_over_a_closed_canopy_with_disease(pressure, canopy, kind):
    diseased = pressure not in ("low", "unknown")
    assert volume_matters(pressure, canopy, kind) is (diseased and (canopy, kind) == ("closed", "ground"))
