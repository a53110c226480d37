"""What each panel of the map shows: colours, hatches, labels and legend, as values.

Draws nothing. A panel that has nothing to show at the plan's level is left out.
"""

import math
import textwrap
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
import shapely

from zoning import colours
from zoning.inputs.area import LONLAT, from_lonlat, reproject
from zoning.plan import Area, Plan, PlanZone, ScoutedKind, decided
from zoning.show import check_strips, never_sprayed
from zoning.show.figures import Units, day, days, signed
from zoning.show.names import drawn_names, swath_edges, swath_notes
from zoning.words import Said

MINUS = "−"
_MOST_CLASSES = 6
_RUNS_D = (1, 2, 3, 4, 5, 7, 10, 14, 21, 30, 60)
_ENDS = (10, 15, 20, 25, 30, 40, 50, 75, 100)
_UNKNOWN = colours.WHITE
_NOTE_WIDTH = 44  # letters of a note that fit beside the narrowest map
_ALL_PROVISIONAL = "no count yet: all dates are provisional"


@dataclass(frozen=True, slots=True)
class Patch:
    """One zone on one panel.

    `value` stands under its number, `more` under that where there is room, `beside` behind the number where
    there is room; each may be empty.
    """

    zone: int
    outline_m: Area
    fill: str
    hatched: bool
    value: str
    more: str = ""
    beside: str = ""


@dataclass(frozen=True, slots=True)
class NoSprayPatch:
    """Ground that is never sprayed, on every panel; `word` stands on it where there is room."""

    outline_m: Area
    word: str


@dataclass(frozen=True, slots=True)
class Key:
    """One line of a legend: hatched as skipped zones, crossed as never sprayed, dotted as dry strips."""

    fill: str
    hatched: bool
    text: str
    crossed: bool = False
    dotted: bool | None = None  # None: no check strip


@dataclass(frozen=True, slots=True)
class Mark:
    """A place where something was seen, in the metres of the field's grid."""

    east_m: float
    north_m: float
    kind: ScoutedKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """One map. `bar` is the end of a colour bar that runs from -bar to +bar, 0 where there is none.

    `about_marks` is what the legend says of the marks; `dashed` are lines in the metres of the field's grid.
    """

    title: str
    patches: tuple[Patch, ...]
    keys: tuple[Key, ...] = ()
    bar: int = 0
    bar_unit: str = ""
    notes: tuple[str, ...] = ()
    marks: tuple[Mark, ...] = ()
    about_marks: str = ""
    no_spray: tuple[NoSprayPatch, ...] = ()
    dashed: shapely.Geometry | None = None
    strips: tuple[check_strips.StripPatch, ...] = ()


Look = Callable[[PlanZone], tuple[str, bool, str]]


def _patches(plan: Plan, look: Look) -> tuple[Patch, ...]:
    return tuple(Patch(zone.zone, from_lonlat(zone.outline, plan.epsg), *look(zone)) for zone in plan.zones)


def _marks(plan: Plan, kind: ScoutedKind) -> tuple[Mark, ...]:
    seen = [shapely.Point(one.lon, one.lat) for one in plan.scouting if one.kind == kind]
    places = reproject(np.array(seen, dtype=np.object_), LONLAT, plan.epsg)
    return tuple(Mark(float(place.x), float(place.y), kind) for place in places)


def _when(plan: Plan, kind: ScoutedKind) -> str:
    """Say on which days something of a kind was seen, "" where it never was."""
    on = [one.on for one in plan.scouting if one.kind == kind]
    return days(min(on), max(on)) if on else ""


