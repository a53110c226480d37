"""What a TASKDATA folder says: tasks with their zones, rates, polygons and grids, put together once."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from zoning.file_checks.finding import UnreadableError
from zoning.file_checks.formats import Field
from zoning.file_checks.of_polygons.polygons import FloatArray, Polygons, Ring, Row
from zoning.file_checks.taskdata.kinds import Broken
from zoning.file_checks.taskdata.read import Node
from zoning.file_checks.taskdata.table import ELEMENTS

FILE_NAME = "TASKDATA.XML"
FOLDER_NAME = "TASKDATA"
SETPOINT = 1  # dictionary entry: volume per area to be applied, mm3/m2 in steps of 0.01
RAW_PER_L_HA = 10_000.0  # 1 L/ha = 100 mm3/m2 = 10,000 steps
EXTERIOR, INTERIOR = 1, 2  # types of a ring
BOUNDARY, TREATMENT = 1, 2  # types of a polygon


RatedGround = tuple[tuple[Polygon | MultiPolygon, float], ...]  # ground in degrees, its volume in L/ha


class BadText(NamedTuple):
    """An attribute whose text is not of its type."""

    node: Node
    name: str
    broken: tuple[str, Mapping[str, object]]


def points(ring: Node) -> FloatArray:
    """Give the points of a ring as lon, lat; NaN where a text is no number."""
    found = [(point.decimal("D"), point.decimal("C")) for point in ring.of("PNT")]
    return np.array(found, dtype=np.float64).reshape(-1, 2)


def rings(polygon: Node) -> tuple[Ring, ...]:
    """Give the outer rings and holes of a polygon, as they stand in the file."""
    return tuple(
        Ring(points(ring), ring.whole("A") == INTERIOR)
        for ring in polygon.of("LSG")
        if ring.whole("A") in (EXTERIOR, INTERIOR)
    )


def ground_of(polygons: list[Node]) -> Field:
    """Put polygons together: outer rings less holes; None where that cannot be measured."""
    found = [ring for polygon in polygons for ring in rings(polygon)]
    if any(len(ring.points) < 3 or not np.isfinite(ring.points).all() for ring in found):
        return None
    shells = [Polygon(ring.points) for ring in found if not ring.is_hole]
    holes = [Polygon(ring.points) for ring in found if ring.is_hole]
    if not shells or not all(one.is_valid for one in [*shells, *holes]):
        return None
    whole = shapely.union_all(shells).difference(shapely.union_all(holes))
    return whole if isinstance(whole, Polygon | MultiPolygon) and not whole.is_empty else None


def boundaries(field: Node) -> list[Node]:
    """Give the polygons of a field that are its boundary."""
    return [one for one in field.of("PLN") if one.whole("A") == BOUNDARY]


@dataclass(frozen=True, eq=False)
class Zone:
    """One treatment zone of a task."""

    node: Node

    @property
    def code(self) -> int | None:
        """Its code."""
        return self.node.whole("A")

    @cached_property
    def rates(self) -> tuple[Node, ...]:
        """What it asks for: one element for each product."""
        return tuple(self.node.of("PDV"))

    @cached_property
    def rate_l_ha(self) -> float | None:
        """The volume of spray mix; None where none is said in the right dictionary entry."""
        for rate in self.rates:
            value = rate.whole("B")
            if dictionary_entry(rate) == SETPOINT and value is not None:
                return value / RAW_PER_L_HA
        return None


def dictionary_entry(rate: Node) -> int | None:
    """Give the number of a rate's dictionary entry, None where the text is no hexadecimal number."""
    text = rate.text("A")
    return (
        int(text, 16) if 0 < len(text) <= 4 and all(one in "0123456789abcdefABCDEF" for one in text) else None
    )


