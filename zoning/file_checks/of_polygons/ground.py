"""Rules about the ground that a layer of polygons covers: overlaps, gaps, the field's boundary, slivers."""

from collections.abc import Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from zoning.evidence import number
from zoning.file_checks.finding import Rule, Seen
from zoning.file_checks.of_polygons.polygons import Polygons

_ROUNDING = 1e-9  # of an area, by the last bits of its sums


def _pieces(layer: Polygons, shape: BaseGeometry) -> Iterator[tuple[BaseGeometry, Seen]]:
    """Give each piece of ground that is wider than the rounding of coordinates: in degrees, and in words."""
    thin_m = number("file_checks.thin_m")
    for piece in shapely.get_parts(shape):
        if piece.area <= 0:
            continue
        flat = layer.plane.metres(piece)
        if 2 * flat.area > thin_m * flat.length:
            place = piece.representative_point()
            yield piece, {"area_m2": flat.area, "lon": place.x, "lat": place.y}


def duplicate(layer: Polygons) -> Iterator[Seen]:
    """See polygons that stand in the file twice."""
    first: dict[bytes, str] = {}
    for row, shape in layer.valid:
        key = shapely.to_wkb(shapely.normalize(shape))
        if key in first:
            yield {"row": row.name, "other": first[key]}
        first.setdefault(key, row.name)


def overlap(layer: Polygons) -> Iterator[Seen]:
    """See two polygons on the same ground; one that stands there twice is told as such."""
    shapes = [shape for _, shape in layer.valid]
    if sum(shape.area for shape in shapes) - layer.union.area <= _ROUNDING * layer.union.area:
        return
    twice = {seen["row"] for seen in duplicate(layer)}
    tree = shapely.STRtree(shapes)
    one, other = tree.query(shapes, predicate="intersects")
    for first, second in sorted(zip(one.tolist(), other.tolist(), strict=True)):
        names = {"row": layer.valid[second][0].name, "other": layer.valid[first][0].name}
        if first >= second or twice & set(names.values()):
            continue
        for _, seen in _pieces(layer, shapely.intersection(shapes[first], shapes[second])):
            yield {**names, **seen}
            break


def outside(layer: Polygons) -> Iterator[Seen]:
    """See polygons that leave the field by more than a margin."""
    if layer.field is None or not layer.valid:
        return
    margin_m = number("file_checks.outward_margin_m")
    reach = layer.plane.metres(layer.field).buffer(margin_m)
    for row, shape in layer.valid:
        flat = layer.plane.metres(shape)
        if not reach.covers(flat):
            yield {"row": row.name, "area_m2": flat.difference(reach).area, "margin_m": margin_m}


def _missing(layer: Polygons) -> tuple[list[Seen], list[Seen]]:
    """Sort what is not covered into gaps inside the layer and ground at the field's boundary."""
    if not layer.is_whole:
        return [], []
    holes = [hole for part in shapely.get_parts(layer.union) for hole in part.interiors]
    inside = shapely.union_all([shapely.Polygon(hole) for hole in holes])
    if layer.field is None:  # a hole may be a pond; a thin one is none
        widest_m = number("file_checks.sliver_m")
        flat = ((layer.plane.metres(piece), seen) for piece, seen in _pieces(layer, inside))
        return [seen for piece, seen in flat if 2 * piece.area < widest_m * piece.length], []
    bare = layer.field.difference(layer.union)
    gaps: list[Seen] = []
    edges: list[Seen] = []
    for piece, seen in _pieces(layer, bare):
        (gaps if inside.covers(piece.representative_point()) else edges).append(seen)
    return gaps, edges


def gap(layer: Polygons) -> Iterator[Seen]:
    """See ground between the polygons that none of them covers."""
    yield from _missing(layer)[0]


def not_covered(layer: Polygons) -> Iterator[Seen]:
    """See ground of the field beside the polygons that none of them covers."""
    yield from _missing(layer)[1]


def too_small(layer: Polygons) -> Iterator[Seen]:
    """See polygons that no machine can follow."""
    least_m2 = number("file_checks.least_polygon_m2")
    for row, shape in layer.valid:
        area_m2 = layer.plane.metres(shape).area
        if area_m2 < least_m2:
            yield {"row": row.name, "area_m2": area_m2, "least_m2": least_m2}


GROUND: tuple[Rule[Polygons], ...] = (
    Rule("duplicate", "refused", duplicate),
    Rule("overlap", "refused", overlap),
    Rule("outside", "refused", outside),
    Rule("gap", "refused", gap),
    Rule("not_covered", "refused", not_covered),
    Rule("too_small", "doubtful", too_small),
)
