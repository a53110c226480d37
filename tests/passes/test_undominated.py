"""Visits that another one beats in everything are left out, and no others."""

from dataclasses import fields, replace

import numpy as np
import pytest
from made_farms import DAYS, FIRST_DAY, made_farm
from made_problems import machine, problem
from plain_columns import unbeaten

from zoning.passes.half_days import HalfDays
from zoning.passes.schedule.columns import Calendar, every_visit, undominated


def same(found, every):
    """The visits that stand by the definition, one by one."""
    expected = every.take(np.array(unbeaten(every), dtype=int))
    return all(
        np.array_equal(getattr(found, one.name), getattr(expected, one.name))
        for one in fields(found)
        if one.name != "outer"
    )


@pytest.mark.parametrize("seed", range(60))
def test_of_small_fields_those_stand_that_stand_by_the_definition(seed):
    farm = made_farm(seed)
    calendar = Calendar(first_day=FIRST_DAY, days=DAYS)
    for field in farm.fields:
        for one, rig in zip(field.problems, field.machine_here, strict=True):
            every = every_visit(one, rig, calendar)
            assert same(undominated(every), every)


def many_zones(seed, zones, blocks, days):
    """A field that another pass goes over anyway, small tanks and short half-days: most visits run on."""
    rng = np.random.default_rng(seed)
    peak, width = rng.uniform(2, days - 2, (2, zones, 1)) * [[[1]], [[0.3]]] + [[[0]], [[3]]]
    gain = rng.uniform(20, 60, (zones, 1)) * np.exp(-(((np.arange(days) - peak) / width) ** 2))
    block = np.sort(np.append(np.arange(blocks), rng.integers(0, blocks, zones - blocks)))
    asked = problem(
        np.stack([0.93 * gain, gain], axis=-1) - 12,
        rng.uniform(5, 30, zones),
        block_of_zone=tuple(block.tolist()),
        travel_h=0.2,
        goes_anyway=True,
        split_load_usd=30.0,
        may_fill_up=True,
    )
    hours = rng.uniform(0.5, 3, (days, 2)) * (rng.random((days, 2)) > 0.2)
    of_rig = HalfDays(first_day=200, planned_h=hours, futures_h=hours[None], source=("forecast",) * days)
    rig = replace(machine(volumes=2), acres_per_load=(30.0, 20.0), hours=of_rig)
    return every_visit(asked, rig, Calendar(first_day=200, days=days))


@pytest.mark.parametrize(("zones", "blocks", "days"), [(6, 3, 20), (15, 1, 20), (15, 3, 10)])
def test_of_large_fields_those_stand_that_stand_by_the_definition(zones, blocks, days):
    every = many_zones(zones + blocks, zones, blocks, days)
    found = undominated(every)
    assert same(found, every)
    # or the comparison would be of no use
    assert 200 < len(found) < 0.9 * len(every)
    assert (found.end > found.start).sum() > 100


@pytest.mark.parametrize("seed", range(5))
def test_the_order_of_the_visits_changes_nothing_but_ties(seed):
    every = many_zones(seed, 6, 2, 12)
    other = every.take(np.random.default_rng(seed).permutation(len(every)))
    assert np.sort(undominated(other).score) == pytest.approx(np.sort(undominated(every).score))