def _action(plan: Plan, written: Units) -> Panel | None:
    if plan.level < 2:
        return None
    rates = sorted({one.rate_gal_ac for one in plan.passes})
    skip = (colours.SKIP, True, "skip")

    def fill_of(rate_gal_ac: float | None) -> str:
        return (
            colours.spray(rates.index(rate_gal_ac), len(rates))
            if rate_gal_ac in rates
            else colours.SPRAY_MOST
        )

    def look(zone: PlanZone) -> tuple[str, bool, str]:
        mark = decided.MARK if decided.followed([zone]) else ""
        if zone.action != "spray":
            return skip[0], skip[1], f"{skip[2]}{mark}"
        if zone.rate_gal_ac is None:
            return fill_of(None), False, f"spray{mark}"
        rate = written.rate(zone.rate_gal_ac)
        value = f"P{zone.pass_number}: {rate}" if len(plan.passes) > 1 else rate
        return fill_of(zone.rate_gal_ac), False, f"{value}{mark}"

    unit = written.area_unit
    keys = [
        Key(
            fill_of(one.rate_gal_ac),
            False,
            f"P{one.number}, {day(one.day)} {one.half}: {written.rate(one.rate_gal_ac)} {written.rate_unit}, "
            f"{written.area(one.area_ac)} {unit}",
        )
        for one in plan.passes
    ]
    totals = plan.totals
    if not plan.passes and totals and totals.spray_ac > 0:
        keys.append(Key(fill_of(None), False, f"spray, {written.area(totals.spray_ac)} {unit}"))
    if totals and totals.skip_ac > 0:
        keys.append(Key(*skip[:2], f"skip, {written.area(totals.skip_ac)} {unit}"))
    keys += [Key(fill, False, text, dotted=dotted) for fill, dotted, text in check_strips.legend(plan)]
    title = f"Action and carrier rate, {written.rate_unit}" if plan.level > 2 else "Spray or skip"
    when, of_user = _when(plan, "pressure"), textwrap.wrap(decided.on_map(plan), _NOTE_WIDTH)
    return Panel(
        title=title,
        patches=_patches(plan, look),
        keys=tuple(keys),
        notes=(*of_user, *check_strips.notes(plan), *swath_notes(plan), *drawn_names(plan)),
        marks=_marks(plan, "pressure"),
        about_marks=f"scouted for disease, {when}" if when else "",
        dashed=swath_edges(plan),
        strips=check_strips.patches(plan),
    )


def _zones(plan: Plan) -> Panel | None:
    """Give the panel of a plan without money: where the zones are."""
    if plan.level > 1:
        return None

    def look(zone: PlanZone) -> tuple[str, bool, str]:
        return (
            colours.zone(zone.zone),
            False,
            f"block {zone.block}" if len(zone.block) < 3 else "",
        )

    note = "colours only tell zones apart; they have no order"
    return Panel(title="Zones", patches=_patches(plan, look), notes=(note, *drawn_names(plan)))


def classes(likely: Sequence[date]) -> tuple[tuple[date, date], ...]:
    """Cut the days of a field into six runs at most, of equal length, stretched to its own range.

    Examples
    --------
    >>> classes([date(2026, 7, 8), date(2026, 7, 9)])[0][1]
    datetime.date(2026, 7, 8)
    >>> len(classes([date(2026, 7, 8), date(2026, 7, 26)]))
    5
    """
    first, last = min(likely), max(likely)
    span = (last - first).days + 1
    length = next((run for run in _RUNS_D if math.ceil(span / run) <= _MOST_CLASSES), span)
    runs = range(math.ceil(span / length))
    starts = [first + timedelta(days=length * run) for run in runs]
    return tuple((start, start + timedelta(days=length - 1)) for start in starts)


def _stage(plan: Plan) -> Panel | None:
    likely = [zone.window.r3_likely for zone in plan.zones if zone.window]
    if not likely:
        return None
    runs = classes(likely)
    used = [run for run in runs if any(run[0] <= when <= run[1] for when in likely)]

    def fill_of(run: tuple[date, date]) -> str:
        return colours.ramp(colours.DATE, runs.index(run) / (len(runs) - 1) if len(runs) > 1 else 0.25)

    def look(zone: PlanZone) -> tuple[str, bool, str]:
        if zone.window is None:
            return _UNKNOWN, False, "no date"
        when = zone.window.r3_likely
        return fill_of(next(run for run in runs if run[0] <= when <= run[1])), False, day(when)

    keys = tuple(Key(fill_of(run), False, days(*run)) for run in used)
    patches = zip(_patches(plan, look), plan.zones, strict=True)
    notes = () if any(not zone.provisional for zone in plan.zones) else (_ALL_PROVISIONAL,)
    if len({zone.block for zone in plan.zones}) > 1:
        notes = (*notes, "thick line: edge of a planting block")
    return Panel(
        title="R3 begins, likely day",
        patches=tuple(_with_window(patch, zone) for patch, zone in patches),
        keys=keys,
        notes=notes,
        marks=_marks(plan, "count"),
        about_marks=_about_counts(plan),
    )


