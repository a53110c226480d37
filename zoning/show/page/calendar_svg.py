"""The weeks to come of one field: a picture with a lane for zones that share days, and the same in words.

Puts the days of a plan into lanes; `lanes` draws them.
"""

from collections.abc import Sequence
from datetime import date
from itertools import groupby

from markupsafe import escape

from zoning import colours
from zoning.plan import Plan, PlanPass, PlanZone
from zoning.show.calendar_rows import marks_of
from zoning.show.figures import Units, day, plain, when
from zoning.show.page.both_units import in_other_units, twin
from zoning.show.page.lanes import NEAR_BEST, WINDOW, Inks, Lane, draw, period
from zoning.words import Said

_LONGEST = 60  # of a name in the list [letters]


def svg(plan: Plan) -> str:
    """Give the weeks to come of a field: the picture, its key, and the same in a list.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    str
        An element `div` without scripts, styles or addresses of its own; its look is in `css/weeks.css`.
    """
    groups = together(plan)
    lanes = [_lane(plan, zones) for zones in groups]
    today = plan.today.toordinal()
    shown = period(lanes, today)
    first, last = (day(date.fromordinal(number)) for number in (shown[0], shown[-1]))
    label = Said("weeks.picture", first=first, last=last).text
    picture = draw(lanes, today, inks(plan.passes), label=label, name="weeks")
    other = in_other_units(plan)
    lines = "".join(
        f"<li>{escape(twin(_in_words(plan, zones), _in_words(other, zones)))}</li>" for zones in groups
    )
    explained = key(lanes, inks(plan.passes), Units(metric=plan.units == "metric"))
    return (
        f'<div class="weeks-box">{picture}{explained}<details class="weeks-list">'
        f"<summary>The same days in words</summary><ul>{lines}</ul></details></div>"
    )


def inks(passes: Sequence[PlanPass]) -> Inks:
    """Give each carrier volume of some passes its colour, dark is more, and each sprayer its letter."""
    rates = sorted({one.rate_gal_ac for one in passes})
    fills = {rate: colours.spray_with_number(rank, len(rates)) for rank, rate in enumerate(rates)}
    return Inks(fills=fills, letters={})


def together(plan: Plan) -> list[tuple[PlanZone, ...]]:
    """Put the zones together that share block, days, decision and pass, by their first numbers."""
    groups: dict[tuple[object, ...], list[PlanZone]] = {}
    for zone in plan.zones:
        days_of = (zone.window, zone.spray_from, zone.spray_by, zone.sprayed_on)
        groups.setdefault((zone.block, zone.action, zone.pass_number, zone.provisional, *days_of), []).append(
            zone
        )
    return [tuple(zones) for zones in groups.values()]


def _run(first: date | None, last: date | None) -> tuple[tuple[int, int], ...]:
    return () if first is None or last is None else ((first.toordinal(), last.toordinal()),)


def _pass(plan: Plan, zone: PlanZone) -> PlanPass | None:
    return next((one for one in plan.passes if one.number == zone.pass_number), None)


def _numbers(zones: Sequence[PlanZone]) -> str:
    """Write the zones' numbers, runs of them short."""
    runs = []
    for _, run in groupby(enumerate(one.zone for one in zones), lambda pair: pair[1] - pair[0]):
        those = [number for _, number in run]
        runs.append(f"{those[0]}–{those[-1]}" if len(those) > 2 else ", ".join(map(str, those)))
    return Said("weeks.zone" if len(zones) == 1 else "weeks.zones", zones=", ".join(runs)).text


def _decision(plan: Plan, zone: PlanZone, *, short: bool = False) -> str:
    """Say what is done; in short, for a line that a phone must hold, only when a pass begins."""
    if zone.action is None:
        return Said("weeks.dates_only").text
    one = _pass(plan, zone)
    if one is not None:
        begins = f"{day(one.day)} {one.half}"
        return Said("weeks.pass", number=one.number, when=begins if short else when(one)).text
    return Said("weeks.spray" if zone.action == "spray" else "weeks.skip").text


def _how(zone: PlanZone) -> str:
    return Said("weeks.provisional" if zone.provisional else "weeks.counted").text


def _lane(plan: Plan, zones: Sequence[PlanZone]) -> Lane:
    zone, window = zones[0], zones[0].window
    one = _pass(plan, zone)
    told = Said("weeks.no_date").text
    if window is not None:
        likely, what = day(window.r3_likely), _decision(plan, zone, short=True)
        told = Said("weeks.in_short", likely=likely, how=_how(zone), what=what).text
    stage = None if window is None else (window.r3_early, window.r3_likely, window.r3_late)
    return Lane(
        name=_numbers(zones),
        told=told,
        windows=() if window is None else _run(window.r3_likely, window.closes),
        near_best=_run(zone.spray_from, zone.spray_by),
        stage=None if stage is None else (stage[0].toordinal(), stage[1].toordinal(), stage[2].toordinal()),
        known=not zone.provisional,
        marks=() if one is None else marks_of(one),
        sprayed=() if zone.sprayed_on is None else (zone.sprayed_on.toordinal(),),
    )


