"""How many zones the passes need."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.evidence import number
from zoning.passes.division import fewest_enough

ENOUGH = number("passes.kept_least_frac")


@pytest.mark.parametrize(
    ("kept", "place"),
    [
        ([1.0], 0),
        ([ENOUGH, 1.0], 0),
        ([ENOUGH - 1e-9, ENOUGH], 1),
        ([0.2, 0.99, 0.5, 1.0], 1),
        ([0.2, 0.7, 0.6], 1),
        ([0.7, 0.7], 0),
        ([-3.0, -1.0], 1),
    ],
)
def test_by_hand_the_first_that_keeps_enough_else_the_one_that_keeps_most(kept, place):
    assert fewest_enough(range(1, len(kept) + 1), kept) == place


@given(st.lists(st.floats(-2, 1), min_size=1, max_size=6))
def test_no_smaller_number_would_have_been_enough(kept):
    place = fewest_enough(range(1, len(kept) + 1), kept)
    assert all(one < ENOUGH for one in kept[:place])
    assert kept[place] >= ENOUGH or kept[place] == max(kept)
