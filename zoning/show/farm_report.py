"""What a farm's schedule says below its calendar: the passes by time, their worth, what is left out.

Gives one text of a plan; works out no schedule and prints nothing.
"""

import math
from datetime import date

from zoning.plan import FarmPlan, Plan, PlanPass, decided
from zoning.show import check_strips, never_sprayed
from zoning.show.calendar import calendar
from zoning.show.calendar_rows import marks_of
from zoning.show.farm_hours import NO_VISIT_FITS, machines
from zoning.show.figures import (
    NONE,
    Units,
    day,
    dollars,
    full_day,
    hours,
    plain,
    when,
    whole,
)
from zoning.show.in_time import in_time, in_time_line, is_counted
from zoning.show.layout import WIDTH, Table, as_text, wrapped
from zoning.show.many import counts, first_fields, is_many, several, sprayers
from zoning.show.table import farm_table, sprayed_already_ac
from zoning.show.zone_lists import had_theirs, left_out
from zoning.words import Said

_FINEST = 3  # digits behind the point of a percentage
_NAME = 18  # letters of a field's or a sprayer's name in the table


def whole_page(farm: FarmPlan, width: int = WIDTH) -> str:
    """Give everything that `farm` prints: the fields, the calendar, the report.

    Of a farm with many fields those with the most at stake, the sprayers in place of calendar and passes, and
    where the rest stands.

    Parameters
    ----------
    farm : FarmPlan
    width : int
        Of the terminal. [characters]
    """
    top = [f"{plain(farm.farm, 60)}, {full_day(farm.today)}", headline(farm)]
    many = is_many(farm)
    parts = (
        wrapped(top, width),
        _fields(farm, width) if farm.plans else "",
        "" if many else calendar(farm, width),
        farm_report(farm, width),
        wrapped([Said("many.rest").text], width) if many else "",
    )
    return "\n\n".join(part for part in parts if part)


def _fields(farm: FarmPlan, width: int) -> str:
    """Give the table of fields, or of many the first, and what it does not tell."""
    if not is_many(farm):
        return "\n".join(
            [as_text(farm_table(farm.plans), width), wrapped(below_fields(farm), width)]
        ).rstrip()
    said, first = first_fields(farm)
    above = wrapped([*counts(farm), *below_fields(farm)], width)
    return f"{above}\n\n{wrapped([said], width)}\n{as_text(farm_table(farm.plans, first), width)}"


def below_fields(farm: FarmPlan) -> list[str]:
    """Say of ground that is never sprayed, of check strips, and of what the user decided."""
    of_user = plain(several(decided.on_farm(farm.plans), "; "))
    of_user = Said("decisions.farm", zones=of_user).text if of_user else ""
    told = (never_sprayed.line(farm.plans), check_strips.farm_line(farm.plans), of_user)
    return [one for one in told if one]


def headline(farm: FarmPlan) -> str:
    """Give the decision on a farm and the money at stake, in one sentence."""
    written = Units(metric=farm.units == "metric")
    area_ac = sum(plan.area_ac for plan in farm.plans)
    no_spray_ac = sum(plan.no_spray_ac for plan in farm.plans)
    area = f"{written.whole_area(area_ac)} {written.area_word}"
    known = [plan.totals for plan in farm.plans if plan.totals is not None]
    if not farm.plans:
        return Said("schedule.no_field").text
    if not known:
        zones = sum(len(plan.zones) for plan in farm.plans)
        return Said("schedule.headline_dates", zones=zones, area=area).text
    spray_ac = sum(totals.spray_ac for totals in known)
    done_ac = sum(sprayed_already_ac(plan) for plan in farm.plans)
    told = {"done": written.whole_area(done_ac), "unit": written.area_word}
    done = Said("schedule.headline_done", **told).text if done_ac else ""
    if spray_ac == 0:
        rest = "the rest of" if done_ac else "all"
        if not done_ac:
            area = f"{written.whole_area(area_ac - no_spray_ac)} {written.area_word}"
        short_ac = sum(one.area_ac for one in farm.left_out if one.why.code in NO_VISIT_FITS)
        if round(short_ac):
            told = {"left": written.whole_area(short_ac), "unit": written.area_word, "done": done}
            return Said("schedule.headline_no_hours", rest=rest, area=area, **told).text
        return Said("schedule.headline_skip", rest=rest, area=area, done=done).text
    passes = len(in_order(farm))
    visits = f" in {whole(passes)} pass{'es' if passes > 1 else ''}" if passes else ""
    out_ac = sum(one.area_ac for one in farm.left_out)
    told["left"] = written.whole_area(out_ac)
    out = Said("schedule.headline_left_out", **told).text if round(out_ac) else ""
    dates_ac = sum(plan.area_ac - plan.no_spray_ac for plan in farm.plans if plan.totals is None)  # no prices
    do_not_pay = 2 * (area_ac - no_spray_ac - dates_ac - spray_ac - done_ac - out_ac) > area_ac
    most = Said("schedule.headline_most", unit=written.area_word).text if do_not_pay else ""
    net, more = dollars(sum(totals.net_usd for totals in known)), most + out + done
    spray = written.whole_area(spray_ac)
    return Said("schedule.headline", spray=spray, area=area, visits=visits, net=net, most=more).text


