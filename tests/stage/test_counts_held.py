"""What was plainly seen holds in every draw, in the order of the stages and around R3."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from zoning.inputs.given import AtOrPast, PodLength, StagedNote, Tally
from zoning.stage.draws import StageDraws
from zoning.stage.held import hold, limits
from zoning.stage.likelihood import Visit, count_rules

RULES = count_rules()
BEGIN = np.array([180.0, 183.0, 193.0, 201.0, 208.0, 223.0, 241.0])


def seen(what, day=200.5) -> Visit:
    return Visit(day=day, seen=what)


@pytest.mark.parametrize(("k", "plain"), [(20, True), (15, True), (14, False), (10, False), (6, False)])
def test_by_hand_fifteen_of_twenty_plants_are_plain(k, plain):
    # 1/2 x sqrt(2 / 20) = .158; 1.2816 x .158 = .203: from a share of .703 on, so from 15 plants of 20
    _, not_after = limits([seen(AtOrPast("R4", k, 20))], RULES)
    assert (not_after[3] == 200.5) is np.bool_(plain)
    assert not_after[4] == np.inf


def test_by_hand_five_of_twenty_are_plainly_not_there():
    not_before, not_after = limits([seen(AtOrPast("R4", 5, 20))], RULES)
    assert not_before.tolist() == [-np.inf] * 3 + [200.5] * 2
    assert (not_after == np.inf).all()


def test_notes_and_pods_are_never_plain():
    for what in (StagedNote("R5"), PodLength(30.0)):
        not_before, not_after = limits([seen(what)], RULES)
        assert np.isinf(not_before).all()
        assert np.isinf(not_after).all()


def test_by_hand_plants_past_r5_have_r5_behind_them():
    draws = StageDraws(np.tile(BEGIN, (3, 1)))
    held = hold(draws, *limits([seen(Tally((0, 0, 0, 0, 0, 20)), day=203.0)], RULES))
    # R4 on 201 stands; R5 moves from 208 to the day of the visit, and R6 and R7 five days with it
    assert held.begin_day[0].tolist() == [180, 183, 193, 201, 203, 218, 236]


def test_by_hand_plants_before_r1_have_r1_ahead():
    draws = StageDraws(np.tile(BEGIN, (3, 1)))
    held = hold(draws, *limits([seen(Tally((20, 0, 0, 0, 0, 0)), day=185.0)], RULES))
    # R1 waits for the day of the visit, R2 half a day longer; R3 on 193 and what follows stands
    assert held.begin_day[0, :3].tolist() == [185, 185.5, 193]
    assert (held.begin_day[:, 2:] == draws.begin_day[:, 2:]).all()


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.lists(st.integers(0, 20), min_size=6, max_size=6).filter(any),
            st.floats(150, 260),
        ),
        min_size=1,
        max_size=3,
    ),
    st.integers(0, 99),
)
def test_property_the_stages_keep_their_order_and_r3_its_day(visits, seed):
    chance = np.random.default_rng(seed)
    steps = np.array([0.0, 3.0, 10.0, 8.0, 7.0, 15.0, 18.0])
    begin = 180 + chance.normal(0, 4, (32, 1)) + np.cumsum(steps) + np.zeros((32, 1))
    held = hold(
        StageDraws(begin), *limits([seen(Tally(tuple(plants)), day) for plants, day in visits], RULES)
    ).begin_day
    assert (np.diff(held, axis=1) > 0).all()
    assert (held[:, 2] == begin[:, 2]).all()
    length = held[:, 3] - held[:, 2]
    assert length.min() >= 5 - 1e-9
    assert length.max() <= 15 + 1e-9
