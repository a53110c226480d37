"""Where a count is worth most: what the best decision after it is expected to gain over the decision now.

Nobody has counted yet: tallies are drawn from what is known, and each weighs the draws of every zone that
shares a part of the counted zone's error. Where one may walk, and what a walk costs, are not known here.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.chance import generator
from zoning.evidence import number, numbers
from zoning.returns.by_stage import ByStage
from zoning.returns.terms import Floats, Terms
from zoning.stage.counted import SpotStage
from zoning.stage.foretold import correlations, drawn, lattice, likelihoods
from zoning.stage.likelihood import NOON, CountRules, count_rules

_OUTCOMES = 128  # method: tallies that are drawn for each day and number of plants
_SAME = 1e-9  # method: a correlation this near to 1 is 1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WalkZone:
    """A zone that may be walked, or whose decision a count elsewhere may change.

    `options` is None where nothing is priced; zones that share the object share its work. `first_day` is the
    first day on which somebody may walk there, None where nobody can say. [day number]
    """

    spot: SpotStage
    area_ac: float
    options: ByStage | None
    first_day: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """What one count in a zone is worth.

    `first_usd` is its value on the first day on which one may walk there; `day` and `plants` are suggested,
    None where no count changes anything; `usd` is the value then. All None without money. `informs` holds the
    zones whose decision it informs then, by their index, with the gain. [USD/ac] SDs are of the day on which
    R3 begins, now and as expected after the count. [d]
    """

    first_day: int
    first_usd: float | None
    day: int | None
    plants: int | None
    usd: float | None
    informs: tuple[tuple[int, float], ...]
    sd_now_d: float
    sd_after_d: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Foretold:
    """What counts in one place would say.

    `likelihood` has shape (days, plants, outcomes, shifts), `believed` and `sd_after_d` (days, plants).
    """

    spot: SpotStage
    days: npt.NDArray[np.int64]
    plants: tuple[int, ...]
    shift_d: Floats
    likelihood: Floats
    believed: Floats
    sd_after_d: Floats


def weigh(zones: Sequence[WalkZone], seed: int) -> tuple[Walk | None, ...]:
    """Say what one count in each zone is worth.

    Parameters
    ----------
    zones : sequence of WalkZone
        All zones that a count may speak of: of a field, or of a farm.
    seed : int
        Of the tallies that are drawn.

    Returns
    -------
    tuple of Walk or None
        One for each zone; None where nobody can say when it may be entered.

    Notes
    -----
    Preposterior analysis (Raiffa and Schlaifer 1961, "Applied statistical decision theory"). For each tally:
    the best option by the rule, skipping included, at the weighted mean net; the mean over the tallies, less
    the same for the tallies' weights put together, which is the decision now in the same sample: so chance
    alone makes no value. A count on a later day loses the options before it; a zone that loses by waiting
    does not wait, so no zone counts below 0. A count never tells more than the floor under the SD allows.
    Costs of visits, and what two zones share in one pass, are left out.
    """
    rules = count_rules()
    sds_d = np.array([one.spot.r3_error_d.std() for one in zones])
    together = correlations([one.spot.place for one in zones], sds_d, [one.spot.counted for one in zones])
    priced = [row for row, one in enumerate(zones) if one.options is not None]
    grounds = _alike(priced, [(id(one.spot.draws), id(one.options)) for one in zones])
    walked = [row for row, one in enumerate(zones) if one.first_day is not None]
    answers: list[Walk | None] = [None] * len(zones)
    for alike in _alike(walked, [(id(one.spot.draws), one.first_day) for one in zones]):
        foretold = _foretell(zones[alike[0]], rules, seed)
        gains = [_gains(zones, alike, ground, foretold, together) for ground in grounds]
        for row in alike:
            by_zone = {
                other: own if other == row else beside
                for ground, (own, beside) in zip(grounds, gains, strict=True)
                for other in ground
            }
            answers[row] = _walk(zones, row, by_zone, foretold)
    return tuple(answers)


def most_usd(zones: Sequence[WalkZone]) -> float:
    """Say what knowing the stages of all zones at once would gain: no count gains more. [USD].

    Of each zone the best option in each draw, less the one that the rule takes now.
    """
    usd = 0.0
    for one in zones:
        if one.options is not None and one.options.net_usd_ac.size:
            options = one.options
            figures = (options.net_usd_ac, options.chance_frac, options.loss_usd_ac)
            now = _decided([figure.mean(axis=0) for figure in figures], options.terms)
            best = np.maximum(options.net_usd_ac.max(axis=1), 0)
            usd += one.area_ac * float(best.mean() - now)
    return usd


def _alike(rows: Sequence[int], keys: Sequence[tuple[object, ...]]) -> list[list[int]]:
    """Group rows by their keys, in order."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for row in rows:
        groups.setdefault(keys[row], []).append(row)
    return list(groups.values())


