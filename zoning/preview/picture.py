"""What one picture shows, as data: shapes, cells, dots and words in metres. Draws nothing, reads nothing."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from shapely.geometry.base import BaseGeometry

from zoning import colours
from zoning.inputs.grid import Floats, Grid

Bools = npt.NDArray[np.bool_]
Bounds = tuple[float, float, float, float]
ROOM = (4.45, 3.66)  # width and height of the map of a picture [inch]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shape:
    """A polygon or a line; `word` stands in its middle."""

    outline: BaseGeometry
    fill: str = ""
    edge: str = colours.INK
    width: float = 0.8
    hatch: str = ""
    dashed: bool = False
    word: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cells:
    """Numbers on squares: NaN is not known; `hidden` was measured, and a mask leaves it out.

    Colours run from `low` to `high`; what lies beyond has the colour of the end. What is not `shown` was
    never meant to be known, as the ground around a field.
    """

    values: Floats
    grid: Grid
    low: float
    high: float
    unit: str = ""
    hidden: Bools | None = None
    shown: Bools | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Dots:
    """Points with a colour each; `at_m` has the shape (n, 2), `size` and `rim` are in points of type."""

    at_m: Floats
    fills: Sequence[str]
    size: float = 5.0
    form: str = "o"
    rim: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One line of the legend."""

    text: str
    fill: str = ""
    edge: str = colours.INK
    hatch: str = ""
    form: str = ""  # of a dot; "-" for a line, "--" for a dashed one


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picture:
    """One picture of one input. `kind` and `name` make the name of its file, `lines` say what it shows.

    `field` is the outline that is drawn over everything, `bounds_m` what is seen of the plane.
    """

    kind: str
    name: str
    title: str
    lines: tuple[str, ...]
    field: BaseGeometry
    bounds_m: Bounds
    cells: Cells | None = None
    shapes: tuple[Shape, ...] = ()
    dots: tuple[Dots, ...] = ()
    keys: tuple[Key, ...] = ()
    north: str = "grid N"
