"""The zone of a place, against distances to the middle of every cell."""

from datetime import date

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from zoning.inputs.given import Sighting
from zoning.inputs.grid import Grid
from zoning.offers.nearest import numbers_nearest

GRID = Grid(32615, 500_000.0, 4_900_060.0, 10.0, (6, 8))
PLACE = st.tuples(st.floats(-30, 110), st.floats(-30, 90))


def seen_at(east_m: float, north_m: float) -> Sighting:
    return Sighting(
        on=date(2026, 7, 6),
        east_m=500_000.0 + east_m,
        north_m=4_900_000.0 + north_m,
        pressure="low",
        cause="",
    )


@given(seed=st.integers(0, 99), places=st.lists(PLACE, min_size=1, max_size=6))
def test_witness_a_place_belongs_to_the_cell_whose_middle_is_nearest(seed, places):
    numbers = np.random.default_rng(seed).integers(0, 4, GRID.shape)
    rows, columns = np.nonzero(numbers)
    found = numbers_nearest([seen_at(*place) for place in places], numbers, GRID)
    for (east_m, north_m), number in zip(places, found, strict=True):
        away_m = np.hypot(10 * columns + 5 - east_m, 60 - (10 * rows + 5) - north_m)
        # on an edge any of the cells beside it may be taken
        nearest = numbers[rows, columns][away_m <= away_m.min() + 1e-6]
        assert number in nearest
