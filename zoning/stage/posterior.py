"""From what counts say to what is known: the joint posterior of the errors of variety, field and zone.

A count at one place moves every place that shares a part of its error. Draws are moved onto the posterior,
never weighed. What a visit says comes in as a likelihood; dates and money are not known here.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from zoning.stage.daylength import Floats
from zoning.stage.likelihood import GRID, STEP_D, CountRules
from zoning.stage.shared_errors import Place as Place
from zoning.stage.shared_errors import Structure, after_sites, asked_after, structure
from zoning.stage.shared_errors import covariance as covariance

_ROUNDS = 500  # method: most rounds of expectation propagation
_SETTLED_D = 1e-7  # method: the rounds end when no site moves a mean or a variance by more than this
_LEAST_PRECISION = 1e-9  # method: a site that tells nothing, or less than nothing [1/d2]
_SAME_D = 1e-6  # method: a marginal this near to the prior is the prior
_AT_ONCE = 128  # method: densities that are held at once, so that they stay near the processor


@dataclass(frozen=True, slots=True, eq=False)
class Marginal:
    """What is known of the shift of one place: mean, SD, and the density on a grid of shifts; in days."""

    mean_d: float
    sd_d: float
    shift_d: Floats
    density: Floats

    def quantile(self, p: Floats) -> Floats:
        """Shifts below which a share p lies, shape of `p`, in days."""
        step = np.diff(self.shift_d) * (self.density[1:] + self.density[:-1]) / 2
        below = np.concatenate([[0], np.cumsum(step)])
        keep = np.concatenate([[True], np.diff(below) > 0])
        return np.asarray(np.interp(np.asarray(p) * below[-1], below[keep], self.shift_d[keep]))


@dataclass(frozen=True, slots=True, eq=False)
class _Sites:
    """Normal stand-ins of the likelihoods, precision and precision x mean, and the cavities beside them."""

    precision: Floats
    shift: Floats
    cavity_mean_d: Floats
    cavity_var_d2: Floats


def _key(place: Place) -> tuple[str, str, str]:
    return place.season, place.field, place.zone


def _moments(density: Floats) -> tuple[Floats, Floats]:
    """Mean and variance of densities on the grid, along the last axis.

    All on one step, as at an end of the grid after a count that cannot be, is still as wide as a step.
    """
    weight = density / density.sum(axis=-1, keepdims=True)
    mean_d = weight @ GRID
    var_d2 = (weight * (GRID - mean_d[..., None]) ** 2).sum(axis=-1)
    return mean_d, np.maximum(var_d2, STEP_D**2 / 12)  # eq. variance of an even density over a step


def _tilted(logs: Floats, mean_d: Floats, var_d2: Floats) -> Floats:
    """Multiply normal cavity and likelihood, on the grid; rows not normalised."""
    whole = logs - (GRID - mean_d[:, None]) ** 2 / (2 * var_d2[:, None])  # eq. normal log density
    return np.asarray(np.exp(whole - whole.max(axis=1, keepdims=True)))


def _told(logs: Floats, mean_d: Floats, var_d2: Floats) -> tuple[Floats, Floats]:
    """Mean and variance at each place from its cavity and its own likelihood, a few places at a time."""
    told_d, told_d2 = np.empty(len(logs)), np.empty(len(logs))
    for first in range(0, len(logs), _AT_ONCE):
        at = slice(first, first + _AT_ONCE)
        told_d[at], told_d2[at] = _moments(_tilted(logs[at], mean_d[at], var_d2[at]))
    return told_d, told_d2


def _cavities(prior: Structure, precision: Floats, shift: Floats) -> tuple[Floats, Floats]:
    """Mean and variance at each place from the prior and all other sites."""
    now = after_sites(prior, precision, shift)
    left = 1 / now.var_d2 - precision  # eq. the site is taken out again
    return (now.mean_d / now.var_d2 - shift) / left, 1 / left


def _propagate(prior: Structure, logs: Floats) -> _Sites:
    """Find the sites by expectation propagation, all at once; steps are halved when they begin to swing.

    References
    ----------
    Minka 2001, "Expectation propagation for approximate Bayesian inference"; Rasmussen and Williams 2006,
    "Gaussian processes for machine learning", section 3.6.
    """
    precision, shift = np.zeros(len(logs)), np.zeros(len(logs))
    share, last = 1.0, np.inf
    for _ in range(_ROUNDS):
        mean_d, var_d2 = _cavities(prior, precision, shift)
        told_d, told_d2 = _told(logs, mean_d, var_d2)
        found = np.maximum(1 / told_d2 - 1 / var_d2, _LEAST_PRECISION)
        found_shift = told_d * (found + 1 / var_d2) - mean_d / var_d2
        held_d2 = 1 / (1 / var_d2 + precision)
        off_d = np.abs(told_d - held_d2 * (mean_d / var_d2 + shift)).max(initial=0)
        # the spread too: a count that the model expected moves no mean at all
        now = max(off_d, np.abs(1 / (found + 1 / var_d2) - held_d2).max(initial=0))
        if now < _SETTLED_D:
            break
        share = share / 2 if now > last else share
        last = now
        precision = precision + share * (found - precision)
        shift = shift + share * (found_shift - shift)
    return _Sites(precision, shift, *_cavities(prior, precision, shift))


def _on_grid(density: Floats) -> Marginal:
    density = density / (density.sum() * STEP_D)
    mean_d, var_d2 = _moments(density)
    return Marginal(float(mean_d), float(np.sqrt(var_d2)), GRID, density)


def _normal(mean_d: float, sd_d: float) -> Marginal:
    density = np.exp(-(((GRID - mean_d) / sd_d) ** 2) / 2)  # eq. normal density
    return Marginal(mean_d, sd_d, GRID, density / (density.sum() * STEP_D))


def _floored(marginal: Marginal, floor_d: float) -> Marginal:
    """Widen a marginal about its mean to the floor, keeping its form."""
    if marginal.sd_d >= floor_d:
        return marginal
    wider = floor_d / marginal.sd_d
    narrow_at = marginal.mean_d + (GRID - marginal.mean_d) / wider
    density = np.interp(narrow_at, GRID, marginal.density) / wider
    return replace(marginal, sd_d=floor_d, density=density / (density.sum() * STEP_D))


def _merged(counted: Sequence[Place], logs: Floats) -> tuple[list[Place], Floats]:
    """Put likelihoods of one zone together, so that no zone stands twice."""
    rows: dict[tuple[str, str, str], list[int]] = {}
    for row, place in enumerate(counted):
        rows.setdefault(_key(place), []).append(row)
    if len(rows) == len(counted):
        return list(counted), logs.reshape(len(counted), len(GRID))
    together = [logs[of].sum(axis=0) for of in rows.values()]
    places = [counted[of[0]] for of in rows.values()]
    return places, np.array(together).reshape(len(places), len(GRID))


def posterior(
    counted: Sequence[Place], log_likelihoods: Floats, asked: Sequence[Place], rules: CountRules
) -> tuple[Marginal, ...]:
    """Find what all counts together say of each asked place.

    Parameters
    ----------
    counted : sequence of Place
        Places with counts; none is allowed.
    log_likelihoods : ndarray
        Shape (counted, len(GRID)), on `GRID`, each up to a constant.
    asked : sequence of Place
        Places whose shift is wanted, counted or not.
    rules : CountRules
        Only its floor is used here.

    Returns
    -------
    tuple of Marginal
        One for each asked place. Exact on the grid for one counted place; for several, the others stand in
        as normals with the right moments (expectation propagation), the place's own counts stay exact. A
        place without counts has the normal that follows from those of the others.

    Examples
    --------
    >>> from zoning.stage.likelihood import count_rules
    >>> here, there = Place("v", "North", "1", 5.0), Place("v", "North", "2", 5.0)
    >>> told = -((GRID[None] - 4) ** 2) / 2
    >>> one, other = posterior([here], told, [here, there], count_rules())
    >>> round(one.mean_d, 2), round(other.mean_d / one.mean_d, 2)
    (3.85, 0.84)
    """
    places, logs = _merged(counted, np.asarray(log_likelihoods))
    row_of = {_key(place): row for row, place in enumerate(places)}
    rows = [row_of.get(_key(place)) for place in asked]
    others = [place for place, row in zip(asked, rows, strict=True) if row is None]
    prior = structure(places, others)
    sites = _propagate(prior, logs)
    elsewhere = asked_after(prior, sites.precision, sites.shift)
    normals = zip(elsewhere.mean_d.tolist(), np.sqrt(elsewhere.var_d2).tolist(), strict=True)
    found = [_normal(*next(normals)) if row is None else _own(logs, sites, row) for row in rows]
    return tuple(_floored(marginal, rules.floor_d) for marginal in found)


def _own(logs: Floats, sites: _Sites, row: int) -> Marginal:
    """Give what is known of a counted place: its own counts as they are, the others as normals."""
    at = slice(row, row + 1)
    return _on_grid(_tilted(logs[at], sites.cavity_mean_d[at], sites.cavity_var_d2[at])[0])


def mixed(
    counted: Sequence[Place],
    log_likelihoods: Floats,
    place: Place,
    cohorts: tuple[Floats, Floats, float],
    rules: CountRules,
) -> Marginal:
    """Find what is known of a place with plants of two ages; it tells its neighbours nothing.

    Parameters
    ----------
    counted, log_likelihoods
        The other places with counts, as for `posterior`; `place` itself must not be among them.
    place : Place
        The place with plants of two ages.
    cohorts : tuple
        Log likelihood on `GRID` of the older plants, of the younger ones, and the share of the older.
    rules : CountRules
        Only its floor is used here.

    Returns
    -------
    Marginal
        Both ages' posteriors, weighted by their shares: its mean need be no plant's date.
    """
    older, younger, share = cohorts
    parts = [
        posterior([*counted, place], np.vstack([log_likelihoods, logs]), [place], rules)[0]
        for logs in (older, younger)
    ]
    return _on_grid(share * parts[0].density + (1 - share) * parts[1].density)


def moved(before_d: Floats, before_sd_d: float, marginal: Marginal) -> Floats:
    """Carry draws of a shift onto what is known now, each keeping its rank.

    Parameters
    ----------
    before_d : ndarray
        Shape (draws,): draws of the model's error at the place. [d]
    before_sd_d : float
        The SD they were drawn with, mean 0. [d]
    marginal : Marginal
        What is known now.

    Returns
    -------
    ndarray
        Shape (draws,): the marginal's quantiles at the ranks' mid-points, with its mean and SD exactly; the
        draws as they were where the marginal is still the prior. Equal draws keep their order. [d]

    Examples
    --------
    >>> here = Place("v", "North", "1", 5.0)
    >>> after = _normal(2.0, 1.5)
    >>> moved(np.array([-4.0, 6.0, -1.0]), 5.0, after).round(1).tolist()
    [0.2, 3.8, 2.0]
    """
    if abs(marginal.mean_d) < _SAME_D and abs(marginal.sd_d - before_sd_d) < _SAME_D:
        return before_d
    rank = np.argsort(np.argsort(before_d, kind="stable"), kind="stable")
    # the quantiles of a few hundred ranks are a little narrower than the whole: stretched about their mean
    at_rank_d = marginal.quantile((rank + 0.5) / len(before_d))
    spread_d = at_rank_d.std()
    stretch = marginal.sd_d / spread_d if spread_d > 0 else 0.0
    return np.asarray(marginal.mean_d + stretch * (at_rank_d - at_rank_d.mean()))
