"""Opening with the machine's footprint: what it cannot treat by itself is no part of a zone."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_ground import smooth_patches, square_field
from scipy import ndimage

from zoning.zones.delineate import delineate
from zoning.zones.opened import footprint_cells, opened, reached
from zoning.zones.zoning import Footprint, Limits

CELL_M = 10.0


def random_labels(rng, number):
    """Patches of labels, with a ragged block around them."""
    shape = rng.integers(8, 30, size=2)
    fields = [ndimage.gaussian_filter(rng.normal(size=shape), 1.2) for _ in range(number)]
    labels = np.argmax(fields, axis=0).astype(np.int8)
    labels[ndimage.gaussian_filter(rng.normal(size=shape), 2.0) > 0.15] = -1
    return labels


def test_by_hand_a_strip_one_cell_wide_is_not_kept_by_a_footprint_of_two():
    # Columns 0-3 are 0, column 4 is 1, columns 5-9 are 0: no square of 2 x 2 cells fits in column 4.
    labels = np.zeros((6, 10), dtype=np.int8)
    labels[:, 4] = 1
    square = Footprint(across_m=20, along_m=20, heading_deg=0)
    assert (opened(labels, 2, square, CELL_M) == 0).all()
    # Two cells wide it fits, and stays as it is.
    labels[:, 5] = 1
    assert (opened(labels, 2, square, CELL_M) == labels).all()


def test_by_hand_a_footprint_lies_along_its_heading():
    # 10 m across and 50 m along: driven north it holds five rows of one column, driven east the reverse.
    north = footprint_cells(Footprint(across_m=10, along_m=50, heading_deg=0), CELL_M)
    east = footprint_cells(Footprint(across_m=10, along_m=50, heading_deg=90), CELL_M)
    assert sorted(north) == [(row, 0) for row in range(-2, 3)]
    assert sorted(east) == [(0, column) for column in range(-2, 3)]


def test_an_opening_is_that_of_another_library():
    # Witness: SciPy's binary opening, with the footprint as its structure.
    rng = np.random.default_rng(3)
    for heading in (0, 30, 45, 110):
        cells = footprint_cells(Footprint(across_m=20, along_m=40, heading_deg=heading), CELL_M)
        structure = np.zeros((21, 21), dtype=bool)
        for row, column in cells:
            structure[10 + row, 10 + column] = True
        plane = ndimage.gaussian_filter(rng.normal(size=(40, 50)), 1.5) > 0
        assert (reached(plane[None], cells)[0] == ndimage.binary_opening(plane, structure)).all()


@given(
    seed=st.integers(0, 10_000),
    number=st.integers(1, 4),
    across_m=st.floats(5, 40),
    along_m=st.floats(5, 60),
    heading_deg=st.floats(0, 360),
)
@settings(max_examples=60, deadline=None)
def test_what_a_footprint_reached_stays_and_opening_again_changes_nothing_of_it(
    seed, number, across_m, along_m, heading_deg
):
    labels = random_labels(np.random.default_rng(seed), number)
    footprint = Footprint(across_m=across_m, along_m=along_m, heading_deg=heading_deg)
    cells = footprint_cells(footprint, CELL_M)
    found = opened(labels, number, footprint, CELL_M)
    assert ((found < 0) == (labels < 0)).all()
    if len(cells) < 2:
        assert (found == labels).all()
        return
    planes = labels == np.arange(number)[:, None, None]
    kept = reached(planes, cells).any(axis=0)
    assert (found[kept] == labels[kept]).all()
    if not kept.any():
        assert (found == labels).all()
        return
    # whatever became of the rest, a footprint still reaches what it reached before
    still = reached(found == np.arange(number)[:, None, None], cells)
    assert still[labels[kept], *np.nonzero(kept)].all()
    assert set(np.unique(found)) <= set(np.unique(labels[kept])) | {-1}


@pytest.mark.parametrize("seed", range(6))
def test_the_machine_fits_in_every_zone(seed):
    rng = np.random.default_rng(seed)
    ground = square_field(60)
    layers = {name: smooth_patches(rng, (60, 60), 3, 5) + 0.1 * rng.normal(size=(60, 60)) for name in "ab"}
    footprint = Footprint(across_m=40, along_m=60, heading_deg=20)
    limits = Limits(max_zones_per_block=4, min_area_ac=0.5, footprint=footprint)
    zoning = delineate(layers, ground, limits, seed=1)
    assert len(zoning.zones) > 1
    cells = footprint_cells(footprint, CELL_M)
    for zone in zoning.zones:
        assert reached((zoning.number_of_cell == zone.number)[None], cells).any()
