"""How many pairs of strips show a response."""

import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import chi, nct, norm, ttest_1samp
from scipy.stats import t as student

from zoning.evidence import entry
from zoning.returns.pairs import pair_sd_bu_ac, pairs_needed, power
from zoning.strips.answer.response import interval

SD = 3.5


def test_by_hand_sd_of_a_pair():
    # on-farm strips soysff and soyprx, github.com/femiguez/predintma: 3.43 with 163 and 3.60 with 148
    # degrees of freedom: sqrt((163 x 3.43^2 + 148 x 3.60^2) / 311) = 3.512
    assert math.sqrt((163 * 3.43**2 + 148 * 3.60**2) / 311) == pytest.approx(3.51, abs=0.005)
    assert pair_sd_bu_ac() == pytest.approx(3.51, abs=0.05)
    assert entry("returns.pair_sd_bu_ac").kind == "computed"


@pytest.mark.parametrize(
    ("difference", "two_sided_05", "one_sided_10"),
    [(1, 99, 57), (2, 27, 15), (3, 13, 8), (4, 9, 5), (5, 7, 4)],
)
def test_by_hand_pairs_for_a_power_of_80_percent(difference, two_sided_05, one_sided_10):
    # noncentral t with n - 1 degrees of freedom, shift D sqrt(n) / 3.5
    assert pairs_needed(difference, SD, level_frac=0.05, sided=2) == two_sided_05
    assert pairs_needed(difference, SD, level_frac=0.10, sided=1) == one_sided_10


@pytest.mark.parametrize(
    ("pairs", "se", "half_width", "chance"),
    [
        # 3.5 / sqrt(n); t(.975, n - 1) x SE; P(t > t(.90, n - 1)) with shift 3 / SE
        (2, "2.47", "31.4", "0.31"),
        (3, "2.02", "8.69", "0.46"),
        (4, "1.75", "5.57", "0.57"),
        (6, "1.43", "3.67", "0.74"),
        (8, "1.24", "2.93", "0.84"),
        (12, "1.01", "2.22", "0.94"),
    ],
)
def test_by_hand_what_few_pairs_show(pairs, se, half_width, chance):
    def half_of_the_last_digit(printed):
        return 0.5 * 10.0 ** -len(printed.partition(".")[2]) + 1e-9

    _, width = interval(0.0, SD / math.sqrt(pairs), pairs - 1, certainty_frac=0.95)
    assert width == pytest.approx(float(half_width), abs=half_of_the_last_digit(half_width))
    ours = power(pairs, 3, SD, level_frac=0.10, sided=1)
    assert ours == pytest.approx(float(chance), abs=half_of_the_last_digit(chance))
    # the standard error is the half-width over the quantile of t, that of a table: 12.71, 4.303, ...
    ours = width / student.ppf(0.975, pairs - 1)
    assert ours == pytest.approx(float(se), abs=half_of_the_last_digit(se))


def test_by_hand_quick_rule_and_half_the_pairs():
    # n ~ (2.802 x sd / D)^2, a little short for few pairs; with 2.5 for 3.5 (2.5 / 3.5)^2 = .51 of them
    for difference in (0.5, 1, 2):
        quick = (2.802 * SD / difference) ** 2
        assert 0 <= pairs_needed(difference, SD, level_frac=0.05, sided=2) - quick < 4
    assert pairs_needed(1, 2.5) / pairs_needed(1, 3.5) == pytest.approx(0.51, abs=0.02)


