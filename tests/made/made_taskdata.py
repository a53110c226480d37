"""TASKDATA folders made by hand with ElementTree, good ones: nothing here uses the project's writers.

The field is an L on its back: 300 m x 300 m without its north-eastern quarter, so that turned rows are seen.
Raw values by the table of ISO 11783-11 units: 1 gal/ac = 9.353956 L/ha, 1 L/ha = 10,000.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from xml.etree.ElementTree import Element, SubElement, tostring

import numpy as np
from shapely import Polygon, box

SOUTH, WEST = 42.0, -93.6
NORTH_DEG_PER_M = 1 / 111_073.3  # at 42 degrees north, by pyproj.Geod
EAST_DEG_PER_M = 1 / 82_850.8
RAW_15, RAW_20 = 1_403_093, 1_870_791  # handbook's table of PDV@B
CELLS = 30  # of 10 m, in each direction


def at(east_m: float, north_m: float) -> tuple[float, float]:
    """Give lon, lat of a place by metres from the south-western corner."""
    return WEST + east_m * EAST_DEG_PER_M, SOUTH + north_m * NORTH_DEG_PER_M


def ground(*corners_m: tuple[float, float]) -> Polygon:
    """Give a polygon in degrees."""
    return Polygon([at(*corner) for corner in corners_m])


FIELD = ground((0, 0), (300, 0), (300, 150), (150, 150), (150, 300), (0, 300))
LOW = ground((0, 0), (150, 0), (150, 150), (0, 150))  # 20 gal/ac
EAST = ground((150, 0), (300, 0), (300, 150), (150, 150))  # 15 gal/ac
TOP = ground((0, 150), (150, 150), (150, 300), (0, 300))  # boom off
AREA_M2 = 67_500  # three squares of 150 m


@dataclass
class Folder:
    """A folder before it is written: its XML as a tree, its other files, and names."""

    root: Element
    files: dict[str, bytes] = field(default_factory=dict)
    name: str = "TASKDATA"
    xml_name: str = "TASKDATA.XML"
    text: Callable[[bytes], bytes] = lambda made: made  # what is done to the bytes of the XML

    def write(self, place: Path) -> Path:
        """Write it below a folder; its path."""
        path = place / self.name
        path.mkdir(parents=True)
        if self.xml_name:
            (path / self.xml_name).write_bytes(self.text(tostring(self.root, "utf-8")))
        for name, content in self.files.items():
            (path / name).write_bytes(content)
        return path

    def one(self, *path: str) -> Element:
        """Find an element by tags, each with `=A` behind it where its A is to be matched."""
        node = self.root
        for step in path:
            tag, _, wanted = step.partition("=")
            node = next(child for child in node if child.tag == tag and wanted in ("", child.get("A")))
        return node


def add(parent: Element, tag: str, **attributes: str) -> Element:
    """Add an element."""
    return SubElement(parent, tag, attributes)


def add_ring(polygon: Element, ring: object, kind: str) -> None:
    """Add the points of a shapely ring."""
    line = add(polygon, "LSG", A=kind)
    for lon, lat in ring.coords:
        add(line, "PNT", A="2", C=f"{lat:.9f}", D=f"{lon:.9f}")


def add_polygon(parent: Element, shape: Polygon, kind: str) -> Element:
    """Add a polygon with its rings."""
    polygon = add(parent, "PLN", A=kind)
    add_ring(polygon, shape.exterior, "1")
    for hole in shape.interiors:
        add_ring(polygon, hole, "2")
    return polygon


def _with_zones() -> tuple[Folder, dict[str, Element]]:
    about = {"ManagementSoftwareManufacturer": "by hand", "ManagementSoftwareVersion": "1"}
    root = Element("ISO11783_TaskData", VersionMajor="4", VersionMinor="3", DataTransferOrigin="1", **about)
    add(root, "CTR", A="CTR1", B="Grower")
    add(root, "FRM", A="FRM1", B="Home farm", I="CTR1")
    pfd = add(root, "PFD", A="PFD1", C="Field 7", D=str(AREA_M2), E="CTR1", F="FRM1")
    add_polygon(pfd, FIELD, "1")
    add(root, "PDT", A="PDT1", B="Spray mix")
    add(root, "VPN", A="VPN1", B="0", C="0.000010691", D="1", E="gal/ac")
    links = {"C": "CTR1", "D": "FRM1", "E": "PFD1", "G": "1", "H": "0", "I": "0", "J": "0"}
    task = add(root, "TSK", A="TSK1", B="R3 pass", **links)
    zones = {}
    for code, name, raw in (("0", "off", 0), ("1", "15 gal/ac", RAW_15), ("2", "20 gal/ac", RAW_20)):
        zones[code] = add(task, "TZN", A=code, B=name)
        add(zones[code], "PDV", A="0001", B=str(raw), C="PDT1", E="VPN1")
    return Folder(root), zones


def with_polygons() -> Folder:
    """Three zones as polygons."""
    folder, zones = _with_zones()
    for code, shape in (("0", TOP), ("1", EAST), ("2", LOW)):
        add_polygon(zones[code], shape, "2")
    return folder


def codes() -> np.ndarray:
    """Code of each cell of 10 m, the southernmost row first; 0 outside the field and with boom off."""
    cells = np.zeros((CELLS, CELLS), dtype=np.uint8)
    cells[:15, :15], cells[:15, 15:] = 2, 1
    return cells


def with_grid(kind: int) -> Folder:
    """Three zones as cells: their codes (type 1), or the raw values of zone 2's product (type 2)."""
    folder, _ = _with_zones()
    raw = np.array([0, RAW_15, RAW_20], dtype="<i4")
    content = codes().tobytes() if kind == 1 else raw[codes()].tobytes()
    corner = {"A": f"{SOUTH:.9f}", "B": f"{WEST:.9f}"}
    size = {"C": f"{10 * NORTH_DEG_PER_M:.9f}", "D": f"{10 * EAST_DEG_PER_M:.9f}"}
    counts = {"E": str(CELLS), "F": str(CELLS), "G": "GRD00001", "H": str(len(content)), "I": str(kind)}
    add(folder.one("TSK"), "GRD", **corner, **size, **counts, **({"J": "2"} if kind == 2 else {}))
    folder.files["GRD00001.BIN"] = content
    return folder


def metres_box(west: float, south: float, east: float, north: float) -> Polygon:
    """Give a box in degrees from metres."""
    return box(*at(west, south), *at(east, north))
