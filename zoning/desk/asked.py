"""What a browser asks for, as values: JSON of a known shape, of a bounded size, and nothing else."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from zoning.errors import InputError

if TYPE_CHECKING:
    from starlette.requests import Request

MOST_BYTES = 300_000  # decisions for some hundred zones, each with a long reason


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A row that the browser names: `file` counts the scouting files from 1; `key` is what it then said."""

    file: int
    line: int
    key: str


@dataclass(frozen=True, slots=True)
class Point:
    """A place on the plan's map, in metres to the right of its corner and down from it."""

    x: float
    y: float


class TooLargeError(Exception):
    """More was sent than anything that is asked for here takes."""


class NoJsonError(Exception):
    """Something else than JSON was sent."""


async def body(request: "Request") -> Mapping[str, Any]:
    """Read what was sent.

    Raises
    ------
    TooLargeError, NoJsonError
        Where it is too large, or no JSON object.
    """
    if request.headers.get("content-type", "").partition(";")[0].strip() != "application/json":
        raise NoJsonError
    content = b""
    async for part in request.stream():
        content += part
        if len(content) > MOST_BYTES:
            raise TooLargeError
    try:
        whole = json.loads(content.decode("utf-8"), parse_constant=_no_number)
        json.dumps(whole, ensure_ascii=False).encode("utf-8")  # halves of letters fit into no file
    except (ValueError, RecursionError) as error:
        raise NoJsonError from error
    if not isinstance(whole, dict):
        raise NoJsonError
    return whole


def row(whole: Mapping[str, Any]) -> Asked:
    """Take which row of the scouting files is meant."""
    file, line, key = (whole.get(name) for name in ("file", "line", "key"))
    if not (isinstance(file, int) and isinstance(line, int) and isinstance(key, str)):
        raise InputError("no row is named", where="scouting", mend="Load the page again, and try again.")
    return Asked(file=file, line=line, key=key)


def cells(whole: Mapping[str, Any]) -> Mapping[str, Any]:
    """Take the cells of a count."""
    found = whole.get("cells")
    if not isinstance(found, dict) or not found:
        raise InputError("no count is given", where="scouting", mend="Fill in the form, and try again.")
    return found


def pair(whole: Mapping[str, Any]) -> list[Any]:
    """Take two zones."""
    found = whole.get("zones")
    if not isinstance(found, list) or len(found) != 2:
        raise InputError("these are not two zones", where="merge", mend="Choose two that lie side by side.")
    return found


def line(whole: Mapping[str, Any]) -> tuple[Point, Point]:
    """Take a line from its two ends, in metres of the plan's plane."""
    found = whole.get("line")
    ends = found if isinstance(found, list) and len(found) == 2 else [None, None]
    first, last = point(ends[0]), point(ends[1])
    if first is None or last is None:
        raise InputError("this is no line", where="split", mend="Tap two places on the map.")
    return first, last


def point(given: object) -> Point | None:
    """Take a place on the map; None where it is none."""
    is_point = isinstance(given, list) and len(given) == 2 and all(_is_number(one) for one in given)
    return Point(float(given[0]), float(given[1])) if isinstance(given, list) and is_point else None


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e9


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is no number")
