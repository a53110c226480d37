"""What a visit says of a place: by hand, against an independent script, and which way it must go."""

import subprocess
import sys
from dataclasses import replace
from math import comb, erf, log, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from zoning.chance import normals
from zoning.evidence import number
from zoning.inputs.given import AtOrPast, PodLength, StagedNote, Tally
from zoning.stage.likelihood import GRID, CountRules, Expected, Visit, count_rules, grid, log_likelihood
from zoning.stage.posterior import Place, moved, posterior

AT = Expected(r1_day=192.0, r2_day=195.0, r3_day=205.0, r4_day=213.0, r5_day=219.0)
PLAIN = CountRules(plant_sd_d=3.0, design_effect=1.0, staging_sd_d=0.0, floor_d=0.0, spread_factor=0.0)


def phi(z: float) -> float:
    return (1 + erf(z / sqrt(2))) / 2


def moments(logs, sd_d=5.0):
    weight = np.exp(logs - logs.max() - (GRID / sd_d) ** 2 / 2)
    weight /= weight.sum()
    mean_d = weight @ GRID
    return mean_d, np.sqrt(weight @ (GRID - mean_d) ** 2)


# -- by hand ------------------------------------------------------------------------------------------------


def test_by_hand_the_usual_rules():
    rules = count_rules()
    assert (rules.plant_sd_d, rules.design_effect, rules.staging_sd_d) == (3.0, 2.0, 1.0)
    assert (rules.floor_d, rules.spread_factor) == (1.5, 1)


def test_by_hand_the_grid_holds_a_contradiction_of_thirty_days():
    assert (grid() == GRID).all()
    assert np.allclose(np.diff(GRID), 0.2)
    assert GRID[0] <= -40
    assert GRID[-1] >= 40
    assert 0.0 in GRID


def test_by_hand_k_of_n_at_or_past_r3():
    # day 203, place's R3 at 205 + x: share Phi((203 - 205 - x) / 3); binomial
    logs = log_likelihood([Visit(day=203.0, seen=AtOrPast("R3", 4, 20))], AT, GRID, PLAIN)
    at = [np.abs(GRID - x).argmin() for x in (-6.0, 0.0, 5.0)]
    by_hand = [
        log(comb(20, 4) * phi(z) ** 4 * phi(-z) ** 16) for z in ((-2 + 6) / 3, (-2 - 0) / 3, (-2 - 5) / 3)
    ]
    assert np.diff(logs[at]) == pytest.approx(np.diff(by_hand), abs=1e-6)


def test_by_hand_a_tally_of_all_stages():
    # the place's stages begin on day 192, 195, 205, 213, 219 + x; day 206, x = 1: R3 at Phi(0)
    tally = Visit(day=206.0, seen=Tally((0, 0, 9, 10, 1, 0)))
    logs = log_likelihood([tally], AT, np.array([1.0, 4.0]), PLAIN)

    def by_hand(x):
        r2, r3, r4, r5 = ((206 - begin - x) / 3 for begin in (195, 205, 213, 219))
        return 9 * log(phi(r2) - phi(r3)) + 10 * log(phi(r3) - phi(r4)) + log(phi(r4) - phi(r5))

    assert logs[0] - logs[1] == pytest.approx(by_hand(1) - by_hand(4), abs=0.02)  # intervals to 0.05 d


def test_by_hand_alike_plants_count_less():
    visit = [Visit(day=203.0, seen=Tally((0, 2, 10, 6, 2, 0)))]
    twice = [Visit(day=203.0, seen=Tally((0, 4, 20, 12, 4, 0)))]
    doubled = log_likelihood(twice, AT, GRID, replace(PLAIN, design_effect=2.0))
    assert doubled == pytest.approx(log_likelihood(visit, AT, GRID, PLAIN), abs=1e-9)


def test_by_hand_a_staging_error_widens_the_plants():
    # one plant of SD 3 d and a staging error of SD 4 d: Phi of an SD of 5 d
    rules = replace(PLAIN, staging_sd_d=4.0)
    logs = log_likelihood(
        [Visit(day=205.0, seen=AtOrPast("R3", 1, 1))], AT, np.array([-5.0, 0.0, 5.0]), rules
    )
    by_hand = [log(phi(1)), log(phi(0)), log(phi(-1))]
    assert np.diff(logs) == pytest.approx(np.diff(by_hand), abs=2e-3)


