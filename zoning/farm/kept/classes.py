"""The classes of ours of which values may be kept, and how a value of one is taken apart and put together.

They are the frozen dataclasses and the settings, and nothing else: a kept file may come from a stranger.
Putting together runs no code of the class, so that what was checked once is not checked, or changed, twice.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from functools import cache
from importlib import import_module
from operator import attrgetter
from typing import Any

from pydantic import BaseModel

_MODULE = re.compile(r"zoning(\.[a-z][a-z0-9_]*)*")
_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9]*")
_BESIDE = ("__pydantic_fields_set__", "__pydantic_extra__", "__pydantic_private__")


@dataclass(frozen=True, slots=True)
class Shape:
    """How values of one class are written: under which name, with which parts, and how they are found."""

    module: str
    name: str
    parts: tuple[str, ...]
    take: Callable[[Any], Sequence[object]]


@cache
def shape_of(kind: type) -> Shape | None:
    """Say how a frozen dataclass of ours is written; None for every other class."""
    if not _is_ours(kind) or not is_dataclass(kind):
        return None
    names = _names_of(kind)
    return Shape(kind.__module__, kind.__qualname__, names, _taking(names))


def _taking(names: tuple[str, ...]) -> Callable[[Any], Sequence[object]]:
    if len(names) > 1:
        return attrgetter(*names)
    return lambda thing: [getattr(thing, name) for name in names]


def settings_parts(thing: BaseModel) -> tuple[tuple[str, ...], list[object]] | None:
    """Take settings apart: the names of their values, and these with what the library keeps beside.

    None for what is not of ours, or not frozen.
    """
    if not _is_ours(type(thing)):
        return None
    state = thing.__getstate__()
    values = state["__dict__"]
    return tuple(values), [*values.values(), *(state[name] for name in _BESIDE)]


def building(module: str, name: str, parts: Sequence[str]) -> Callable[[Sequence[Any]], object]:
    """Find how a value of a class is put together.

    Parameters
    ----------
    module, name : str
        As of `Shape`.
    parts : sequence of str
        The names of the values that there are.

    Returns
    -------
    callable
        Takes these values in their order, of settings also what the library keeps beside.

    Raises
    ------
    ValueError
        When there is no such class of ours, or it has other parts now.
    """
    return _building(str(module), str(name), tuple(parts))


@cache
def _building(module: str, name: str, parts: tuple[str, ...]) -> Callable[[Sequence[Any]], object]:
    if not _MODULE.fullmatch(module) or not _NAME.fullmatch(name):
        raise ValueError(f"{module[:80]}.{name[:80]} is no class of ours")
    try:
        kind = vars(import_module(module)).get(name)
    except ImportError as error:
        raise ValueError(f"{module[:80]} is no module of ours") from error
    if not isinstance(kind, type) or kind.__module__ != module or not _is_ours(kind):
        raise ValueError(f"{module}.{name} is no class of which values are kept")
    if sorted(_names_of(kind)) != sorted(parts):
        raise ValueError(f"{module}.{name} has other parts now")
    is_settings = issubclass(kind, BaseModel)
    return _settings_builder(kind, parts) if is_settings else _dataclass_builder(kind, parts)


def _names_of(kind: Any) -> tuple[str, ...]:
    if issubclass(kind, BaseModel):
        return tuple(kind.model_fields)
    return tuple(one.name for one in fields(kind))


def _dataclass_builder(kind: type[Any], parts: tuple[str, ...]) -> Callable[[Sequence[Any]], object]:
    new, put = object.__new__, object.__setattr__

    def build(values: Sequence[Any]) -> object:
        made = new(kind)
        for name, value in zip(parts, values, strict=True):
            put(made, name, value)
        return made

    return build


def _settings_builder(kind: type[BaseModel], parts: tuple[str, ...]) -> Callable[[Sequence[Any]], object]:
    names = (*parts, *_BESIDE)

    def build(values: Sequence[Any]) -> object:
        state: dict[str, Any] = dict(zip(names, values, strict=True))
        beside = {name: state.pop(name) for name in _BESIDE}
        if not isinstance(beside[_BESIDE[0]], set) or any(
            not isinstance(beside[name], Mapping | None) for name in _BESIDE[1:]
        ):
            raise ValueError(f"{kind.__name__} is not as settings are")
        made: BaseModel = kind.__new__(kind)
        made.__setstate__({"__dict__": state, **beside})
        return made

    return build


def _is_ours(kind: type) -> bool:
    """Whether a class is of this package, at the top of its module, and its values never change."""
    if kind.__module__.partition(".")[0] != "zoning" or "." in kind.__qualname__:
        return False
    if issubclass(kind, BaseModel):
        return bool(kind.model_config.get("frozen"))
    return is_dataclass(kind) and bool(kind.__dataclass_params__.frozen)  # type: ignore[attr-defined]
