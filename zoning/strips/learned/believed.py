"""What is believed of the response after the harvest: what the strips teach, and what that changes.

A trial becomes entries for learned.toml; all entries of the farm move each pressure class as the plans of the
next season will have it (`zoning.returns.own`).
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.returns.mixture import columns, exceedance, mean, quantile, sd
from zoning.returns.own import moved, observation
from zoning.returns.pairs import LEAST_PAIRS
from zoning.returns.sources import pooled
from zoning.returns.terms import Mixture
from zoning.settings.learned import LearnedTrial, before, may_stand
from zoning.settings.model import Pressure
from zoning.strips.answer.response import response as response_of
from zoning.strips.learned.learned_terms import Belief
from zoning.strips.terms import Money, Paired, PairSeen, Response, ZonePart
from zoning.words import Said

Floats = npt.NDArray[np.float64]

_POINTS = 241  # method: of the curves in the picture
_TAIL = 0.001  # method: chance of what lies beyond either end of the picture
_KEPT_DIGITS = 4  # method: of a mean in learned.toml, far below what any trial can tell


def beliefs(
    trials: Sequence[LearnedTrial], season: int, money: Money | None, classes: Iterable[Pressure]
) -> tuple[Belief, ...]:
    """Say for each pressure class what is believed of its response in the next season.

    Parameters
    ----------
    trials : sequence of LearnedTrial
        Of the farm, with the newest one; those of later seasons than `season` do not count.
    season : int
        The season that was just harvested; the belief is about the one after it.
    money : Money or None
        For the chance of a response above break-even.
    classes : iterable of {"low", "unknown", "medium", "high", "seen"}
        Those that are asked for, each once.

    Returns
    -------
    tuple of Belief
        One for each class; none where no trial counts.

    Notes
    -----
    Before: the response in published trials of that class. After: the same moved by all trials, as a plan of
    the next season with the source "own trials" has it where nothing else is known of a place.

    Examples
    --------
    >>> one = LearnedTrial(season=2026, field="north", pressure="unknown", mean_bu_ac=4.0, se_bu_ac=1.0,
    ...     pairs=8)
    >>> (belief,) = beliefs([one], 2026, None, ["unknown"])
    >>> round(belief.before_mean_bu_ac, 2), round(belief.data_sd_bu_ac, 2), round(belief.after_mean_bu_ac, 2)
    (1.6, 1.41, 2.98)
    """
    known = before(trials, season + 1)
    return tuple(_belief(known, money, one) for one in dict.fromkeys(classes)) if known else ()


def _belief(trials: tuple[LearnedTrial, ...], money: Money | None, pressure: Pressure) -> Belief:
    prior, seen = pooled(pressure), observation(trials, pressure)
    after = moved(prior, trials, pressure)
    data_sd_bu_ac = float(np.sqrt(seen.variance))
    ends = np.concatenate([quantile(one, [_TAIL, 1 - _TAIL]) for one in (prior, after)])
    shown = np.linspace(
        min(ends.min(), seen.mean_bu_ac - 2 * data_sd_bu_ac),
        max(ends.max(), seen.mean_bu_ac + 2 * data_sd_bu_ac),
        _POINTS,
    )
    bar = None if money is None else money.break_even_bu_ac
    return Belief(
        pressure=pressure,
        before=prior,
        after=after,
        before_mean_bu_ac=mean(prior),
        before_sd_bu_ac=sd(prior),
        data_mean_bu_ac=seen.mean_bu_ac,
        data_sd_bu_ac=data_sd_bu_ac,
        after_mean_bu_ac=mean(after),
        after_sd_bu_ac=sd(after),
        chance_before=None if bar is None else exceedance(prior, bar),
        chance_after=None if bar is None else exceedance(after, bar),
        response_bu_ac=shown,
        before_density=density(prior, shown),
        data_density=_normal(shown, seen.mean_bu_ac, data_sd_bu_ac),
        after_density=density(after, shown),
    )


def density(mixture: Mixture, response_bu_ac: Floats) -> Floats:
    """Density of a mixture whose parts all have a spread, same shape as `response_bu_ac` [1/(bu/ac)]."""
    weight, middle, spread = columns(mixture)
    return np.asarray(_normal(response_bu_ac[..., None], middle, spread) @ weight)


def _normal(at: Floats, middle: Floats | float, spread: Floats | float) -> Floats:
    # eq. N(x; m, s) = exp(-((x - m) / s)^2 / 2) / (s sqrt(2 pi))
    return np.asarray(np.exp(-0.5 * ((at - middle) / spread) ** 2) / (spread * np.sqrt(2 * np.pi)))


def trial_of(
    response: Response,
    paired: Paired,
    pressure_of: Mapping[int, Pressure],
    *,
    season: int,
    field: str,
) -> tuple[tuple[LearnedTrial, ...], tuple[Said, ...]]:
    """Make what the strips of a field said into entries of learned.toml.

    Parameters
    ----------
    response : Response
        Of all pairs that count.
    paired : Paired
        The pairs, and their parts by zone.
    pressure_of : mapping of int to Pressure
        The class that each zone was planned under; a zone that is not named counts as "unknown".
    season : int
        By the year of harvest.
    field : str
        Name of the field's folder.

    Returns
    -------
    trials : tuple of LearnedTrial
        One, in the class that holds most of the strips' length. Where they run through several classes and
        each has at least two pairs, one for each class from the stretches that lie in it. A pair counts in a
        class with as much length as it needs to count at all (`strips.pair_least_m`).
    notes : tuple of Said
        That ground of several classes was taken as one; or why nothing is learned, because the figures are
        beyond what learned.toml may hold.
    """
    by_class = _by_class(paired, pressure_of)
    notes: list[Said] = []
    found: list[tuple[Pressure, Response]] = []
    if len(by_class) > 1 and all(len(pairs) >= LEAST_PAIRS for pairs in by_class.values()):
        each = ((one, response_of(pairs, None)) for one, pairs in by_class.items())
        found = [(one, told) for one, told in each if told is not None]
    else:
        most = _most(paired, pressure_of)
        found = [(most, response)]
        if len(by_class) > 1:
            notes.append(Said("learned.one_class", pressure=most, least=LEAST_PAIRS))
    trials = tuple(_entry(told, one, season, field) for one, told in found)
    if not all(may_stand(one) for one in trials):
        return (), (Said("learned.beyond"),)
    return trials, tuple(notes)


def _parts(paired: Paired) -> tuple[ZonePart, ...]:
    """Give the parts of the pairs that count."""
    counted = {one.pair for one in paired.counted}
    return tuple(one for one in paired.parts if one.pair in counted and one.length_m > 0)


def _most(paired: Paired, pressure_of: Mapping[int, Pressure]) -> Pressure:
    """Name the class in which most of the strips' length lies; of two, that with the smaller zone number."""
    length_m: dict[Pressure, float] = defaultdict(float)
    for part in sorted(_parts(paired), key=lambda one: one.zone):
        length_m[pressure_of.get(part.zone, "unknown")] += part.length_m
    return max(length_m, key=lambda one: length_m[one], default="unknown")