def test_by_hand_an_interval_deviation_widens_the_plants():
    # R2 begins 10 d before R3, SD 2.5 d (a quarter of 5 to 15): one plant at R2 on day 195 + z sqrt(9 + 6.25)
    rules = replace(PLAIN, spread_factor=1.0)
    wide = sqrt(3**2 + 2.5**2)
    logs = log_likelihood(
        [Visit(day=195.0, seen=AtOrPast("R2", 1, 1))], AT, np.array([-wide, 0.0, wide]), rules
    )
    by_hand = [log(phi(1)), log(phi(0)), log(phi(-1))]
    assert np.diff(logs) == pytest.approx(np.diff(by_hand), abs=0.01)


def test_by_hand_the_longest_pod():
    # 11.5625 mm: (11.5625 - 4.7625) / 1.7 = 4 d since R3; on day 212 that is R3 at 208, SD 3 d
    logs = log_likelihood([Visit(day=212.0, seen=PodLength(11.5625))], AT, GRID, PLAIN)
    assert GRID[logs.argmax()] == pytest.approx(3.0)
    assert logs[GRID.searchsorted(6.0)] - logs.max() == pytest.approx(-0.5, abs=0.04)
    assert moments(logs, sd_d=4.0)[1] == pytest.approx(1 / sqrt(1 / 9 + 1 / 16), abs=0.01)


@pytest.mark.parametrize(("longest_mm", "way"), [(0.0, 1), (19.05, -1), (40.0, -1)])
def test_no_pod_or_a_full_one_tells_one_side_only(longest_mm, way):
    logs = log_likelihood([Visit(day=205.0, seen=PodLength(longest_mm))], AT, GRID, count_rules())
    assert (way * np.diff(logs) >= -1e-9).all()
    assert logs[::-way][0] == pytest.approx(logs.max(), abs=1e-6)


def test_by_hand_a_note_is_two_plants_at_that_stage():
    note = log_likelihood([Visit(day=208.0, seen=StagedNote("R3"))], AT, GRID, count_rules())
    two = log_likelihood([Visit(day=208.0, seen=Tally((0, 0, 0, 2, 0, 0)))], AT, GRID, count_rules())
    assert note == pytest.approx(two, abs=1e-12)


def test_nothing_seen_tells_nothing():
    assert (log_likelihood([], AT, GRID, count_rules()) == 0).all()
    none = log_likelihood([Visit(day=208.0, seen=Tally((0,) * 6))], AT, GRID, count_rules())
    assert np.ptp(none) == pytest.approx(0, abs=1e-9)


# -- witnesses ----------------------------------------------------------------------------------------------

# Computed by an independent script: binomial likelihood on a grid of 0.1 d, prior R3 N(205, 4.8), to 0.1 d.
TABLE = {
    ((198, 0),): {2: (207.0, 3.6), 3: (207.9, 3.3), 4: (208.8, 3.2)},
    ((200, 4),): {2: (201.8, 0.6), 3: (202.7, 1.0), 4: (203.6, 1.3)},
    ((200, 10),): {2: (200.1, 0.6), 3: (200.2, 0.8), 4: (200.3, 1.1)},
    ((200, 4), (203, 12)): {2: (202.2, 0.4), 3: (202.4, 0.6), 4: (202.7, 0.8)},
}


@pytest.mark.parametrize("plant_sd_d", [2, 3, 4])
@pytest.mark.parametrize("counts", TABLE)
def test_witness_counts_of_twenty_plants(counts, plant_sd_d):
    rules = replace(PLAIN, plant_sd_d=float(plant_sd_d), spread_factor=1.0)
    visits = [Visit(day=float(day), seen=AtOrPast("R3", k, 20)) for day, k in counts]
    here = Place("v", "North", "1", 4.8)
    (told,) = posterior([here], log_likelihood(visits, AT, GRID, rules)[None], [here], rules)
    mean_day, sd_d = TABLE[counts][plant_sd_d]
    assert told.mean_d + AT.r3_day == pytest.approx(mean_day, abs=0.1)
    assert told.sd_d == pytest.approx(sd_d, abs=0.1)
    draws_d = moved(4.8 * normals(3, 512, "shift"), 4.8, told)
    assert draws_d.mean() + AT.r3_day == pytest.approx(mean_day, abs=0.15)
    assert draws_d.std() == pytest.approx(sd_d, abs=0.15)


