"""Canopy and wet ground against the own planting block, in SD of the block."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from zoning.evidence import number
from zoning.inputs.given import Layer
from zoning.inputs.grid import Grid
from zoning.offers.contrast import contrast_of

GRID = Grid(32615, 0.0, 0.0, 10.0, (2, 4))
BLOCKS = np.array([[0, 0, 1, 1], [0, 0, 1, -1]], dtype=np.int16)


def layer(values, shows="canopy") -> Layer:
    return Layer(name="a", values=np.array(values, float), file="a.tif", day=None, clear_frac=1, shows=shows)


def field(*layers: Layer, check: tuple[Layer, ...] = ()) -> SimpleNamespace:
    return SimpleNamespace(
        grid=GRID, block_of_cell=BLOCKS, blocks=(None, None), layers=layers, check_layers=check
    )


def test_by_hand_each_block_is_its_own_yardstick():
    # block A: 1 1 3 3, mean 2, SD 1; block B, younger: 11 11 14, mean 12, SD 2^.5
    found = contrast_of(field(layer([[1, 1, 11, 11], [3, 3, 14, np.nan]])))
    root = 2**0.5
    expected = [[-1, -1, -1 / root, -1 / root], [1, 1, 2 / root, 0]]
    assert found.canopy_sd == pytest.approx(np.array(expected))
    assert found.canopy_sd[BLOCKS == 0].mean() == pytest.approx(0)
    assert not found.wet_sd.any()


def test_by_hand_a_canopy_that_hardly_varies_counts_as_even():
    # mean 1, SD .001: compared with 3 % of the mean, .03, so +-.033 and not +-1
    least = number("returns.contrast_least_cv")
    found = contrast_of(field(layer([[0.999, 0.999, 5, 5], [1.001, 1.001, 5, 5]])))
    assert found.canopy_sd[0, 0] == pytest.approx(-0.001 / least)
    assert found.canopy_sd[1, 1] == pytest.approx(0.001 / least)


def test_cells_and_blocks_that_nobody_saw_are_like_their_block():
    found = contrast_of(field(layer([[1, np.nan, np.nan, np.nan], [3, 3, np.nan, np.nan]])))
    assert found.canopy_sd[0, 1] == 0
    assert not found.canopy_sd[BLOCKS == 1].any()
    assert contrast_of(field()).of(BLOCKS == 0) == (0.0, 0.0)


def test_wet_ground_is_the_end_that_the_user_named():
    heights = [[300, 300, 310, 310], [302, 302, 314, 0]]
    low = contrast_of(field(layer(heights, "wet low"))).wet_sd
    assert low == pytest.approx(-contrast_of(field(layer(heights, "wet high"))).wet_sd)
    assert low[0, 0] > 0 > low[1, 0]
    checked = contrast_of(field(check=(layer(heights, "wet low"),))).wet_sd
    assert checked == pytest.approx(low)
    assert not contrast_of(field(layer(heights, ""))).wet_sd.any()


def test_two_images_count_alike():
    one, other = layer([[1, 1, 1, 2], [3, 3, 1, 2]]), layer([[7, 5, 1, 2], [7, 5, 1, 2]])
    both = contrast_of(field(one, replace(other, name="b"))).canopy_sd
    alone = [contrast_of(field(each)).canopy_sd for each in (one, other)]
    assert both == pytest.approx((alone[0] + alone[1]) / 2)


def test_the_mean_over_a_zone():
    found = contrast_of(field(layer([[1, 1, 11, 11], [3, 3, 14, np.nan]])))
    top = np.array([[True, True, False, False], [False, False, False, False]])
    assert found.of(top) == (pytest.approx(-1), 0.0)
    assert found.of(np.zeros((2, 4), bool)) == (0.0, 0.0)
