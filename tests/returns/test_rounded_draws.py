"""The draws in whole steps, and their sums."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from zoning.returns.costs import terms
from zoning.returns.curve import Effect
from zoning.returns.rounded import (
    figures_of,
    least_paying_step,
    net_usd_ac,
    shares_of,
    sprayed_response,
    steps_of,
    sums_of,
)
from zoning.returns.rule import chance, passes
from zoning.settings.model import Money

MONEY = terms(Money(grain_price="10 USD/bu", product="20 USD/ac"), pass_usd_ac=10)


def drawn(seed, draws, days):
    random = np.random.default_rng(seed)
    split = random.normal(0.7, 0.6, draws), random.normal(2.0, 3.0, draws)
    shares = random.random((2, draws, days))
    return split, Effect(*shares, np.ones((draws, days), dtype=np.bool_))


@given(
    price=st.floats(0.5, 60),
    cost=st.floats(0, 120),
    tracks=st.floats(0, 4),
    bushels=st.floats(-5, 40),
)
@example(price=9.75, cost=7.8, tracks=0.1, bushels=0.9)  # nothing is left, but floats see something
@example(price=11.0, cost=15.4, tracks=0.7, bushels=2.1)
def test_a_draw_pays_exactly_from_that_step_on(price, cost, tracks, bushels):
    money = replace(MONEY, price_usd_bu=price)
    step = round(bushels * 20)
    pays = net_usd_ac(step / 20, money, cost, tracks) > 0
    assert pays == (step >= least_paying_step(money, cost, tracks))


def test_by_hand_least_paying_step():
    # 30 / 10 + .5 = 3.5 bu/ac = 70 steps leave nothing; so 71. 29.99 leaves a cent, so 70
    assert least_paying_step(MONEY, 30, 0.5) == 71
    assert least_paying_step(MONEY, 29.99, 0.5) == 70
    # what costs nothing pays from the first step above 0; a bushel that brings nothing never pays
    assert least_paying_step(MONEY, 0, 0) == 1
    assert least_paying_step(replace(MONEY, price_usd_bu=0.0), 30, 0) == float("inf")


@given(
    seed=st.integers(0, 999),
    draws=st.sampled_from([1, 7, 512, 5000]),
    rule=st.sampled_from(["expected", "chance", "cautious"]),
    cost=st.floats(0, 60),
    tracks=st.sampled_from([0.0, 0.4, 1.1]),
)
def test_sums_say_what_the_nets_of_all_draws_say(seed, draws, rule, cost, tracks):
    split, stage = drawn(seed, draws, 3)
    money = replace(MONEY, rule=rule)
    net = net_usd_ac(sprayed_response(split, stage, 0.9), money, cost, tracks)
    steps = steps_of(split, shares_of(stage), 0.9)
    found = figures_of(sums_of(steps, least_paying_step(money, cost, tracks), rule), money, cost, tracks)
    assert found.net_usd_ac == pytest.approx(net.mean(axis=0), abs=1e-9)
    assert np.array_equal(found.chance_frac, chance(net))
    far = np.abs(net.mean(axis=0)) > 1e-6  # a tie may fall either way
    assert np.array_equal(found.passes_rule[far], passes(net, money)[far])


@given(seed=st.integers(0, 999), factor=st.floats(0, 1))
def test_rounding_moves_no_draw_by_more_than_half_a_step(seed, factor):
    split, stage = drawn(seed, 512, 2)
    exact = factor * (split[0][:, None] * stage.low_frac + split[1][:, None] * stage.responding_frac)
    rounded = sprayed_response(split, stage, factor)
    assert np.abs(rounded - exact).max() <= 0.025 + 1e-5  # 32 bits: seven digits
    assert np.array_equal(np.rint(rounded * 20) / 20, rounded)


@pytest.mark.parametrize("price", [10.0**-digits for digits in (3, 9, 15, 16, 17, 18, 25, 300)])
def test_where_a_bushel_brings_next_to_nothing_no_draw_pays_and_the_search_ends(price):
    # a draw has at most 32767 steps, 1638 bu/ac
    assert least_paying_step(replace(MONEY, price_usd_bu=price), 30, 0.0) > 32767
