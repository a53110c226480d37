"""Neighbouring blocks that differ by a day or two, and reach R3 together, become one block; and it is said.

Forecasts nothing: when each block reaches R3 comes in. No date is averaged.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, product

import numpy as np
import shapely

from zoning.evidence import number
from zoning.inputs import area
from zoning.inputs.given import Block, FieldInputs
from zoning.inputs.ground.boundary import polygons_of
from zoning.inputs.ground.lettered import in_order, letters
from zoning.settings.model import Settings
from zoning.words import Said

_ROUNDING_D = 1e-9  # so that a limit is kept where the difference of two days is not exact
Group = tuple[int, ...]


def is_wanted(settings: Settings, given: FieldInputs) -> bool:
    """Whether alike neighbours are to be joined: as set, or else where no person drew the blocks."""
    if settings.planting.join_alike is not None:
        return settings.planting.join_alike
    return not given.blocks_drawn


def joined(given: FieldInputs, r3_day: Sequence[float], wanted: bool) -> tuple[FieldInputs, tuple[Said, ...]]:
    """Join neighbouring blocks that are alike.

    Parameters
    ----------
    given : FieldInputs
    r3_day : sequence of float
        Likely day on which R3 begins in each block; NaN where it is not known, and nothing is joined. [d]
    wanted : bool
        False: nothing is joined.

    Returns
    -------
    FieldInputs
        Blocks in the usual order with new letters, also in the notes; the very `given` if nothing was joined.
    tuple of Said
        For each block that was joined: the days of its parts, and how far they and their R3 lie apart.

    Notes
    -----
    Alike are blocks with one variety and maturity group, planted at most two days apart, whose R3 lie within
    a day. All parts of a block must be alike, not only neighbours, so that a chain of blocks does not creep.
    The dates are those of the largest part; the expected yield is the mean by area where all parts have one.
    """
    groups = _groups(given.blocks, r3_day) if wanted else [(one,) for one in range(len(given.blocks))]
    if len(groups) == len(given.blocks):
        return given, ()
    made = [_one_block([given.blocks[part] for part in group], given.grid.epsg) for group in groups]
    order = in_order(made)
    blocks = tuple(replace(made[at], name=letters(count)) for count, at in enumerate(order))
    new_place = np.full(len(given.blocks) + 1, -1, dtype=np.int16)  # the last stands for -1, outside
    for count, at in enumerate(order):
        new_place[list(groups[at])] = count
    names = {old.name: blocks[at].name for old, at in zip(given.blocks, new_place, strict=False)}
    told = tuple(
        _said(
            blocks[count], [given.blocks[part] for part in groups[at]], [r3_day[part] for part in groups[at]]
        )
        for count, at in enumerate(order)
        if len(groups[at]) > 1
    )
    now = replace(
        given,
        blocks=blocks,
        block_of_cell=new_place[given.block_of_cell],
        notes=tuple(dict.fromkeys(_renamed(note, names) for note in given.notes)),
    )
    return now, told


@dataclass(frozen=True, slots=True, order=True)
class _Join:
    """Two groups that may be joined; the smallest comes first."""

    r3_apart_d: float
    planted_apart_d: int
    less_edge_m: float
    first: Group
    second: Group


def _groups(blocks: Sequence[Block], r3_day: Sequence[float]) -> list[Group]:
    """Join the two most alike neighbours, over and over, until no two are left that may be joined."""
    edge_m = {
        (one, other): float(
            shapely.length(
                shapely.intersection(
                    shapely.boundary(blocks[one].outline), shapely.boundary(blocks[other].outline)
                )
            )
        )
        for one, other in combinations(range(len(blocks)), 2)
    }
    groups: list[Group] = [(one,) for one in range(len(blocks))]
    while joins := list(_joins(groups, blocks, r3_day, edge_m)):
        best = min(joins)
        groups = [one for one in groups if one not in (best.first, best.second)]
        groups.append(tuple(sorted(best.first + best.second)))
    return groups


def _joins(
    groups: Sequence[Group],
    blocks: Sequence[Block],
    r3_day: Sequence[float],
    edge_m: dict[tuple[int, int], float],
) -> Iterator[_Join]:
    for first, second in combinations(groups, 2):
        pairs = [(min(pair), max(pair)) for pair in product(first, second)]
        shared_m = sum(edge_m[pair] for pair in pairs)
        if shared_m <= 0:
            continue
        if any(_kind(blocks[one]) != _kind(blocks[other]) for one, other in pairs):
            continue
        planted_apart_d = max(abs((blocks[one].planted - blocks[other].planted).days) for one, other in pairs)
        r3_apart_d = float(np.max([abs(r3_day[one] - r3_day[other]) for one, other in pairs]))
        near = planted_apart_d <= number("inputs.join_planted_most_d")
        if near and r3_apart_d <= number("inputs.join_r3_most_d") + _ROUNDING_D:  # never where one is NaN
            yield _Join(r3_apart_d, planted_apart_d, -shared_m, first, second)


def _kind(block: Block) -> tuple[str, float]:
    return " ".join(block.variety.split()).casefold(), block.maturity_group


def _one_block(parts: Sequence[Block], epsg: int) -> Block:
    """Make one block of parts; a block alone stays as it is."""
    if len(parts) == 1:
        return parts[0]
    largest = max(parts, key=lambda part: part.area_ac)
    outline = polygons_of(shapely.coverage_union_all([part.outline for part in parts]))
    return replace(
        largest,
        outline=outline,
        area_ac=area.geodesic_ac(area.to_lonlat(outline, epsg)),
        expected_yield_bu_ac=_yield_bu_ac(parts),
    )


def _yield_bu_ac(parts: Sequence[Block]) -> float | None:
    known = [(part.expected_yield_bu_ac, part.area_ac) for part in parts]
    yields = [yield_bu_ac for yield_bu_ac, _ in known if yield_bu_ac is not None]
    if len(yields) < len(parts):
        return None
    return float(np.average(yields, weights=[area_ac for _, area_ac in known]))


def _said(block: Block, parts: Sequence[Block], r3_day: Sequence[float]) -> Said:
    planted = sorted(part.planted for part in parts)
    *first, last = [f"{day:%b} {day.day}" for day in planted]
    days = (planted[-1] - planted[0]).days
    return Said(
        "offers.joined",
        block=block.name,
        planted=f"{', '.join(first)} and {last}",
        days=f"{days} day{'' if days == 1 else 's'}",
        r3_d=max(r3_day) - min(r3_day),
        taken=block.planted,
    )


def _renamed(note: Said, names: dict[str, str]) -> Said:
    """Say a note about a block again with its new letter."""
    old = note.values.get("block")
    if not isinstance(old, str) or names.get(old, old) == old:
        return note
    return Said(note.code, **{**note.values, "block": names[old]})
