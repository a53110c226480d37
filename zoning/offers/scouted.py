"""What was seen in a field, zone by zone and in few words, and how far counts moved its dates.

Weighs nothing: the dates come after all counts.
"""

from collections.abc import Sequence

import shapely

from zoning.inputs.area import LONLAT, reproject
from zoning.inputs.given import (
    PLANT_STAGES,
    AtOrPast,
    Count,
    FieldInputs,
    PodLength,
    Remark,
    Seen,
    Sighting,
    Tally,
)
from zoning.offers.nearest import number_inside, numbers_nearest
from zoning.offers.spots import Known, zone_name
from zoning.plan import Scouted, ScoutedKind
from zoning.stage.counted import SpotStage
from zoning.stage.draws import StageDraws, Window
from zoning.stage.forecast import window
from zoning.words import Said, amounts
from zoning.zones.zoning import Zoning

_LAST = PLANT_STAGES[-1]


def scouted(given: FieldInputs, zoning: Zoning) -> tuple[Scouted, ...]:
    """List what was seen, by day, each with the zone that it speaks for.

    Parameters
    ----------
    given : FieldInputs
        With counts, sightings and remarks.
    zoning : Zoning
        A count goes to the zone it lies in, else to the nearest; the rest only to the one it lies in.

    Returns
    -------
    tuple of Scouted
        Of one day counts stand first, remarks last; otherwise in the files' order.
    """
    cells, grid = zoning.number_of_cell, given.grid
    counts = [
        _scouted(one, number, words_of(one.seen), given)
        for one, number in zip(given.counts, numbers_nearest(given.counts, cells, grid), strict=True)
    ]
    sightings = [
        _scouted(one, number_inside(one, cells, grid), words_of_pressure(one), given)
        for one in given.sightings
    ]
    remarks = [
        _scouted(one, number_inside(one, cells, grid), one.note or f"photo {one.photo}", given)
        for one in given.remarks
    ]
    return tuple(sorted([*counts, *sightings, *remarks], key=lambda one: one.on))


def _scouted(one: Count | Sighting | Remark, number: int, text: str, given: FieldInputs) -> Scouted:
    kind: ScoutedKind = (
        "count" if isinstance(one, Count) else "pressure" if isinstance(one, Sighting) else "note"
    )
    place = reproject(shapely.Point(one.east_m, one.north_m), given.grid.epsg, LONLAT)
    return Scouted(
        on=one.on,
        lon=float(place.x),
        lat=float(place.y),
        zone=number,
        kind=kind,
        text=text,
        source=one.source,
        stage=one.stage if isinstance(one, Count) else "",
        severity_pct=one.severity_pct if isinstance(one, Sighting) else None,
        note=one.note,
        photo=one.photo,
        observer=one.observer,
    )


def _class(stage: str) -> str:
    return f"{stage} or later" if stage == _LAST else stage


def words_of(seen: Seen) -> str:
    """Say in few words what a count found.

    Examples
    --------
    >>> words_of(Tally((0, 0, 14, 6, 0, 0))), words_of(AtOrPast("R3", 4, 20)), words_of(PodLength(8.0))
    ('20 plants: 14 R2, 6 R3', '4 of 20 at or past R3', 'longest pod 8 mm')
    """
    if isinstance(seen, Tally):
        found = zip(seen.plants, PLANT_STAGES, strict=True)
        at = ", ".join(f"{plants} {_class(stage)}" for plants, stage in found if plants)
        total = sum(seen.plants)
        return f"{total} plant{'s' if total > 1 else ''}: {at}"
    if isinstance(seen, AtOrPast):
        return f"{seen.k} of {seen.n} at or past {seen.stage}"
    if isinstance(seen, PodLength):
        return f"longest pod {round(seen.longest_mm, 1):g} mm"
    return f"{_class(seen.stage)} noted"


