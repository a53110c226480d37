"""SHA256SUMS: a line for each file, `<64 digits>  <name>`; each must be what its line says."""

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import PurePosixPath

from zoning.file_checks.finding import Finding, Rule, Seen, apply
from zoning.file_checks.formats import Field, Names
from zoning.file_checks.place import Place

NAME = "SHA256SUMS"
_LINE = re.compile(r"([0-9a-fA-F]{64}) [ *](.+)")


@dataclass(frozen=True, slots=True, eq=False)
class Sums:
    """What the lines say, and what is so: a file that is not there has no sum."""

    said: dict[str, str]
    true: dict[str, str]
    broken: tuple[int, ...]


def groups(place: Place) -> Iterator[Names]:
    """Take every file of checksums."""
    return ((name,) for name in place.names if PurePosixPath(name).name.upper() == NAME)


def read(place: Place, name: str) -> Sums:
    """Parse the lines and reckon the sums of the files that they name."""
    folder = PurePosixPath(name).parent
    said: dict[str, str] = {}
    broken: list[int] = []
    for at, line in enumerate(place.read(name).decode("utf-8", errors="replace").splitlines(), 1):
        match = _LINE.fullmatch(line)
        if match is not None:
            said[match[2]] = match[1].lower()
        elif line.strip():
            broken.append(at)
    there = {one: (folder / one).as_posix() for one in said if (folder / one).as_posix() in place.sizes}
    true = {one: hashlib.sha256(place.read(path)).hexdigest() for one, path in there.items()}
    return Sums(said, true, tuple(broken))


def sum_line(sums: Sums) -> Iterator[Seen]:
    """See lines that are no checksum with a name."""
    return ({"line": line} for line in sums.broken)


def sum_without_file(sums: Sums) -> Iterator[Seen]:
    """See names that are not there."""
    return ({"member": name[:80]} for name in sums.said if name not in sums.true)


def sum_differs(sums: Sums) -> Iterator[Seen]:
    """See files that are not as they were when the sum was made."""
    return ({"member": name} for name, true in sums.true.items() if true != sums.said[name])


SUMS: tuple[Rule[Sums], ...] = (
    Rule("sum_line", "doubtful", sum_line),
    Rule("sum_without_file", "doubtful", sum_without_file),
    Rule("sum_differs", "refused", sum_differs),
)


def check(place: Place, names: Names, _field: Field) -> Iterator[Finding]:
    """Check one file of checksums against its neighbours."""
    yield from apply(SUMS, read(place, names[0]), place.told(names[0]))