def test_witness_two_visits_by_plain_simulation():
    # interval deviations shared, staging errors not: averaged over 20,000 random sets
    rules = replace(count_rules(), design_effect=2.0)
    visits = [
        Visit(day=196.0, seen=Tally((1, 9, 10, 0, 0, 0))),
        Visit(day=204.0, seen=Tally((0, 0, 13, 7, 0, 0))),
    ]
    chance = np.random.default_rng(4)
    sets = 20_000
    n2, n1, n3 = chance.standard_normal((3, sets, 1))
    shift_d = GRID[np.abs(GRID) <= 12][::5]
    r3 = 205 + shift_d
    r2 = r3 - np.maximum(10 + 2.5 * n2, 0.5)
    begins = [r2 - np.maximum(3 + 1.5 * n1, 0.5), r2, r3 + 0 * n1, r3 + np.clip(8 + 2.5 * n3, 5, 15)]
    from scipy.special import ndtr

    whole = np.ones((sets, len(shift_d)))
    for visit in visits:
        w = chance.standard_normal((sets, 1))
        past = [np.ones_like(whole), *(ndtr((visit.day + w - begin) / 3) for begin in begins)]
        for at in range(4):
            whole *= np.maximum(past[at] - past[at + 1], 1e-12) ** (visit.seen.plants[at] / 2)
    truth = whole.mean(axis=0) * np.exp(-((shift_d / 5) ** 2) / 2)
    ours = np.exp(log_likelihood(visits, AT, shift_d, rules) - (shift_d / 5) ** 2 / 2)

    def mean_and_sd(weight):
        mean_d = (weight * shift_d).sum() / weight.sum()
        return mean_d, sqrt((weight * (shift_d - mean_d) ** 2).sum() / weight.sum())

    assert mean_and_sd(ours) == pytest.approx(mean_and_sd(truth), abs=0.15)


# -- properties ---------------------------------------------------------------------------------------------

days = st.floats(190, 220)


@settings(max_examples=40, deadline=None)
@given(day=days, n=st.integers(1, 60), data=st.data())
def test_more_plants_at_r3_never_give_a_later_r3(day, n, data):
    k = data.draw(st.integers(0, n - 1))
    fewer, more = (
        moments(log_likelihood([Visit(day=day, seen=AtOrPast("R3", plants, n))], AT, GRID, count_rules()))
        for plants in (k, k + 1)
    )
    assert more[0] <= fewer[0] + 1e-9


def with_one_further_on(at, rest):
    """All plants at one stage, and the same with one of them a stage further on."""
    plants = [0] * 6
    plants[at] = rest + 1
    on = [*plants]
    on[at], on[at + 1] = rest, 1
    return tuple(plants), tuple(on)


def later_d(day, plants, rules):
    return moments(log_likelihood([Visit(day=day, seen=Tally(plants))], AT, GRID, rules))[0]


@settings(max_examples=40, deadline=None)
@given(day=days, at=st.integers(0, 4), rest=st.integers(1, 20))
def test_a_plant_further_on_never_gives_a_later_r3_between_known_intervals(day, at, rest):
    rules = replace(count_rules(), spread_factor=0.0)
    before, after = (later_d(day, plants, rules) for plants in with_one_further_on(at, rest))
    assert after <= before + 1e-9


@settings(max_examples=40, deadline=None)
@given(day=days, r3=st.integers(0, 19))
def test_a_plant_that_comes_to_r3_never_gives_a_later_r3(day, r3):
    before, after = (
        later_d(day, (0, 0, 20 - plants, plants, 0, 0), count_rules()) for plants in (r3, r3 + 1)
    )
    assert after <= before + 1e-9


