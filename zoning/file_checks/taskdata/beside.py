"""The map of the same pass in a GeoPackage beside a TASKDATA folder: a second witness for its cells.

Rows that are turned in a rectangular field leave no cell outside it; only another map of the pass can tell.
"""

from collections.abc import Iterator
from pathlib import PurePosixPath

from zoning.evidence import number
from zoning.file_checks import geopackage
from zoning.file_checks.finding import UnreadableError
from zoning.file_checks.place import Place, on_disk
from zoning.file_checks.taskdata.parts import RatedGround

_ENDING = ".gpkg"
_L_HA = "L/ha"


def map_beside(place: Place, folder: PurePosixPath) -> RatedGround:
    """Give the ground of the one map beside the folder with its rates in L/ha; empty where there is none."""
    around, where = place, folder.parent
    if folder == PurePosixPath("."):
        if place.inside:
            return ()
        around = on_disk(place.disk.resolve().parent, deep=False)
    names = [name for name in around.names if PurePosixPath(name).parent == where]
    found = [ground for name in names if name.lower().endswith(_ENDING) for ground in _rated(around, name)]
    return found[0] if len(found) == 1 else ()


def _rated(place: Place, name: str) -> Iterator[RatedGround]:
    try:
        layer = geopackage.operators_map(place, name)
    except UnreadableError:
        return
    if layer is not None and layer.rate_unit and layer.is_whole:
        per_unit = 1.0 if layer.rate_unit == _L_HA else number("file_checks.l_ha_per_gal_ac")
        yield tuple((shape, (row.rate or 0.0) * per_unit) for row, shape in layer.valid)
