"""A row of the table of formats: which files of a folder belong together, and who checks them."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Any

from shapely import MultiPolygon, Polygon

from zoning.file_checks.finding import Finding, Rule
from zoning.file_checks.place import Place

Names = tuple[str, ...]
Field = Polygon | MultiPolygon | None


@dataclass(frozen=True, slots=True)
class Format:
    """One row: `groups` gives the files of a place that are one thing, the head first; `check` judges one.

    `rules` are all rows of its tables, as the docs list them. `inner` gives a further place to be checked,
    of a format that holds others.
    """

    name: str
    groups: Callable[[Place], Iterable[Names]]
    check: Callable[[Place, Names, Field], Iterable[Finding]]
    rules: tuple[Rule[Any], ...]
    inner: Callable[[Place, Names], Place | None] = lambda _place, _names: None


def ending(*suffixes: str) -> Callable[[Place], Iterator[Names]]:
    """Take each file with one of these endings by itself."""

    def groups(place: Place) -> Iterator[Names]:
        return ((name,) for name in place.names if PurePosixPath(name).suffix.lower() in suffixes)

    return groups