@settings(max_examples=20, deadline=None)
@given(order=st.permutations(range(4)))
def test_the_order_of_visits_does_not_matter(order):
    visits = [
        Visit(day=199.0, seen=Tally((0, 3, 15, 2, 0, 0))),
        Visit(day=203.0, seen=AtOrPast("R2", 19, 20)),
        Visit(day=206.0, seen=PodLength(7.0)),
        Visit(day=208.5, seen=StagedNote("R3")),
    ]
    one = log_likelihood(visits, AT, GRID, count_rules())
    other = log_likelihood([visits[at] for at in order], AT, GRID, count_rules())
    assert np.exp(other - other.max()) == pytest.approx(np.exp(one - one.max()), abs=1e-9)


def test_a_later_day_of_the_same_sight_is_a_later_place():
    early, late = (
        log_likelihood([Visit(day=day, seen=Tally((0, 1, 12, 7, 0, 0)))], AT, GRID, count_rules())
        for day in (203.0, 207.0)
    )
    steps = round(4 / 0.2)
    assert late[steps:] == pytest.approx(early[:-steps], abs=1e-6)


@pytest.mark.parametrize("day", [175.0, 235.0])
def test_a_count_that_contradicts_by_thirty_days_is_used(day):
    # all plants at R3 thirty days before or after the model's R3
    visits = [Visit(day=day, seen=Tally((0, 0, 3, 14, 3, 0)))]
    logs = log_likelihood(visits, AT, GRID, count_rules())
    assert np.isfinite(logs).all()
    assert abs(GRID[logs.argmax()] - (day - 205)) < 6
    assert np.sign(day - 205) * moments(logs)[0] > 15


def test_other_shapes_of_shifts_get_their_own():
    visits = [Visit(day=203.0, seen=Tally((0, 0, 12, 8, 0, 0)))]
    whole = log_likelihood(visits, AT, GRID, count_rules())
    some = np.array([[-3.0, 0.2], [1.4, 7.0]])
    at = np.abs(GRID - some[..., None]).argmin(axis=-1)
    own = log_likelihood(visits, AT, some, count_rules())
    assert own.shape == (2, 2)
    assert own == pytest.approx(whole[at], abs=1e-6)


def test_a_bigger_tally_keeps_its_logarithm():
    logs = log_likelihood([Visit(day=203.0, seen=Tally((0, 0, 700, 300, 0, 0)))], AT, GRID, count_rules())
    assert np.isfinite(logs).all()
    assert abs(GRID[logs.argmax()]) < 3


def test_shorter_than_the_shortest_interval_is_held_apart():
    close = replace(AT, r2_day=192.0, r1_day=192.0)
    logs = log_likelihood([Visit(day=192.0, seen=Tally((10, 5, 5, 0, 0, 0)))], close, GRID, PLAIN)
    assert np.isfinite(logs).all()
    assert number("stage.shortest_interval_d") == 0.5


def test_scipy_is_imported_late():
    code = "import sys, zoning.stage.two_peaks, zoning.stage.posterior; sys.exit('scipy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_by_hand_exp_of_the_prior_alone_is_the_prior():
    assert moments(np.zeros_like(GRID)) == pytest.approx((0.0, 5.0), abs=1e-6)


def test_a_pod_longer_than_at_r4_says_no_more_than_one_at_r4():
    r4_mm = number("stage.r4_pod_mm")
    told = [
        log_likelihood([Visit(day=207.0, seen=PodLength(mm))], AT, GRID, count_rules()) for mm in (r4_mm, 60)
    ]
    assert told[0] == pytest.approx(told[1])


def test_a_long_way_from_r3_to_r4_is_held_in_the_printed_range():
    """The range is 5-15 d: a model that gives 30 d between R3 and R4 moves R4 no further than 15."""
    long, longer = (
        Expected(r1_day=192, r2_day=195, r3_day=205, r4_day=205 + d, r5_day=241 + d) for d in (40, 60)
    )
    rules = replace(count_rules(), spread_factor=0)
    seen = Visit(day=215.0, seen=AtOrPast("R4", 10, 20))
    told = [log_likelihood([seen], at, GRID, rules) for at in (long, longer)]
    assert told[0] == pytest.approx(told[1])
    # R4 is 15 d after R3, and half of the plants are there on day 215: R3 was on day 200
    assert GRID[np.argmax(told[0])] == pytest.approx(-5, abs=0.11)
