"""The money of a decided zone, taken from its own draws."""

from dataclasses import replace

import numpy as np
import pytest
from made_offers import MID_R3, terms
from made_whole import options_of, zone_of

from zoning.offers.by_source import by_source
from zoning.offers.judged import judged
from zoning.offers.zone_money import reckoned
from zoning.returns.mixture import from_parts
from zoning.returns.price import settle, spray_window
from zoning.returns.sources import pooled

DAY = MID_R3 - 1


def money_of(zone, money=None, *, day=DAY, is_sprayed=None, anyway_frac=0.0):
    options = options_of((zone,), money)
    there = judged(zone.case, (day, 15.0), anyway_frac, options)
    (sources,) = by_source((zone,), options)
    sprayed = there.returned.worth_it if is_sprayed is None else is_sprayed
    return there, reckoned(zone, 0, there, sources, options, is_sprayed=sprayed)


def names(of_zone):
    return {one.name for one in of_zone.money.flips}


def test_every_figure_is_that_of_the_option():
    there, of_zone = money_of(zone_of(1, pooled("high"), 40.0, loss_bu_ac=0.3))
    money, returned = of_zone.money, there.returned
    assert money.net_mean_usd_ac == returned.net_mean_usd_ac
    assert money.delay.days[0] == DAY
    assert money.delay.net_usd_ac[0] == pytest.approx(returned.net_mean_usd_ac)
    assert money.delay.net_usd_ac[3] == pytest.approx(
        settle(there.case, DAY + 3, 15.0, there.terms).net_mean_usd_ac
    )
    net = 10.4 * (returned.response_bu_ac - 0.3) - 30
    assert money.perfect_information_usd_ac == pytest.approx(np.maximum(net, 0).mean() - max(0, net.mean()))
    # the steps lead to the expected response, less the zone's own wheel tracks
    assert sum(one.change_bu_ac for one in money.steps) == pytest.approx(returned.response_mean_bu_ac - 0.3)
    assert sum(money.rests_on_frac.values()) == pytest.approx(1)
    nets = [settle(there.case, DAY + step, 15.0, there.terms).net_mean_usd_ac for step in range(-5, 9)]
    assert of_zone.from_to == spray_window(np.array(nets), np.arange(DAY - 5, DAY + 9))


def test_tracks_that_are_made_anyway_count_in_none_of_it():
    # 3.1 bu/ac, 1 of it pressed down: 10.40 x 2.1 - 30 loses; where three quarters are driven anyway it pays
    zone = zone_of(1, from_parts([1.0], [[3.25, 0.0]]), 40.0, loss_bu_ac=1.0)
    there, of_zone = money_of(zone, anyway_frac=0.75, day=MID_R3)
    assert there.returned.worth_it
    assert of_zone.money.delay.net_usd_ac[0] == pytest.approx(10.4 * (3.25 - 0.25) - 30)
    assert sum(one.change_bu_ac for one in of_zone.money.steps) == pytest.approx(3.0)


def test_a_toss_up_is_called_one_and_only_where_it_is_skipped():
    # 3.1 bu/ac: 10.40 x 3.1 - 30 = 2.24 USD/ac
    zone = zone_of(1, from_parts([1.0], [[3.1, 0.0]]), 40.0)
    asks = replace(terms(), min_net_usd_ac=3.0)
    _, skipped = money_of(zone, asks, day=MID_R3)
    assert skipped.money.toss_up
    assert not money_of(zone, day=MID_R3)[1].money.toss_up
    assert not money_of(zone, asks, day=MID_R3, is_sprayed=True)[1].money.toss_up  # the pass wants it
    loses = zone_of(1, from_parts([1.0], [[2.0, 0.0]]), 40.0)
    assert not money_of(loses, asks, day=MID_R3)[1].money.toss_up


def test_where_the_pass_decides_no_figure_of_the_zone_alone_is_named():
    zone = zone_of(1, pooled("low"), 40.0)
    assert "price" in names(money_of(zone)[1])
    assert names(money_of(zone, is_sprayed=True)[1]) == set()


def test_without_contrast():
    plain = zone_of(1, pooled("unknown"), 40.0).case
    zone = replace(zone_of(1, pooled("high"), 40.0), plain_case=plain)
    money = money_of(zone)[1].money
    assert money.no_contrast_usd_ac == pytest.approx(settle(plain, DAY, 15.0, terms()).net_mean_usd_ac)
    assert money.no_contrast_usd_ac < money.net_mean_usd_ac
    assert money_of(replace(zone, plain_case=None))[1].money.no_contrast_usd_ac is None
    assert money_of(replace(zone, plain_case=zone.case))[1].money.no_contrast_usd_ac is None


def test_a_zone_that_no_severity_could_make_pay_names_none():
    zone = zone_of(1, pooled("low"), 40.0)
    assert "severity" in names(money_of(zone)[1])
    assert "severity" not in names(money_of(replace(zone, damage=None))[1])
