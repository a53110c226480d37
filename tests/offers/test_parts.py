"""A farm of several hubs is planned part by part: as good as at once, and laid out as if it were at once."""

import pickle
from functools import cache

import numpy as np
import pytest
from made_hubs import made_hubs, without_sprayer
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from zoning.offers.choose import choose
from zoning.offers.parts import Part, joined, parts
from zoning.passes.half_days import HALVES
from zoning.passes.problem import Limits

LIMITS = Limits(gap_frac=0.001, nodes=2000)
SEEDS = range(60)
CENT = 1e-2  # models this small are solved to the end, up to a thousandth of a dollar of preferences


def hubs_of(seed):
    fields = made_hubs(seed, 1 + seed % 3)
    return [without_sprayer(fields[0]), *fields[1:]] if seed % 4 == 3 else fields


def apart(fields, limits=LIMITS):
    found = parts(fields)
    return joined([choose([fields[at] for at in one.fields], limits) for one in found], found)


@cache
def both(seed):
    fields = hubs_of(seed)
    return choose(fields, LIMITS), apart(fields)


def names(fields):
    return [{choice.options.machine.name for choice in choices} for choices in fields]


@pytest.mark.parametrize("seed", SEEDS)
def test_parts_are_what_a_library_of_graphs_finds(seed):
    fields = hubs_of(seed)
    one_each = [{name or f"nobody {at}" for name in of} for at, of in enumerate(names(fields))]
    every = sorted(set().union(*one_each))
    row, column = zip(
        *((at, len(fields) + every.index(name)) for at, of in enumerate(one_each) for name in of), strict=True
    )
    size = len(fields) + len(every)
    _, label = connected_components(coo_array((np.ones(len(row)), (row, column)), shape=(size, size)))
    expected = {tuple(np.flatnonzero(label[: len(fields)] == one).tolist()) for one in set(label)}
    found = parts(fields)
    assert {one.fields for one in found} == expected
    assert [one.fields[0] for one in found] == sorted(one.fields[0] for one in found)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_parts_together_are_worth_what_the_whole_is(seed):
    whole, split = (one.schedule for one in both(seed))
    assert split.value_usd == pytest.approx(whole.value_usd, abs=CENT)
    # both bounds are true: no plan exceeds either
    assert split.bound_usd >= whole.value_usd - 1e-6
    assert whole.bound_usd >= split.value_usd - 1e-6
    assert split.gap_frac <= LIMITS.gap_frac
    assert (split.solver, split.every_set) == (whole.solver, whole.every_set)
    assert sum(split.field_usd) == pytest.approx(split.value_usd)


@pytest.mark.parametrize("seed", SEEDS)
def test_they_are_laid_out_as_the_whole_is(seed):
    whole, split = both(seed)
    assert [one.name for one in split.machines] == [one.name for one in whole.machines]
    for one, other in zip(split.machines, whole.machines, strict=True):
        assert np.array_equal(one.hours.futures_h, other.hours.futures_h)
    assert [one.field for one in split.schedule.chosen] == [one.field for one in whole.schedule.chosen]
    assert split.schedule.first_day == whole.schedule.first_day
    for name in ("hour_usd", "used_h"):
        shapes = [[one.shape for one in getattr(both_, name)] for both_ in (split.schedule, whole.schedule)]
        assert shapes[0] == shapes[1]
    assert list(split.schedule.worth_usd) == list(whole.schedule.worth_usd)
    for key, usd in split.schedule.worth_usd.items():
        if key[1]:  # fields without a sprayer have all one name
            assert usd == pytest.approx(whole.schedule.worth_usd[key], abs=CENT)


@pytest.mark.parametrize("seed", SEEDS)
def test_used_hours_are_those_of_the_visits_and_no_more_than_there_are(seed):
    _, together = both(seed)
    schedule = together.schedule
    used = {
        one.name: np.zeros_like(hours) for one, hours in zip(together.machines, schedule.used_h, strict=True)
    }
    for visit in (visit for one in schedule.chosen for visit in one.visits if visit.sprayer):
        for part in visit.parts:
            used[visit.sprayer][part.day - schedule.first_day, HALVES.index(part.half)] += part.hours_h
    for machine, hours in zip(together.machines, schedule.used_h, strict=True):
        if machine.name:
            assert hours == pytest.approx(used[machine.name])
            days = schedule.first_day + np.arange(len(hours))
            assert (hours <= machine.hours.of(days) + 1e-7).all()


def test_the_farms_have_several_parts_that_compete_for_hours():
    # or the comparisons above would be of no use
    assert sum(len(parts(hubs_of(seed))) > 1 for seed in SEEDS) > 40
    assert sum(any((usd > 1).any() for usd in both(seed)[1].schedule.hour_usd) for seed in SEEDS) > 20


@pytest.mark.parametrize("seed", range(0, 60, 3))
def test_a_farm_that_is_one_part_gets_the_very_schedule_of_the_whole(seed):
    whole, split = both(seed)
    if len(parts(hubs_of(seed))) == 1:
        assert pickle.dumps(split) == pickle.dumps(whole)


@pytest.mark.parametrize("seed", range(20))
def test_another_order_of_the_fields_has_the_same_parts_and_is_worth_the_same(seed):
    fields = hubs_of(seed)
    other = [fields[at] for at in np.random.default_rng(seed).permutation(len(fields))]

    def named(of):
        return {frozenset(of[at][0].options.problem.field for at in one.fields) for one in parts(of)}

    assert named(fields) == named(other)
    assert apart(other).schedule.value_usd == pytest.approx(apart(fields).schedule.value_usd, abs=CENT)


@pytest.mark.parametrize("seed", range(20))
def test_the_order_in_which_parts_are_chosen_plays_no_part(seed):
    fields = hubs_of(seed)
    of = parts(fields)
    found = {one: choose([fields[at] for at in one.fields], LIMITS) for one in reversed(of)}
    assert pickle.dumps(joined([found[one] for one in of], of)) == pickle.dumps(apart(fields))


def test_fields_without_a_sprayer_are_parts_of_their_own():
    fields = [without_sprayer(one) for one in made_hubs(4, 2)]
    expected = tuple(Part(fields=(at,), machines=(at,)) for at in range(len(fields)))
    assert parts(fields) == expected


def test_a_farm_without_fields_has_no_parts_and_an_empty_schedule():
    together = joined([], parts([]))
    assert together.machines == ()
    assert pickle.dumps(together) == pickle.dumps(choose([], LIMITS))