@dataclass(frozen=True, eq=False)
class Task:
    """One task and the field that it is for."""

    node: Node
    pfd: Node | None
    field: Field

    @property
    def told(self) -> str:
        """Name it to people."""
        return self.node.text("B") or self.node.text("A") or "without a name"

    @cached_property
    def zones(self) -> tuple[Zone, ...]:
        """Its treatment zones."""
        return tuple(Zone(node) for node in self.node.of("TZN"))

    @cached_property
    def by_code(self) -> dict[int, Zone]:
        """Its zones by their code, the first of each."""
        return {zone.code: zone for zone in reversed(self.zones) if zone.code is not None}

    @cached_property
    def grids(self) -> tuple[Node, ...]:
        """Its grids; there should be one at most."""
        return tuple(self.node.of("GRD"))

    @cached_property
    def outline(self) -> Field:
        """Boundary of its field as the file has it; else the field that lies around; None where not known."""
        own = [] if self.pfd is None else boundaries(self.pfd)
        return (ground_of(own) if own else None) or self.field

    @cached_property
    def polygons(self) -> Polygons:
        """Its zones as a layer of polygons, for the rules of all layers."""
        found = ((zone, polygon) for zone in self.zones for polygon in zone.node.of("PLN"))
        rows = (
            Row(
                f"polygon of zone {zone.node.text('A')} in line {polygon.line}",
                rings(polygon),
                zone.rate_l_ha,
            )
            for zone, polygon in found
        )
        return Polygons(tuple(rows), field=self.outline, rate_unit="L/ha")


@dataclass(frozen=True, eq=False)
class TaskData:
    """One TASKDATA folder.

    Parameters
    ----------
    root : Node
        The XML.
    name, folder : str
        Its name as it was found; the folder's own name, "" where not known.
    siblings : mapping of str to int
        Files beside it, with their sizes in bytes.
    read : callable
        Reads one of them.
    field : Polygon, MultiPolygon or None
        The field that was found around the folder.
    beside : tuple
        The map of the same pass in another file, empty where there is none.
    """

    root: Node
    name: str
    folder: str
    siblings: Mapping[str, int]
    read: Callable[[str], bytes]
    field: Field
    beside: RatedGround = ()

    @cached_property
    def judged(self) -> tuple[Node, ...]:
        """All elements that the table knows, without those inside others."""
        return tuple(self._judged())

    def _judged(self) -> Iterator[Node]:
        waiting = [self.root]
        while waiting:
            node = waiting.pop()
            yield node
            waiting.extend(child for child in reversed(node.children) if child.tag in ELEMENTS)

    @cached_property
    def bad_texts(self) -> tuple[BadText, ...]:
        """Attributes whose text is not of their type."""
        return tuple(self._bad_texts())

    def _bad_texts(self) -> Iterator[BadText]:
        for node in self.judged:
            for name, attribute in ELEMENTS[node.tag].attributes.items():
                broken: Broken = None
                if name in node.attributes:
                    broken = attribute.kind.broken(node.attributes[name])
                if broken is not None:
                    yield BadText(node, name, broken)

    @cached_property
    def by_id(self) -> dict[str, Node]:
        """Elements by their id."""
        return {node.text("A"): node for node in self.judged if node.text("A").startswith(node.tag)}

    @cached_property
    def tasks(self) -> tuple[Task, ...]:
        """Give its tasks."""
        return tuple(Task(node, self._of(node, "E", "PFD"), self.field) for node in self.root.of("TSK"))

    def _of(self, node: Node, name: str, tag: str) -> Node | None:
        found = self.by_id.get(node.text(name))
        return found if found is not None and found.tag == tag else None

    def presentation(self, rate: Node) -> Node | None:
        """Give how a rate is shown."""
        return self._of(rate, "E", "VPN")

    def cells(self, grid: Node) -> bytes | None:
        """Give the cells of a grid; None where its file is not there or cannot be read."""
        name = self.file_of(grid)
        if name is None:
            return None
        try:
            return self.read(name)
        except UnreadableError:
            return None

    def file_of(self, grid: Node) -> str | None:
        """Find the file of a grid beside the XML, in capitals or not, with an ending or not."""
        wanted = grid.text("G").lower().removesuffix(".bin")
        exact = f"{grid.text('G')}.BIN"
        if exact in self.siblings:
            return exact
        near = (one for one in self.siblings if wanted and one.lower() in (wanted, f"{wanted}.bin"))
        return next(near, None)
