"""Rules about GeoPackages: container, tables that the standard wants, layers and the bytes of geometries."""

import math
from collections.abc import Iterator

from zoning.file_checks.finding import Rule, Seen
from zoning.file_checks.geopackage.reader import STYLES, GeoPackage, Layer, Shape
from zoning.file_checks.of_polygons.rates import unit_of

LONLAT = 4326
OPERATORS = "prescription"  # a layer of this name is what a terminal reads
_APPLICATION_IDS = (0x47504B47, 0x47503130, 0x47503131)  # GPKG; GP10 and GP11 of the first two versions
_NEWEST = 10300
_REQUIRED = ("gpkg_spatial_ref_sys", "gpkg_contents", "gpkg_geometry_columns")
_SYSTEMS = {-1: ("NONE", -1), 0: ("NONE", 0), LONLAT: ("EPSG", LONLAT)}
_BOX_DEG = 1e-6


def _application_id(one: GeoPackage) -> Iterator[Seen]:
    if one.application_id not in _APPLICATION_IDS:
        yield {"id": f"{one.application_id:08X}"}


def _new_version(one: GeoPackage) -> Iterator[Seen]:
    if one.user_version > _NEWEST:
        yield {"version": f"{one.user_version // 10000}.{one.user_version // 100 % 100}"}


def _log(one: GeoPackage) -> Iterator[Seen]:
    yield from ({"name": name} for name in one.beside)


def _keeps_log(one: GeoPackage) -> Iterator[Seen]:
    if one.keeps_log:
        yield {}


def _damaged(one: GeoPackage) -> Iterator[Seen]:
    if one.damage:
        yield {"why": one.damage}


def _no_table(one: GeoPackage) -> Iterator[Seen]:
    return ({"name": name} for name in _REQUIRED if name not in one.tables)


def _systems(one: GeoPackage) -> Iterator[Seen]:
    for srs, (organization, code) in _SYSTEMS.items():
        if "gpkg_spatial_ref_sys" in one.tables and one.systems.get(srs) != (organization, code):
            yield {"srs": srs, "organization": organization}


def _no_layer(one: GeoPackage) -> Iterator[Seen]:
    if not any(layer.shapes for layer in one.layers):
        yield {}


def _unlisted(one: GeoPackage) -> Iterator[Seen]:
    features = {content.table for content in one.contents if content.kind == "features"}
    shaped = {column.table for column in one.geometry_columns}
    for name in sorted(features - shaped):
        yield {"layer": name, "table": "gpkg_geometry_columns"}
    for name in sorted(shaped - features):
        yield {"layer": name, "table": "gpkg_contents"}


def _no_rows(one: GeoPackage) -> Iterator[Seen]:
    read = {layer.name for layer in one.layers}
    for name in sorted({column.table for column in one.geometry_columns} - read):
        yield {"layer": name}


def _srs_differs(one: GeoPackage) -> Iterator[Seen]:
    told = {content.table: content.srs for content in one.contents}
    for column in one.geometry_columns:
        if told.get(column.table, column.srs) != column.srs:
            yield {"layer": column.table, "srs": column.srs, "other": told[column.table]}


def _not_lonlat(one: GeoPackage) -> Iterator[Seen]:
    for column in one.geometry_columns:
        if column.srs != LONLAT:
            yield {"layer": column.table, "srs": column.srs}


def _no_key(one: GeoPackage) -> Iterator[Seen]:
    return ({"layer": layer.name} for layer in one.layers if not layer.has_key)


def _index(one: GeoPackage) -> Iterator[Seen]:
    for table, column in one.indexed:
        if f"rtree_{table}_{column}" not in one.tables:
            yield {"layer": table}


def _bounds(one: GeoPackage) -> Iterator[Seen]:
    by_table = {content.table: content.bounds for content in one.contents}
    for layer in one.layers:
        told, true = by_table.get(layer.name), layer.bounds
        if told is None or true is None:
            continue
        numbers = [value for value in told if isinstance(value, int | float) and math.isfinite(value)]
        if len(numbers) < len(true) or any(
            abs(one - other) > _BOX_DEG for one, other in zip(numbers, true, strict=True)
        ):
            yield {"layer": layer.name}


def _styles_unlisted(one: GeoPackage) -> Iterator[Seen]:
    if STYLES in one.tables and STYLES not in {content.table for content in one.contents}:
        yield {"name": STYLES}


def _style_of_nothing(one: GeoPackage) -> Iterator[Seen]:
    known = {column.table for column in one.geometry_columns}
    yield from ({"layer": name} for name in one.styled if name not in known)


def _shapes(one: GeoPackage) -> Iterator[tuple[Layer, Shape]]:
    return ((layer, shape) for layer in one.layers for shape in layer.shapes)


def _no_geometry(one: GeoPackage) -> Iterator[Seen]:
    return ({"row": shape.row} for _, shape in _shapes(one) if shape.blob is None)


