"""Mixtures made at random against scipy.stats, integrals of the density, and Bayes' rule on a grid."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm

from zoning.returns.draws import response_draws
from zoning.returns.mixture import (
    columns,
    exceedance,
    from_parts,
    mean,
    quantile,
    sd,
    sorted_draws,
    update,
    with_stage,
)
from zoning.returns.sources import own_trials, pooled, practice
from zoning.returns.worth import Question, perfect_information_usd_ac, worth

ONE = st.tuples(st.floats(0.02, 1), st.floats(-3, 9), st.floats(0.2, 3))  # weight before scaling, mean, SD
ROWS = st.lists(ONE, min_size=1, max_size=4)
NEEDED = st.floats(-1, 7)
PRICE = st.floats(2, 20)


class Witness:
    """The same mixture by scipy.stats alone."""

    def __init__(self, rows):
        weight, self.middle, self.spread = (np.array(column) for column in zip(*rows, strict=True))
        self.weight = weight / weight.sum()
        self.ends = (self.middle - 9 * self.spread).min(), (self.middle + 9 * self.spread).max()

    def density(self, bu_ac):
        return float(self.weight @ norm.pdf(bu_ac, self.middle, self.spread))

    def above(self, bu_ac):
        return float(self.weight @ norm.sf(bu_ac, self.middle, self.spread))

    def integral(self, of, low=None, high=None):
        """Integral of a function times the density, in pieces at the parts' means."""
        low, high = self.ends[0] if low is None else low, self.ends[1] if high is None else high
        inside = sorted({float(middle) for middle in self.middle if low < middle < high})
        corners = [low, *inside, high]
        pieces = pairwise(corners)
        return sum(
            quad(lambda x: of(x) * self.density(x), a, b, epsabs=1e-10, limit=200)[0]
            for a, b in pieces
            if b > a
        )

    def mixture(self):
        parts = [[float(m), float(s)] for m, s in zip(self.middle, self.spread, strict=True)]
        return from_parts(self.weight.tolist(), parts)


@given(rows=ROWS)
@settings(max_examples=30, deadline=None)
def test_witness_mean_and_sd_are_moments_of_the_density(rows):
    witness = Witness(rows)
    ours = witness.mixture()
    assert witness.integral(lambda _: 1.0) == pytest.approx(1, abs=1e-8)
    middle = witness.integral(lambda x: x)
    assert mean(ours) == pytest.approx(middle, abs=1e-7)
    assert sd(ours) ** 2 == pytest.approx(witness.integral(lambda x: (x - middle) ** 2), abs=1e-6)


@given(rows=ROWS, needed=NEEDED, chance=st.floats(0.001, 0.999))
@settings(max_examples=60, deadline=None)
def test_witness_chance_and_quantile(rows, needed, chance):
    witness = Witness(rows)
    ours = witness.mixture()
    assert exceedance(ours, needed) == pytest.approx(witness.above(needed), abs=1e-12)
    assert witness.above(float(quantile(ours, chance))) == pytest.approx(1 - chance, abs=1e-9)


@given(rows=ROWS, needed=NEEDED, price=PRICE)
@settings(max_examples=30, deadline=None)
def test_witness_value_of_knowing_by_integration(rows, needed, price):
    # one who knows sprays where the response is above what is needed; one who does not sprays everywhere or
    # nowhere: price x (E max(0, D - b) - max(0, E D - b))
    witness = Witness(rows)
    gain = witness.integral(lambda x: x - needed, low=needed, high=max(needed, witness.ends[1]))
    blind = max(0.0, witness.integral(lambda x: x) - needed)
    ours = perfect_information_usd_ac(witness.mixture(), needed, price)
    assert ours == pytest.approx(price * (gain - blind), abs=1e-5)
    assert ours >= 0


def halved(mixture, chance):
    """Quantiles by halving alone, 60 times, with the error function of the standard library."""
    weight, middle, spread = columns(mixture)
    below_of = np.vectorize(lambda z: 0.5 * math.erfc(-z / math.sqrt(2)))
    low = np.full(chance.shape, (middle - 10 * spread).min() - 1)
    high = np.full(chance.shape, (middle + 10 * spread).max() + 1)
    for _ in range(60):
        half = 0.5 * (low + high)
        is_low = below_of((half[:, None] - middle) / spread) @ weight < chance
        low, high = np.where(is_low, half, low), np.where(is_low, high, half)
    return 0.5 * (low + high)


UNEVEN = st.tuples(st.floats(0.001, 1), st.floats(-9, 9), st.floats(0.01, 9))
MIDDLES = (np.arange(512) + 0.5) / 512


@given(rows=st.lists(UNEVEN, min_size=1, max_size=4))
@settings(max_examples=25, deadline=None)
def test_witness_quantiles_are_those_of_halving(rows):
    mixture = Witness(rows).mixture()
    weight, middle, spread = columns(mixture)
    ours, theirs = quantile(mixture, MIDDLES), halved(mixture, MIDDLES)
    assert np.all(np.diff(ours) >= 0)
    # where hardly any response lies the chance itself is known to its last digit only
    density = norm.pdf(ours[:, None], middle, spread) @ weight
    assert np.all(np.abs(ours - theirs) <= 1e-10 + 1e-15 / np.maximum(density, 1e-15))


@pytest.mark.parametrize("pressure", ["low", "unknown", "medium", "high", "seen"])
def test_witness_the_draws_that_are_used_are_those_of_halving(pressure):
    for mixture in (pooled(pressure), own_trials(3.6, 0.6, 4, pressure), practice(pressure)):
        assert quantile(mixture, MIDDLES) == pytest.approx(halved(mixture, MIDDLES), abs=1e-11)


