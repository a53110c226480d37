"""Style and scripts of the page, as they stand in the package: put together once, comments left out."""

from functools import cache
from importlib import resources

from zoning import colours

STYLES = ("sheet.css", "parts.css", "map.css", "phone.css", "print.css")  # a later one wins
SCRIPTS = (
    *("written.js", "what_if.js", "map.js", "decisions.js", "scouting.js", "controls.js", "page.js"),
    "desk.js",
)
_ONLY_DESK = ("desk.js",)


@cache
def style() -> str:
    """Give the style of the page."""
    return "\n".join((_colours(), *(_text("css", name) for name in STYLES)))


@cache
def script(*, desk: bool = False) -> str:
    """Give the script of the page; the desk's has one more part, before the one that boots."""
    names = [name for name in SCRIPTS if name not in _ONLY_DESK]
    if desk:
        names[-1:-1] = _ONLY_DESK
    return "\n".join(_text("js", name) for name in names)


def _colours() -> str:
    """Name the colours for the style: they stand in one place, and are checked there."""
    names = ("INK", "SECONDARY", "WHITE", "PAPER", "ACCENT", "LINE", "SHADE", "FOCUS")
    return ":root{" + "".join(f"--{name.lower()}:{getattr(colours, name)};" for name in names) + "}"


def _text(folder: str, name: str) -> str:
    """Read a file, without lines that hold nothing but a comment, and without indentation."""
    path = resources.files(__package__).joinpath(folder, name)
    if not path.is_file():
        return ""
    lines = (line.strip() for line in path.read_text(encoding="utf-8").splitlines())
    return "\n".join(line for line in lines if line and not line.startswith("//"))
