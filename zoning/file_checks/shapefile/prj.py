"""The .prj and .cpg files: which coordinates, which letters. The WKT is parsed, not searched."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from zoning.file_checks.finding import Rule, Seen, UnreadableError

_GEOGRAPHIC = ("GEOGCS", "GEOGCRS", "GEODCRS", "GEODETICCRS", "GEOGRAPHICCRS")
_DATUM = ("DATUM", "GEODETICDATUM", "TRF", "ENSEMBLE")
_ELLIPSOID = ("SPHEROID", "ELLIPSOID")
_UNIT, _AXIS = ("UNIT", "ANGLEUNIT"), "AXIS"
_PRIME = ("PRIMEM", "PRIMEMERIDIAN")
_WGS_84 = {"wgs84", "dwgs1984", "wgs1984", "worldgeodeticsystem1984", "worldgeodeticsystem1984ensemble"}
_AXIS_M, _FLATTENING, _DEGREE = 6378137.0, 298.257223563, 0.0174532925199433
_CLOSE = 1e-9  # relative; names and figures come from one definition
_DEEPEST = 20
_LETTERS = {
    "utf8",
    "utf-8",
    "65001",
    "ascii",
    "us-ascii",
    "20127",
    "iso-8859-1",
    "88591",
    "1252",
    "ansi 1252",
}


@dataclass(frozen=True, slots=True)
class Node:
    """One element of WKT: its keyword, its texts and numbers, and what is inside it."""

    word: str
    values: tuple[str, ...]
    inside: tuple["Node", ...]

    def first(self, words: tuple[str, ...]) -> "Node | None":
        """Find the first element of one of these keywords directly inside."""
        return next((one for one in self.inside if one.word in words), None)


@dataclass(frozen=True, slots=True)
class Prj:
    """A .prj file, parsed."""

    crs: Node


@dataclass(frozen=True, slots=True)
class Cpg:
    """A .cpg file: the name of the letters."""

    name: str


Token = tuple[str | None, ...]  # text, name, figure, sign: one of them
_TOKEN = re.compile(r'\s*(?:"((?:[^"]|"")*)"|([A-Za-z_]\w*)|([-+.\w]+)|([\[\](),]))', re.ASCII)


def read_prj(data: bytes) -> Prj:
    """Parse a .prj file.

    Raises
    ------
    UnreadableError
        When it is no well-known text.

    Examples
    --------
    >>> read_prj(b'GEOGCS["GCS_North_American_1927",UNIT["Degree",0.0174]]').crs.values
    ('GCS_North_American_1927',)
    """
    text = data.decode("utf-8", errors="replace").removeprefix("\ufeff").strip()
    tokens: list[Token] = []
    at = 0
    while at < len(text):
        match = _TOKEN.match(text, at)
        if match is None:
            raise UnreadableError("prj_broken")
        tokens.append(match.groups())
        at = match.end()
    node, end = _node(tokens, 0, 0)
    if end != len(tokens):
        raise UnreadableError("prj_broken")
    return Prj(node)


def _node(tokens: list[Token], at: int, depth: int) -> tuple[Node, int]:
    """Parse `WORD[..., ...]` from a token on; give what follows it."""
    if (
        at + 1 >= len(tokens)
        or tokens[at][1] is None
        or tokens[at + 1][3] not in ("[", "(")
        or depth > _DEEPEST
    ):
        raise UnreadableError("prj_broken")
    word = str(tokens[at][1]).upper()
    values: list[str] = []
    inside: list[Node] = []
    at += 2
    while at < len(tokens):
        text, name, figure, sign = tokens[at]
        if name is not None and at + 1 < len(tokens) and tokens[at + 1][3] in ("[", "("):
            node, at = _node(tokens, at, depth + 1)
            inside.append(node)
        elif sign in ("]", ")"):
            return Node(word, tuple(values), tuple(inside)), at + 1
        elif sign is None:
            values.append(next(one for one in (text, name, figure) if one is not None))
            at += 1
        elif sign == ",":
            at += 1
        else:
            break
    raise UnreadableError("prj_broken")


def _angle_unit(crs: Node) -> Node | None:
    """Find the unit of angles: of the whole, or in the newer form of its axes."""
    axes = (one for one in crs.inside if one.word == _AXIS)
    return next((unit for unit in (one.first(_UNIT) for one in (crs, *axes)) if unit is not None), None)


def _figure(node: Node | None, place: int) -> float:
    try:
        return float(node.values[place]) if node is not None else float("nan")
    except (IndexError, ValueError):
        return float("nan")


def _is(value: float, wanted: float) -> bool:
    return abs(value - wanted) <= _CLOSE * max(abs(wanted), 1)


def wrong_crs(prj: Prj) -> Iterator[Seen]:
    """See anything but longitude and latitude on WGS 84, in degrees from Greenwich."""
    crs = prj.crs
    datum = crs.first(_DATUM)
    ellipsoid = datum.first(_ELLIPSOID) if datum is not None else None
    name = re.sub(r"[^a-z0-9]", "", datum.values[0].lower()) if datum is not None and datum.values else ""
    prime = crs.first(_PRIME)
    is_ours = (
        crs.word in _GEOGRAPHIC
        and name in _WGS_84
        and _is(_figure(ellipsoid, 1), _AXIS_M)
        and _is(_figure(ellipsoid, 2), _FLATTENING)
        and (prime is None or _is(_figure(prime, 1), 0.0))
        and _is(_figure(_angle_unit(crs), 1), _DEGREE)
    )
    if not is_ours:
        yield {"crs": crs.values[0] if crs.values else crs.word}


def newer_form(prj: Prj) -> Iterator[Seen]:
    """See the form of 2015 and later, which desktop programs read and terminals may not."""
    if prj.crs.word in _GEOGRAPHIC[1:]:
        yield {"word": prj.crs.word}


def read_cpg(data: bytes) -> Cpg:
    """Read a .cpg file."""
    return Cpg(data.decode("latin-1").strip())


def letters(cpg: Cpg) -> Iterator[Seen]:
    """See letters that terminals do not read."""
    if cpg.name.lower() not in _LETTERS:
        yield {"name": cpg.name[:20].encode("unicode_escape").decode()}


PRJ: tuple[Rule[Prj], ...] = (
    Rule("wrong_crs", "refused", wrong_crs),
    Rule("newer_form", "doubtful", newer_form),
)
CPG: tuple[Rule[Cpg], ...] = (Rule("letters", "doubtful", letters),)
