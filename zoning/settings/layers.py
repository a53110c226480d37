"""Rules between the keys of [[layer]]: what polygons, rasters, yields and heights each need."""

from collections.abc import Iterator
from pathlib import PurePath

from zoning.errors import InputError
from zoning.settings.given import Given
from zoning.settings.plain import fault

POLYGONS = (".geojson", ".json", ".gpkg", ".shp")  # how the name of a file with polygons ends
_OF_YIELD, _OF_HEIGHTS = ("bu/ac", "t/ha"), ("m", "ft")


def is_polygons(file: str) -> bool:
    """Say by the name of a layer's file whether it holds polygons.

    Examples
    --------
    >>> is_polygons("layers/soil.GPKG"), is_polygons("layers/elevation.tif")
    (True, False)
    """
    return PurePath(file).suffix.lower() in POLYGONS


def _units(given: Given) -> Iterator[InputError]:
    for number, layer in given.tables("layer"):
        unit, use, place = layer.get("unit"), layer.get("use"), ("layer", number, "unit")
        if use == "yield" and not unit:
            mend = 'Add it, as unit = "bu/ac" or unit = "t/ha".'
            yield fault(given, place, "missing, which a yield layer needs", mend)
        elif use == "yield" and unit in _OF_HEIGHTS:
            yield fault(given, place, "no unit of a yield", 'Write unit = "bu/ac" or unit = "t/ha".')
        elif layer.get("terrain") and use != "yield" and unit in _OF_YIELD:
            yield fault(given, place, "no unit of a height", 'Write unit = "m" or unit = "ft".')


def _sources(given: Given) -> Iterator[InputError]:
    """Refuse a band of polygons, and a column of a raster."""
    for number, layer in given.tables("layer"):
        file = layer.get("file")
        if not isinstance(file, str):  # told by the model
            continue
        if is_polygons(file) and "band" in layer:
            mend = 'Name the column with the numbers, as column = "clay", and take band out.'
            yield fault(given, ("layer", number, "band"), "polygons have no bands", mend)
        if not is_polygons(file) and layer.get("column"):
            mend = "Take it out, or name a file of polygons; bands of a GeoTIFF are chosen with band."
            yield fault(given, ("layer", number, "column"), "only polygons have columns", mend)


def _terrain(given: Given) -> Iterator[InputError]:
    """Ask for a raster of heights where terrain is derived, and for each kind of it once."""
    for number, layer in given.tables("layer"):
        wanted, file, place = layer.get("terrain"), layer.get("file"), ("layer", number, "terrain")
        if not isinstance(wanted, list) or not wanted:
            continue
        if layer.get("use") == "yield":
            yield fault(given, place, "a yield has no terrain", "Take terrain out, or use.")
        elif isinstance(file, str) and is_polygons(file):
            mend = "Name a GeoTIFF of elevation, or take terrain out."
            yield fault(given, place, "polygons have no terrain", mend)
        twice = [one for place_of, one in enumerate(wanted) if one in wanted[:place_of]]
        if twice:
            yield fault(given, place, f"{twice[0]} stands there twice", "Name each once.")


RULES = (_units, _sources, _terrain)
