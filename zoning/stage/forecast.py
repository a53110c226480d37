"""The stage forecast of a field: for every block, draws of the days on which R1 ... R7 begin.

Weather that was seen, then a past year for each draw, through the stage model; the model's own error on top;
the calendar table where there is no weather. No zones, no money; counts are listened to in `counted`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from zoning.chance import normals
from zoning.errors import InputError, raise_all
from zoning.evidence import number, numbers
from zoning.inputs.given import Weather
from zoning.stage.calendar import calendar_dates, refusal, season_part_d
from zoning.stage.draws import StageDraws, Window
from zoning.stage.modelled import Modelled, modelled
from zoning.stage.phenology import MODELS, Dates, Planted, weathers
from zoning.stage.spread import Situation, errors
from zoning.stage.years import Season, season, year_of_draw
from zoning.units import date_from_day
from zoning.words import Said

MODEL = "jones-boote-kantolic"
Bools = npt.NDArray[np.bool_]
_MOST_YEARS_NAMED = 6  # method: more past years are counted, not listed


@dataclass(frozen=True, slots=True, kw_only=True)
class Sown:
    """A crop for which only its planting is known, where there is no block of a field."""

    name: str
    planted: date
    emerged: date | None = None
    maturity_group: float
    variety: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Forecast:
    """What the model says of each block in every draw, the past years behind it, and what should be known.

    A block of which no model gives a date has None, and a note that says why. `weather_years` is empty where
    no past year was needed (all is past) or none could be used.
    """

    blocks: tuple[Modelled | None, ...]
    weather_years: tuple[int, ...]
    notes: tuple[Said, ...]

    @property
    def stages(self) -> tuple[StageDraws | None, ...]:
        """Stage draws of each block before any count."""
        return tuple(one.stages() if one is not None else None for one in self.blocks)


def window(stage: StageDraws) -> Window:
    """Reduce the draws to what people read of a forecast.

    Examples
    --------
    >>> import numpy as np
    >>> days = date(2026, 7, 10).toordinal() + np.arange(7) * 8.0
    >>> window(StageDraws(np.tile(days, (3, 1)))).closes.isoformat()
    '2026-08-03'
    """
    early, likely, late = np.quantile(stage.of("R3"), numbers("stage.window_quantiles"))
    return Window(
        r1=date_from_day(float(np.median(stage.of("R1")))),
        r3_early=date_from_day(float(early)),
        r3_likely=date_from_day(float(likely)),
        r3_late=date_from_day(float(late)),
        closes=date_from_day(float(np.median(stage.of("R4")))),
        sd_d=float(np.std(stage.of("R3"))),
    )


def _starts(blocks: Sequence[Planted]) -> list[date]:
    return [block.emerged or block.planted for block in blocks]


def _support_notes(blocks: Sequence[Planted], latitude_deg: float) -> list[Said]:
    """Name latitudes and groups of which the evidence has no plot."""
    south, north = numbers("stage.latitude_seen_deg")
    notes = []
    if not south <= abs(latitude_deg) <= north:
        notes.append(Said("stage.latitude_unseen", latitude=latitude_deg, south=south, north=north))
    without = numbers("stage.groups_without_plots")
    unseen = sorted({block.maturity_group for block in blocks if np.rint(block.maturity_group) in without})
    notes += [Said("stage.group_unseen", group=group) for group in unseen]
    return notes


def _refuse_groups(blocks: Sequence[Planted]) -> None:
    lowest, *_, highest = numbers("stage.coefficient_groups")
    raise_all(
        [
            InputError(
                f"maturity group {block.maturity_group:g} is outside {lowest:g} (000) to {highest:g}",
                where=f"block {block.name}",
                mend="Correct the maturity group.",
            )
            for block in blocks
            if not lowest <= block.maturity_group <= highest
        ]
    )


def _not_reached(block: Planted, dates: Dates, given: Season) -> InputError | None:
    """Say that a block does not come to R5 in some weathers, and why."""
    missed = np.isnan(dates.r5_day)
    if not missed.any():
        return None
    gaps = given.gaps()
    where = f"weather, for block {block.name}"
    if gaps:
        what = f"{len(gaps)} days since planting have no temperature, the first of them {gaps[0]}"
        return InputError(what, where=where, mend="Fill these days in the weather file.")
    stage = "R3" if np.isnan(dates.r3_day).any() else "R5"
    last = date.fromordinal(given.first_day + given.tmin_c.shape[1] - 1)
    what = f"it does not come to {stage} by {last} in the weather of {_those(given.years, missed)}"
    where += f", planted on {block.planted}, group {block.maturity_group:g}"
    mend = (
        "Check planting date, maturity group and the unit of the temperatures (a column in Celsius is called "
        "tmin_c or tmax_c), or add the later days of these years."
    )
    return InputError(what, where=where, mend=mend)


def _those(years: Sequence[int], missed: Bools) -> str:
    """Name the years that are missed, or count them where they are many."""
    found = [str(year) for year, miss in zip(years, missed, strict=True) if miss]
    if len(found) <= _MOST_YEARS_NAMED:
        return ", ".join(found)
    if len(found) == len(years):
        return f"all {len(years)} years"
    return f"{len(found)} of {len(years)} years, the first {found[0]}"


def _in_draws(dates: Dates, block: Planted, situation: Situation) -> Modelled:
    """Draw i: the model's days under its past year, and its errors."""
    row = year_of_draw(len(dates.r3_day), situation.draws)
    days = (dates.r1_day[row], dates.r3_day[row], dates.r5_day[row])
    return modelled(days, block.maturity_group, errors(situation, block), situation)


