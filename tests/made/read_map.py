"""The page's map read back: its paths as shapes, its labels with the boxes that they cover."""

import re
from dataclasses import dataclass
from functools import cache
from xml.etree import ElementTree

import matplotlib
import numpy as np
import shapely
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

STEP = re.compile(r"([MmlLz])|(-?\d+(?:\.\d+)?)")


def tree(svg: str) -> ElementTree.Element:
    """Parse a map; a broken one raises."""
    return ElementTree.fromstring(svg.replace('xmlns="http://www.w3.org/2000/svg" ', ""))


def rings(d: str) -> list[np.ndarray]:
    """Corners of each ring of a path that is made of M, l and z only."""
    found, numbers = [], []

    def closed() -> None:
        if numbers:
            steps = np.array(numbers, dtype=float).reshape(-1, 2)
            found.append(np.cumsum(steps, axis=0))
            numbers.clear()

    for command, number in STEP.findall(d):
        if command == "M" or command == "z":
            closed()
        elif number:
            numbers.append(float(number))
    closed()
    return found


def shape(d: str):
    """What a path fills by the rule "evenodd"."""
    filled = shapely.Polygon()
    for ring in rings(d):
        if len(ring) > 2:
            filled = shapely.symmetric_difference(filled, shapely.make_valid(shapely.Polygon(ring)))
    return filled


def zones(svg: str) -> dict[int, shapely.Geometry]:
    """Zone number -> what its path fills."""
    return {
        int(one.get("id").removeprefix("map-z")): shape(one.get("d"))
        for one in tree(svg).iter("path")
        if (one.get("id") or "").startswith("map-z")
    }


@dataclass(frozen=True)
class Written:
    """A label: whose it is, its lines, and what they cover."""

    of: str
    lines: tuple[str, ...]
    box: shapely.Geometry


@cache
def _wide(text: str) -> float:
    """Width in units of the size, in the font that print uses; other fonts are narrower."""
    with matplotlib.rc_context({"text.parse_math": False}):
        font = FontProperties(family="DejaVu Sans", weight="bold")
        return float(TextPath((0, 0), text, size=100, prop=font).get_extents().width) / 100


def labels(svg: str) -> list[Written]:
    """Give all labels of a map."""
    group = next(one for one in tree(svg).iter("g") if one.get("id") == "map-labels")
    size = float(group.get("font-size"))
    found = []
    for one in group.iter("text"):
        boxes, lines = [], []
        for line in one.iter("tspan"):
            x, y, wide = float(line.get("x")), float(line.get("y")), _wide(line.text) * size
            boxes.append(
                shapely.box(x - wide / 2, y - 0.73 * size, x + wide / 2, y)
            )  # capitals are 0.73 high
            lines.append(line.text)
        name = one.get("data-of") or one.get("data-strip")
        found.append(Written(name, tuple(lines), shapely.box(*shapely.total_bounds(boxes))))
    return found
