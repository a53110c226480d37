"""Rules about single rings and rows of any layer of polygons: coordinates, rings, shapes."""

from collections.abc import Iterator

import numpy as np
import shapely

from zoning.file_checks.finding import Rule, Seen
from zoning.file_checks.of_polygons.polygons import Polygons, Ring, Row

_HALF_WAY_DEG = 180.0
_POLE_DEG = 90.0


def _rings(layer: Polygons) -> Iterator[tuple[Row, Ring]]:
    return ((row, ring) for row in layer.rows for ring in row.rings)


def no_polygon(layer: Polygons) -> Iterator[Seen]:
    """See a layer without a row."""
    if not layer.rows:
        yield {}


def no_shape(layer: Polygons) -> Iterator[Seen]:
    """See rows without a polygon."""
    return ({"row": row.name} for row in layer.rows if not row.rings)


def not_finite(layer: Polygons) -> Iterator[Seen]:
    """See coordinates that are no number, or infinite."""
    return ({"row": row.name} for row, ring in _rings(layer) if not np.isfinite(ring.points).all())


def _outside(ring: Ring) -> bool:
    """Say whether a ring leaves the range of degrees, to the last digits of a double."""
    lon, lat = np.abs(ring.points).T if len(ring.points) else (np.zeros(1), np.zeros(1))
    return bool((lon > _HALF_WAY_DEG).any() or (lat > _POLE_DEG).any())


def out_of_range(layer: Polygons) -> Iterator[Seen]:
    """See coordinates that are no degrees; the first of them is told for each row."""
    for row, ring in _rings(layer):
        if np.isfinite(ring.points).all() and _outside(ring) and not _is_swapped(ring):
            lon, lat = ring.points[int(np.argmax(np.abs(ring.points).max(axis=1)))]
            yield {"row": row.name, "lon": lon, "lat": lat}


def _is_swapped(ring: Ring) -> bool:
    """Say whether the second value can only be a longitude, and the first may be a latitude."""
    first, second = np.abs(ring.points).T if len(ring.points) else (np.zeros(1), np.zeros(1))
    return bool((second > _POLE_DEG).any() and (second <= _HALF_WAY_DEG).all() and (first <= _POLE_DEG).all())


def swapped(layer: Polygons) -> Iterator[Seen]:
    """See latitude before longitude: by the range, or because the field lies where they are turned round."""
    by_range = any(_is_swapped(ring) for _, ring in _rings(layer))
    shapes = [row.shape for row in layer.rows if row.shape is not None]
    if layer.field is not None and shapes and not by_range:
        here = shapely.box(*shapely.total_bounds(shapes))
        turned = shapely.transform(here, lambda lonlat: lonlat[:, ::-1])
        by_range = not here.intersects(layer.field) and bool(turned.intersects(layer.field))
    if by_range:
        yield {}


def antimeridian(layer: Polygons) -> Iterator[Seen]:
    """See rows that reach round more than half of the earth: they cross 180 degrees without a cut."""
    for row in layer.rows:
        points = [ring.points[:, 0] for ring in row.rings if len(ring.points) and ring.is_measurable]
        if points and np.ptp(np.concatenate(points)) > _HALF_WAY_DEG:
            yield {"row": row.name}


def ring_too_short(layer: Polygons) -> Iterator[Seen]:
    """See rings of fewer than four points, the first one repeated as the last."""
    return ({"row": row.name, "points": len(r.points)} for row, r in _rings(layer) if len(r.points) < 4)


def not_closed(layer: Polygons) -> Iterator[Seen]:
    """See rings whose last point is not the first one."""
    return ({"row": row.name} for row, ring in _rings(layer) if len(ring.points) and not ring.is_closed)


def ring_order(layer: Polygons) -> Iterator[Seen]:
    """See rings that run the other way round than their format wants."""
    if layer.outer_clockwise is None:
        return
    for row, ring in _rings(layer):
        clockwise = layer.outer_clockwise != ring.is_hole
        if ring.doubled_area != 0 and (ring.doubled_area < 0) != clockwise:
            yield {
                "row": row.name,
                "ring": "a hole" if ring.is_hole else "the outer ring",
                "wanted": "clockwise" if clockwise else "counter-clockwise",
            }


def several_parts(layer: Polygons) -> Iterator[Seen]:
    """See rows of more than one polygon."""
    return ({"row": row.name, "parts": row.parts} for row in layer.rows if row.parts > 1)


def zero_area(layer: Polygons) -> Iterator[Seen]:
    """See rings that enclose nothing."""
    for row, ring in _rings(layer):
        if len(ring.points) >= 4 and ring.is_measurable and ring.doubled_area == 0:
            yield {"row": row.name}


def not_valid(layer: Polygons) -> Iterator[Seen]:
    """See polygons whose rings cross or touch themselves or each other."""
    for row in layer.rows:
        if row.shape is None or any(ring.doubled_area == 0 for ring in row.rings):
            continue
        for part in shapely.get_parts(row.shape):
            if not part.is_valid:
                yield {"row": row.name, "why": shapely.is_valid_reason(part).partition("[")[0].lower()}


# Whether coordinates are degrees at all: where they are not, nothing else is worth telling.
COORDINATES: tuple[Rule[Polygons], ...] = (
    Rule("no_polygon", "refused", no_polygon),
    Rule("not_finite", "refused", not_finite),
    Rule("out_of_range", "refused", out_of_range),
    Rule("swapped", "refused", swapped),
    Rule("antimeridian", "refused", antimeridian),
)
RINGS: tuple[Rule[Polygons], ...] = (
    Rule("no_shape", "refused", no_shape),
    Rule("ring_too_short", "refused", ring_too_short),
    Rule("not_closed", "refused", not_closed),
    Rule("ring_order", "refused", ring_order),
    Rule("several_parts", "doubtful", several_parts),
    Rule("zero_area", "refused", zero_area),
    Rule("not_valid", "refused", not_valid),
)
# In layers of desktop programs rows may have several parts, and rings run either way.
RINGS_OF_LAYERS = tuple(rule for rule in RINGS if rule.name not in ("several_parts", "ring_order"))