def _by_calendar(
    blocks: Sequence[Planted], weather: Weather | None, situation: Situation, note: Said
) -> Forecast:
    """Forecast by the calendar table: the season's part is shared by all fields."""
    standard = normals(situation.seed, situation.draws, "stage", "season")
    blocks_made: list[Modelled | None] = []
    notes = []
    for block in blocks:
        outside = refusal(block, situation.latitude_deg)
        if outside:
            add = "a weather file" if weather is None else "past years to the weather file"
            notes.append(Said("stage.no_date", block=block.name, outside=outside, add=add))
            blocks_made.append(None)
            continue
        mean = calendar_dates(block, situation.latitude_deg)
        weather_d = season_part_d(standard, block.maturity_group)
        days = (mean.r1_day + weather_d, mean.r3_day + weather_d, mean.r5_day + weather_d)
        off = errors(situation, block)
        blocks_made.append(modelled(days, block.maturity_group, off, situation))
    if any(made is not None for made in blocks_made):
        notes.insert(0, note)
    return Forecast(blocks=tuple(blocks_made), weather_years=(), notes=tuple(notes))


def _weather_notes(given: Season, today: date) -> list[Said]:
    notes = []
    if given.known_until < today.toordinal() - 1:
        first = date.fromordinal(given.known_until + 1)
        notes.append(Said("stage.weather_ends", first=first))
    if len(given.years) < number("stage.wanted_years"):
        wanted = number("stage.wanted_years")
        years = ", ".join(str(year) for year in given.years)
        notes.append(Said("stage.few_years", count=len(given.years), years=years, wanted=wanted))
    return notes


def forecast(blocks: Sequence[Planted], weather: Weather | None, situation: Situation) -> Forecast:
    """Forecast the stages of a field's blocks.

    Parameters
    ----------
    blocks : sequence of Block or Sown
        What was planted when.
    weather : Weather or None
        Daily weather of this season to date and of past years; None: the calendar table.
    situation : Situation
        Field, habit, latitude, today, seed and number of draws.

    Returns
    -------
    Forecast
        One entry a block, None where no model gives a date. Draw i is the same past year and the same season
        in every block and field.

    Raises
    ------
    InputError
        Where the weather of this season has a gap before R5, a block does not come to R5, or a maturity
        group is unknown.

    Notes
    -----
    Photothermal model of Jones, Boote, Grimm and Piper; see `phenology`.

    Examples
    --------
    >>> place = Situation(
    ...     field="North", habit="indeterminate", latitude_deg=42.0, today=date(2026, 6, 1), seed=1
    ... )
    >>> told = forecast([Sown(name="A", planted=date(2026, 5, 5), maturity_group=2.5)], None, place)
    >>> window(told.stages[0]).r3_likely.isoformat(), told.notes[0].code
    ('2026-07-14', 'stage.calendar')
    """
    made, faults = forecast_each(blocks, weather, situation)
    raise_all([fault for fault in faults if fault is not None])
    return made


def forecast_each(
    blocks: Sequence[Planted], weather: Weather | None, situation: Situation
) -> tuple[Forecast, tuple[InputError | None, ...]]:
    """Forecast as `forecast` does, but let no block stop another.

    Returns
    -------
    Forecast, tuple of InputError or None
        For each block the fault for which it has None instead of dates, where there is one.

    Raises
    ------
    InputError
        Where a maturity group is unknown.
    """
    _refuse_groups(blocks)
    none = (None,) * len(blocks)
    if not blocks:
        return Forecast(blocks=(), weather_years=(), notes=()), none
    support = _support_notes(blocks, situation.latitude_deg)
    sd_d = number("stage.calendar_sd_d")
    if weather is None:
        return _by_calendar(blocks, None, situation, Said("stage.calendar", sd=sd_d)), none
    given = season(weather, _starts(blocks), situation.today, situation.latitude_deg)
    days = weathers(given.first_day, given.tmin_c, given.tmax_c, situation.latitude_deg)
    dates = [MODELS[MODEL](days, block) for block in blocks]
    all_past = all(bool((of_block.r5_day < given.known_until + 1).all()) for of_block in dates)
    if not given.years and not all_past and not given.gaps():
        first, last = date.fromordinal(given.known_until + 1), date.fromordinal(given.complete_to)
        note = Said("stage.no_complete_year", first=first, last=last, sd=sd_d)
        return _by_calendar(blocks, weather, situation, note), none
    faults = tuple(
        _not_reached(block, of_block, given) for block, of_block in zip(blocks, dates, strict=True)
    )
    made = tuple(
        _in_draws(of_block, block, situation) if fault is None else None
        for block, of_block, fault in zip(blocks, dates, faults, strict=True)
    )
    notes = support if all_past else [*support, *_weather_notes(given, situation.today)]
    years = () if all_past else given.years
    return Forecast(blocks=made, weather_years=years, notes=tuple(notes)), faults
