"""How much is left at another stage than mid R3."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from zoning.returns.curve import at, effect, points, positions

# R1 3 d, R2 10 d, R3 and R4 9 d each, R5 12 d; day 0 is the first day of R3
BEGIN = np.array([[-13.0, -10.0, 0.0, 9.0, 18.0, 30.0, 48.0]])


def test_published_stage_means():
    # Mueller and Robertson 2010, Iowa State University ICM News: R1 1.07, R2 2.32, R3 2.42 bu/ac
    low, _ = at("published", [1.0, 2.5, 3.5])
    assert low == pytest.approx([1.07 / 2.42, 2.32 / 2.42, 1.0], abs=0.005)


def test_by_hand_days_around_r3_without_disease():
    # straight lines through (-5, .96), (0, .98), (4.5, 1), (13.5, .40), (18, .35), (30, 0)
    days = [-13, -5, 0, 3, 4.5, 7, 10, 13.5, 15, 18, 24, 30]
    hand = [0.44, 0.96, 0.98, 0.993, 1.0, 0.833, 0.633, 0.40, 0.383, 0.35, 0.175, 0.0]
    assert effect("published", BEGIN, days).low_frac[0] == pytest.approx(hand, abs=0.0005)


def test_by_hand_days_between_r1_and_mid_r2_without_disease():
    # a straight line from (-13, .44) to (-5, .96), .065 a day, where R1 takes two thirds of these 8 d and
    # half of R2 the rest; elsewhere the stage fraction rules, not the day
    even = np.array([[-13.0, -13 + 16 / 3, -13 + 32 / 3, 9.0, 18.0, 30.0, 48.0]])
    assert effect("published", even, [-10, -7]).low_frac[0] == pytest.approx([0.635, 0.830], abs=0.0005)


def test_by_hand_days_around_r3_with_disease_building():
    # straight lines through (-13, .50), (-5, .90), (0, 1), (4.5, 1), (13.5, .65), (18, .30), (30, 0)
    days = [-13, -5, 0, 4.5, 9, 13.5, 18, 24]
    hand = [0.50, 0.90, 1.0, 1.0, 0.825, 0.65, 0.30, 0.15]
    assert effect("published", BEGIN, days).responding_frac[0] == pytest.approx(hand, abs=1e-9)


def test_by_hand_practice_curve():
    # common practice: 5.75 USD/bu at R3 against 11 USD/bu a stage early or late; 5.75 / 11 = .5227
    low, responding = at("practice", [1.0, 2.5, 3.5, 4.5, 5.0, 6.0])
    assert low == pytest.approx([0.24, 0.5227, 1.0, 0.5227, 0.46, 0.0], abs=0.00005)
    assert np.array_equal(low, responding)


def test_by_hand_practice_outer_stages_are_scaled_from_the_published_ones():
    # .44 x .5227 / .96 = .2396 and .35 x .5227 / .40 = .4574
    low, _ = at("practice", [1.0, 5.0])
    published, _ = at("published", [1.0, 2.5, 4.5, 5.0])
    assert low == pytest.approx(
        [published[0] * 5.75 / 11 / published[1], published[3] * 5.75 / 11 / published[2]], abs=0.005
    )


def test_outside_r1_to_r6_nothing_is_supported():
    late = effect("published", BEGIN, [-14, -13, 30, 31])
    assert late.supported.tolist() == [[False, True, True, False]]
    assert late.low_frac[0, [0, 3]].tolist() == [0, 0]


def test_stages_that_begin_on_one_day_are_no_division_by_zero():
    begin = np.array([[0.0, 0.0, 10.0, 20.0, 30.0, 45.0, 60.0]])
    assert positions(begin, [0, 5, 10])[0] == pytest.approx([1.0, 2.5, 3.0])


@given(
    lengths=st.lists(st.floats(0.5, 20), min_size=6, max_size=6),
    stage=st.integers(1, 5),
    passed=st.floats(0, 1),
)
@settings(max_examples=50, deadline=None)
def test_position_is_stage_plus_passed_part(lengths, stage, passed):
    begin = 100 + np.concatenate([[0.0], np.cumsum(lengths)])
    day = begin[stage - 1] + passed * (begin[stage] - begin[stage - 1])
    day = min(day, begin[5])
    assert positions(begin[None, :], [day])[0, 0] == pytest.approx(stage + passed, abs=1e-6)


@pytest.mark.parametrize("curve", ["published", "practice"])
def test_curves_rise_to_r3_and_fall_after(curve):
    for position, share in (points(curve)[:2], points(curve)[2:]):
        assert np.all(np.diff(position) > 0)
        assert np.all(np.diff(share[position <= 3.5]) >= 0)
        assert np.all(np.diff(share[position >= 3.5]) < 0)
        assert share.max() == 1
