"""A planter's file against a field: its records of that field, and the blocks that follow from them."""

import gc
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
import numpy.typing as npt
import shapely

from zoning.errors import InputError
from zoning.evidence import number
from zoning.inputs import area, dates, files, vector
from zoning.inputs.given import Area
from zoning.inputs.grid import Grid
from zoning.inputs.ground import boundary
from zoning.inputs.planted import planting
from zoning.inputs.planted.brought import asked as of_file
from zoning.inputs.planted.brought import counts
from zoning.inputs.planted.brought import read as brought
from zoning.inputs.planted.brought.asked import POPULATION, Typed
from zoning.inputs.planted.brought.given import Sowings
from zoning.inputs.planted.planting import Planted
from zoning.inputs.planted.sown import Place
from zoning.settings.model import Settings
from zoning.settings.read import load
from zoning.words import Said

_DECIMALS = 9  # of a degree: a tenth of a millimetre
_POLYGON = 2  # dimensions of a shape with an area
Shapes = vector.Shapes


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Preview:
    """What would be written, and what `run` would make of it.

    `sowings` are the records of this field, in the file's order, `rows` their columns as [planting] names
    them; `of_file` counts all that have a place and were planted. `lonlat` are their shapes in EPSG:4326,
    `at_m` in the plane `epsg`.
    """

    settings: Settings
    on: date
    epsg: int
    outline: Area
    sowings: Sowings
    rows: tuple[dict[str, object], ...]
    of_file: int
    lonlat: Shapes
    at_m: Shapes
    planted: Planted

    @property
    def notes(self) -> tuple[Said, ...]:
        """What is doubtful, of the file and of its blocks."""
        file, of_field = self.sowings.file, len(self.rows)
        left_out = self.of_file - of_field
        told = [Said("brought.elsewhere", file=file, count=left_out, whole=self.of_file)] if left_out else []
        return (*self.sowings.notes, *told, *self.planted.notes)

    def days(self) -> dict[str, int]:
        """Count the records of each day, in the order of the days."""
        stamps = (str(one)[:10] for one in self.sowings.cells["date"] if one is not None)
        return dict(sorted(Counter(stamps).items()))

    def varieties(self) -> dict[str, float]:
        """Give the share of each variety: of the ground of polygons, else of the records; "" for none."""
        is_drawn = bool((shapely.get_dimensions(self.at_m) == _POLYGON).all())
        weights = shapely.area(self.at_m) if is_drawn else np.ones(len(self.rows))
        names = self.sowings.cells.get("variety", (None,) * len(self.rows))
        found: Counter[str] = Counter()
        for name, weight in zip(names, weights.tolist(), strict=True):
            found[str(name or "")] += weight
        whole = sum(found.values())
        return {name: weight / whole for name, weight in found.most_common()}

    def population_ac(self) -> float | None:
        """Give the median population, None where none is known. [seeds/ac]."""
        good = self.sowings.population_ac[counts.is_planted(self.sowings.population_ac)]
        return float(np.median(good)) if len(good) else None


def preview(folder: Path, path: Path, typed: Typed, *, today: date | None, clock: date) -> Preview:
    """Read a planter's file, and make the blocks of a field from it; nothing is written.

    Parameters
    ----------
    folder : Path
        The field.
    path : Path
        The planter's file, or a folder of task data.
    typed : Typed
        Columns, units and tasks, as typed.
    today : date or None
        Else the settings' `as_of`, else `clock`.
    clock : date

    Returns
    -------
    Preview

    Raises
    ------
    InputError
        Exit 2: settings, options, a missing file. Exit 3: what is wrong with the boundary or the file, dates
        of another season, a file of another place.
    """
    settings = load(folder)
    with _uncollected():
        return _preview(settings, path, typed, today or settings.as_of or clock)


def _preview(settings: Settings, path: Path, typed: Typed, on: date) -> Preview:
    edge_file = settings.boundary.file
    edge = boundary.read(files.find(settings, "boundary.file", edge_file), edge_file)
    asked = of_file.asked_of(settings, typed, dates.clock(settings.time_zone, edge.longitude_deg))
    whole = brought.read(path, files.name_in(settings, path), asked)
    shapes = area.reproject(whole.shapes, area.LONLAT, edge.epsg)
    here = _of_field(shapes, edge.area, whole.file)
    sowings = whole.those(here)
    lonlat = _rounded(sowings.shapes)
    rows = _rows(sowings, settings)
    place = Place(settings=settings, boundary=edge, today=on)
    grid = Grid.covering(edge.area.bounds, edge.epsg, settings.zones.cell_m)
    layer = vector.of_lonlat(lonlat, sowings.file, rows, sowings.row.tolist())
    return Preview(
        settings=settings,
        on=on,
        epsg=edge.epsg,
        outline=edge.area,
        sowings=sowings,
        rows=rows,
        of_file=len(whole.row),
        lonlat=lonlat,
        at_m=shapes[here],
        planted=planting.of_vector(place, grid, layer),
    )


@contextmanager
def _uncollected() -> Iterator[None]:
    """Look for no rings of objects meanwhile: many records make none, and looking takes as long again."""
    is_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if is_on:
            gc.enable()


def _of_field(shapes: Shapes, whole: Area, file: str) -> npt.NDArray[np.bool_]:
    """Tell which records are of the field: those inside or, where there are none, those near it."""
    shapely.prepare(whole)
    reached = np.isfinite(shapely.bounds(shapes)).all(axis=1)  # the plane does not reach everywhere
    near = np.zeros(len(shapes), dtype=np.bool_)
    for reach_m in (number("inputs.sliver_width_m"), number("inputs.planting_far_m")):
        near[reached] = shapely.dwithin(shapes[reached], whole, reach_m)
        if near.any():
            return near
    mend = "Check that it is of this field, and that its longitude and latitude are not exchanged."
    raise InputError("none of its records lies in the field", where=file, mend=mend)


def _rounded(shapes: Shapes) -> Shapes:
    """Round corners as they are written, so that what is shown is what will be read."""
    return np.asarray(shapely.transform(shapes, lambda at: np.round(at, _DECIMALS)), dtype=object)


def _rows(sowings: Sowings, settings: Settings) -> tuple[dict[str, object], ...]:
    """Give each record its columns, under the names that [planting] reads."""
    planting_of = settings.planting
    names = {
        "date": planting_of.date_column,
        "emerged": planting_of.emerged_column,
        "group": planting_of.group_column,
        "variety": planting_of.variety_column,
        "yield": planting_of.yield_column,
    }
    columns: dict[str, list[object]] = {
        names[role]: list(cells) for role, cells in sowings.cells.items() if role in names
    }
    if np.isfinite(sowings.population_ac).any():
        columns[POPULATION] = [
            None if np.isnan(one) else round(one) for one in sowings.population_ac.tolist()
        ]
    return tuple(dict(zip(columns, cells, strict=True)) for cells in zip(*columns.values(), strict=True))
