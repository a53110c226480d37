"""Everything that a run prints for people: the decision, the money, the table, the passes, the notes.

Gives one text; prints nothing.
"""

import textwrap

from zoning.plan import Plan, PlanPass, PlanWalk, decided
from zoning.show import check_strips, money, never_sprayed
from zoning.show.figures import Units, day, dollars, full_day, hours, plain, when
from zoning.show.in_time import in_time_line
from zoning.show.layout import WIDTH, as_text, wrapped
from zoning.show.table import headline, table
from zoning.show.zones import block_lines, layer_lines
from zoning.words import Said, amounts

_COUNTED = "* pinned by a count"
_PROVISIONAL = "dates without a star are provisional"
_ALL_PROVISIONAL = "all dates are provisional: no zone is counted"
_SKIPPED = "skipped zones: net, chance and break-even are those of the best pass they could have had"
# Notes that say why numbers are as they are, the same on every farm: told to those who ask why.
BACKGROUND = ("returns.disagree", "returns.practice_says", "offers.fewer_zones", "zones.")


def report(plan: Plan, width: int = WIDTH, *, why: bool = False) -> str:
    """Give everything that a run prints.

    Parameters
    ----------
    plan : Plan
    width : int
        Of the terminal. [characters]
    why : bool
        Whether to say of each number how it comes about.

    Returns
    -------
    str
        No line is longer than the terminal is wide.
    """
    notes = [note for note in plan.notes if why or not note.code.startswith(BACKGROUND)]
    left_out = len(plan.notes) - len(notes)
    told = [plain(note.text) for note in notes]
    if plan.level > 1 and not why:
        more = Said("money.more_notes", count=left_out).text if left_out else ""
        told.append(Said("money.more", notes=more).text)
    walks = [", ".join(walk_line(one)) for one in plan.walks]
    # the first caution is for every page, the others for those on which somebody is to spray
    cautions = plan.cautions if any(zone.action == "spray" for zone in plan.zones) else plan.cautions[:1]
    parts = [
        wrapped(_top(plan), width),
        wrapped([plain(plan.since.text)] if plan.since is not None else [], width),
        "\n".join([as_text(table(plan), width), wrapped(below_table(plan), width)]).rstrip(),
        _by_source(plan, width),
        wrapped(_passes(plan), width, "  "),
        wrapped(_zones(plan), width, "  ") if why else "",
        wrapped([*walks, *layer_lines(plan), *(block_lines(plan) if why else ())], width, "  "),
        "\n".join(textwrap.fill(one, width, initial_indent="- ", subsequent_indent="  ") for one in told),
        wrapped([plain(caution) for caution in cautions], width),
    ]
    return "\n\n".join(part for part in parts if part)


def _top(plan: Plan) -> list[str]:
    where = f"{plain(plan.field, 60)}{f' ({plain(plan.farm, 40)})' if plan.farm else ''}"
    top = [f"{where}, {full_day(plan.today)}", headline(plan), *money.field_lines(plan)]
    if plan.level > 2:
        alone = "alone: this field has the sprayer to itself" if plan.schedule == "alone" else "farm"
        top.append(f"schedule: {alone}")
    return top


def below_table(plan: Plan) -> list[str]:
    """Say below the table which ground it lacks, which dates rest on a count, and what skipped zones show."""
    never = never_sprayed.line([plan])
    below = [one for one in (never, about_dates(plan)) if one]
    if plan.level > 1 and any(zone.action == "skip" and zone.money is not None for zone in plan.zones):
        below.append(_SKIPPED)
    if decided.numbers(plan.zones):
        below.append(Said("decisions.mark").text)
    why_two = money.break_even_line(plan)
    return [*below, why_two] if why_two else below


def about_dates(plan: Plan) -> str:
    """Say which dates rest on a count; empty where there are none."""
    pinned = {not zone.provisional for zone in plan.zones if zone.window}
    if not pinned or pinned == {False}:
        return _ALL_PROVISIONAL if pinned else ""
    return _COUNTED if pinned == {True} else f"{_COUNTED}; {_PROVISIONAL}"


def _by_source(plan: Plan, width: int) -> str:
    """Say what each response source would do with each zone: which source holds is what matters most."""
    if plan.level < 2 or all(zone.money is None for zone in plan.zones):
        return ""
    sources, below = money.source_lines(plan)
    head = Said("money.by_source", unit=Units(metric=plan.units == "metric").net_unit).text
    return "\n".join([textwrap.fill(head, width), as_text(sources, width), wrapped(below, width)]).rstrip()


def pass_line(plan: Plan, one: PlanPass) -> str:
    """Say of a pass when, with what and over which zones it goes."""
    written = Units(metric=plan.units == "metric")
    loads = f"{one.loads} load{'s' if one.loads != 1 else ''}"
    zones = ", ".join(str(number) for number in one.zones)
    took = f", {hours(one.hours_h)} h" if one.parts else ""
    with_strips = check_strips.pass_area(plan, one)
    treated = f" ({Said('strips.pass', area=with_strips).text})" if with_strips else ""
    return (
        f"pass {one.number}: {when(one)}, {plain(one.sprayer, 30)}, "
        f"{written.rate(one.rate_gal_ac)} {written.rate_unit}, {written.area(one.area_ac)} "
        f"{written.area_unit}{treated}, {loads}{took}, zone{'s' if len(one.zones) > 1 else ''} {zones}"
    )


def pass_doubt(one: PlanPass) -> str:
    """Say how sure a pass is to be in time, and what it returns when it is begun later; may be empty."""
    told = []
    if one.due is not None and one.in_time_frac is not None:
        told.append(in_time_line(one.in_time_frac, one.due, one.in_time_years))
    later = money.later_line(one)
    return "; ".join([*told, later] if later else told)


def _passes(plan: Plan) -> list[str]:
    lines = []
    for one in plan.passes:
        told = pass_doubt(one)
        lines += [pass_line(plan, one), *([f"  {told}"] if told else [])]
    strips = check_strips.line(plan)
    told_of_strips = [strips, *check_strips.off_time(plan)] if strips else []
    return [*lines, *money.turn_lines(plan), *money.bill_lines(plan), *told_of_strips]


def schedule_line(plan: Plan) -> str:
    """Say whether the field shares its sprayer with others; "" where there are no passes to plan."""
    return Said(f"page.schedule_{plan.schedule}").text if plan.level > 2 else ""


def walk_line(one: PlanWalk) -> tuple[str, str]:
    """Say where to look and by when; and what it is worth, and which zones it may change."""
    where = Said("page.walk", zone=one.zone, day=day(one.day), plants=one.plants).text
    worth = Said("page.walk_worth", usd=dollars(one.usd)).text
    if not one.informs:
        return where, worth
    return where, f"{worth}; {Said('page.walk_informs', zones=amounts.zones(one.informs)).text}"


def _zones(plan: Plan) -> list[str]:
    """Say of each zone how its money comes about."""
    written = Units(metric=plan.units == "metric")
    lines = []
    for zone in plan.zones:
        told = money.zone_lines(zone, written)
        lines += [f"zone {zone.zone}, {zone.action}:", *(f"  {line}" for line in told)] if told else []
    return lines
