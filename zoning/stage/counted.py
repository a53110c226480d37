"""The stage forecast after counts: each place's own error moved by everything that was counted anywhere.

Draws keep their weather and their rank; only the model's error moves. What a count says of a place is in
`likelihood`, what it says of others in `posterior`; nothing is read or drawn on a map here.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from zoning.evidence import number
from zoning.inputs.given import Tally
from zoning.stage.daylength import Floats
from zoning.stage.draws import StageDraws
from zoning.stage.forecast import Forecast, window
from zoning.stage.held import hold, limits
from zoning.stage.likelihood import GRID, CountRules, Expected, Visit, log_likelihood
from zoning.stage.modelled import Modelled
from zoning.stage.phenology import Planted
from zoning.stage.posterior import Marginal, Place, mixed, moved, posterior
from zoning.stage.spread import Situation, variety_key
from zoning.stage.two_peaks import two_peaks
from zoning.units import date_from_day
from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A zone (or a whole block) of the field: its block, a name of its own within the field, its visits."""

    block: int
    name: str
    visits: tuple[Visit, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Heard:
    """What was seen at one place, this season or in a past one, says of the model's error there.

    `log_likelihood` is on `GRID`.
    """

    place: Place
    log_likelihood: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SpotStage:
    """One spot's stages, and what of them further counts may move.

    `r3_error_d` has shape (draws,); `expected` are the model's own days. `counted` is True where a count of
    its own pins the spot.
    """

    draws: StageDraws
    r3_error_d: Floats
    place: Place
    expected: Expected
    counted: bool


def place_of(block: Planted, made: Modelled, name: str, field: str) -> Place:
    """Name whose errors a spot shares."""
    return Place(variety=variety_key(block), field=field, zone=name, sd_d=made.sd_d)


def heard(place: Place, visits: Sequence[Visit], expected: Expected, rules: CountRules) -> Heard:
    """Weigh the counts of one place."""
    return Heard(place=place, log_likelihood=log_likelihood(visits, expected, GRID, rules))


def walk_day(stage: SpotStage | None, today: date) -> date | None:
    """Find the day about a week before the likely R3, today at the earliest, on which to count a spot.

    None where there is no date, a count of its own pins it, or its R3 is likely over.
    """
    if stage is None or stage.counted or np.median(stage.draws.of("R4")) <= today.toordinal():
        return None
    likely_day = float(np.median(stage.draws.of("R3")))
    return max(date_from_day(likely_day - number("stage.walk_before_r3_d")), today)


def after_counts(
    made: Forecast,
    blocks: Sequence[Planted],
    spots: Sequence[Spot],
    elsewhere: Sequence[Heard],
    situation: Situation,
    rules: CountRules,
) -> tuple[tuple[SpotStage | None, ...], tuple[Said, ...]]:
    """Forecast the stages of every spot of a field, after all counts.

    Parameters
    ----------
    made : Forecast
        What the model says of the blocks.
    blocks : sequence of Block or Sown
        The same blocks.
    spots : sequence of Spot
        Where the stage is wanted, with the counts made there.
    elsewhere : sequence of Heard
        Counts in other fields, and what past seasons tell.
    situation : Situation
        The same as for the forecast.
    rules : CountRules
        How far a count is believed.

    Returns
    -------
    stages : tuple of SpotStage or None
        One for each spot; None where its block has no date.
    notes : tuple of Said
        Counts that contradict the model, and plants of two ages.
    """
    where = {
        spot.name: place_of(blocks[spot.block], of_block, spot.name, situation.field)
        for spot in spots
        if (of_block := made.blocks[spot.block]) is not None
    }
    own: list[Heard] = []
    two_ages: dict[str, _TwoAges] = {}
    for spot in spots:
        of_block = made.blocks[spot.block]
        if of_block is None or not spot.visits:
            continue
        ages = _two_ages(spot, of_block.expected(), rules)
        if ages is not None:
            two_ages[spot.name] = ages
        else:
            own.append(heard(where[spot.name], spot.visits, of_block.expected(), rules))
    sources = [*own, *elsewhere]
    told = dict(zip(where, _marginals(sources, list(where.values()), rules), strict=True))
    stages: list[SpotStage | None] = []
    notes: list[Said] = []
    alike: dict[tuple[float, ...], SpotStage] = {}  # zones of a block without counts share their draws
    for spot in spots:
        of_block = made.blocks[spot.block]
        if of_block is None:
            stages.append(None)
            continue
        marginal = told[spot.name]
        if spot.name in two_ages:
            marginal, said = _mixture(two_ages[spot.name], where[spot.name], sources, of_block, rules)
            notes.append(said)
        if spot.visits:
            stage = _moved(of_block, marginal, where[spot.name], spot, rules)
            if spot.name not in two_ages:
                notes += _contradicts(spot, marginal, of_block, stage)
            stages.append(stage)
            continue
        # method: nine digits, so that rounding of the algebra parts no zones
        key = (spot.block, round(marginal.mean_d, 9), round(marginal.sd_d, 9)) if marginal else (spot.block,)
        if key not in alike:
            alike[key] = _moved(of_block, marginal, where[spot.name], spot, rules)
        stages.append(replace(alike[key], place=where[spot.name]))
    return tuple(stages), tuple(notes)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _TwoAges:
    """A spot with plants of two ages: what each says, and the share of the older."""

    older: Floats
    younger: Floats
    share: float
    visit: Visit


def _two_ages(spot: Spot, expected: Expected, rules: CountRules) -> _TwoAges | None:
    """Find the last visit of a spot that saw two ages; the other visits there are then left aside."""
    for visit in sorted(spot.visits, key=lambda one: -one.day):
        found = two_peaks(visit, expected, rules) if isinstance(visit.seen, Tally) else None
        if found is not None:
            older, younger, share = found
            logs = [log_likelihood([one], expected, GRID, rules) for one in (older, younger)]
            return _TwoAges(older=logs[0], younger=logs[1], share=share, visit=visit)
    return None


def _logs(sources: Sequence[Heard]) -> Floats:
    return np.array([one.log_likelihood for one in sources]).reshape(len(sources), len(GRID))


def _marginals(
    sources: Sequence[Heard], asked: Sequence[Place], rules: CountRules
) -> tuple[Marginal | None, ...]:
    """Say what is known of each place; None where nothing was counted anywhere."""
    if not sources:
        return (None,) * len(asked)
    return posterior([one.place for one in sources], _logs(sources), asked, rules)


def _mixture(
    ages: _TwoAges, place: Place, sources: Sequence[Heard], made: Modelled, rules: CountRules
) -> tuple[Marginal, Said]:
    marginal = mixed(
        [one.place for one in sources], _logs(sources), place, (ages.older, ages.younger, ages.share), rules
    )
    # the likely R3 of each age: the peak of what its plants say, with the prior of the place
    prior = -((GRID / place.sd_d) ** 2) / 2  # eq. log of a normal density
    r3_day = made.expected().r3_day
    days = [
        date_from_day(r3_day + float(GRID[np.argmax(logs + prior)])) for logs in (ages.older, ages.younger)
    ]
    said = Said(
        "stage.two_ages",
        place=place.zone,
        on=date_from_day(ages.visit.day),
        share=ages.share,
        older=days[0],
        younger=days[1],
    )
    return marginal, said


def _contradicts(spot: Spot, marginal: Marginal | None, made: Modelled, now: SpotStage) -> list[Said]:
    """Say where a spot's counts lie far from what the model gave; they are used all the same."""
    limit_d = number("stage.contradiction_sd") * made.sd_d
    if marginal is None or abs(marginal.mean_d) <= limit_d:
        return []
    before, after = window(made.stages()).r3_likely, window(now.draws).r3_likely
    return [Said("stage.count_contradicts", place=spot.name, before=before, after=after)]


def _moved(
    made: Modelled, marginal: Marginal | None, place: Place, spot: Spot, rules: CountRules
) -> SpotStage:
    error_d = made.errors.r3_d if marginal is None else moved(made.errors.r3_d, made.sd_d, marginal)
    return SpotStage(
        draws=hold(made.stages(error_d), *limits(spot.visits, rules)),
        r3_error_d=error_d,
        place=place,
        expected=made.expected(),
        counted=bool(spot.visits),
    )
