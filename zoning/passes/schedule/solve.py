"""Solve a model: the best choice of visits, and a bound that no choice can exceed.

Stops on gap or on a count of nodes, never on the clock, so that the same farm has the same plan everywhere.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import numpy.typing as npt
from scipy import optimize, sparse

from zoning.passes.problem import Limits
from zoning.passes.schedule.greedy import greedy
from zoning.passes.schedule.model import Model, Sprayers
from zoning.passes.schedule.still import results_only
from zoning.passes.schedule.whole_visits import broken_rows, with_rows

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

WHOLE = 1e-6  # method: how near to 0 or 1 a share of the relaxation counts as whole
_ROUND = 1e-7  # method: what the solver's tolerances may hide
_SMALL = 1000  # method: visits up to which a model is solved to the end, whatever the gap asked for
_ROUNDS = 12  # method: how often the relaxation is asked which rows it breaks
_FAR_FRAC = 0.03  # method: visits that lack more than this share of the bound are not needed for it
_FEW_FRAC = 0.001  # method: the same where one of several equal relaxations will do
_GAIN_FRAC = 2e-4  # method: fall of the bound, as a share, below which that is not asked again
_WIDE_FRAC = 0.005  # method: gap from which on outer visits may do; a smaller one needs the others
_MANY = 2  # method: from so many near visits for an outer one on, the outer ones are tried by themselves
_NEAR_FRAC = 0.01  # method: visits this near to being worth it, as a share of the bound, are tried first
_ROUGH_FRAC = 0.003  # method: the same where others are not tried after them and the gap may be wide


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Relaxed:
    """The relaxation, in which visits may be made in part: a bound, worths of the rows, and shares.

    `short` is what each column lacks to be worth it at the worths of the rows, 0 or more.
    """

    bound: float
    row_worth: Floats
    short: Floats
    share: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solved:
    """A choice of columns, its score, and a bound on any choice's."""

    taken: Bools
    score: float
    bound: float
    nodes: int
    solver: Literal["exact", "greedy"]


def tighten(
    asked: Model,
    sprayers: Sequence[Sprayers],
    first: Relaxed,
    *,
    roughly: bool = False,
    gain_frac: float = _GAIN_FRAC,
) -> Relaxed:
    """Lower the bound of the relaxation by rows that say that visits are whole.

    Parameters
    ----------
    asked : Model
        The rows so far.
    sprayers : sequence of Sprayers
        Those of the model.
    first : Relaxed
        Of this model.
    roughly : bool
        Begin with fewer visits. The bound holds as well, as others join where they would be worth it; among
        relaxations that count the same another one may be found.
    gain_frac : float
        Fall of the bound, as a share, below which no more rows are sought.
    """
    best = first
    among = np.asarray(first.short <= (_FEW_FRAC if roughly else _FAR_FRAC) * first.bound)
    for _ in range(_ROUNDS):
        rows, most = broken_rows(asked, best.share, sprayers)
        if not rows:
            break
        asked = with_rows(asked, rows, most)
        now = relax(asked, among)
        among |= now.short <= _FEW_FRAC * now.bound if roughly else now.share > 0  # near now, or joined
        small = best.bound - now.bound < gain_frac * best.bound
        best = now if now.bound < best.bound else best
        if small:
            break
    return replace(best, row_worth=first.row_worth)


def relax(asked: Model, among: Bools | None = None) -> Relaxed:
    """Solve the relaxation.

    Parameters
    ----------
    asked : Model
        Its rows and columns.
    among : ndarray of bool, optional
        Columns to begin with; others join where they would be worth it.

    Notes
    -----
    The bound is taken from the worths of the rows (weak duality, all columns, each at most once), so it holds
    whatever the solver's tolerance.
    """
    if not asked.score.size:
        none = np.zeros(0)
        return Relaxed(bound=0.0, row_worth=np.zeros(asked.most.size), short=none, share=none)
    some = np.flatnonzero(np.ones(asked.score.size) if among is None else among)
    found = optimize.linprog(  # type: ignore[call-overload]  # sparse rows are taken too
        -asked.score[some], A_ub=asked.matrix[:, some], b_ub=asked.most, bounds=(0, None), method="highs"
    )
    if found.x is None:
        raise RuntimeError(f"the relaxation of the schedule was not solved: {found.message}")
    row_worth = np.clip(-found.ineqlin.marginals, 0, None)
    over = asked.score - asked.matrix.T @ row_worth
    if among is not None and (missing := ~among & (over > _ROUND)).any():
        return relax(asked, among | missing)
    share = np.zeros(asked.score.size)
    share[some] = found.x
    return Relaxed(
        bound=float(row_worth @ asked.most + np.clip(over, 0, None).sum()),
        row_worth=row_worth,
        short=np.clip(-over, 0, None),
        share=share,
    )


