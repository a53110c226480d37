"""Chances and plans against seasons whose truth was made by rules of its own: `made_seasons`.

`tests/benchmarks/bench_value.py` prints the same for 4,000 fields; here is what can be told in seconds.
"""

import numpy as np
import pytest
from made_seasons import made_seasons
from made_values import (
    at_forecast_r3,
    chances,
    clairvoyant,
    clustered_se,
    each_block_at_r3,
    held,
    planned,
    reliability,
)

SEASONS, FIELDS_A_SEASON, SEED = 170, 8, 11
DRAWS = 128  # fewer than the program's 512: chances are rounded to 1/128
CALENDAR_DAY = 206  # near the mean of all forecasts of R3
WITHIN = 0.05


@pytest.fixture(scope="module")
def fields():
    return made_seasons(SEASONS, FIELDS_A_SEASON, SEED)


@pytest.fixture(scope="module")
def plans(fields):
    return [planned(one, seed=3, draws=DRAWS) for one in fields]


def beyond(of):
    """How far each fifth lies beyond what is allowed; above 0 where the chances are not calibrated."""
    return [abs(band.came - band.foretold) - (WITHIN + 2 * band.se) for band in reliability(of)]


def test_chances_come_true_in_each_fifth(fields, plans):
    of = chances(plans, [each_block_at_r3(one) for one in fields])
    assert max(beyond(of)) <= 0


def test_a_mean_that_is_a_bushel_too_high_is_seen_in_the_chances(fields):
    # the witness of the test above: it can fail, even on a quarter of the fields
    some = fields[::4]
    wrong = [held(one, seed=3, off_bu_ac=1.0, draws=DRAWS) for one in some]
    assert max(beyond(chances(wrong, [each_block_at_r3(one) for one in some]))) > 0


def test_the_zone_plan_returns_more_than_blankets_and_never(fields, plans):
    acres = np.array([one.area_ac.sum() for one in fields])
    season = np.array([one.season for one in fields])

    def usd_ac(days):
        return np.array([one.value_usd(day) for one, day in zip(fields, days, strict=True)]) / acres

    ours = usd_ac([one.day_of_zone for one in plans])
    others = {
        "R3": usd_ac([at_forecast_r3(one) for one in fields]),
        "calendar": usd_ac([np.full(len(one.zones), float(CALENDAR_DAY)) for one in fields]),
        "never": np.zeros(len(fields)),
    }
    for name, theirs in others.items():
        ahead = np.average(ours - theirs, weights=acres)
        assert ahead > 2 * clustered_se(ours - theirs, acres, season), name


def test_nobody_beats_who_knows_the_truth(fields, plans):
    some = range(0, len(fields), 8)
    known = [fields[one].value_usd(clairvoyant(fields[one])) for one in some]
    ours = [fields[one].value_usd(plans[one].day_of_zone) for one in some]
    assert sum(known) > sum(ours)
    assert min(known) >= 0
