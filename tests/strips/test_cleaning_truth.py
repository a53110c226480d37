"""Cleaning of simulated harvests whose truth is known: lag, gross errors, narrow passes, yields."""

from functools import cache

import numpy as np
import pytest
from made_harvests import Harvest, made

from zoning.strips.cleaned.cleaning import clean
from zoning.strips.terms import Cleaned

FIELDS = range(40, 48)
MAIN_S = -0.9  # most of the grain comes so much before the mean, for that of the sieves comes late


@cache
def cleaned(seed: int, corrected_s: float, gives: str = "flow") -> tuple[Harvest, Cleaned]:
    harvest = made(seed, corrected_s=corrected_s, gives=gives, effect_bu_ac=3.0)
    return harvest, clean(harvest.points, harvest.ground.header_m)


@pytest.mark.parametrize("seed", FIELDS)
def test_the_lag_is_found_although_ways_and_swaths_are_wrong_here_and_there(seed: int) -> None:
    harvest, found = cleaned(seed, 0.0)
    assert found.lag.unit == "s"
    assert found.lag.amount == pytest.approx(harvest.truth.lag_s + MAIN_S, abs=1.5)
    assert found.lag.likeness > found.lag.likeness_before + 0.1


@pytest.mark.parametrize("seed", FIELDS)
def test_what_a_terminal_took_off_is_not_taken_off_again(seed: int) -> None:
    harvest, found = cleaned(seed, 10.0)
    assert abs(found.lag.amount - harvest.truth.lag_s - MAIN_S) < 3.0


@pytest.mark.parametrize("seed", FIELDS)
def test_yields_follow_the_ground_once_they_are_clean(seed: int) -> None:
    for gives in ("flow", "yield"):
        harvest, found = cleaned(seed, 0.0, gives)
        kept = found.kept
        likeness = np.corrcoef(found.yield_bu_ac[kept], harvest.truth.yield_bu_ac[kept])[0, 1]
        raw = np.isfinite(found.yield_bu_ac)
        assert likeness > 0.65
        assert likeness > np.corrcoef(found.yield_bu_ac[raw], harvest.truth.yield_bu_ac[raw])[0, 1] + 0.1
        assert 0.55 < kept.mean() < 0.9


@pytest.mark.parametrize("seed", FIELDS)
def test_few_points_stay_that_were_cut_with_a_part_of_the_header(seed: int) -> None:
    harvest, found = cleaned(seed, 0.0)
    narrow = ~harvest.truth.is_cutting
    assert found.kept[narrow].mean() < 0.45 * found.kept[~narrow].mean()
