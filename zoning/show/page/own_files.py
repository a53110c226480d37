"""Style and scripts of the page, as they stand in the package: put together once.

The scripts of a page are a small copy of those in `js`, page.min.js, which is written (and held to them) by
tests/show/page/test_small_script.py. The desk's page has them as they stand.
"""

import re
from functools import cache
from importlib import resources

from zoning import colours

_FIRST = {"css": ("sheet", "parts"), "js": ("written", "what_if")}
_LAST = {"css": ("phone", "print"), "js": ("page",)}  # a later style wins; the last script boots
_STYLE_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_BLANKS = re.compile(r"\s*([{};,])\s*|(?<=:)\s+")  # beside them no style needs one
_TEXTS = re.compile(r"""("[^"]*"|'[^']*')""")
_DESK = "desk"  # files that begin so are only for the page that the desk serves
_SMALL = "page.min.js"
_COLOURS = ("INK", "SECONDARY", "WHITE", "PAPER", "ACCENT", "LINE", "SHADE", "FOCUS")


@cache
def style() -> str:
    """Give the style of the page; its colours have the names that they have in `zoning.colours`."""
    named = "".join(f"--{name.lower()}:{getattr(colours, name)};" for name in _COLOURS)
    return "\n".join((f":root{{{named}}}", *map(_tight, _texts("css", desk=True))))


@cache
def script(*, desk: bool = False) -> str:
    """Give the script of the page; the desk's with its own parts, as they stand."""
    if desk:
        return sources(desk=True)
    small = resources.files(__package__).joinpath(_SMALL).read_text(encoding="utf-8")
    return small.partition("\n")[2].rstrip("\n")  # the first line says what it was made from


def sources(*, desk: bool = False) -> str:
    """Join the scripts as they stand, in their order."""
    return "\n".join(_texts("js", desk=desk))


def _texts(ending: str, *, desk: bool) -> list[str]:
    """Read the files of a kind in their order."""
    folder = resources.files(__package__).joinpath(ending)
    found = {
        file.name.removesuffix(f".{ending}"): file for file in folder.iterdir() if _is(file.name, ending)
    }
    rest = sorted(name for name in found if name not in (*_FIRST[ending], *_LAST[ending]))
    order = (*_FIRST[ending], *rest, *_LAST[ending])
    return [found[name].read_text(encoding="utf-8") for name in order if desk or _DESK not in name]


def _is(name: str, ending: str) -> bool:
    return name.endswith(f".{ending}")


def _tight(style: str) -> str:
    """Take comments, and blanks that nothing needs, out of a style; none out of its texts."""
    parts = _TEXTS.split(_STYLE_COMMENT.sub("", style))
    parts[::2] = [_BLANKS.sub(r"\1", re.sub(r"\s+", " ", part)).replace(";}", "}") for part in parts[::2]]
    return "".join(parts).strip()