def solve(asked: Model, relaxed: Relaxed, limits: Limits, *, roughly: bool = False) -> Solved:
    """Choose the best visits.

    Parameters
    ----------
    asked : Model
        Of single sprayers, not of several that are alike.
    relaxed : Relaxed
        Of this model.
    limits : Limits
        When to stop. Small models are solved to the end.
    roughly : bool
        Do with visits that lack little.

    Notes
    -----
    A visit that lacks more than what a plan in hand is below the bound cannot be in a better plan, so it is
    left out without loss. First the visits are tried that lack little; what that plan leaves open says which
    others may still matter. Where fields have many sets of zones and the gap may be wide, those come before
    them that no mix of two others equals: zones of the same window enter by what an hour of each returns. The
    bound is that of all.
    """
    if not asked.visits:
        return Solved(taken=np.zeros(0, dtype=np.bool_), score=0.0, bound=0.0, nodes=0, solver="exact")
    gap_frac = 0.0 if asked.visits <= _SMALL else limits.gap_frac
    rounded = relaxed.share > 1 / 2
    if (np.abs(relaxed.share - rounded) < WHOLE).all() and holds(asked, rounded):
        best = _plan(asked, rounded, relaxed.bound, 0, "exact")
        if _close(best, 0.0):
            return best
    best = _plan(asked, greedy(asked), relaxed.bound, 0, "greedy")
    few = roughly and gap_frac >= _WIDE_FRAC
    near = relaxed.short <= (_ROUGH_FRAC if few else _NEAR_FRAC) * relaxed.bound
    if gap_frac >= _WIDE_FRAC and _MANY * int((near & asked.outer).sum()) < int(near.sum()):
        tried = _search(asked, near & asked.outer, best, 1, gap_frac)
        better = tried.score > best.score
        best = replace(tried, bound=best.bound, solver=tried.solver if better else best.solver)
        if _close(best, gap_frac) or best.nodes >= limits.nodes:
            return best
    if not near.all():
        best = _search(asked, near, best, limits.nodes - best.nodes, gap_frac)
        with_others = relaxed.bound - float(relaxed.short[~near].min())  # plans with a visit of the others
        best = replace(best, bound=max(best.bound, min(relaxed.bound, with_others)))
        may = relaxed.short <= relaxed.bound - best.score + _ROUND
        if roughly or _close(best, gap_frac) or not (may & ~near).any() or best.nodes >= limits.nodes:
            return best
    # no plan with one of the others is beyond the gap of the plan in hand
    may = relaxed.short <= relaxed.bound - best.score / (1 - gap_frac) + _ROUND
    found = _search(asked, may, best, limits.nodes - best.nodes, gap_frac)
    with_others = relaxed.bound - float(relaxed.short[~may].min(initial=np.inf))
    return replace(found, bound=max(found.bound, min(best.bound, with_others)))


def holds(asked: Model, taken: Bools) -> bool:
    """Whether a choice keeps every row."""
    return bool((asked.matrix @ taken.astype(np.float64) <= asked.most + WHOLE).all())


def _close(best: Solved, gap_frac: float) -> bool:
    return best.bound - best.score <= gap_frac * best.bound + _ROUND


def _plan(asked: Model, taken: Bools, bound: float, nodes: int, solver: Literal["exact", "greedy"]) -> Solved:
    score = float(asked.score[taken].sum())
    return Solved(taken=taken, score=score, bound=max(bound, score), nodes=nodes, solver=solver)


def _search(asked: Model, among: Bools, best: Solved, nodes: int, gap_frac: float) -> Solved:
    """Search for a better plan among some visits; its bound is that of plans of these visits."""
    among = among.copy()
    among[asked.visits :] = True  # which sprayer a field has
    matrix = sparse.csr_array(asked.matrix[:, np.flatnonzero(among)])
    rows = np.flatnonzero(np.diff(matrix.indptr))
    with results_only():
        found = optimize.milp(
            -asked.score[among],
            integrality=np.ones(int(among.sum()), dtype=np.int64),
            bounds=optimize.Bounds(0, 1),
            constraints=optimize.LinearConstraint(matrix[rows], -np.inf, asked.most[rows]),
            options={"mip_rel_gap": gap_frac, "node_limit": nodes},
        )
    if found.mip_dual_bound is None:
        return best
    bound = min(best.bound, max(best.score, -float(found.mip_dual_bound)))
    used = best.nodes + int(found.mip_node_count or 0)
    if found.x is not None:
        taken = np.zeros(among.size, dtype=np.bool_)
        taken[among] = found.x > 1 / 2
        if holds(asked, taken) and asked.score[taken].sum() > best.score - _ROUND:
            return _plan(asked, taken, bound, used, "exact")
    done = replace(best, bound=max(bound, best.score), nodes=used)
    return replace(done, solver="exact") if _close(done, gap_frac) else done
