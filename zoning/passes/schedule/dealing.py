"""Plan the fields and sprayers that belong together: at once, or dealt out over the sprayers.

Several sprayers that are alike make a model as many times as large, of which most is the same again. Then
the relaxation of all of them together gives the bound, and says which fields each of them gets; each
sprayer's fields are a model of their own, and what one leaves out the next one may take.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import numpy.typing as npt

from zoning.passes.problem import Limits
from zoning.passes.schedule.columns import Columns, by_day
from zoning.passes.schedule.kinds import Kind
from zoning.passes.schedule.model import Model, Offers, Sprayers, model
from zoning.passes.schedule.solve import Relaxed, relax, solve, tighten

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_AT_ONCE = 6000  # method: visits times sprayers up to which several sprayers are planned in one model
_NEAR_FRAC = 0.02  # method: visits this near to being worth it are dealt out; share of a sprayer's bound
_LEAST_SHARE = 1e-6  # method: of a field that counts as sprayed in the relaxation


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Taken:
    """The visits taken of one field, and the place of the machine that makes them."""

    field: int
    machine: int
    columns: Columns


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Found:
    """A plan of fields that belong together; `hour_usd` is by kind of sprayer."""

    taken: tuple[Taken, ...]
    score: float
    bound: float
    nodes: int
    solver: Literal["exact", "greedy"]
    hour_usd: dict[int, Floats]


def plan(offers: Sequence[Offers], kinds: Sequence[Kind], limits: Limits) -> Found:
    """Plan the visits of fields that belong together.

    Parameters
    ----------
    offers : sequence of Offers
        Of these fields.
    kinds : sequence of Kind
        All kinds of sprayers of the farm.
    limits : Limits
        When to stop.
    """
    mine = sorted({one.kind for one in offers})
    if len(offers) == 1:  # nobody shares its hours
        offers = [replace(offers[0], columns=by_day(offers[0].columns))]
    sprayers = [kinds[kind].sprayers() for kind in mine]
    pooled = _model(offers, mine, sprayers)
    machines = [(kind, at) for kind in mine for at in kinds[kind].machines]
    single = len(machines) == 1 or len(offers) == 1
    at_once = single or len(machines) * pooled.visits <= _AT_ONCE
    relaxed = tighten(pooled, sprayers, relax(pooled), roughly=not at_once)
    hour_usd = {kind: _hour_usd(pooled, relaxed, at) for at, kind in enumerate(mine)}
    if at_once:
        known = relaxed if single else None  # for one sprayer the model is the same
        found = _at_once(offers, kinds, machines[:1] if single else machines, limits, known)
    else:
        found = _dealt(offers, kinds, (pooled, relaxed), limits)
    return replace(found, bound=max(found.score, min(found.bound, relaxed.bound)), hour_usd=hour_usd)


def _model(offers: Sequence[Offers], kinds: Sequence[int], sprayers: Sequence[Sprayers]) -> Model:
    place = {kind: at for at, kind in enumerate(kinds)}
    return model([replace(one, kind=place[one.kind]) for one in offers], sprayers)


def _hour_usd(asked: Model, relaxed: Relaxed, kind: int) -> Floats:
    row = asked.hours_row[kind]
    return np.where(row >= 0, relaxed.row_worth[row], 0.0)


def _at_once(
    offers: Sequence[Offers],
    kinds: Sequence[Kind],
    machines: Sequence[tuple[int, int]],
    limits: Limits,
    relaxed: Relaxed | None = None,
    *,
    roughly: bool = False,
) -> Found:
    """Plan all machines in one model, each by itself; `relaxed` is that model's where it is known."""
    every, of_machine = [], []
    for place, (kind, at) in enumerate(machines):
        mine = [replace(one, kind=place) for one in offers if one.kind == kind]
        every += mine
        of_machine += [at] * len(mine)
    sprayers = [Sprayers(count=1, hours_h=kinds[kind].hours_h) for kind, _ in machines]
    asked = model(every, sprayers)
    if relaxed is None:
        relaxed = relax(asked)
        relaxed = relaxed if roughly else tighten(asked, sprayers, relaxed)
    found = solve(asked, relaxed, limits, roughly=roughly)
    return Found(
        taken=_taken(asked, found.taken, every, of_machine),
        score=found.score,
        bound=min(found.bound, relaxed.bound),
        nodes=found.nodes,
        solver=found.solver,
        hour_usd={},
    )


