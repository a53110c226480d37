"""Treating whole cells along the sprayer's swaths instead of zones: from a decided field to the map of it."""

from collections.abc import Collection, Mapping, Sequence

import numpy as np
import shapely

from zoning.inputs import area
from zoning.inputs.given import FieldInputs, Heading, NoSpray
from zoning.inputs.grid import Grid
from zoning.inputs.ground.corners import with_shared_corners
from zoning.offers.offered import SwathGround
from zoning.plan import PlanTreatment, PlanZone
from zoning.settings.model import Settings, Sprayer
from zoning.sprayer.smallest import footprint
from zoning.words import Said
from zoning.zones.swath_cells import (
    SwathCells,
    Swaths,
    Treatment,
    differs_frac,
    side_of_swath_m,
    swath_cells,
    values,
)
from zoning.zones.zoning import Bools, Floats, Ints, Zoning

_TIE_USD_AC = 0.01  # where money says nothing, or not why a zone is sprayed, the zone's own action stands
_HEADING_FROM = {
    "given": "as given",
    "guidance": "along your guidance lines",
    "planting": "as it was planted",
    "edge": "along its longest edge",
}


def is_wanted(settings: Settings) -> bool:
    """Whether the map of what to treat is to be made of swath cells."""
    return settings.zones.treatment == "swath cells"


def swath_ground(settings: Settings, zoning: Zoning, given: FieldInputs) -> SwathGround | None:
    """Give what swath cells are laid on, where they are wanted; of several sprayers the first is used."""
    if not is_wanted(settings) or not settings.sprayers:
        return None
    return SwathGround(zoning=zoning, given=given, sprayer=settings.sprayers[0])


def planned(ground: SwathGround, zones: Sequence[PlanZone], no_spray: Sequence[NoSpray]) -> PlanTreatment:
    """Make the treatment map of decided zones.

    Parameters
    ----------
    ground : SwathGround
    zones : sequence of PlanZone
        Of the plan, with their passes.
    no_spray : sequence of NoSpray
        Ground in no zone: cells end at it, and no pass treats it.
    """
    passes = {one.zone: one.pass_number for one in zones if one.pass_number is not None}
    net_usd_ac = {one.zone: one.money.net_mean_usd_ac for one in zones if one.money is not None}
    found = swath_treatment(ground.zoning, ground.given, ground.sprayer, net_usd_ac, passes.keys(), passes)
    epsg = ground.given.grid.epsg
    cells, left_out = with_shared_corners(
        [part.outline for part in found.parts], [one.outline for one in no_spray]
    )
    parts = [(outline, part.label) for outline, part in zip(cells, found.parts, strict=True)]
    parts += [(outline, 0) for one in left_out for outline in shapely.get_parts(one)]
    return PlanTreatment(
        heading_deg=found.swaths.heading_deg,
        heading_source=found.heading_source,
        swath_m=found.swaths.swath_m,
        step_m=found.swaths.step_m,
        least_run_m=found.least_run_m,
        treated_ac=found.treated_ac,
        differs_frac=found.differs_frac,
        parts=tuple((area.to_lonlat(outline, epsg), label) for outline, label in parts),
    )


def said(treatment: PlanTreatment) -> Said:
    """Say how far the treatment map is from the zones."""
    return Said(
        "offers.swath_cells",
        heading=treatment.heading_deg,
        source=_HEADING_FROM[treatment.heading_source],
        metres=treatment.least_run_m,
        percent=100 * treatment.differs_frac,
    )


def layout(sprayer: Sprayer, grid: Grid, heading: Heading) -> tuple[Swaths, float]:
    """Say how large the cells are that a sprayer can treat by themselves, and how long a run must be.

    Parameters
    ----------
    sprayer : Sprayer
    grid : Grid
        Zones are known to about a cell of it; smaller treatment cells would only seem to be exact.
    heading : Heading

    Returns
    -------
    swaths : Swaths
        As wide as the whole number of sections that divides the boom evenly and comes nearest to a cell of
        the grid; where guidance lines say where the boom goes, its sides are sides of cells. As long as a
        cell, or so near to it that the shortest run is a whole number of cells.
    least_run_m : float
        Three times the distance driven while a section opens or closes, and at least a section. [m]

    Examples
    --------
    >>> rig = Sprayer.model_validate({"name": "rig", "boom": "90 ft", "sections": 9, "tank": "1000 gal",
    ...     "speed": ["5 mph", "14 mph"], "fill_min": 15, "section_lag_s": 1})
    >>> swaths, least_run_m = layout(rig, Grid(32615, 0.0, 0.0, 10.0, (2, 2)), Heading(90.0, "edge"))
    >>> round(swaths.swath_m, 2), round(swaths.step_m, 2), round(least_run_m, 2)  # 3 sections of 10 ft
    (9.14, 9.39, 18.78)
    """
    section_m, least_run_m = footprint(sprayer)
    even = [count for count in range(1, sprayer.sections + 1) if sprayer.sections % count == 0]
    together = min(even, key=lambda count: abs(np.log(count * section_m / grid.cell_m)))
    steps = max(1, round(least_run_m / grid.cell_m))
    step_m = max(least_run_m, grid.cell_m) / steps
    swaths = Swaths(
        heading_deg=heading.deg,
        swath_m=together * section_m,
        step_m=step_m,
        side_m=side_of_swath_m(heading, sprayer.boom_m),
    )
    return swaths, least_run_m