@given(
    pairs=st.integers(2, 60),
    difference=st.floats(-2, 8),
    spread=st.floats(0.5, 6),
    level=st.floats(0.01, 0.3),
    sided=st.sampled_from([1, 2]),
)
@example(pairs=6, difference=2.0, spread=0.5, level=0.0625, sided=2)
@example(pairs=3, difference=21.5, spread=1.0, level=0.3, sided=1)
@settings(max_examples=50, deadline=None)
def test_witness_noncentral_t(pairs, difference, spread, level, sided):
    # t = (Z + shift) / S with S^2 a chi-squared over its degrees of freedom: the integral over S; and the
    # library's distribution, which has no value (NaN) far from its middle
    free, shift = pairs - 1, difference * np.sqrt(pairs) / spread
    least = student.isf(level / sided, free)

    def shown(s):
        tails = norm.cdf(shift - least * s) + (norm.cdf(-least * s - shift) if sided == 2 else 0)
        return tails * chi.pdf(s * np.sqrt(free), free) * np.sqrt(free)

    integral, _ = quad(shown, 0, 8, limit=200)
    ours = power(pairs, difference, spread, level, sided)
    assert ours == pytest.approx(integral, abs=1e-7)
    witness = nct.sf(least, free, shift) + (nct.cdf(-least, free, shift) if sided == 2 else 0)
    assert np.isnan(witness) or ours == pytest.approx(witness, abs=1e-9)


@pytest.mark.parametrize("sided", [1, 2])
@pytest.mark.parametrize("pairs", [2, 4, 8])
def test_witness_simulated_trials(pairs, sided):
    # 20,000 trials drawn and tested one by one: the share that shows the response, within 4 of its SE
    trials = np.random.default_rng(pairs).normal(3, SD, (20_000, pairs))
    found = ttest_1samp(trials, 0, axis=1, alternative="greater" if sided == 1 else "two-sided")
    share = np.mean(found.pvalue < 0.10)
    expected = power(pairs, 3, SD, 0.10, sided)
    assert share == pytest.approx(expected, abs=4 * np.sqrt(expected * (1 - expected) / 20_000))


@given(
    difference=st.floats(0.3, 8),
    spread=st.floats(0.5, 6),
    chance=st.floats(0.3, 0.95),
    level=st.floats(0.01, 0.2),
    sided=st.sampled_from([1, 2]),
)
@settings(max_examples=50, deadline=None)
def test_the_fewest_pairs_are_enough_and_one_less_is_not(difference, spread, chance, level, sided):
    fewest = pairs_needed(difference, spread, chance, level, sided)
    assert power(fewest, difference, spread, level, sided) >= chance
    if fewest > 2:
        assert power(fewest - 1, difference, spread, level, sided) < chance


@given(
    difference=st.floats(0.5, 6),
    more=st.floats(0, 3),
    spread=st.floats(1, 6),
    level=st.floats(0.02, 0.2),
)
@settings(max_examples=50, deadline=None)
def test_more_to_see_or_less_noise_never_needs_more_pairs(difference, more, spread, level):
    asked = pairs_needed(difference, spread, level_frac=level)
    assert pairs_needed(difference + more, spread, level_frac=level) <= asked
    assert pairs_needed(difference, spread + more, level_frac=level) >= asked
    assert pairs_needed(difference, spread, level_frac=level / 2) >= asked
    assert pairs_needed(difference, spread, 0.9, level) >= asked
    assert pairs_needed(difference, spread, level_frac=level, sided=2) >= asked


def test_no_response_is_shown_as_often_as_the_level_says():
    for sided in (1, 2):
        assert power(5, 0, SD, 0.1, sided) == pytest.approx(0.1, abs=1e-9)


def test_a_small_response_takes_a_great_many_pairs():
    # (1.2816 + .8416)^2 x (3.5 / .02)^2 = 138,060, a one-sided z test
    assert pairs_needed(0.02, SD) == pytest.approx(138_060, rel=0.001)


@pytest.mark.parametrize(
    ("asked", "why"),
    [
        (lambda: pairs_needed(0, SD), "response"),
        (lambda: pairs_needed(-1, SD), "response"),
        (lambda: pairs_needed(3, 0), "SD"),
        (lambda: pairs_needed(3, SD, 1.0), "chance"),
        (lambda: power(1, 3, SD), "two pairs"),
        (lambda: power(4, 3, SD, 0.0), "level"),
    ],
)
def test_what_cannot_be_asked(asked, why):
    with pytest.raises(ValueError, match=why):
        asked()