def farm_report(farm: FarmPlan, width: int = WIDTH) -> str:
    """Give what stands below the calendar.

    Parameters
    ----------
    farm : FarmPlan
    width : int
        Of the terminal. [characters]

    Returns
    -------
    str
        No line is longer than the terminal is wide.
    """
    passes = in_order(farm)
    table = _passes(farm, width) if passes else Said("schedule.no_pass").text
    parts = [
        "\n".join([table, wrapped(below_passes(farm), width, "  ")]).rstrip(),
        wrapped(dates(farm), width, "  "),
        wrapped(money(farm), width, "  "),
        wrapped(machines(farm), width, "  "),
        wrapped(left_out(farm), width, "  "),
        wrapped(had_theirs(farm), width, "  "),
        wrapped([f"- {plain(note.text)}" for note in farm.notes], width, "  "),
        wrapped([plain(caution) for caution in _cautions(farm, bool(passes))], width),
    ]
    return "\n\n".join(part for part in parts if part)


def _passes(farm: FarmPlan, width: int) -> str:
    """Give the table of passes, or of many what each sprayer does."""
    if not is_many(farm):
        return as_text(pass_table(farm), width)
    (said, *below), table = sprayers(farm)
    return f"{wrapped([said], width)}\n{as_text(table, width)}\n{wrapped(below, width)}".rstrip()


def _begin(one: PlanPass) -> tuple[int, int]:
    first = marks_of(one)[0]
    return first.day, first.pm


def in_order(farm: FarmPlan) -> list[tuple[Plan, PlanPass]]:
    """List every pass of the farm with its field, in order of time.

    Of passes that begin in the same half-day those of one sprayer stand together.
    """
    together = [(plan, one) for plan in farm.plans for one in plan.passes]
    return sorted(together, key=lambda pair: (*_begin(pair[1]), pair[1].sprayer))


def pass_table(farm: FarmPlan) -> Table:
    """Give the passes of a farm as a table in order of time."""
    written = Units(metric=farm.units == "metric")
    head = (
        *("when", "field", "pass", "which zones", "sprayer"),
        *(written.rate_unit, written.area_unit, "loads", "hours", "due", "in time"),
    )
    rows = [
        (
            when(one),
            plain(plan.field, _NAME),
            str(one.number),
            ", ".join(map(str, one.zones)),
            plain(one.sprayer, _NAME),
            written.rate(one.rate_gal_ac),
            written.area(one.area_ac),
            str(one.loads),
            hours(one.hours_h) if one.parts else NONE,
            day(one.due),
            NONE if one.in_time_frac is None else in_time(one.in_time_frac, one.in_time_years),
        )
        for plan, one in in_order(farm)
    ]
    return Table(head, tuple(rows))


def below_passes(farm: FarmPlan) -> list[str]:
    """Say what due and in time mean, which pass is least sure, and which end after their due day."""
    passes = in_order(farm)
    lines = check_strips.below_passes(passes)
    in_table = () if is_many(farm) else passes
    lines += [Said("schedule.due").text] if any(one.due is not None for _, one in in_table) else []
    if any(is_counted(one.in_time_years) for _, one in in_table):
        lines.append(Said("schedule.due_years").text)
    known = [
        (one.in_time_frac, one.due, plan, one)
        for plan, one in passes
        if one.in_time_frac is not None and one.due is not None
    ]
    if known:
        share, due, plan, one = min(known, key=lambda each: each[0])
        sure = in_time_line(share, due, one.in_time_years)
        told = {"field": plain(plan.field), "number": one.number, "in_time": sure}
        lines.append(Said("schedule.least_in_time", **told).text)
    return [*lines, *_late(farm)]


