"""A planter's file opened, whatever its format: shapes, a table, task data, or a zip with one of them."""

import os
from dataclasses import replace
from pathlib import Path

import numpy as np

from zoning.errors import SETTINGS, WORLD, InputError, raise_all
from zoning.evidence import number
from zoning.inputs import files, vector
from zoning.inputs.grid import Floats
from zoning.inputs.harvest.points import rows as table_rows
from zoning.inputs.harvest.points.rows import TABLES, Rows
from zoning.inputs.planted.brought import packed
from zoning.inputs.planted.brought.asked import Asked
from zoning.inputs.planted.brought.given import Opened
from zoning.inputs.planted.brought.taskdata import folder as task_folder
from zoning.inputs.planted.brought.taskdata import read as task_data
from zoning.settings.names import odd_letters

_KINDS = {"GeoJSON": "GeoJSON", "GPKG": "GeoPackage", "ESRI Shapefile": "shapefile"}
_KNOWN = "CSV (.csv), shapefile (.shp or .zip), GeoPackage (.gpkg), GeoJSON (.geojson) or a TASKDATA folder"


def read(path: Path, file: str, asked: Asked) -> Opened:
    """Read every row of a planter's file.

    Parameters
    ----------
    path : Path
        A file, or a folder of task data.
    file : str
        How the user calls it.
    asked : Asked

    Raises
    ------
    InputError
        No such file, an unknown format, tasks of which nobody says which (exit 2); empty, too large, not what
        its name says (exit 3); no permission to read it (exit 4).
    """
    raise_all(odd_letters([path.name]))
    if path.is_dir():
        return task_data.read(task_folder.of_folder(path, file), asked)
    _check(path, file)
    ending = path.suffix.lower()
    if ending == ".xml":
        return task_data.read(task_folder.of_folder(path.parent, file, path.name), asked)
    if ending != ".zip":
        return _of_file(path, file)
    zipped = packed.Zip(path, file)
    if zipped.holds_task_data():
        return task_data.read(task_folder.of_zip(zipped, path), asked)
    with zipped.unpacked() as inner:
        return replace(_of_file(inner, file), paths=(path,))


def _check(path: Path, file: str) -> None:
    mend = f"Name a {_KNOWN}."
    if not path.exists():
        raise InputError("there is no such file", where=file, mend=mend, code=SETTINGS)
    if not path.is_file():
        raise InputError("this is a pipe or a device, not a file", where=file, mend=mend, code=SETTINGS)
    if not os.access(path, os.R_OK):
        mend = "Get permission to read it, and run again."
        raise InputError("you are not allowed to read the file", where=file, mend=mend, code=WORLD)
    size_mb = path.stat().st_size / packed.BYTES_PER_MB
    if not size_mb:
        raise InputError("the file is empty", where=file, mend="Export it again.")
    if size_mb > number("inputs.planter_most_mb"):
        what = f"the file has {size_mb:,.0f} MB, more than is read"
        raise InputError(what, where=file, mend="Export one field only.")


def _of_file(path: Path, file: str) -> Opened:
    ending = path.suffix.lower()
    if ending in TABLES:
        found = table_rows.read(path, file, 0)
        return Opened(rows=found, shapes=None, kind="table", paths=(path,))
    if ending not in vector.DRIVERS:
        what = f'a file that ends with "{path.suffix}" is not read here'
        raise InputError(what, where=file, mend=f"Name a {_KNOWN}.", code=SETTINGS)
    found_there = vector.read(path, file, layer="planting")
    shapes = np.array([feature.shape for feature in found_there.features], dtype=object)
    lonlat = found_there.lonlat if len(found_there.lonlat) == len(shapes) else shapes
    return Opened(
        rows=_columns(found_there),
        shapes=lonlat,
        kind=_KINDS[vector.DRIVERS[ending]],
        paths=tuple(one for one in files.parts(path) if one.is_file()),
    )


def _columns(found: vector.Vector) -> Rows:
    """Give the cells of shapes by columns: numbers where all of a column are, else texts."""
    names = tuple(found.features[0].columns)
    return Rows(
        file=found.file,
        names=names,
        row=np.array([feature.number for feature in found.features], dtype=np.int64),
        columns=tuple(_cells([feature.columns[name] for feature in found.features]) for name in names),
        is_table=False,
    )


def _cells(cells: list[object]) -> Floats | tuple[str, ...]:
    if all(one is None or (isinstance(one, int | float) and not isinstance(one, bool)) for one in cells):
        return np.array([np.nan if one is None else one for one in cells], dtype=np.float64)
    return tuple("" if one is None else str(one).strip() for one in cells)
