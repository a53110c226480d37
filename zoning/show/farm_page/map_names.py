"""What stands on the fields of a farm's map, or beside them: number, name, figure, where there is room."""

from collections.abc import Iterator, Sequence
from html import escape

from zoning.show.farm_page.ground import FieldGround
from zoning.show.farm_page.map_foot import short
from zoning.show.farm_page.paint import Paint
from zoning.show.farm_page.ranked import FieldRow
from zoning.show.figures import plain
from zoning.show.page.map_labels import LINE_EM, wide_em

_LONGEST = 24  # of a name [letters]
# places for a number that would meet another: in widths to the right, in heights down
_SIDES = ((0, 0), (0, -1), (0, 1), (1, 0), (-1, 0), (1, -1), (-1, 1), (1, 1), (-1, -1), (0, -2), (0, 2))

Box = tuple[float, float, float, float]


class _Places:
    """Where labels may stand: on their own field, or beside it where nothing else lies."""

    def __init__(self, grounds: Sequence[Box]) -> None:
        self._grounds = grounds
        self._taken: list[Box] = []
        self._west, self._east = min(one[0] for one in grounds), max(one[2] for one in grounds)
        self._top, self._bottom = min(one[1] for one in grounds), max(one[3] for one in grounds)

    def _is_free(self, box: Box) -> bool:
        return not any(_overlap(box, other) for other in self._taken)

    def on(self, ground: Box, at: tuple[float, float], size: tuple[float, float]) -> Box | None:
        """Give the place on a field, if the label has room there."""
        box = _around(at, size)
        inside = box[0] >= ground[0] and box[2] <= ground[2] and box[1] >= ground[1] and box[3] <= ground[3]
        return box if inside and self._is_free(box) else None

    def beside(self, ground: Box, size: tuple[float, float]) -> Box | None:
        """Give a place below, above, right or left of a field where no field and no label lies."""
        x, y = (ground[0] + ground[2]) / 2, (ground[1] + ground[3]) / 2
        wide, high = size
        for at in (
            (x, ground[3] + high / 2),
            (x, ground[1] - high / 2),
            (ground[2] + 0.55 * wide, y),
            (ground[0] - 0.55 * wide, y),
        ):
            box = _around(at, size)
            rim = high / 2  # of the margin round the fields
            on_map = box[0] >= self._west - rim and box[2] <= self._east + rim
            on_map = on_map and box[1] >= self._top - rim and box[3] <= self._bottom + high
            if on_map and self._is_free(box) and not any(_overlap(box, other) for other in self._grounds):
                return box
        return None

    def near(self, at: tuple[float, float], size: tuple[float, float]) -> Box:
        """Give the nearest place that meets no label; the point itself where there is none."""
        boxes = [_around((at[0] + right * size[0], at[1] + down * size[1]), size) for right, down in _SIDES]
        return next((box for box in boxes if self._is_free(box)), boxes[0])

    def take(self, box: Box) -> None:
        """Let no other label lie there."""
        self._taken.append(box)


def _around(at: tuple[float, float], size: tuple[float, float]) -> Box:
    return at[0] - size[0] / 2, at[1] - size[1] / 2, at[0] + size[0] / 2, at[1] + size[1] / 2


def _overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def labels(
    fields: Sequence[FieldRow], lying: Sequence[FieldGround], paints: Sequence[Paint], em: float
) -> Iterator[str]:
    """Write on each field, or beside it, what has room: number, name and figure, or the number alone.

    Parameters
    ----------
    fields, lying, paints
        Of the same order.
    em : float
        Size of the letters. [m]
    """
    places = _Places([ground.box for ground in lying])
    for one, ground, paint in zip(fields, lying, paints, strict=True):
        lines, box = _placed(one, ground, paint, em, places)
        places.take(box)
        yield _label(lines, box, paint, em)


def numbers(fields: Sequence[FieldRow], lying: Sequence[FieldGround], em: float) -> Iterator[str]:
    """Write the numbers of some fields over them, so that none covers another.

    Parameters
    ----------
    fields, lying
        Of the same order.
    em : float
        Size of the letters. [m]
    """
    places = _Places([ground.box for ground in lying])
    for one, ground in zip(fields, lying, strict=True):
        middle = ground.outline.representative_point()
        size = (wide_em(str(one.rank)) * em, LINE_EM * em)
        box = places.near((middle.x, middle.y), size)
        places.take(box)
        x, y = short((box[0] + box[2]) / 2), short(box[1] + 0.85 * LINE_EM * em)
        yield f'<text class="name" x="{x}" y="{y}">{one.rank}</text>'


def _placed(
    one: FieldRow, ground: FieldGround, paint: Paint, em: float, places: _Places
) -> tuple[tuple[str, ...], Box]:
    middle = ground.outline.representative_point()
    named = f"{one.rank} {plain(one.name, _LONGEST)}"
    for lines in ((named, paint.values["decision"]), (named,)):
        size = (max(map(wide_em, lines)) * em, len(lines) * LINE_EM * em)
        box = places.on(ground.box, (middle.x, middle.y), size)
        if box is None and len(lines) == 1:
            box = places.beside(ground.box, size)
        if box is not None:
            return lines, box
    number, at = str(one.rank), (middle.x, middle.y)
    size = (wide_em(number) * em, LINE_EM * em)
    there = places.on(ground.box, at, size) or places.beside(ground.box, size)
    return (number,), there or places.near(at, size)


def _label(lines: Sequence[str], box: Box, paint: Paint, em: float) -> str:
    x, top = short((box[0] + box[2]) / 2), (box[1] + box[3] - len(lines) * LINE_EM * em) / 2
    rows = []
    for at, line in enumerate(lines):
        y = short(top + (at + 0.85) * LINE_EM * em)
        value = f' class="value" {paint.as_data}' if at else ""
        rows.append(f'<tspan x="{x}" y="{y}"{value}>{escape(line)}</tspan>')
    return f'<text class="name">{"".join(rows)}</text>'
