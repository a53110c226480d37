"""The result of a trial, put together from what was read and what the strips say. Decides nothing."""

import numpy as np

from zoning import __version__
from zoning.evidence import number
from zoning.harvest.known import Answer, Known, Learned
from zoning.inputs import area
from zoning.inputs.harvest.given import YieldPoints
from zoning.plan.trial import TrialPoints, TrialResult, TrialStrip
from zoning.strips.learned.lessons import lessons
from zoning.strips.terms import Cleaned, Placed
from zoning.units import kg_ha_from_bu_ac
from zoning.words import Said


def result_of(known: Known, answer: Answer, learned: Learned, run_id: str) -> TrialResult:
    """Put the result together."""
    settings, points, ground, given = known.settings, known.points, known.ground, known.given
    epsg = known.ground_epsg
    return TrialResult(
        run_id=run_id,
        version=__version__,
        field=settings.name,
        folder=known.folder,
        farm=settings.farm_name,
        season=known.season,
        today=known.today,
        epsg=epsg,
        units=settings.units,
        country=settings.country,
        boundary=given.boundary_lonlat,
        area_ac=given.area_ac,
        heading_deg=ground.heading_deg,
        file=points.file,
        harvested=points.harvested,
        sprayed_on=ground.treated_on,
        strip_source=ground.source,
        treated_source=ground.treated_source,
        product=settings.product.name if settings.product else "",
        header_m=ground.header_m,
        strip_width_m=ground.width_m,
        zones=learned.zones,
        strips=_strips(known, answer),
        treated=area.to_lonlat(ground.treated, epsg),
        points=_points(points, answer.cleaned, answer.placed),
        rules=answer.cleaned.rules,
        lag=answer.cleaned.lag,
        mean_yield_bu_ac=answer.mean_yield_bu_ac,
        pairs=answer.paired.pairs,
        response=answer.response,
        by_zone=answer.by_zone,
        spatial=answer.spatial,
        costs=answer.costs,
        judged=learned.judged,
        beliefs=learned.beliefs,
        trials=learned.trials,
        book=learned.book,
        lessons=_lessons(known, answer),
        notes=_notes(known, answer, learned),
        columns=tuple((role, name, points.units.get(role, "")) for role, name in points.columns.items()),
    )


def _strips(known: Known, answer: Answer) -> tuple[TrialStrip, ...]:
    seen = {(one.pair, one.treatment): one for one in answer.paired.strips}
    return tuple(
        TrialStrip(outline=area.to_lonlat(one.outline, known.ground_epsg), seen=seen[one.pair, one.treatment])
        for one in known.ground.strips
    )


def _notes(known: Known, answer: Answer, learned: Learned) -> tuple[Said, ...]:
    return (
        *_doubted(known, answer),
        *known.given.notes,
        *known.points.notes,
        *known.ground.notes,
        *answer.cleaned.notes,
        *answer.paired.notes,
        *learned.notes,
    )


def _points(points: YieldPoints, cleaned: Cleaned, placed: Placed) -> TrialPoints:
    counts = placed.why == 0
    return TrialPoints(
        row=points.row,
        east_m=points.east_m,
        north_m=points.north_m,
        yield_bu_ac=cleaned.yield_bu_ac,
        moisture_frac=cleaned.moisture_frac,
        removed_by=cleaned.removed_by,
        pair=np.where(counts, placed.pair, 0),
        zone=placed.zone,
        is_treated=placed.is_treated,
    )


def _lessons(known: Known, answer: Answer) -> tuple[Said, ...]:
    ground, by_zone = known.ground, answer.by_zone
    differ = by_zone is not None and by_zone.differ
    zones, source = sorted(ground.zones), ground.treated_source
    return lessons(answer.paired, answer.response, answer.cleaned, zones, source, zones_differ=differ)


def _doubted(known: Known, answer: Answer) -> tuple[Said, ...]:
    """Doubt a harvest that is far from what the user expects of the field."""
    expected, seen = known.settings.expected_yield_bu_ac, answer.mean_yield_bu_ac
    if expected is None or not seen > 0:
        return ()
    most = number("inputs.harvest_expected_ratio")
    if 1 / most <= seen / expected <= most:
        return ()
    is_metric = known.settings.units == "metric"
    written = [f"{kg_ha_from_bu_ac(one):,.0f}" if is_metric else f"{one:.0f}" for one in (seen, expected)]
    unit = "kg/ha" if is_metric else "bu/ac"
    return (Said("harvest.far_from_expected", seen=written[0], expected=written[1], unit=unit),)
