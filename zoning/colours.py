"""The palettes of the map and the page, as data, with the contrast that keeps them readable.

No drawing here, and no figure of the plan: a colour is chosen from a share between 0 and 1.

Red and green never carry a meaning: under deuteranopia the ends of a red-yellow-green ramp fall together,
the ends of `NET` do not. Colour is never the only carrier: skip is hatched, a return has its sign printed.

References
----------
.. [1] F. Crameri, G. E. Shephard and P. J. Heron, "The misuse of colour in science communication", Nature
   Communications 11, 5444, 2020, doi:10.1038/s41467-020-19160-7 (`NET` is vik, `DATE` lapaz, `INDEX` batlow,
   all reversed).
.. [2] M. Okabe and K. Ito, "Color Universal Design", 2002, jfly.uni-koeln.de/color (`ZONES`).
.. [3] W3C, "Web Content Accessibility Guidelines 2.2", success criteria 1.4.3 and 1.4.11 (contrast ratio).
"""

from collections.abc import Sequence
from itertools import pairwise

_READABLE = 4.5  # contrast that small letters need [3]_

INK = "#1c1b18"
SECONDARY = "#57534a"
WHITE = "#ffffff"
# The page's own: ground, links and sliders, hairlines, what is chosen, and the ring around what has focus.
PAPER = "#faf8f3"
ACCENT = "#0b5d8a"
LINE = "#cfc8b8"
SHADE = "#efeade"
FOCUS = "#d55e00"

SPRAY_LEAST = "#56b4e9"  # the smallest carrier volume of the plan; dark is more
SPRAY_MOST = "#0b4f80"
SKIP = "#e9e4d8"
SKIP_HATCH = "#6b665a"
NO_SPRAY = WHITE  # as the ground around the field, but crossed with lines both ways
NO_SPRAY_HATCH = "#57534a"

# [1]_ light = early
DATE = ("#fbe6dd", "#cab79d", "#8ea199", "#5b8ba3", "#386b9e", "#28468b", "#1e1c6e")
# [1]_ brown = loss, pale = zero, blue = gain; the middle stop is exactly 0
NET = ("#852206", "#b75a26", "#cc875f", "#e1b8a0", "#ebe6e2", "#a7c9da", "#5496b7", "#116496", "#02397a")
# [1]_ dark = more, as of a canopy that is dense
INDEX = (
    *("#faccfa", "#fdb4b4", "#f19d6b", "#be9035", "#828231"),
    *("#4d734d", "#226061", "#114360", "#011959"),
)
# [2]_ without black and yellow; always with the zone's number printed
ZONES = ("#0072b2", "#e69f00", "#009e73", "#cc79a7", "#56b4e9", "#d55e00")


def rgb(colour: str) -> tuple[int, int, int]:
    """Red, green and blue of a colour, 0 to 255.

    Examples
    --------
    >>> rgb("#0b4f80")
    (11, 79, 128)
    """
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def luminance(colour: str) -> float:
    """Relative luminance of a colour, 0 black to 1 white, after [3]_.

    Examples
    --------
    >>> luminance("#ffffff")
    1.0
    """
    linear = []
    for channel in rgb(colour):
        share = channel / 255
        linear.append(share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4)
    red, green, blue = linear
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21, after [3]_.

    Examples
    --------
    >>> round(contrast(INK, WHITE), 1)
    17.2
    """
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def readable_on(background: str) -> str:
    """Ink or white, whichever stands out more from the background.

    Examples
    --------
    >>> readable_on(SPRAY_MOST), readable_on(SPRAY_LEAST)
    ('#ffffff', '#1c1b18')
    """
    return max((INK, WHITE), key=lambda text: contrast(text, background))


def ramp(stops: Sequence[str], share: float) -> str:
    """Colour at a share of the way through the stops; shares outside 0-1 get the end.

    Examples
    --------
    >>> ramp(NET, 0.5) == NET[4]
    True
    """
    place = min(max(share, 0.0), 1.0) * (len(stops) - 1)
    for index, (left, right) in enumerate(pairwise(stops)):
        if place <= index + 1:
            part = place - index
            mixed = (round(a + (b - a) * part) for a, b in zip(rgb(left), rgb(right), strict=True))
            return "#" + "".join(f"{channel:02x}" for channel in mixed)
    return stops[-1]


def zone(number: int) -> str:
    """Colour of a zone by its number, from 1: it only tells neighbours apart, and comes again.

    Examples
    --------
    >>> zone(1) == zone(1 + len(ZONES)), zone(1) == zone(2)
    (True, False)
    """
    return ZONES[(number - 1) % len(ZONES)]


def spray(rank: int, rates: int) -> str:
    """Colour of a carrier volume: `rank` 0 is the smallest of the plan's `rates` volumes; one alone is dark.

    Examples
    --------
    >>> spray(0, 2) == SPRAY_LEAST, spray(0, 1) == SPRAY_MOST
    (True, True)
    """
    return ramp((SPRAY_LEAST, SPRAY_MOST), _spray_share(rank, rates))


def _spray_share(rank: int, rates: int) -> float:
    return rank / (rates - 1) if rates > 1 else 1.0


def spray_with_number(rank: int, rates: int) -> str:
    """Colour of a carrier volume on which small letters can be read: lighter where they could not.

    Examples
    --------
    >>> spray_with_number(1, 2) == SPRAY_MOST
    True
    """
    share = _spray_share(rank, rates)
    fill = spray(rank, rates)
    while contrast(fill, readable_on(fill)) < _READABLE:
        share -= 0.02
        fill = ramp((SPRAY_LEAST, SPRAY_MOST), share)
    return fill
