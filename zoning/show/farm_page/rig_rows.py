"""The sprayers of a farm of many fields on its page: what each does, and its hours half-day by half-day."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from html import escape

from markupsafe import Markup

from zoning.plan import FarmPlan
from zoning.show.calendar_rows import DayHours
from zoning.show.calendar_rows import hours as hours_of
from zoning.show.figures import day
from zoning.show.layout import Table
from zoning.show.many import Rig, rig_table, rigs
from zoning.words import Said

MOST_RIGS = 100
_SOON, _LEAST, _MOST = timedelta(days=7), timedelta(days=13), timedelta(days=30)
_HIGH = 20  # of the bars [px]
_DATE_SHARE = 0.14  # of the picture's width: room for a date


@dataclass(frozen=True, slots=True)
class Rigs:
    """The table of sprayers, the hours of each as a picture, dates above these, and what is said of all."""

    table: Table
    bars: tuple[Markup, ...]
    dates: Markup
    said: str


def rig_rows(farm: FarmPlan) -> Rigs | None:
    """Give the sprayers that make passes, by their names; of very many the busiest. None where none does.

    Parameters
    ----------
    farm : FarmPlan
    """
    every = rigs(farm)
    if not every:
        return None
    kept = {one.name for one in sorted(every, key=lambda one: -one.used_h)[:MOST_RIGS]}
    shown = [one for one in every if one.name in kept]
    days, known = _days(farm.today, every), hours_of(farm)
    within = [one for rig in shown for one in _inside(known.get(rig.name, {}), days)]
    most_h = max((h for one in within for h in one.planned_h + one.used_h), default=0.0)
    bars = [_bars(known.get(one.name, {}), days, most_h) for one in shown] if most_h else []
    span = {"first": day(date.fromordinal(days[0])), "last": day(date.fromordinal(days[-1]))}
    lines = [Said("farm_page.rig_hours", **span).text] if most_h else []
    if len(shown) < len(every):
        lines.append(Said("farm_page.rigs_shown", count=len(shown), all=len(every)).text)
    table = rig_table(farm, shown, every)
    return Rigs(table, tuple(map(Markup, bars)), Markup(_dates(days)), ". ".join(lines))


def _days(today: date, every: list[Rig]) -> range:
    """Choose the days of the bars: from today, or from the first pass where it is later than soon."""
    first, last = min(one.first for one in every), max(one.last for one in every)
    begin = today if today <= first <= today + _SOON else first
    end = max(begin + _LEAST, min(last, begin + _MOST))
    return range(begin.toordinal(), end.toordinal() + 1)


def _inside(known: Mapping[int, DayHours], days: range) -> list[DayHours]:
    return [known[number] for number in days if number in known]


def _bars(known: Mapping[int, DayHours], days: range, most_h: float) -> str:
    """Draw hours to plan on and, over them, hours in use: a step a half-day."""
    places = [(2 * at + pm, number, pm) for at, number in enumerate(days) if number in known for pm in (0, 1)]
    planned = "".join(_bar(x, known[number].planned_h[pm] / most_h) for x, number, pm in places)
    used = "".join(_bar(x, known[number].used_h[pm] / most_h) for x, number, pm in places)
    return (
        f'<svg class="rig-hours" viewBox="0 0 {2 * len(days)} {_HIGH}" preserveAspectRatio="none" '
        f'aria-hidden="true"><path class="plan" d="{planned}"/><path class="use" d="{used}"/>'
        f'<path class="edge" d="{_mondays(days)}"/></svg>'
    )


def _bar(x: int, share: float) -> str:
    high = round(_HIGH * share)
    return f"M{x} {_HIGH}v{-high}h1v{high}z" if high else ""


def _mondays(days: range) -> str:
    starts = [2 * at for at, number in enumerate(days) if date.fromordinal(number).weekday() == 0]
    return "".join(f"M{x} 0v{_HIGH}" for x in starts)


def _dates(days: range) -> str:
    """Name the Mondays above the bars."""
    texts = [
        f'<text x="{100 * at / len(days):.4g}%" y="13">{escape(day(date.fromordinal(number)))}</text>'
        for at, number in enumerate(days)
        if date.fromordinal(number).weekday() == 0 and at / len(days) < 1 - _DATE_SHARE
    ]
    return f'<svg class="rig-dates" width="100%" height="16" aria-hidden="true">{"".join(texts)}</svg>'
