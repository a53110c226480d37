"""What was sprayed where no machine's file says it: zones of done.csv, and strips as they were laid."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import shapely

from zoning.errors import InputError
from zoning.inputs import done, vector
from zoning.inputs.given import Area, FieldInputs, Sprayed, StripTreatment
from zoning.inputs.ground import kept_zones
from zoning.inputs.ground.boundary import polygons_of
from zoning.inputs.harvest.ground.laid import Laid
from zoning.settings.model import Settings
from zoning.words import Said

_OF_A_PLAN = re.compile(r"\bplan ([0-9a-f]+)\b")  # in the column source: the plan that a pass is of
_STRIPS, _ABOUT = "check_strips", "boundary"  # layers of zones.gpkg


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ByDone:
    """Ground that was sprayed, and what is to be known of it."""

    treated: Area
    notes: tuple[Said, ...]


def by_done(
    settings: Settings,
    given: FieldInputs,
    rows: Sequence[Sprayed],
    zones: Mapping[int, Area],
    laid: Laid | None,
) -> ByDone:
    """Put together what passes sprayed: their zones, less strips left dry, with strips sprayed elsewhere.

    Parameters
    ----------
    settings : Settings
    given : FieldInputs
    rows : sequence of Sprayed
        Passes with the product.
    zones : mapping of int to Polygon or MultiPolygon
        In the plane of the field's grid.
    laid : Laid or None
        A pass before the day on which strips were laid sprayed them with the rest.

    Returns
    -------
    ByDone
        Where the person who drew the strips says what was done, a treated strip is sprayed in all zones. Else
        one is sprayed in a zone that the pass left out only where the pass is one of a plan: on the ground
        that its map sprays, or on all of it where that map is not kept.

    Raises
    ------
    InputError
        When a pass names a zone that is not there.
    """
    _check_zones(rows, zones)
    notes: list[Said] = []
    treated: list[Area] = []
    by_plan = False
    for row in rows:
        outlines = [zones[zone] for zone in row.zone_numbers] if row.zone_numbers else [given.boundary]
        ground = shapely.union_all(outlines)
        if laid is None or (laid.laid_on is not None and row.on < laid.laid_on):
            if laid is not None:
                notes.append(Said("trial_ground.before_strips", day=row.on, laid=laid.laid_on))
        else:
            ground = shapely.difference(ground, _of(laid, "untreated"))
            on_strips = (
                _of(laid, "treated") if laid.source == "drawn" else _by_map(settings, given, row, laid)
            )
            by_plan |= laid.source != "drawn" and not on_strips.is_empty
            ground = shapely.union(ground, on_strips)
        treated.append(polygons_of(ground))
    if laid is not None and laid.source != "drawn" and any(row.zone_numbers for row in rows):
        notes.append(Said("trial_ground.by_map" if by_plan else "trial_ground.not_by_map"))
    whole = shapely.intersection(shapely.union_all(treated), given.boundary)
    return ByDone(treated=polygons_of(whole), notes=tuple(notes))


def _check_zones(rows: Sequence[Sprayed], zones: Mapping[int, Area]) -> None:
    unknown = sorted({zone for row in rows for zone in row.zone_numbers} - set(zones))
    if unknown:
        listed, has = ", ".join(map(str, unknown)), ", ".join(map(str, sorted(zones)))
        what = f"it says that zone {listed} was sprayed, and the field has zones {has}"
        mend = f"Bring back {kept_zones.FILE} as it was kept, or correct the zones."
        raise InputError(what, where=done.FILE, mend=mend)


def _of(laid: Laid, treatment: StripTreatment) -> Area:
    outlines = [one.outline for one in laid.strips if one.treatment == treatment]
    return polygons_of(shapely.union_all(outlines))


def _by_map(settings: Settings, given: FieldInputs, row: Sprayed, laid: Laid) -> Area:
    """Give the ground of treated strips that a pass of a plan sprayed, whatever the zone below."""
    named = _OF_A_PLAN.search(row.source)
    if row.pass_number is None or named is None:
        return polygons_of(shapely.GeometryCollection())
    strips = _of(laid, "treated")
    for path in (kept_zones.path_of(settings), settings.folder / "out" / "zones.gpkg"):
        if _plan_of(path).startswith(named[1]):
            found = vector.read(path, path.name, layer=_STRIPS)
            shapes = found.projected(given.grid.epsg)
            mine = [
                shape
                for shape, one in zip(shapes, found.features, strict=True)
                if one.columns.get("treatment") == "treated" and one.columns.get("pass") == row.pass_number
            ]
            return polygons_of(shapely.intersection(shapely.union_all(mine), strips))
    return strips


def _plan_of(path: Path) -> str:
    """Give the run_id of the plan whose zones and strips a file holds; "" where it holds no strips."""
    if not path.is_file() or not all(vector.has_layer(path, layer) for layer in (_STRIPS, _ABOUT)):
        return ""
    about = vector.read(path, path.name, layer=_ABOUT).features[0].columns.get("run_id")
    return about if isinstance(about, str) else ""
