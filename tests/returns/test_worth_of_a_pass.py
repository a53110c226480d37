"""The question without a field: chance, net, break-even and the value of knowing."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from zoning.evidence import number
from zoning.returns import curve
from zoning.returns.mixture import exceedance, from_parts, mean, scores, with_stage
from zoning.returns.sources import pooled, practice, severity
from zoning.returns.terms import Mixture, Part
from zoning.returns.tracks import boom_loss_frac
from zoning.returns.worth import Question, perfect_information_usd_ac, worth

TWO_PARTS = from_parts([0.67, 0.33], [[0.7, 0.6], [3.5, 1.0]])


def one_normal(middle, spread):
    return Mixture((Part(weight=1.0, low_bu_ac=middle, responding_bu_ac=0.0, sd_bu_ac=spread),))


def ask(mixture, price=10.4, cost=30.0, expected=58.0, **more):
    return worth(
        Question(mixture=mixture, price_usd_bu=price, cost_usd_ac=cost, expected_yield_bu_ac=expected, **more)
    )


# By hand: b = C/P, z = (mu - b)/sd, p = Phi(z), net = P mu - C, E max(0, net) = P sd (z Phi(z) + phi(z))
CHECKS = [
    (1.64, 1.7, 40, 11, 3.6364, -1.1743, 0.1201, -21.96, 1.11),
    (1.64, 1.7, 25, 11, 2.2727, -0.3722, 0.3549, -6.96, 4.49),
    (1.64, 1.7, 25, 10, 2.5000, -0.5059, 0.3065, -8.60, 3.33),
    (1.64, 1.7, 30, 10, 3.0000, -0.8000, 0.2119, -13.60, 2.04),
    (1.64, 1.7, 30, 12, 2.5000, -0.5059, 0.3065, -10.32, 4.00),
    (2.42, 1.7, 25, 10, 2.5000, -0.0471, 0.4812, -0.80, 6.39),
    (2.42, 1.7, 35, 10.2, 3.4314, -0.5949, 0.2759, -10.32, 2.95),
    (1.80, 1.86, 40, 12.1212, 3.3000, -0.8065, 0.2100, -18.18, 2.68),
    (3.50, 2.0, 30, 10, 3.0000, 0.2500, 0.5987, 5.00, 5.73),
    (5.00, 2.5, 35, 10, 3.5000, 0.6000, 0.7257, 15.00, 4.22),
    (0.30, 1.5, 30, 10, 3.0000, -1.8000, 0.0359, -27.00, 0.21),
    (1.64, 1.7, 0, 10, 0.0000, 0.9647, 0.8327, 16.40, 1.51),
]


@pytest.mark.parametrize(("mu", "sd", "cost", "price", "needed", "z", "chance", "net", "knowing"), CHECKS)
def test_by_hand_chance_net_and_value_of_knowing(mu, sd, cost, price, needed, z, chance, net, knowing):
    answer = ask(one_normal(mu, sd), price, cost)
    assert answer.break_even_response_bu_ac == pytest.approx(needed, abs=0.00006)
    ours = scores(np.array([mu]), answer.break_even_response_bu_ac, np.array([sd]))
    assert ours == pytest.approx(z, abs=0.00006)
    assert answer.chance_frac == pytest.approx(chance, abs=0.00006)
    assert answer.net_usd_ac == pytest.approx(net, abs=0.0051)
    assert answer.perfect_information_usd_ac == pytest.approx(knowing, abs=0.0051)


@pytest.mark.parametrize(("mu", "sd", "cost", "price"), [row[:4] for row in CHECKS])
def test_by_hand_break_even_price_and_the_most_a_pass_may_cost(mu, sd, cost, price):
    # P* = C / D and C* = P D: at either the mean net return is 0
    mixture = one_normal(mu, sd)
    assert ask(mixture, price, cost).break_even_price_usd_bu == pytest.approx(cost / mu)
    assert ask(mixture, price, price * mu).net_usd_ac == pytest.approx(0, abs=1e-9)
    if cost > 0:
        assert ask(mixture, cost / mu, cost).net_usd_ac == pytest.approx(0, abs=1e-9)


def test_by_hand_spread_of_one_zone():
    # between fields 1.5, within a field .8: sqrt(1.5^2 + .8^2) = 1.7
    assert number("returns.severity_sd_bu_ac") == pytest.approx(np.hypot(1.5, 0.8), abs=1e-9)


# Barro et al. 2019, Plant Disease 103:2212-2220, white mold, workbook of
# github.com/emdelponte/paper-fungicides-whitemold: chance (%) that thiophanate-methyl
# (mean 374.4, SD 712.8 kg/ha) pays at FC USD/ha and SP USD/t.
WORKBOOK = {
    52: (63.5, 63.0, 61.2, 59.3), 60: (62.4, 61.9, 59.8, 57.6), 68: (61.4, 60.8, 58.3, 55.8),
    76: (60.3, 59.6, 56.9, 54.1), 84: (59.2, 58.5, 55.4, 52.3),
}  # fmt: skip
FLUAZINAM_HIGH = {80: (74.9, 74.3, 72.1, 69.7), 120: (70.6, 69.7, 66.1, 62.2)}
PRICES_USD_T = (404, 378, 303, 252)


@pytest.mark.parametrize(("mu", "sd", "printed"), [(374.4, 712.8, WORKBOOK), (715.7, 772.1, FLUAZINAM_HIGH)])
def test_published_chance_that_a_white_mold_spray_pays(mu, sd, printed):
    for cost_usd_ha, row in printed.items():
        for price_usd_t, percent in zip(PRICES_USD_T, row, strict=True):
            needed_kg_ha = cost_usd_ha / (price_usd_t / 1000)
            assert 100 * exceedance(one_normal(mu, sd), needed_kg_ha) == pytest.approx(percent, abs=0.0501)


@pytest.mark.parametrize(
    ("mu", "variance", "cost_usd_ha", "price_usd_t", "chance"),
    [
        (801.8, 622_757.23, 64, 404, 0.7925),
        (801.8, 622_757.23, 120, 252, 0.6601),
        (801.8, 622_757.23, 64, 378, 0.7886),
        (801.8, 622_757.23, 120, 378, 0.7303),
        (419.0, 622_757.23, 64, 404, 0.6294),
        (431.2, 495_396.05, 36, 378, 0.6834),
        (431.2, 495_396.05, 92, 378, 0.6052),
        (431.2, 495_396.05, 92, 252, 0.5374),
        (198.8, 495_396.05, 92, 252, 0.4066),
    ],
)
def test_by_hand_chances_from_table_3_of_that_paper(mu, variance, cost_usd_ha, price_usd_t, chance):
    # Phi((D - FC / SP) / tau); the tau that is printed is a variance
    needed_kg_ha = cost_usd_ha / (price_usd_t / 1000)
    ours = exceedance(one_normal(mu, np.sqrt(variance)), needed_kg_ha)
    assert ours == pytest.approx(chance, abs=0.00006)


@pytest.mark.parametrize(("sd", "cheap", "dear"), [(457.0, 0.917, 0.855), (622_757.23**0.5, 0.79, 0.73)])
def test_by_hand_spread_of_differences_tells_more_than_spread_of_means(sd, cheap, dear):
    # fluazinam less check within each trial: SD 457 kg/ha; the sites' means: 789.
    # At 378 USD/t and 64 or 120 USD/ha
    ours = [exceedance(one_normal(801.8, sd), cost / 0.378) for cost in (64, 120)]
    digits = 0.0005 if sd < 500 else 0.005
    assert ours == pytest.approx([cheap, dear], abs=digits)


def test_by_hand_one_row_of_the_workbook_with_rounded_inputs():
    # 100 USD/ha at 378 USD/t, fluazinam 715.7, SD 772.1: the sheet has 72.1 from unrounded inputs
    assert 100 * exceedance(one_normal(715.7, 772.1), 100 / 0.378) == pytest.approx(72.0, abs=0.0501)


# The same paper, Table 3: mean response of fluazinam 801.8 (high incidence) and 419.0 (low),
# variance 622757.23; its text says "65 to 80 %" at high incidence and "around 60 %" at low.
def test_published_range_of_chances_in_the_text():
    sd = np.sqrt(622_757.23)
    cheap = exceedance(one_normal(801.8, sd), 64 / 0.404)
    dear = exceedance(one_normal(801.8, sd), 120 / 0.252)
    assert round(100 * dear / 5) * 5 == 65
    assert round(100 * cheap / 5) * 5 == 80
    assert round(10 * exceedance(one_normal(419.0, sd), 64 / 0.404)) == 6
    # thiophanate-methyl: "> 50 %" at high incidence for every cost and price, not at low
    sd = np.sqrt(495_396.05)
    high = [exceedance(one_normal(431.2, sd), cost / 0.252) for cost in (36, 92)]
    assert min(high) > 0.5
    assert exceedance(one_normal(198.8, sd), 92 / 0.252) < 0.5


def test_published_net_returns():
    # agweb.com 2010: 3.6 bu at 10 USD/bu less 26 USD/ac is 10 USD/ac
    assert ask(one_normal(3.6, 1.0), 10, 26).net_usd_ac == pytest.approx(10, abs=0.5)
    # Missouri 2018-24 (M. Bish, missouriagconnection.com): 1.8 bu at 10.20 USD/bu, 30-40 USD/ac:
    # "about $15" lost, a figure to the next 5
    assert -ask(one_normal(1.8, 1.86), 10.2, 35).net_usd_ac == pytest.approx(15, abs=2.5)


def test_by_hand_net_returns():
    # 1.8 x 10.20 = 18.36; less 35 = -16.64
    assert ask(one_normal(1.8, 1.86), 10.2, 0).net_usd_ac == pytest.approx(18.36, abs=0.005)
    assert ask(one_normal(1.8, 1.86), 10.2, 35).net_usd_ac == pytest.approx(-16.64, abs=0.005)


# By hand: price 10.40, cost 30 (19 + 2 + 9): needs 2.885; tracks 58 x 159/90 % = 1.0247
@pytest.mark.parametrize(
    ("tracks", "cost", "needed", "net", "chance"),
    [
        (58 * 1.59 / 90, 30, 3.909, -23.77, 0.1126),
        (0.0, 30, 2.885, -13.11, 0.2413),
        (0.0, 36, 3.462, -19.11, 0.1701),
    ],
)
def test_by_hand_nothing_pays(tracks, cost, needed, net, chance):
    answer = ask(TWO_PARTS, cost=cost, track_loss_bu_ac=tracks)
    assert answer.response_mean_bu_ac == pytest.approx(1.624, abs=0.0005)
    assert answer.break_even_response_bu_ac == pytest.approx(needed, abs=0.001)
    assert answer.net_usd_ac == pytest.approx(net, abs=0.01)
    assert answer.chance_frac == pytest.approx(chance, abs=0.0001)


def test_by_hand_nothing_pays_what_knowing_is_worth_and_what_price_would_do():
    new, existing = ask(TWO_PARTS, track_loss_bu_ac=58 * 1.59 / 90), ask(TWO_PARTS)
    assert new.perfect_information_usd_ac == pytest.approx(0.78, abs=0.01)
    assert existing.perfect_information_usd_ac == pytest.approx(2.68, abs=0.01)
    assert 78 * existing.perfect_information_usd_ac == pytest.approx(209, abs=1)
    assert new.break_even_price_usd_bu == pytest.approx(50.06, abs=0.01)
    assert existing.break_even_price_usd_bu == pytest.approx(18.47, abs=0.01)
    # with an effective mix (.6) frogeye pays from an end severity of 12.3 % on: 58 x .0051 x .6 x 12.3 = 2.18
    assert ask(severity(58, 12.31, 0.6)).net_usd_ac == pytest.approx(0, abs=0.01)


@pytest.mark.parametrize(
    ("tracks", "cost", "net", "chance"),
    [(0.0, 30, 15.47, 0.809), (0.0, 36, 9.47, 0.704), (1.06, 30, 4.44, 0.599)],
)
def test_by_hand_frogeye_found(tracks, cost, net, chance):
    # .7 + 60 x .0051 x 20 x .6 = 4.372, SD 1.7, in the middle of R3
    answer = ask(severity(60, 20, 0.6), cost=cost, track_loss_bu_ac=tracks)
    assert answer.response_mean_bu_ac == pytest.approx(4.372, abs=0.001)
    assert answer.net_usd_ac == pytest.approx(net, abs=0.01)
    assert answer.chance_frac == pytest.approx(chance, abs=0.001)


def test_by_hand_frogeye_limits():
    # (2.885 - .7) / (60 x .0051 x .6) = 11.9 %, with tracks (3.945 - .7) / .1836 = 17.7 %
    assert ask(severity(60, 11.9, 0.6)).net_usd_ac == pytest.approx(0, abs=0.1)
    assert ask(severity(60, 17.67, 0.6), track_loss_bu_ac=1.06).net_usd_ac == pytest.approx(0, abs=0.1)
    assert ask(severity(60, 20, 0.0)).net_usd_ac == pytest.approx(-22.72, abs=0.01)


def test_by_hand_frogeye_late_with_shares_of_its_day():
    # .7 x .40 + 3.672 x .90 = 3.585 at mid R4 if disease kept .90 there; 10.40 x 3.585 - 30 = 7.28
    late = with_stage(severity(60, 20, 0.6), 0.40, 0.90)
    assert 10.4 * mean(late) - 30 == pytest.approx(7.28, abs=0.01)


@pytest.mark.parametrize(
    ("after_r3_d", "net"),
    [
        (4.5, 15.47),
        (9.0, 11.38),  # 0.91 USD/ac/d: 15.47 - 4.5 x 0.91
        (13.5, 7.28),
        (15.36, 0.03),  # 3.90 USD/ac/d from here: 7.28 - 1.86 x 3.90; the last day that pays
        (15.38, -0.05),
        (18.0, -10.27),
    ],
)
def test_by_hand_frogeye_found_what_waiting_costs(monkeypatch, after_r3_d, net):
    # with shares of .90 at mid R4 and .45 at R5 where disease is building, .40 and .35 where it is not:
    # 10.40 x (.7 g + 3.672 g_d) - 30
    low = (np.array([1, 2.5, 3, 3.5, 4.5, 5, 6]), np.array([0.44, 0.96, 0.98, 1, 0.40, 0.35, 0]))
    disease = (low[0], np.array([0.50, 0.90, 1, 1, 0.90, 0.45, 0]))
    monkeypatch.setattr(curve, "points", lambda _name: (*low, *disease))
    begin = np.array([[-13.0, -10.0, 0.0, 9.0, 18.0, 30.0, 48.0]])
    position = float(curve.positions(begin, [after_r3_d])[0, 0])
    assert ask(severity(60, 20, 0.6), stage_position=position).net_usd_ac == pytest.approx(net, abs=0.011)


# By hand, one normal: L = 1.59 x yield / boom; needed = C / 10.50 + L
@pytest.mark.parametrize(
    ("expected", "boom", "mu", "sd", "cost", "lost", "needed", "chance", "net"),
    [
        (60, 90, 1.64, 1.7, 28, 1.060, 3.727, 0.1098, -21.91),
        (60, 120, 1.64, 1.7, 28, 0.795, 3.462, 0.1420, -19.13),
        (60, 90, 3.50, 1.7, 28, 1.060, 3.727, 0.4470, -2.38),
        (60, None, 3.50, 1.7, 34, 0.0, 3.238, 0.5612, 2.75),
        (75, 120, 4.50, 2.0, 28, 0.994, 3.660, 0.6627, 8.82),
    ],
)
def test_by_hand_tracks_and_air(expected, boom, mu, sd, cost, lost, needed, chance, net):
    tracks = expected * boom_loss_frac(boom) if boom else 0.0
    assert tracks == pytest.approx(lost, abs=0.00051)
    answer = ask(one_normal(mu, sd), 10.5, cost, expected, track_loss_bu_ac=tracks)
    assert answer.break_even_response_bu_ac == pytest.approx(needed, abs=0.00051)
    assert answer.chance_frac == pytest.approx(chance, abs=0.00006)
    assert answer.net_usd_ac == pytest.approx(net, abs=0.0051)


@pytest.mark.parametrize(("low_bu_ac", "percent"), [(0.0, 14.52), (0.7, 10.71)])
def test_by_hand_severity_at_which_a_pass_breaks_even(low_bu_ac, percent):
    # 28 USD/ac at 10.50 USD/bu need 2.667 bu; (2.667 - low) / (60 x .0051 x .6) = 14.52, 10.71 with .7
    def net(severity_pct):
        (part,) = severity(60, severity_pct, 0.6).parts
        return ask(Mixture((replace(part, low_bu_ac=low_bu_ac),)), 10.5, 28).net_usd_ac

    assert net(percent - 0.005) < 0 < net(percent + 0.005)


def test_by_hand_the_pass_is_going_anyway():
    # only 19 USD/ac is avoidable: needs 1.827; half the weight responding: 10.40 x 2.10 - 19 = 2.84;
    # a tenth: 10.40 x .98 - 19 = -8.81
    half = ask(from_parts([0.5, 0.5], [[0.7, 0.6], [3.5, 1.0]]), cost=19)
    tenth = ask(from_parts([0.9, 0.1], [[0.7, 0.6], [3.5, 1.0]]), cost=19)
    assert (half.net_usd_ac, tenth.net_usd_ac) == pytest.approx((2.84, -8.81), abs=0.0051)
    assert (half.chance_frac, tenth.chance_frac) == pytest.approx((0.4915, 0.1224), abs=0.00006)
    assert half.break_even_response_bu_ac == pytest.approx(1.827, abs=0.0005)
    assert (half.response_mean_bu_ac, tenth.response_mean_bu_ac) == pytest.approx((2.10, 0.98))
    # 100 ac and 60 ac: 284.00 - 528.48 = -244.48 USD for a blanket pass, 284 for the first zone only
    first_usd, second_usd = 100 * half.net_usd_ac, 60 * tenth.net_usd_ac
    assert first_usd + second_usd == pytest.approx(-244.48, abs=0.005)
    assert first_usd == pytest.approx(284, abs=0.005)


def test_by_hand_without_the_other_pass():
    # 19 + 2 + 9 = 30 and 58 x 159/90 % = 1.025 bu of new tracks: 10.40 x (2.10 - 1.025) - 30 = -18.82
    half = from_parts([0.5, 0.5], [[0.7, 0.6], [3.5, 1.0]])
    alone = ask(half, cost=30, track_loss_bu_ac=58 * boom_loss_frac(90))
    assert alone.net_usd_ac == pytest.approx(-18.82, abs=0.0051)


def test_common_practice_prices_at_r3_and_a_stage_off():
    # common practice, no source: R3 pays down to about 5.75 USD/bu, a stage early or late needs about 11
    asked = {"price": 10, "cost": 25, "curve": "practice"}
    assert ask(practice("unknown"), **asked).break_even_price_usd_bu == pytest.approx(5.75, abs=0.005)
    for position in (2.5, 4.5):
        off = ask(practice("unknown"), stage_position=position, **asked)
        assert off.break_even_price_usd_bu == pytest.approx(11, abs=0.05)


@pytest.mark.parametrize("pressure", ["low", "unknown", "medium", "high", "seen"])
def test_witness_value_of_knowing_by_integration(pressure):
    mixture = pooled(pressure)

    def gain(bu_ac):
        density = sum(
            part.weight * norm.pdf(bu_ac, part.low_bu_ac + part.responding_bu_ac, part.sd_bu_ac)
            for part in mixture.parts
        )
        return (bu_ac - 2.5) * density

    expected_gain, _ = quad(gain, 2.5, 30, limit=200)
    witness = 10 * (expected_gain - max(0, mean(mixture) - 2.5))
    assert perfect_information_usd_ac(mixture, 2.5, 10) == pytest.approx(witness, abs=1e-6)


def test_by_hand_the_table_around_the_answer():
    # price 10.40 x .85 = 8.84, cost 30 x 1.2 = 36: 8.84 x 1.624 - 36 = -21.64
    answer = ask(TWO_PARTS)
    middle = answer.table[1][1]
    assert (middle.net_usd_ac, middle.chance_frac) == (answer.net_usd_ac, answer.chance_frac)
    corner = answer.table[0][2]
    assert (corner.price_usd_bu, corner.cost_usd_ac) == pytest.approx((8.84, 36))
    assert corner.net_usd_ac == pytest.approx(-21.64, abs=0.0051)
    assert corner.break_even_response_bu_ac == pytest.approx(4.072, abs=0.00051)
    nets = np.array([[cell.net_usd_ac for cell in row] for row in answer.table])
    assert np.all(np.diff(nets, axis=0) > 0)
    assert np.all(np.diff(nets, axis=1) < 0)


def test_nothing_expected_and_no_price():
    nowhere = ask(TWO_PARTS, expected=0.0)
    assert (nowhere.response_mean_bu_ac, nowhere.chance_frac) == (0, 0)
    assert nowhere.break_even_price_usd_bu == 9999
    assert nowhere.perfect_information_usd_ac == 0
    assert ask(TWO_PARTS, track_loss_bu_ac=1.6).break_even_price_usd_bu == 9999
    with pytest.raises(ValueError, match="price"):
        ask(TWO_PARTS, price=0.0)
