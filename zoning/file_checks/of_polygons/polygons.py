"""What all vector formats have: rows of rings with their values, parsed without a library that mends them."""

from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

import numpy as np
import numpy.typing as npt
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from zoning.file_checks.formats import Field
from zoning.file_checks.of_polygons.plane import Plane

FloatArray = npt.NDArray[np.float64]


_WIDEST_DEG = 360.0  # beyond it nothing can be measured; what is wrong there is told by the range


@dataclass(frozen=True, slots=True, eq=False)
class Ring:
    """One ring as it stands in the file: its points (n, 2) as lon, lat; whether it is a hole; its part."""

    points: FloatArray
    is_hole: bool
    part: int = 0

    @property
    def is_closed(self) -> bool:
        """Say whether the last point repeats the first."""
        return len(self.points) > 0 and bool(np.array_equal(self.points[0], self.points[-1]))

    @property
    def is_measurable(self) -> bool:
        """Say whether every point is a finite pair of degrees, or of what may be degrees in wrong order."""
        with np.errstate(invalid="ignore"):
            return bool((np.abs(self.points) <= _WIDEST_DEG).all())

    @property
    def doubled_area(self) -> float:
        """Twice the signed area in square degrees: above 0 counter-clockwise."""
        if len(self.points) < 3 or not self.is_measurable:
            return 0.0
        east, north = (self.points - self.points[0]).T
        return float(np.sum(east * np.roll(north, -1) - np.roll(east, -1) * north))


@dataclass(frozen=True, eq=False)
class Row:
    """One row: its name ("row 3"), its rings, and the rate that it asks for (None: no value)."""

    name: str
    rings: tuple[Ring, ...]
    rate: float | None = None

    @property
    def parts(self) -> int:
        """Count its outer rings."""
        return sum(not ring.is_hole for ring in self.rings)

    @cached_property
    def shape(self) -> Polygon | MultiPolygon | None:
        """Build the shape, valid or not; None where its rings cannot be measured."""
        if any(len(ring.points) < 4 or not ring.is_measurable for ring in self.rings):
            return None
        parts = []
        for _, group in groupby(self.rings, key=lambda ring: ring.part):
            rings = list(group)
            shells = [ring.points for ring in rings if not ring.is_hole]
            if len(shells) != 1:
                return None
            parts.append(Polygon(shells[0], [ring.points for ring in rings if ring.is_hole]))
        if not parts:
            return None
        return parts[0] if len(parts) == 1 else MultiPolygon(parts)


@dataclass(frozen=True, eq=False)
class Polygons:
    """One layer of polygons, for the rules of `geometry.py`, `ground.py` and `rates.py`.

    Parameters
    ----------
    rows : tuple of Row
        In the order of the file.
    outer_clockwise : bool or None
        How the format wants outer rings to run; None: it does not ask.
    field : Polygon, MultiPolygon or None
        The field, where it is known.
    rate_unit : str
        "gal/ac", "L/ha", or "" where it is not known.
    rate_decimals : int
        Most decimals of a rate as it is written, where that can be told.
    """

    rows: tuple[Row, ...]
    outer_clockwise: bool | None = None
    field: Field = None
    rate_unit: str = ""
    rate_decimals: int = 0

    @cached_property
    def valid(self) -> tuple[tuple[Row, Polygon | MultiPolygon], ...]:
        """Rows with a shape that can be measured, for the rules about areas."""
        made = ((row, row.shape) for row in self.rows)
        return tuple(
            (row, shape) for row, shape in made if shape is not None and shape.is_valid and not shape.is_empty
        )

    @property
    def is_whole(self) -> bool:
        """Say whether every row can be measured: else gaps would be those of rows that are broken."""
        return len(self.rows) > 0 and len(self.valid) == len(self.rows)

    @cached_property
    def union(self) -> BaseGeometry:
        """All ground that valid rows cover."""
        return shapely.union_all([shape for _, shape in self.valid])

    @property
    def ground(self) -> Field:
        """That ground as a field, None where a row cannot be measured or nothing is covered."""
        return self.union if self.is_whole and isinstance(self.union, Polygon | MultiPolygon) else None

    @cached_property
    def plane(self) -> Plane:
        """The metres around its middle."""
        west, south, east, north = shapely.total_bounds([shape for _, shape in self.valid])
        return Plane.around((west + east) / 2, (south + north) / 2)
