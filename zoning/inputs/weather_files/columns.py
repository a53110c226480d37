"""Columns of a weather table: which of ours is which of the file's, in which unit, and what a cell holds.

Knows no dates, and not which values are possible.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from zoning.errors import SETTINGS, InputError, raise_all
from zoning.inputs import files, table
from zoning.words import Said

_ABSENT = {"", "na", "n/a", "nan", "null", "none", "m", "-", "--"}
_ABSENT |= {f"{code}{zeros}" for code in ("-99", "-999", "-9999") for zeros in ("", ".0", ".00", ",0")}
_LONGEST_SHOWN = 40  # letters of a cell, in a sentence
_TRACE = "t"  # rain too little to measure


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of table.

    `stamp` is the column that says when; `values` gives, for what we keep, the names that it may have and
    what turns each into our unit. `renamed_in` is the setting that gives a file's own names.
    """

    renamed_in: str
    stamp: str
    values: Mapping[str, Mapping[str, Callable[[float], float]]]
    needed: tuple[str, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Every name that a column may have."""
        return (self.stamp, *(name for names in self.values.values() for name in names))


def matched(sheet: table.Sheet, renamed: Mapping[str, str], kind: Kind) -> dict[str, str]:
    """Match our names to the file's columns; of several units of one thing the first in `kind` is taken.

    Parameters
    ----------
    sheet : Sheet
        The file.
    renamed : mapping of str to str
        Our name -> the file's, for columns that are called otherwise.
    kind : Kind
        What the table may hold.

    Raises
    ------
    InputError
        When a name is not one of ours, a column is not there, or a row has more cells than the header.
    """
    faults = table.too_wide(sheet)
    if faults:  # its values stand in other columns than they are of
        raise_all(files.at_most(faults, sheet.file))
    found: dict[str, str] = {}
    has = f"the file has {table.listed(tuple(sheet.columns))}."
    for ours, theirs in renamed.items():
        if ours not in kind.names:
            what, mend = f'"{ours}" is not one of our columns', f"Use {', '.join(kind.names)}."
            faults.append(InputError(what, where=kind.renamed_in, mend=mend, code=SETTINGS))
        elif theirs.lower() not in sheet.columns:
            what, mend = f'there is no column "{theirs}" for {ours}', f"The{has.removeprefix('the')}"
            faults.append(InputError(what, where=sheet.file, mend=mend))
        else:
            found[ours] = theirs.lower()
    for names in ((kind.stamp,), *kind.values.values()):
        if not any(name in found or name in renamed for name in names):
            found |= {name: name for name in names if name in sheet.columns}
    for names in ((kind.stamp,), *(tuple(kind.values[name]) for name in kind.needed)):
        if not any(name in found or name in renamed for name in names):
            what, mend = f"there is no column {' or '.join(names)}", f"Name it in {kind.renamed_in}; {has}"
            faults.append(InputError(what, where=sheet.file, mend=mend))
    raise_all(faults)
    return found


def values(
    sheet: table.Sheet, row: table.Row, found: Mapping[str, str], kind: Kind
) -> tuple[dict[str, float], list[str]]:
    """Give one row in our units, NaN where nothing can be read, and what was refused in it."""
    wrong: list[str] = []
    read = dict.fromkeys(kind.values, math.nan)
    for ours, names in kind.values.items():
        name = next((one for one in names if one in found), None)
        if name is None:
            continue
        text = row.cells[sheet.columns[found[name]]]
        if text.lower() in _ABSENT:
            continue
        if ours == "rain_mm" and text.lower() == _TRACE:
            read[ours] = 0.0
            continue
        try:
            read[ours] = names[name](sheet.number(text))
        except ValueError:
            wrong.append(f'{name} "{_short(text)}"')
    return read, wrong


def twice(sheet: table.Sheet, found: Mapping[str, str]) -> list[Said]:
    """Say which of the columns that are read stand there twice."""
    names = [name for name in sheet.twice if name in found.values()]
    return [Said("inputs.column_twice", file=sheet.file, names=", ".join(names))] if names else []


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 1]}…"
