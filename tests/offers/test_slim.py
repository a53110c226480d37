"""What is left of a field's choices for the one schedule: it chooses the same, and is small."""

import pickle
from dataclasses import replace

import numpy as np
import pytest
from made_offers import terms
from made_whole import DAYS, options_of, zone_of

from zoning.offers import choose as choosing
from zoning.offers.choose import choose
from zoning.offers.offered import Choice, Decided
from zoning.offers.slim import for_schedule, interned
from zoning.passes.half_days import HalfDays
from zoning.passes.problem import Limits
from zoning.returns.price import settle
from zoning.returns.sources import pooled

LIMITS = Limits(gap_frac=0.0, nodes=1000)
SEEDS = range(60)


def hours_of(rng):
    days = len(DAYS)
    planned_h = rng.uniform(0, 2, (days, 2))
    return HalfDays(
        first_day=int(DAYS[0]),
        planned_h=planned_h,
        futures_h=rng.uniform(0, 2, (512, days, 2)),
        source=("forecast",) * days,
    )


def choice_of(rng, name, money, hours):
    """Up to four zones with wheel tracks; some begun after noon return less, some are decided."""
    zones = tuple(
        zone_of(
            number,
            pooled(str(rng.choice(["low", "medium", "high", "seen"]))),
            float(rng.uniform(5, 60)),
            loss_bu_ac=float(rng.choice([0.0, 0.7])),
            late_d=float(rng.uniform(-3, 3)),
        )
        for number in range(1, int(rng.integers(2, 6)))
    )
    zones = tuple(replace(one, afternoon=one if rng.random() < 0.3 else None) for one in zones)
    # the chance of the first zone with part of its tracks is enough, so with all of them it may not be
    part = replace(zones[0].case, track_loss_bu_ac=zones[0].case.track_loss_bu_ac * 0.3)
    enough = settle(part, int(DAYS[5]), 15.0, money).chance_frac
    options = options_of(
        zones, replace(money, min_chance_frac=enough), visit_usd=float(rng.choice([0.0, 60.0]))
    )
    if rng.random() < 0.3:
        closed = rng.random(options.problem.net_usd_ac.shape) < 0.2
        closed[0, 0] = False
        options = replace(options, decided=Decided(closed=closed, forced=frozenset({1})))
    machine = replace(options.machine, name="rig", hours=hours)
    problem = replace(options.problem, field=name)
    return Choice(
        sprayer=None, zones=zones, options=replace(options, problem=problem, machine=machine), notes=()
    )


def fields_of(seed):
    rng = np.random.default_rng(seed)
    rule = str(rng.choice(["expected", "chance", "cautious"], p=[0.2, 0.6, 0.2]))
    money = replace(terms(), rule=rule, product_usd_ac=rng.uniform(0, 12))
    hours = hours_of(rng)
    return [(choice_of(rng, f"field {at}", money, hours),) for at in range(3)]


@pytest.mark.parametrize("seed", SEEDS)
def test_the_same_passes_are_chosen(seed):
    fields = fields_of(seed)
    slim = [tuple(for_schedule(one) for one in choices) for choices in fields]
    assert pickle.dumps(choose(slim, LIMITS)) == pickle.dumps(choose(fields, LIMITS))


def test_the_rule_refuses_zones_there_and_decisions_are_followed(monkeypatch):
    # or the comparison above would be of no use
    refused, followed = [], []
    find, without_bonus = choosing._refused, choosing.forced._without_bonus
    monkeypatch.setattr(choosing, "_refused", lambda *of: refused.append(find(*of)) or refused[-1])
    monkeypatch.setattr(
        choosing.forced, "_without_bonus", lambda *of: followed.append(of) or without_bonus(*of)
    )
    for seed in SEEDS:
        choose(fields_of(seed), LIMITS)
    assert sum(map(bool, refused)) > 10
    assert len(followed) > 3


def test_zones_are_left_only_where_the_rule_may_refuse_them():
    for choices in map(fields_of, SEEDS):
        for (choice,) in choices:
            slim = for_schedule(choice)
            judged = choice.options.terms[0].rule != "expected" and any(
                zone.case.track_loss_bu_ac > 0 for zone in choice.zones
            )
            assert len(slim.zones) == (len(choice.zones) if judged else 0)
            assert all(one.stage is None and one.outline.is_empty for one in slim.zones)
            if not judged:
                hours = len(pickle.dumps(choice.options.machine.hours))
                assert len(pickle.dumps(slim)) - hours < 8000 < len(pickle.dumps(choice)) - hours


def test_equal_hours_become_one_object_and_others_do_not():
    rng = np.random.default_rng(1)
    first, other = hours_of(rng), hours_of(rng)
    again = pickle.loads(pickle.dumps(first))  # as from a worker
    one_hour_more = first.futures_h.copy()
    one_hour_more[-1, -1, -1] += 1
    made = [
        first,
        again,
        other,
        replace(first, futures_h=one_hour_more),
        replace(first, past_years=3),
        replace(first, first_day=first.first_day + 1),
        replace(first, source=("past years",) * len(first.source)),
        replace(first, futures_h=first.futures_h.reshape(1024, -1, 2)[:, : len(DAYS)]),
    ]
    known: dict[bytes, HalfDays] = {}
    choices = [choice_of(rng, "field", terms(), hours) for hours in made]
    shared = [interned(choice, known).options.machine.hours for choice in choices]
    assert shared[1] is first
    assert all(one is hours for one, hours in zip(shared[2:], made[2:], strict=True))
    assert len(known) == len(made) - 1