def _in_words(plan: Plan, zones: Sequence[PlanZone]) -> str:
    """Say what a lane shows."""
    zone, window, one = zones[0], zones[0].window, _pass(plan, zones[0])
    block = Said("weeks.in_block", blocks=plain(zone.block, _LONGEST)).text
    told = [f"{_numbers(zones)}, {block}: {_decision(plan, zone)}"]
    if window is None:
        told.append(Said("weeks.no_date").text)
    else:
        days_of = {"likely": window.r3_likely, "early": window.r3_early, "late": window.r3_late}
        written = {name: day(one) for name, one in (days_of | {"closes": window.closes}).items()}
        told.append(Said("weeks.r3", how=_how(zone), **written).text)
    if zone.spray_from is not None and zone.spray_by is not None:
        told.append(Said("weeks.near_best", first=day(zone.spray_from), last=day(zone.spray_by)).text)
    if one is not None:
        told += pass_in_words(one, Units(metric=plan.units == "metric"))
    if zone.sprayed_on is not None:
        told.append(Said("weeks.sprayed", day=day(zone.sprayed_on)).text)
    return ". ".join(part[:1].upper() + part[1:] for part in told) + "."


def pass_in_words(one: PlanPass, written: Units) -> list[str]:
    """Say when a pass is made and by whom, each half-day of one that runs on, and the label's last stage."""
    rate = f"{written.rate(one.rate_gal_ac)} {written.rate_unit}"
    at = {"when": when(one), "sprayer": plain(one.sprayer, _LONGEST), "rate": rate}
    told = [Said("weeks.at_pass", number=one.number, **at).text]
    if len(one.parts) > 1:
        halves = [
            Said(
                "weeks.parts",
                loads=f"{part.loads:.1f}",
                when=f"{day(date.fromordinal(part.day))} {part.half}",
            )
            for part in one.parts
        ]
        told[0] += f" ({', '.join(part.text for part in halves)})"
    if one.due is not None:
        told[0] += f", {Said('weeks.due', day=day(one.due)).text}"
    if one.sheet is not None and one.sheet.label.latest_stage:
        label = one.sheet.label
        limits = {"stage": plain(label.latest_stage, _LONGEST), "interval_d": label.pre_harvest_interval_d}
        told.append(Said("weeks.label", **limits).text)
    return told


def _swatch(inside: str) -> str:
    return f'<svg width="30" height="22" aria-hidden="true" stroke="{colours.INK}">{inside}</svg>'


def key(lanes: Sequence[Lane], used: Inks, written: Units) -> str:
    """Explain the signs of the picture, and none that it has not."""
    diamond = '<path d="M15 5L21 11L15 17L9 11Z" fill="{}"/>'
    line = '<path d="M3 11H27M3 7V15M27 7V15"/>'
    box = f'<rect x="2" y="5" width="26" height="12" fill="{WINDOW}" stroke="{colours.SECONDARY}"/>'
    bar = f'<rect x="2" y="9" width="26" height="4" fill="{NEAR_BEST}" stroke="none"/>'
    stages = [lane for lane in lanes if lane.stage is not None]
    rows = [
        (
            any(one.known for one in stages),
            line + diamond.format(colours.INK),
            "R3 early, likely, late: counted",
        ),
        (
            any(not one.known for one in stages),
            line + diamond.format(colours.WHITE),
            "R3 early, likely, late: provisional, no count in it",
        ),
        (any(lane.windows for lane in lanes), box, "from R3 likely until the window closes"),
        (any(lane.near_best for lane in lanes), bar, "return near its best: spray from, spray by"),
    ]
    for rate, fill in used.fills.items():
        sign = f'<rect x="5" y="2" width="20" height="18" rx="3" fill="{fill}"/>'
        own, other = (
            f"pass at {one.rate(rate)} {one.rate_unit}, by its number"
            for one in (written, Units(metric=not written.metric))
        )
        rows.append((True, sign, twin(own, other)))
    tick = f'<rect x="5" y="2" width="20" height="18" rx="3" fill="{colours.WHITE}"/>'
    tick += '<path d="M10 11L14 15L20 7" fill="none"/>'
    rows.append((any(lane.sprayed for lane in lanes), tick, "sprayed already"))
    told = "".join(f"<li>{_swatch(sign)} {escape(text)}</li>" for shown, sign, text in rows if shown)
    note = (
        "<li>AM is the left half of a day; weekends are darker</li>"
        if any(one.marks for one in lanes)
        else ""
    )
    return f'<ul class="weeks-key">{told}{note}</ul>'
