"""What waiting costs."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.returns.delay import delay


def test_by_hand_days_follow_one_another_until_one_is_closed():
    net = np.array([5.0, 8.0, 7.0, 4.0, np.nan, 3.0])
    worth_it = np.array([True, True, True, False, False, True])
    later = delay([10, 11, 12, 13, 14, 15], net, worth_it, 11)
    assert later.days == (11, 12, 13)
    assert later.net_usd_ac == (8.0, 7.0, 4.0)
    assert later.pays_until == 12


def test_a_day_that_is_not_priced_ends_it_too():
    later = delay([10, 11, 13], np.array([3.0, 2.0, 1.0]), np.array([True] * 3), 10)
    assert (later.days, later.pays_until) == ((10, 11), 11)


def test_where_the_first_day_does_not_pay_none_is_named():
    later = delay([10, 11], np.array([-3.0, 2.0]), np.array([False, True]), 10)
    assert later.pays_until is None
    assert later.days == (10, 11)


@pytest.mark.parametrize("first", [9, 12, 14])
def test_a_first_day_that_cannot_be_sprayed_is_a_fault(first):
    with pytest.raises(ValueError, match=str(first)):
        delay([10, 11, 12], np.array([1.0, 2.0, np.nan]), np.array([True] * 3), first)


@given(st.lists(st.tuples(st.floats(-20, 20), st.booleans()), min_size=1, max_size=20), st.data())
def test_every_day_up_to_the_last_paying_one_pays(days, data):
    net = np.array([one for one, _ in days])
    worth_it = np.array([pays for _, pays in days])
    first = data.draw(st.integers(0, len(days) - 1))
    later = delay(np.arange(len(days)), net, worth_it, first)
    assert later.days == tuple(range(first, len(days)))
    if later.pays_until is None:
        assert not worth_it[first]
    else:
        assert worth_it[first : later.pays_until + 1].all()
        assert later.pays_until == len(days) - 1 or not worth_it[later.pays_until + 1]
