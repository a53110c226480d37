"""GeoPackages: which files belong together, and all rules about them and their layers."""

from collections.abc import Iterable, Iterator
from pathlib import PurePosixPath

from zoning.file_checks.finding import Finding, Rule, apply
from zoning.file_checks.formats import Field, Names
from zoning.file_checks.geopackage.reader import GeoPackage, Layer, read
from zoning.file_checks.geopackage.rules import OPERATORS, rate_columns
from zoning.file_checks.geopackage.rules import RULES as RULES
from zoning.file_checks.of_polygons.geometry import RINGS_OF_LAYERS
from zoning.file_checks.of_polygons.ground import GROUND
from zoning.file_checks.of_polygons.layer import judge
from zoning.file_checks.of_polygons.polygons import Polygons, Row
from zoning.file_checks.of_polygons.rates import OF_A_PASS, unit_of
from zoning.file_checks.place import Place

_LEFT_OVER = ("-wal", "-journal", "-shm")
_ZONES, _BOUNDARY = "zones", "boundary"
_FIELD = "field"  # column of a layer of a whole farm
# Layers of a desktop program need not cover the field each by itself.
_COVER = ("gap", "not_covered")
_ONCE: tuple[Rule[Polygons], ...] = tuple(rule for rule in GROUND if rule.name not in _COVER)


def groups(place: Place) -> Iterator[Names]:
    """Take each .gpkg with what a program left beside it."""
    for name in place.names:
        if PurePosixPath(name).suffix.lower() == ".gpkg":
            left = (f"{name}{end}" for end in _LEFT_OVER)
            yield (name, *(one for one in left if one in place.sizes))


def check(place: Place, names: Names, field: Field) -> Iterator[Finding]:
    """Judge one GeoPackage.

    Raises
    ------
    UnreadableError
        When it is no SQLite database, or a damaged one.
    """
    where = place.told(names[0])
    beside = tuple(PurePosixPath(name).name for name in names[1:])
    package = read(place.read(names[0]), beside)
    yield from apply(RULES, package, where)
    around = field or _boundary(package)
    for layer in package.layers:
        if not layer.is_ground:
            continue
        if layer.name == OPERATORS:
            yield from judge(_polygons(layer, around), where, OF_A_PASS if rate_columns(layer) else ())
        else:
            ground = _ONCE if layer.name == _ZONES else ()
            for rows in _by_field(layer):
                yield from judge(
                    _polygons(layer, around, rows), where, (), rings=RINGS_OF_LAYERS, ground=ground
                )


def field_of(place: Place, name: str) -> Field:
    """Give the field by the layer `boundary`, for what lies around the GeoPackage."""
    return _boundary(read(place.read(name), ()))


def operators_map(place: Place, name: str) -> Polygons | None:
    """Give the map that a terminal reads, None where the GeoPackage has none.

    Raises
    ------
    UnreadableError
        When it is no SQLite database, or a damaged one.
    """
    package = read(place.read(name), ())
    found = (layer for layer in package.layers if layer.name == OPERATORS and layer.is_ground)
    return next((_polygons(layer, None) for layer in found), None)


def _boundary(package: GeoPackage) -> Field:
    """Give the ground of the layer `boundary`, None where there is none that can be measured."""
    layers = (layer for layer in package.layers if layer.name == _BOUNDARY and layer.is_ground)
    grounds = (_polygons(layer, None).ground for layer in layers)
    return next((ground for ground in grounds if ground is not None), None)


def _by_field(layer: Layer) -> list[list[int]]:
    """Sort the rows of a layer of a whole farm by field: neighbours are drawn by different hands."""
    fields = layer.values.get(_FIELD, (None,) * len(layer.shapes))
    rows: dict[object, list[int]] = {}
    for at, field in enumerate(fields):
        rows.setdefault(field, []).append(at)
    return list(rows.values()) or [[]]


def _polygons(layer: Layer, field: Field, rows: Iterable[int] | None = None) -> Polygons:
    """Make a layer of polygons, of some rows or of all."""
    column = next(iter(rate_columns(layer)), None)
    rates = layer.values[column] if column is not None else (None,) * len(layer.shapes)
    made = []
    for at in range(len(layer.shapes)) if rows is None else rows:
        shape, rate = layer.shapes[at], rates[at]
        rings = () if shape.geometry is None else shape.geometry.rings
        made.append(Row(shape.row, rings, float(rate) if isinstance(rate, int | float) else None))
    return Polygons(tuple(made), field=field, rate_unit=unit_of(column or ""))