def _foretell(zone: WalkZone, rules: CountRules, seed: int) -> _Foretold:
    """Draw counts in a place on each candidate day, and weigh them."""
    spot = zone.spot
    plants = tuple(int(n) for n in numbers("passes.walk_plants"))
    days = (zone.first_day or 0) + numbers("passes.walk_days_ahead_d").astype(np.int64)
    shift_d = lattice(spot.r3_error_d)
    size = len(spot.r3_error_d)
    # one draw from the middle of each of so many equal parts of the ranks
    middle = ((np.arange(_OUTCOMES) + 0.5) * size / _OUTCOMES).astype(np.int64)
    true_d = np.sort(spot.r3_error_d)[middle]
    # the same chance on every day, so that days differ by the day alone
    chance = generator(seed, "walk", spot.place.field, spot.place.zone)
    since_r3_d = days[:, None] + NOON - spot.expected.r3_day - true_d
    tallies = drawn(since_r3_d, plants, spot.expected, rules, chance)
    likelihood = likelihoods(tallies, (days + NOON).tolist(), shift_d, spot.expected, rules)
    likelihood /= likelihood.max(axis=-1, keepdims=True)
    read = _reading(shift_d, spot, spot, 1.0)
    believed = _believed(_variance(likelihood, read, spot.r3_error_d), spot, rules)
    before_d2 = spot.draws.of("R3").var()
    after_d2 = believed * _variance(likelihood, read, spot.draws.of("R3")) + (1 - believed) * before_d2
    return _Foretold(
        spot=spot,
        days=days,
        plants=plants,
        shift_d=shift_d,
        likelihood=likelihood,
        believed=believed,
        sd_after_d=np.sqrt(np.minimum(after_d2, before_d2)),
    )


def _variance(likelihood: Floats, reading: Floats, value: Floats) -> Floats:
    """Variance of a value of the draws after each outcome, mean over the outcomes."""
    apart = value - value.mean()  # the square of a day number would take all digits
    powers = np.stack([np.ones_like(apart), apart, apart**2], axis=1)
    weight, first, second = np.moveaxis(likelihood @ (reading @ powers), -1, 0)
    return np.asarray((second / weight - (first / weight) ** 2).mean(axis=-1))


def _believed(variance_d2: Floats, spot: SpotStage, rules: CountRules) -> Floats:
    """Chance that a count may be believed: 1, or so much less that the floor under the SD holds on average.

    Parameters
    ----------
    variance_d2 : ndarray
        What the counts alone would leave of the error's variance.

    Notes
    -----
    A count that is lost with a chance is a garbled one: its value is that of the count times the chance.
    """
    now_d2 = float(spot.r3_error_d.var())
    may_go_d2 = max(now_d2 - rules.floor_d**2, 0.0)
    if may_go_d2 == 0:
        return np.zeros_like(variance_d2)
    return np.asarray(may_go_d2 / np.maximum(now_d2 - variance_d2, may_go_d2))


def _reading(shift_d: Floats, counted: SpotStage, other: SpotStage, together: float) -> Floats:
    """How a likelihood at the counted place is read at each draw of another, shape (shifts, draws).

    Given the other place's shift, the counted one's is normal: about their regression, and as wide as what
    they do not share.
    """
    if together > 1 - _SAME:
        at = (other.r3_error_d - shift_d[0]) / (shift_d[1] - shift_d[0])
        return np.asarray(np.maximum(1 - np.abs(np.arange(len(shift_d))[:, None] - at), 0))
    mean_d, sd_d = counted.r3_error_d.mean(), counted.r3_error_d.std()
    standard = (other.r3_error_d - other.r3_error_d.mean()) / other.r3_error_d.std()
    z = (shift_d[:, None] - mean_d - together * sd_d * standard) / (sd_d * np.sqrt(1 - together**2))
    density = np.exp(-(z**2) / 2)  # eq. normal density
    return np.asarray(density / density.sum(axis=0))


