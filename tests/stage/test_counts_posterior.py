"""What all counts together say: shares by hand, normal algebra, brute force, draws that keep their rank."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from zoning.chance import normals
from zoning.inputs.given import AtOrPast, Tally
from zoning.stage.likelihood import GRID, Expected, Visit, count_rules, log_likelihood
from zoning.stage.posterior import Marginal, Place, covariance, mixed, moved, posterior

AT = Expected(r1_day=192.0, r2_day=195.0, r3_day=205.0, r4_day=213.0, r5_day=219.0)
RULES = replace(count_rules(), floor_d=0.0)
HERE = Place("v", "North", "1", 5.0)
NEIGHBOUR = Place("v", "North", "2", 5.0)
OTHER_FIELD = Place("v", "South", "1", 5.0)
STRANGER = Place("w", "South", "2", 5.0)


def gaussian(mean_d, sd_d):
    return -(((GRID - mean_d) / sd_d) ** 2) / 2


def seen(day, *plants):
    return log_likelihood([Visit(day=day, seen=Tally(plants))], AT, GRID, count_rules())


# -- by hand ------------------------------------------------------------------------------------------------


def test_by_hand_covariances():
    # SD 5 and 4: field and variety .84 x 20 = 16.8, variety .2 x 20 = 4, field alone .64 x 20 = 12.8
    here = Place("v", "North", "1", 5.0)
    others = [Place("v", "North", "2", 4.0), Place("v", "South", "1", 4.0), Place("w", "North", "3", 4.0)]
    assert covariance([here], [here, *others, STRANGER])[0] == pytest.approx([25.0, 16.8, 4.0, 12.8, 0.0])
    assert covariance([], [here]).shape == (0, 1)


def test_by_hand_shares_of_a_density_that_is_not_one_in_all():
    # as high as 4 from 0 to 2 d: 8 in all, a quarter of it below half a day
    flat = Marginal(mean_d=1.0, sd_d=0.577, shift_d=np.linspace(0.0, 2.0, 41), density=np.full(41, 4.0))
    assert flat.quantile(np.array([0.0, 0.25, 0.5, 1.0])) == pytest.approx([0.0, 0.5, 1.0, 2.0])


def test_by_hand_a_count_moves_those_that_share_its_error():
    # prior 5 d, count says 6 +- 2.5 d: 25 / (25 + 6.25) = .8 of 6 = 4.8 d, SD sqrt(25 x .2) = 2.236 d; the
    # neighbour .84 of 4.8, SD sqrt(25 (1 - .84^2 x .8)) = 3.300 d; the other field .2 of 4.8, SD 4.919 d
    told = posterior([HERE], gaussian(6.0, 2.5)[None], [HERE, NEIGHBOUR, OTHER_FIELD, STRANGER], RULES)
    assert [one.mean_d for one in told] == pytest.approx([4.8, 4.032, 0.96, 0.0], abs=1e-6)
    by_hand = [2.23607, 3.29970, 4.91935, 5.0]
    assert [one.sd_d for one in told] == pytest.approx(by_hand, abs=1e-4)


def test_by_hand_nothing_counted_leaves_the_prior():
    (told,) = posterior([], np.zeros((0, len(GRID))), [HERE], RULES)
    assert (told.mean_d, told.sd_d) == (0.0, 5.0)
    flat = posterior([HERE], np.zeros((1, len(GRID))), [HERE, NEIGHBOUR], RULES)
    assert [one.mean_d for one in flat] == pytest.approx([0, 0], abs=1e-6)
    assert [one.sd_d for one in flat] == pytest.approx([5, 5], abs=1e-6)


def test_by_hand_two_likelihoods_of_one_zone_are_one():
    # 1/25 + 1/4 + 1/4 = .54: SD 1.3608 d, mean (2/4 + 4/4) / .54 = 2.7778 d
    twice = np.stack([gaussian(2.0, 2.0), gaussian(4.0, 2.0)])
    (told,) = posterior([HERE, HERE], twice, [HERE], RULES)
    assert (told.mean_d, told.sd_d) == pytest.approx((2.77778, 1.36083), abs=1e-4)


def test_by_hand_the_floor():
    # SD 1 / sqrt(1/25 + 1/.25) = .4975 d is widened to 1.5 d about 2.9703 d
    told, neighbour = posterior([HERE], gaussian(3.0, 0.5)[None], [HERE, NEIGHBOUR], count_rules())
    assert told.sd_d == pytest.approx(1.5)
    assert told.mean_d == pytest.approx(3 * 4 / 4.04, abs=1e-4)
    assert told.quantile(np.array([0.1, 0.9])) == pytest.approx(
        told.mean_d + 1.2816 * np.array([-1.5, 1.5]), abs=0.05
    )
    assert neighbour.sd_d > 1.5


# -- witnesses ----------------------------------------------------------------------------------------------


def test_witness_normal_likelihoods_by_normal_algebra():
    places = [
        HERE,
        NEIGHBOUR,
        Place("v", "North", "3", 5.0),
        OTHER_FIELD,
        STRANGER,
        Place("w", "North", "4", 5.6),
    ]
    said_d, sd_d = np.array([5.0, -1.0, 9.0, 2.0]), np.array([1.5, 2.0, 3.0, 1.0])
    counted, logs = places[:4], np.stack([gaussian(m, s) for m, s in zip(said_d, sd_d, strict=True)])
    told = posterior(counted, logs, places, RULES)
    prior, across = covariance(counted, counted), covariance(places, counted)
    gain = across @ np.linalg.inv(prior + np.diag(sd_d**2))
    left = covariance(places, places) - gain @ across.T
    assert [one.mean_d for one in told] == pytest.approx((gain @ said_d).tolist(), abs=1e-4)
    assert [one.sd_d for one in told] == pytest.approx(np.sqrt(np.diag(left)).tolist(), abs=1e-4)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ((199.0, 0, 3, 16, 1, 0, 0), (199.0, 0, 1, 12, 7, 0, 0)),
        ((198.0, 0, 0, 20, 0, 0, 0), (198.0, 0, 0, 4, 15, 1, 0)),
        ((210.0, 0, 0, 0, 12, 8, 0), (200.0, 2, 10, 8, 0, 0, 0)),
    ],
)
def test_witness_two_zones_by_brute_force(first, second):
    logs = np.stack([seen(*first), seen(*second)])
    told = posterior([HERE, NEIGHBOUR], logs, [HERE, NEIGHBOUR], RULES)
    inverse = np.linalg.inv([[25.0, 21.0], [21.0, 25.0]])
    a, b = GRID[:, None], GRID[None]
    whole = -(inverse[0, 0] * a**2 + 2 * inverse[0, 1] * a * b + inverse[1, 1] * b**2) / 2
    whole = whole + logs[0][:, None] + logs[1]
    joint = np.exp(whole - whole.max())
    for axis, one in zip((1, 0), told, strict=True):
        weight = joint.sum(axis=axis) / joint.sum()
        mean_d = weight @ GRID
        assert one.mean_d == pytest.approx(mean_d, abs=0.02)
        assert one.sd_d == pytest.approx(np.sqrt(weight @ (GRID - mean_d) ** 2), abs=0.02)


def test_witness_one_place_is_exact_on_the_grid():
    logs = seen(200.0, 0, 2, 15, 3, 0, 0)
    (told,) = posterior([HERE], logs[None], [HERE], RULES)
    weight = np.exp(logs - logs.max() - GRID**2 / 50)
    weight /= weight.sum()
    assert told.mean_d == pytest.approx(weight @ GRID, abs=1e-6)
    assert told.density * 0.2 == pytest.approx(weight, abs=1e-6)


def test_witness_quantiles_of_a_normal():
    from scipy.special import ndtri

    (told,) = posterior([], np.zeros((0, len(GRID))), [HERE], RULES)
    p = np.array([[0.001, 0.1, 0.5], [0.6, 0.9, 0.999]])
    assert told.quantile(p) == pytest.approx(5 * ndtri(p), abs=0.005)


# -- many, and at odds --------------------------------------------------------------------------------------


def test_sixty_zones_of_two_fields_settle_whatever_their_order():
    chance = np.random.default_rng(1)
    places = [Place("v", ("North", "South")[at % 2], str(at), 5.0) for at in range(60)]
    logs = np.stack([gaussian(m, 2.0) for m in chance.normal(0, 12, 60)])
    logs[::3] = [seen(196.0 + at % 9, 0, 1, 12, 7, 0, 0) for at in range(20)]
    told = posterior(places, logs, places, RULES)
    order = chance.permutation(60)
    again = posterior([places[at] for at in order], logs[order], places, RULES)
    assert np.allclose([one.mean_d for one in told], [one.mean_d for one in again], atol=1e-4)
    assert np.allclose([one.sd_d for one in told], [one.sd_d for one in again], atol=1e-4)


def test_zones_that_contradict_each_other_by_forty_days_keep_their_own():
    told = posterior(
        [HERE, NEIGHBOUR], np.stack([gaussian(20, 1.0), gaussian(-20, 1.0)]), [HERE, NEIGHBOUR], RULES
    )
    assert told[0].mean_d == pytest.approx(-told[1].mean_d, abs=1e-6)
    assert told[0].mean_d > 10


def test_the_calls_repeat():
    logs = np.stack([seen(199.0, 0, 3, 16, 1, 0, 0), seen(201.0, 0, 1, 12, 7, 0, 0)])
    one, again = (posterior([HERE, OTHER_FIELD], logs, [NEIGHBOUR], RULES)[0] for _ in range(2))
    assert (one.density == again.density).all()


# -- two ages -----------------------------------------------------------------------------------------------


def test_by_hand_two_ages_are_a_mixture():
    # ages at -4 and +8 d with SD 1 d: 25/26 of each; .75 and .25 of them
    told = mixed([], np.zeros((0, len(GRID))), HERE, (gaussian(-4, 1.0), gaussian(8, 1.0), 0.75), RULES)
    assert told.mean_d == pytest.approx((0.75 * -4 + 0.25 * 8) * 25 / 26, abs=1e-4)
    between = told.density[np.abs(GRID - 2).argmin()]
    assert between < told.density.max() / 100
    assert told.quantile(np.array([0.75]))[0] == pytest.approx(2.0, abs=3.0)
    low, high = told.quantile(np.array([0.74, 0.76]))
    assert low < 0 < 4 < high


def test_two_ages_hear_their_neighbours():
    ages = (gaussian(-4, 3.0), gaussian(8, 3.0), 0.5)
    alone = mixed([], np.zeros((0, len(GRID))), HERE, ages, RULES)
    beside = mixed([NEIGHBOUR], gaussian(8, 1.0)[None], HERE, ages, RULES)
    assert beside.mean_d > alone.mean_d + 1


# -- draws --------------------------------------------------------------------------------------------------


@settings(max_examples=25, deadline=None)
@given(day=st.floats(192, 215), k=st.integers(0, 20), seed=st.integers(0, 99))
def test_moved_draws_keep_their_rank_and_have_the_marginals_mean_and_sd(day, k, seed):
    rules = count_rules()
    logs = log_likelihood([Visit(day=day, seen=AtOrPast("R3", k, 20))], AT, GRID, rules)
    before_d = 5 * normals(seed, 512, "shift")
    for told in posterior([HERE], logs[None], [HERE, NEIGHBOUR, OTHER_FIELD], rules):
        after_d = moved(before_d, 5.0, told)
        assert (np.argsort(after_d, kind="stable") == np.argsort(before_d, kind="stable")).all()
        assert after_d.mean() == pytest.approx(told.mean_d, abs=0.02)
        assert after_d.std() == pytest.approx(told.sd_d, abs=0.02)


def test_draws_stay_as_they_are_where_nothing_is_known():
    before_d = 5 * normals(2, 512, "shift")
    told = posterior([HERE], gaussian(4.0, 1.0)[None], [STRANGER], count_rules())[0]
    assert (moved(before_d, 5.0, told) == before_d).all()


def test_moved_draws_do_not_change_what_came_in_and_one_draw_is_the_mean():
    before_d = 5 * normals(2, 64, "shift")
    kept = before_d.copy()
    (told,) = posterior([HERE], gaussian(4.0, 1.0)[None], [HERE], RULES)
    moved(before_d, 5.0, told)
    assert (before_d == kept).all()
    assert moved(np.array([0.3]), 5.0, told) == pytest.approx([told.mean_d])


@settings(max_examples=15, deadline=None)
@given(k=st.integers(0, 19), day=st.floats(195, 212))
def test_more_plants_at_r3_never_move_a_neighbour_later(k, day):
    logs = [
        log_likelihood([Visit(day=day, seen=AtOrPast("R3", plants, 20))], AT, GRID, RULES)
        for plants in (k, k + 1)
    ]
    fewer, more = (posterior([HERE], one[None], [NEIGHBOUR], RULES)[0] for one in logs)
    assert more.mean_d <= fewer.mean_d + 1e-6


@pytest.mark.parametrize("draws", [3, 16, 512])
def test_a_few_draws_have_the_marginals_sd_exactly(draws):
    """The mid-points of a few ranks alone would be too narrow."""
    (known,) = posterior([HERE], gaussian(4, 1)[None], [HERE], count_rules())
    after = moved(np.linspace(-5, 5, draws), HERE.sd_d, known)
    assert after.mean() == pytest.approx(known.mean_d, abs=1e-9)
    assert after.std() == pytest.approx(known.sd_d, rel=1e-9)


def test_by_hand_a_count_that_the_model_expected_narrows_its_neighbours():
    """It moves no mean: 25 - (.84 x 25)^2 / (25 + 1) = 8.04 is what is left of the neighbour's variance."""
    (other,) = posterior([HERE], gaussian(0, 1)[None], [NEIGHBOUR], RULES)
    assert other.mean_d == pytest.approx(0, abs=1e-6)
    assert other.sd_d == pytest.approx(8.04**0.5, abs=0.005)


def test_a_place_with_two_possible_days_makes_no_other_place_less_sure():
    """A two-peaked likelihood is wider than its cavity: it may not count as less than no information."""
    two = np.logaddexp(-((GRID + 9) ** 2) / 2, -((GRID - 9) ** 2) / 2)
    (other,) = posterior([HERE], two[None], [NEIGHBOUR], RULES)
    assert other.sd_d <= NEIGHBOUR.sd_d + 1e-6
