"""A value as text: a list of nodes, each made of plain values and of nodes before it, and the arrays beside.

What never changes is written once, however often it occurs, and is one shared value when it is read again;
lists, dicts and sets stay as many as they were.
"""

from base64 import b64encode
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timezone
from json.encoder import encode_basestring_ascii
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from pydantic import BaseModel
from shapely.geometry.base import BaseGeometry

from zoning.farm.kept.classes import settings_parts, shape_of
from zoning.words import Said

FORMAT = 1
NUMBERS = "biufcmMSU"  # kinds of arrays that hold their values themselves
_CHANGE = (list, dict, set)
_quoted: Callable[[str], str] = encode_basestring_ascii


@dataclass(frozen=True, slots=True)
class Written:
    """A value as JSON text, and its distinct arrays: header and content of each as in a `.npy` file."""

    text: str
    arrays: tuple[tuple[bytes, bytes], ...]


def written(thing: object, *, as_value: bool = False) -> Written:
    """Write a value.

    Parameters
    ----------
    thing : object
    as_value : bool
        Equal lists, dicts and sets count as one too: the text then does not tell what is shared with what.

    Raises
    ------
    TypeError
        For what cannot be kept: only frozen dataclasses and settings of ours, arrays and numbers of numpy,
        shapes, days, paths and what Python has itself.
    """
    writer = _Writer(as_value=as_value)
    try:
        root = writer.token(thing)
    except RecursionError as error:
        raise TypeError("a thing that holds itself cannot be kept") from error
    classes, nodes = ",".join(writer.classes), ",\n".join(writer.nodes)
    text = f'{{"format": {FORMAT}, "classes": [{classes}],\n"nodes": [{nodes}],\n"root": {root}}}'
    return Written(text, tuple(writer.arrays))


def npy_header(descr: str, shape: tuple[int, ...], *, by_columns: bool) -> bytes:
    r"""Give the header of a `.npy` file, version 1.0.

    Examples
    --------
    >>> npy_header("<f8", (2, 3), by_columns=False)[10:72]
    b"{'descr': '<f8', 'fortran_order': False, 'shape': (2, 3), }   "
    """
    told = f"{{'descr': {descr!r}, 'fortran_order': {by_columns}, 'shape': {shape!r}, }}".encode("ascii")
    blank = -(10 + len(told) + 1) % 64
    return b"\x93NUMPY\x01\x00" + (len(told) + blank + 1).to_bytes(2, "little") + told + b" " * blank + b"\n"


class _Writer:
    """Collects nodes. A token is a plain value in JSON, or the number of a node in brackets."""

    def __init__(self, *, as_value: bool) -> None:
        self.classes: dict[str, int] = {}
        self.nodes: list[str] = []
        self.arrays: dict[tuple[bytes, bytes], int] = {}
        self._as_value = as_value
        self._of_text: dict[str, str] = {}
        self._of_id: dict[int, str] = {}
        self._held: list[object] = []  # an id speaks for a thing only while it is there

    def token(self, thing: object) -> str:
        kind = type(thing)
        plain = _PLAIN.get(kind)
        if plain is not None:
            return plain(thing)
        if kind is float and thing - thing == 0:  # type: ignore[operator]
            return repr(thing)
        known = self._of_id.get(id(thing))
        if known is not None:
            return known
        text = self._text(thing, kind)
        may_be_shared = self._as_value or kind not in _CHANGE
        found = self._of_text.get(text) if may_be_shared else None
        if found is None:
            found = f"[{len(self.nodes)}]"
            self.nodes.append(text)
            if may_be_shared:
                self._of_text[text] = found
        self._of_id[id(thing)] = found
        self._held.append(thing)
        return found

    def _text(self, thing: Any, kind: type) -> str:
        shape = shape_of(kind)
        if shape is not None:
            return self._of_class(shape.module, shape.name, shape.parts, shape.take(thing))
        if kind is tuple or kind is list:
            return self._node("t" if kind is tuple else "l", thing)
        if kind is dict:
            return self._node("d", (part for pair in thing.items() for part in pair))
        if kind is set or kind is frozenset:
            # which comes first in a set may be another in each run
            return self._node("s" if kind is set else "f", sorted(thing, key=_sort_key))
        if kind is Said:
            return self._node("S", (thing.code, *(part for pair in thing.values.items() for part in pair)))
        if isinstance(thing, BaseModel):
            parts = settings_parts(thing)
            if parts is not None:
                return self._of_class(kind.__module__, kind.__qualname__, *parts)
        leaf = self._leaf(thing, kind)
        if leaf is None:
            raise TypeError(f"a value of {kind.__module__}.{kind.__qualname__} cannot be kept")
        return leaf

    def _of_class(self, module: str, name: str, parts: tuple[str, ...], values: Iterable[object]) -> str:
        listed = ",".join(map(_quoted, parts))
        about = f"[{_quoted(module)},{_quoted(name)},[{listed}]]"
        place = self.classes.setdefault(about, len(self.classes))
        return f"[{','.join([str(place), *map(self.token, values)])}]"

    def _node(self, mark: str, values: Iterable[object]) -> str:
        return f"[{','.join([_quoted(mark), *map(self.token, values)])}]"

    def _leaf(self, thing: Any, kind: type) -> str | None:
        """Write what holds no other values; None where it is of no known kind."""
        if kind is float:
            return f'["x","{thing}"]'
        if kind is np.ndarray and thing.dtype.kind in NUMBERS:
            return self._array(thing)
        if isinstance(thing, np.generic) and thing.dtype.kind in NUMBERS:
            return f'["n","{thing.dtype.str}","{_letters(np.asarray(thing).tobytes())}"]'
        if isinstance(thing, BaseGeometry):
            mark = "r" if thing.geom_type == "LinearRing" else "g"
            return f'["{mark}","{_letters(shapely.to_wkb(thing, byte_order=1, include_srid=True))}"]'
        if kind is date:
            return f'["D","{thing.isoformat()}"]'
        if kind is datetime and (thing.tzinfo is None or type(thing.tzinfo) is timezone):
            return f'["T","{thing.isoformat()}",{thing.fold}]'
        if isinstance(thing, Path):
            return f'["p",{_quoted(str(thing))}]'
        if kind is bytes:
            return f'["b","{_letters(thing)}"]'
        return None

    def _array(self, thing: np.ndarray) -> str:
        """Write an array row by row, or column by column where it lies so; a view is written out."""
        flags = thing.flags
        by_columns = flags.f_contiguous and not flags.c_contiguous
        descr, shape = thing.dtype.str, thing.shape
        key = npy_header(descr, shape, by_columns=by_columns), thing.tobytes("F" if by_columns else "C")
        place = self.arrays.setdefault(key, len(self.arrays))
        sizes = "".join(f",{size}" for size in shape)
        return f'["a",{place},"{descr}",{"true" if by_columns else "false"}{sizes}]'


_PLAIN: dict[type, Callable[[Any], str]] = {
    str: _quoted,
    bool: lambda thing: "true" if thing else "false",
    int: int.__repr__,
    type(None): lambda _thing: "null",
}


def _letters(content: bytes) -> str:
    return b64encode(content).decode("ascii")


def _sort_key(thing: object) -> str:
    """Give a text that is the same for equal values in every run."""
    return _PLAIN[type(thing)](thing) if type(thing) in _PLAIN else written(thing, as_value=True).text
