"""Worked decisions through price, schedule and settle: 0.05 USD/ac and 0.01 in chance.

P 10.40 USD/bu, product 19, adjuvant 2, pass 9: 30 USD/ac, break-even response 30 / 10.40 = 2.885 bu/ac.
"""

import pytest
from made_offers import MID_R3, settled_zone

from zoning.returns.response import severity
from zoning.returns.terms import Mixture, Part

MONEY = 0.05
CHANCE = 0.01
# Two parts, 67 % N(0.7, 0.6) and 33 % N(3.5, 1.0): mean .67 x .7 + .33 x 3.5 = 1.624 bu/ac.
TWO_PARTS = Mixture(
    (
        Part(weight=0.67, low_bu_ac=0.7, responding_bu_ac=0.0, sd_bu_ac=0.6),
        Part(weight=0.33, low_bu_ac=0.0, responding_bu_ac=3.5, sd_bu_ac=1.0),
    )
)


@pytest.mark.parametrize(
    ("track_loss", "pass_usd_ac", "net", "chance", "needed", "price"),
    [
        # 10.40 x (1.624 - 1.025) - 30 = -23.77; 30 / (1.624 - 1.025) = 50.06
        (1.025, 9.0, -23.77, 0.1126, 3.909, 50.06),
        # 10.40 x 1.624 - 30 = -13.11; 30 / 1.624 = 18.47
        (0.0, 9.0, -13.11, 0.2413, 2.885, 18.47),
        # by air at 15: 10.40 x 1.624 - 36 = -19.11; 36 / 10.40 = 3.462
        (0.0, 15.0, -19.11, 0.1701, 3.462, 36 / 1.624),
    ],
    ids=["new tracks", "existing tracks", "air"],
)
def test_by_hand_nothing_pays(track_loss, pass_usd_ac, net, chance, needed, price):
    zone, plan = settled_zone(
        TWO_PARTS,
        area_ac=78.0,
        yield_bu_ac=58.0,
        track_loss_bu_ac=track_loss,
        pass_usd_ac=pass_usd_ac,
    )
    assert zone.action == "skip"
    assert plan.passes == ()
    assert plan.totals.net_usd == 0
    assert zone.money.net_mean_usd_ac == pytest.approx(net, abs=MONEY)
    assert zone.money.chance_pays == pytest.approx(chance, abs=CHANCE)
    assert zone.money.break_even_response_bu_ac == pytest.approx(needed, abs=0.001)
    # the price is a ratio: half a cent in the response moves 50.06 by .4
    assert zone.money.break_even_price_usd_bu == pytest.approx(price, rel=0.005 / (1.624 - track_loss))


@pytest.mark.parametrize(
    ("track_loss", "pass_usd_ac", "net", "chance", "action"),
    [
        # .7 + 60 x .0051 x 20 x .6 = 4.372; 10.40 x 4.372 - 30 = 15.47
        (0.0, 9.0, 15.47, 0.809, "spray"),
        (0.0, 15.0, 9.47, 0.704, "spray"),
        (1.06, 9.0, 4.44, 0.599, "spray"),
    ],
    ids=["existing tracks", "air", "new tracks"],
)
def test_by_hand_frogeye_found(track_loss, pass_usd_ac, net, chance, action):
    zone, plan = settled_zone(
        severity(60, 20, 0.6),
        area_ac=120.0,
        yield_bu_ac=60.0,
        track_loss_bu_ac=track_loss,
        pass_usd_ac=pass_usd_ac,
    )
    assert zone.action == action
    assert zone.money.net_mean_usd_ac == pytest.approx(net, abs=MONEY)
    assert zone.money.chance_pays == pytest.approx(chance, abs=CHANCE)
    assert zone.spray_on.toordinal() == MID_R3
    assert plan.totals.net_usd == pytest.approx(120 * zone.money.net_mean_usd_ac)


def test_by_hand_a_product_that_the_fungus_resists_is_skipped():
    # efficacy 0 leaves the low response: 10.40 x .7 - 30 = -22.72
    zone, _ = settled_zone(severity(60, 20, 0.0), area_ac=120.0, yield_bu_ac=60.0)
    assert zone.action == "skip"
    assert zone.money.net_mean_usd_ac == pytest.approx(-22.72, abs=MONEY)
