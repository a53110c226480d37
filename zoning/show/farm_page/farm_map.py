"""The fields of a farm as pictures: one map where they lie, and each one enlarged where they are small on it.

True to scale, north up, in metres; the enlarged fields are all at one scale. What is drawn lies in `ground`.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from math import sqrt

from markupsafe import Markup

from zoning import colours
from zoning.plan import FarmPlan
from zoning.show.farm_page.ground import FieldGround, alone, together
from zoning.show.farm_page.many_map import MOST_NAMED, hatch_px_m, patches
from zoning.show.farm_page.map_foot import bars, foot, short
from zoning.show.farm_page.map_names import labels
from zoning.show.farm_page.paint import Legend, Paint, legends, paints
from zoning.show.farm_page.ranked import FieldRow
from zoning.show.many import FIRST
from zoning.show.page.svg_shapes import path
from zoning.words import Said

_WIDE_PX, _HIGH_PX = 358, 420  # a phone's room, for which letters are sized
_LETTER_PX, _FOOT_PX, _MARGIN_PX = 14, 54, 10
_SMALL_PX = 60  # a field smaller than that is drawn enlarged too
_FRAME_PX = 160
_FEW_FRAMES = 12
MANY = 60  # fields: more are too many to be drawn one by one


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """One field enlarged: what it is, its picture, how it is coloured."""

    field: FieldRow
    picture: Markup
    paint: Paint


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """The pictures: `one` is empty where no map holds all fields, `frames` where it shows each well enough.

    `said` tells what was done about fields that lie apart.
    """

    one: Markup
    frames: tuple[Frame, ...]
    frame_bar: Markup
    said: str
    legends: tuple[Legend, ...]

    @property
    def is_many(self) -> bool:
        """Whether the enlarged fields are so many that they stand below the table."""
        return len(self.frames) > _FEW_FRAMES


def draw(farm: FarmPlan, fields: Sequence[FieldRow]) -> Drawn:
    """Draw the fields of a farm.

    Parameters
    ----------
    farm : FarmPlan
    fields : sequence of FieldRow
        In the order of the table; may be empty.
    """
    if not fields:
        return Drawn(one=Markup(), frames=(), frame_bar=Markup(), said="", legends=())
    painted = paints(farm, fields)
    lying = together([one.plan for one in fields])
    one, smallest_px = ("", 0.0) if lying is None else _one_map(fields, lying, painted)
    frames: tuple[Frame, ...] = ()
    bar = Markup()
    is_many = len(fields) > MANY
    if smallest_px < _SMALL_PX and (len(fields) > 1 or lying is None) and not (is_many and lying is not None):
        first = fields[:MANY]
        frames, bar = _frames(first, alone([one.plan for one in first]), painted[:MANY])
    return Drawn(
        one=Markup(one),
        frames=frames,
        frame_bar=bar,
        said=_said(lying is not None, len(fields), bool(frames)),
        legends=legends(farm, fields),
    )


def _said(on_one_map: bool, count: int, framed: bool) -> str:
    """Say what was done about fields that lie apart, or are many."""
    if count > MANY:
        if on_one_map:
            code = "farm_page.named_patches" if count <= MOST_NAMED else "farm_page.patches"
            return Said(code, count=FIRST).text
        return Said("farm_page.far_first", count=MANY).text
    return "" if not framed else Said("farm_page.apart" if on_one_map else "farm_page.far").text


def _field(one: FieldRow, ground: FieldGround, paint: Paint, hatch: str) -> Iterator[str]:
    """Draw a field's ground, and on it what is sprayed; the colours of other themes lie in wait."""
    data = "".join(f' data-{theme}="{fill}"' for theme, fill in paint.fills.items())
    fill = {"": colours.WHITE}.get(one.decision, f"url(#{hatch})")
    outline = path(ground.outline)
    yield f'<path class="ground" fill="{fill}" fill-rule="evenodd"{data} d="{outline}"/>'
    if ground.sprayed is not None:
        sprayed = path(ground.sprayed)
        yield f'<path class="sprayed" fill="{colours.SPRAY_MOST}" fill-rule="evenodd" d="{sprayed}"/>'
    yield f'<path class="rim" fill="none" d="{outline}"/>'


