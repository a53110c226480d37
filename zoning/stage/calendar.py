"""Stage days without weather: a calendar table by planting day and maturity group, and nothing outside it.

The table is the photothermal model's mean over eleven seasons of one place; it stands in for latitudes near
it, and half a year later for the same latitudes in the south.
"""

from calendar import isleap
from dataclasses import dataclass

import numpy as np

from zoning.evidence import number, numbers
from zoning.stage.daylength import Floats, day_of_year
from zoning.stage.phenology import Planted
from zoning.stage.spread import model_sd_d

_LEAP_FREE = 365  # eq. days of a common year
_FIRST_OF_MARCH = 60  # eq. day of the year of 1 March in a common year


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarDates:
    """Mean days on which stages begin, as day numbers."""

    r1_day: float
    r3_day: float
    r5_day: float


def _northern_doy(block: Planted, latitude_deg: float) -> int:
    """Planting as day of a common year; in the south the day half a year away, which has the same sun."""
    doy = int(day_of_year(np.array([block.planted.toordinal()]))[0])
    doy -= isleap(block.planted.year) and doy >= _FIRST_OF_MARCH
    return doy if latitude_deg >= 0 else (doy + _LEAP_FREE // 2) % _LEAP_FREE


def _table(name: str, doy: float, group: float) -> float:
    """Bilinear value of a calendar table."""
    by_group = [
        np.interp(doy, numbers("stage.calendar_planted_doy"), column) for column in numbers(f"stage.{name}").T
    ]
    return float(np.interp(group, numbers("stage.calendar_groups"), by_group))


def refusal(block: Planted, latitude_deg: float) -> str:
    """Say what of this block lies outside the calendar table; empty where it gives a date."""
    south, north = numbers("stage.calendar_latitude_deg")
    first, *_, last = numbers("stage.calendar_planted_doy")
    lowest, *_, highest = numbers("stage.calendar_groups")
    outside = []
    if not south <= abs(latitude_deg) <= north:
        outside.append(f"latitude {latitude_deg:.1f} is outside {south:g} to {north:g}")
    if not first <= _northern_doy(block, latitude_deg) <= last:
        when = "25 April to 14 June" if latitude_deg >= 0 else "25 October to 14 December"
        outside.append(f"planting on {block.planted} is outside {when}")
    if not lowest <= block.maturity_group <= highest:
        outside.append(f"maturity group {block.maturity_group:g} is outside {lowest:g} to {highest:g}")
    return ", ".join(outside)


def calendar_dates(block: Planted, latitude_deg: float) -> CalendarDates:
    """Stage days of a block from the calendar table.

    An observed emergence moves them by its delay over the table's own emergence.

    Raises
    ------
    ValueError
        Outside the table's planting days, maturity groups or latitudes.

    Examples
    --------
    >>> from datetime import date
    >>> from types import SimpleNamespace
    >>> block = SimpleNamespace(
    ...     name="A", planted=date(2026, 5, 5), emerged=None, maturity_group=2.5, variety=""
    ... )
    >>> round(calendar_dates(block, 42.0).r3_day - date(2026, 1, 1).toordinal() + 1, 1)
    195.8
    """
    outside = refusal(block, latitude_deg)
    if outside:
        raise ValueError(f"the calendar gives block {block.name} no date: {outside}")
    doy = _northern_doy(block, latitude_deg)
    planted = block.planted.toordinal()
    rows = numbers("stage.calendar_planted_doy")
    r1_d = _table("calendar_r1_doy", doy, block.maturity_group) - doy
    r3_d = _table("calendar_r3_doy", doy, block.maturity_group) - doy
    if block.emerged is not None:
        usual_d = float(np.interp(doy, rows, numbers("stage.calendar_emergence_d")))
        delay_d = block.emerged.toordinal() - planted - usual_d
        r1_d += number("stage.emergence_delay_r1") * delay_d
        r3_d += number("stage.emergence_delay_r3") * delay_d
    to_r5_d = float(np.interp(doy, rows[[0, -1]], numbers("stage.calendar_r3_to_r5_d")))
    return CalendarDates(r1_day=planted + r1_d, r3_day=planted + r3_d, r5_day=planted + r3_d + to_r5_d)


def season_part_d(standard: Floats, maturity_group: float) -> Floats:
    """Add what the unknown weather adds: with the model's error it makes the calendar's SD; in days."""
    model_d = model_sd_d(maturity_group, "indeterminate")
    sd_d = np.sqrt(number("stage.calendar_sd_d") ** 2 - model_d**2)  # eq. variances add
    return np.asarray(sd_d * standard)
