"""A vector file opened: its records and its CRS, or one fault in whatever way the library fails.

Does not know what a shape or a column means. No other module opens one with that library.
"""

import json
import logging
import sqlite3
import warnings
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import fiona

# The library has no public name for what it raises at a CRS that cannot be.
from fiona._err import CPLE_BaseError
from fiona.errors import FionaError

from zoning.errors import InputError
from zoning.inputs import grid_files, letters

FORMATS = {"GeoJSON": "GeoJSON", "GPKG": "GeoPackage", "ESRI Shapefile": "a shapefile"}
_CRSS = "gpkg_spatial_ref_sys"  # the table of a GeoPackage in which its CRSs are written out
LOOKS = "layer_styles"  # no layer: where desktop programs keep how the layers look
# SystemError: the library could not say what is wrong, as that holds letters that are not understood.
FAILURES = (FionaError, CPLE_BaseError, SystemError, sqlite3.Error)
CRS_FAILURES = (FionaError, CPLE_BaseError, UnboundLocalError)  # the last: it has no words for the CRS either

logging.getLogger("fiona").addHandler(logging.NullHandler())  # its complaints reach the user as InputError


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Records:
    """Shapes with their columns as the library gives them; `wkt` is "" for a file without a CRS."""

    wkt: str
    rows: list[tuple[Any, dict[str, object]]]


def read(path: Path, file: str, driver: str, choose: Callable[[list[str]], str | None]) -> Records:
    """Read every record of one layer.

    Parameters
    ----------
    path, file : Path, str
        The file, and how the user calls it.
    driver : str
        One of `FORMATS`.
    choose : callable
        Gives the layer to take, of the names of all; None where there is nothing to choose.

    Raises
    ------
    InputError
        When it cannot be opened, a record or its CRS cannot be read, or `choose` refuses.
    """
    try:
        names = layers(path, driver)
        layer = choose(names)
        with (
            warnings.catch_warnings(action="ignore"),  # as of a column without a name
            fiona.open(path, driver=driver, layer=layer) as source,
        ):
            rows = _rows(source, file)  # first: where no row can be read there is no CRS either
            return Records(wkt=_wkt(source, file), rows=rows)
    except InputError:
        raise
    except (*FAILURES, ValueError) as error:
        raise unreadable(file, driver) from error


def layers(path: Path, driver: str) -> list[str]:
    """List the layers of a GeoPackage, none of other formats.

    Raises
    ------
    FionaError, sqlite3.Error
        When it is no GeoPackage, or its tables cannot be listed: the library would not survive some of these.
    """
    if driver != "GPKG":
        return []
    try:
        _asked(path, "select name, sql from sqlite_master")
    except UnicodeDecodeError as error:  # what is wrong holds letters that are not understood
        raise sqlite3.DatabaseError("its tables cannot be listed") from error
    return [name for name in fiona.listlayers(path) if name != LOOKS]


def refuse_grid_files(path: Path, file: str, driver: str) -> None:
    """Refuse shapes whose CRS names another file: the library may open that with the first row.

    Raises
    ------
    InputError
        Also for a GeoPackage whose CRSs cannot be listed.
    """
    try:
        told = _crss(path, driver)
    except (sqlite3.Error, UnicodeDecodeError) as error:
        raise unreadable(file, driver) from error
    for wkt in told:
        grid_files.refuse(wkt, file)


def _crss(path: Path, driver: str) -> list[str]:
    """Give the CRSs of a file in their own words, unread; those of GeoJSON are looked at elsewhere."""
    if driver == "ESRI Shapefile":
        beside = f"{path.stem}.prj".casefold()
        found = [one for one in path.parent.iterdir() if one.name.casefold() == beside and one.is_file()]
        return [one.read_text(encoding="latin-1") for one in found]
    if driver != "GPKG":
        return []
    for (kind,) in _asked(path, "select type from sqlite_master where lower(name) = ?", _CRSS):
        if kind != "table":  # reckoned when it is read, which may never end
            raise sqlite3.DatabaseError("its CRSs are no table")
        return [str(cell) for row in _asked(path, f"select * from {_CRSS}") for cell in row]
    return []


def refuse_view(path: Path, file: str, layer: str) -> None:
    """Refuse a layer that is no table but reckoned when it is read, which may never end.

    Raises
    ------
    InputError
        With how to make a table of it.
    """
    asked = "select count(*) from sqlite_master where type = 'view' and lower(name) = lower(?)"
    if _asked(path, asked, layer)[0][0]:
        mend = "Save the layer in a GeoPackage of its own."
        raise InputError(f"its layer {layer} is a view, which is not read here", where=file, mend=mend)


def _asked(path: Path, question: str, *values: str) -> list[Any]:
    with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)) as base:
        return base.execute(question, values).fetchall()


def unreadable(file: str, driver: str) -> InputError:
    """Give the fault of a file that is not what its name says."""
    mend = "Save or export it again."
    if driver == "ESRI Shapefile":
        mend = "Save or export it again; its .shx and .dbf must lie beside it."
    return InputError(f"the file cannot be read as {FORMATS[driver]}", where=file, mend=mend)


def odd_letters(file: str) -> InputError:
    """Give the fault of texts that are in no coding that is known."""
    mend = "Export it again with its texts in UTF-8."
    return InputError("it holds letters that are not understood", where=file, mend=mend)


def odd_date(file: str) -> InputError:
    """Give the fault of a day that there never was."""
    mend = "Write it as 2026-05-06, and export it again."
    return InputError("a column holds a date that no calendar has", where=file, mend=mend)


def _rows(source: Any, file: str) -> list[tuple[Any, dict[str, object]]]:
    rows: list[tuple[Any, dict[str, object]]] = []
    try:
        for one in source:
            rows.append((one.geometry, {name: _cell(value) for name, value in one.properties.items()}))
    except FionaError:
        raise
    except ValueError as error:
        raise _wrong_in_row(error, f"{file}: row {len(rows) + 1}") from error
    return _filled(rows)


def _filled(rows: list[tuple[Any, dict[str, object]]]) -> list[tuple[Any, dict[str, object]]]:
    """Give every row the columns of all: the library leaves a cell out that holds a list."""
    every: dict[str, object] = {}
    for _, columns in rows:
        if columns.keys() != every.keys():
            every |= dict.fromkeys(columns)
    return [
        (shape, columns if columns.keys() == every.keys() else every | columns) for shape, columns in rows
    ]


def _cell(value: object) -> object:
    return letters.seen(value) if isinstance(value, str) else value


def _wrong_in_row(error: ValueError, row: str) -> InputError:
    if isinstance(error, json.JSONDecodeError):
        what = "a column mixes text and numbers"
        return InputError(what, where=row, mend="Write all of its values in quotes, or none.")
    return odd_letters(row) if isinstance(error, UnicodeDecodeError) else odd_date(row)


def _wkt(source: Any, file: str) -> str:
    try:
        return str(source.crs.to_wkt()) if source.crs else ""
    except CRS_FAILURES as error:
        raise crs_not_understood(file) from error


def crs_not_understood(file: str) -> InputError:
    """Give the fault of a CRS that is none."""
    mend = "Save it again with a CRS that has an EPSG code."
    return InputError("the file's CRS is not understood", where=file, mend=mend)
