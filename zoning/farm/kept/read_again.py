"""A value from the text of its nodes and its arrays; the other way round than `written`."""

import json
import re
from base64 import b64decode
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from math import prod
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from shapely import LinearRing, LineString
from shapely.geometry.base import BaseGeometry

from zoning.farm.kept.classes import building
from zoning.farm.kept.nodes import FORMAT, NUMBERS, npy_header
from zoning.words import Said

_SHAPES = ("g", "r")
_DESCR = re.compile(rf"[<>|][{NUMBERS}][0-9]+(\[[0-9A-Za-z]+\])?")


def read_again(text: bytes, arrays: Sequence[bytes]) -> object:
    """Put a value together.

    Parameters
    ----------
    text : bytes
        As of `Written`.
    arrays : sequence of bytes
        Each as in a `.npy` file. Arrays of the result cannot be written into: several may have become one.

    Raises
    ------
    ValueError
        When the text says anything that `written` does not.
    """
    try:
        whole = json.loads(text, parse_constant=_no_number)
        if whole["format"] != FORMAT:
            raise ValueError("another version made this file")
        builders = {place: building(*about) for place, about in enumerate(whole["classes"])}
        return _thing(whole["nodes"], whole["root"], builders, arrays)
    except (LookupError, TypeError, AttributeError, ArithmeticError, RecursionError, MemoryError) as error:
        raise ValueError(f"its values do not fit together ({type(error).__name__})") from error
    except shapely.errors.ShapelyError as error:
        raise ValueError("one of its shapes is none") from error


def _thing(
    nodes: Sequence[Sequence[Any]],
    root: object,
    builders: Mapping[int, Callable[[Sequence[Any]], object]],
    arrays: Sequence[bytes],
) -> object:
    things: dict[int, Any] = dict(_shapes(nodes))
    known = dict(enumerate(arrays))
    for place, node in enumerate(nodes):
        mark = node[0]
        if mark in _SHAPES:
            continue
        values = [things[one[0]] if type(one) is list else one for one in node[1:]]
        if type(mark) is int:
            things[place] = builders[mark](values)
        elif mark == "a":
            things[place] = _array(known[values[0]], *values[1:])
        else:
            things[place] = _KINDS[mark](values)
    return things[root[0]] if isinstance(root, list) else root


def _shapes(nodes: Sequence[Sequence[Any]]) -> Mapping[int, Any]:
    """Read all shapes in one go, which is quicker by far than one by one."""
    places = [place for place, node in enumerate(nodes) if node[0] in _SHAPES]
    found = shapely.from_wkb([_content(nodes[place][1]) for place in places])
    if any(one is None for one in found):
        raise ValueError("one of its shapes is none")
    return {
        place: _ring(one) if nodes[place][0] == "r" else one for place, one in zip(places, found, strict=True)
    }


def _ring(line: BaseGeometry) -> LinearRing:
    """Close a line: the binary form knows no rings by themselves."""
    if not isinstance(line, LineString):
        raise ValueError("one of its shapes is none")
    return shapely.set_srid(LinearRing(line.coords), shapely.get_srid(line))


def _array(member: bytes, descr: str, by_columns: bool, *shape: int) -> np.ndarray:
    kind = _kind(descr)
    header = npy_header(descr, shape, by_columns=bool(by_columns))
    if not member.startswith(header) or len(member) - len(header) != prod(shape) * kind.itemsize:
        raise ValueError("an array is not what its text says")
    return np.ndarray(shape, kind, buffer=member, offset=len(header), order="F" if by_columns else "C")


def _number(values: Sequence[Any]) -> object:
    descr, letters = values
    kind, content = _kind(descr), _content(letters)
    if len(content) != kind.itemsize:
        raise ValueError("a number has another size than it says")
    return np.ndarray((), kind, buffer=content)[()]


def _kind(descr: object) -> np.dtype[Any]:
    kind = np.dtype(descr) if isinstance(descr, str) and _DESCR.fullmatch(descr) else None
    if kind is None or kind.str != descr:
        raise ValueError("an array holds something else than numbers")
    return kind


def _dict(values: Sequence[Any]) -> dict[Any, Any]:
    return dict(zip(values[::2], values[1::2], strict=True))


def _said(values: Sequence[Any]) -> Said:
    code, *told = values
    return Said(code, **_dict(told))


def _float(values: Sequence[Any]) -> float:
    (word,) = values
    if word not in ("nan", "inf", "-inf"):
        raise ValueError("a number is none")
    return float(word)


def _datetime(values: Sequence[Any]) -> datetime:
    moment, fold = values
    return datetime.fromisoformat(moment).replace(fold=fold)


def _path(values: Sequence[Any]) -> Path:
    (name,) = values
    return Path(name)


def _content(letters: object) -> bytes:
    return b64decode(str(letters).encode("ascii"), validate=True)


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is no number")


_KINDS: Mapping[str, Callable[[Sequence[Any]], object]] = {
    "t": tuple,
    "l": list,
    "d": _dict,
    "s": set,
    "f": frozenset,
    "S": _said,
    "x": _float,
    "n": _number,
    "D": lambda values: date.fromisoformat(*values),
    "T": _datetime,
    "p": _path,
    "b": lambda values: _content(*values),
}
