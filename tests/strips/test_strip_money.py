"""What a treated acre cost after the fact: the plan's own sum, with the sprayer and volume of the pass."""

from pathlib import Path

import pytest

from zoning.settings.model import Money as Prices
from zoning.settings.model import Settings, Sprayer
from zoning.sprayer.reach import reach
from zoning.strips.answer.money import lines_of, money_of

PRICES = {"grain_price": "10.50 USD/bu", "product": "20 USD/ac"}
RIG = {
    "name": "rig", "boom": "90 ft", "nozzle": "04", "nozzle_spacing": "20 in", "tank": "1000 gal",
    "pressure": ["30 psi", "90 psi"], "speed": ["5 mph", "14 mph"], "fill_min": 15, "machine": "390 USD/h",
}  # fmt: skip


def of(prices=None, *sprayers) -> Settings:
    return Settings(
        name="a",
        maturity_group=2.4,
        money=None if prices is None else Prices.model_validate(prices),
        sprayer=tuple(Sprayer.model_validate(one) for one in sprayers),
        folder=Path("a"),
    )


def test_without_prices_there_is_no_money():
    assert money_of(of(), 15, 0.0) is None
    assert lines_of(of(), 15) == ()
    assert money_of(of(PRICES), 15, 0.0) is None  # nobody says what the pass costs


def test_by_hand_shares_water_and_tracks():
    # half of cost and grain, haul .50: price .5 x (10.5 - .5) = 5; cost .5 x (20 + 9 + 15 x .02) = 14.65;
    # break-even 14.65 / 5 + .6 = 3.53; at 4.0 bu/ac 5 x (4 - .6) - 14.65 = 2.35 USD/ac
    prices = PRICES | {
        "pass": "9 USD/ac", "water": "0.02 USD/gal", "haul": "0.50 USD/bu", "share_of_grain": 0.5,
        "share_of_cost": 0.5,
    }  # fmt: skip
    money = money_of(of(prices), 15, 0.6)
    assert (money.price_usd_bu, money.cost_usd_ac) == pytest.approx((5.0, 14.65))
    assert money.break_even_bu_ac == pytest.approx(3.53)
    assert money.net_usd_ac(4.0) == pytest.approx(2.35)
    assert money.net_usd_ac(money.break_even_bu_ac) == pytest.approx(0.0)


def test_by_hand_own_machine_at_the_volume_that_was_sprayed():
    # 78.0 ac/h at 15 gal/ac and 58.5 at 20, filling included: 390 / 78.0 = 5.00, 390 / 58.5 = 6.67
    settings = of(PRICES, RIG)
    assert money_of(settings, 15, 0.0).cost_usd_ac == pytest.approx(25.00, abs=0.005)
    assert money_of(settings, 20, 0.0).cost_usd_ac == pytest.approx(26.67, abs=0.01)
    # nobody wrote the volume down: the slowest of those in the settings that it holds
    slowest = min(one.acres_per_hour for one in reach(settings.sprayers[0], settings.carrier.volumes_gal_ac))
    for unknown in (None, float("nan")):
        assert money_of(settings, unknown, 0.0).cost_usd_ac == pytest.approx(20 + 390 / slowest)


def test_a_volume_that_the_machine_does_not_hold_was_sprayed_all_the_same():
    wide = RIG | {"nozzle": "06"}  # 10 gal/ac from 15.4 mph on
    money = money_of(of(PRICES, wide), 10, 0.0)
    assert 20 < money.cost_usd_ac < 26


def test_a_bill_wins_over_the_own_machine_and_the_sprayer_on_record_over_the_first():
    own, hired = Sprayer.model_validate(RIG), RIG | {"name": "custom", "pass": "12 USD/ac"}
    settings = of(PRICES, RIG, hired)
    assert money_of(settings, 15, 0.0, sprayer=settings.sprayers[1]).cost_usd_ac == pytest.approx(32.0)
    assert money_of(settings, 15, 0.0) == money_of(settings, 15, 0.0, sprayer=own)


def test_what_is_spent_anyway_does_not_count_and_is_listed():
    prices = PRICES | {"pass": "9 USD/ac", "product_already_bought": True}
    settings = of(prices)
    assert money_of(settings, 15, 0.0).cost_usd_ac == pytest.approx(9.0)
    assert [(one.name, one.usd_ac, one.counted) for one in lines_of(settings, 15)] == [
        ("pass", 9.0, True),
        ("product", 20.0, False),
    ]
    anyway = of(PRICES | {"pass": "9 USD/ac", "other_pass": "insecticide"})
    assert money_of(anyway, 15, 0.0).cost_usd_ac == pytest.approx(20.0)


@pytest.mark.parametrize("volume", [None, 10.0, 15.0])
def test_counted_lines_are_the_cost(volume):
    prices = PRICES | {"adjuvant_price": "30 USD/gal", "adjuvant_frac": 0.0025, "water": "0.01 USD/gal"}
    settings = of(prices, RIG)
    counted = sum(one.usd_ac for one in lines_of(settings, volume) if one.counted)
    assert counted == pytest.approx(money_of(settings, volume, 0.0).cost_usd_ac)
