"""Where on a panel the label of each zone stands, so that it covers neither another, a border nor a mark.

Works in pixels on plain shapes; draws nothing. Text is measured by whoever calls.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from zoning.plan import Area
from zoning.show.panels import Patch

# Tried in this order: what the label says and its size. [points]
_TRIES = (
    ("full", 8.5),
    ("full", 7.0),
    ("two", 8.5),
    ("bare", 8.5),
    ("one", 8.5),
    ("two", 7.0),
    ("bare", 7.0),
    ("one", 7.0),
)
_LAST_TRIES = (("number", 7.0), ("number", 6.0))
_AGAIN = 7.0  # size of the number in further parts of a zone [points]
_WORD_SIZES = (8.5, 7.0, 6.0)  # of a word on ground that is in no zone [points]
_INSIDE = 1.0  # share of the label's box that must lie in its zone
_LEAST_INSIDE = 0.6  # the same for the last try
_SPOTS = 13  # a side of the grid of further places that are tried

Measure = Callable[[str, float], tuple[float, float]]  # text, points -> width, height in pixels


@dataclass(frozen=True, slots=True)
class Label:
    """A placed label; `x`, `y` is its middle, `box` what it covers. [pixel]."""

    patch: Patch
    text: str
    size: float
    x: float
    y: float
    box: shapely.Geometry


def _text(patch: Patch, lines: str) -> str:
    if lines == "number" or not patch.value:
        return str(patch.zone)
    if lines == "one":
        return f"{patch.zone} · {patch.value}"
    first = f"{patch.zone} {patch.beside}" if patch.beside and lines != "bare" else f"{patch.zone}"
    return "\n".join([first, patch.value, *([patch.more] if lines == "full" else [])])


def _tries(patch: Patch, avoid: bool) -> Iterator[tuple[str, float, bool, float]]:
    """List what is tried for a label: text, size, whether marks stay free, and share that must lie inside.

    A value that covers a mark is worth more than a mark; a number alone is not worth more than the value.
    """
    for tries in (_TRIES, _LAST_TRIES):
        for free in (True, False) if avoid else (False,):
            for lines, size in tries:
                if lines == "full" and not patch.more:
                    continue
                last = not free and (lines, size) == _LAST_TRIES[-1]
                yield _text(patch, lines), size, free, _LEAST_INSIDE if last else _INSIDE


def _middle(part: Area) -> np.ndarray:
    """Give the middle of the widest place of a part, shape (1, 2)."""
    return shapely.get_coordinates(shapely.maximum_inscribed_circle(part, tolerance=2.0))[:1]


def _spots(shape: Area, marks: shapely.Geometry) -> np.ndarray:
    """Places to try, best first: the middles of the widest parts, then a grid of points inside.

    Where there are marks, the largest part comes whole before the others, its points far from marks first.
    """
    parts = sorted(shapely.get_parts(shape), key=lambda part: -part.area)[:4]
    middles = np.vstack([_middle(part) for part in parts])
    west, south, east, north = shape.bounds
    share = (np.arange(_SPOTS) + 0.5) / _SPOTS
    x, y = np.meshgrid(west + share * (east - west), south + share * (north - south))
    grid = np.column_stack([x.ravel(), y.ravel()])
    grid = grid[shapely.contains_xy(shape, grid)]
    around = shapely.union_all([shapely.boundary(shape), marks])
    room = shapely.distance(around, np.asarray(shapely.points(grid)))
    if not shape.intersects(marks):
        return np.vstack([middles, grid[np.argsort(-room, kind="stable")]])
    elsewhere = ~shapely.contains_xy(parts[0], grid)
    return np.vstack([middles[:1], grid[np.lexsort((-room, elsewhere))], middles[1:]])


def _boxes(spots: np.ndarray, width: float, height: float) -> np.ndarray:
    return shapely.box(
        spots[:, 0] - width / 2, spots[:, 1] - height / 2, spots[:, 0] + width / 2, spots[:, 1] + height / 2
    )


def _share_inside(boxes: np.ndarray, shape: Area, least: float) -> np.ndarray:
    """Share of each box inside a shape; only whether it lies there whole where no less will do."""
    if least == _INSIDE:
        return np.asarray(shapely.covers(shape, boxes), dtype=np.float64)
    return np.asarray(shapely.area(shapely.intersection(boxes, shape)) / shapely.area(boxes))


def place(
    patches: Sequence[Patch],
    shapes: Sequence[Area],
    measure: Measure,
    marks: Sequence[shapely.Geometry] = (),
) -> tuple[Label, ...]:
    """Place the labels of a panel, large zones first.

    Parameters
    ----------
    patches : sequence of Patch
        Zones with what is to be said of each.
    shapes : sequence of Polygon or MultiPolygon
        Their outlines on the picture. [pixel]
    measure : callable
        Text and size in points to width and height. [pixel]
    marks : sequence of geometry
        What no label should cover; one does only where its zone has no other place for what it says. [pixel]

    Returns
    -------
    tuple of Label
        One a zone, unless it is too small for its number; then the number again in every other part of a
        zone that has room for it.
    """
    placed: list[Label] = []
    union = shapely.union_all(list(marks))
    for index in sorted(range(len(patches)), key=lambda one: -shapes[one].area):
        patch, shape = patches[index], shapes[index]
        shapely.prepare(shape)
        spots = _spots(shape, union)
        taken = shapely.union_all([label.box for label in placed])
        for text, size, free, least in _tries(patch, avoid=shape.intersects(union)):
            boxes = _boxes(spots, *measure(text, size))
            share = _share_inside(boxes, shape, least)
            share[shapely.intersects(boxes, taken)] = 0.0
            if free:
                share[shapely.intersects(boxes, union)] = 0.0
            good = np.flatnonzero(share >= _INSIDE)
            best = int(good[0]) if good.size else int(np.argmax(share))
            if share[best] >= least:
                x, y = spots[best].tolist()
                placed.append(Label(patch, text, size, x, y, boxes[best]))
                break
    return (*placed, *_again(patches, shapes, measure, placed, union))


@dataclass(frozen=True, slots=True)
class Word:
    """A word on ground that is in no zone; `x`, `y` is its middle. [pixel]."""

    text: str
    size: float
    x: float
    y: float


def place_words(
    words: Sequence[str], shapes: Sequence[Area], measure: Measure, taken: shapely.Geometry
) -> Iterator[Word]:
    """Place a word in each part of its shape that has room for it beside what is taken. [pixel]."""
    for text, shape in zip(words, shapes, strict=True):
        for part in shapely.get_parts(shape):
            shapely.prepare(part)
            spots = _spots(part, taken)
            for size in _WORD_SIZES:
                boxes = _boxes(spots, *measure(text, size))
                good = np.flatnonzero(shapely.contains(part, boxes) & ~shapely.intersects(boxes, taken))
                if good.size:
                    x, y = spots[good[0]].tolist()
                    yield Word(text, size, x, y)
                    break


def _again(
    patches: Sequence[Patch],
    shapes: Sequence[Area],
    measure: Measure,
    placed: Sequence[Label],
    marks: shapely.Geometry,
) -> Iterator[Label]:
    """Give further labels: the number in each part of a zone that no label stands in."""
    for patch, shape in zip(patches, shapes, strict=True):
        for part in shapely.get_parts(shape):
            if any(part.intersects(label.box) for label in placed):
                continue
            shapely.prepare(part)
            spots = _spots(part, marks)
            boxes = _boxes(spots, *measure(str(patch.zone), _AGAIN))
            good = np.flatnonzero(shapely.contains(part, boxes) & ~shapely.intersects(boxes, marks))
            if good.size:
                x, y = spots[good[0]].tolist()
                yield Label(patch, str(patch.zone), _AGAIN, x, y, boxes[good[0]])
