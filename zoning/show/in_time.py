"""How sure a pass is to be over in time: a chance, or where few past years are known in how many of them."""

from datetime import date

from zoning.evidence import number
from zoning.show.figures import chance, day
from zoning.words import Said


def is_counted(past_years: int) -> bool:
    """Whether so few past years are behind a share that a chance in percent would say too much."""
    return 0 < past_years < number("passes.years_for_a_chance")


def in_time(share: float, past_years: int) -> str:
    """Write the share of the weather futures in which a pass is over in time.

    Parameters
    ----------
    share : float
        0-1.
    past_years : int
        How many past years these futures are; 0 where they are none.

    Examples
    --------
    >>> in_time(0.504, 2), in_time(1.0, 1), in_time(0.713, 12), in_time(1.0, 0)
    ('1 of 2', '1 of 1', '71 %', '>99 %')
    """
    return f"{round(share * past_years)} of {past_years}" if is_counted(past_years) else chance(share)


def in_time_line(share: float, due: date | None, past_years: int) -> str:
    """Say how sure the weather lets a pass be over by its due day."""
    if not is_counted(past_years):
        return Said("schedule.in_time", chance=chance(share), by=day(due)).text
    years = f"{in_time(share, past_years)} past year{'s' if past_years > 1 else ''}"
    return Said("schedule.in_time_years", by=day(due), years=years).text
