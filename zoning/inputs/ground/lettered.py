"""The order and the letters of blocks: by planting day, then north to south, then west to east."""

from collections.abc import Sequence
from datetime import date

import shapely

from zoning.inputs.given import Block


def in_order(blocks: Sequence[Block]) -> list[int]:
    """Give the places of blocks in the order in which they are lettered."""

    def order(place: int) -> tuple[date, float, float]:
        middle = shapely.centroid(blocks[place].outline)
        return blocks[place].planted, -middle.y, middle.x

    return sorted(range(len(blocks)), key=order)


def letters(count: int) -> str:
    """Name the first block (0) A, the 26th Z, the 27th AA.

    Examples
    --------
    >>> letters(0), letters(25), letters(26)
    ('A', 'Z', 'AA')
    """
    name, rest = "", count + 1
    while rest:
        rest, letter = divmod(rest - 1, 26)
        name = chr(ord("A") + letter) + name
    return name
