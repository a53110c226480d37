"""Cells of one kind of ground, against numpy's own way of finding equal columns."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from zoning.offers.divided import _alike

NOT_KNOWN = np.iinfo(np.int32).min  # the step of what is not finite
KEY = st.tuples(
    st.integers(0, 1), st.sampled_from([NOT_KNOWN, -1, 0, 58]), st.integers(-2, 2), st.integers(0, 1)
)


@given(cells=st.lists(KEY, max_size=60))
def test_witness_cells_are_grouped_as_numpy_groups_equal_columns(cells):
    keys = np.array(cells, dtype=np.int64).reshape(-1, 4).T
    found, kind = np.unique(keys, axis=1, return_inverse=True)
    groups = _alike(keys)
    assert len(groups) == found.shape[1]
    for number, group in enumerate(groups):
        assert group.tolist() == np.flatnonzero(kind.ravel() == number).tolist()
