"""The CRS that a GeoJSON file names, as an old standard let it: looked at before any library reads the file.

The library would take one that nobody knows for longitude and latitude, and would fetch one that is a link.
"""

import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pyproj import CRS
from pyproj.exceptions import CRSError

from zoning.errors import InputError

_MEND = 'Save it again in longitude and latitude, without "crs".'
_KEY = "crs"  # in small or capital letters, of the whole or of one shape: the library finds it everywhere
_MAY_HOLD = re.compile(rb'crs"|\\u00', re.IGNORECASE)  # a letter may also be written by its number
_CODE = re.compile(r"[A-Za-z][\w.-]*(:[\w.-]*)+|https?://(www\.)?opengis\.net/def/crs/[\w./-]+")
_LONGEST_SHOWN = 60


def check(path: Path, file: str) -> None:
    """Refuse a GeoJSON that names a CRS which is null, a link, or not known.

    Parameters
    ----------
    path : Path
    file : str
        What it is called in faults.

    Raises
    ------
    InputError
        Also where it is no JSON.

    Examples
    --------
    >>> import tempfile
    >>> path = Path(tempfile.mkdtemp()) / "field.geojson"
    >>> _ = path.write_text('{"features": [], "crs": {"properties": {"name": "EPSG:999999"}}}')
    >>> check(path, path.name)
    Traceback (most recent call last):
        ...
    zoning.errors.InputError: field.geojson: its "crs" EPSG:999999 is not known. Save it again in ...
    """
    content = path.read_bytes()
    if not _MAY_HOLD.search(content):
        return
    try:
        whole = json.loads(content.decode("utf-8-sig"), object_pairs_hook=_object)
    except _LinkError as error:
        what = 'its "crs" is not known: it is the address of another file'
        raise InputError(what, where=file, mend=_MEND) from error
    except (ValueError, RecursionError) as error:
        mend = "Save or export it again."
        raise InputError("the file cannot be read as GeoJSON", where=file, mend=mend) from error
    for named in _named(whole):
        if named is None:
            raise no_crs(file, _MEND)
        name = _name(named)
        if name is None or not _is_known(name):
            shown = _short(named if name is None else name)
            raise InputError(f'its "crs" {shown} is not known', where=file, mend=_MEND)


def no_crs(file: str, mend: str) -> InputError:
    """Give the fault of a file without CRS."""
    return InputError("the file has no CRS, so its place on earth is unknown", where=file, mend=mend)


class _LinkError(Exception):
    """A CRS that is the address of another file."""


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    for name, told in pairs:
        kind = _kind(told) if name.casefold() == _KEY else ""
        if kind.startswith(("link", "url")):
            raise _LinkError
    return dict(pairs)


def _kind(told: object) -> str:
    """Say of what type a CRS is; keys are found whatever the case of their letters."""
    found = told.items() if isinstance(told, Mapping) else ()
    return next((str(kind).casefold() for name, kind in found if name.casefold() == "type"), "")


def _named(whole: object) -> list[object]:
    """List what stands for the CRS of the whole file."""
    found = whole.items() if isinstance(whole, Mapping) else ()
    return [told for name, told in found if name.casefold() == _KEY]


def _name(named: object) -> str | None:
    properties = named.get("properties") if isinstance(named, Mapping) else None
    name = properties.get("name") if isinstance(properties, Mapping) else None
    return name if isinstance(name, str) else None


def _is_known(name: str) -> bool:
    """Tell whether a CRS is known by its code; what else may be typed could name another file."""
    try:
        return bool(_CODE.fullmatch(name)) and ("CRS84" in name or bool(CRS.from_user_input(name)))
    except CRSError:
        return False


def _short(told: object) -> str:
    text = str(told)
    return text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 1]}…"
