"""One file, one folder, one zip: who checks what, and what was checked."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from shapely.errors import GEOSException

from zoning.errors import SETTINGS, InputError
from zoning.file_checks import sums
from zoning.file_checks.field import Fields
from zoning.file_checks.finding import Finding, UnreadableError, finding
from zoning.file_checks.formats import Format, Names
from zoning.file_checks.place import Place, on_disk
from zoning.file_checks.table import FORMATS


@dataclass(frozen=True, slots=True)
class Checked:
    """What was checked, by the head of each set or folder, and what was found, files in order of name."""

    files: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def is_refused(self) -> bool:
        """Say whether a terminal may refuse anything."""
        return any(one.severity == "refused" for one in self.findings)


def check(path: Path) -> Checked:
    """Check a file, a set of files by any of its members, a zip, or all that lies in a folder.

    Raises
    ------
    InputError
        When there is nothing in it that a checker knows.
    """
    if path.is_dir():
        groups = _groups(on_disk(path))
    else:  # checksums may name files in folders below them
        groups = _groups(on_disk(path.parent, deep=path.name.upper() == sums.NAME), path.name)
    if not groups:
        known = ", ".join(one.name for one in FORMATS)
        raise InputError(
            "nothing here is a file for a terminal that this program knows",
            where=path,
            mend=f"Name a farm, a field, or a file or folder with one of: {known}.",
            code=SETTINGS,
        )
    files: list[str] = []
    findings: list[Finding] = []
    fields = Fields()
    for one, where, names in groups:
        files += [where.told(name) for name in names]
        findings += _checked(one, where, names, fields)
    return Checked(tuple(files), tuple(findings))


def checks(path: Path) -> tuple[Finding, ...]:
    """Give only what was found."""
    return check(path).findings


Groups = list[tuple[Format, Place, Names]]


def _groups(place: Place, name: str | None = None) -> Groups:
    """Give the groups of files that formats claim, in the order of their heads, and those inside them.

    With a name only the group that this file belongs to.
    """
    claimed = [(names[0], one, names) for one in FORMATS for names in one.groups(place)]
    if name is not None:
        claimed = [row for row in claimed if name in row[2]]
    found: Groups = []
    for _, one, names in sorted(claimed, key=lambda row: row[0]):
        found.append((one, place, names))
        within = one.inner(place, names)
        found += [] if within is None else _groups(within)
    return found


def _checked(one: Format, place: Place, names: Names, fields: Fields) -> Iterator[Finding]:
    try:
        yield from one.check(place, names, fields.around(place, names[0]))
    except UnreadableError as fault:
        yield fault.found(place.told(names[0]))
    except GEOSException:  # shapes so broken that their ground cannot be laid on each other
        yield finding("refused", "not_measurable", place.told(names[0]), {})
