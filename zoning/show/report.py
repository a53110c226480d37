"""Everything that a run prints for people: the decision, the table, the passes, the notes.

Gives one text; prints nothing.
"""

import textwrap

from zoning.plan import SOURCES, Plan
from zoning.show.figures import Units, day, full_day, plain
from zoning.show.layout import WIDTH, as_text
from zoning.show.table import headline, table
from zoning.show.zones import zone_lines

_COUNTED = "* pinned by a count"
_PROVISIONAL = "dates without a star are provisional"
_ALL_PROVISIONAL = "all dates are provisional: no zone is counted"
_SKIPPED = "skipped zones: net, chance and break-even are those of the best pass they could have had"


def _pass_lines(plan: Plan) -> list[str]:
    written = Units(metric=plan.units == "metric")
    lines = []
    for one in plan.passes:
        loads = f"{one.loads} load{'s' if one.loads != 1 else ''}"
        zones = ", ".join(str(number) for number in one.zones)
        lines.append(
            f"pass {one.number}: {day(one.day)} {one.half}, {plain(one.sprayer, 30)}, "
            f"{written.rate(one.rate_gal_ac)} {written.rate_unit}, {written.area(one.area_ac)} "
            f"{written.area_unit}, {loads}, zone{'s' if len(one.zones) > 1 else ''} {zones}"
        )
    return lines


def _how_sure(plan: Plan) -> list[str]:
    """Say below the table which dates rest on a count; nothing where there are no dates."""
    pinned = {not zone.provisional for zone in plan.zones if zone.window}
    if pinned == {False}:
        return [_ALL_PROVISIONAL]
    if pinned == {True}:
        return [_COUNTED]
    return [f"{_COUNTED}; {_PROVISIONAL}"] if pinned else []


def _by_source(plan: Plan) -> list[str]:
    """Say what each response source would do, a line each: which source holds is what matters most."""
    lines = ["by response source, each zone by itself on its best day:"]
    for source in SOURCES:
        answers = {
            zone.zone: answer.action
            for zone in plan.zones
            if zone.money is not None and (answer := zone.money.by_source.get(source)) is not None
        }
        said = [
            f"{action} {', '.join(str(zone) for zone, does in answers.items() if does == action)}"
            for action in ("spray", "skip")
            if action in answers.values()
        ]
        lines.append(f"  {source}: {'; '.join(said) or 'no figures given'}")
    return lines


def report(plan: Plan, width: int = WIDTH) -> str:
    """Give everything that a run prints: the decision, the table, the passes and the notes."""
    where = f"{plain(plan.field, 60)}{f' ({plain(plan.farm, 40)})' if plan.farm else ''}"
    top = [f"{where}, {full_day(plan.today)}", headline(plan)]
    if plan.level > 2:
        alone = "alone: this field has the sprayer to itself" if plan.schedule == "alone" else "farm"
        top.append(f"schedule: {alone}")
    top = [textwrap.fill(line, width) for line in top]
    below = _how_sure(plan)
    if plan.level > 1 and any(zone.action == "skip" for zone in plan.zones):
        below.append(_SKIPPED)
    parts = [
        "\n".join(top),
        "\n".join([as_text(table(plan), width), *(textwrap.fill(one, width) for one in below)]),
    ]
    if plan.level > 1:
        wrapped = (textwrap.fill(line, width, subsequent_indent="    ") for line in _by_source(plan))
        parts.append("\n".join(wrapped))
    if plan.passes:
        parts.append(
            "\n".join(textwrap.fill(line, width, subsequent_indent="  ") for line in _pass_lines(plan))
        )
    if zones := zone_lines(plan):
        parts.append("\n".join(textwrap.fill(line, width, subsequent_indent="  ") for line in zones))
    notes = [plain(note.text) for note in plan.notes]
    if notes:
        wrapped = (textwrap.fill(note, width, initial_indent="- ", subsequent_indent="  ") for note in notes)
        parts.append("\n".join(wrapped))
    # the first caution is for every page, the others for those on which somebody is to spray
    told = plan.cautions if any(zone.action == "spray" for zone in plan.zones) else plan.cautions[:1]
    parts.append("\n".join(textwrap.fill(plain(caution), width) for caution in told))
    return "\n\n".join(parts)
