"""Points that a scout wrote down, from CSV, GeoJSON or GPX, as lines with named cells.

Knows names of columns and formats; does not know what a cell means, nor where a field lies.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from zoning.errors import InputError
from zoning.inputs import letters, table
from zoning.inputs.scouting import gpx

# Role -> names that a column may have, the first in this order wins where a file has several.
ROLES: dict[str, tuple[str, ...]] = {
    "date": ("date", "day", "time", "timestamp"),
    "lat": ("lat", "latitude", "y"),
    "lon": ("lon", "lng", "long", "longitude", "x"),
    "pressure": ("pressure",),
    "cause": ("cause",),
    "severity_pct": ("severity_pct",),
    "v": ("v", "veg", "before_r1"),
    **{f"r{stage}": (f"r{stage}",) for stage in range(1, 9)},
    "stage": ("stage",),
    "k": ("k",),
    "n": ("n",),
    "pod_mm": ("pod_mm",),
    "pod_in": ("pod_in",),
    "node": ("node",),
    "observer": ("observer",),
    "note": ("note", "notes", "comment", "comments"),
    "photo": ("photo", "photos", "picture", "pictures", "image", "photo_name", "photo_file"),
}
NEEDED = ("date", "lat", "lon")
UNREAD = "unread"  # text of a waypoint that names a stage in words that are not understood
EMPTY = ("", "-", "na", "n/a", "null", "none")
DECIMAL = ("lat", "lon", "severity_pct", "pod_mm", "pod_in")
_COUNTED = [role for role in ROLES if role not in ("observer", "note", "photo")]
_MORE = "further_cells"  # what stood beyond the header, in the table of refused rows
_GEOJSON = (".geojson", ".json")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One point: its number and how people find it, its cells by role, and what else stands there.

    `raw` is what the file held, by the file's own names; `beyond` tells of cells that no column has, and how
    many there are of both: which cell is of which column is not known then.
    """

    number: int
    where: str
    cells: Mapping[str, str]
    others: Mapping[str, str]
    raw: Mapping[str, str]
    beyond: tuple[int, int] | None = None

    def text(self, role: str) -> str:
        """Give a cell, "" where nothing stands in it."""
        found = self.cells.get(role, "")
        return "" if found.lower() in EMPTY else found


def roles_of(names: Sequence[str]) -> dict[str, int]:
    """Find the place of each role among the names of columns.

    Examples
    --------
    >>> roles_of(("Longitude", "y", "Before R1", "Time"))
    {'date': 3, 'lat': 1, 'lon': 0, 'v': 2}
    """
    places: dict[str, int] = {}
    for place, name in enumerate(names):
        places.setdefault("_".join(name.lower().replace("-", " ").split()), place)
    found = {role: next((one for one in known if one in places), None) for role, known in ROLES.items()}
    return {role: places[name] for role, name in found.items() if name is not None}


def read(
    path: Path,
    file: str,
    *,
    may_be_empty: bool = False,
    needed: Sequence[str] = NEEDED,
    joins_lines: bool = False,
) -> tuple[Line, ...]:
    """Read the points of a file, by the ending of its name: .gpx, .geojson or .json, else a table.

    `needed` are the roles without which a table is refused; `joins_lines` as for `table.read`.

    Raises
    ------
    InputError
        When the file cannot be read, or has no column for date, latitude or longitude.
    """
    ending = path.suffix.lower()
    if ending == ".gpx":
        found = [_waypoint(one, file) for one in gpx.read(path.read_bytes(), file)]
    elif ending in _GEOJSON:
        found = list(_features(path.read_bytes(), file))
    else:  # a sheet with its header alone waits for the first walk
        sheet = table.read(path, file, may_be_empty=True, joins_lines=joins_lines)
        return tuple(_rows(sheet, needed))
    if not found and not may_be_empty:
        raise InputError("the file holds no points", where=file, mend="Save or export it again.")
    return tuple(found)


def _rows(sheet: table.Sheet, needed: Sequence[str]) -> Iterator[Line]:
    names = tuple(sheet.columns)
    lacking = lacks(names, needed)
    if lacking:
        mend = f"Add it to the header; the file has {table.listed(names)}."
        raise InputError(f"there is no column {' or '.join(lacking)}", where=sheet.file, mend=mend)
    table.refuse_twice(sheet, [name for role in _COUNTED for name in ROLES[role]])
    for row in sheet.rows:
        raw = {name: row.cells[place] for name, place in sheet.columns.items()}
        line = _line(row.line, f"{sheet.file}:{row.line}", raw, decimal_comma=sheet.decimal_comma)
        width = len(sheet.header)
        more = [cell for cell in row.cells[width:] if cell]
        if more:
            kept = raw | {_MORE: " ".join(more)}
            line = replace(line, raw=kept, beyond=(len(row.cells), width))
        yield line


