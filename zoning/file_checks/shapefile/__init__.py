"""A shapefile set: its members, then each by itself, then the map that they make together."""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Any, TypeVar

from zoning.evidence import number
from zoning.file_checks.finding import Finding, Rule, Seen, UnreadableError, apply
from zoning.file_checks.formats import Field, Names
from zoning.file_checks.of_polygons.layer import judge
from zoning.file_checks.of_polygons.polygons import Polygons, Row
from zoning.file_checks.of_polygons.rates import OF_A_PASS, RATES
from zoning.file_checks.place import Place
from zoning.file_checks.shapefile.dbf import RATE_UNITS, TABLE, TABLE_OF_A_PASS, Dbf, read_dbf
from zoning.file_checks.shapefile.prj import CPG, PRJ, read_cpg, read_prj
from zoning.file_checks.shapefile.shp import SHP, SHX, Shp, read_shp, read_shx, rings_of

MEMBERS = (".shp", ".shx", ".dbf", ".prj", ".cpg")
WHOLE_PLAN = "prescription"  # this set has a column for everything; all others are an operator's
_BYTES_PER_KB = 1000
Parsed = TypeVar("Parsed")


@dataclass(frozen=True, slots=True)
class Members:
    """The files of one set by their endings, and what is to be known of them before they are opened."""

    by_ending: dict[str, str]
    shp_bytes: int
    polygons: int

    @property
    def stem(self) -> str:
        """Name of the set."""
        return PurePosixPath(next(iter(self.by_ending.values()))).stem


def groups(place: Place) -> Iterator[Names]:
    """Put the members of each set together, whatever the case of their letters."""
    sets: dict[str, list[str]] = {}
    for name in place.names:
        path = PurePosixPath(name)
        if path.suffix.lower() in MEMBERS:
            sets.setdefault(path.with_suffix("").as_posix().lower(), []).append(name)
    for names in sets.values():
        yield tuple(sorted(names, key=lambda name: MEMBERS.index(PurePosixPath(name).suffix.lower())))


def missing(members: Members) -> Iterator[Seen]:
    """See a set without one of the files that every terminal wants."""
    return ({"member": f"{members.stem}{end}"} for end in MEMBERS[:4] if end not in members.by_ending)


def no_cpg(members: Members) -> Iterator[Seen]:
    """See a set that does not say which letters it is written in."""
    if ".cpg" not in members.by_ending:
        yield {"member": f"{members.stem}.cpg"}


def stems_differ(members: Members) -> Iterator[Seen]:
    """See members whose names differ in capitals."""
    stems = sorted({PurePosixPath(name).stem for name in members.by_ending.values()})
    if len(stems) > 1:
        yield {"stems": " and ".join(stems)}


def stem_long(members: Members) -> Iterator[Seen]:
    """See names that old terminals cut."""
    longest = int(number("file_checks.longest_stem"))
    if len(members.stem) > longest:
        yield {"stem": members.stem, "longest": longest}


def stem_odd(members: Members) -> Iterator[Seen]:
    """See names with anything but plain letters, digits, `_` and `-`."""
    if not re.fullmatch(r"[A-Za-z0-9_-]+", members.stem):
        yield {"stem": members.stem}


def many_polygons(members: Members) -> Iterator[Seen]:
    """See more polygons than old terminals take."""
    most = int(number("file_checks.most_polygons"))
    if members.polygons > most:
        yield {"count": members.polygons, "most": most}


def large_shp(members: Members) -> Iterator[Seen]:
    """See a .shp that is larger than old terminals take."""
    most_kb = number("file_checks.most_shp_kb")
    if members.shp_bytes > most_kb * _BYTES_PER_KB:
        yield {"size_kb": members.shp_bytes / _BYTES_PER_KB, "most_kb": most_kb}


SET: tuple[Rule[Members], ...] = (
    Rule("missing", "refused", missing),
    Rule("no_cpg", "doubtful", no_cpg),
    Rule("stems_differ", "refused", stems_differ),
    Rule("stem_odd", "doubtful", stem_odd),
)
SET_OF_A_PASS: tuple[Rule[Members], ...] = (
    *SET,
    Rule("stem_long", "doubtful", stem_long),
    Rule("many_polygons", "doubtful", many_polygons),
    Rule("large_shp", "doubtful", large_shp),
)
# All tables of a set.
RULES: tuple[Rule[Any], ...] = (*SET_OF_A_PASS, *SHP, *SHX, *TABLE_OF_A_PASS, *PRJ, *CPG)


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads members of a set; what cannot be read becomes a finding and None."""

    place: Place
    by_ending: dict[str, str]
    findings: list[Finding]

    def read(
        self, end: str, parse: Callable[[bytes], Parsed], rules: Iterable[Rule[Parsed]]
    ) -> Parsed | None:
        """Parse one member, if it is there, and hold it against its table."""
        if end not in self.by_ending:
            return None
        name = self.by_ending[end]
        try:
            parsed = parse(self.place.read(name))
        except UnreadableError as fault:
            self.findings.append(fault.found(self.place.told(name)))
            return None
        self.findings.extend(apply(rules, parsed, self.place.told(name)))
        return parsed


def check(place: Place, names: Names, field: Field) -> list[Finding]:
    """Check one set."""
    by_ending = {PurePosixPath(name).suffix.lower(): name for name in names}
    is_whole_plan = PurePosixPath(names[0]).stem.lower() == WHOLE_PLAN
    reader = _Reader(place, by_ending, [])
    shp = reader.read(".shp", read_shp, SHP)
    if shp is not None:
        reader.read(".shx", lambda data: read_shx(data, shp), SHX)
    shapes = None if shp is None else len(shp.records)
    table = TABLE if is_whole_plan else TABLE_OF_A_PASS
    dbf = reader.read(".dbf", lambda data: read_dbf(data, shapes), table)
    reader.read(".prj", read_prj, PRJ)
    reader.read(".cpg", read_cpg, CPG)
    members = Members(by_ending, place.sizes.get(by_ending.get(".shp", ""), 0), shapes or 0)
    found = list(apply(SET if is_whole_plan else SET_OF_A_PASS, members, place.told(names[0])))
    found += reader.findings
    if shp is not None:
        layer = _layer(shp, dbf, field)
        found += judge(layer, place.told(by_ending[".shp"]))
        if dbf is not None and dbf.rate is not None:
            rules = RATES if is_whole_plan else OF_A_PASS
            found += apply(rules, layer, place.told(by_ending[".dbf"]))
    return found


def _layer(shp: Shp, dbf: Dbf | None, field: Field) -> Polygons:
    """Make one layer of shapes and rates; a row that the table does not have has no rate."""
    column = dbf.rate if dbf is not None else None
    rates = dbf.values(column) if dbf is not None and column is not None else []
    rates += [None] * (len(shp.records) - len(rates))
    rows = tuple(
        Row(f"row {at}", rings_of(one), rate)
        for at, (one, rate) in enumerate(zip(shp.records, rates, strict=False), 1)
    )
    unit = RATE_UNITS.get(column.name.upper(), "") if column is not None else ""
    written = dbf.written_decimals(column) if dbf is not None and column is not None else 0
    return Polygons(rows, outer_clockwise=True, field=field, rate_unit=unit, rate_decimals=written)


def field_of(place: Place, name: str) -> Field:
    """Give the ground that a set covers, None where it cannot be read."""
    return _layer(read_shp(place.read(name)), None, None).ground
