"""What is asked of a combine's file: which field, which columns and units, and where the file lies."""

import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from zoning.errors import SETTINGS, WORLD, InputError, raise_all
from zoning.inputs import files, typed_pairs
from zoning.inputs.given import Area
from zoning.inputs.harvest.points.rows import ENDINGS
from zoning.settings.harvest import role_fault, unit_fault
from zoning.settings.model import Settings
from zoning.settings.names import odd_letters

FOLDER = "harvest"  # in the field's folder


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Asked:
    """What a file should hold, and how it is meant.

    `boundary` lies in the plane `epsg`. `field` are the names that the field may have in a column of fields.
    `columns` gives roles their columns ("" for none) and `units` their units, where they were told.
    `moisture_frac` is one moisture for all points, `header_m` the width of the header.
    """

    epsg: int
    boundary: Area
    field: tuple[str, ...]
    columns: Mapping[str, str]
    units: Mapping[str, str]
    moisture_frac: float | None
    yields: Literal["", "dry", "wet"]
    is_metric: bool
    time_zone: str
    header_m: float | None


def asked_of(
    settings: Settings,
    epsg: int,
    boundary: Area,
    typed_columns: Iterable[str] = (),
    typed_units: Iterable[str] = (),
) -> Asked:
    """Put together what the settings say and what was typed; what was typed wins.

    Parameters
    ----------
    settings : Settings
    epsg : int
        The plane of the field's grid.
    boundary : Area
        In that plane. [m]
    typed_columns, typed_units : iterable of str
        As "yield=Yld_dry" and "yield=bu/ac".

    Returns
    -------
    Asked

    Raises
    ------
    InputError
        Exit 2, all at once: text that is no pair, an unknown role, a unit that the role cannot have, a role
        twice, a yield and a flow.
    """
    faults: list[InputError] = []
    columns = typed_pairs.read("--column", typed_columns, "yield=Yield", role_fault, faults)
    units = typed_pairs.read("--unit", typed_units, "yield=bu/ac", role_fault, faults)
    for role, unit in units.items():
        said = unit_fault(role, unit)
        if said is not None:
            faults.append(typed_pairs.fault(f"--unit {role}={unit}", *said))
    own = dict(settings.harvest.columns)
    if columns.get("yield") or columns.get("flow"):  # who types one of them means that one
        own = {role: name for role, name in own.items() if role not in ("yield", "flow")}
    if columns.get("yield") and columns.get("flow"):
        mend = "Keep the one that the yields are to be taken from."
        faults.append(typed_pairs.fault("--column", "a yield and a flow are both named", mend))
    faults += typed_pairs.twice(own | columns)
    raise_all(faults)
    harvest = settings.harvest
    fixed = None if columns.get("moisture") else harvest.moisture_frac
    return Asked(
        epsg=epsg,
        boundary=boundary,
        field=(settings.name, settings.folder.name),
        columns=own | columns,
        units=harvest.units | units,
        moisture_frac=fixed,
        yields=harvest.yields,
        is_metric=settings.units == "metric",
        time_zone=settings.time_zone,
        header_m=harvest.header_m,
    )


def find(settings: Settings, typed: Path | None) -> tuple[Path, str]:
    """Find the combine's file: as typed, else `[harvest] file`, else the one in the field's folder harvest.

    Parameters
    ----------
    settings : Settings
    typed : Path or None
        From the command line.

    Returns
    -------
    Path, str
        Where it lies, and how it is called.

    Raises
    ------
    InputError
        No such file, none or several to choose from (exit 2); an empty one (exit 3); no permission (exit 4).
    """
    if typed is not None:
        return _typed(typed), files.name_in(settings, typed)
    if settings.harvest.file is not None:
        path = files.find(settings, "harvest.file", settings.harvest.file)
        return path, files.name_in(settings, path)
    folder = settings.folder / FOLDER
    mend = f'Name it with --yield, or as file = "{FOLDER}/points.csv" under [harvest].'
    listed = sorted(folder.iterdir()) if folder.is_dir() else []
    found = [path for path in listed if path.suffix.lower() in ENDINGS and path.is_file()]
    if not found:
        what = f"no file of the combine's points is there: {', '.join(ENDINGS)}"
        raise InputError(what, where=f"{FOLDER}/", mend=mend, code=SETTINGS)
    if len(found) > 1:
        what = f"several files may be the combine's points: {', '.join(path.name for path in found)}"
        raise InputError(what, where=f"{FOLDER}/", mend=mend, code=SETTINGS)
    return _typed(found[0]), files.name_in(settings, found[0])


def _typed(path: Path) -> Path:
    raise_all(odd_letters([path.name]))
    if not path.is_file():
        mend = "Name a CSV (.csv), shapefile (.shp), GeoPackage (.gpkg) or GeoJSON (.geojson)."
        what = "this is a folder, not a file" if path.is_dir() else "there is no such file"
        raise InputError(what, where=path.name, mend=mend, code=SETTINGS)
    if path.stat().st_size == 0:
        raise InputError("the file is empty", where=path.name, mend="Export it again.")
    if not os.access(path, os.R_OK):
        mend = "Get permission to read it, and run again."
        raise InputError("you are not allowed to read the file", where=path.name, mend=mend, code=WORLD)
    return path