def _taken(
    asked: Model, choice: npt.NDArray[np.bool_], offers: Sequence[Offers], machines: Sequence[int]
) -> tuple[Taken, ...]:
    rows: dict[int, list[int]] = {}
    for column in np.flatnonzero(choice[: asked.visits]).tolist():
        rows.setdefault(int(asked.offers[column]), []).append(int(asked.row[column]))
    return tuple(
        Taken(field=offers[of].field, machine=machines[of], columns=offers[of].columns.take(np.array(some)))
        for of, some in rows.items()
    )


def _dealt(
    offers: Sequence[Offers], kinds: Sequence[Kind], pooled: tuple[Model, Relaxed], limits: Limits
) -> Found:
    """Deal the fields out over the sprayers, and plan each sprayer's by themselves."""
    asked, relaxed = pooled
    mine = sorted({one.kind for one in offers})
    machines = [(kind, at) for kind in mine for at in kinds[kind].machines]
    dealt = _deal(offers, asked, relaxed, machines)
    offers = _near(offers, asked, relaxed, len(machines))
    plans: dict[int, tuple[Taken, ...]] = {at: () for _, at in machines}
    scores = dict.fromkeys(plans, 0.0)
    nodes, solver = 0, dict.fromkeys(plans, "exact")
    for kind, at in machines:
        others = {one.field for taken in plans.values() for one in taken}
        kept = {field for field, to in dealt.items() if to != at}
        some = [one for one in offers if one.kind == kind and one.field not in others | kept]
        found = _at_once(some, kinds, [(kind, at)], limits, roughly=True)
        plans[at], scores[at], solver[at] = found.taken, found.score, found.solver
        nodes += found.nodes
        dealt = {field: to for field, to in dealt.items() if to != at}  # what is left is anybody's
    return Found(
        taken=tuple(one for taken in plans.values() for one in taken),
        score=sum(scores.values()),
        bound=relaxed.bound,
        nodes=nodes,
        solver="greedy" if "greedy" in solver.values() else "exact",
        hour_usd={},
    )


def _near(offers: Sequence[Offers], asked: Model, relaxed: Relaxed, machines: int) -> list[Offers]:
    """Leave the visits that lack little to be worth it at the worth of the hours."""
    near = relaxed.short[: asked.visits] <= _NEAR_FRAC * relaxed.bound / machines
    ends = np.cumsum([len(one.columns) for one in offers])[:-1]
    return [
        replace(one, columns=one.columns.take(keep))
        for one, keep in zip(offers, np.split(near, ends), strict=True)
    ]


def _deal(
    offers: Sequence[Offers], asked: Model, relaxed: Relaxed, machines: Sequence[tuple[int, int]]
) -> dict[int, int]:
    """Say which machine gets each field that the relaxation sprays.

    One of the kind that sprays most of it there. Fields are dealt in the order of their half-days, each to
    the machine with the fewest hours so far.
    """
    share = relaxed.share[: asked.visits]
    parts = np.split(share, np.cumsum([len(one.columns) for one in offers])[:-1])
    best: dict[int, tuple[float, float, float, int]] = {}
    for one, part in zip(offers, parts, strict=True):
        much = float(part.sum())
        if much > best.get(one.field, (_LEAST_SHARE,))[0]:
            hours = float(part @ (one.columns.first_h + one.columns.last_h))
            best[one.field] = much, float(part @ one.columns.start) / much, hours, one.kind
    spent = dict.fromkeys(machines, 0.0)
    dealt = {}
    for field, (_, _, hours, kind) in sorted(best.items(), key=lambda item: (item[1][1], item[0])):
        to = min((one for one in machines if one[0] == kind), key=lambda one: spent[one])
        spent[to] += hours
        dealt[field] = to[1]
    return dealt
