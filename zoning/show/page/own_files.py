"""Style and scripts of the page, as they stand in the package: put together once, comments left out."""

import re
from functools import cache
from importlib import resources

from zoning import colours

_FIRST = {"css": ("sheet", "parts"), "js": ("written", "what_if")}
_LAST = {"css": ("phone", "print"), "js": ("page",)}  # a later style wins; the last script boots
_STYLE_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_TEXTS = re.compile(r"""("(?:[^"\\]|\\.)*"|'(?:[^'\\]|\\.)*'|`[^`]*`)""")
_BLANKS = re.compile(r" *([{};,=<>?|&]) *")  # beside them no language of ours needs one
_DESK = "desk"  # files that begin so are only for the page that the desk serves
_COLOURS = ("INK", "SECONDARY", "WHITE", "PAPER", "ACCENT", "LINE", "SHADE", "FOCUS")


@cache
def style() -> str:
    """Give the style of the page; its colours have the names that they have in `zoning.colours`."""
    named = "".join(f"--{name.lower()}:{getattr(colours, name)};" for name in _COLOURS)
    return "\n".join((f":root{{{named}}}", *_texts("css", desk=True)))


@cache
def script(*, desk: bool = False) -> str:
    """Give the script of the page, the desk's with its own parts."""
    return "\n".join(_texts("js", desk=desk))


def _texts(ending: str, *, desk: bool) -> list[str]:
    """Read the files of a kind in their order, without lines of comment and without indentation."""
    folder = resources.files(__package__).joinpath(ending)
    found = {
        file.name.removesuffix(f".{ending}"): file for file in folder.iterdir() if _is(file.name, ending)
    }
    rest = sorted(name for name in found if name not in (*_FIRST[ending], *_LAST[ending]))
    order = (*_FIRST[ending], *rest, *_LAST[ending])
    texts = (found[name].read_text(encoding="utf-8") for name in order if desk or _DESK not in name)
    return [_bare(_STYLE_COMMENT.sub("", text) if ending == "css" else text) for text in texts]


def _is(name: str, ending: str) -> bool:
    return name.endswith(f".{ending}")


def _bare(text: str) -> str:
    lines = (_tight(line.strip()) for line in text.splitlines())
    return "\n".join(line for line in lines if line and not line.startswith("//"))


def _tight(line: str) -> str:
    """Take blanks out of a line that nothing needs; not out of texts, nor where a pattern may stand."""
    parts = _TEXTS.split(line)
    code = "".join(parts[::2])
    if len(parts) == 1:
        line = code = line.partition(" // ")[0].rstrip()
        parts = [line]
    if any(mark in code for mark in "/'\"`") or line.count("`") > 2:  # perhaps a text within a text
        return line
    return "".join(part if place % 2 else _BLANKS.sub(r"\1", part) for place, part in enumerate(parts))
