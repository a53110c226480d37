"""GeoJSON by RFC 7946 (2016): read as JSON, then held against what the RFC says of rings and coordinates."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import PurePosixPath
from typing import Any

import numpy as np

from zoning.evidence import number
from zoning.file_checks.finding import Finding, Rule, Seen, UnreadableError, apply
from zoning.file_checks.formats import Field, Names
from zoning.file_checks.of_polygons.geometry import RINGS
from zoning.file_checks.of_polygons.layer import judge
from zoning.file_checks.of_polygons.polygons import FloatArray, Polygons, Ring, Row
from zoning.file_checks.of_polygons.rates import OF_A_PASS, unit_of
from zoning.file_checks.place import Place

_SUFFIX, _PERHAPS = ".geojson", ".json"
_COLLECTION = "FeatureCollection"
_WGS_84 = ("CRS84", "EPSG::4326", "EPSG:4326")
_DEEPEST = 200  # brackets in brackets: a map has seven
_BOX_DEG = 1e-9

Json = Any


class Written(float):
    """A number that knows how many decimals it was written with."""

    decimals: int

    def __new__(cls, text: str) -> "Written":
        """Read one number of a JSON file."""
        made = super().__new__(cls, text)
        made.decimals = len(text.lower().partition("e")[0].partition(".")[2])
        return made


class Constant(float):
    """NaN or Infinity: Python reads them, JSON does not know them."""


@dataclass(frozen=True, slots=True, eq=False)
class Collection:
    """A feature collection: its members, its features, and what is odd about its coordinates.

    `rate_column` is the property that is the rate, "" where there is none.
    """

    members: Mapping[str, Json]
    features: tuple[Json, ...]
    constants: int
    coordinate_decimals: int
    heights: tuple[str, ...]
    rate_column: str
    layer: Polygons


def groups(place: Place) -> Iterator[Names]:
    """Take every .geojson, and a .json that says of itself that it is a feature collection."""
    for name in place.names:
        suffix = PurePosixPath(name).suffix.lower()
        if suffix == _SUFFIX or (suffix == _PERHAPS and _is_collection(place, name)):
            yield (name,)


def _is_collection(place: Place, name: str) -> bool:
    try:
        data = place.read(name)
        if _COLLECTION.encode() not in data:
            return False
        whole = _parsed(data)[0]
    except UnreadableError:
        return False
    return isinstance(whole, dict) and whole.get("type") == _COLLECTION


def _parsed(data: bytes) -> tuple[Json, int]:
    """Parse JSON, and count what is no JSON number."""
    constants = []

    def constant(text: str) -> Constant:
        constants.append(text)
        return Constant(text)

    try:
        text = data.decode("utf-8")
        if _depth(text) > _DEEPEST:
            raise UnreadableError("json_broken", line=1)
        whole = json.loads(text, parse_float=Written, parse_constant=constant)
    except UnicodeDecodeError as error:
        raise UnreadableError("not_utf8", at=error.start) from error
    except json.JSONDecodeError as error:
        raise UnreadableError("json_broken", line=error.lineno) from error
    except ValueError as error:  # a whole number of thousands of digits
        raise UnreadableError("json_broken", line=1) from error
    return whole, len(constants)


def _depth(text: str) -> int:
    """Bound how deep brackets stand in brackets, those inside texts included."""
    deep = deepest = 0
    for letter in text:
        if letter in "[{":
            deep += 1
            deepest = max(deepest, deep)
        elif letter in "]}":
            deep -= 1
    return deepest


def read(data: bytes, field: Field) -> Collection:
    """Parse a feature collection.

    Raises
    ------
    UnreadableError
        When it is no JSON, or no feature collection.
    """
    whole, constants = _parsed(data)
    if not isinstance(whole, dict) or whole.get("type") != _COLLECTION:
        raise UnreadableError("no_collection")
    features = whole.get("features")
    if not isinstance(features, list):
        raise UnreadableError("no_collection")
    shapes = [_Shape(at, feature) for at, feature in enumerate(features, 1)]
    column, unit = _rate_column(features)
    rates = [_rate(feature, column) for feature in features]
    layer = Polygons(
        rows=tuple(Row(one.name, one.rings, rate) for one, rate in zip(shapes, rates, strict=True)),
        outer_clockwise=False,
        field=field,
        rate_unit=unit,
        rate_decimals=max((rate.decimals for rate in rates if isinstance(rate, Written)), default=0),
    )
    finest = max((one.decimals for one in shapes), default=0)
    heights = tuple(one.name for one in shapes if one.has_heights)
    return Collection(whole, tuple(features), constants, finest, heights, column, layer)


class _Shape:
    """The rings of one feature; what is no polygon has none."""

    def __init__(self, at: int, feature: Json) -> None:
        self.name = f"feature {at}"
        self.decimals = 0
        self.has_heights = False
        geometry = feature.get("geometry") if isinstance(feature, dict) else None
        kind, inside = "", None
        if isinstance(geometry, dict):
            kind, inside = geometry.get("type", ""), geometry.get("coordinates")
        polygons = {"Polygon": [inside], "MultiPolygon": inside}.get(
            kind if isinstance(kind, str) else "", []
        )
        rings = []
        for part, polygon in enumerate(polygons if isinstance(polygons, list) else []):
            for place, ring in enumerate(polygon if isinstance(polygon, list) else []):
                rings.append(Ring(self._points(ring), is_hole=place > 0, part=part))
        self.rings = tuple(rings)

    def _points(self, ring: Json) -> FloatArray:
        points = []
        for position in ring if isinstance(ring, list) else []:
            pair = position[:2] if isinstance(position, list) else []
            self.has_heights |= isinstance(position, list) and len(position) > 2
            if len(pair) == 2 and all(_is_number(one) for one in pair):
                self.decimals = max(self.decimals, *(getattr(one, "decimals", 0) for one in pair))
                points.append([float(one) for one in pair])
            else:
                points.append([np.nan, np.nan])
        return np.asarray(points, dtype=np.float64).reshape(-1, 2)


def _is_number(thing: Json) -> bool:
    # A whole number of hundreds of digits is no double.
    return isinstance(thing, float) or (type(thing) is int and abs(thing) < 10**15)


def _rate_column(features: list[Json]) -> tuple[str, str]:
    """Find the property that is the rate: one with `rate` in its name, best with a unit."""
    known = [one["properties"] for one in features if isinstance(one, dict) and _has_properties(one)]
    names = [name for name in dict.fromkeys(key for row in known for key in row) if "rate" in name.lower()]
    best = next((name for name in names if unit_of(name)), names[0] if names else "")
    return best, unit_of(best)


def _has_properties(feature: Mapping[str, Json]) -> bool:
    return isinstance(feature.get("properties"), dict)


def _rate(feature: Json, column: str) -> float | None:
    if not isinstance(feature, dict) or not _has_properties(feature):
        return None
    value = feature["properties"].get(column)
    if isinstance(value, Constant) or not _is_number(value):
        return None
    return value if isinstance(value, Written) else float(value)


def other_crs(one: Collection) -> Iterator[Seen]:
    """See a member `crs` that names anything but WGS 84, which the RFC fixes."""
    crs = one.members.get("crs")
    if crs is not None and not any(name in json.dumps(crs) for name in _WGS_84):
        properties = crs.get("properties") if isinstance(crs, dict) else None
        name = properties.get("name") if isinstance(properties, dict) else None
        yield {"crs": str(name)[:60] if name is not None else "its member crs"}


def old_crs(one: Collection) -> Iterator[Seen]:
    """See a member `crs` at all: the RFC took it away."""
    if "crs" in one.members and not list(other_crs(one)):
        yield {}


def not_a_number(one: Collection) -> Iterator[Seen]:
    """See NaN or Infinity, which JSON does not know."""
    if one.constants:
        yield {"count": one.constants}


def no_feature(one: Collection) -> Iterator[Seen]:
    """See members of the list that are no features."""
    for at, feature in enumerate(one.features, 1):
        if not isinstance(feature, dict) or feature.get("type") != "Feature" or "geometry" not in feature:
            yield {"row": f"feature {at}"}


def no_rate_property(one: Collection) -> Iterator[Seen]:
    """See features none of which has a rate."""
    if one.features and not one.rate_column:
        yield {}


def unit_not_in_name(one: Collection) -> Iterator[Seen]:
    """See a rate whose property does not name its unit."""
    if one.rate_column and not one.layer.rate_unit:
        yield {"column": one.rate_column}


def fine_coordinates(one: Collection) -> Iterator[Seen]:
    """See coordinates with more decimals than any receiver can tell apart."""
    most = int(number("file_checks.most_decimals"))
    if one.coordinate_decimals > most:
        yield {"count": one.coordinate_decimals, "most": most}


def heights(one: Collection) -> Iterator[Seen]:
    """See coordinates with a third value."""
    return ({"row": name} for name in one.heights)


def wrong_bbox(one: Collection) -> Iterator[Seen]:
    """See a `bbox` that is not that of the coordinates."""
    box = one.members.get("bbox")
    points = [ring.points for row in one.layer.rows for ring in row.rings if len(ring.points)]
    if box is None or not points:
        return
    lonlat = np.concatenate(points)
    wanted = [*lonlat.min(axis=0).tolist(), *lonlat.max(axis=0).tolist()]
    is_box = isinstance(box, list) and len(box) == 4 and all(_is_number(edge) for edge in box)
    if not is_box or any(abs(edge - true) > _BOX_DEG for edge, true in zip(box, wanted, strict=True)):
        yield {}


COLLECTION: tuple[Rule[Collection], ...] = (
    Rule("not_a_number", "refused", not_a_number),
    Rule("other_crs", "refused", other_crs),
    Rule("old_crs", "doubtful", old_crs),
    Rule("no_feature", "refused", no_feature),
    Rule("no_rate_property", "refused", no_rate_property),
    Rule("unit_not_in_name", "doubtful", unit_not_in_name),
    Rule("fine_coordinates", "doubtful", fine_coordinates),
    Rule("heights", "doubtful", heights),
    Rule("wrong_bbox", "doubtful", wrong_bbox),
)
# Section 3.1.6: readers should take rings that run the wrong way, so that is a doubt here.
_RINGS = tuple(replace(rule, severity="doubtful") if rule.name == "ring_order" else rule for rule in RINGS)


def check(place: Place, names: Names, field: Field) -> Iterator[Finding]:
    """Check one file."""
    where = place.told(names[0])
    one = read(place.read(names[0]), field)
    yield from apply(COLLECTION, one, where)
    has_rates = not list(no_rate_property(one))
    yield from judge(one.layer, where, OF_A_PASS if has_rates else (), rings=_RINGS)
