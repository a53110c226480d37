"""The text of a settings file, and what the standard parser makes of it; bounds on both.

A file that comes from elsewhere may be as large and as deep as somebody likes: it is refused before it costs
time. What a key means is not known here.
"""

import re
import tomllib
from pathlib import Path
from typing import Any

from zoning.errors import SETTINGS, WORLD, InputError

MOST_BYTES = 500_000  # settings of a farm with hundreds of sprayers take a tenth of it
_DEEPEST = 20  # tables and lists in each other; what is known here takes four
_TWICE = re.compile("cannot (overwrite|declare|redefine|mutate)", re.IGNORECASE)
_AT_LINE = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)")
_PART = r"""(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+"""
# The parser's time grows with the square of the parts of a key, or worse.
_LONG_KEY = re.compile(rf"(?<![\w-])(?:{_PART}\.[ \t]*+){{{_DEEPEST}}}")
_LONG_NUMBER = re.compile(r"(?<!\w)[\d_]{4300,}")  # the library's own bound: what is longer takes it long


def read(path: Path) -> str:
    """Read the text of a settings file; a fault has code 2, or 4 without permission to read it."""
    try:
        if path.stat().st_size > MOST_BYTES:
            what = "this is too large for a file of settings"
            mend = "Take out what is no setting; `sprayworth new DIR` writes one with every key explained."
            raise InputError(what, where=path.name, mend=mend, code=SETTINGS)
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        what = f"the file is not UTF-8 text (byte {error.start + 1})"
        mend = "Save it again as plain text in UTF-8."
        raise InputError(what, where=path.name, mend=mend, code=SETTINGS) from error
    except OSError as error:
        what = f"the file cannot be read ({(error.strerror or 'refused').lower()})"
        mend = "Get permission to read it, and run again."
        raise InputError(what, where=path.name, mend=mend, code=WORLD) from error


def parse(text: str, name: str) -> dict[str, Any]:
    """Read a TOML text of a file of that name; a fault has code 2 and its line."""
    key = _LONG_KEY.search(text)
    if key is not None:
        raise _too_deep(name, f":{_line_at(text, key.start())}")
    try:
        found = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _not_toml(name, text, str(error)) from error
    except RecursionError as error:
        raise _too_deep(name) from error
    except ValueError as error:
        number = _LONG_NUMBER.search(text)
        place = f"{name}:{_line_at(text, number.start())}" if number else name
        what, mend = "a number has thousands of digits", "Write a number of this world."
        raise InputError(what, where=place, mend=mend, code=SETTINGS) from error
    if _is_deep(found, _DEEPEST):
        raise _too_deep(name)
    return found


def _is_deep(value: object, deepest: int) -> bool:
    """Tell whether tables and lists stand in each other more than `deepest` times."""
    inside = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return deepest < 0 or any(_is_deep(one, deepest - 1) for one in inside)


def _line_at(text: str, place: int) -> int:
    return text.count("\n", 0, place) + 1


def _too_deep(name: str, place: str = "") -> InputError:
    what, mend = "lists, tables or parts of a key stand too deep in each other", "Take them out."
    return InputError(what, where=f"{name}{place}", mend=mend, code=SETTINGS)


def _not_toml(name: str, text: str, message: str) -> InputError:
    match = _AT_LINE.search(message)
    line = int(match[1]) if match and match[1] else text.rstrip().count("\n") + 1
    reason = _AT_LINE.sub("", message).strip()
    if _TWICE.match(reason):
        mend = "Write each key and each [table] once, with all that belongs to it."
        return InputError("this stands twice in the file", where=f"{name}:{line}", mend=mend, code=SETTINGS)
    return InputError(
        f"this line cannot be read ({reason[:1].lower()}{reason[1:]})",
        where=f"{name}:{line}",
        mend='Write `key = "text"`, `key = 5` or `key = true`, a table as `[name]`; text stands in quotes.',
        code=SETTINGS,
    )
