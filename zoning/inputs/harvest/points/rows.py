"""A combine's file as columns, from CSV, shapefile, GeoPackage or GeoJSON, read in one go.

Knows broken files and CRSs; does not know what a column is.
"""

import json
import logging
import warnings
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from pyproj.exceptions import CRSError, ProjError

from zoning.errors import SETTINGS, InputError, raise_all
from zoning.inputs import area, declared, files, signature, table, vector, vector_file
from zoning.inputs.harvest.given import Bools, Floats, Ints

TABLES = (".csv", ".txt", ".tsv")
ENDINGS = (*TABLES, *vector.DRIVERS)
_LONGEST_SHOWN = 40
_ABSENT = frozenset({"", "na", "n/a", "nan", "null", "none", "-", "--"})
logging.getLogger("pyogrio").addHandler(logging.NullHandler())  # its complaints reach the user as InputError
_POINT, _MULTIPOINT, _NONE = 0, 4, -1  # types of shapes, as the library numbers them


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rows:
    """What a file holds: `columns` in the order of `names`, each numbers or texts for every row.

    `row` is the line of a table or the number of a shape. `east_m` and `north_m` are places in the plane of
    the field's grid, NaN for a row without one; a table has none until its columns are known. `has_comma`
    tells that a comma may stand for the decimal point.
    """

    file: str
    names: tuple[str, ...]
    row: Ints
    columns: tuple[Floats | tuple[str, ...], ...]
    is_table: bool
    has_comma: bool = False
    east_m: Floats = field(default_factory=lambda: np.zeros(0))
    north_m: Floats = field(default_factory=lambda: np.zeros(0))

    @property
    def count(self) -> int:
        """How many rows there are."""
        return len(self.row)

    def where(self, at: int) -> str:
        """Name the place of a row for a fault."""
        number = int(self.row[at])
        return f"{self.file}:{number}" if self.is_table else f"{self.file}: row {number}"

    def is_empty(self, place: int) -> bool:
        """Tell whether nothing stands in a column."""
        cells = self.columns[place]
        if isinstance(cells, tuple):
            return all(one.lower() in _ABSENT for one in cells)  # ends at the first that says something
        return bool(np.isnan(cells).all())

    def shown(self, place: int, at: int) -> str:
        """Give a cell for a fault: on one line, and short."""
        return one_line(self.texts(place)[at])

    def texts(self, place: int) -> tuple[str, ...]:
        """Give a column as texts, "" where nothing stands; whole numbers have no point."""
        cells = self.columns[place]
        if isinstance(cells, tuple):
            return tuple("" if one.lower() in _ABSENT else one for one in cells)
        return tuple("" if np.isnan(one) else f"{one:.15g}" for one in cells.tolist())

    def numbers(self, place: int) -> tuple[Floats, list[int]]:
        """Give a column as numbers, NaN where nothing stands, and the rows at which there is no number."""
        cells = self.columns[place]
        if not isinstance(cells, tuple):
            return cells, []
        read, wrong = np.full(self.count, np.nan), []
        for at, cell in enumerate(cells):
            try:
                read[at] = float(cell)
            except ValueError:
                if cell.lower() in _ABSENT:
                    continue
                try:
                    read[at] = float(cell.replace(",", ".") if self.has_comma else cell)
                except ValueError:
                    wrong.append(at)
        return read, wrong

    def kept(self, keep: Bools) -> "Rows":
        """Leave out rows."""
        if keep.all():
            return self
        chosen = np.flatnonzero(keep)
        return self.at(chosen)

    def at(self, order: Ints) -> "Rows":
        """Give the rows at these places, in their order."""
        listed = order.tolist()
        return replace(
            self,
            row=self.row[order],
            columns=tuple(
                tuple(cells[at] for at in listed) if isinstance(cells, tuple) else cells[order]
                for cells in self.columns
            ),
            east_m=self.east_m[order] if len(self.east_m) else self.east_m,
            north_m=self.north_m[order] if len(self.north_m) else self.north_m,
        )

    def placed(self, east_m: Floats, north_m: Floats) -> "Rows":
        """Give the rows their places; one that is not finite is none."""
        known = np.isfinite(east_m) & np.isfinite(north_m)
        return replace(self, east_m=np.where(known, east_m, np.nan), north_m=np.where(known, north_m, np.nan))


def one_line(text: str) -> str:
    r"""Give a text of the file as it may stand in a sentence: on one line, and short.

    Examples
    --------
    >>> one_line("two\nlines")
    'two lines'
    """
    plain = "".join(one if one.isprintable() else " " for one in text)
    return plain if len(plain) <= _LONGEST_SHOWN else f"{plain[: _LONGEST_SHOWN - 1]}…"


def read(path: Path, file: str, epsg: int) -> Rows:
    """Read every row of a file.

    Parameters
    ----------
    path : Path
        A table (`TABLES`), GeoJSON, GeoPackage or shapefile.
    file : str
        How the user calls it.
    epsg : int
        The plane that places of shapes are brought to.

    Raises
    ------
    InputError
        An unknown format (exit 2); unreadable, without rows, without CRS, other shapes than points (exit 3).
    """
    ending = path.suffix.lower()
    if ending in TABLES:
        return _of_table(path, file)
    if ending not in vector.DRIVERS:
        mend = "Save it as CSV (.csv), shapefile (.shp), GeoPackage (.gpkg) or GeoJSON (.geojson)."
        what = f'a file that ends with "{path.suffix}" is not read here'
        raise InputError(what, where=file, mend=mend, code=SETTINGS)
    return _of_shapes(path, file, epsg)