def lacks(names: Sequence[str], needed: Sequence[str] = NEEDED) -> list[str]:
    """List the roles that every table of points needs and these columns have not."""
    return [role for role in needed if role not in roles_of(names)]


def _line(number: int, where: str, raw: Mapping[str, str], *, decimal_comma: bool = False) -> Line:
    names = tuple(raw)
    roles = roles_of(names)
    cells = {role: raw[names[place]] for role, place in roles.items()}
    if decimal_comma:
        cells |= {role: cells[role].replace(",", ".") for role in DECIMAL if role in cells}
    others = {name: raw[name] for place, name in enumerate(names) if place not in roles.values()}
    return Line(number=number, where=where, cells=cells, others=others, raw=raw)


def _features(content: bytes, file: str) -> Iterator[Line]:
    """Take the points of a GeoJSON file; `where` counts them, because JSON has no lines worth naming."""
    try:
        whole = json.loads(content.decode("utf-8-sig"))
    except (ValueError, RecursionError) as error:
        mend = "Save or export it again."
        raise InputError("the file cannot be read as GeoJSON", where=file, mend=mend) from error
    features = _list_of_features(whole)
    if features is None:
        mend = "Save it again as a GeoJSON FeatureCollection of points."
        raise InputError("the file holds no GeoJSON features", where=file, mend=mend)
    if "crs" in whole and not any(name in json.dumps(whole["crs"]) for name in ("CRS84", "4326")):
        mend = 'Save it again in longitude and latitude, without "crs".'
        raise InputError('its "crs" is not longitude and latitude', where=file, mend=mend)
    lines = [_feature(count, one, file) for count, one in enumerate(features, 1)]
    if lines and not any("date" in line.cells for line in lines):
        mend = "Give each point a property date, as 2026-07-06."
        raise InputError("no point has a property date", where=file, mend=mend)
    yield from lines


def _list_of_features(whole: object) -> list[object] | None:
    if not isinstance(whole, dict):
        return None
    if whole.get("type") == "Feature":
        return [whole]
    features = whole.get("features")
    return features if isinstance(features, list) else None


def _feature(number: int, feature: object, file: str) -> Line:
    whole = feature if isinstance(feature, dict) else {}
    given, geometry = whole.get("properties"), whole.get("geometry")
    properties = given if isinstance(given, dict) else {}
    names_of_place = {*ROLES["lat"], *ROLES["lon"]}  # the geometry says where the point lies
    raw = {
        str(name).strip().lower(): _as_text(value)
        for name, value in properties.items()
        if str(name).strip().lower() not in names_of_place
    }
    kind = geometry.get("type") if isinstance(geometry, dict) else "no geometry"
    place = geometry.get("coordinates") if isinstance(geometry, dict) else None
    if kind == "Point" and isinstance(place, list) and len(place) > 1:
        raw |= {"lat": _as_text(place[1]), "lon": _as_text(place[0])}
    else:
        raw |= {"lat": _as_text(kind), "lon": ""}
    return _line(number, f"{file}: point {number}", {_clean(name): text for name, text in raw.items()})


def _as_text(value: object) -> str:
    """Write a value of JSON as a cell of a table."""
    if value is None:
        return ""
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        return _clean(json.dumps(value))
    if isinstance(value, float) and value.is_integer() and abs(value) < 2**53:
        value = int(value)
    if isinstance(value, str):
        return _clean(value)
    return repr(value) if isinstance(value, float) else json.dumps(value)


def _clean(text: str) -> str:
    """Bring text onto one line that any file can hold."""
    whole = letters.seen(text).encode("utf-8", "replace").decode("utf-8")
    return " ".join(whole.splitlines()).strip()


def _waypoint(one: gpx.Waypoint, file: str) -> Line:
    raw = {"time": one.time, "lat": one.lat, "lon": one.lon} | dict(one.texts)
    read = gpx.cells(tuple(one.texts.values()), {name: role for role in ROLES for name in ROLES[role]})
    cells = {"date": one.time, "lat": one.lat, "lon": one.lon, **read.cells}
    if read.note:
        cells["note"] = read.note
        if read.names_a_stage:
            cells[UNREAD] = read.note
    return Line(number=one.line, where=f"{file}:{one.line}", cells=cells, others={}, raw=raw)
