"""Every option of a zone, and one of them settled."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from zoning.returns.costs import terms
from zoning.returns.draws import response_draws
from zoning.returns.mixture import from_parts
from zoning.returns.price import NO_PRICE_PAYS, best_option, price, settle, spray_window
from zoning.returns.sources import pooled, practice, severity
from zoning.returns.terms import Mixture, ZoneCase
from zoning.settings.model import Money
from zoning.stage.draws import StageDraws

DRAWS = 512
R3 = 201.0  # first day of R3 where it is pinned; 205.5 is its middle
OFFSETS = np.array([-13.0, -10.0, 0.0, 9.0, 18.0, 30.0, 48.0])
MONEY = {"grain_price": "10.40 USD/bu", "product": "19 USD/ac", "adjuvant": "2 USD/ac", "pass": "9 USD/ac"}


def of(**more):
    return terms(Money.model_validate(MONEY | more))


def pinned(r3_day=R3, draws=DRAWS):
    return StageDraws(np.tile(r3_day + OFFSETS, (draws, 1)))


def spread(sd_d, draws=DRAWS):
    shift = np.random.default_rng(4).normal(0, sd_d, draws)
    return StageDraws(R3 + shift[:, None] + OFFSETS)


def case(mixture: Mixture, zone=1, draws=DRAWS, **more):
    given_case = ZoneCase(
        zone=zone,
        area_ac=40.0,
        mixture=mixture,
        response_draws_bu_ac=response_draws(mixture, seed=0, field="North", zone=zone, draws=draws),
        curve="published",
        stage=pinned(draws=draws),
        expected_yield_bu_ac=58.0,
        track_loss_bu_ac=0.0,
        volume_matters=False,
    )
    return replace(given_case, **more)


TWO_PARTS = from_parts([0.67, 0.33], [[0.7, 0.6], [3.5, 1.0]])
MID_R3 = pinned(R3 - 4.5)  # day 201 is the middle of R3


# By hand (closed form of the two parts): price x (1.624 - tracks) - cost, and the chance above break-even;
# 58 bu/ac x 159 / 90 % = 1.025 bu/ac of new tracks; by air 6 USD/ac more and no tracks.
@pytest.mark.parametrize(
    ("tracks", "pass_cost", "net", "chance"),
    [(58 * 1.59 / 90, 9, -23.77, 0.1126), (0.0, 9, -13.11, 0.2413), (0.0, 15, -19.11, 0.1701)],
)
def test_by_hand_nothing_pays_through_the_draws(tracks, pass_cost, net, chance):
    settled = settle(
        case(TWO_PARTS, stage=MID_R3, track_loss_bu_ac=tracks),
        201,
        15.0,
        of(**{"pass": f"{pass_cost} USD/ac"}),
    )
    assert settled.net_mean_usd_ac == pytest.approx(net, abs=0.05)
    assert settled.chance_frac == pytest.approx(chance, abs=0.01)
    assert not settled.worth_it


# By hand: .7 + 60 x .0051 x 20 x .6 = 4.372, SD 1.7; tracks 60 x 159/90 % = 1.06 bu/ac
@pytest.mark.parametrize(
    ("tracks", "pass_cost", "net", "chance"),
    [(0.0, 9, 15.47, 0.809), (0.0, 15, 9.47, 0.704), (1.06, 9, 4.44, 0.599)],
)
def test_by_hand_frogeye_found_through_the_draws(tracks, pass_cost, net, chance):
    found = case(severity(60, 20, 0.6), stage=MID_R3, track_loss_bu_ac=tracks, expected_yield_bu_ac=60.0)
    settled = settle(found, 201, 15.0, of(**{"pass": f"{pass_cost} USD/ac"}))
    assert settled.net_mean_usd_ac == pytest.approx(net, abs=0.05)
    assert settled.chance_frac == pytest.approx(chance, abs=0.01)
    assert settled.worth_it


# By hand: 4.0 bu/ac where no disease is, sprayed on day 201. 10.4 d after the start of R3: 1 - .6 x 5.9 / 9
# = .6067; at its start .98; 3 d into it .98 + .02 x 3 / 4.5; mid R4 .40; mid R2 .96
@pytest.mark.parametrize(
    ("r3_day", "share"), [(190.6, 0.6067), (201.0, 0.98), (198.0, 0.9933), (187.5, 0.40), (206.0, 0.96)]
)
def test_by_hand_one_day_for_blocks_of_three_dates(r3_day, share):
    flat = from_parts([1.0], [[4.0, 0.0]])
    settled = settle(case(flat, stage=pinned(r3_day)), 201, None, of())
    assert settled.net_mean_usd_ac == pytest.approx(10.4 * round(4 * share / 0.05) * 0.05 - 30, abs=1e-6)


def test_by_hand_everything_comes_from_the_rounded_draws():
    settled = settle(case(pooled("medium"), stage=spread(4), track_loss_bu_ac=0.3), 200, 15.0, of())
    steps = settled.response_bu_ac * 20
    assert steps == pytest.approx(np.round(steps), abs=1e-9)
    net = 10.4 * (settled.response_bu_ac - 0.3) - 30
    assert settled.net_mean_usd_ac == pytest.approx(net.mean())
    assert settled.chance_frac == pytest.approx(np.mean(net > 0))
    assert (settled.net_p10_usd_ac, settled.net_p90_usd_ac) == pytest.approx(
        tuple(np.quantile(net, [0.1, 0.9]))
    )
    assert settled.response_mean_bu_ac == pytest.approx(settled.response_bu_ac.mean())
    assert settled.break_even_response_bu_ac == pytest.approx(30 / 10.4 + 0.3)
    # at the break-even price the mean net return is 0
    at_that_price = settled.break_even_price_usd_bu * (settled.response_bu_ac - 0.3) - 30
    assert at_that_price.mean() == pytest.approx(0, abs=1e-9)


@given(
    pressure=st.sampled_from(["low", "unknown", "medium", "high", "seen"]),
    rule=st.sampled_from(["expected", "chance", "cautious"]),
    matters=st.booleans(),
    water=st.sampled_from(["0 USD/gal", "0.03 USD/gal"]),
    expected=st.floats(0, 80),
)
@settings(max_examples=25, deadline=None)
def test_search_and_settlement_agree(pressure, rule, matters, water, expected):
    money = of(rule=rule, water=water)
    zones = [
        case(practice(pressure), 1, stage=spread(5), volume_matters=matters, curve="practice"),
        case(pooled(pressure), 2, stage=spread(5), volume_matters=matters, expected_yield_bu_ac=expected),
    ]
    priced = price(zones, np.arange(196, 206), (10.0, 15.0, 20.0), money)
    for row, zone in enumerate(zones):
        for column, volume in enumerate(priced.volumes_gal_ac):
            settled = settle(zone, 203, volume, money)
            option = row, 7, column
            assert priced.net_usd_ac[option] == pytest.approx(settled.net_mean_usd_ac, abs=1e-9)
            assert priced.chance_frac[option] == settled.chance_frac
            assert priced.passes_rule[option] == settled.worth_it


@given(
    pressure=st.sampled_from(["unknown", "medium", "high", "seen"]),
    rule=st.sampled_from(["expected", "chance", "cautious"]),
    price_usd_bu=st.floats(4, 16),
    more=st.floats(0, 6),
    sd_d=st.sampled_from([0.0, 3.0, 6.0]),
)
@settings(max_examples=25, deadline=None)
def test_no_option_is_lost_by_a_better_price_or_a_lower_cost(pressure, rule, price_usd_bu, more, sd_d):
    zones = [case(pooled(pressure), stage=spread(sd_d), track_loss_bu_ac=0.4)]

    def says(price_usd_bu, product_usd_ac):
        money = of(grain_price=f"{price_usd_bu} USD/bu", product=f"{product_usd_ac} USD/ac", rule=rule)
        return price(zones, np.arange(190, 222), (15.0,), money).passes_rule

    before = says(price_usd_bu, 19)
    assert np.all(says(price_usd_bu + more, 19) >= before)
    assert np.all(says(price_usd_bu, 19 - more) >= before)


def test_a_zone_is_priced_alike_in_any_company():
    zones = [case(pooled("high"), number, stage=spread(4)) for number in (1, 2, 3)]
    days = np.arange(195, 215)
    together = price(zones, days, (10.0, 20.0), of())
    for row, zone in enumerate(zones):
        alone = price([zone], days, (10.0, 20.0), of())
        assert np.array_equal(alone.net_usd_ac[0], together.net_usd_ac[row])
    assert together.zones == (1, 2, 3)
    assert together.net_usd_ac.shape == (3, 20, 2)


def test_zones_whose_sums_are_the_same_are_priced_as_each_by_itself():
    # 58 and 70 bu/ac move nothing; 20 bu/ac is poor ground, then another luck, new tracks, less by volume
    zones = [
        case(pooled("high"), 1, stage=MID_R3),
        case(pooled("high"), 1, stage=MID_R3, expected_yield_bu_ac=70.0),
        case(pooled("high"), 1, stage=MID_R3, expected_yield_bu_ac=20.0),
        case(pooled("high"), 2, stage=spread(4)),
        case(pooled("high"), 1, stage=MID_R3, track_loss_bu_ac=0.5),
        case(pooled("high"), 1, stage=MID_R3, volume_matters=True),
        case(pooled("high"), 1, stage=MID_R3, curve="practice"),
        case(pooled("high"), 1, stage=spread(4)),
        case(pooled("low"), 1, stage=MID_R3),
    ]
    days = np.arange(195, 215)
    together = price(zones, days, (10.0, 20.0), of())
    for row, zone in enumerate(zones):
        alone = price([zone], days, (10.0, 20.0), of())
        for name in ("net_usd_ac", "chance_frac", "passes_rule"):
            assert np.array_equal(getattr(alone, name)[0], getattr(together, name)[row], equal_nan=True)
    of_zones = {one.tobytes() for one in together.net_usd_ac}
    assert len(of_zones) == len(zones) - 1  # only the first two are one


def test_days_that_most_draws_do_not_support_are_not_offered():
    # R1 begins on day 188 in half of the draws, 10 days later in the others
    begin = np.tile(R3 + OFFSETS, (DRAWS, 1))
    begin[DRAWS // 2 :] += 10
    late = begin.copy()
    late[DRAWS // 2 - 1] += 10
    days = np.array([187, 188, 197, 198, 231, 232, 242])
    half = price([case(pooled("seen"), stage=StageDraws(begin))], days, (15.0,), of())
    assert np.isnan(half.net_usd_ac[0, :, 0]).tolist() == [True, False, False, False, False, False, True]
    most = price([case(pooled("seen"), stage=StageDraws(late))], days, (15.0,), of())
    assert np.isnan(most.net_usd_ac[0, :, 0]).tolist() == [True, True, True, False, False, False, True]
    assert not most.passes_rule[np.isnan(most.net_usd_ac)].any()
    assert np.array_equal(np.isnan(most.chance_frac), np.isnan(most.net_usd_ac))


def test_by_hand_a_draw_outside_counts_as_nothing_gained():
    # half of the draws have not reached R1: 4 bu/ac x share in the others, 0 in these
    begin = np.tile(R3 + OFFSETS, (DRAWS, 1))
    begin[::2] += 40
    flat = from_parts([1.0], [[4.0, 0.0]])
    settled = settle(case(flat, stage=StageDraws(begin)), 201, None, of())
    assert settled.response_mean_bu_ac == pytest.approx(0.5 * 3.9, abs=1e-9)  # 4 x .98 = 3.92, rounded 3.90
    assert settled.chance_frac == 0.5


def test_by_hand_carrier_volume_takes_a_tenth_where_it_matters():
    flat = from_parts([1.0], [[5.0, 0.0]])
    zones = [
        case(flat, 1, stage=MID_R3, volume_matters=True),
        case(flat, 2, stage=MID_R3, volume_matters=False),
    ]
    priced = price(zones, [201], (10.0, 15.0, 20.0), of())
    full = 10.4 * 5 - 30
    assert priced.net_usd_ac[0, 0] == pytest.approx([10.4 * 4.5 - 30, full, full])
    assert priced.net_usd_ac[1, 0] == pytest.approx([full, full, full])


def test_by_hand_poor_ground_takes_its_share():
    # 15 of 30 bu/ac: half of 5 bu/ac
    flat = from_parts([1.0], [[5.0, 0.0]])
    settled = settle(case(flat, stage=MID_R3, expected_yield_bu_ac=15.0), 201, None, of())
    assert settled.response_mean_bu_ac == pytest.approx(2.5)


def test_each_volume_can_have_its_own_machine_cost():
    by_volume = [replace(of(), pass_usd_ac=cost) for cost in (5.0, 7.0)]
    priced = price([case(pooled("seen"), stage=MID_R3)], [201], (10.0, 20.0), by_volume)
    assert priced.net_usd_ac[0, 0, 0] - priced.net_usd_ac[0, 0, 1] == pytest.approx(2)
    with pytest.raises(ValueError, match="zip"):
        price([case(pooled("seen"))], [201], (10.0, 15.0, 20.0), by_volume)


def test_without_a_sprayer_there_is_one_column():
    zone = case(pooled("seen"), stage=MID_R3)
    priced = price([zone], [200, 201], (), of(water="0.05 USD/gal"))
    assert priced.net_usd_ac.shape == (1, 2, 1)
    settled = settle(zone, 201, None, of(water="0.05 USD/gal"))
    assert priced.net_usd_ac[0, 1, 0] == pytest.approx(settled.net_mean_usd_ac)
    assert best_option(priced, 0) == (201, None)


def test_best_option_is_where_the_mean_is_highest():
    priced = price([case(pooled("seen"), stage=spread(5))], np.arange(180, 240), (10.0, 20.0), of())
    day, volume = best_option(priced, 0)
    row = int(np.flatnonzero(priced.days == day)[0])
    assert priced.net_usd_ac[0, row, 0] == np.nanmax(priced.net_usd_ac)
    assert volume == 10.0
    too_late = price([case(pooled("seen"))], [300], (10.0,), of())
    assert best_option(too_late, 0) is None


def test_the_less_is_known_the_earlier_the_best_day():
    # the response is flat before mid R3 and falls steeply after it
    best = []
    for sd_d in (0.0, 3.4, 5.0):
        priced = price([case(pooled("unknown"), stage=spread(sd_d))], np.arange(190, 215), (), of())
        best.append(best_option(priced, 0)[0])
    assert best[0] > best[1] >= best[2]
    assert best[1] == pytest.approx(R3, abs=2)


def test_no_price_pays_where_nothing_is_expected():
    settled = settle(case(pooled("low"), track_loss_bu_ac=1.5), 201, None, of())
    assert settled.break_even_price_usd_bu == NO_PRICE_PAYS


def test_by_hand_spray_window():
    days = [10, 11, 12, 13, 14, 15]
    nan = float("nan")
    assert spray_window(np.array([9.0, 10.0, 8.9, 9.5, nan, 1.0]), days) == (10, 11)  # 90 % of 10 is 9
    assert spray_window(np.array([nan, nan, 2.0, nan, 2.0, 2.0]), days) == (12, 12)
    assert spray_window(np.array([1.0, 1.0, 1.0, 1.0, 1.0, 1.0]), days) == (10, 15)
    assert spray_window(np.array([-1.0, 0.0, nan, -2.0, -3.0, nan]), days) is None
    assert spray_window(np.full(6, nan), days) is None
    assert spray_window(np.array([]), []) is None