def hatched(name: str, px_m: float) -> str:
    """Give the pattern of ground that is skipped."""
    size, line = short(7 * px_m), short(1.1 * px_m)
    return (
        f'<defs><pattern id="{name}" width="{size}" height="{size}" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)"><rect width="{size}" height="{size}" fill="{colours.SKIP}"/>'
        f'<rect width="{line}" height="{size}" fill="{colours.SKIP_HATCH}"/></pattern></defs>'
    )


def _one_map(
    fields: Sequence[FieldRow], lying: Sequence[FieldGround], paints: Sequence[Paint]
) -> tuple[str, float]:
    """Draw all fields where they lie; give too how many pixels of a phone the smallest is wide."""
    wide = max(one.box[2] for one in lying)
    high = max(one.box[3] for one in lying)
    room = _WIDE_PX - 2 * _MARGIN_PX
    px_m = max(wide / room, high / _HIGH_PX, 1e-3)
    margin, em = _MARGIN_PX * px_m, _LETTER_PX * px_m
    left = wide / 2 - max(wide, room * px_m) / 2 - margin
    box = (left, -margin, max(wide, room * px_m) + 2 * margin, high + 2 * margin + _FOOT_PX * px_m)
    is_many = len(fields) > MANY
    drawn = patches(fields, lying, paints, em) if is_many else _large(fields, lying, paints, em)
    count = len(fields)
    about = Said("farm_page.map" if count > 1 else "farm_page.one_map", count=count).text
    picture = (
        f'<svg id="farm-map" viewBox="{" ".join(map(short, box))}" role="group" aria-label="{escape(about)}">'
        f"{hatched('skip-all', hatch_px_m(px_m) if is_many else px_m)}"
        f'<g class="names" font-size="{short(em)}">{"".join(drawn)}'
        f"{foot((left + margin, high + 2 * margin), box[0] + box[2] - margin, em)}</g></svg>"
    )
    return picture, min(sqrt(one.outline.area) for one in lying) / px_m


def _large(
    fields: Sequence[FieldRow], lying: Sequence[FieldGround], paints: Sequence[Paint], em: float
) -> Iterator[str]:
    """Draw fields that are told apart by their names, each a way to its page if it has one."""
    for one, ground, paint, label in zip(
        fields, lying, paints, labels(fields, lying, paints, em), strict=True
    ):
        told = Said("farm_page.field", rank=one.rank, name=one.name, decision=paint.values["decision"]).text
        tag = f'a class="field" href="{escape(one.href)}"' if one.href else 'g class="field" role="img"'
        drawn = "".join(_field(one, ground, paint, "skip-all"))
        yield f'<{tag} aria-label="{escape(told)}">{drawn}{label}</{tag[0]}>'


def _frames(
    fields: Sequence[FieldRow], lying: Sequence[FieldGround], paints: Sequence[Paint]
) -> tuple[tuple[Frame, ...], Markup]:
    """Draw each field by itself, all at one scale; and a bar for that scale."""
    side = max(max(one.box[2] - one.box[0], one.box[3] - one.box[1]) for one in lying) * 1.06
    px_m = side / _FRAME_PX
    found = []
    for one, ground, paint in zip(fields, lying, paints, strict=True):
        _, top, _, bottom = ground.box
        high = max(bottom - top, side / 4) * 1.06
        box = (-side / 2, -high / 2, side, high)
        parts = "".join(_field(one, ground, paint, "skip-one"))
        told = Said("farm_page.field", rank=one.rank, name=one.name, decision=paint.values["decision"]).text
        picture = Markup(
            f'<svg class="frame" viewBox="{" ".join(map(short, box))}" role="img" '
            f'aria-label="{escape(told)}">{parts}</svg>'
        )
        found.append(Frame(field=one, picture=picture, paint=paint))
    hatch = f'<svg class="defs" width="0" height="0" aria-hidden="true">{hatched("skip-one", px_m)}</svg>'
    return tuple(found), Markup(hatch + "".join(_frame_bar(*bar, side) for bar in bars(side / 2)))


def _frame_bar(length: float, said: str, side: float) -> str:
    """Draw one scale bar of the enlarged fields: its picture is as wide as theirs."""
    box = " ".join(map(short, (0, 0, side, side / 20)))
    line = f'<path class="scale" d="M0 0v{short(side / 25)}h{short(length)}v{short(-side / 25)}"/>'
    return f'<svg class="frame-bar" viewBox="{box}" aria-hidden="true">{line}</svg><span>{said}</span>'
