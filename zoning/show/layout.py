"""Tables of strings laid out in columns of letters, for a terminal.

Knows neither plans nor units; colours nothing and prints nothing.
"""

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

WIDTH = 120  # a wide terminal; a narrower one gets two tables, one below the other
REASON = "reason"  # a column of sentences: each goes on lines of its own, below its row
ZONE = "zone"
_SPLIT = "closes"  # the first of two tables ends with this column
_TO_THE_LEFT = (
    *("block", "field", "planted", "emerged", "action", "first pass"),
    *("spray from", "spray by", "closes", "R3", "state", "source", "answer"),
    *("when", "sprayer", "which zones", "due", "first day", "over by"),
)
_GROUPS = ("planted", "spray from", "action", "net", "chance")  # each stands a little apart
_HEAD_LINES = 3
_FIRST = ("action", "net", "80 %", "chance")  # on a card
_NOTHING = "-"  # a cell of a card that is left out


@dataclass(frozen=True, slots=True)
class Table:
    """A table of strings; every row is as long as the head."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def _broken(head: str) -> list[str]:
    """Break a head at its spaces into the narrowest lines, the last line lowest."""
    longest = max(len(word) for word in head.split(" "))
    width = next(
        width for width in range(longest, len(head) + 1) if len(textwrap.wrap(head, width)) <= _HEAD_LINES
    )
    lines = textwrap.wrap(head, width, break_on_hyphens=False)
    return [""] * (_HEAD_LINES - len(lines)) + lines


def _widths(part: Table) -> list[int]:
    columns = zip(*part.rows, strict=True) if part.rows else ((),) * len(part.head)
    return [
        max(len(text) for text in (*_broken(head), *column))
        for head, column in zip(part.head, columns, strict=True)
    ]


def _gaps(part: Table, roomy: bool) -> list[str]:
    """List what stands before each column."""
    apart = ("  " if roomy or head.startswith(_GROUPS) else " " for head in part.head[1:])
    return ["", *apart]


def _needs(part: Table, roomy: bool) -> int:
    return sum(_widths(part)) + sum(len(gap) for gap in _gaps(part, roomy))


def _lines(part: Table, roomy: bool) -> tuple[list[str], list[str]]:
    """Lines of the head and of the rows, padded."""
    widths, gaps = _widths(part), _gaps(part, roomy)

    def padded(cells: Sequence[str]) -> str:
        fitted = (
            gap + (cell.ljust(width) if head.startswith(_TO_THE_LEFT) else cell.rjust(width))
            for gap, cell, width, head in zip(gaps, cells, widths, part.head, strict=True)
        )
        return "".join(fitted).rstrip()

    heads = zip(*(_broken(head) for head in part.head), strict=True)
    return [line for line in map(padded, heads) if line], [padded(row) for row in part.rows]


def _columns(whole: Table, wanted: Sequence[str]) -> Table:
    places = [whole.head.index(head) for head in wanted]
    return Table(tuple(wanted), tuple(tuple(row[place] for place in places) for row in whole.rows))


def _with_reasons(whole: Table, body: Table, roomy: bool, width: int) -> str:
    top, lines = _lines(body, roomy)
    if REASON in whole.head:
        place, indent = whole.head.index(REASON), " " * (_widths(body)[0] + 2)
        for index, row in enumerate(whole.rows):
            below = textwrap.wrap(row[place], width, initial_indent=indent, subsequent_indent=indent)
            lines[index] = "\n".join([lines[index], *below])
    return "\n".join([*top, *lines])


def as_text(whole: Table, width: int = WIDTH) -> str:
    """Lay a table out in columns, with each reason on a line of its own below its row.

    Parameters
    ----------
    whole : Table
        Any table of strings.
    width : int
        Of the terminal. Where the table is wider, it becomes two, the second with the first column
        again; where these are too wide as well, each row becomes a few lines. [characters]

    Returns
    -------
    str
        No line ends with a space.

    Examples
    --------
    >>> print(as_text(Table(("zone", "net $/ac", "reason"), (("1", "+12", "needs 2.7 bu/ac, expect 3.9"),))))
           net
    zone  $/ac
       1   +12
          needs 2.7 bu/ac, expect 3.9
    """
    heads = [head for head in whole.head if head != REASON]
    body = _columns(whole, heads)
    for roomy in (True, False):
        if _needs(body, roomy) <= width:
            return _with_reasons(whole, body, roomy, width)
    if _SPLIT in heads[:-1]:
        cut = heads.index(_SPLIT) + 1
        halves = (heads[:cut], [heads[0], *heads[cut:]])
        if all(_needs(_columns(whole, half), False) <= width for half in halves):
            first, rest = (_columns(whole, half) for half in halves)
            of_rest = _columns(whole, [*rest.head, *(head for head in whole.head if head == REASON)])
            return f"{as_text(first, width)}\n\n{as_text(of_rest, width)}"
    return _cards(whole, width)


def _rank(head: str) -> int:
    """Place of a column on a card: the decision and what it brings stand first."""
    return next((place for place, start in enumerate(_FIRST) if head.startswith(start)), len(_FIRST))


def _cards(whole: Table, width: int) -> str:
    """Write each row as a few lines of names and figures, where columns would not fit side by side."""
    lines = []
    for row in whole.rows:
        cells = sorted(zip(whole.head[1:], row[1:], strict=True), key=lambda cell: _rank(cell[0]))
        told = ", ".join(f"{head} {cell}" for head, cell in cells if head != REASON and cell != _NOTHING)
        first = f"{whole.head[0]} {row[0]}"
        below = [f"{first}: {told}" if told else first]
        below += [row[whole.head.index(REASON)]] if REASON in whole.head else []
        for index, text in enumerate(below):
            lines += textwrap.wrap(text, width, initial_indent="  " * index, subsequent_indent="  ")
    return "\n".join(lines) if lines else textwrap.fill(", ".join(whole.head), width)


def wrapped(lines: Sequence[str], width: int, indent: str = "") -> str:
    """Wrap each line; one that is indented itself keeps its indent, and what runs over gets `indent` more.

    Examples
    --------
    >>> print(wrapped(["a line", "  one that is indented"], 12, "  "))
    a line
      one that
        is
        indented
    """
    filled = []
    for line in lines:
        own = line[: len(line) - len(line.lstrip())]
        filled.append(textwrap.fill(line.lstrip(), width, initial_indent=own, subsequent_indent=own + indent))
    return "\n".join(filled)
