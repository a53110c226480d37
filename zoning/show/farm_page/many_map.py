"""The map of a farm of many fields: each a small patch, named where a pointer rests, the first by number.

Of very many fields those that look alike by every theme are one shape.
"""

from collections.abc import Iterator, Sequence
from html import escape

from zoning import colours
from zoning.show.farm_page.ground import FieldGround
from zoning.show.farm_page.map_names import numbers
from zoning.show.farm_page.paint import Paint
from zoning.show.farm_page.ranked import FieldRow
from zoning.show.many import FIRST
from zoning.show.page.svg_shapes import path
from zoning.words import Said

MOST_NAMED = 4000  # patches that can be told apart
_OF_DECISION = {"": colours.WHITE, "spray": colours.SPRAY_MOST, "skip": "url(#skip-all)"}


def patches(
    fields: Sequence[FieldRow], lying: Sequence[FieldGround], paints: Sequence[Paint], em: float
) -> Iterator[str]:
    """Draw the fields, and the numbers of those that stand first in the table.

    Parameters
    ----------
    fields, lying, paints
        Of the same order.
    em : float
        Size of the letters. [m]
    """
    yield '<g class="patches" fill-rule="evenodd">'
    if len(fields) <= MOST_NAMED:
        for one, ground, paint in zip(fields, lying, paints, strict=True):
            yield _named(one, ground, paint)
    else:
        yield from _alike(fields, lying, paints)
    yield "</g>"
    yield from numbers(fields[:FIRST], lying[:FIRST], em)


def _fills(one: FieldRow, paint: Paint) -> str:
    """Give the colours of a field by every theme; ground that is skipped in part is hatched below."""
    decided = _OF_DECISION["skip" if one.is_part else one.decision]
    return f'fill="{decided}"' + "".join(f' data-{name}="{fill}"' for name, fill in paint.fills.items())


def _named(one: FieldRow, ground: FieldGround, paint: Paint) -> str:
    told = Said("farm_page.field", rank=one.rank, name=one.name, decision=paint.values["decision"]).text
    fills, outline = _fills(one, paint), path(ground.outline)
    drawn = f'<path class="ground" {fills} d="{outline}"><title>{escape(told)}</title></path>'
    if one.is_part and ground.sprayed is not None:
        sprayed = path(ground.sprayed)
        drawn += f'<path class="sprayed" fill="{colours.SPRAY_MOST}" d="{sprayed}"/>'
    return f'<a href="{escape(one.href)}">{drawn}</a>' if one.href else drawn


def _alike(
    fields: Sequence[FieldRow], lying: Sequence[FieldGround], paints: Sequence[Paint]
) -> Iterator[str]:
    together: dict[str, list[str]] = {}
    sprayed: list[str] = []
    for one, ground, paint in zip(fields, lying, paints, strict=True):
        together.setdefault(_fills(one, paint), []).append(path(ground.outline))
        if one.is_part and ground.sprayed is not None:
            sprayed.append(path(ground.sprayed))
    for fills, paths in together.items():
        yield f'<path class="ground" {fills} d="{"".join(paths)}"/>'
    if sprayed:
        yield f'<path class="sprayed" fill="{colours.SPRAY_MOST}" d="{"".join(sprayed)}"/>'


def hatch_px_m(px_m: float) -> float:
    """Give the width of a pixel for the lines on ground that is skipped: finer than on a large field.

    Examples
    --------
    >>> hatch_px_m(10.0)
    5.0
    """
    return px_m / 2