def swath_treatment(
    zoning: Zoning,
    given: FieldInputs,
    sprayer: Sprayer,
    net_usd_ac_of_zone: Mapping[int, float],
    sprayed: Collection[int],
    pass_of_zone: Mapping[int, int] | None = None,
) -> Treatment:
    """Treat the swath cells whose zones together return most, in runs that the machine can do.

    Parameters
    ----------
    zoning : Zoning
    given : FieldInputs
        Its grid and heading are used.
    sprayer : Sprayer
    net_usd_ac_of_zone : mapping of int to float
        What spraying an acre of each zone returns at the cost still avoidable; missing or NaN where it is not
        known. [USD/ac]
    sprayed : collection of int
        The zones that the plan sprays.
    pass_of_zone : mapping of int to int, optional
        The pass, 1 upwards, that sprays each of them; without it all are of one pass.

    Returns
    -------
    Treatment

    Notes
    -----
    Cells move the edges of what is treated and do not decide a zone anew. So a zone that the plan skips is
    worth nothing or less, whatever it would return by itself (the label may close it, or a visit not pay),
    and one that it sprays is worth more than nothing. A cell that holds ground of two passes is treated by
    the one that has most of it; where two passes meet, a run of one may be shorter than the shortest run.
    """
    # imported late: a field that is treated by zones does not need them
    from zoning.zones.swath_outlines import outlines
    from zoning.zones.swath_runs import actions

    swaths, least_run_m = layout(sprayer, given.grid, given.heading)
    cells = swath_cells(zoning, given.grid, swaths)
    worth = {
        zone.number: _worth_usd_ac(net_usd_ac_of_zone.get(zone.number, np.nan), zone.number in sprayed)
        for zone in zoning.zones
    }
    treated = actions(values(cells, worth), cells, least_run_m)
    passes = {zone: pass_of_zone[zone] if pass_of_zone is not None else 1 for zone in sprayed}
    parts = outlines(cells, _labels(cells, treated, passes), given.boundary)
    treated_m = shapely.MultiPolygon([part.outline for part in parts if part.label])
    return Treatment(
        swaths=swaths,
        heading_source=given.heading.source,
        least_run_m=least_run_m,
        parts=parts,
        treated_ac=area.geodesic_ac(area.to_lonlat(treated_m, given.grid.epsg)),
        differs_frac=differs_frac(cells, treated, sprayed),
    )


def _worth_usd_ac(net_usd_ac: float, is_sprayed: bool) -> float:
    if is_sprayed:
        return net_usd_ac if net_usd_ac > _TIE_USD_AC else _TIE_USD_AC  # so also for NaN
    return net_usd_ac if net_usd_ac < -_TIE_USD_AC else -_TIE_USD_AC


def _labels(cells: SwathCells, treated: Bools, pass_of_zone: Mapping[int, int]) -> Ints:
    """Give each treated cell the pass that has most of its ground; 0 where nothing is treated."""
    numbers = sorted(set(pass_of_zone.values()))
    if not treated.any() or not numbers:
        return np.zeros(len(treated), dtype=np.int64)
    of_zone = np.array([pass_of_zone.get(zone, 0) for zone in cells.zones])
    held: Floats = np.stack([cells.area_ac[:, of_zone == number].sum(axis=1) for number in numbers], axis=1)
    label = np.array(numbers)[held.argmax(axis=1)]
    # A cell of none of the passes, treated for the sake of its run, belongs to the nearest one on its swath.
    known = np.flatnonzero(treated & (held.max(axis=1) > 0))
    unknown = np.flatnonzero(treated & (held.max(axis=1) <= 0))
    along = cells.swath * (2 * cells.shape[0]) + cells.place  # swaths lie farther apart than places
    after = np.searchsorted(along[known], along[unknown]).clip(0, len(known) - 1)
    before = np.maximum(after - 1, 0)
    nearer_before = along[unknown] - along[known[before]] <= np.abs(along[known[after]] - along[unknown])
    label[unknown] = label[known[np.where(nearer_before, before, after)]]
    return np.where(treated, label, 0)
