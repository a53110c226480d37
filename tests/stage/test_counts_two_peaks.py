"""Two ages of plants in one tally: found where there are two, not where there is one."""

from functools import cache

import numpy as np
import pytest

from zoning.inputs.given import AtOrPast, PodLength, StagedNote, Tally
from zoning.stage.likelihood import Expected, Visit, count_rules
from zoning.stage.two_peaks import two_peaks

AT = Expected(r1_day=192.0, r2_day=195.0, r3_day=205.0, r4_day=213.0, r5_day=219.0)


@cache
def found(*plants):
    return two_peaks(Visit(day=207.0, seen=Tally(plants)), AT, count_rules())


@pytest.mark.parametrize("r1", range(11))
def test_ten_plants_at_r1_to_r2_and_ten_at_r4_are_two_ages(r1):
    older, younger, share = found(0, r1, 10 - r1, 0, 10, 0)
    assert older.seen.plants == (0, 0, 0, 0, 10, 0)
    assert younger.seen.plants == (0, r1, 10 - r1, 0, 0, 0)
    assert (older.day, younger.day, share) == (207.0, 207.0, 0.5)


@pytest.mark.parametrize(
    "plants",
    [
        (0, 4, 12, 4, 0, 0),
        (0, 0, 4, 12, 4, 0),
        (0, 0, 10, 10, 0, 0),
        (2, 5, 12, 1, 0, 0),
        (0, 0, 0, 20, 0, 0),
        (0, 0, 0, 0, 0, 0),
        (0, 0, 2, 0, 2, 0),  # too few to tell
        (0, 0, 18, 0, 2, 0),  # two odd plants are no second stand
    ],
)
def test_one_age_is_not_split(plants):
    assert found(*plants) is None


@pytest.mark.parametrize("seen", [AtOrPast("R3", 10, 20), PodLength(8.0), StagedNote("R3")])
def test_only_a_tally_can_show_two_ages(seen):
    assert two_peaks(Visit(day=207.0, seen=seen), AT, count_rules()) is None


def test_no_plant_is_lost_and_the_older_are_further_on():
    older, younger, share = found(0, 6, 5, 2, 8, 1)
    both = [older.seen.plants, younger.seen.plants]
    assert np.sum(both, axis=0).tolist() == [0, 6, 5, 2, 8, 1]
    assert share == pytest.approx(sum(both[0]) / 22)
    stage = np.arange(6)
    assert np.dot(both[0], stage) / sum(both[0]) > np.dot(both[1], stage) / sum(both[1])


def tallies(seasons, ages_apart_d, seed=2):
    """Tally 20 plants, pairs of them alike, on a day from two weeks before the forecast's R3 to two after."""
    chance = np.random.default_rng(seed)
    n1, n2, n3, n4 = chance.standard_normal((4, seasons))
    r3 = 205 + chance.normal(0, 4, seasons)
    r2 = r3 - np.maximum(10 + 2.5 * n2, 0.5)
    r4 = r3 + np.clip(8 + 2.5 * n3, 5, 15)
    begins = np.stack([r2 - np.maximum(3 + 1.5 * n1, 0.5), r2, r3, r4, r4 + np.maximum(6 + 5.5 * n4, 0.5)])
    own = chance.normal(0, 3, (seasons, 10)) + ages_apart_d * (np.arange(10) % 2)
    day = 205 + chance.uniform(-14, 14, seasons) + chance.standard_normal(seasons)
    stage = (day[:, None, None] - own[:, :, None] >= begins.T[:, None, :]).sum(axis=2)
    return [tuple(2 * np.bincount(row, minlength=6)) for row in stage]


def test_honest_counts_of_one_age_raise_at_most_one_false_alarm_in_a_hundred():
    alarms = [found(*one) is not None for one in tallies(3000, 0)]
    print(f"false alarms: {np.mean(alarms):.2%}")
    assert np.mean(alarms) <= 0.01


def test_stands_three_weeks_apart_are_mostly_found():
    alarms = [found(*one) is not None for one in tallies(150, 21)]
    print(f"found: {np.mean(alarms):.0%}")
    assert np.mean(alarms) > 0.5


def test_as_few_plants_of_either_age_as_are_enough():
    assert two_peaks(Visit(day=207.0, seen=Tally((3, 0, 0, 0, 0, 3))), AT, count_rules()) is not None
    assert two_peaks(Visit(day=207.0, seen=Tally((3, 0, 0, 0, 0, 2))), AT, count_rules()) is None
