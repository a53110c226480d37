"""A grid of a task: its cells, decoded, and where they lie. Row 0 is the southernmost, column 0 the west."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
from affine import Affine
from shapely import MultiPolygon, Polygon

from zoning.file_checks.of_polygons.plane import Plane
from zoning.file_checks.of_polygons.polygons import FloatArray
from zoning.file_checks.taskdata.parts import (
    RAW_PER_L_HA,
    SETPOINT,
    RatedGround,
    Task,
    TaskData,
    Zone,
    dictionary_entry,
)
from zoning.file_checks.taskdata.read import Node

BY_CODE, BY_VALUE = 1, 2  # types of a grid
_BYTES_OF_A_VALUE = 4
_MOST_CELLS = 4_000_000  # beyond it the cells are not compared with the field

IntArray = npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Grid:
    """One grid with its task."""

    data: TaskData
    task: Task
    node: Node

    @cached_property
    def shape(self) -> tuple[int, int] | None:
        """Rows and columns; None where they are not told."""
        rows, columns = self.node.whole("F"), self.node.whole("E")
        return (rows, columns) if rows and columns and rows > 0 and columns > 0 else None

    @cached_property
    def corner_and_step(self) -> tuple[float, float, float, float] | None:
        """West, south, and the size of a cell to the east and to the north, in degrees; None if not told."""
        west, south = self.node.decimal("B"), self.node.decimal("A")
        east_step, north_step = self.node.decimal("D"), self.node.decimal("C")
        if west is None or south is None or not east_step or not north_step:
            return None
        if abs(west) > 180 or abs(south) > 90 or not 0 < east_step <= 1 or not 0 < north_step <= 1:
            return None
        return west, south, east_step, north_step

    @cached_property
    def extent(self) -> tuple[float, float, float, float] | None:
        """West, south, east, north in degrees."""
        if self.shape is None or self.corner_and_step is None:
            return None
        west, south, east_step, north_step = self.corner_and_step
        return west, south, west + self.shape[1] * east_step, south + self.shape[0] * north_step

    @cached_property
    def cell_m(self) -> tuple[float, float] | None:
        """Size of a cell to the east and to the north, in metres."""
        if self.corner_and_step is None:
            return None
        west, south, east_step, north_step = self.corner_and_step
        plane = Plane.around(west, south)
        return east_step * plane.east_m_per_deg, north_step * plane.north_m_per_deg

    @cached_property
    def zone_of_values(self) -> Zone | None:
        """Of type 2: the zone whose rates the cells hold."""
        code = self.node.whole("J")
        return None if code is None else self.task.by_code.get(code)

    @cached_property
    def content(self) -> bytes | None:
        """The file as it stands; None where there is none."""
        return self.data.cells(self.node)

    @cached_property
    def bytes_of_a_cell(self) -> int | None:
        """Bytes for each cell; None where the type is not known, or the zone whose rates the cells hold."""
        if self.node.whole("I") == BY_CODE:
            return 1
        zone = self.zone_of_values
        known = self.node.whole("I") == BY_VALUE and zone is not None and len(zone.rates) > 0
        return _BYTES_OF_A_VALUE * len(zone.rates) if known and zone is not None else None

    @cached_property
    def expected_bytes(self) -> int | None:
        """Size that the file should have."""
        if self.shape is None or self.bytes_of_a_cell is None:
            return None
        return self.shape[0] * self.shape[1] * self.bytes_of_a_cell

    @cached_property
    def codes(self) -> IntArray | None:
        """Of type 1: the code of each cell, the southernmost row first."""
        if self.node.whole("I") != BY_CODE or not self._is_complete or self.shape is None:
            return None
        return np.frombuffer(self.content or b"", dtype=np.uint8).astype(np.int64).reshape(self.shape)

    @cached_property
    def values(self) -> IntArray | None:
        """Of type 2: the raw value of the volume of each cell, the southernmost row first."""
        zone = self.zone_of_values
        if self.node.whole("I") != BY_VALUE or not self._is_complete or self.shape is None or zone is None:
            return None
        entries = [dictionary_entry(rate) for rate in zone.rates]
        if SETPOINT not in entries:
            return None
        all_of_them = np.frombuffer(self.content or b"", dtype="<i4").astype(np.int64)
        return all_of_them.reshape(*self.shape, len(entries))[:, :, entries.index(SETPOINT)]

    @property
    def _is_complete(self) -> bool:
        return self.content is not None and len(self.content) == self.expected_bytes

    @cached_property
    def rate_l_ha(self) -> FloatArray | None:
        """The volume of each cell; 0 where its code says nothing."""
        if self.values is not None:
            return self.values / RAW_PER_L_HA
        if self.codes is None:
            return None
        by_code = np.zeros(256)
        for code, zone in self.task.by_code.items():
            if 0 <= code < len(by_code):
                by_code[code] = zone.rate_l_ha or 0.0
        return np.asarray(by_code[self.codes], dtype=np.float64)

    @cached_property
    def is_beside(self) -> npt.NDArray[np.bool_] | None:
        """Which cells lie wholly outside the field; None where that cannot be told."""
        field = self.task.outline
        if field is None or self.extent is None or self.shape is None:
            return None
        if self.shape[0] * self.shape[1] > _MOST_CELLS:
            return None
        return beside(field, self.extent, self.shape)

    @cached_property
    def on_map(self) -> FloatArray | None:
        """What the map beside says of each cell, NaN where nothing; None where it is not to be compared."""
        ground = self.data.beside
        if self.extent is None or self.shape is None or not ground or len(self.data.tasks) != 1:
            return None
        if self.shape[0] * self.shape[1] > _MOST_CELLS:
            return None
        return _drawn(ground, self.extent, self.shape)


def beside(
    field: Polygon | MultiPolygon, extent: tuple[float, float, float, float], shape: tuple[int, int]
) -> npt.NDArray[np.bool_]:
    """Mark the cells that lie wholly outside a field, the southernmost row first."""
    return np.isnan(_drawn(((field, 1.0),), extent, shape, touched=True))


def _drawn(
    ground: RatedGround,
    extent: tuple[float, float, float, float],
    shape: tuple[int, int],
    *,
    touched: bool = False,
) -> FloatArray:
    """Give each cell the rate of the ground in which its middle lies, or that it touches, NaN elsewhere.

    Row 0 is the south.
    """
    from rasterio.features import rasterize

    west, south, east, north = extent
    step = (east - west) / shape[1], (north - south) / shape[0]
    cells = rasterize(
        ground,
        out_shape=shape,
        transform=Affine(step[0], 0, west, 0, -step[1], north),
        all_touched=touched,
        fill=np.nan,
        dtype="float64",
    )
    return np.asarray(np.flipud(cells))


def sprayed_beside(rate: FloatArray, is_beside: npt.NDArray[np.bool_]) -> tuple[int, int, int]:
    """Count sprayed cells: all, those outside the field, and those outside it if the rows were turned.

    Examples
    --------
    >>> rate = np.array([[1.0, 1.0], [0.0, 1.0]])
    >>> sprayed_beside(rate, np.array([[True, False], [False, False]]))
    (3, 1, 0)
    """
    sprayed = rate > 0
    beside = int((sprayed & is_beside).sum())
    return int(sprayed.sum()), beside, int((np.flipud(sprayed) & is_beside).sum())
