"""What would turn the decision on a zone: by hand, and by asking the rule again on either side."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_offers import FROGEYE
from scipy.optimize import brentq
from scipy.stats import norm

from zoning.returns.costs import terms
from zoning.returns.draws import response_draws
from zoning.returns.flips import Damage, Stand, flips, turning_severity_pct, under_severity
from zoning.returns.knowing import perfect_information
from zoning.returns.mixture import from_parts
from zoning.returns.price import net_usd_ac, price, settle
from zoning.returns.response import mixture_for
from zoning.returns.rule import margin_usd_ac, passes, spread_margin
from zoning.returns.sources import pooled, practice
from zoning.returns.terms import ZoneCase
from zoning.settings.model import Effects, Money, Response
from zoning.stage.draws import StageDraws

DRAWS = 256
R3 = 201.0  # first day of R3; 205.5 is its middle
OFFSETS = np.array([-13.0, -10.0, 0.0, 9.0, 18.0, 30.0, 48.0])
DAYS = np.arange(188, 222)
MONEY = {"grain_price": "10.40 USD/bu", "product": "19 USD/ac", "adjuvant": "2 USD/ac", "pass": "9 USD/ac"}


def of(**more):
    return terms(Money.model_validate(MONEY | more))


def case(mixture, sd_d=0.0, **more):
    shift = np.random.default_rng(4).normal(0, sd_d, DRAWS) if sd_d else np.zeros(DRAWS)
    whole = ZoneCase(
        zone=1,
        area_ac=40.0,
        mixture=mixture,
        response_draws_bu_ac=response_draws(mixture, seed=0, field="North", zone=1, draws=DRAWS),
        curve="published",
        stage=StageDraws(R3 + shift[:, None] + OFFSETS),
        expected_yield_bu_ac=58.0,
        track_loss_bu_ac=0.0,
        volume_matters=False,
    )
    return replace(whole, **more)


def stand_of(zone, money, day=204):
    return Stand(returned=settle(zone, day, 15.0, money), case=zone, terms=money)


def found(zone, money, day=204, damage=FROGEYE):
    stand = stand_of(zone, money, day)
    every = flips(stand, price([zone], DAYS, (15.0,), money), damage)
    return stand, {one.name: one.value for one in every}


TINY = 1e-6
FLAT = from_parts([1.0], [[4.0, 0.0]])
# day 203 is 2 d into R3: .98 + .02 x 2/4.5 of 4 bu/ac = 3.956, rounded to .05: 3.95 bu/ac


def test_by_hand_a_sprayed_zone():
    # 30 USD/ac at 3.95 bu/ac: 30/3.95 = 7.59 USD/bu; 10.40 x 3.95 = 41.08 USD/ac; 30/10.40 = 2.885 bu/ac
    stand, flip = found(case(FLAT), of(), day=203)
    assert stand.returned.worth_it
    assert flip["price"] == pytest.approx(30 / 3.95)
    assert flip["cost"] == pytest.approx(41.08)
    assert flip["response"] == pytest.approx(30 / 10.4)
    # after R3: 1 - .6 x (t - 205.5)/9 falls below 2.885/4 = .721 at 209.7; before: .96 at mid R2 (196),
    # .44 + .52 x (t - 188)/8 for R1 3 d and R2 10 d long: at 188 (R1) .44, above .721 from about 192 on
    later = [day for day in range(204, 222) if not settle(case(FLAT), day, 15.0, of()).worth_it]
    assert later[0] == 210
    assert flip["day"] == 210
    assert {"tracks", "severity"}.isdisjoint(flip)


def test_by_hand_share_of_the_grain_and_haul_stand_in_the_price():
    # (1/2 of 30 + 3) / (.5 x 3.95) + .40 haul = 9.51 USD/bu
    _, flip = found(
        case(FLAT),
        of(share_of_grain=0.5, share_of_cost=0.5, haul="0.40 USD/bu", min_net="3 USD/ac"),
        day=203,
    )
    assert flip["price"] == pytest.approx(18 / (0.5 * 3.95) + 0.4)


def test_by_hand_a_skipped_zone_that_tracks_stop():
    # 3.95 - 1.2 = 2.75 bu/ac < 2.885: skipped; without tracks it pays. Needed: 30/10.4 + 1.2 = 4.085
    stand, flip = found(case(FLAT, track_loss_bu_ac=1.2), of(), day=203)
    assert not stand.returned.worth_it
    assert flip["tracks"] == 1.2
    assert flip["response"] == pytest.approx(30 / 10.4 + 1.2)
    assert flip["price"] == pytest.approx(30 / 2.75)
    assert flip["cost"] == pytest.approx(10.4 * 2.75)


def test_by_hand_severity_from_which_frogeye_would_pay():
    # mid R3 on day 205.5; there .7 + 58 x .0051 x .6 s = .7 + .17748 s; 2.885 needed: s = 12.31 %.
    # Day 205 is .44 d from the middle: .998 of the low, all of the responding; draws are rounded to .05
    _, flip = found(case(pooled("low")), of(), day=205)
    assert flip["severity"] == pytest.approx((30 / 10.4 - 0.7) / 0.17748, abs=0.05)


def test_what_no_figure_turns_is_not_named():
    # .02 bu/ac: no price is said to pay; a product that prevents nothing; a bushel that brings nothing
    _, flip = found(case(from_parts([1.0], [[0.02, 0.0]])), of(), damage=None)
    assert {"price", "severity", "tracks", "day"}.isdisjoint(flip)
    _, useless = found(
        case(pooled("low")), of(), damage=replace(FROGEYE, place=replace(FROGEYE.place, efficacy_frac=0.0))
    )
    assert "severity" not in useless
    worthless_bushel = replace(of(), price_usd_bu=-0.6, haul_usd_bu=11.0)
    _, worthless = found(case(pooled("low")), worthless_bushel, damage=None)
    assert {"cost", "response"}.isdisjoint(worthless)
    assert worthless["price"] > 11
    # 2.0 bu/ac that tracks take whole: not even a free product would pay
    _, driven = found(case(from_parts([1.0], [[2.0, 0.0]]), track_loss_bu_ac=2.5), of())
    assert {"cost", "price", "tracks"}.isdisjoint(driven)


wanted = st.fixed_dictionaries(
    {
        "mixture": st.sampled_from([*map(pooled, ("low", "unknown", "medium", "high", "seen"))])
        | st.just(practice("unknown")),
        "rule": st.sampled_from(["expected", "chance", "cautious"]),
        "min_net": st.sampled_from([0, 3, 12]),
        "min_chance": st.sampled_from([0.2, 0.5, 0.7, 1.0]),
        "loss_weight": st.sampled_from([1, 2, 4]),
        "share": st.sampled_from([0.5, 1.0]),
        "haul": st.sampled_from([0.0, 0.45]),
        "tracks": st.sampled_from([0.0, 0.6, 1.5]),
        "day": st.integers(194, 212),
        "cost": st.floats(4, 60),
        "sd_d": st.sampled_from([0.0, 3.5]),
    }
)


@settings(max_examples=120, deadline=None)
@given(wanted)
def test_just_beyond_turns_and_just_before_does_not(asked):
    money = of(
        product=f"{asked['cost']} USD/ac",
        rule=asked["rule"],
        min_net=f"{asked['min_net']} USD/ac",
        min_chance=asked["min_chance"],
        loss_weight=asked["loss_weight"],
        share_of_grain=asked["share"],
        haul=f"{asked['haul']} USD/bu",
    )
    zone = case(asked["mixture"], asked["sd_d"], track_loss_bu_ac=asked["tracks"])
    stand, flip = found(zone, money, asked["day"])
    decided, cost = stand.returned.worth_it, stand.cost_usd_ac

    def again(money=money, zone=zone, day=asked["day"]):
        return settle(zone, day, 15.0, money).worth_it

    def at_price(bid):
        return again(replace(money, price_usd_bu=asked["share"] * (bid - asked["haul"])))

    def at_cost(usd_ac):
        return again(replace(money, product_usd_ac=money.product_usd_ac + usd_ac - cost))

    def at_response(bu_ac):
        more = bu_ac - stand.returned.response_mean_bu_ac
        moved = net_usd_ac(stand.returned.response_bu_ac + more, money, cost, asked["tracks"])
        return bool(passes(moved, money))

    def at_severity(percent):
        return again(zone=under_severity(zone, percent, FROGEYE))

    # at .05 bu/ac and below no price is said to pay
    assert ("price" in flip) == (at_price(1e6) and stand.less_tracks_bu_ac.mean() > 0.05)
    assert ("cost" in flip) == at_cost(TINY)
    assert "response" in flip
    for name, asked_at, beyond in (
        ("price", at_price, True),
        ("cost", at_cost, False),
        ("response", at_response, True),
        ("severity", at_severity, True),
    ):
        if name in flip:
            step = 0.01 if name == "severity" else TINY
            assert asked_at(flip[name] + step) == beyond
            assert asked_at(flip[name] - step) != beyond
    assert decided == (money.grain_price_usd_bu > flip.get("price", np.inf))
    assert not decided or {"severity", "tracks"}.isdisjoint(flip)
    assert "tracks" not in flip or again(zone=replace(zone, track_loss_bu_ac=0.0))
    off = abs(flip.get("day", np.inf) - asked["day"])
    assert "day" not in flip or again(day=int(flip["day"])) != decided
    # days that most draws do not support are closed, whatever the others would say
    is_open = np.isfinite(price([zone], DAYS, (15.0,), money).net_usd_ac[0, :, 0])
    nearer = DAYS[is_open & (np.abs(DAYS - asked["day"]) < off)]
    assert all(again(day=day) == decided for day in nearer.tolist())


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.floats(-50, 80), min_size=1, max_size=40),
    st.sampled_from([1.0, 2.0, 5.0]),
    st.sampled_from([0.1, 0.3, 0.5, 0.9, 1.0]),
)
def test_witness_of_what_can_be_taken_from_every_draw(net, weight, least_chance):
    net = np.array(net)

    def balance(taken):  # falls all the way; its zero is found by scipy
        left = net - taken
        return np.maximum(left, 0).mean() - weight * np.maximum(-left, 0).mean()

    cautious = of(rule="cautious", loss_weight=weight)
    assert spread_margin(net, cautious) == pytest.approx(brentq(balance, -200, 200), abs=1e-6)
    chance = of(rule="chance", min_chance=least_chance)
    # scanned: the draws themselves are where the count changes
    passing = [value for value in net if np.mean(net >= value) >= least_chance]
    assert spread_margin(net, chance) == max(passing)
    assert margin_usd_ac(net, of(min_net="2 USD/ac")) == pytest.approx(net.mean() - 2)


def test_a_season_keeps_its_rank_under_a_severity():
    zone = case(pooled("unknown"))
    moved = under_severity(zone, 20.0, FROGEYE)
    assert np.array_equal(
        np.argsort(zone.response_draws_bu_ac, kind="stable"),
        np.argsort(moved.response_draws_bu_ac, kind="stable"),
    )
    assert moved.response_draws_bu_ac == pytest.approx(
        response_draws(moved.mixture, seed=0, field="North", zone=1, draws=DRAWS)
    )
    # by hand: .7 + 58 x .0051 x 20 x .6 = 4.25
    assert moved.response_draws_bu_ac.mean() == pytest.approx(4.2496, abs=1e-4)


@pytest.mark.parametrize(
    ("source", "place"),
    [
        ("pooled trials", {"effects": Effects(morning=True, late_planting="less"), "is_late": True}),
        ("pooled trials", {"effects": Effects(yield_potential="falling")}),
        ("own trials", {}),
        ("own trials", {"scouted": True, "seen_pct": 2.0}),
    ],
)
def test_what_else_moves_the_response_moves_it_under_a_severity_too(source, place):
    response = Response(source=source, mean="1 bu/ac", se="0.8 bu/ac", trials=5, years=3)
    there = replace(FROGEYE.place, **place)
    moved = under_severity(
        case(pooled("unknown")), 20.0, Damage(source=source, response=response, place=there)
    )
    # as the settings are read where 20 % are given as the forecast
    told = mixture_for(source, response, replace(there, seen_pct=None, severity_pct=20.0))
    assert moved.mixture == told
    assert moved.response_draws_bu_ac == pytest.approx(
        response_draws(told, seed=0, field="North", zone=1, draws=DRAWS)
    )


def test_a_severity_that_turns_nothing():
    assert turning_severity_pct(lambda pct: True) is None
    assert turning_severity_pct(lambda pct: False) is None
    assert turning_severity_pct(lambda pct: pct > 37.5) == pytest.approx(37.5, abs=0.01)


# Closed form for a normal net return: E max(0, x) - max(0, m) = s pdf(z) - |m| cdf(-z), z = |m| / s
@pytest.mark.parametrize(("mean", "sd"), [(-13.0, 18.0), (5.0, 20.0), (0.0, 10.0)])
def test_witness_of_perfect_information(mean, sd):
    net = norm.ppf((np.arange(20_000) + 0.5) / 20_000, mean, sd)
    score = abs(mean) / sd
    closed = sd * norm.pdf(score) - abs(mean) * norm.cdf(-score)
    assert perfect_information(net) == pytest.approx(closed, abs=0.005)


@given(st.lists(st.floats(-100, 100), min_size=1, max_size=30))
def test_knowing_is_never_worth_less_than_nothing_and_nothing_where_all_draws_agree(net):
    net = np.array(net)
    assert perfect_information(net) >= 0
    assert perfect_information(np.abs(net)) == pytest.approx(0, abs=1e-9)
    assert perfect_information(-np.abs(net)) == 0
