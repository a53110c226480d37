"""At most three visits to one field in a season: which groups of blocks, on which days, add up to most.

Visits are added up as they stand; what they share (tracks) is settled by the caller afterwards.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """A visit to blocks `first` ... `last` that begins on the day with index `day` and runs `runs_d` days."""

    first: int
    last: int
    day: int
    runs_d: int


@dataclass(frozen=True, slots=True, eq=False)
class _Sides:
    """The best single visit inside a span of days, or 0: to blocks before one, and to blocks from one on.

    Both have shape (blocks + 1, days + 1, days + 1): block, first day of the span, day after its last.
    """

    before: Floats
    onward: Floats


def best_slots(value_usd: Floats) -> tuple[Slot, ...]:
    """Choose up to three visits that share neither a block nor a day.

    Parameters
    ----------
    value_usd : ndarray of float, shape (first, last, days, longest run)
        Worth of the visit to blocks first ... last that begins on a day and runs n + 1 days; -inf where
        there is none. [USD]

    Returns
    -------
    tuple of Slot
        In the order of their days; empty where no visit is worth more than 0.

    Notes
    -----
    Exact. Of three visits take the one whose blocks lie in the middle: of the two others one goes to blocks
    before it and one to blocks after it, and each lies before or after it in time. So the best single
    visits for every span of days, before and after every block, are enough.

    Examples
    --------
    >>> value = np.full((2, 2, 3, 1), -np.inf)
    >>> value[0, 0, :, 0], value[1, 1, :, 0], value[0, 1, :, 0] = [5, 4, 1], [6, 4, 1], [9, 8, 1]
    >>> [(slot.first, slot.last, slot.day) for slot in best_slots(value)]
    [(1, 1, 0), (0, 0, 1)]
    """
    blocks, _, days, longest = value_usd.shape
    if blocks == 0 or days == 0:
        return ()
    sides = _sides(value_usd)
    earlier, later = _both_earlier(sides), _both_later(sides)
    total = np.full(value_usd.shape, -np.inf)
    for extra in range(min(longest, days)):
        start = np.arange(days - extra)
        end = start + extra + 1
        for first in range(blocks):
            for last in range(first, blocks):
                rest = np.max(
                    [
                        sides.before[first, 0, start] + sides.onward[last + 1, end, days],
                        sides.onward[last + 1, 0, start] + sides.before[first, end, days],
                        earlier[first, last + 1, start],
                        later[first, last + 1, end],
                    ],
                    axis=0,
                )
                total[first, last, start, extra] = value_usd[first, last, start, extra] + rest
    first, last, day, extra = (int(at) for at in np.unravel_index(total.argmax(), total.shape))
    if not total[first, last, day, extra] > 0:
        return ()
    middle = Slot(first=first, last=last, day=day, runs_d=extra + 1)
    return tuple(sorted((middle, *_around(value_usd, sides, middle)), key=lambda slot: slot.day))


def best_slot(value_usd: Floats) -> tuple[Slot, ...]:
    """Choose one visit only; as `best_slots`, empty where none is worth more than 0."""
    best = _best_within(value_usd, range(len(value_usd)), (0, value_usd.shape[2]))
    return () if best is None else (best,)


def _sides(value_usd: Floats) -> _Sides:
    blocks, _, days, longest = value_usd.shape
    before = np.full((blocks + 1, days, longest), -np.inf)
    onward = before.copy()
    for block in range(blocks):
        before[block + 1] = np.maximum(before[block], value_usd[: block + 1, block].max(axis=0))
        back = blocks - 1 - block
        onward[back] = np.maximum(onward[back + 1], value_usd[back, back:].max(axis=0))
    return _Sides(_spans(before), _spans(onward))


def _spans(value_usd: Floats) -> Floats:
    """From visits that begin on a day and run n + 1 days to the best visit inside each span of days."""
    rows, days, longest = value_usd.shape
    best = np.zeros((rows, days + 1, days + 1))
    for length in range(1, days + 1):
        start = np.arange(days + 1 - length)
        end = start + length
        inner = np.maximum(best[:, start + 1, end], best[:, start, end - 1])
        if length <= longest:
            inner = np.maximum(inner, value_usd[:, start, length - 1])
        best[:, start, end] = inner
    return best


def _both_earlier(sides: _Sides) -> Floats:
    """Best two visits before each day, shape (blocks before, blocks from, day)."""
    rows, ends, _ = sides.before.shape
    best = np.zeros((rows, rows, ends))
    for day in range(ends):
        split = np.arange(day + 1)
        one = sides.before[:, np.newaxis, 0, split] + sides.onward[np.newaxis, :, split, day]
        two = sides.before[:, np.newaxis, split, day] + sides.onward[np.newaxis, :, 0, split]
        best[..., day] = np.maximum(one, two).max(axis=-1)
    return best


def _both_later(sides: _Sides) -> Floats:
    """Best two visits from each day on, shape (blocks before, blocks from, day)."""
    rows, ends, _ = sides.before.shape
    best = np.zeros((rows, rows, ends))
    for day in range(ends):
        split = np.arange(day, ends)
        one = sides.before[:, np.newaxis, day, split] + sides.onward[np.newaxis, :, split, -1]
        two = sides.before[:, np.newaxis, split, -1] + sides.onward[np.newaxis, :, day, split]
        best[..., day] = np.maximum(one, two).max(axis=-1)
    return best


def _around(value_usd: Floats, sides: _Sides, middle: Slot) -> list[Slot]:
    """Find again the visits to the blocks before and after the middle one."""
    days = value_usd.shape[2]
    start, end = middle.day, middle.day + middle.runs_d
    spans = [((0, start), (end, days))]
    spans += [((0, split), (split, start)) for split in range(start + 1)]
    spans += [((end, split), (split, days)) for split in range(end, days + 1)]
    spans += [(late, early) for early, late in spans]
    worth = [sides.before[(middle.first, *one)] + sides.onward[(middle.last + 1, *two)] for one, two in spans]
    one, two = spans[int(np.argmax(worth))]
    blocks = len(value_usd)
    found = (
        _best_within(value_usd, range(middle.first), one),
        _best_within(value_usd, range(middle.last + 1, blocks), two),
    )
    return [slot for slot in found if slot is not None]


def _best_within(value_usd: Floats, blocks: range, span: tuple[int, int]) -> Slot | None:
    """Find the best single visit to these blocks inside a span of days, or None if none is worth it."""
    if not blocks or span[0] >= span[1]:
        return None
    part = value_usd[blocks.start : blocks.stop, blocks.start : blocks.stop, span[0] : span[1]].copy()
    for extra in range(part.shape[-1]):
        part[:, :, max(0, part.shape[2] - extra) :, extra] = -np.inf  # would run past the span
    first, last, day, extra = (int(at) for at in np.unravel_index(part.argmax(), part.shape))
    if not part[first, last, day, extra] > 0:
        return None
    return Slot(first=blocks.start + first, last=blocks.start + last, day=span[0] + day, runs_d=extra + 1)
