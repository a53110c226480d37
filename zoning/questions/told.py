"""What the model says of the plantings asked about, each planting day by itself, and why it is silent."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from zoning.errors import InputError
from zoning.evidence import number
from zoning.inputs.given import Weather
from zoning.questions.asked import Asked
from zoning.stage.forecast import forecast_each
from zoning.stage.modelled import Modelled
from zoning.stage.spread import Situation
from zoning.words import Said

# so long after planting every crop is over, and later weather tells nothing of it
_OVER = timedelta(days=400)
_SAID_ONCE = ("stage.few_years", "stage.weather_ends", "stage.no_complete_year", "stage.calendar")
# code of a sentence, and what it holds beside the planting
_Reason = tuple[str, tuple[tuple[str, object], ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What the model says of the plantings, in their order, what is doubtful, and why some have no dates."""

    blocks: tuple[Modelled | None, ...]
    notes: tuple[Said, ...]
    missing: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _OfDay:
    blocks: Sequence[Modelled | None]
    reasons: Sequence[_Reason | None]
    notes: Sequence[Said] = ()


def told(asked: Sequence[Asked], known: Weather | None, situation: Situation) -> Told:
    """Forecast the plantings, each planting day by itself, so that none stops or bends another."""
    blocks: dict[int, Modelled | None] = {}
    notes: list[Said] = []
    missing: list[Said] = []
    for start in sorted({one.start for one in asked}):
        rows = [row for row, one in enumerate(asked) if one.start == start]
        plantings = [asked[row] for row in rows]
        of_day = _of_day(plantings, known, situation)
        blocks |= dict(zip(rows, of_day.blocks, strict=True))
        missing += _missing(plantings, of_day.reasons)
        notes += of_day.notes
    in_order = tuple(blocks[row] for row in range(len(asked)))
    return Told(blocks=in_order, notes=_once(notes), missing=tuple(missing))


def _of_day(asked: Sequence[Asked], known: Weather | None, situation: Situation) -> _OfDay:
    start = asked[0].start
    uncovered = _uncovered(start, known)
    if uncovered:
        return _OfDay(blocks=[None] * len(asked), reasons=[_no_dates(uncovered)] * len(asked))
    until_over = replace(situation, today=min(situation.today, start + _OVER))
    made, faults = forecast_each([one.crop for one in asked], known, until_over)
    outside = iter([said.values["outside"] for said in made.notes if said.code == "stage.no_date"])
    blocks: list[Modelled | None] = []
    reasons: list[_Reason | None] = []
    for one, block, fault in zip(asked, made.blocks, faults, strict=True):
        reason = None
        if fault is not None:
            reason = _no_dates(_in_one_line(fault))
        elif block is None:
            add = "--weather FILE" if known is None else "past years to the weather file"
            reason = ("questions.no_calendar", (("outside", next(outside)), ("add", add)))
        elif block.expected().r3_day - one.crop.planted.toordinal() > number("stage.days_to_r3_most_d"):
            reason = ("questions.too_long", (("most", number("stage.days_to_r3_most_d")),))
        reasons.append(reason)
        blocks.append(block if reason is None else None)
    notes = [said for said in made.notes if said.code != "stage.no_date"] if any(blocks) else []
    return _OfDay(blocks=blocks, reasons=reasons, notes=notes)


def _uncovered(start: date, known: Weather | None) -> str:
    """Say why the weather file says nothing of a crop from its first day on; empty where it does."""
    if known is None:
        return ""
    if len(known.day) == 0:
        return "the weather file has no day up to today"
    first = date.fromordinal(int(known.day[0]))
    if start < first:
        return f"the weather file begins on {first}; give one that begins by {start}, and some years earlier"
    return ""


def _no_dates(why: str) -> _Reason:
    return "questions.no_dates", (("why", why),)


def _in_one_line(fault: InputError) -> str:
    return f"{fault.what}; {fault.mend[0].lower()}{fault.mend[1:].rstrip('.')}"


def _missing(asked: Sequence[Asked], reasons: Sequence[_Reason | None]) -> list[Said]:
    """Say why plantings of one day have no dates, groups with the same reason together."""
    alike: dict[_Reason, list[Asked]] = {}
    for one, reason in zip(asked, reasons, strict=True):
        if reason is not None:
            alike.setdefault(reason, []).append(one)
    return [
        Said(code, planting=_together(plantings), **dict(values))
        for (code, values), plantings in alike.items()
    ]


def _together(plantings: Sequence[Asked]) -> str:
    if len(plantings) == 1:
        return plantings[0].name
    return f"{plantings[0].day}, groups {', '.join(f'{one.crop.maturity_group:g}' for one in plantings)}"


def _once(notes: Iterable[Said]) -> tuple[Said, ...]:
    """Say each thing once; of things about the weather file the earliest planting's."""
    kept: dict[object, Said] = {}
    for said in notes:
        kept.setdefault(said.code if said.code in _SAID_ONCE else said, said)
    return tuple(kept.values())
