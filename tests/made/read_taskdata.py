"""A reader of TASKDATA for tests: written from the table of attributes, not from the writer."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from lxml import etree
from pyproj import Geod
from shapely import MultiPolygon, Polygon, box

GEOD = Geod(ellps="WGS84")
RAW_PER_GAL_AC = 93539.5607  # 3.785411784 L / 0.40468564224 ha = 9.35395607 L/ha; x 100 mm3/m2 x 100


@dataclass(frozen=True)
class Lattice:
    """A grid as the map shows it: raw rate of each cell, first row southernmost, and where its corner is."""

    raw: np.ndarray
    south: float
    west: float
    high: float
    wide: float

    def centres(self):
        rows, columns = self.raw.shape
        north = self.south + (np.arange(rows) + 0.5) * self.high
        east = self.west + (np.arange(columns) + 0.5) * self.wide
        return np.meshgrid(east, north)

    def litres(self) -> float:
        """Volume over all cells, with the geodesic area of each row's cells."""
        total = 0.0
        for row, raws in enumerate(self.raw):
            low = self.south + row * self.high
            cell = box(self.west, low, self.west + self.wide, low + self.high)
            area_m2 = abs(GEOD.geometry_area_perimeter(cell)[0])
            total += area_m2 * int(raws.sum()) / 100 / 1e6  # hundredths of mm3/m2 -> L/m2
        return total


def root_of(path: Path):
    return etree.fromstring(path.read_bytes())


def ring(line):
    return [(float(point.get("D")), float(point.get("C"))) for point in line.findall("PNT")]


def polygon(outline) -> Polygon:
    [rim] = [ring(line) for line in outline.findall("LSG") if line.get("A") == "1"]
    return Polygon(rim, [ring(line) for line in outline.findall("LSG") if line.get("A") == "2"])


def zones(task) -> list[tuple[int, list[Polygon]]]:
    """Raw rate and treatment polygons of each zone."""
    return [
        (int(zone.find("PDV").get("B")), [polygon(one) for one in zone.findall("PLN") if one.get("A") == "2"])
        for zone in task.findall("TZN")
    ]


def boundary(field) -> MultiPolygon:
    return MultiPolygon([polygon(one) for one in field.findall("PLN") if one.get("A") == "1"])


def lattice(task, folder: Path) -> Lattice:
    """The grid of a task, its codes looked up in the zones of the task."""
    grid = task.find("GRD")
    columns, rows = int(grid.get("E")), int(grid.get("F"))
    content = (folder / f"{grid.get('G')}.BIN").read_bytes()
    assert len(content) == int(grid.get("H"))
    if grid.get("I") == "1":
        raw_of = {int(zone.get("A")): int(zone.find("PDV").get("B")) for zone in task.findall("TZN")}
        codes = np.frombuffer(content, "u1").reshape(rows, columns)
        raw = np.array([[raw_of[code] for code in row] for row in codes.tolist()])
    else:
        assert grid.get("I") == "2"
        raw = np.frombuffer(content, "<i4").reshape(rows, columns).astype(np.int64)
    return Lattice(raw, *(float(grid.get(key)) for key in "ABCD"))
