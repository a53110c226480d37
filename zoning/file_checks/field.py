"""The field that files belong to, looked for in the folders around them: what is to be covered, no more."""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from zoning.file_checks import shapefile_set
from zoning.file_checks.finding import UnreadableError
from zoning.file_checks.formats import Field
from zoning.file_checks.place import Place, on_disk

_UP = 3  # folders: passes/P1/P1_0714.zip is as deep as our own files lie

# File -> how its field is read, the surest first; a reader gives None where it finds none.
BOUNDARIES: tuple[tuple[str, Callable[[Place, str], Field]], ...] = (
    ("prescription.shp", shapefile_set.field_of),
)


@dataclass
class Fields:
    """The field of each folder that was asked for, read once."""

    known: dict[Path, Field] = field(default_factory=dict)

    def around(self, place: Place, name: str) -> Field:
        """Find the field in the folder of a file, or at most three folders up."""
        folder = place.disk if place.inside else place.disk / PurePosixPath(name).parent
        if folder not in self.known:
            here = folder.resolve()
            found = (_in_folder(one) for one in (here, *here.parents[:_UP]))
            self.known[folder] = next((one for one in found if one is not None), None)
        return self.known[folder]


def _in_folder(folder: Path) -> Field:
    for name, read in BOUNDARIES:
        if not (folder / name).is_file():
            continue
        head = PurePosixPath(name)
        try:
            found = read(on_disk(folder / head.parent, deep=False), head.name)
        except UnreadableError:
            continue
        if found is not None and found.is_valid and not found.is_empty:
            return found
    return None
