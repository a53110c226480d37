"""Layers as pictures: a shade says how high the layer is in its cell, and where there is nothing."""

from datetime import date

import numpy as np
import pytest
from made_inputs import GRID

from zoning.inputs.given import Layer
from zoning.offers.pictures import of_layers


class Given:
    """What is asked of the inputs of a field."""

    def __init__(self, *values):
        self.grid = GRID
        self.layers = tuple(
            Layer(name=f"layer {place}", values=one, file="a.tif", day=date(2026, 6, 28), clear_frac=1.0)
            for place, one in enumerate(values)
        )


def test_by_hand_shades():
    # 0 ... 100 in 101 cells: the 1 % and 99 % quantiles are 1 and 99, so 1 -> shade 1, 50 -> the middle
    # 1 + round(49/98 x 254) = 128, 99 -> 255; 0 and 100 lie beyond and have the shades of the ends
    values = np.arange(101.0).reshape(1, -1)
    (found,) = of_layers(Given(values))
    assert (found.low, found.high) == (1.0, 99.0)
    assert found.shades[0, [0, 1, 50, 99, 100]].tolist() == [1, 1, 128, 255, 255]


def test_shades_lead_back_to_the_layer():
    values = np.random.default_rng(8).normal(0.4, 0.1, GRID.shape)
    values[:3] = np.nan
    (found,) = of_layers(Given(values))
    assert (found.shades == 0).tolist() == np.isnan(values).tolist()
    back = found.low + (found.shades - 1.0) / 254 * (found.high - found.low)
    held = np.clip(values, found.low, found.high)
    step = (found.high - found.low) / 254
    seen = np.isfinite(values)
    assert np.abs(back - held)[seen].max() <= step / 2 + 1e-12
    assert (found.west_m, found.north_m, found.cell_m) == (GRID.left_m, GRID.top_m, GRID.cell_m)


def test_a_layer_without_differences_is_one_shade_and_one_without_cells_is_none():
    flat, nothing = np.full((2, 3), 7.0), np.full((2, 3), np.nan)
    (found,) = of_layers(Given(flat, nothing))
    assert found.name == "layer 0"
    assert len(np.unique(found.shades)) == 1
    assert found.shades.min() > 0


@pytest.mark.parametrize("odd", [-1e6, 1e6])
def test_an_odd_cell_does_not_take_the_shades_from_the_others(odd):
    values = np.linspace(0.2, 0.8, 1000).reshape(25, 40)
    values[3, 4] = odd
    (found,) = of_layers(Given(values))
    assert len(np.unique(found.shades)) > 200
