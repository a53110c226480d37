"""How our pictures are set: one font, no formulas in names, the same bytes on every machine.

Draws nothing.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from threading import RLock
from typing import Any

from matplotlib import rc_context, rcParamsDefault
from matplotlib.font_manager import FontProperties, fontManager, get_font

from zoning.show.figures import plain

DPI = 200
_FONT = "DejaVu Sans"  # comes with matplotlib, so the picture is the same on every machine
_NOT_A_LOOK = ("backend", "backend_fallback", "interactive")
LOOK: dict[Any, Any] = {
    # what the user set for pictures of their own, in a file or a notebook, is not for ours
    **{key: value for key, value in rcParamsDefault.items() if key not in _NOT_A_LOOK},
    "font.family": _FONT,
    "text.parse_math": False,  # a "$" in a name is a dollar sign
    "text.usetex": False,
    "hatch.linewidth": 0.9,
    "path.simplify": False,
    "savefig.bbox": None,
    "savefig.transparent": False,
}
_DRAWING = RLock()  # a look is set for the whole process, so one picture is drawn at a time


@contextmanager
def one_at_a_time(look: dict[Any, Any]) -> Iterator[None]:
    """Draw in a look for a while, and nobody else beside; then all is as the user had it."""
    with _DRAWING, rc_context(look):
        yield


def known(text: str) -> str:
    """Replace what the font has no letter for.

    Examples
    --------
    >>> known("Ünal 漢")
    'Ünal ?'
    """
    letters = get_font(fontManager.findfont(FontProperties(family=_FONT))).get_charmap()
    return "".join(letter if ord(letter) in letters else "?" for letter in plain(text))
