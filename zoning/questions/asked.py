"""What `stage` is asked without a field: plantings at a place, paired, named and checked, not forecast."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Literal

from zoning.errors import SETTINGS, InputError, raise_all
from zoning.show.figures import day, full_day
from zoning.stage.forecast import Sown

WHERE = "sprayworth stage"
_YEARS = (1900, 2200)  # a planting in another year is a slip of the finger
_MOST_AHEAD = timedelta(days=2 * 366)  # and so is one further ahead than this


@dataclass(frozen=True, slots=True, kw_only=True)
class Crop:
    """Planting dates and maturity groups at one place; every pair is asked.

    `emerged` is empty, or one day for each planting date, or one for all. `weather` and `counts` are files.
    """

    planted: tuple[date, ...]
    maturity_groups: tuple[float, ...]
    latitude_deg: float
    habit: Literal["indeterminate", "determinate"]
    weather: Path | None
    emerged: tuple[date, ...] = ()
    counts: Path | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One planting of one group, and how sentences call it and its planting day."""

    name: str
    day: str
    crop: Sown

    @property
    def start(self) -> date:
        """Day from which on its weather matters."""
        return self.crop.emerged or self.crop.planted


def plantings(crop: Crop, today: date) -> tuple[Asked, ...]:
    """Pair planting days with emergence days and groups, each pair once, in the order given.

    Raises
    ------
    InputError
        Where days cannot be, or do not pair.

    Examples
    --------
    >>> crop = Crop(
    ...     planted=(date(2026, 5, 6), date(2026, 6, 1)),
    ...     maturity_groups=(2.4,),
    ...     latitude_deg=44.3,
    ...     habit="indeterminate",
    ...     weather=None,
    ... )
    >>> [one.name for one in plantings(crop, date(2026, 7, 8))]
    ['the planting of May 6', 'the planting of Jun 1']
    """
    pairs = _pairs(crop)
    faults = [fault for pair in pairs for fault in _faults(*pair, today)]
    if len({planted for planted, _ in pairs}) < len(pairs):
        what, mend = (
            "one planting date is given with several emergence dates",
            "Ask for each planting date once.",
        )
        faults.append(InputError(what, where=f"{WHERE} --emerged", mend=mend, code=SETTINGS))
    raise_all(faults)
    # one name for all: the block's own part of the error is the same draws, so that rows compare fairly
    crops = [
        Sown(name="", planted=planted, emerged=emerged, maturity_group=group)
        for planted, emerged in pairs
        for group in dict.fromkeys(crop.maturity_groups)
    ]
    years = len({one.planted.year for one in crops}) > 1
    groups = len({one.maturity_group for one in crops}) > 1
    return tuple(_asked(one, years, groups) for one in crops)


def _pairs(crop: Crop) -> list[tuple[date, date | None]]:
    if len(crop.emerged) > 1 and len(crop.emerged) != len(crop.planted):
        raise InputError(
            f"{len(crop.emerged)} emergence dates for {len(crop.planted)} planting dates",
            where=f"{WHERE} --emerged",
            mend="Give one for each --planted, in their order, or one for all.",
            code=SETTINGS,
        )
    emerged: Sequence[date | None] = crop.emerged or (None,)
    if len(emerged) == 1:
        emerged = [emerged[0]] * len(crop.planted)
    return list(dict.fromkeys(zip(crop.planted, emerged, strict=True)))


def _asked(crop: Sown, years: bool, groups: bool) -> Asked:
    """Name a planting, with year and group only where they tell plantings apart."""
    on = f"the planting of {full_day(crop.planted) if years else day(crop.planted)}"
    return Asked(name=f"{on}, group {crop.maturity_group:g}" if groups else on, day=on, crop=crop)


def _faults(planted: date, emerged: date | None, today: date) -> list[InputError]:
    found = []

    def fault(what: str, option: str, mend: str) -> None:
        found.append(InputError(what, where=f"{WHERE} {option}", mend=mend, code=SETTINGS))

    first, last = _YEARS
    if not first <= planted.year <= last or (planted > today and planted - today > _MOST_AHEAD):
        fault(f"a planting on {planted} lies too far from today, {today}", "--planted", "Correct the date.")
    if emerged is not None and emerged < planted:
        mend = "Correct one of them; --emerged goes with --planted in their order."
        fault(f"emergence on {emerged} is before the planting on {planted}", "--emerged", mend)
    if emerged is not None and emerged > today:
        mend = "Give a day on which it was seen, or leave it out."
        fault(f"emergence on {emerged} lies after today, {today}", "--emerged", mend)
    return found