def _late(farm: FarmPlan) -> list[str]:
    """Say which passes end after their due day."""
    late = [
        f"{plain(plan.field)} pass {one.number}"
        for plan, one in in_order(farm)
        if one.due is not None and one.last_day > one.due
    ]
    return [Said("schedule.after_due", passes=several(late)).text] if late else []


def _left(until: date, today: date) -> str:
    left_d = (until - today).days
    return "today" if left_d == 0 else f"{left_d} day{'s' if left_d > 1 else ''} from now"


def dates(farm: FarmPlan) -> list[str]:
    """Say by when to order product and to call the applicator, and what is past."""
    lines = []
    if farm.order_by is not None:
        past = farm.order_by < farm.today
        told = {"day": day(farm.order_by), "left": _left(farm.order_by, farm.today)}
        lines.append(
            (Said("schedule.order_past", **told) if past else Said("schedule.order_by", **told)).text
        )
    if farm.call_by is not None:
        past = farm.call_by < farm.today
        told = {"day": day(farm.call_by), "left": _left(farm.call_by, farm.today)}
        lines.append((Said("schedule.call_past", **told) if past else Said("schedule.call_by", **told)).text)
    return lines


def percent_up(share: float) -> str:
    """Write a gap in percent, rounded up: a plan is never called better than it is known to be.

    Below a tenth of a percent with one digit.

    Examples
    --------
    >>> percent_up(0.00062), percent_up(0.031), percent_up(0.5)
    ('0.07 %', '3.1 %', '50 %')
    """
    percent = 100 * share
    places = 1
    while 0 < percent < 10**-places and places < _FINEST:
        places += 1
    return (
        f"{math.ceil(round(percent * 10**places, 6)) / 10**places:.{places}f}".rstrip("0").rstrip(".") + " %"
    )


def money(farm: FarmPlan) -> list[str]:
    """Say what the plan brings, and how far it may lie from the best possible."""
    known = [plan.totals for plan in farm.plans if plan.totals is not None]
    if not known or not in_order(farm):
        return []
    written = Units(metric=farm.units == "metric")
    area = written.whole_area(sum(totals.spray_ac for totals in known))
    net = Said(
        "schedule.money",
        net=dollars(sum(totals.net_usd for totals in known)),
        area=f"{area} {written.area_word}",
        visits=dollars(sum(totals.visit_costs_usd for totals in known)),
    )
    return [net.text, *_gap(farm)]


def gap_line(farm: FarmPlan) -> str:
    """Say how far the schedule may lie from the best possible, and whether it is a greedy one."""
    how_good = _how_good(farm)
    if decided.on_farm(farm.plans):
        how_good = Said("decisions.best", gap=how_good).text
    return f"{how_good}{'' if farm.every_set else Said('schedule.some_sets').text}"


def _how_good(farm: FarmPlan) -> str:
    gap = percent_up(farm.gap_frac)
    if farm.solver == "greedy":
        return Said("schedule.greedy", nodes=whole(farm.node_limit), gap=gap).text
    if farm.gap_frac <= 0:
        return Said("schedule.best").text
    if farm.bound_usd - farm.value_usd < 1:
        return Said("schedule.best_dollar").text
    told = {"bound": dollars(farm.bound_usd), "value": dollars(farm.value_usd), "gap": gap}
    return Said("schedule.exact", **told).text


def _gap(farm: FarmPlan) -> list[str]:
    lines = [gap_line(farm)]
    if farm.solver == "exact" and farm.gap_frac > farm.gap_limit_frac:
        limit = percent_up(farm.gap_limit_frac)
        if farm.nodes < farm.node_limit:  # then no part of the farm came to its limit
            lines.append(Said("schedule.dealt_out", limit=limit).text)
        else:
            lines.append(Said("schedule.stopped", nodes=whole(farm.node_limit), limit=limit).text)
    return lines


def _cautions(farm: FarmPlan, sprayed: bool) -> list[str]:
    """Give the cautions of the fields once: the first for every page, all where somebody is to spray."""
    every = list(dict.fromkeys(caution for plan in farm.plans for caution in plan.cautions))
    return every if sprayed else every[:1]
