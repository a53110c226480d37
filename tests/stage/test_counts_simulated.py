"""Simulated truth: 5,000 seasons with known R3 and honest counts of 20 plants; the interval must hold 80 %.

The plants stand in ten pairs that are alike, which is a design effect of 2 exactly; a visit errs as a whole
by N(0, 1) d; the intervals have their own spread. The day of the count is known beforehand: it is set by the
forecast, as a scout would set it, or (for the SD only) by the true R3, which no scout knows.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from zoning.chance import normals
from zoning.inputs.given import Tally
from zoning.stage.likelihood import GRID, STEP_D, Expected, Visit, count_rules, log_likelihood
from zoning.stage.posterior import Place, moved, posterior
from zoning.stage.spread import model_sd_d

AT = Expected(r1_day=192.0, r2_day=195.0, r3_day=205.0, r4_day=213.0, r5_day=219.0)
SEASONS = 5000
WEEK_BEFORE, WITHIN_THREE_DAYS = (-7.0, -7.0), (-3.0, 3.0)
STANDARD = normals(1, 512, "shift")
STEPS = 450  # of the wide grid to either side
SDS_D = sorted({model_sd_d(2.5, "indeterminate"), 5.0})


def seasons(sd_d, days, by_truth, seed=11):
    """Shift of R3, day of the count (in steps of the grid from the forecast R3), plants at each stage."""
    chance = np.random.default_rng(seed)
    shift_d = chance.normal(0, sd_d, SEASONS)
    steps = np.rint(days[0] / STEP_D), np.rint(days[1] / STEP_D)
    step = chance.integers(steps[0], steps[1] + 1, SEASONS)
    if by_truth:
        step = step + np.rint(shift_d / STEP_D).astype(int)
    n1, n2, n3, n4 = chance.standard_normal((4, SEASONS))
    r3 = shift_d
    r2 = r3 - np.maximum(10 + 2.5 * n2, 0.5)
    r4 = r3 + np.clip(8 + 2.5 * n3, 5, 15)
    begins = np.stack([r2 - np.maximum(3 + 1.5 * n1, 0.5), r2, r3, r4, r4 + np.maximum(6 + 5.5 * n4, 0.5)])
    pairs = chance.normal(0, 3, (SEASONS, 10))
    judged = step * STEP_D + chance.standard_normal(SEASONS)
    stage = (judged[:, None, None] - pairs[:, :, None] >= begins.T[:, None, :]).sum(axis=2)
    plants = [tuple(2 * np.bincount(row, minlength=6)) for row in stage]
    return shift_d, step.tolist(), plants


@cache
def likelihood(step, plants):
    """A count `step` steps after the forecast R3 says what it says on that day, as many steps later."""
    return wide(plants)[STEPS - step - len(GRID) // 2 :][: len(GRID)]


@cache
def wide(plants):
    shift_d = STEP_D * np.arange(-STEPS, STEPS + 1)
    return log_likelihood([Visit(day=AT.r3_day, seen=Tally(plants))], AT, shift_d, count_rules())


@cache
def interval(sd_d, floor_d, step, plants):
    """10 and 90 % quantile of the moved draws, and the posterior's SD."""
    rules = replace(count_rules(), floor_d=floor_d)
    here = Place("v", "North", "1", sd_d)
    (told,) = posterior([here], likelihood(step, plants)[None], [here], rules)
    return *np.quantile(moved(sd_d * STANDARD, sd_d, told), [0.1, 0.9]), told.sd_d


def judged(sd_d, days, *, by_truth=False, floor_d=0.0):
    """Share of the seasons in which the 80 % interval holds, and the mean SD."""
    shift_d, step, plants = seasons(sd_d, days, by_truth)
    low, high, left_d = np.array([interval(sd_d, floor_d, *one) for one in zip(step, plants, strict=True)]).T
    return np.mean((low <= shift_d) & (shift_d <= high)), left_d.mean()


def test_by_hand_the_wide_likelihood_is_that_of_the_day():
    plants = (0, 2, 14, 4, 0, 0)
    own = log_likelihood([Visit(day=AT.r3_day - 7, seen=Tally(plants))], AT, GRID, count_rules())
    near = np.abs(GRID) < 20
    assert np.diff(likelihood(-35, plants)[near]) == pytest.approx(np.diff(own[near]), abs=1e-6)


@pytest.mark.parametrize("sd_d", SDS_D)
def test_the_interval_holds_before_a_count(sd_d):
    shift_d, *_ = seasons(sd_d, WEEK_BEFORE, False)
    low, high = np.quantile(sd_d * STANDARD, [0.1, 0.9])
    assert 0.78 <= np.mean((low <= shift_d) & (shift_d <= high)) <= 0.82


@pytest.mark.parametrize("sd_d", SDS_D)
@pytest.mark.parametrize("days", [WEEK_BEFORE, WITHIN_THREE_DAYS])
def test_the_interval_holds_after_a_count(sd_d, days):
    held, left_d = judged(sd_d, days)
    print(f"prior {sd_d} d, {days} of the forecast R3: {held:.3f} held, SD {left_d:.2f} d")
    held_with_floor, _ = judged(sd_d, days, floor_d=count_rules().floor_d)
    print(f"with the floor: {held_with_floor:.3f} held")  # told, not judged
    assert 0.78 <= held <= 0.82


@pytest.mark.parametrize("sd_d", SDS_D)
def test_a_count_a_week_before_narrows(sd_d):
    _, left_d = judged(sd_d, WEEK_BEFORE)
    assert left_d <= 2.2


@pytest.mark.parametrize("sd_d", SDS_D)
def test_a_count_within_three_days_narrows(sd_d):
    held, left_d = judged(sd_d, WITHIN_THREE_DAYS, by_truth=True)
    print(f"prior {sd_d} d, within 3 d of the true R3: SD {left_d:.2f} d, {held:.3f} held")
    assert left_d <= 1.7


def test_a_count_within_three_days_of_the_forecast_narrows_under_the_models_own_error():
    _, left_d = judged(model_sd_d(2.5, "indeterminate"), WITHIN_THREE_DAYS)
    assert left_d <= 1.7
