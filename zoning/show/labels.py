"""Where on a panel the label of each zone stands, so that it covers neither another nor a border.

Works in pixels on plain shapes; draws nothing. Text is measured by whoever calls.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from zoning.plan import Area
from zoning.show.panels import Patch

# Tried in this order: lines of the label and size. [points]
_TRIES = (("two", 8.5), ("one", 8.5), ("two", 7.0), ("one", 7.0), ("number", 7.0), ("number", 6.0))
_AGAIN = 7.0  # size of the number in further parts of a zone [points]
_INSIDE = 0.995  # share of the label's box that must lie in its zone
_LEAST_INSIDE = 0.6  # the same for the last try
_SPOTS = 7  # a side of the grid of further places that are tried

Measure = Callable[[str, float], tuple[float, float]]  # text, points -> width, height in pixels


@dataclass(frozen=True, slots=True)
class Label:
    """A placed label; `x`, `y` is its middle. [pixel]."""

    patch: Patch
    text: str
    size: float
    x: float
    y: float


def _text(patch: Patch, lines: str) -> str:
    if lines == "number" or not patch.value:
        return str(patch.zone)
    return f"{patch.zone}{chr(10) if lines == 'two' else ' · '}{patch.value}"


def _middle(part: Area) -> np.ndarray:
    """Give the middle of the widest place of a part, shape (1, 2)."""
    return shapely.get_coordinates(shapely.maximum_inscribed_circle(part, tolerance=2.0))[:1]


def _spots(shape: Area) -> np.ndarray:
    """Places to try, best first: the middles of the widest parts, then a grid of points inside."""
    parts = sorted(shapely.get_parts(shape), key=lambda part: -part.area)[:4]
    middles = [_middle(part) for part in parts]
    west, south, east, north = shape.bounds
    share = (np.arange(_SPOTS) + 0.5) / _SPOTS
    x, y = np.meshgrid(west + share * (east - west), south + share * (north - south))
    grid = np.column_stack([x.ravel(), y.ravel()])
    grid = grid[shapely.contains_xy(shape, grid)]
    room = shapely.distance(shapely.boundary(shape), np.asarray(shapely.points(grid)))
    return np.vstack([*middles, grid[np.argsort(-room, kind="stable")]])


def _boxes(spots: np.ndarray, width: float, height: float) -> np.ndarray:
    return shapely.box(
        spots[:, 0] - width / 2, spots[:, 1] - height / 2, spots[:, 0] + width / 2, spots[:, 1] + height / 2
    )


def place(patches: Sequence[Patch], shapes: Sequence[Area], measure: Measure) -> tuple[Label, ...]:
    """Place the labels of a panel, large zones first.

    Parameters
    ----------
    patches : sequence of Patch
        Zones with what is to be said of each.
    shapes : sequence of Polygon or MultiPolygon
        Their outlines on the picture. [pixel]
    measure : callable
        Text and size in points to width and height. [pixel]

    Returns
    -------
    tuple of Label
        One a zone, unless it is too small for its number; then the number again in every other part of a
        zone that has room for it.
    """
    placed: list[Label] = []
    taken: list[shapely.Geometry] = []
    for index in sorted(range(len(patches)), key=lambda one: -shapes[one].area):
        patch, shape = patches[index], shapes[index]
        shapely.prepare(shape)
        spots = _spots(shape)
        for turn, (lines, size) in enumerate(_TRIES):
            text = _text(patch, lines)
            boxes = _boxes(spots, *measure(text, size))
            share = shapely.area(shapely.intersection(boxes, shape)) / shapely.area(boxes)
            if taken:
                share[shapely.intersects(boxes, shapely.union_all(taken))] = 0.0
            last = turn == len(_TRIES) - 1
            good = np.flatnonzero(share >= _INSIDE)
            best = int(good[0]) if good.size else int(np.argmax(share))
            if share[best] >= (_LEAST_INSIDE if last else _INSIDE):
                placed.append(Label(patch, text, size, *map(float, spots[best])))
                taken.append(boxes[best])
                break
    return (*placed, *_again(patches, shapes, measure, taken))


def _again(
    patches: Sequence[Patch], shapes: Sequence[Area], measure: Measure, taken: Sequence[shapely.Geometry]
) -> Iterator[Label]:
    """Give further labels: the number in each part of a zone that no label stands in."""
    for patch, shape in zip(patches, shapes, strict=True):
        for part in shapely.get_parts(shape):
            if any(part.intersects(box) for box in taken):
                continue
            spot = _middle(part)
            if part.contains(_boxes(spot, *measure(str(patch.zone), _AGAIN))[0]):
                yield Label(patch, str(patch.zone), _AGAIN, *map(float, spot[0]))
