"""Waypoints of a GPX file, and the few words in their texts that say what was counted."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from zoning.errors import InputError
from zoning.inputs import letters, strict_xml

_TEXTS = ("name", "cmt", "desc")
_PAIR = re.compile(r"\b([a-z]\w*)\s*=\s*(\"[^\"]*\"|'[^']*'|[^\s,;]+)", re.IGNORECASE)
_OF = re.compile(r"\b(R[1-8])\s*:?\s*(\d+)\s*(?:/|of)\s*(\d+)\b", re.IGNORECASE)
_ALONE = re.compile(r"R\s?[1-8]|V\s?\d{1,2}|before\s+R1", re.IGNORECASE)
_NAMED = re.compile(r"\bR\s?[1-8]\b", re.IGNORECASE)
_SETTLED = ("v", "k", "pod_mm", "pod_in", *(f"r{stage}" for stage in range(1, 9)))
_NOT_FROM_TEXT = ("date", "lat", "lon")


@dataclass(slots=True, kw_only=True)
class Waypoint:
    """One waypoint: the line on which it begins, and what stands in it, as text."""

    line: int
    lat: str
    lon: str
    time: str = ""
    texts: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """Cells that a waypoint's texts hold, the rest of them, and whether that rest names a stage."""

    cells: Mapping[str, str]
    note: str
    names_a_stage: bool


def read(content: bytes, file: str) -> list[Waypoint]:
    """Read the waypoints of a GPX file; routes and tracks are passed over.

    Raises
    ------
    InputError
        When it is no XML, has a document type, or is no GPX.
    """
    reader = _Reader(file)
    strict_xml.walk(reader.parser, content, file, "GPX")
    if reader.root != "gpx":
        raise InputError("the file is no GPX", where=file, mend="Export the waypoints as GPX.")
    return reader.found


class _Reader:
    """Gathers waypoints while the parser walks through the file."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.root = ""
        self.found: list[Waypoint] = []
        self._path: list[str] = []
        self._text: list[str] = []
        self.parser = strict_xml.parser(file, "a GPX file", has_namespaces=True)
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text.append

    def _start(self, tag: str, given: Mapping[str, str]) -> None:
        name = tag.rpartition(" ")[2]
        self.root = self.root or name
        self._path.append(name)
        self._text.clear()
        if self._path == ["gpx", "wpt"]:
            line = self.parser.CurrentLineNumber
            self.found.append(
                Waypoint(line=line, lat=given.get("lat", "").strip(), lon=given.get("lon", "").strip())
            )

    def _end(self, _: str) -> None:
        if self._path[:2] == ["gpx", "wpt"] and len(self._path) == 3:
            text = " ".join(letters.seen("".join(self._text)).split())
            if self._path[2] == "time":
                self.found[-1].time = text
            elif self._path[2] in _TEXTS and text and text not in self.found[-1].texts.values():
                self.found[-1].texts[self._path[2]] = text
        self._path.pop()
        self._text.clear()


def cells(texts: Sequence[str], roles: Mapping[str, str]) -> Words:
    """Take out of texts what is said in a form that is known.

    Parameters
    ----------
    texts : sequence of str
        Name, comment and description of a waypoint.
    roles : mapping
        Name of a column -> its role; only these are taken from "name=value".

    Examples
    --------
    >>> known = {name: name for name in ("r2", "r3", "stage", "k", "n")}
    >>> cells(("r2=12 r3=8", "wet corner"), known)
    Words(cells={'r2': '12', 'r3': '8'}, note='wet corner', names_a_stage=False)
    >>> cells(("R3 4/20",), known).cells
    {'stage': 'R3', 'k': '4', 'n': '20'}
    >>> cells(("not yet R3",), known)
    Words(cells={}, note='not yet R3', names_a_stage=True)
    """
    found: dict[str, str] = {}

    def pair(match: re.Match[str]) -> str:
        role = roles.get(match[1].lower())
        if role is None or role in _NOT_FROM_TEXT or role in found:
            return match[0]
        found[role] = match[2].strip("\"'")
        return ""

    def share(match: re.Match[str]) -> str:
        if {"stage", "k", "n"} & set(found):
            return match[0]
        found.update(stage=match[1], k=match[2], n=match[3])
        return ""

    rest = [_tidy(_OF.sub(share, _PAIR.sub(pair, text))) for text in texts]
    if "stage" not in found and not set(_SETTLED) & set(found):
        alone = next((text for text in rest if _ALONE.fullmatch(text)), None)
        if alone is not None:
            found["stage"] = alone
            rest = [text for text in rest if text != alone]
    note = "; ".join(text for text in (*rest, found.pop("note", "")) if text)
    is_counted = "stage" in found or bool(set(_SETTLED) & set(found))
    return Words(cells=found, note=note, names_a_stage=not is_counted and _NAMED.search(note) is not None)


def _tidy(text: str) -> str:
    return " ".join(text.split()).strip(" ,;.")
