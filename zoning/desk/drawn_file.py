"""Zones of a plan as shapes in metres, joined and cut, and as a GeoPackage of zones that somebody drew."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import shapely
from shapely import LineString, MultiPolygon, Polygon

from zoning.desk.last_plan import LastPlan
from zoning.desk.opened import Opened
from zoning.errors import InputError
from zoning.inputs import area, vector
from zoning.inputs.given import Area
from zoning.inputs.ground.boundary import SNAP_M, polygons_of

COLUMN = "zone"  # that tells the zones apart
_OUT = "zones.gpkg"
_BESIDE_M = 1.0  # a shorter common edge is a corner
_Ends = tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawnZone:
    """A zone: what it is called, and its outline in metres of the plan's plane."""

    name: str
    outline: Area


def of_plan(home: Opened, folder: Path, plan: LastPlan) -> dict[int, DrawnZone]:
    """Give the zones of the last plan by number, as out/zones.gpkg has them.

    Raises
    ------
    InputError
        Where that file is gone or of another run.
    """
    path = home.inside(folder / "out" / _OUT)
    if not path.is_file():
        raise _gone()
    found = vector.read(path, f"out/{_OUT}", layer="zones")
    shapes = found.projected(plan.epsg)
    zones = {
        int(str(row.columns["zone"])): DrawnZone(
            name=str(row.columns.get("name") or row.columns["zone"]),
            outline=polygons_of(shapely.make_valid(shape)),
        )
        for shape, row in zip(shapes, found.features, strict=True)
    }
    if set(zones) != set(plan.zones):
        raise InputError("it has other zones than the plan", where=f"out/{_OUT}", mend="Run the field again.")
    return dict(sorted(zones.items()))


def corner(home: Opened, folder: Path, plan: LastPlan) -> tuple[float, float]:
    """Give west and north of the plan's map, from which the page counts its metres.

    Raises
    ------
    InputError
        Where out/zones.gpkg is gone or cannot be read.
    """
    path = home.inside(folder / "out" / _OUT)
    if not path.is_file():
        raise _gone()
    found = vector.read(path, f"out/{_OUT}", layer="boundary")
    west, _, _, north = shapely.total_bounds(found.projected(plan.epsg))
    return float(west), float(north)


def _gone() -> InputError:
    return InputError("there is no such file", where=f"out/{_OUT}", mend="Run the field again.")


def joined(one: DrawnZone, other: DrawnZone) -> Area | None:
    """Give the ground of two zones; None where they have no edge in common."""
    edge = shapely.intersection(
        shapely.boundary(one.outline), shapely.boundary(other.outline), grid_size=SNAP_M
    )
    if edge.length < _BESIDE_M:
        return None
    return polygons_of(shapely.union(one.outline, other.outline, grid_size=SNAP_M))


def parts(zone: DrawnZone, line: _Ends) -> tuple[Area, ...]:
    """Cut a zone along the line through two points: what lies to the left of it, and to the right.

    Returns
    -------
    tuple of Polygon or MultiPolygon
        Two; none where all of the zone lies on one side.

    Examples
    --------
    >>> from shapely import box
    >>> field = DrawnZone(name="1", outline=box(0, 0, 100, 100))
    >>> [part.area for part in parts(field, ((40, 10), (40, 20)))]
    [4000.0, 6000.0]
    >>> parts(field, ((140, 10), (140, 20)))
    ()
    """
    west, south, east, north = zone.outline.bounds
    (x, y), (to_x, to_y) = line
    length_m = float(LineString(line).length)
    if length_m < _BESIDE_M:
        return ()
    along = ((to_x - x) / length_m, (to_y - y) / length_m)
    # long enough to reach past the zone on every side, wherever the two points lie
    far_m = 2 * (abs(x - west) + abs(x - east) + abs(y - south) + abs(y - north) + length_m)
    back = (x - far_m * along[0], y - far_m * along[1])
    ahead = (x + far_m * along[0], y + far_m * along[1])
    left = (-along[1] * far_m, along[0] * far_m)
    half = Polygon(
        [back, ahead, (ahead[0] + left[0], ahead[1] + left[1]), (back[0] + left[0], back[1] + left[1])]
    )
    found = (
        polygons_of(shapely.intersection(zone.outline, half, grid_size=SNAP_M)),
        polygons_of(shapely.difference(zone.outline, half, grid_size=SNAP_M)),
    )
    return () if any(part.is_empty for part in found) else found


def acres(outline: Area, epsg: int) -> float:
    """Give the area of an outline."""
    return area.geodesic_ac(area.to_lonlat(outline, epsg))


def as_bytes(zones: Sequence[DrawnZone], epsg: int, today: date) -> bytes:
    """Give a GeoPackage of zones in their order, with their names."""
    # imported late: the page itself needs no library of shapes
    import fiona
    from fiona.io import MemoryFile
    from shapely.geometry import mapping

    now = f"{today.isoformat()}T00:00:00.000Z"
    schema = {"geometry": "MultiPolygon", "properties": {COLUMN: "str"}}
    with fiona.Env(OGR_CURRENT_DATE=now), MemoryFile(filename=_OUT) as memory:
        with memory.open(
            mode="w", driver="GPKG", layer="zones", crs=f"EPSG:{epsg}", schema=schema, VERSION="1.3"
        ) as file:
            file.writerecords(
                {"geometry": mapping(_many(one.outline)), "properties": {COLUMN: one.name}} for one in zones
            )
        made: bytes = memory.read()
    return made


def _many(outline: Area) -> MultiPolygon:
    return outline if isinstance(outline, MultiPolygon) else MultiPolygon([outline])
