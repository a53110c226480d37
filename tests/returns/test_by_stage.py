"""Options in each draw of the stages: their mean is the price of the option, rules included."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from made_offers import terms

from zoning.returns.by_stage import by_stage
from zoning.returns.draws import response_draws
from zoning.returns.price import price
from zoning.returns.sources import pooled
from zoning.returns.terms import ZoneCase
from zoning.stage.draws import StageDraws

R3 = date(2026, 7, 19).toordinal()
DAYS = np.arange(R3 - 10, R3 + 10)


def case(pressure="seen", **changes):
    shift = np.random.default_rng(1).normal(0, 3.8, 512)
    stage = StageDraws(R3 + shift[:, None] + np.array([-13.0, -10, 0, 9, 16, 31, 49]))
    draws = response_draws(pooled(pressure), seed=2, field="a", zone=1, draws=512)
    made = ZoneCase(
        zone=1,
        area_ac=40,
        mixture=pooled(pressure),
        response_draws_bu_ac=draws,
        curve="published",
        stage=stage,
        expected_yield_bu_ac=58,
        track_loss_bu_ac=0.3,
        volume_matters=False,
    )
    return replace(made, **changes)


@pytest.mark.parametrize("pressure", ["seen", "unknown", "high"])
def test_mean_over_the_draws_is_the_price(pressure):
    # the price sums draw by draw, rounded; here the response is averaged first: they part by chance alone
    one = case(pressure)
    found = by_stage(one, DAYS, (15.0,), (terms(),), np.ones((len(DAYS), 1), dtype=bool))
    priced = price([one], DAYS, (15.0,), terms()).net_usd_ac[0, :, 0]
    spread = one.response_draws_bu_ac.std() * 10.40 / np.sqrt(512)
    assert found.net_usd_ac.mean(axis=0) == pytest.approx(priced, abs=spread)


def test_chance_and_loss_over_the_draws_are_those_of_the_price():
    money = replace(terms(), rule="cautious")
    one = case()
    found = by_stage(one, DAYS, (15.0,), (money,), np.ones((len(DAYS), 1), dtype=bool))
    priced = price([one], DAYS, (15.0,), money)
    assert found.chance_frac.mean(axis=0) == pytest.approx(priced.chance_frac[0, :, 0], abs=0.04)
    # a mean loss is never below what is lost on average; 64 responses stand for all
    assert (found.loss_usd_ac >= np.maximum(-found.net_usd_ac, 0) - 0.5).all()


def test_volumes_that_differ_in_nothing_stand_once_and_closed_days_not_at_all():
    is_open = np.ones((len(DAYS), 2), dtype=bool)
    is_open[:5] = False
    found = by_stage(case(), DAYS, (15.0, 20.0), (terms(), terms()), is_open)
    assert found.day.tolist() == DAYS[5:].tolist()
    dearer = by_stage(case(), DAYS, (15.0, 20.0), (terms(), terms(12.0)), is_open)
    assert dearer.day.tolist() == [*DAYS[5:], *DAYS[5:]]
    half = len(dearer.day) // 2
    assert dearer.net_usd_ac[:, :half] - dearer.net_usd_ac[:, half:] == pytest.approx(3.0)


def test_a_zone_without_an_open_day_has_no_option():
    found = by_stage(case(), DAYS, (), (terms(),), np.zeros((len(DAYS), 1), dtype=bool))
    assert found.net_usd_ac.shape == (512, 0)
