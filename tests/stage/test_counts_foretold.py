"""Counts that nobody has made: their likelihood is that of counts that were, and they look like the truth."""

import numpy as np
import pytest

from zoning.inputs.given import PLANT_STAGES, Tally
from zoning.stage.foretold import correlations, drawn, lattice, likelihoods
from zoning.stage.likelihood import GRID, Expected, Visit, count_rules, log_likelihood
from zoning.stage.posterior import Place, covariance, posterior

AT = Expected(r1_day=192, r2_day=195, r3_day=205, r4_day=213, r5_day=219)
RULES = count_rules()


@pytest.mark.parametrize("day", [190.5, 199.5, 207.5, 216.5])
def test_many_tallies_at_once_are_weighed_as_one_at_a_time(day):
    shift_d = lattice(np.random.default_rng(2).normal(0, 4, 512))
    since_r3_d = day - AT.r3_day - np.linspace(-7, 7, 16)
    tallies = drawn(since_r3_d, (10, 30), AT, RULES, np.random.default_rng(3))
    (found,) = np.log(likelihoods(tallies[None], [day], shift_d, AT, RULES))
    assert found.shape == (2, 16, len(shift_d))
    for row in range(2):
        for visit in range(16):
            tally = Tally(tuple(int(k) for k in tallies[row, visit]))
            expected = log_likelihood([Visit(day=day, seen=tally)], AT, shift_d, RULES)
            one, other = (np.exp(logs - logs.max()) for logs in (found[row, visit], expected))
            assert np.abs(one - other).max() < 0.002


def test_tallies_of_several_days_are_weighed_as_those_of_each_day():
    shift_d = lattice(np.random.default_rng(2).normal(0, 4, 512))
    days = [196.5, 199.5, 207.5]
    tallies = np.stack(
        [
            drawn(day - AT.r3_day - np.linspace(-7, 7, 16), (10, 30), AT, RULES, np.random.default_rng(3))
            for day in days
        ]
    )
    together = likelihoods(tallies, days, shift_d, AT, RULES)
    for place, day in enumerate(days):
        [alone] = likelihoods(tallies[place : place + 1], [day], shift_d, AT, RULES)
        # one table is longer than the other and has its places elsewhere: half digits apart
        assert np.abs(together[place] - alone).max() < 1e-3 * alone.max()


def test_every_plant_is_counted_once_and_the_smaller_count_is_part_of_the_larger():
    tallies = drawn(np.linspace(-20, 20, 50), (10, 20, 40), AT, RULES, np.random.default_rng(1))
    assert tallies.sum(axis=-1).tolist() == [[n] * 50 for n in (10, 20, 40)]
    assert (np.diff(tallies, axis=0) >= 0).all()
    assert (tallies % RULES.design_effect == 0).all()  # plants are alike in pairs


def test_half_of_the_plants_are_at_r3_on_the_day_of_the_place():
    tallies = drawn(np.zeros(4000), (20,), AT, RULES, np.random.default_rng(7))[0]
    past = tallies[:, PLANT_STAGES.index("R3") :].sum(axis=1) / 20
    assert past.mean() == pytest.approx(0.5, abs=0.01)
    # a count alone and its likelihood: posterior means of tallies spread as far as they claim to know
    assert past.std() > np.sqrt(0.25 / 20)  # wider than independent plants of one visit without an error


def test_foretold_counts_have_the_truth_inside_their_intervals():
    truth_d = np.random.default_rng(4).normal(0, 3.8, 1500)
    day = AT.r3_day - 4
    tallies = drawn(day - AT.r3_day - truth_d, (20,), AT, RULES, np.random.default_rng(5))[0]
    shift_d = lattice(truth_d)
    told = likelihoods(tallies[None], [day], shift_d, AT, RULES)[0]
    logs = np.log(told) - (shift_d / 3.8) ** 2 / 2
    below = np.cumsum(np.exp(logs - logs.max(axis=1, keepdims=True)), axis=1)
    below /= below[:, -1:]
    rank = np.array([np.interp(true, shift_d + 0.3, one) for true, one in zip(truth_d, below, strict=True)])
    assert 0.77 < np.mean((rank > 0.1) & (rank < 0.9)) < 0.83


def test_correlations_before_a_count_are_those_of_the_shared_parts():
    places = [
        Place("v", "North", "1", 5.0),
        Place("v", "North", "2", 5.0),
        Place("v", "South", "1", 4.0),
        Place("w", "South", "2", 4.0),
    ]
    sds = np.array([one.sd_d for one in places])
    found = correlations(places, sds, [False] * 4)
    assert found == pytest.approx(covariance(places, places) / np.outer(sds, sds))


def test_by_hand_a_count_takes_away_what_two_places_share():
    # variance 25 each, 21 of it shared. A count of SD 2 at the first: 25 - 25^2/29 = 3.448 is left there,
    # 25 - 21^2/29 = 9.793 at the second, 21 - 21 x 25/29 = 2.897 shared: 2.897 / sqrt(3.448 x 9.793) = 0.498
    places = [Place("v", "North", "1", 5.0), Place("v", "North", "2", 5.0)]
    found = correlations(places, np.sqrt([3.448, 9.793]), [True, False])
    assert found[0, 1] == pytest.approx(0.498, abs=0.002)


def test_correlations_after_counts_fit_what_the_posterior_says_of_every_place():
    places = [Place("v", "North", "1", 5.0), Place("v", "North", "2", 5.0), Place("v", "South", "1", 5.0)]
    logs = np.array([-(((GRID - 2) / 2.5) ** 2) / 2, -(((GRID + 1) / 3) ** 2) / 2])
    told = posterior(places[:2], logs, places, RULES)
    found = correlations(places, np.array([one.sd_d for one in told]), [True, True, False])
    # eq. normal conditional, directly
    prior = covariance(places, places)
    left = np.linalg.inv(np.linalg.inv(prior) + np.diag([1 / 2.5**2, 1 / 9, 0]))
    assert found == pytest.approx(left / np.sqrt(np.outer(np.diag(left), np.diag(left))), abs=0.002)
