"""How the sheet is set: paper, letters that its fonts have, rooms of the maps, swatches. Draws nothing."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from math import ceil
from typing import Any

from zoning.show.figures import plain
from zoning.show.panels import Key

ROOM = {"us-letter": (536.0, 716.0), "a4": (519.0, 766.0)}  # for text on a page [points]
_LETTER_PT = 4.9  # width of a letter of the text, on average [points]
LINE_PT = 10.6  # from line to line [points]
# A sheet is printed in the farm office, on the paper that is sold there: Letter in these countries (as the
# Unicode CLDR lists them, from memory), everywhere else A4 (ISO 216).
_LETTER = frozenset(["BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"])
_LONGEST_WORD = 30  # letters; a longer one may be broken anywhere, else it would leave the page


class Markup(str):
    """A text of our own that is no text for people: an SVG."""

    __slots__ = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SizedMap:
    """A map as SVG, and the size at which it is printed."""

    svg: str
    width_pt: float
    height_pt: float

    def as_object(self) -> dict[str, object]:
        """Give it for JSON."""
        return {"svg": Markup(self.svg), "width": self.width_pt, "height": self.height_pt}


def paper(country: str) -> str:
    """Give the size of the paper that a country's printers hold.

    Examples
    --------
    >>> paper("US"), paper("AR")
    ('us-letter', 'a4')
    """
    return "us-letter" if country in _LETTER else "a4"


@cache
def _letters() -> frozenset[int]:
    """Letters that the font has upright and in bold."""
    from matplotlib import get_data_path
    from matplotlib.ft2font import FT2Font

    folder = f"{get_data_path()}/fonts/ttf"
    fonts = (FT2Font(f"{folder}/DejaVuSans{weight}.ttf") for weight in ("", "-Bold"))
    upright, bold = (frozenset(font.get_charmap()) for font in fonts)
    return upright & bold


def printable(thing: Any) -> Any:
    """Replace in all texts what the font has no letter for, and let words break that are too long for a line.

    Examples
    --------
    >>> printable({"name": ["Ünal 漢", 3]})
    {'name': ['Ünal ?', 3]}
    """
    if isinstance(thing, Markup):
        return thing
    if isinstance(thing, str):
        known = _letters()
        text = "".join(letter if ord(letter) in known else "?" for letter in plain(thing))
        return " ".join(_breakable(word) for word in text.split(" "))
    if isinstance(thing, dict):
        return {name: printable(part) for name, part in thing.items()}
    if isinstance(thing, list):
        return [printable(part) for part in thing]
    return thing


def _breakable(word: str) -> str:
    if len(word) <= _LONGEST_WORD:
        return word
    return "\u200b".join(word[at : at + 8] for at in range(0, len(word), 8))


def sentence(text: str) -> str:
    """Begin a text as a sentence does.

    Examples
    --------
    >>> sentence("needs 2.9 bu/ac")
    'Needs 2.9 bu/ac'
    """
    return text[:1].upper() + text[1:]


def key(one: Key) -> dict[str, str]:
    """Give a line of a legend for JSON."""
    pattern = "cross" if one.crossed else "hatch" if one.hatched else "dots" if one.dotted else ""
    return {"fill": one.fill, "pattern": pattern, "text": one.text}


def high(texts: Iterable[str], wide_pt: float) -> float:
    """Estimate the height of some paragraphs. [points].

    Examples
    --------
    >>> high(["a line"], 300) == LINE_PT
    True
    """
    return LINE_PT * sum(ceil(max(len(text), 1) * _LETTER_PT / wide_pt) for text in texts)
