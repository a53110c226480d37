"""Square cells, north up, in a projected CRS with metres: the one grid of a field.

NaN is the only "no data" inside the project; nodata codes are translated where a file is read.
"""

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, TypeVar

import numpy as np
import numpy.typing as npt
from affine import Affine

from zoning.units import ac_from_m2

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

Floats = npt.NDArray[np.float64]
_Kind = TypeVar("_Kind", bound=np.generic)
_Of = TypeVar("_Of", bound="DataclassInstance")
_Notes = TypeVar("_Notes")


def frozen(values: npt.NDArray[_Kind]) -> npt.NDArray[_Kind]:
    """Let nobody write into an array any more, as several fields will share it."""
    values.setflags(write=False)
    return values


def frozen_in(told: tuple[_Of, _Notes]) -> tuple[_Of, _Notes]:
    """Let nobody write into the arrays of what was read and its notes any more."""
    for name in (one.name for one in fields(told[0])):
        value = getattr(told[0], name)
        if isinstance(value, np.ndarray):
            frozen(value)
    return told


@dataclass(frozen=True, slots=True)
class Grid:
    """Square cells of one size.

    Parameters
    ----------
    epsg : int
        UTM zone, as EPSG code: 32601-32660 north, 32701-32760 south.
    left_m, top_m : float
        Outer corner of the north-western cell. [m]
    cell_m : float
        Side of a cell. [m]
    shape : (int, int)
        Rows, columns.
    """

    epsg: int
    left_m: float
    top_m: float
    cell_m: float
    shape: tuple[int, int]

    @classmethod
    def covering(cls, bounds_m: tuple[float, float, float, float], epsg: int, cell_m: float) -> "Grid":
        """Build the smallest grid over west, south, east, north, snapped outwards to multiples of the cell.

        Examples
        --------
        >>> Grid.covering((1, 2, 19, 21), 32615, 10.0).shape
        (3, 2)
        """
        west, south, east, north = bounds_m
        left, top = np.floor(west / cell_m) * cell_m, np.ceil(north / cell_m) * cell_m
        shape = (int(np.ceil((top - south) / cell_m)), int(np.ceil((east - left) / cell_m)))
        return cls(epsg, float(left), float(top), cell_m, shape)

    @property
    def transform(self) -> Affine:
        """Affine transform from (column, row) to (east, north) [m]."""
        return Affine(self.cell_m, 0, self.left_m, 0, -self.cell_m, self.top_m)

    @property
    def crs(self) -> str:
        """CRS as text that every geo library reads."""
        return f"EPSG:{self.epsg}"

    @property
    def cell_ac(self) -> float:
        """Plane area of one cell [ac]."""
        return ac_from_m2(self.cell_m**2)

    def east_m(self) -> Floats:
        """Eastings of the cell centres, shape (columns,) [m]."""
        return np.asarray(self.left_m + self.cell_m * (np.arange(self.shape[1]) + 0.5), dtype=np.float64)

    def north_m(self) -> Floats:
        """Northings of the cell centres, shape (rows,) [m]."""
        return np.asarray(self.top_m - self.cell_m * (np.arange(self.shape[0]) + 0.5), dtype=np.float64)
