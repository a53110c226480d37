"""What all vector formats have: rows of rings with their values, parsed without a library that mends them."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

import numpy as np
import numpy.typing as npt
import shapely
from shapely import MultiPolygon, Polygon

FloatArray = npt.NDArray[np.float64]


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
    def doubled_area(self) -> float:
        """Twice the signed area in square degrees: above 0 counter-clockwise."""
        if len(self.points) < 3 or not np.isfinite(self.points).all():
            return 0.0
        east, north = (self.points - self.points[0]).T
        return float(np.sum(east * np.roll(north, -1) - np.roll(east, -1) * north))


@dataclass(frozen=True, eq=False)
class Row:
    """One row, numbered from 1: its rings, and the rate that it asks for (None: no value; NaN stays NaN)."""

    number: int
    rings: tuple[Ring, ...]
    rate: float | None = None

    @cached_property
    def shape(self) -> Polygon | MultiPolygon | None:
        """Build the shape, valid or not; None where its rings are too short or not finite."""
        parts = []
        for _, group in groupby(self.rings, key=lambda ring: ring.part):
            rings = list(group)
            if any(len(ring.points) < 4 or not np.isfinite(ring.points).all() for ring in rings):
                return None
            shells = [ring.points for ring in rings if not ring.is_hole]
            if len(shells) != 1:
                return None
            parts.append(Polygon(shells[0], [ring.points for ring in rings if ring.is_hole]))
        if not parts:
            return None
        return parts[0] if len(parts) == 1 else MultiPolygon(parts)


@dataclass(frozen=True, eq=False)
class Polygons:
    """One layer of polygons, for the rules of `geometry.py` and `rates.py`.

    Parameters
    ----------
    rows : tuple of Row
        In the order of the file.
    outer_clockwise : bool or None
        How the format wants outer rings to run; None: it does not ask.
    field : Polygon, MultiPolygon or None
        The field, where it is known.
    rate_column : str
        Its name, "" where there is none.
    columns : mapping of str to type name
        All columns.
    """

    rows: tuple[Row, ...]
    outer_clockwise: bool | None = None
    field: Polygon | MultiPolygon | None = None
    rate_column: str = ""
    columns: Mapping[str, str] | None = None

    @cached_property
    def valid(self) -> tuple[tuple[Row, Polygon | MultiPolygon], ...]:
        """Rows with a shape that can be measured, for the rules about areas."""
        made = ((row, row.shape) for row in self.rows)
        return tuple(
            (row, shape) for row, shape in made if shape is not None and shape.is_valid and not shape.is_empty
        )

    @cached_property
    def union(self) -> Polygon | MultiPolygon:
        """All ground that valid rows cover."""
        covered = shapely.union_all([shape for _, shape in self.valid])
        return covered if isinstance(covered, Polygon | MultiPolygon) else MultiPolygon()
