"""Zones that keep their numbers: whatever the blocks do, the largest part of each has it."""

from itertools import pairwise

import numpy as np
import pytest
from shapely import box

from zoning.inputs.grid import Grid
from zoning.zones.given import from_given
from zoning.zones.zoning import Ground, Limits

GRID = Grid.covering((0, 0, 400, 400), 32615, 10.0)
LIMITS = Limits(max_zones_per_block=3, min_area_ac=10.0)  # larger than some zones below
NORTH, SOUTH = box(0, 100, 400, 400), box(0, 0, 400, 100)


def ground(*edges: float, order: tuple[int, ...] | None = None) -> Ground:
    """Blocks from west to east with edges at some eastings, in another order where one is given."""
    at = (0.0, *edges, 400.0)
    outlines = [box(west, 0, east, 400) for west, east in pairwise(at)]
    rank = list(order or range(len(outlines)))
    block = np.zeros(GRID.shape, dtype=np.int16)
    for place, (west, east) in enumerate(pairwise(at)):
        inside = (GRID.east_m() > west) & (GRID.east_m() < east)
        block[:, inside] = rank.index(place)
    everywhere = np.ones(GRID.shape, dtype=bool)
    return Ground(
        grid=GRID,
        inside=everywhere,
        fit=everywhere,
        block_of_cell=block,
        block_outlines=tuple(outlines[place] for place in rank),
    )


def test_numbers_are_kept_in_whatever_order_the_zones_come() -> None:
    zoning, cuts = from_given((NORTH, SOUTH), ("", ""), ground(), {}, LIMITS, (2, 1))
    assert [(zone.number, zone.kept, zone.outline.area) for zone in zoning.zones] == [
        (1, 1, SOUTH.area),
        (2, 2, NORTH.area),
    ]
    assert (zoning.number_of_cell[:30] == 2).all()  # the grid's first rows lie in the north
    assert (zoning.number_of_cell[30:] == 1).all()
    assert cuts == ()


def test_the_largest_part_of_a_zone_that_is_cut_keeps_its_number() -> None:
    """An edge at 100 m: the western quarter of each zone becomes a zone with a new number."""
    zoning, _ = from_given((NORTH, SOUTH), ("", ""), ground(100.0), {}, LIMITS, (1, 2))
    found = {zone.number: (zone.kept, zone.block, zone.outline.area) for zone in zoning.zones}
    assert found == {1: (1, 1, 90_000.0), 2: (2, 1, 30_000.0), 3: (1, 0, 30_000.0), 4: (2, 0, 10_000.0)}
    assert [zone.number for zone in zoning.zones] == [1, 2, 3, 4]
    east, west = zoning.number_of_cell[:, 10:], zoning.number_of_cell[:, :10]
    assert (set(np.unique(east)), set(np.unique(west))) == ({1, 2}, {3, 4})


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_the_order_of_the_blocks_moves_no_number(order: tuple[int, int]) -> None:
    zones = (box(0, 0, 200, 400), box(200, 0, 400, 300), box(200, 300, 400, 400))
    zoning, _ = from_given(zones, ("", "", ""), ground(200.0, order=order), {}, LIMITS, (1, 2, 3))
    assert [zone.number for zone in zoning.zones] == [1, 2, 3]
    assert [zone.outline.area for zone in zoning.zones] == [one.area for one in zones]
    for number, outline in enumerate(zones, 1):
        assert (zoning.number_of_cell == number).sum() * 100 == outline.area


def test_ground_that_is_new_gets_a_number_behind_the_others() -> None:
    zones = (box(0, 0, 400, 20), NORTH, box(0, 20, 400, 100))
    zoning, _ = from_given(zones, ("", "", "not drawn"), ground(), {}, LIMITS, (1, 2, 0))
    assert [(zone.number, zone.kept, zone.name) for zone in zoning.zones] == [
        (1, 1, ""),
        (2, 2, ""),
        (3, 0, "not drawn"),
    ]


def test_without_numbers_to_keep_nothing_changes() -> None:
    plain, _ = from_given((NORTH, SOUTH), ("a", "b"), ground(), {}, LIMITS)
    assert [zone.kept for zone in plain.zones] == [0] * len(plain.zones)
    assert len(plain.zones) == 1, "a zone below the least size joins the other"
