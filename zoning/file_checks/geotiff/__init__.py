"""Rasters of a plan: which files belong together, the plan that lies beside, and all rules about them."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import PurePosixPath

from zoning.file_checks.finding import Finding, UnreadableError, apply
from zoning.file_checks.formats import Field, Names
from zoning.file_checks.geopackage.reader import Layer
from zoning.file_checks.geopackage.reader import read as read_geopackage
from zoning.file_checks.geotiff.reader import read
from zoning.file_checks.geotiff.rules import RULES as RULES
from zoning.file_checks.place import Place, on_disk

_ENDINGS = (".tif", ".tiff")
_STYLES = (".qml", ".sld")
_FOLDER = "rasters"  # other folders hold pictures that came in
_PLAN, _ZONES = "zones.gpkg", "zones"


def groups(place: Place) -> Iterator[Names]:
    """Take each raster of a folder `rasters`, or of the very folder asked for, with its styles."""
    for name in place.names:
        path = PurePosixPath(name)
        if path.suffix.lower() in _ENDINGS and path.parent.name in ("", _FOLDER):
            styles = (path.with_suffix(end).as_posix() for end in _STYLES)
            yield (name, *(one for one in styles if one in place.sizes))


def check(place: Place, names: Names, field: Field) -> Iterator[Finding]:
    """Judge one raster.

    Raises
    ------
    UnreadableError
        When it cannot be read.
    """
    styles = {PurePosixPath(name).name: place.read(name) for name in names[1:]}
    raster = read(names[0], place.read(names[0]), styles)
    whole = replace(raster, field=field, zones=_zones(place, names[0]))
    yield from apply(RULES, whole, place.told(names[0]))


def _zones(place: Place, name: str) -> Layer | None:
    """Find the zones of the plan in the folder around, None where there is none that can be read."""
    folder = PurePosixPath(name).parent
    for near in (folder, folder.parent):
        if (near / _PLAN).as_posix() in place.sizes:
            return _layer(place, (near / _PLAN).as_posix())
    above = place.disk.resolve().parent
    if place.inside or not (above / _PLAN).is_file():
        return None
    return _layer(on_disk(above, deep=False), _PLAN)


def _layer(place: Place, name: str) -> Layer | None:
    try:
        package = read_geopackage(place.read(name), ())
    except UnreadableError:
        return None
    return next((layer for layer in package.layers if layer.name == _ZONES), None)
