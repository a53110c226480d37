"""What the reader of a page does to files: saves them, fills settings in, puts lines in, takes rows out.

The words before a block say which; a block without such words is a fault of the page.
"""

import re
from pathlib import Path

from page_blocks import Block

_HEADING = re.compile(r"^#?(\[+\w+\]+)")
_FILE = r"`([\w./]+\.(?:toml|csv|geojson|py))`"


def write(block: Block, folder: Path) -> None:
    """Do with a block what the paragraph before it says, below a folder."""
    told = block.paragraph
    placed = re.search(rf"\b(above|below|in place of) the line `(.+?)` of {_FILE}", told, re.IGNORECASE)
    if placed:
        where, line, name = placed.groups()
        _change(folder / name, lambda text: _put(text, where.lower(), line, block.text))
        return
    for words, how in (
        (rf"\bsave (?:this|it) as {_FILE}", None),
        (rf"\bwrite this\b.* at the end of {_FILE}", lambda text: f"{text}\n{block.text}"),
        (rf"\btake\b.* out of {_FILE}", lambda text: _without(text, block.text)),
        (rf"\bin {_FILE}", lambda text: filled_in(text, block.text)),
    ):
        if not (found := re.search(words, told, re.IGNORECASE)):
            continue
        path = folder / found[1]
        if how is None:
            path.write_text(block.text, encoding="utf-8")
        else:
            _change(path, how)
        return
    raise AssertionError(f"no word says what to do: {told}")


def _change(path: Path, how) -> None:
    before = path.read_text(encoding="utf-8")
    after = how(before)
    assert after != before, f"nothing changed in {path.name}"
    path.write_text(after, encoding="utf-8")


def _put(text: str, where: str, line: str, new: str) -> str:
    """Put lines above, below or in place of the one line that reads so, blanks apart."""
    lines = text.splitlines(keepends=True)
    (at,) = [place for place, one in enumerate(lines) if one.split() == line.split()]
    keeps = {"above": [new, lines[at]], "below": [lines[at], new], "in place of": [new]}[where]
    return "".join([*lines[:at], *keeps, *lines[at + 1 :]])


def _without(text: str, rows: str) -> str:
    kept = text.splitlines()
    assert set(rows.splitlines()) <= set(kept)
    return "\n".join(one for one in kept if one not in rows.splitlines()) + "\n"


def filled_in(text: str, shown: str) -> str:
    """Fill the shown lines into a settings file.

    A heading that is off is turned on; a key takes the place of the same key below its heading, on or off,
    and its own comment goes. What is not there yet follows its heading.
    """
    lines, heading = text.splitlines(), ""
    for line in shown.splitlines():
        found = _HEADING.match(line)
        if found:
            heading = found[1]
            lines = _turned_on(lines, heading)
        elif line.strip() and not line.startswith("#"):
            lines = _set(lines, heading, line)
    return "\n".join(lines) + "\n"


def _headings(lines: list[str]) -> list[tuple[int, str]]:
    return [(at, found[1]) for at, line in enumerate(lines) if (found := _HEADING.match(line))]


def _turned_on(lines: list[str], heading: str) -> list[str]:
    at = next((at for at, name in _headings(lines) if name == heading), None)
    if at is None:
        return [*lines, "", heading]
    return [*lines[:at], lines[at].removeprefix("#"), *lines[at + 1 :]]


def _set(lines: list[str], heading: str, line: str) -> list[str]:
    key = line.split("=")[0].strip()
    starts = _headings(lines)
    begin = next((at + 1 for at, name in starts if name == heading), 0)
    end = next((at for at, _ in starts if at >= begin), len(lines))
    for at in range(begin, end):
        if re.match(rf"#?{re.escape(key)} *=", lines[at]):
            return [*lines[:at], line, *lines[at + 1 :]]
    return [*lines[:begin], line, *lines[begin:]]
