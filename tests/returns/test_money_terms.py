"""Prices, avoidable costs, what is needed, and the rule."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from zoning.returns.costs import cost_usd_ac, needed_response_bu_ac, terms
from zoning.returns.price import NO_PRICE_PAYS, break_even_price_usd_bu
from zoning.returns.rule import chance, passes
from zoning.settings.model import Money
from zoning.units import KG_PER_BU, kg_ha_from_bu_ac, usd_ha_from_usd_ac

MONEY = {"grain_price": "10.40 USD/bu", "product": "19 USD/ac", "adjuvant": "2 USD/ac", "pass": "9 USD/ac"}


def money(**more):
    return Money.model_validate(MONEY | more)


# Soybean rows: farmdoc daily table (University of Illinois, May 2024 and 2025, via agrolatam.com and
# no-tillfarmer.com); Iowa State University 2010; agweb.com 2010; wallacesfarmer.com 2016.
# Corn rows: farmdoc 2024; no-tillfarmer.com.
PUBLISHED_BREAK_EVENS = [
    (40, 8.50, "4.7"), (25, 8.50, "2.9"), (40, 9.75, "4.1"), (25, 9.75, "2.6"), (40, 11.00, "3.6"),
    (25, 11.00, "2.3"), (40, 12.25, "3.3"), (24, 9.48, "2.53"), (26, 10.00, "2.6"), (15, 10.00, "1.5"),
    (30, 10.00, "3"), (40, 4.25, "9.4"), (40, 6.95, "5.8"), (26, 4.50, "5.8"), (30, 4.50, "6.7"),
    (20, 4.00, "5"), (35, 5.50, "6.4"),
]  # fmt: skip


def needed_bu_ac(cost, price):
    costs = {"product": f"{cost} USD/ac", "adjuvant": "0 USD/ac", "pass": "0 USD/ac"}
    of = terms(money(grain_price=f"{price} USD/bu", **costs))
    return needed_response_bu_ac(of, cost_usd_ac(of), 0.0)


@pytest.mark.parametrize(("cost", "price", "printed"), PUBLISHED_BREAK_EVENS)
def test_published_break_even_response(cost, price, printed):
    digits = len(printed.partition(".")[2])
    assert needed_bu_ac(cost, price) == pytest.approx(float(printed), abs=0.5 * 10**-digits + 1e-9)


def test_published_break_even_of_more_than_3():
    # no-tillfarmer.com: 25 USD/ac at 8 USD/bu needs "more than 3" bushels
    assert 3 < needed_bu_ac(25, 8) < 3.5


@pytest.mark.parametrize(
    ("cost", "price", "exact"),
    [
        # C / P; the rows above to four decimals
        (40, 8.50, 4.7059), (25, 8.50, 2.9412), (40, 9.75, 4.1026), (25, 9.75, 2.5641), (40, 11.00, 3.6364),
        (25, 11.00, 2.2727), (40, 12.25, 3.2653), (24, 9.48, 2.5316), (26, 10.00, 2.6), (15, 10.00, 1.5),
        (30, 10.00, 3.0), (40, 4.25, 9.4118), (40, 6.95, 5.7554), (26, 4.50, 5.7778), (30, 4.50, 6.6667),
        (20, 4.00, 5.0), (35, 5.50, 6.3636),
        # inputs of Gustafson and Giesler 2007 (NSRL poster 54), 18 USD/ac at 8 USD/bu; "more than 3" above
        (18, 8.00, 2.25), (25, 8.00, 3.125),
        # a cell that no-tillfarmer.com prints as 5.1
        (20, 3.50, 5.7143),
    ],
)  # fmt: skip
def test_by_hand_break_even_response(cost, price, exact):
    assert needed_bu_ac(cost, price) == pytest.approx(exact, abs=0.00006)


def test_by_hand_break_even_in_metric_units():
    # inputs of Kandel et al. 2016, Plant Health Progress 17:232-238: 62 USD/ha at .42 USD/kg = 147.62 kg/ha
    of = terms(money(grain_price="420 USD/t", product="62 USD/ha", adjuvant="0 USD/ac"))
    needed = needed_response_bu_ac(of, of.product_usd_ac, 0.0)
    assert kg_ha_from_bu_ac(needed) == pytest.approx(147.62, abs=0.005)
    assert needed == pytest.approx(2.195, abs=0.0005)
    assert of.price_usd_bu == pytest.approx(0.42 * KG_PER_BU)
    assert usd_ha_from_usd_ac(of.product_usd_ac) == pytest.approx(62)
    assert of.product_usd_ac == pytest.approx(25.09, abs=0.005)  # 62 x .40469


def test_by_hand_costs_of_a_treated_acre():
    # 19 + 2 + 9 = 30; 15 gal/ac at .02 USD/gal is .30 more; half of the cost is the landlord's
    assert cost_usd_ac(terms(money())) == pytest.approx(30)
    assert cost_usd_ac(terms(money(water="0.02 USD/gal")), 15) == pytest.approx(30.30)
    assert cost_usd_ac(terms(money(share_of_cost=0.5, water="0.02 USD/gal")), 15) == pytest.approx(15.15)
    assert cost_usd_ac(terms(money(foliar_feed="4 USD/ac"))) == pytest.approx(34)


def test_by_hand_only_avoidable_costs_count():
    # bought: 2 + 9; billed for the whole field: 19 + 2
    assert cost_usd_ac(terms(money(product_already_bought=True))) == pytest.approx(11)
    assert cost_usd_ac(terms(money(billed="field"))) == pytest.approx(21)


def test_by_hand_price_net_of_haul_and_share():
    # .6 x (10.40 - .25) = 6.09
    assert terms(money(share_of_grain=0.6, haul="0.25 USD/bu")).price_usd_bu == pytest.approx(6.09)


def test_own_machine_stands_in_for_a_bill_that_is_left_out():
    without = {key: value for key, value in MONEY.items() if key != "pass"}
    assert terms(Money.model_validate(without), pass_usd_ac=6.5).pass_usd_ac == 6.5
    assert terms(money(), pass_usd_ac=6.5).pass_usd_ac == 9
    with pytest.raises(ValueError, match="what the pass costs"):
        terms(Money.model_validate(without))


def test_by_hand_break_even_price_is_the_bid_at_the_elevator():
    # 15 / (.5 x (3.2 - .2)) + .25 = 10.25
    of = terms(money(share_of_grain=0.5, haul="0.25 USD/bu"))
    assert break_even_price_usd_bu(of, 15, 3.0) == pytest.approx(10.25)
    assert break_even_price_usd_bu(of, 15, 0.05) == NO_PRICE_PAYS
    assert break_even_price_usd_bu(of, 15, -1.0) == NO_PRICE_PAYS
    assert break_even_price_usd_bu(of, 15, 0.06) == pytest.approx(500.25)


def test_a_bushel_that_brings_nothing_can_never_pay():
    of = terms(money(grain_price="2 USD/bu", haul="3 USD/bu"))
    assert needed_response_bu_ac(of, 30, 0) == float("inf")


def test_by_hand_a_net_of_nothing_does_not_pay():
    # -1, 0, 1, 2: two of four are above 0
    assert chance(np.array([-1.0, 0.0, 1.0, 2.0])) == 0.5
    # and a mean that only equals min_net is not above it
    assert not passes(np.zeros(4), terms(money()))


def test_by_hand_rules():
    # mean of the nets 2.5; half above 0; mean gain 7.5, mean loss 5: 7.5 - 2 x 5 < 0
    net = np.array([-10.0, -10.0, 10.0, 20.0])
    assert chance(net) == 0.5
    assert passes(net, terms(money()))
    assert not passes(net, terms(money(min_net="2.5 USD/ac")))
    assert passes(net, terms(money(min_net="2.4 USD/ac")))
    assert passes(net, terms(money(rule="chance")))
    assert not passes(net, terms(money(rule="chance", min_chance=0.51)))
    assert not passes(net, terms(money(rule="cautious")))
    assert passes(net, terms(money(rule="cautious", loss_weight=1.4)))
    assert not passes(net, terms(money(rule="cautious", loss_weight=1.4, min_net="3 USD/ac")))


@given(
    response=st.lists(st.integers(-40, 240), min_size=1, max_size=30),
    rule=st.sampled_from(["expected", "chance", "cautious"]),
    price=st.floats(1, 20),
    more=st.floats(0, 10),
    cost=st.floats(0, 60),
)
@settings(max_examples=100, deadline=None)
def test_a_higher_price_or_a_lower_cost_never_turns_spray_into_skip(response, rule, price, more, cost):
    def rule_says(price, cost):
        of = terms(
            money(
                grain_price=f"{price} USD/bu",
                product=f"{cost} USD/ac",
                adjuvant="0 USD/ac",
                rule=rule,
                min_net="1 USD/ac",
                **{"pass": "0 USD/ac"},
            )
        )
        net = of.price_usd_bu * (np.array(response) / 20 - 0.5) - cost_usd_ac(of)
        return bool(passes(net, of))

    if rule_says(price, cost):
        assert rule_says(price + more, cost)
        assert rule_says(price, max(0.0, cost - more))
