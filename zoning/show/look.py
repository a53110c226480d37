"""How our pictures are set: one font, no formulas in names, the same bytes on every machine.

Draws nothing.
"""

from typing import Any

from matplotlib.font_manager import FontProperties, fontManager, get_font

from zoning.show.figures import plain

DPI = 200
_FONT = "DejaVu Sans"  # comes with matplotlib, so the picture is the same on every machine
LOOK: dict[Any, Any] = {
    "font.family": _FONT,
    "text.parse_math": False,  # a "$" in a name is a dollar sign
    "text.usetex": False,
    "hatch.linewidth": 0.9,
    "path.simplify": False,
    "savefig.bbox": None,
    "savefig.transparent": False,
}


def known(text: str) -> str:
    """Replace what the font has no letter for.

    Examples
    --------
    >>> known("Ünal 漢")
    'Ünal ?'
    """
    letters = get_font(fontManager.findfont(FontProperties(family=_FONT))).get_charmap()
    return "".join(letter if ord(letter) in letters else "?" for letter in plain(text))