def _gains(
    zones: Sequence[WalkZone], alike: list[int], ground: list[int], foretold: _Foretold, together: Floats
) -> tuple[Floats, Floats]:
    """Gain of an acre of the ground where it is counted itself, and where another zone is. [USD/ac]."""
    first = zones[ground[0]]
    other = next((row for row in alike if row != ground[0]), None)
    own = beside = np.zeros(foretold.sd_after_d.shape)
    if first.options is None:
        return own, beside
    if set(alike) & set(ground):
        own = _gain(foretold, first.options, _reading(foretold.shift_d, foretold.spot, first.spot, 1.0))
    if other is not None and together[other, ground[0]] > 0:
        share = float(together[other, ground[0]])
        beside = _gain(foretold, first.options, _reading(foretold.shift_d, foretold.spot, first.spot, share))
    return own, beside


def _gain(foretold: _Foretold, options: ByStage, reading: Floats) -> Floats:
    """Mean net of the best decision after a count less that of the decision now, (days, plants). [USD/ac]."""
    figures = (options.net_usd_ac, options.chance_frac, options.loss_usd_ac)
    ends = np.cumsum([one.shape[1] for one in figures])
    draws = np.ones((reading.shape[1], 1))
    weighted = foretold.likelihood @ (reading @ np.hstack([*figures, draws]))
    means = weighted[..., :-1] / weighted[..., -1:]
    now = _decided(np.split(means.mean(axis=-2), ends[:-1], axis=-1), options.terms)
    # on the day of the count one may still spray
    lost = options.day < foretold.days[:, None, None, None]
    after = _decided(np.split(means, ends[:-1], axis=-1), options.terms, lost)
    return np.asarray(foretold.believed * np.maximum(after.mean(axis=-1) - now, 0))


def _decided(figures: list[Floats], terms: Terms, lost: npt.NDArray[np.bool_] | bool = False) -> Floats:
    """Mean net of the option that the rule takes: the best of those it wants, 0 where it wants none."""
    net, share, loss = figures
    wanted = (net > terms.min_net_usd_ac) & ~np.asarray(lost)
    if terms.rule == "chance":
        wanted &= share >= terms.min_chance_frac
    if terms.rule == "cautious":
        wanted &= net + loss - terms.loss_weight * loss > 0
    best = np.where(wanted, net, -np.inf).max(axis=-1, initial=-np.inf)
    return np.asarray(np.where(np.isfinite(best), best, 0.0))


def _walk(zones: Sequence[WalkZone], row: int, gains: dict[int, Floats], foretold: _Foretold) -> Walk:
    """Choose day and plants for one zone."""
    now_d = float(foretold.spot.draws.of("R3").std())
    first_day = int(foretold.days[0])
    usd = sum((zones[other].area_ac * gain for other, gain in gains.items()), np.zeros(()))
    worth = usd if gains else now_d - foretold.sd_after_d
    day, plants = _enough(worth)
    changes = bool(worth[day, plants] > 0)
    return Walk(
        first_day=first_day,
        first_usd=float(usd[0, plants]) if gains else None,
        day=int(foretold.days[day]) if changes else None,
        plants=foretold.plants[plants] if changes else None,
        usd=float(usd[day, plants]) if gains else None,
        informs=tuple(
            (other, float(gain[day, plants])) for other, gain in gains.items() if gain[day, plants] > 0
        ),
        sd_now_d=now_d,
        sd_after_d=float(foretold.sd_after_d[day, plants]),
    )


def _enough(worth: Floats) -> tuple[int, int]:
    """Find the earliest day that is nearly as good as the best, and then the fewest plants."""
    enough = number("passes.walk_enough_frac")
    by_day = worth[:, -1]
    day = int(np.argmax(by_day >= enough * by_day.max()))
    return day, int(np.argmax(worth[day] >= enough * worth[day, -1]))
