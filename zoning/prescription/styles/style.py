"""What a layer looks like, as values: no text of any program, no file.

A vector layer has cases: rows with given values get a symbol, a line in the legend and a label. A raster has
shades: values with their colours.
"""

from dataclasses import dataclass
from typing import Literal

Hatch = Literal["", "slanted", "crossed"]
Mark = Literal["circle", "triangle", "square"]
Value = str | int | float | None

# Two figures nearer than this are one: files hold rates with two decimals.
SAME = 0.005


@dataclass(frozen=True, slots=True, kw_only=True)
class Symbol:
    """How a place is drawn; `fill` is "" where only the outline is, `mark` the shape of a point."""

    fill: str = ""
    hatch: Hatch = ""
    hatch_colour: str = ""
    outline: str
    outline_mm: float = 0.3
    mark: Mark | None = None
    mark_mm: float = 3.0


@dataclass(frozen=True, slots=True)
class Column:
    """In a label: the row's value in this column."""

    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """Rows whose columns have all the values of `where`: what the legend says, symbol and label."""

    where: tuple[tuple[str, Value], ...] = ()
    legend: str
    symbol: Symbol
    label: tuple[Column | str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """Look of a vector layer. No row fits two of the cases.

    `lies_under`: other layers lie over it, and so may their labels.
    """

    name: str
    cases: tuple[Case, ...]
    lies_under: bool = False

    @property
    def column(self) -> str:
        """The one column that all cases ask for one value of; "" where they ask for more, or for none."""
        asked = [case.where for case in self.cases]
        names = {where[0][0] for where in asked if len(where) == 1}
        return names.pop() if len(names) == 1 and all(len(where) == 1 for where in asked) else ""


@dataclass(frozen=True, slots=True)
class Shade:
    """One value of a raster with its colour and what the legend says."""

    value: float
    colour: str
    legend: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Shades:
    """Look of a raster, values rising; `between`: colours run from each value to the next."""

    name: str
    shades: tuple[Shade, ...]
    between: bool


def clean(text: str) -> str:
    """Take out the signs that no XML may hold, so that no name of a field makes a file unreadable.

    Examples
    --------
    >>> clean("A" + chr(11) + "B")
    'AB'
    """
    return "".join(sign for sign in text if sign in "\t\n\r" or " " <= sign <= "\ud7ff" or sign >= "\ue000")
