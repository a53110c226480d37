"""The rows that a plan must keep, as a matrix over the visits that could be made."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import sparse

from zoning.passes.schedule.columns import Columns

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

MOST_VISITS = 3  # method: visits to one field in a season


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Offers:
    """Visits to one field with one kind of sprayer: places of the two, and the visits."""

    field: int
    kind: int
    once: bool  # another pass goes over the field: one visit
    columns: Columns


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sprayers:
    """Sprayers that are alike: how many there are, and the hours of each in each half-day."""

    count: int
    hours_h: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Model:
    """Columns are chosen so that `matrix` @ choice <= `most`; those past `visits` say who sprays a field.

    `outer` are the columns to begin with. `offers` and `row` say of each visit which of the offers it is and
    its place there. `hours_row` (kinds, slots) is the row of each half-day's hours, -1 where there is none.
    """

    matrix: sparse.csc_array
    most: Floats
    score: Floats
    visits: int
    outer: Bools
    field: Ints
    kind: Ints
    row: Ints
    offers: Ints
    hours_row: Ints


@dataclass(slots=True)
class _Rows:
    """Rows under way: entries of the matrix and right sides."""

    row: list[Ints]
    column: list[Ints]
    value: list[Floats]
    most: list[Floats]
    count: int = 0

    def add(self, key: Ints, column: Ints, value: Floats | float, most: Floats | float) -> tuple[Ints, Ints]:
        """Add one row for each different key; `most` by row. Gives the keys and the first of their rows."""
        keys, place = np.unique(key, return_inverse=True)
        self.row.append(place + self.count)
        self.column.append(column)
        self.value.append(np.broadcast_to(np.asarray(value, dtype=np.float64), column.shape))
        self.most.append(np.broadcast_to(np.asarray(most, dtype=np.float64), keys.shape))
        rows = self.count + np.arange(len(keys))
        self.count += len(keys)
        return keys, rows


@dataclass(frozen=True, slots=True, eq=False)
class _All:
    """All visits of all offers, one after another."""

    field: Ints
    kind: Ints
    first_block: Ints
    last_block: Ints
    start: Ints
    end: Ints
    first_h: Floats
    last_h: Floats
    once: Bools  # the field gets one visit at most: one block, or another pass
    blocks: Ints  # of the field


def model(offers: Sequence[Offers], sprayers: Sequence[Sprayers]) -> Model:
    """Write down the rows of a plan.

    Parameters
    ----------
    offers : sequence of Offers
        What can be chosen.
    sprayers : sequence of Sprayers
        One entry for each kind.

    Notes
    -----
    Each block of a field is in one visit at most, a field has one visit a day, three in all and one sprayer.
    In each half-day the visits of a kind take no more than its hours, and across each border between two
    half-days at most one visit a sprayer runs on. Then in every half-day the visit that ran in comes first
    and the one that runs on last, so there is an order in which one sprayer can make them all. For several
    sprayers of a kind the rows are no more than a bound: their visits must still be dealt out.
    """
    every = _all(offers)
    rows = _Rows([], [], [], [])
    total = every.field.size + _field_rows(rows, every)
    slots = max((one.hours_h.size for one in sprayers), default=0)
    hours_row = np.full((len(sprayers), slots), -1)
    limit = np.array([one.count * one.hours_h for one in sprayers]).reshape(len(sprayers), slots)
    column, slot, used_h = _usage(every, sprayers)
    finite = np.isfinite(limit[every.kind[column], slot])
    column, slot, used_h = column[finite], slot[finite], used_h[finite]
    key = every.kind[column] * slots + slot
    keys, at = rows.add(key, column, used_h, limit.reshape(-1)[np.unique(key)])
    hours_row.reshape(-1)[keys] = at
    column, border = _spread(every.start, every.end - 1)
    counts = np.array([one.count for one in sprayers], dtype=np.float64)
    key = every.kind[column] * slots + border
    rows.add(key, column, 1.0, counts[np.unique(key) // max(slots, 1)])
    entries = np.concatenate(rows.value), (np.concatenate(rows.row), np.concatenate(rows.column))
    lengths = [len(one.columns) for one in offers]
    score = np.concatenate([np.zeros(0), *(one.columns.score for one in offers)])
    of_columns = np.concatenate([np.zeros(0, dtype=np.bool_), *(one.columns.outer for one in offers)])
    return Model(
        matrix=sparse.csc_array(entries, shape=(rows.count, total)),
        most=np.concatenate(rows.most),
        score=np.concatenate([score, np.zeros(total - score.size)]),
        visits=score.size,
        outer=np.append(of_columns, np.ones(total - score.size, dtype=np.bool_)),
        field=every.field,
        kind=every.kind,
        row=np.concatenate([np.zeros(0, dtype=np.int64), *(np.arange(size) for size in lengths)]),
        offers=np.repeat(np.arange(len(offers)), lengths),
        hours_row=hours_row,
    )


def _all(offers: Sequence[Offers]) -> _All:
    lengths = [len(one.columns) for one in offers]
    field = np.repeat(np.array([one.field for one in offers], dtype=np.int64), lengths)

    def of(name: str) -> Floats:
        return np.concatenate([np.zeros(0), *(getattr(one.columns, name) for one in offers)])

    last_block = of("last_block").astype(np.int64)
    first_block = of("first_block").astype(np.int64)
    most = np.zeros(int(field.max(initial=-1)) + 1, dtype=np.int64)
    np.maximum.at(most, field, last_block + 1)
    least = np.full(most.size, np.iinfo(np.int64).max)
    np.minimum.at(least, field, first_block)
    span = (most - least)[field]
    return _All(
        field=field,
        kind=np.repeat(np.array([one.kind for one in offers], dtype=np.int64), lengths),
        first_block=first_block,
        last_block=last_block,
        start=of("start").astype(np.int64),
        end=of("end").astype(np.int64),
        first_h=of("first_h"),
        last_h=of("last_h"),
        once=np.repeat(np.array([one.once for one in offers], dtype=np.bool_), lengths) | (span == 1),
        blocks=span,
    )


def _spread(first: Ints, last: Ints) -> tuple[Ints, Ints]:
    """Give each column with every number from its first to its last."""
    length = np.maximum(last - first + 1, 0)
    column = np.repeat(np.arange(first.size), length)
    step = np.arange(length.sum()) - np.repeat(np.cumsum(length) - length, length)
    return column, first[column] + step


def _field_rows(rows: _Rows, every: _All) -> int:
    """Add the rows within fields; gives how many columns say which sprayer a field has."""
    once = np.flatnonzero(every.once)
    rows.add(every.field[once], once, 1.0, 1.0)
    several = np.flatnonzero(~every.once)
    kinds = int(every.kind.max(initial=0)) + 1
    pair = every.field * kinds + every.kind
    pairs = np.unique(pair[several])
    of_field, kinds_of = np.unique(pairs // kinds, return_counts=True)
    pairs = pairs[np.isin(pairs // kinds, of_field[kinds_of > 1])]  # fields with a choice of the sprayer
    column, block = _spread(every.first_block[several], every.last_block[several])
    column = several[column]
    most_blocks = int(every.last_block.max(initial=0)) + 1
    chosen = np.isin(pair[column], pairs)
    rows.add(every.field[column[~chosen]] * most_blocks + block[~chosen], column[~chosen], 1.0, 1.0)
    if pairs.size:
        extra = every.field.size + np.arange(pairs.size)
        rows.add(pairs // kinds, extra, 1.0, 1.0)
        key = pair[column[chosen]] * most_blocks + block[chosen]
        keys = np.unique(key)
        taken = extra[np.searchsorted(pairs, keys // most_blocks)]
        rows.add(
            np.concatenate([key, keys]),
            np.concatenate([column[chosen], taken]),
            np.concatenate([np.ones(key.size), np.full(keys.size, -1.0)]),
            0.0,
        )
    column, day = _spread(every.start[several] // 2, every.end[several] // 2)
    column = several[column]
    rows.add(every.field[column] * (int(every.end.max(initial=0)) + 1) + day, column, 1.0, 1.0)
    many = several[every.blocks[several] > MOST_VISITS]
    rows.add(every.field[many], many, 1.0, float(MOST_VISITS))
    return int(pairs.size)


def _usage(every: _All, sprayers: Sequence[Sprayers]) -> tuple[Ints, Ints, Floats]:
    """Give hours of each column in each half-day: column, slot, hours."""
    runs = np.flatnonzero(every.end > every.start)
    between, slot = _spread(every.start[runs] + 1, every.end[runs] - 1)
    between = runs[between]
    hours_h = np.array([one.hours_h for one in sprayers]).reshape(len(sprayers), -1)
    used = hours_h[every.kind[between], slot]
    here = used > 0
    return (
        np.concatenate([np.arange(every.field.size), runs, between[here]]),
        np.concatenate([every.start, every.end[runs], slot[here]]),
        np.concatenate([every.first_h, every.last_h[runs], used[here]]),
    )
