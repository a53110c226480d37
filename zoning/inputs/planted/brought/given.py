"""A planter's file as it was opened, and the sowings that were read from it. Values only."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
import numpy.typing as npt

from zoning.inputs.grid import Floats
from zoning.inputs.harvest.points.rows import Rows
from zoning.inputs.vector import Shapes
from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Opened:
    """A file as columns: `shapes` in EPSG:4326 of each row, or None where columns hold the places.

    `known` are places of columns whose role the format says, `is_off` tells at which rows the planter was
    off, where the format says it, `kind` is how the format is called, `tasks` which tasks of task data were
    taken, and `paths` the files that were read.
    """

    rows: Rows
    shapes: Shapes | None
    kind: str
    paths: tuple[Path, ...]
    known: Mapping[str, int] = field(default_factory=dict)
    is_off: npt.NDArray[np.bool_] | None = None
    tasks: tuple[str, ...] = ()
    notes: tuple[Said, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What one role was taken from: a column, how it was found, and its first and last value as read.

    `unit` is that of a population; `source` says who says the unit.
    """

    role: str
    column: str
    how: str
    first: str
    last: str
    unit: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sowings:
    """What a planter's file says, a row each: places in EPSG:4326, and cells as [planting] reads them.

    `row` is the line of a table or the number of a shape or record. Cells are None where nothing stands;
    a role that was not found has no entry in `cells`. `population_ac` is seeds per acre, or NaN.
    """

    file: str
    kind: str
    shapes: Shapes
    row: npt.NDArray[np.int64]
    cells: Mapping[str, tuple[str | float | None, ...]]
    population_ac: Floats
    taken: tuple[Taken, ...]
    tasks: tuple[str, ...]
    paths: tuple[Path, ...]
    notes: tuple[Said, ...]

    def those(self, keep: npt.NDArray[np.bool_]) -> "Sowings":
        """Keep some of the rows."""
        if keep.all():
            return self
        at = np.flatnonzero(keep).tolist()
        return replace(
            self,
            shapes=self.shapes[keep],
            row=self.row[keep],
            cells={role: tuple(cells[one] for one in at) for role, cells in self.cells.items()},
            population_ac=self.population_ac[keep],
        )
