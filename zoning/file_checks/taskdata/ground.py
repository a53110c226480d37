"""Rules about where a task's zones lie: types of polygons and rings, the area; then those of all layers."""

from collections.abc import Iterator

from shapely import MultiPolygon, Polygon

from zoning.evidence import number
from zoning.file_checks.finding import Finding, Rule, Seen
from zoning.file_checks.of_polygons.geometry import RINGS
from zoning.file_checks.of_polygons.ground import GROUND
from zoning.file_checks.of_polygons.layer import judge
from zoning.file_checks.of_polygons.plane import Plane
from zoning.file_checks.of_polygons.polygons import Polygons, Row
from zoning.file_checks.of_polygons.rates import OF_A_PASS
from zoning.file_checks.taskdata.parts import (
    BOUNDARY,
    EXTERIOR,
    INTERIOR,
    TREATMENT,
    TaskData,
    boundaries,
    ground_of,
    rings,
)
from zoning.file_checks.taskdata.read import Node

_OTHER = 2  # type of a point that is a corner and nothing else


def _polygons(data: TaskData) -> Iterator[tuple[Node, Node]]:
    """Give each polygon with the element that it stands in."""
    for node in data.judged:
        if node.tag in ("PFD", "TZN"):
            yield from ((node, polygon) for polygon in node.of("PLN"))


def _polygon_type(data: TaskData) -> Iterator[Seen]:
    for node, polygon in _polygons(data):
        kind = polygon.whole("A")
        if kind is not None and (kind == TREATMENT) != (node.tag == "TZN"):
            wanted = TREATMENT if node.tag == "TZN" else BOUNDARY
            yield {"line": polygon.line, "kind": kind, "inside": node.tag, "wanted": wanted}


def _no_boundary(data: TaskData) -> Iterator[Seen]:
    for node in data.root.of("PFD"):
        if not boundaries(node):
            yield {"line": node.line, "field": node.text("C")}


def _ring_type(data: TaskData) -> Iterator[Seen]:
    for _, polygon in _polygons(data):
        for ring in polygon.of("LSG"):
            kind = ring.whole("A")
            if kind is not None and kind not in (EXTERIOR, INTERIOR):
                yield {"line": ring.line, "kind": kind}


def _exteriors(data: TaskData) -> Iterator[Seen]:
    for _, polygon in _polygons(data):
        count = sum(ring.whole("A") == EXTERIOR for ring in polygon.of("LSG"))
        if count != 1:
            yield {"line": polygon.line, "count": count}


def _point_type(data: TaskData) -> Iterator[Seen]:
    for _, polygon in _polygons(data):
        for ring in polygon.of("LSG"):
            other = next((one for one in ring.of("PNT") if one.whole("A") not in (None, _OTHER)), None)
            if other is not None:
                yield {"line": other.line, "kind": other.text("A")}


def _area_m2(shape: Polygon | MultiPolygon) -> float:
    return Plane.around(shape.centroid.x, shape.centroid.y).metres(shape).area


def _area(data: TaskData) -> Iterator[Seen]:
    off_frac = number("file_checks.area_off_frac")
    for node in data.root.of("PFD"):
        told_m2 = node.whole("D")
        shape = ground_of(boundaries(node))
        if told_m2 is None or shape is None:
            continue
        true_m2 = _area_m2(shape)
        if abs(told_m2 - true_m2) > off_frac * true_m2:
            yield {"line": node.line, "told_m2": told_m2, "true_m2": true_m2}


def _polygon_area(data: TaskData) -> Iterator[Seen]:
    off_frac = number("file_checks.area_off_frac")
    for _, polygon in _polygons(data):
        told_m2, shape = polygon.whole("C"), ground_of([polygon])
        if told_m2 is None or shape is None:
            continue
        true_m2 = _area_m2(shape)
        if abs(told_m2 - true_m2) > max(off_frac * true_m2, 1):
            yield {"line": polygon.line, "told_m2": told_m2, "true_m2": true_m2}


def _no_place(data: TaskData) -> Iterator[Seen]:
    for task in data.tasks:
        if task.zones and not task.grids and not task.polygons.rows:
            yield {"line": task.node.line, "task": task.told}


def _both(data: TaskData) -> Iterator[Seen]:
    for task in data.tasks:
        if task.grids and task.polygons.rows:
            yield {"line": task.node.line, "task": task.told}


def _other_field(data: TaskData) -> Iterator[Seen]:
    off_frac = number("file_checks.area_off_frac")
    fields = list(data.root.of("PFD"))
    if data.field is None or len(fields) != 1:
        return
    shape = ground_of(boundaries(fields[0]))
    if shape is not None and data.field.symmetric_difference(shape).area > off_frac * data.field.area:
        yield {"line": fields[0].line, "field": fields[0].text("C")}


RULES: tuple[Rule[TaskData], ...] = (
    Rule("iso_polygon_type", "refused", _polygon_type),
    Rule("iso_no_boundary", "doubtful", _no_boundary),
    Rule("iso_ring_type", "refused", _ring_type),
    Rule("iso_exteriors", "refused", _exteriors),
    Rule("iso_point_type", "doubtful", _point_type),
    Rule("iso_area", "doubtful", _area),
    Rule("iso_polygon_area", "doubtful", _polygon_area),
    Rule("iso_other_field", "doubtful", _other_field),
    Rule("iso_no_place", "doubtful", _no_place),
    Rule("iso_grid_and_polygons", "refused", _both),
)

# Ground that no polygon covers gets the task's zone by default: taken in another way, not refused.
_BY_DEFAULT = ("gap", "not_covered")
_GROUND = tuple(
    Rule(rule.name, "doubtful", rule.sees) if rule.name in _BY_DEFAULT else rule for rule in GROUND
)
# What one rate must be stands in this format's own rules.
_RATES = tuple(rule for rule in OF_A_PASS if rule.name in ("many_rates", "all_off"))
# Several outer rings have a rule of this format.
_RINGS = tuple(rule for rule in RINGS if rule.name != "several_parts")


def on_the_ground(data: TaskData, where: str) -> Iterator[Finding]:
    """Judge boundaries and zones as layers of polygons."""
    for node in data.root.of("PFD"):
        rows = [Row(f"boundary in line {one.line}", rings(one)) for one in boundaries(node)]
        if rows:
            layer = Polygons(tuple(rows), field=data.field)
            yield from judge(layer, where, (), rings=_RINGS, ground=())
    for task in data.tasks:
        if task.polygons.rows:
            yield from judge(task.polygons, where, _RATES, rings=_RINGS, ground=_GROUND)
