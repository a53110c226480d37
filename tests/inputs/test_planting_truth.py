"""Blocks from as-planted records on made fields whose truth is known, at any heading, over seeds.

`tests/benchmarks/bench_plantings.py` does the same over more seeds and prints the figures.
"""

from datetime import date

import pytest
from made_inputs import FIELD, TODAY, Folder
from made_plantings import (
    Case,
    compared,
    every_second,
    filled_in,
    narrow_strips,
    plain,
    side_by_side,
    strays,
    two_planters,
    wide_strips,
)

from zoning.inputs import read
from zoning.inputs.given import FieldInputs

SPECK_AC = 0.25  # a patch smaller than this joins the block around it


def blocks_of(folder: Folder, case: Case) -> FieldInputs:
    folder.shapes("boundary.geojson", [FIELD])
    folder.shapes("planting.geojson", case.drive.shapes(), case.drive.rows)
    return read.field(folder.settings(), TODAY)


@pytest.mark.parametrize(
    ("make", "blocks", "seed"),
    [
        (plain, 3, 7),
        (strays, 3, 7),
        (strays, 3, 13),
        (two_planters, 2, 4),
        (side_by_side, 1, 5),
        (every_second, 2, 7),
        (filled_in, 1, 7),
        (narrow_strips, 2, 7),
        (wide_strips, 2, 10),
    ],
)
def test_true_blocks_are_found(folder: Folder, make, blocks: int, seed: int) -> None:
    case = make(seed)
    found = blocks_of(folder, case)
    right, beyond_a_planter, largest_ac = compared(found.blocks, case)
    assert len(found.blocks) == blocks
    assert right >= 0.95
    assert largest_ac < SPECK_AC  # edges lie within a planter's width, but for specks in corners
    if make is not wide_strips:  # there hardly anything lies farther from an edge
        assert beyond_a_planter >= 0.998
    codes = [note.code for note in found.notes]
    expected = {every_second: ["inputs.mixed_days"], narrow_strips: ["inputs.mixed_varieties"]}
    assert codes == (["inputs.planting_slips"] if make is filled_in else expected.get(make, []))
    assert not found.blocks_drawn
    assert all(block.planted >= date(2026, 5, 6) for block in found.blocks)
