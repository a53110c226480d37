"""From what counts say to what is known: the joint posterior of the errors of variety, field and zone.

A count at one place moves every place that shares a part of its error. Draws are moved onto the posterior,
never weighed. What a visit says comes in as a likelihood; dates and money are not known here.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from zoning.evidence import named
from zoning.stage.daylength import Floats
from zoning.stage.likelihood import GRID, STEP_D, CountRules

_ROUNDS = 500  # method: most rounds of expectation propagation
_SETTLED_D = 1e-7  # method: the rounds end when no site moves a mean or a variance by more than this
_LEAST_PRECISION = 1e-9  # method: a site that tells nothing, or less than nothing [1/d2]
_SAME_D = 1e-6  # method: a marginal this near to the prior is the prior


@dataclass(frozen=True, slots=True)
class Place:
    """A zone of a field in a season, and how far the model may be off there.

    `zone` is unique within its field; `variety` is the key of the shared part (`spread.variety_key`). [d]
    `season` is empty for the one that is forecast; of its errors a past one shares what persists.
    """

    variety: str
    field: str
    zone: str
    sd_d: float
    season: str = ""


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


def covariance(places_a: Sequence[Place], places_b: Sequence[Place]) -> Floats:
    """Give the prior covariance of the shifts of places, shape (a, b), in d2.

    Each part of the error has a share that is the same in every season and one that is a season's own, so
    that places of two seasons share no more than `stage.error_persists_frac` of it.

    Examples
    --------
    >>> here, there = Place("v", "North", "1", 5.0), Place("v", "North", "2", 5.0)
    >>> covariance([here], [here, there]).round(2).tolist()
    [[25.0, 21.0]]
    """
    share, lasts = named("stage.error_variance_share"), named("stage.error_persists_frac")

    def same(of_a: list[object], of_b: list[object]) -> Floats:
        found = [[one == other for other in of_b] for one in of_a]
        return np.array(found, dtype=np.float64).reshape(len(of_a), len(of_b))

    together = same([a.season for a in places_a], [b.season for b in places_b])

    def part(name: str, of_a: list[object], of_b: list[object]) -> Floats:
        return share[name] * same(of_a, of_b) * (together + (1 - together) * lasts[name])

    shared = (
        part("variety", [a.variety for a in places_a], [b.variety for b in places_b])
        + part("field", [a.field for a in places_a], [b.field for b in places_b])
        + part("block", [(a.field, a.zone) for a in places_a], [(b.field, b.zone) for b in places_b])
    )
    sd_a, sd_b = np.array([a.sd_d for a in places_a]), np.array([b.sd_d for b in places_b])
    return np.asarray(sd_a[:, None] * shared * sd_b)


def _key(place: Place) -> tuple[str, str, str]:
    return place.season, place.field, place.zone


def _moments(density: Floats) -> tuple[Floats, Floats]:
    """Mean and variance of densities on the grid, along the last axis."""
    weight = density / density.sum(axis=-1, keepdims=True)
    mean_d = weight @ GRID
    return mean_d, (weight * (GRID - mean_d[..., None]) ** 2).sum(axis=-1)


def _tilted(logs: Floats, mean_d: Floats, var_d2: Floats) -> Floats:
    """Multiply normal cavity and likelihood, on the grid; rows not normalised."""
    whole = logs - (GRID - mean_d[:, None]) ** 2 / (2 * var_d2[:, None])  # eq. normal log density
    return np.asarray(np.exp(whole - whole.max(axis=1, keepdims=True)))


def _cavities(prior: Floats, precision: Floats, shift: Floats) -> tuple[Floats, Floats]:
    """Mean and variance at each place from the prior and all other sites."""
    solved = np.linalg.solve(np.eye(len(prior)) + prior * precision, prior)
    var_d2, mean_d = np.diag(solved), solved @ shift
    left = 1 / var_d2 - precision  # eq. the site is taken out again
    return (mean_d / var_d2 - shift) / left, 1 / left


def _propagate(prior: Floats, logs: Floats) -> _Sites:
    """Find the sites by expectation propagation, all at once; steps are halved when they begin to swing.

    References
    ----------
    Minka 2001, "Expectation propagation for approximate Bayesian inference"; Rasmussen and Williams 2006,
    "Gaussian processes for machine learning", section 3.6.
    """
    precision, shift = np.zeros(len(prior)), np.zeros(len(prior))
    share, last = 1.0, np.inf
    for _ in range(_ROUNDS):
        mean_d, var_d2 = _cavities(prior, precision, shift)
        told_d, told_d2 = _moments(_tilted(logs, mean_d, var_d2))
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
    prior = covariance(places, places)
    sites = _propagate(prior, logs)
    own = _tilted(logs, sites.cavity_mean_d, sites.cavity_var_d2)
    across = covariance(asked, places)
    # eq. normal conditional: cross (I + precision prior)^-1 (shift, precision cross')
    system = np.eye(len(places)) + sites.precision[:, None] * prior
    mean_d = across @ np.linalg.solve(system, sites.shift)
    gain = np.linalg.solve(system, sites.precision[:, None] * across.T)
    row_of = {_key(place): row for row, place in enumerate(places)}
    found = []
    for at, place in enumerate(asked):
        row = row_of.get(_key(place))
        if row is not None:
            marginal = _on_grid(own[row])
        else:
            variance_d2 = place.sd_d**2 - across[at] @ gain[:, at]
            marginal = _normal(float(mean_d[at]), float(np.sqrt(variance_d2)))
        found.append(_floored(marginal, rules.floor_d))
    return tuple(found)


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