def _by_class(paired: Paired, pressure_of: Mapping[int, Pressure]) -> dict[Pressure, tuple[PairSeen, ...]]:
    """Give the pairs as they are in ground of each class; a class in which no pair is long enough is none."""
    stretches: dict[tuple[Pressure, int], list[ZonePart]] = defaultdict(list)
    for part in _parts(paired):
        stretches[pressure_of.get(part.zone, "unknown"), part.pair].append(part)
    found: dict[Pressure, list[PairSeen]] = defaultdict(list)
    for (pressure, pair), mine in sorted(stretches.items()):
        if sum(one.length_m for one in mine) >= number("strips.pair_least_m"):
            found[pressure].append(_one_pair(pair, mine))
    return {pressure: tuple(pairs) for pressure, pairs in found.items()}


def _one_pair(pair: int, stretches: Sequence[ZonePart]) -> PairSeen:
    """Take the means of a pair over its stretches in one class, by length."""
    length_m = np.array([one.length_m for one in stretches])
    treated, untreated = (
        float(np.average([getattr(one, name) for one in stretches], weights=length_m))
        for name in ("treated_bu_ac", "untreated_bu_ac")
    )
    return PairSeen(
        pair=pair,
        length_m=float(length_m.sum()),
        points=sum(one.points for one in stretches),
        treated_bu_ac=treated,
        untreated_bu_ac=untreated,
        moisture_difference_frac=float("nan"),
    )


def _entry(told: Response, pressure: Pressure, season: int, field: str) -> LearnedTrial:
    return LearnedTrial(
        season=season,
        field=field,
        pressure=pressure,
        mean_bu_ac=round(told.mean_bu_ac, _KEPT_DIGITS),
        se_bu_ac=round(told.se_to_learn_bu_ac, _KEPT_DIGITS),
        pairs=told.pairs,
    )
