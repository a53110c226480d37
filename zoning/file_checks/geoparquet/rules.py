"""Rules about GeoParquet: what the metadata must say, and whether geometries and boxes are what they say."""

import math
from collections.abc import Iterator

from zoning.file_checks.finding import Rule, Seen
from zoning.file_checks.geoparquet.reader import WKB, GeoParquet, paths

_VERSIONS = ("1.0.0", "1.1.0")
_NATIVE = ("point", "linestring", "polygon", "multipoint", "multilinestring", "multipolygon")
_LONLAT = (("OGC", "CRS84"), ("EPSG", "4326"))
_SIDES = ("xmin", "ymin", "xmax", "ymax")
_BOX_DEG = 1e-6
_FLOAT_DEG = 1e-4  # columns of single floats round by 1e-5 degrees


def _no_geo(one: GeoParquet) -> Iterator[Seen]:
    if not one.has_geo:
        yield {}


def _geo_broken(one: GeoParquet) -> Iterator[Seen]:
    if one.has_geo and one.geo is None:
        yield {}


def _version(one: GeoParquet) -> Iterator[Seen]:
    if one.geo is not None and one.geo.get("version") not in _VERSIONS:
        yield {"version": str(one.geo.get("version", "none"))[:20]}


def _no_primary(one: GeoParquet) -> Iterator[Seen]:
    if one.geo is not None and not one.primary:
        yield {}


def _not_described(one: GeoParquet) -> Iterator[Seen]:
    if one.primary and not one.about:
        yield {"column": one.primary}


def _no_column(one: GeoParquet) -> Iterator[Seen]:
    columns = one.geo.get("columns") if one.geo is not None else None
    told = {*([one.primary] if one.primary else []), *(columns if isinstance(columns, dict) else ())}
    yield from ({"column": name} for name in sorted(told) if name not in one.columns)


def _encoding(one: GeoParquet) -> Iterator[Seen]:
    if one.about and one.about.get("encoding") not in (WKB, *_NATIVE):
        yield {"column": one.primary, "encoding": str(one.about.get("encoding", "none"))[:20]}


def _not_binary(one: GeoParquet) -> Iterator[Seen]:
    kind = one.columns.get(one.primary, "")
    if one.about.get("encoding") == WKB and kind and "binary" not in kind:
        yield {"column": one.primary, "kind": kind}


def _types(one: GeoParquet) -> Iterator[Seen]:
    if not one.about:
        return
    told = one.about.get("geometry_types")
    seen = {shape.geometry.name for shape in one.shapes if shape.geometry is not None}
    if not isinstance(told, list):
        yield {"told": "none", "seen": ", ".join(sorted(seen)).lower()}
        return
    named = {str(name).upper().removesuffix(" Z") for name in told}
    if named and seen - named:
        yield {"told": ", ".join(map(str, told)), "seen": ", ".join(sorted(seen - named)).lower()}


def _crs(one: GeoParquet) -> Iterator[Seen]:
    crs = one.about.get("crs", {"id": {"authority": "OGC", "code": "CRS84"}}) if one.about else None
    if not one.about:
        return
    known = crs.get("id") if isinstance(crs, dict) else None
    name = (known.get("authority"), str(known.get("code"))) if isinstance(known, dict) else None
    if name not in _LONLAT:
        told = crs.get("name") if isinstance(crs, dict) else None
        yield {"crs": str(told or "none")[:40]}


def _box_off(one: GeoParquet) -> Iterator[Seen]:
    told = one.about.get("bbox")
    if told is None:
        return
    known = [shape.bounds for shape in one.shapes if shape.bounds is not None]
    true = [pick(side) for pick, side in zip((min, min, max, max), zip(*known, strict=True), strict=False)]
    numbers = (
        [float(value) for value in told if isinstance(value, int | float)] if isinstance(told, list) else []
    )
    flat = [*numbers[:2], *numbers[3:5]] if len(numbers) == 6 else numbers
    if len(flat) != 4 or any(abs(a - b) > _BOX_DEG for a, b in zip(flat, true, strict=False)):
        yield {}


def _no_rows(one: GeoParquet) -> Iterator[Seen]:
    if one.rows == 0:
        yield {}


def _no_geometry(one: GeoParquet) -> Iterator[Seen]:
    return ({"row": shape.row} for shape in one.shapes if shape.blob is None)


def _bad_geometry(one: GeoParquet) -> Iterator[Seen]:
    if one.about.get("encoding") == WKB:
        for shape in one.shapes:
            if shape.blob is not None and shape.geometry is None:
                yield {"row": shape.row}


def _covering(one: GeoParquet) -> Iterator[Seen]:
    if "covering" not in one.about:
        return
    told = paths(one)
    for side in _SIDES:
        if side not in told or told[side] not in one.columns:
            yield {"side": side}


def _boxes_off(one: GeoParquet) -> Iterator[Seen]:
    for at, shape in enumerate(one.shapes):
        for side, true in zip(_SIDES, shape.bounds or (), strict=False):
            column = one.boxes.get(side)
            told = column[at] if column is not None and at < len(column) else true
            if told is None or not math.isclose(told, true, rel_tol=0, abs_tol=_FLOAT_DEG):
                yield {"row": shape.row, "side": side}


RULES: tuple[Rule[GeoParquet], ...] = (
    Rule("parquet_no_geo", "refused", _no_geo),
    Rule("parquet_geo_broken", "refused", _geo_broken),
    Rule("parquet_version", "doubtful", _version),
    Rule("parquet_no_primary", "refused", _no_primary),
    Rule("parquet_not_described", "refused", _not_described),
    Rule("parquet_no_column", "refused", _no_column),
    Rule("parquet_encoding", "refused", _encoding),
    Rule("parquet_not_binary", "refused", _not_binary),
    Rule("parquet_types", "doubtful", _types),
    Rule("parquet_crs", "refused", _crs),
    Rule("parquet_box", "doubtful", _box_off),
    Rule("parquet_no_rows", "refused", _no_rows),
    Rule("parquet_no_geometry", "refused", _no_geometry),
    Rule("parquet_bad_geometry", "refused", _bad_geometry),
    Rule("parquet_covering", "refused", _covering),
    Rule("parquet_boxes", "doubtful", _boxes_off),
)
