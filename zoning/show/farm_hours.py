"""What a farm's report says of hours and sprayers: how full they are, and what more of them is worth.

Gives lines of a plan; works out no schedule and prints nothing.
"""

from datetime import date

from zoning.plan import FarmPlan, WorthOf
from zoning.show.calendar_rows import busiest
from zoning.show.calendar_rows import hours as hours_of
from zoning.show.figures import day, dollars, hours, plain
from zoning.show.many import is_many
from zoning.words import Said

_EXTRA, _FILLING = "an extra sprayer", "filling in half the time"  # the schedule's words
_MOST_WORTH = 8  # of changes, each in a line
# reasons why a zone is left out
NO_VISIT_FITS = ("passes.visit_too_long", "passes.no_hours", "passes.hours_taken")


def machines(farm: FarmPlan) -> list[str]:
    """Say how full the sprayers are, what an hour is worth where it is tightest, what would bring more."""
    if not farm.hours or not any(plan.passes for plan in farm.plans):
        return []
    lines = []
    every, shown = hours_of(farm), () if is_many(farm) else busiest(farm)  # of many a table tells it
    for sprayer in shown:
        known = every[sprayer]
        used = [number for number, one in known.items() if sum(one.used_h) > 0]
        if used:
            until = max(used)
            rows = [one for number, one in known.items() if number <= until]
            told = {
                "used": hours(sum(sum(one.used_h) for one in rows)),
                "planned": hours(sum(sum(one.planned_h) for one in rows)),
                "day": day(date.fromordinal(until)),
            }
            lines.append(Said("schedule.hours_used", sprayer=plain(sprayer, 30), **told).text)
    if shown and len(shown) < len(every):
        lines.append(Said("schedule.more_sprayers", count=len(every) - len(shown)).text)
    tightest = max(farm.hours, key=lambda use: use.hour_usd)
    if round(tightest.hour_usd) > 0:
        told = {"sprayer": plain(tightest.sprayer, 30), "day": day(tightest.day), "half": tightest.half}
        lines.append(Said("schedule.tightest", usd=dollars(tightest.hour_usd), **told).text)
    too_long = any(one.why.code in NO_VISIT_FITS for one in farm.left_out)
    if round(tightest.hour_usd) <= 0 and not too_long:
        lines.append(Said("schedule.hours_enough").text)
    lines += [Said("schedule.hours_not_counted").text] if too_long else []
    lines += _changes(farm)
    too_big = any(one.why.code == "passes.visit_too_long" for one in farm.left_out)
    if too_big and any(one.change == _EXTRA for one in farm.worth):
        lines.append(Said("schedule.one_sprayer_a_field").text)
    return lines


def _changes(farm: FarmPlan) -> list[str]:
    """Say what changes would add; of many those that add most, and how much the others add at most."""
    if len(farm.worth) <= _MOST_WORTH + len(busiest(farm)):
        return [_worth(one) for one in farm.worth]
    told = [one for one in sorted(farm.worth, key=lambda one: -one.usd)[:_MOST_WORTH] if round(one.usd)]
    if not told:
        return [Said("schedule.no_worth", count=len(farm.worth)).text]
    least_usd = told[-1].usd if len(told) == _MOST_WORTH else 0.0
    rest = Said("schedule.more_worth", count=len(farm.worth) - len(told), usd=dollars(least_usd))
    return [*map(_worth, told), rest.text]


def _worth(one: WorthOf) -> str:
    gain = Said("schedule.at_most", usd=dollars(one.usd)).text if round(one.usd) else "nothing"
    told = {"sprayer": plain(one.sprayer, 30), "gain": gain}
    if one.change == _EXTRA:
        return Said("schedule.worth_sprayer", **told).text
    if one.change == _FILLING:
        return Said("schedule.worth_filling", **told).text
    return Said("schedule.worth_other", change=one.change, **told).text
