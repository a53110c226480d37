"""What must not change the zones: units, the order of layers, other blocks, the number of threads."""

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from made_ground import LIMITS, ground_of, random_layers, random_outlines, smooth_patches, square_field
from shapely import box

from zoning.zones.delineate import delineate
from zoning.zones.zoning import Limits

FIELDS = [5, 9, 28]
HERE = Path(__file__).parent
MADE = HERE.parent / "made"


def _field(seed):
    ground = ground_of(random_outlines(seed), buffer_m=15)
    return random_layers(seed, ground), ground


@pytest.mark.parametrize("seed", FIELDS)
def test_a_layer_times_three_and_shifted_gives_the_same_zones(seed):
    layers, ground = _field(seed)
    other = {"canopy": 3 * layers["canopy"] - 7.3, "slope": 3e-4 * layers["slope"] + 0.2}
    one, two = (delineate(given, ground, LIMITS, seed=4) for given in (layers, other))
    assert np.array_equal(one.number_of_cell, two.number_of_cell)
    assert [zone.outline for zone in one.zones] == [zone.outline for zone in two.zones]


@pytest.mark.parametrize("seed", FIELDS)
def test_the_order_of_layers_changes_no_outline(seed):
    layers, ground = _field(seed)
    swapped = dict(reversed(layers.items()))
    one, two = (delineate(given, ground, LIMITS, seed=4) for given in (layers, swapped))
    pairs = np.unique(np.stack([one.number_of_cell.ravel(), two.number_of_cell.ravel()]), axis=1)
    assert pairs.shape[1] == len(one.zones) + 1 == len(two.zones) + 1
    assert {zone.outline.wkb for zone in one.zones} == {zone.outline.wkb for zone in two.zones}


@pytest.mark.parametrize("seed", FIELDS)
def test_with_a_named_layer_the_order_changes_no_number(seed):
    layers, ground = _field(seed)
    limits = Limits(max_zones_per_block=3, min_area_ac=1.0, number_by="canopy")
    swapped = dict(reversed(layers.items()))
    one, two = (delineate(given, ground, limits, seed=4) for given in (layers, swapped))
    assert np.array_equal(one.number_of_cell, two.number_of_cell)


def test_zones_are_numbered_by_block_and_from_high_to_low():
    layers, ground = _field(28)
    zoning = delineate(layers, ground, LIMITS, seed=4)
    assert [zone.number for zone in zoning.zones] == list(range(1, len(zoning.zones) + 1))
    keys = [(zone.block, -zone.means.get("canopy", -np.inf)) for zone in zoning.zones]
    assert keys == sorted(keys)


def test_equal_zones_are_numbered_from_the_north_west():
    # The layer that numbers was seen in no zone of the block.
    ground = square_field(40)
    halves = np.where(np.arange(40)[:, None] < 20, 0.0, 1.0) + np.zeros((1, 40))
    layers = {"unseen": np.full((40, 40), np.nan), "canopy": halves}
    zoning = delineate(layers, ground, LIMITS, seed=1)
    assert len(zoning.zones) == 2
    assert zoning.number_of_cell[0, 0] == 1
    assert "unseen" not in zoning.zones[0].means


def test_by_hand_means_and_cells_of_two_halves():
    ground = square_field(40)
    halves = np.where(np.arange(40)[None, :] < 16, 0.25, 0.75) + np.zeros((40, 1))
    one, two = delineate({"canopy": halves}, ground, LIMITS, seed=1).zones
    # 40 rows x 24 columns at 0.75 and 40 x 16 at 0.25
    assert (one.cells, two.cells) == (960, 640)
    assert (one.means["canopy"], two.means["canopy"]) == pytest.approx((0.75, 0.25))
    # 640 cells of 100 m2, the edge straight
    assert two.outline.area == pytest.approx(64_000, rel=1e-9)


def test_another_block_changes_nothing_in_the_first():
    field = box(0, 0, 500, 500)
    rng = np.random.default_rng(8)
    canopy = smooth_patches(rng, (50, 50), 3, 7) + 0.2 * rng.normal(size=(50, 50))
    alone = ground_of([field])
    both = ground_of([field, box(500, 0, 900, 500)])
    wide = np.concatenate([canopy, rng.normal(size=(50, 40))], axis=1)
    one = delineate({"canopy": canopy}, alone, LIMITS, seed=2)
    two = delineate({"canopy": wide}, both, LIMITS, seed=2)
    assert np.array_equal(one.number_of_cell, two.number_of_cell[:, :50])


def test_a_layer_of_the_wrong_shape_or_an_unknown_name_is_refused():
    ground = square_field(20)
    with pytest.raises(ValueError, match="shape"):
        delineate({"canopy": np.zeros((20, 21))}, ground, LIMITS, seed=1)
    limits = Limits(max_zones_per_block=2, min_area_ac=1.0, number_by="yield")
    with pytest.raises(ValueError, match="yield"):
        delineate({"canopy": np.zeros((20, 20))}, ground, limits, seed=1)


def _digest():
    layers, ground = _field(9)
    zoning = delineate(layers, ground, LIMITS, seed=4)
    outlines = b"".join(zone.outline.wkb for zone in zoning.zones)
    return hashlib.sha256(zoning.number_of_cell.tobytes() + outlines).hexdigest()


def test_another_process_and_its_threads_change_no_byte():
    threads = "2" if os.environ.get("OMP_NUM_THREADS") == "1" else "1"
    program = "import sys; sys.path[:0] = sys.argv[1:]; import test_zone_invariance as t; print(t._digest())"
    done = subprocess.run(
        [sys.executable, "-c", program, str(HERE), str(MADE)],
        env=os.environ | {"OMP_NUM_THREADS": threads, "OPENBLAS_NUM_THREADS": threads},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == _digest()


def test_one_zone_needs_no_clustering_library():
    program = (
        "import sys; sys.path.insert(0, sys.argv[1]); from made_ground import *;"
        "from zoning.zones.delineate import delineate; g = square_field(20);"
        "assert len(delineate({}, g, LIMITS, seed=1).zones) == 1; print('sklearn' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, str(MADE)], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "False"