def words_of_pressure(one: Sighting) -> str:
    """Say in few words how much disease was seen.

    Examples
    --------
    >>> from datetime import date
    >>> low = Sighting(on=date(2026, 7, 6), east_m=0.0, north_m=0.0, pressure="low", cause="other")
    >>> words_of_pressure(low)
    'low, other cause'
    >>> from dataclasses import replace
    >>> words_of_pressure(replace(low, pressure="seen", cause="frogeye", severity_pct=2.0))
    'frogeye seen, on 2 % of the leaf area'
    >>> words_of_pressure(replace(low, cause="", severity_pct=0.0))
    'low, lesions on 0 % of the leaf area'
    """
    area = f", on {one.severity_pct:g} % of the leaf area" if one.severity_pct is not None else ""
    if one.pressure == "seen":
        return f"{one.cause or 'lesions'} seen{area}"
    pressure = "pressure unknown" if one.pressure == "unknown" else one.pressure
    cause = "other cause" if one.cause == "other" else one.cause
    return (f"{pressure}, {cause}" if cause else pressure) + area.replace("on", "lesions on", 1)


def moved(
    seen: Sequence[Scouted],
    known: Known,
    zoning: Zoning,
    stages: Sequence[SpotStage | None],
    of_counts: Sequence[Said],
    before: Sequence[StageDraws | None] = (),
) -> tuple[Said, ...]:
    """Say how far counts moved R3: a line a counted zone, one for all others.

    Parameters
    ----------
    seen : sequence of Scouted
        As `scouted` gives it.
    known : Known
        With the model's own draws of each block.
    zoning : Zoning
        The zones.
    stages : sequence of SpotStage or None
        After all counts, one for each zone.
    of_counts : sequence of Said
        What weighing the counts said; a zone with plants of two ages has no one date, and no line here.
    before : sequence of StageDraws or None
        Every block before counts, where past seasons moved it; else it is the model alone.

    Returns
    -------
    tuple of Said
        Dates and SD are those of `zoning.stage.forecast.window`, so that they are the ones of the plan. A
        zone without a count is named where its likely day moved by more than one.
    """
    windows = [window(of_block) if of_block is not None else None for of_block in before or known.made.stages]
    apart = {note.values["place"] for note in of_counts if note.code == "stage.two_ages"}
    notes: list[Said] = []
    others: dict[int, int] = {}  # zone -> days that R3 likely moved
    for zone, stage in zip(zoning.zones, stages, strict=True):
        was = windows[zone.block]
        if stage is None or was is None or zone_name(zone.number) in apart:
            continue
        now = window(stage.draws)
        if stage.counted:
            counts = [one for one in seen if one.kind == "count" and one.zone == zone.number]
            notes.append(_of_counted(zone.number, counts, was, now))
        elif abs((now.r3_likely - was.r3_likely).days) > 1:
            others[zone.number] = (now.r3_likely - was.r3_likely).days
    code = "season.counts_elsewhere" if before else "offers.counts_elsewhere"
    return (*notes, _of_others(others, code)) if others else tuple(notes)


def of_no_zone(given: FieldInputs, zoning: Zoning) -> tuple[Said, ...]:
    """Say how many sightings count for no zone, as they lie on ground that is never sprayed."""
    ground = shapely.union_all([one.outline for one in given.no_spray])
    count = sum(
        number_inside(one, zoning.number_of_cell, given.grid) == 0
        and shapely.intersects_xy(ground, one.east_m, one.north_m)
        for one in given.sightings
    )
    return (Said("offers.scouted_never_sprayed", count=count),) if count else ()


def _of_counted(zone: int, counts: Sequence[Scouted], was: Window, now: Window) -> Said:
    last = counts[-1]
    others = len(counts) - 1
    more = f"; {others} other count{'s' if others > 1 else ''}" if others else ""
    sds = {"sd": now.sd_d, "sd_before": was.sd_d}
    by = {"zone": zone, "on": last.on, "text": last.text, "more": more, "likely": now.r3_likely}
    if now.r3_likely == was.r3_likely:
        return Said("offers.count_kept", **by, **sds)
    return Said("offers.count_moved", **by, **sds, before=was.r3_likely)


def _of_others(moved_d: dict[int, int], code: str) -> Said:
    least, most = min(moved_d.values()), max(moved_d.values())
    if least * most < 0:
        days = f"{-least} d earlier to {most} d later"
    else:
        few, many = sorted((abs(least), abs(most)))
        run = f"{few} to {many}" if few < many else f"{few}"
        days = f"{run} d {'later' if most > 0 else 'earlier'}"
    return Said(code, zones=amounts.zones(list(moved_d)), days=days)