def _with_window(patch: Patch, zone: PlanZone) -> Patch:
    """Add the closing day, and whether a count pins the dates."""
    if zone.window is None:
        return patch
    return replace(
        patch,
        more=f"closes {day(zone.window.closes)}",
        beside="" if zone.provisional else "counted",
    )


def _about_counts(plan: Plan) -> str:
    when = _when(plan, "count")
    if not when:
        return ""
    dated = [zone for zone in plan.zones if zone.window]
    rest = "; other dates are provisional" if any(zone.provisional for zone in dated) else ""
    return f"counted {when}{rest}"


def round_limit(largest: float) -> int:
    """Give the end of the colour bar: the next round number at or above the largest figure, 5 at least.

    Examples
    --------
    >>> round_limit(0.2), round_limit(20.4), round_limit(51), round_limit(760)
    (5, 25, 75, 1000)
    """
    if largest <= 5:
        return 5
    power = int(10 ** (max(math.floor(math.log10(largest)), 1) - 1))
    return next(end * power for end in _ENDS if end * power >= largest)


def _net(plan: Plan, written: Units) -> Panel | None:
    nets = [written.net(zone.money.net_mean_usd_ac) for zone in plan.zones if zone.money]
    if not nets:
        return None
    bar = round_limit(max(abs(net) for net in nets))

    def look(zone: PlanZone) -> tuple[str, bool, str]:
        if zone.money is None:
            return _UNKNOWN, False, "no return"
        net = written.net(zone.money.net_mean_usd_ac)
        return colours.ramp(colours.NET, 0.5 + net / bar / 2), False, signed(net, MINUS)

    skipped = any(zone.action == "skip" for zone in plan.zones)
    notes = ["skipped zones: the best pass they could have had"] if skipped else []
    if len(plan.zones) > 1:
        notes += textwrap.wrap(Said("money.no_trial").text, _NOTE_WIDTH)
    patches = zip(_patches(plan, look), plan.zones, strict=True)
    return Panel(
        title=f"Expected net return, {written.net_unit}",
        patches=tuple(_with_contrast(patch, zone, written) for patch, zone in patches),
        bar=bar,
        bar_unit=written.net_unit,
        notes=tuple(notes),
    )


def _with_contrast(patch: Patch, zone: PlanZone, written: Units) -> Patch:
    """Add what the zone would return without the assumed contrast of canopy and wet ground."""
    if zone.money is None or zone.money.no_contrast_usd_ac is None:
        return patch
    without = signed(written.net(zone.money.no_contrast_usd_ac), MINUS)
    return replace(patch, more=f"{without} without contrast")


def panels(plan: Plan) -> tuple[Panel, ...]:
    """Give the panels that a plan has: action and rate, R3 likely day, net return; or zones and R3."""
    written = Units(metric=plan.units == "metric")
    all_of_them = (_zones(plan), _action(plan, written), _stage(plan), _net(plan, written))
    shown = [panel for panel in all_of_them if panel is not None]
    if not plan.no_spray:
        return tuple(shown)
    patches = tuple(
        NoSprayPatch(from_lonlat(one.outline, plan.epsg), never_sprayed.on_map(one.kind))
        for one in plan.no_spray
    )
    texts = [never_sprayed.of_legend(plan, with_area=panel is shown[0]) for panel in shown]
    keys = [Key(colours.NO_SPRAY, False, text, crossed=True) for text in texts]
    return tuple(
        replace(panel, no_spray=patches, keys=(*panel.keys, key))
        for panel, key in zip(shown, keys, strict=True)
    )
