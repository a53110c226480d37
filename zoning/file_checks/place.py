"""A folder of files, on disk or inside a zip: the checkers read bytes by name and never mind which it is."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from zoning.evidence import number
from zoning.file_checks.finding import UnreadableError

BYTES_PER_MB = 1_000_000


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """Names, relative with `/` and in order, with their sizes, and how one is read.

    `disk` is the folder on disk that it is, or that its zip lies in; `inside` is set in a zip and stands
    before the names that people are told.
    """

    sizes: Mapping[str, int]
    disk: Path
    inside: str
    open_bytes: Callable[[str], bytes]

    @property
    def names(self) -> tuple[str, ...]:
        """List the names in order."""
        return tuple(sorted(self.sizes))

    def told(self, name: str) -> str:
        """Name a file to people; a name in a zip may hold what would move a screen's cursor."""
        plain = "".join(letter if letter.isprintable() else "?" for letter in name)
        return f"{self.inside}: {plain}" if self.inside else plain

    def read(self, name: str) -> bytes:
        """Read one file, if it is not too large to be a prescription.

        Raises
        ------
        UnreadableError
            When it is too large, or is refused by the disk.
        """
        limit_mb = number("file_checks.largest_file_mb")
        if self.sizes[name] > limit_mb * BYTES_PER_MB:
            raise UnreadableError("too_large", size_mb=self.sizes[name] / BYTES_PER_MB, limit_mb=limit_mb)
        try:
            return self.open_bytes(name)
        except OSError as error:
            raise UnreadableError("refused_by_disk", why=error.strerror or "no access") from error


def on_disk(folder: Path, *, deep: bool = True) -> Place:
    """Take a folder, with all that lies below it if `deep`; hidden files are left out.

    Raises
    ------
    OSError
        When the folder may not be looked into.
    """
    found = list(folder.iterdir())
    if deep:
        found = list(folder.rglob("*"))  # says nothing of what it may not look into
    sizes = {}
    for path in found:
        name = path.relative_to(folder).as_posix()
        if path.is_file() and not any(part.startswith(".") for part in name.split("/")):
            sizes[name] = path.stat().st_size
    return Place(sizes, folder, "", lambda name: (folder / name).read_bytes())
