"""Chances against what came: by hand, whatever came, and with chances that are right by construction."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.inputs.season_book import BookRow
from zoning.strips.learned.reliability import few, reliability


def zones(*told, season=2025):
    return [
        BookRow(season=season, field="north", zone=zone, chance_pays=forecast, chance_paid=paid)
        for zone, (forecast, paid) in enumerate(told, 1)
    ]


def test_by_hand_three_zones():
    # squared errors: .3, paid for certain: .49; .3, paid with .5: .5 x .49 + .5 x .09 = .29; .9, paid with
    # .8: .8 x .01 + .2 x .81 = .17: mean .316667. Mean of what came 2.3 / 3: .766667 x .233333 = .178889
    bins, brier, brier_of_mean = reliability(zones((0.3, 1.0), (0.3, 0.5), (0.9, 0.8)))
    assert brier == pytest.approx(0.95 / 3)
    assert brier_of_mean == pytest.approx(0.178889, abs=1e-6)
    first, second = bins
    assert (first.low, first.high, first.zones, first.seasons) == (0.2, 0.4, 2, 1)
    assert (first.mean_forecast, first.paid_frac) == pytest.approx((0.3, 0.75))
    assert (second.low, second.high, second.zones) == (0.8, 1.0, 1)
    assert (second.mean_forecast, second.paid_frac) == pytest.approx((0.9, 0.8))


def test_by_hand_edges_and_seasons():
    # 0 is in the lowest fifth, .2 in the second, 1 in the highest; .6 of two seasons in the fourth
    rows = [*zones((0.0, 0.0), (0.2, 0.0), (0.6, 1.0)), *zones((1.0, 1.0), (0.6, 0.0), season=2024)]
    bins, *_ = reliability(rows)
    assert [(one.low, one.zones, one.seasons) for one in bins] == [
        (0.0, 1, 1), (0.2, 1, 1), (0.6, 2, 2), (0.8, 1, 1),
    ]  # fmt: skip


def test_zones_without_both_chances_do_not_count():
    rows = zones((0.4, None), (None, 0.5), (None, None))
    assert reliability(rows) == ((), None, None)
    assert reliability([]) == ((), None, None)
    assert few(rows) == ()
    assert reliability([*rows, *zones((0.4, 0.5))])[0][0].zones == 1


def test_few_zones_are_said():
    (said,) = few([*zones(*[(0.5, 0.5)] * 9), *zones((0.5, 0.5), season=2024)])
    assert "10 zones of 2 seasons" in said.text
    assert few(zones(*[(0.5, 0.5)] * 30)) == ()


shares = st.floats(0, 1)


@given(st.lists(st.tuples(shares, shares), min_size=1, max_size=40))
def test_bins_hold_every_zone_once_and_lie_within_what_they_say(told):
    bins, brier, brier_of_mean = reliability(zones(*told))
    assert sum(one.zones for one in bins) == len(told)
    for one in bins:
        assert one.low - 1e-9 <= one.mean_forecast <= one.high + 1e-9
        assert -1e-9 <= one.paid_frac <= 1 + 1e-9
    overall = sum(one.zones * one.paid_frac for one in bins) / len(told)
    assert overall == pytest.approx(np.mean([paid for _, paid in told]))
    assert 0 <= brier <= 1
    assert brier_of_mean <= 0.25 + 1e-12


@given(st.lists(shares, min_size=1, max_size=30), shares)
def test_no_single_chance_beats_the_mean_of_what_came(paid, chance):
    _, brier, brier_of_mean = reliability(zones(*[(chance, one) for one in paid]))
    assert brier >= brier_of_mean - 1e-12


# -- simulated truth: what a pass returns is drawn from what was forecast, and strips measure it ------------


def simulated(shift_sd=0.0, strip_sd=0.4, seed=3):
    """2,000 zones over 10 seasons: mean and SD of the net forecast, the truth, what strips say of it."""
    from scipy.stats import norm

    chance = np.random.default_rng(seed)
    mean = chance.normal(0, 1.0, 2000)
    truth = chance.normal(mean, 1.0)
    told = chance.normal(truth, strip_sd)
    forecast, paid = norm.cdf(mean + shift_sd), norm.cdf(told / strip_sd)
    return [
        BookRow(season=2010 + at % 10, field="n", zone=at, chance_pays=float(f), chance_paid=float(q))
        for at, (f, q) in enumerate(zip(forecast, paid, strict=True))
    ]


def test_chances_that_are_right_lie_near_the_diagonal_and_beat_the_mean():
    bins, brier, brier_of_mean = reliability(simulated())
    assert len(bins) == 5
    for one in bins:
        assert one.paid_frac == pytest.approx(one.mean_forecast, abs=0.08)
    assert brier < brier_of_mean - 0.05
    assert {one.seasons for one in bins} == {10}


def test_chances_that_are_too_high_are_found_out():
    bins, brier, _ = reliability(simulated(shift_sd=1.0))
    assert all(one.paid_frac < one.mean_forecast for one in bins)
    assert max(one.mean_forecast - one.paid_frac for one in bins) > 0.2
    assert brier > reliability(simulated())[1]


def test_strips_that_tell_little_draw_what_came_towards_a_half():
    sure, unsure = (reliability(simulated(strip_sd=sd))[0] for sd in (0.2, 3.0))
    assert unsure[0].paid_frac > sure[0].paid_frac
    assert unsure[-1].paid_frac < sure[-1].paid_frac