def _of_table(path: Path, file: str) -> Rows:
    sheet = table.read(path, file)
    width = len(sheet.header)
    faults = table.too_wide(sheet)
    raise_all(files.at_most(faults, file))
    return Rows(
        file=file,
        names=sheet.header,
        row=np.array([row.line for row in sheet.rows], dtype=np.int64),
        columns=tuple(zip(*(row.cells[:width] for row in sheet.rows), strict=True)),
        is_table=True,
        has_comma=sheet.separator != ",",
    )


def _of_shapes(path: Path, file: str, epsg: int) -> Rows:
    if vector.DRIVERS[path.suffix.lower()] == "GeoJSON":
        declared.check(path, file)
    names, fields, wkb, crs = _records(path, file)
    if not len(wkb):
        raise InputError("the file holds no points", where=file, mend="Export it again with its points.")
    is_shapefile = path.suffix.lower() == ".shp"
    if not crs:
        beside = "Add its .prj file, or save" if is_shapefile else "Save"
        raise declared.no_crs(file, f"{beside} it again with its CRS.")
    try:
        east_m, north_m = area.moved(*_places(wkb, file), crs, epsg)
    except (ProjError, CRSError) as error:
        mend = "Save it again with a CRS that has an EPSG code."
        raise InputError("the file's CRS is not understood", where=file, mend=mend) from error
    found = Rows(
        file=file,
        names=names,
        row=np.arange(1, len(wkb) + 1, dtype=np.int64),
        columns=tuple(_column(one) for one in fields),
        is_table=False,
    )
    return found.placed(east_m, north_m)


def _records(path: Path, file: str) -> tuple[tuple[str, ...], Sequence[Any], npt.NDArray[np.object_], str]:
    """Read names and cells of columns, the shapes, and the CRS, all rows at once."""
    import pyogrio.raw  # late: it brings half of pandas
    from pyogrio.errors import DataLayerError, DataSourceError, FeatureError, FieldError

    driver = vector.DRIVERS[path.suffix.lower()]
    if not signature.is_of(path, driver):
        raise vector_file.unreadable(file, driver)
    vector_file.refuse_grid_files(path, file, driver)
    mend = "Save or export it again."
    try:
        layer = vector.layer_of(vector_file.layers(path, driver), path, file, "points")
        if driver == "GPKG" and layer is None:
            raise InputError("the file holds no points", where=file, mend=mend)
        with warnings.catch_warnings(action="ignore"):  # as of measures beside a place, which nobody needs
            given = signature.plain_json(path) if driver == "GeoJSON" else path
            about, _, wkb, fields = pyogrio.raw.read(
                given, layer=layer, force_2d=True, datetime_as_string=True
            )
    except UnicodeDecodeError as error:
        raise vector_file.odd_letters(file) from error
    except (DataSourceError, DataLayerError, FeatureError, FieldError, json.JSONDecodeError) as error:
        raise vector_file.unreadable(file, driver) from error
    except UnboundLocalError as error:
        raise vector_file.crs_not_understood(file) from error
    except vector_file.FAILURES as error:
        raise vector_file.unreadable(file, driver) from error
    except InputError:
        raise
    except ValueError as error:
        raise vector_file.odd_date(file) from error
    if wkb is None:
        raise InputError("the file holds no points", where=file, mend=mend)
    return tuple(str(name) for name in about["fields"]), fields, wkb, about["crs"] or ""


def _places(wkb: npt.NDArray[np.object_], file: str) -> tuple[Floats, Floats]:
    """Give the place of each point in the file's own CRS, NaN for one without."""
    shapes: vector.Shapes = np.asarray(shapely.from_wkb(wkb, on_invalid="ignore"), dtype=object)
    kinds = shapely.get_type_id(shapes)
    single = (kinds == _MULTIPOINT) & (shapely.get_num_geometries(shapes) == 1)
    shapes = np.where(single, shapely.get_geometry(shapes, 0), shapes)
    wrong = np.flatnonzero(~single & (kinds != _POINT) & (kinds != _NONE))
    mend = "Export the combine's own points, one a record; a map that is made of them does not do."
    faults = [
        InputError(f"shape {at + 1} is a {shapes[at].geom_type}, not a point", where=file, mend=mend)
        for at in wrong.tolist()
    ]
    raise_all(files.at_most(faults, file))
    places = np.full((len(shapes), 2), np.nan)
    there = ~shapely.is_empty(shapes) & (kinds != _NONE)
    places[there] = shapely.get_coordinates(shapes[there])
    return places[:, 0], places[:, 1]


def _column(cells: npt.NDArray[Any]) -> Floats | tuple[str, ...]:
    if cells.dtype.kind in "iufb":
        return cells.astype(np.float64)
    return tuple("" if cell is None else str(cell).strip() for cell in cells.tolist())
