"""The field that files belong to, looked for in the folders around them: what is to be covered, no more."""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from shapely.errors import GEOSException

from zoning.file_checks import geopackage, shapefile, taskdata
from zoning.file_checks.finding import UnreadableError
from zoning.file_checks.formats import Field
from zoning.file_checks.place import Place, on_disk

_UP = 3  # folders: passes/P1/P1_0714.zip is as deep as our own files lie
_WIDEST_DEG = 180.0

# File -> how its field is read, the surest first; a reader gives None where it finds none.
BOUNDARIES: tuple[tuple[str, Callable[[Place, str], Field]], ...] = (
    ("zones.gpkg", geopackage.field_of),
    ("prescription.shp", shapefile.field_of),
    ("TASKDATA/TASKDATA.XML", taskdata.field_of),
)


@dataclass
class Fields:
    """The field of each file that was asked for; what tells of it is read once."""

    known: dict[Path, Field] = field(default_factory=dict)

    def around(self, place: Place, name: str) -> Field:
        """Find the field in the folder of a file, or at most three folders up; never in the file itself."""
        itself = None if place.inside else (place.disk / name).resolve()
        folder = place.disk if place.inside else place.disk / PurePosixPath(name).parent
        here = folder.resolve()
        for boundary, read in BOUNDARIES:
            for one in (here, *here.parents[:_UP]):
                path = one / boundary
                found = None if path == itself else self._read(path, read)
                if found is not None:
                    return found
        return None

    def _read(self, path: Path, read: Callable[[Place, str], Field]) -> Field:
        if path not in self.known:
            self.known[path] = _read(path, read) if path.is_file() else None
        return self.known[path]


def _read(path: Path, read: Callable[[Place, str], Field]) -> Field:
    try:
        found = read(on_disk(path.parent, deep=False), path.name)
    except (UnreadableError, GEOSException):
        return None
    if found is None or found.is_empty or not found.is_valid:
        return None
    return found if max(abs(edge) for edge in found.bounds) <= _WIDEST_DEG else None
