"""Spray or skip without a field, and what would turn it: closed form against integration and draws."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm

from zoning.returns.costs import terms
from zoning.returns.mixture import mean, sorted_draws
from zoning.returns.rule import passes
from zoning.returns.sources import pooled, practice, severity
from zoning.returns.terms import Mixture, Part
from zoning.returns.verdict import Rule, Stake, flips, gain_bu_ac, verdict
from zoning.settings.model import Money

MIXTURES = [*(pooled(one) for one in ("low", "unknown", "medium", "high", "seen")), practice("unknown")]


def one_normal(middle, spread):
    return Mixture((Part(weight=1.0, low_bu_ac=middle, responding_bu_ac=0.0, sd_bu_ac=spread),))


def turning(stake, rule, *more):
    return {flip.name: flip.value for flip in flips(stake, rule, *more)}


@pytest.mark.parametrize("mixture", MIXTURES)
@pytest.mark.parametrize("needed", [0.0, 1.6, 3.5])
def test_witness_mean_gain_by_integration(mixture, needed):
    def density(bu_ac):
        return sum(
            part.weight * norm.pdf(bu_ac, part.low_bu_ac + part.responding_bu_ac, part.sd_bu_ac)
            for part in mixture.parts
        )

    witness, _ = quad(
        lambda bu_ac: (bu_ac - needed) * density(bu_ac), needed, 40, limit=400, points=[1, 3, 7]
    )
    assert gain_bu_ac(mixture, needed) == pytest.approx(witness, abs=1e-7)


# By hand, a normal response: mean 3.5, SD 2, 30 USD/ac at 10 USD/bu needs 3. Net 5, chance .5987, and
# E gain = 10 x 2 x (.25 x .5987 + .3867) = 10.73, so E loss = 5.73 (returns, value of knowing: 5.73)
@pytest.mark.parametrize(
    ("rule", "said"),
    [
        (Rule(), "spray"),
        (Rule(min_net_usd_ac=4.9), "spray"),
        (Rule(min_net_usd_ac=5.1), "toss_up"),
        (Rule(name="chance", min_chance_frac=0.598), "spray"),
        (Rule(name="chance", min_chance_frac=0.599), "chance_low"),
        (Rule(name="cautious", loss_weight=1.87), "spray"),  # 10.73 / 5.73 = 1.873
        (Rule(name="cautious", loss_weight=1.88), "cautious"),
        (Rule(name="cautious", loss_weight=1.0, min_net_usd_ac=5.1), "toss_up"),
    ],
)
def test_by_hand_each_rule_of_a_normal_response(rule, said):
    assert verdict(Stake(mixture=one_normal(3.5, 2.0), price_usd_bu=10, cost_usd_ac=30), rule) == said


# By hand, 1 or 9 bu/ac with even odds, 30 USD/ac at 10 USD/bu needs 3: net 10 x (5 - 3) = 20, chance .5,
# E gain = 10 x .5 x 6 = 30, so E loss = 10, which thrice is the gain
@pytest.mark.parametrize(
    ("rule", "said"),
    [
        (Rule(min_net_usd_ac=20), "toss_up"),
        (Rule(name="chance", min_chance_frac=0.5), "spray"),
        (Rule(name="cautious", loss_weight=3), "cautious"),
        (Rule(name="cautious", loss_weight=2.99), "spray"),
    ],
)
def test_by_hand_right_at_the_edge_of_each_rule(rule, said):
    parts = (Part(weight=0.5, low_bu_ac=middle, responding_bu_ac=0.0, sd_bu_ac=0.0) for middle in (1, 9))
    stake = Stake(mixture=Mixture(tuple(parts)), price_usd_bu=10, cost_usd_ac=30)
    assert verdict(stake, rule) == said
    assert verdict(replace(stake, cost_usd_ac=50), rule) == "skip"  # needs 5: nothing is left


def test_by_hand_what_turns_a_normal_response():
    stake = Stake(mixture=one_normal(3.5, 2.0), price_usd_bu=10, cost_usd_ac=30)
    # 30 / 3.5 = 8.571; 10 x 3.5 = 35; 3.0
    assert turning(stake, Rule()) == pytest.approx({"price": 8.571, "cost": 35, "response": 3}, abs=0.0005)
    # however far it is: with 40 USD/ac to be left at 2 USD/bu, 1 + 40 / 2 = 21 bu/ac turn a response of 1
    far = Stake(mixture=one_normal(1.0, 0.0), price_usd_bu=2, cost_usd_ac=2)
    assert turning(far, Rule(min_net_usd_ac=40))["response"] == pytest.approx(21, abs=0.0005)
    # a chance of .8 asks for 3.5 - .8416 x 2 = 1.8168: 30 / 1.8168 = 16.513; 18.168; 3 + 1.6832 = 4.6832
    chancy = turning(stake, Rule(name="chance", min_chance_frac=0.8))
    assert chancy == pytest.approx({"price": 16.513, "cost": 18.168, "response": 4.6832}, abs=0.0015)
    # new tracks of .5: 30 / 3 = 10 is just the price, so nothing is left: 10 x 3 = 30, 3.5
    tracks = turning(replace(stake, track_loss_bu_ac=0.5, price_usd_bu=9), Rule())
    assert tracks == pytest.approx({"price": 10, "cost": 27, "response": 30 / 9 + 0.5}, abs=0.0005)


def test_by_hand_the_severity_from_which_frogeye_pays():
    stake = Stake(mixture=severity(60, 20, 0.6), price_usd_bu=10.4, cost_usd_ac=30)
    # (2.885 - .7) / (60 x .0051 x .6) = 11.90 %
    found = turning(stake, Rule(), lambda pct: severity(60, pct, 0.6))
    assert found["severity"] == pytest.approx(11.90, abs=0.005)
    assert "severity" not in turning(stake, Rule(), lambda pct: severity(60, pct, 0.0))


def test_what_cannot_turn_it_is_left_out():
    nowhere = Stake(mixture=one_normal(0.5, 1.0), price_usd_bu=10, cost_usd_ac=30, track_loss_bu_ac=0.6)
    assert set(turning(nowhere, Rule())) == {"response"}
    free = Stake(mixture=one_normal(0.5, 1.0), price_usd_bu=10, cost_usd_ac=0)
    assert set(turning(free, Rule())) == {"cost", "response"}


STAKES = st.builds(
    Stake,
    mixture=st.sampled_from([*MIXTURES, one_normal(2.0, 0.0)]),
    price_usd_bu=st.floats(2, 40),
    cost_usd_ac=st.floats(0, 80),
    track_loss_bu_ac=st.sampled_from([0.0, 0.7, 1.7]),
)
RULES = st.builds(
    Rule,
    name=st.sampled_from(["expected", "chance", "cautious"]),
    min_net_usd_ac=st.sampled_from([0.0, 4.0]),
    min_chance_frac=st.floats(0.1, 0.9),
    loss_weight=st.floats(1, 5),
)


@settings(max_examples=150, deadline=None)
@given(STAKES, RULES)
def test_each_figure_that_turns_the_verdict_does_so_just_there(stake, rule):
    sprays = verdict(stake, rule) == "spray"
    for name, value in turning(stake, rule).items():
        more, less = value * 1.0001 + 1e-7, value * 0.9999 - 1e-7
        above, below = (_with(stake, name, other, rule) for other in (more, less))
        if name == "cost":
            above, below = below, above
        assert (above, below) == (True, False), name
        is_above = stake_value(stake, name) > value
        assert sprays == (is_above if name != "cost" else not is_above) or stake_value(
            stake, name
        ) == pytest.approx(value)


def stake_value(stake, name):
    return {"price": stake.price_usd_bu, "cost": stake.cost_usd_ac, "response": mean(stake.mixture)}[name]


def _with(stake, name, value, rule):
    if name == "price":
        other = replace(stake, price_usd_bu=value)
    elif name == "cost":
        other = replace(stake, cost_usd_ac=max(0.0, value))
    else:
        by = value - mean(stake.mixture)
        parts = (replace(part, low_bu_ac=part.low_bu_ac + by) for part in stake.mixture.parts)
        other = replace(stake, mixture=Mixture(tuple(parts)))
    return verdict(other, rule) == "spray"


@settings(max_examples=100, deadline=None)
@given(STAKES, RULES)
def test_witness_the_rule_on_draws_says_the_same(stake, rule):
    money = Money(
        grain_price=f"{stake.price_usd_bu!r} USD/bu", product=f"{stake.cost_usd_ac!r} USD/ac", rule=rule.name,
        min_net=f"{rule.min_net_usd_ac} USD/ac", min_chance=rule.min_chance_frac,
        loss_weight=rule.loss_weight,
    )  # fmt: skip
    of = terms(money, pass_usd_ac=0)
    draws = sorted_draws(stake.mixture, 20_000)
    net = stake.price_usd_bu * (draws - stake.track_loss_bu_ac) - stake.cost_usd_ac
    gain, loss = np.maximum(net, 0).mean(), np.maximum(-net, 0).mean()
    close = (
        abs(net.mean() - rule.min_net_usd_ac) < 0.01
        or (rule.name == "chance" and abs(np.mean(net > 0) - rule.min_chance_frac) < 0.001)
        or (rule.name == "cautious" and abs(gain - rule.loss_weight * loss) < 0.05)
    )
    if not close:
        assert bool(passes(net, of)) == (verdict(stake, rule) == "spray")


@settings(max_examples=100, deadline=None)
@given(STAKES, RULES, st.floats(1, 3))
def test_a_higher_price_never_turns_spray_into_skip_nor_a_higher_cost_skip_into_spray(stake, rule, by):
    dearer = replace(stake, price_usd_bu=stake.price_usd_bu * by)
    costlier = replace(stake, cost_usd_ac=stake.cost_usd_ac * by)
    sprays = verdict(stake, rule) == "spray"
    assert not sprays or verdict(dearer, rule) == "spray"
    assert sprays or verdict(costlier, rule) != "spray"