def _bad_blob(one: GeoPackage) -> Iterator[Seen]:
    for _, shape in _shapes(one):
        if shape.blob is not None and shape.header is None:
            yield {"row": shape.row}


def _bad_geometry(one: GeoPackage) -> Iterator[Seen]:
    for _, shape in _shapes(one):
        if shape.header is not None and shape.geometry is None:
            yield {"row": shape.row}


def _blob_srs(one: GeoPackage) -> Iterator[Seen]:
    for layer, shape in _shapes(one):
        if shape.header is not None and shape.header[0] != layer.listed.srs:
            yield {"row": shape.row, "srs": shape.header[0], "other": layer.listed.srs}


def _envelope(one: GeoPackage) -> Iterator[Seen]:
    for _, shape in _shapes(one):
        if shape.header is None or shape.geometry is None or not shape.header[2]:
            continue
        east, north = shape.geometry.points.T
        if not len(east):
            continue
        true = (east.min(), east.max(), north.min(), north.max())
        if not all(abs(one - other) <= _BOX_DEG for one, other in zip(shape.header[2], true, strict=True)):
            yield {"row": shape.row}


def _other_type(one: GeoPackage) -> Iterator[Seen]:
    for layer, shape in _shapes(one):
        wanted = layer.listed.shape.upper()
        if shape.geometry is not None and wanted not in ("GEOMETRY", shape.geometry.name):
            yield {"row": shape.row, "kind": shape.geometry.name, "wanted": wanted}


def _heights(one: GeoPackage) -> Iterator[Seen]:
    for layer in one.layers:
        if any(shape.geometry is not None and shape.geometry.has_heights for shape in layer.shapes):
            yield {"layer": layer.name}


def rate_columns(layer: Layer) -> list[str]:
    """Name the columns of a layer that may hold a rate."""
    return [name for name in layer.columns if "rate" in name.lower()]


def _operators(one: GeoPackage) -> Iterator[Layer]:
    return (layer for layer in one.layers if layer.name == OPERATORS)


def _no_rate_column(one: GeoPackage) -> Iterator[Seen]:
    return ({"layer": layer.name} for layer in _operators(one) if not rate_columns(layer))


def _several_rates(one: GeoPackage) -> Iterator[Seen]:
    for layer in _operators(one):
        if len(rate_columns(layer)) > 1:
            yield {"layer": layer.name, "columns": ", ".join(rate_columns(layer))}


def _no_unit(one: GeoPackage) -> Iterator[Seen]:
    for layer in _operators(one):
        for column in rate_columns(layer):
            if not unit_of(column):
                yield {"layer": layer.name, "column": column}


def _rate_is_text(one: GeoPackage) -> Iterator[Seen]:
    for layer in _operators(one):
        for column in rate_columns(layer):
            if any(not isinstance(value, int | float | None) for value in layer.values[column]):
                yield {"layer": layer.name, "column": column}


RULES: tuple[Rule[GeoPackage], ...] = (
    Rule("gpkg_application_id", "refused", _application_id),
    Rule("gpkg_new_version", "doubtful", _new_version),
    Rule("gpkg_left_over", "refused", _log),
    Rule("gpkg_keeps_log", "doubtful", _keeps_log),
    Rule("gpkg_damaged", "refused", _damaged),
    Rule("gpkg_no_table", "refused", _no_table),
    Rule("gpkg_systems", "refused", _systems),
    Rule("gpkg_no_layer", "refused", _no_layer),
    Rule("gpkg_unlisted", "refused", _unlisted),
    Rule("gpkg_no_rows", "refused", _no_rows),
    Rule("gpkg_srs_differs", "refused", _srs_differs),
    Rule("gpkg_not_lonlat", "refused", _not_lonlat),
    Rule("gpkg_no_key", "refused", _no_key),
    Rule("gpkg_index", "refused", _index),
    Rule("gpkg_bounds", "doubtful", _bounds),
    Rule("gpkg_styles_unlisted", "doubtful", _styles_unlisted),
    Rule("gpkg_style_of_nothing", "doubtful", _style_of_nothing),
    Rule("gpkg_no_geometry", "refused", _no_geometry),
    Rule("gpkg_bad_blob", "refused", _bad_blob),
    Rule("gpkg_bad_geometry", "refused", _bad_geometry),
    Rule("gpkg_blob_srs", "refused", _blob_srs),
    Rule("gpkg_envelope", "refused", _envelope),
    Rule("gpkg_other_type", "refused", _other_type),
    Rule("gpkg_heights", "doubtful", _heights),
    Rule("gpkg_no_rate_column", "refused", _no_rate_column),
    Rule("gpkg_several_rates", "doubtful", _several_rates),
    Rule("gpkg_no_unit", "doubtful", _no_unit),
    Rule("gpkg_rate_is_text", "refused", _rate_is_text),
)