def test_by_hand_quantiles_of_a_part_without_spread():
    # 1 with chance .3, else normal about 3: up to .3 it is 1; .65 is the middle of the rest. Or 1 or 3.
    mixture = from_parts([0.3, 0.7], [[1.0, 0.0], [3.0, 0.1]])
    assert quantile(mixture, [0.01, 0.29, 0.65]) == pytest.approx([1, 1, 3], abs=1e-12)
    assert quantile(from_parts([0.5, 0.5], [[1.0, 0.0], [3.0, 0.0]]), [0.49, 0.51]) == pytest.approx([1, 3])


@given(rows=ROWS, seen=st.floats(-3, 9), error_sd=st.floats(0.3, 3))
@settings(max_examples=30, deadline=None)
def test_witness_update_is_prior_times_likelihood(rows, seen, error_sd):
    witness = Witness(rows)
    after = update(witness.mixture(), seen, error_sd**2)
    low, high = witness.ends
    grid = np.linspace(min(low, seen - 9 * error_sd), max(high, seen + 9 * error_sd), 20_001)
    prior = norm.pdf(grid[:, None], witness.middle, witness.spread) @ witness.weight
    posterior = prior * norm.pdf(seen, grid, error_sd)
    posterior /= posterior.sum()
    middle = posterior @ grid
    assert mean(after) == pytest.approx(middle, abs=1e-6)
    assert sd(after) == pytest.approx(np.sqrt(posterior @ (grid - middle) ** 2), abs=1e-6)
    # the grid's step holds at most this much of the chance
    step = posterior.max()
    assert exceedance(after, 2.5) == pytest.approx(posterior[grid > 2.5].sum(), abs=step + 1e-9)


@given(rows=ROWS, first=st.floats(-2, 8), second=st.floats(-2, 8), error_sd=st.floats(0.5, 3))
@settings(max_examples=40, deadline=None)
def test_two_trials_one_after_the_other_are_their_mean_at_once(rows, first, second, error_sd):
    mixture = Witness(rows).mixture()
    one_by_one = update(update(mixture, first, error_sd**2), second, error_sd**2)
    at_once = update(mixture, (first + second) / 2, error_sd**2 / 2)
    assert mean(one_by_one) == pytest.approx(mean(at_once), abs=1e-9)
    assert sd(one_by_one) == pytest.approx(sd(at_once), abs=1e-9)


@given(rows=ROWS, low=st.floats(0.05, 1), responding=st.floats(0.05, 1), needed=st.floats(0.5, 5))
@settings(max_examples=30, deadline=None)
def test_witness_a_stage_scales_each_part(rows, low, responding, needed):
    witness = Witness(rows)
    assume(all(middle != 0 for _, middle, _ in rows))  # a part without a mean counts as low
    share = np.array([low] + [responding] * (len(rows) - 1))
    staged = with_stage(witness.mixture(), low, responding)
    above = witness.weight @ norm.sf(needed, share * witness.middle, share * witness.spread)
    assert mean(staged) == pytest.approx(witness.weight @ (share * witness.middle), abs=1e-12)
    assert exceedance(staged, needed) == pytest.approx(above, abs=1e-12)


@given(rows=ROWS, needed=NEEDED, price=PRICE)
@settings(max_examples=40, deadline=None)
def test_witness_draws_answer_as_the_formula_does(rows, needed, price):
    # 512 mid-point quantiles: the chance to a draw on either side, the value of knowing to the tails left out
    witness = Witness(rows)
    mixture = witness.mixture()
    drawn = response_draws(mixture, seed=4, field="f", zone=1, draws=512)
    assert np.array_equal(np.sort(drawn), sorted_draws(mixture, 512))
    assert np.mean(drawn > needed) == pytest.approx(witness.above(needed), abs=1.5 / 512)
    assert drawn.mean() == pytest.approx(witness.weight @ witness.middle, abs=0.005)
    gain = np.maximum(drawn - needed, 0).mean() - max(0.0, drawn.mean() - needed)
    assert price * gain == pytest.approx(
        perfect_information_usd_ac(mixture, needed, price), abs=0.005 * price
    )


@given(rows=ROWS, cost=st.floats(0, 60), price=PRICE, more=st.floats(0, 10))
@settings(max_examples=40, deadline=None)
def test_net_and_chance_of_the_question_rise_with_the_price_and_fall_with_the_cost(rows, cost, price, more):
    mixture = Witness(rows).mixture()

    def answer(price, cost):
        asked = Question(mixture=mixture, price_usd_bu=price, cost_usd_ac=cost, expected_yield_bu_ac=58)
        return worth(asked)

    now, dearer, worse = answer(price, cost), answer(price + more, cost), answer(price, cost + more)
    assert dearer.chance_frac >= now.chance_frac - 1e-12
    assert worse.chance_frac <= now.chance_frac + 1e-12
    assert worse.net_usd_ac <= now.net_usd_ac + 1e-9
    if now.net_usd_ac > 0:
        assert dearer.net_usd_ac >= now.net_usd_ac - 1e-9
    # at the bid that breaks even the mean net return is 0
    if now.break_even_price_usd_bu < 9999 and cost > 0.01:
        assert answer(now.break_even_price_usd_bu, cost).net_usd_ac == pytest.approx(0, abs=1e-6)
