"""What the farm's own strips tell of the response: many trials as one observation, and what it moves."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from zoning.evidence import number
from zoning.returns.mixture import exceedance, mean, quantile, sd, update
from zoning.returns.own import moved, observation
from zoning.returns.reasons import source_note
from zoning.returns.response import Place, chain, mixture_for
from zoning.returns.sources import own_trials, pooled, sources
from zoning.settings.learned import LearnedTrial
from zoning.settings.model import Response

CLASSES = ("low", "unknown", "medium", "high", "seen")
YEAR_SD = 1.0  # of the evidence, so that the sums below can be followed


def trial(season, field, mean_bu_ac, se_bu_ac, pressure="unknown", pairs=4):
    return LearnedTrial(
        season=season, field=field, pressure=pressure, mean_bu_ac=mean_bu_ac, se_bu_ac=se_bu_ac, pairs=pairs
    )


def learned(*trials, source="own trials"):
    return Response(source=source).model_copy(update={"learned": tuple(trials)})


ONE_CLASS = st.lists(
    st.builds(trial, st.integers(2015, 2020), st.sampled_from("abcd"), st.floats(-5, 12), st.floats(0.2, 4)),
    min_size=1,
    max_size=8,
    unique_by=lambda one: (one.season, one.field),
)
MANY_CLASSES = st.lists(
    st.builds(
        trial,
        st.integers(2015, 2020),
        st.sampled_from("abcd"),
        st.floats(-5, 12),
        st.floats(0.2, 4),
        st.sampled_from(CLASSES),
    ),
    min_size=1,
    max_size=8,
    unique_by=lambda one: (one.season, one.field, one.pressure),
)


def test_the_year_part_is_what_the_sums_take():
    assert number("returns.own_trials_year_sd_bu_ac") == YEAR_SD


# -- one observation -----------------------------------------------------------------------------------------


def two_steps(trials):
    """By two inverse-variance means, one after the other: of the fields in a season, then of the seasons."""
    seasons = []
    for _, mine in itertools.groupby(sorted(trials, key=lambda one: one.season), key=lambda one: one.season):
        mine = list(mine)
        weight = [1 / one.se_bu_ac**2 for one in mine]
        middle = sum(w * one.mean_bu_ac for w, one in zip(weight, mine, strict=True)) / sum(weight)
        seasons.append((middle, 1 / sum(weight) + YEAR_SD**2))
    weight = [1 / variance for _, variance in seasons]
    middle = sum(w * one for w, (one, _) in zip(weight, seasons, strict=True)) / sum(weight)
    return middle, 1 / sum(weight)


@given(ONE_CLASS)
def test_a_season_counts_once_however_many_fields_tell_of_it(trials):
    seen = observation(trials, "unknown")
    middle, variance = two_steps(trials)
    assert seen.mean_bu_ac == pytest.approx(middle, abs=1e-9)
    assert seen.variance == pytest.approx(variance, rel=1e-9)
    assert (seen.trials, seen.seasons) == (len(trials), len({one.season for one in trials}))
    assert seen.other == 0


def test_by_hand_two_fields_and_two_seasons():
    # 2024: (3/1 + 1/4) / (1 + 1/4) = 2.6, variance 1/1.25 + 1 = 1.8; 2025: 4.0, variance .25 + 1 = 1.25
    # (2.6/1.8 + 4/1.25) / (1/1.8 + 1/1.25) = 4.6444 / 1.3556 = 3.4262; variance 1 / 1.3556 = .7377
    trials = [trial(2024, "a", 3.0, 1.0), trial(2024, "b", 1.0, 2.0), trial(2025, "a", 4.0, 0.5)]
    seen = observation(trials, "unknown")
    assert seen.mean_bu_ac == pytest.approx(3.4262, abs=0.00006)
    assert seen.variance == pytest.approx(0.7377, abs=0.00006)
    # weights .4098 and .5902: sqrt(.4098^2 x .8 + .5902^2 x .25) = .4706
    assert seen.se_bu_ac == pytest.approx(0.4706, abs=0.00006)
    assert (seen.trials, seen.seasons, seen.other) == (3, 2, 0)


@given(st.integers(1, 12), st.floats(0.2, 4), st.floats(-3, 9))
def test_seasons_that_are_equally_sure_are_the_mean_that_was_typed(years, se_bu_ac, middle):
    # n trials of standard error s have a mean of standard error s / sqrt(n): se^2 + year SD^2 / n
    trials = [trial(2000 + year, "a", middle, se_bu_ac) for year in range(years)]
    seen = observation(trials, "unknown")
    of_mean = se_bu_ac / years**0.5
    assert seen.variance == pytest.approx(of_mean**2 + YEAR_SD**2 / years, rel=1e-9)
    assert seen.se_bu_ac == pytest.approx(of_mean, rel=1e-9)
    typed = own_trials(middle, of_mean, years, "unknown")
    ours = moved(pooled("unknown"), trials, "unknown")
    assert mean(ours) == pytest.approx(mean(typed), abs=1e-9)
    assert sd(ours) == pytest.approx(sd(typed), abs=1e-9)


@given(MANY_CLASSES, st.sampled_from(CLASSES), st.randoms(use_true_random=False))
def test_the_order_of_the_entries_is_nothing(trials, pressure, chance):
    shuffled = list(trials)
    chance.shuffle(shuffled)
    assert observation(shuffled, pressure) == observation(trials, pressure)


@given(MANY_CLASSES, st.sampled_from(CLASSES))
def test_one_more_season_never_makes_less_sure(trials, pressure):
    before = observation(trials, pressure)
    for other in CLASSES:
        after = observation([*trials, trial(2021, "a", 3.0, 1.0, other)], pressure)
        assert after.variance <= before.variance * (1 + 1e-9)
    # a tenth of a bushel more in every trial is a tenth more
    more = observation([replace(one, mean_bu_ac=one.mean_bu_ac + 0.1) for one in trials], pressure)
    assert more.mean_bu_ac == pytest.approx(before.mean_bu_ac + 0.1, abs=1e-9)


def test_a_hundred_fields_of_one_season_are_one_season():
    trials = [trial(2024, f"field {number}", 5.0, 1.0) for number in range(100)]
    assert observation(trials, "unknown").variance == pytest.approx(1.0 + 0.01)


def test_trials_that_claim_to_be_all_but_certain_are_still_of_one_season():
    trials = [trial(2024, field, middle, 0.01) for field, middle in (("a", 2.0), ("b", 4.0), ("c", 3.0))]
    seen = observation(trials, "unknown")
    assert seen.mean_bu_ac == pytest.approx(3.0, abs=1e-6)
    assert seen.variance == pytest.approx(1.0, abs=1e-4)


def test_without_a_trial_there_is_nothing_to_tell():
    with pytest.raises(ValueError, match="no trial"):
        observation([], "low")
    assert moved(pooled("low"), [], "low") == pooled("low")


# -- ground of another class ---------------------------------------------------------------------------------


def test_by_hand_clean_ground_says_little_of_ground_with_lesions():
    # low .988, seen 4.54: 3.552 apart; .5 in clean ground is .488 less than expected there, so 4.052 where
    # lesions were seen. The classes' own variances: low .9 x .85 + .09 x 11.24 + .01 x 53 - .988^2 = 1.3305,
    # seen .2 x .85 + .8 x 34.25 - 4.54^2 = 6.9584; half of both 4.1444. So 1 + 1 + 12.6167 + 4.1444 = 18.7611
    clean = [trial(2025, "a", 0.5, 1.0, "low")]
    seen = observation(clean, "seen")
    assert seen.mean_bu_ac == pytest.approx(4.052, abs=1e-9)
    assert seen.variance == pytest.approx(18.7611, abs=0.0001)
    assert seen.se_bu_ac == pytest.approx(4.2144, abs=0.00006)  # of all but the season: sqrt(17.7611)
    assert seen.other == 1
    # part 1: variance .36 + 18.7611, .2 / sqrt(19.1211) exp(-(4.052 - .7)^2 / 38.2422) = .03409
    # part 2: variance 4 + 18.7611, .8 / sqrt(22.7611) exp(-(4.052 - 5.5)^2 / 45.5222) = .16014
    # .1755 of .7 + .36/19.1211 x 3.352 = .7631 and .8245 of 5.5 - 4/22.7611 x 1.448 = 5.2455
    assert mean(moved(pooled("seen"), clean, "seen")) == pytest.approx(4.4587, abs=0.0006)
    # as much in its own class: variance 2, three parts
    assert mean(moved(pooled("low"), clean, "low")) == pytest.approx(mean(update(pooled("low"), 0.5, 2.0)))


@pytest.mark.parametrize(("of", "asked"), [("low", "unknown"), ("unknown", "high"), ("low", "seen")])
def test_another_class_is_believed_better_where_classes_have_half_in_common(of, asked):
    # growers whose one class tells half of the variance of the other: both are draws of their priors, at
    # ranks that have a common part
    rng = np.random.default_rng(12)
    common = rng.normal(size=400)
    rank = norm.cdf([common, 0.5**0.5 * common + 0.5**0.5 * rng.normal(size=400)])
    there, here = quantile(pooled(of), rank[0]), quantile(pooled(asked), rank[1])
    seen = there + rng.normal(0, YEAR_SD, 400) + rng.normal(0, 1.0, 400)
    after = [moved(pooled(asked), [trial(2025, "a", float(x), 1.0, of)], asked) for x in seen]
    ends = np.array([quantile(one, [0.05, 0.95]) for one in after])
    covered = (ends[:, 0] <= here) & (here <= ends[:, 1])
    assert 0.80 < covered.mean() < 0.96
    error = np.array([mean(one) for one in after]) - here
    assert np.sqrt(np.mean(error**2)) < np.sqrt(np.mean((mean(pooled(asked)) - here) ** 2))


@pytest.mark.parametrize("of", CLASSES)
@pytest.mark.parametrize("asked", CLASSES)
def test_a_trial_that_went_as_expected_leaves_other_classes_where_they_are(of, asked):
    as_expected = [trial(2025, "a", mean(pooled(of)), 1.0, of)]
    seen = observation(as_expected, asked)
    assert seen.mean_bu_ac == pytest.approx(mean(pooled(asked)), abs=1e-9)
    assert seen.variance >= 2.0 - 1e-9


def test_many_trials_on_clean_ground_never_outweigh_the_doubt():
    # 12.617 + 4.144 is common to all of them: 40 fields in 10 seasons leave it where it is
    clean = [trial(2010 + year, field, -1.0, 0.8, "low") for year in range(10) for field in "abcd"]
    seen = observation(clean, "seen")
    assert seen.variance > 12.617 + 4.144
    assert mean(moved(pooled("seen"), clean, "seen")) > 3.0 > 2 * mean(moved(pooled("low"), clean, "low"))


def test_trials_in_the_class_itself_count_more():
    clean, lesions = trial(2024, "a", 0.2, 1.0, "low"), trial(2024, "b", 6.5, 1.0, "seen")
    seen = observation([clean, lesions], "seen")
    alone = observation([lesions], "seen")
    assert seen.variance < alone.variance
    assert abs(seen.mean_bu_ac - 6.5) < 0.3
    assert (seen.trials, seen.other) == (2, 1)
    # a field that tells of both classes is one trial, and none of other ground only
    both = observation([clean, replace(lesions, field="a")], "seen")
    assert (both.trials, both.other) == (1, 0)


# -- as a source ---------------------------------------------------------------------------------------------


def test_learned_trials_are_a_source():
    none = Response(source="pooled trials")
    assert "own trials" not in sources(none)
    assert sources(learned(trial(2025, "a", 3.0, 1.0), source="pooled trials"))[-1] == "own trials"
    with pytest.raises(ValueError, match="no own trials"):
        mixture_for("own trials", none, Place(pressure="low"))


@pytest.mark.parametrize("pressure", CLASSES)
def test_a_place_is_moved_as_its_class_is(pressure):
    response = learned(trial(2024, "a", 3.0, 1.0), trial(2025, "b", 5.0, 1.5, "high"))
    place = Place(pressure=pressure)
    expected = moved(pooled(pressure), response.learned, pressure)
    assert mixture_for("own trials", response, place) == expected
    # another cause counts as low, whatever was seen; and so it is moved
    other = mixture_for("own trials", response, Place(pressure=pressure, cause="other"))
    assert other == moved(pooled("low"), response.learned, "low")


def test_what_is_typed_wins_and_holds_for_every_class():
    typed = Response(source="own trials", mean="3.4 bu/ac", se="0.6 bu/ac", trials=14, years=4)
    both = typed.model_copy(update={"learned": (trial(2025, "a", -2.0, 0.5),)})
    for pressure in CLASSES:
        place = Place(pressure=pressure)
        assert chain("own trials", both, place) == chain("own trials", typed, place)
    assert source_note(both, Place(pressure="low")) == source_note(typed, Place(pressure="low"))


def test_a_step_over_classes_rests_on_the_assumption_behind_it():
    response = learned(trial(2025, "a", 3.0, 1.0))
    steps = {one.name: one.evidence for one in chain("own trials", response, Place(pressure="unknown"))}
    assert steps["own_trials"] == ()
    steps = {one.name: one.evidence for one in chain("own trials", response, Place(pressure="high"))}
    assert steps["own_trials"] == ("returns.own_trials_other_class",)


def test_by_hand_the_note_says_what_the_strips_said():
    # 3.4262 with a standard error of .4706, as above. With variance .7377 the parts weigh .1021, .8764 and
    # .0215 and have means 1.5941, 3.3302, 3.9826: .1627 + 2.9187 + .0857 = 3.167
    trials = trial(2024, "a", 3.0, 1.0), trial(2024, "b", 1.0, 2.0), trial(2025, "a", 4.0, 0.5)
    note = source_note(learned(*trials), Place(pressure="unknown"))
    assert note.text == (
        "response from your own strips (learned.toml: 3 trials in 2 seasons, mean 3.4 bu/ac, standard error "
        "0.5): 3.2 bu/ac expected in the middle of R3 where pressure is unknown, 1.6 without them (published "
        "mean 1.64)"
    )
    # 3.4262 x 67.25 = 230 kg/ha, .4706 x 67.25 = 32
    assert (
        "mean 230 kg/ha, standard error 32)"
        in source_note(learned(*trials), Place(pressure="unknown"), metric=True).text
    )
    one = source_note(learned(trials[0]), Place(pressure="high")).text
    assert (
        "1 trial in 1 season, 1 of them in ground of another pressure, carried over to high, mean 4.3" in one
    )


# -- sequentially, against simulated truth -------------------------------------------------------------------


def test_after_five_seasons_the_interval_covers_the_truth_and_the_mean_errs_less():
    # a grower whose response is a draw of the published one; each season has its own part, each trial an SE
    # of 1 bu/ac; 90 % intervals must cover the truth 9 times in 10, give or take what 1,000 growers tell
    rng = np.random.default_rng(41)
    prior = pooled("unknown")
    weight = np.array([part.weight for part in prior.parts])
    which = rng.choice(len(weight), size=1000, p=weight)
    middle = np.array([part.low_bu_ac + part.responding_bu_ac for part in prior.parts])
    spread = np.array([part.sd_bu_ac for part in prior.parts])
    truth = rng.normal(middle[which], spread[which])
    seen = truth[:, None] + rng.normal(0, YEAR_SD, (1000, 5)) + rng.normal(0, 1.0, (1000, 5))
    covered, error, level = [], [], []
    for true_bu_ac, seasons in zip(truth, seen, strict=True):
        trials = [trial(2020 + year, "a", float(x), 1.0) for year, x in enumerate(seasons)]
        after = moved(prior, trials, "unknown")
        low, high = quantile(after, [0.05, 0.95])
        covered.append(low <= true_bu_ac <= high)
        error.append(abs(mean(after) - true_bu_ac))
        level.append(exceedance(after, 2.5))
    assert 0.87 < np.mean(covered) < 0.93
    assert np.mean(error) < 0.6 * np.mean(np.abs(truth - mean(prior)))
    # chances mean what they say: of those about .7 to .9 about so many are right
    told = np.array(level)
    sure = (told > 0.7) & (told < 0.9)
    assert np.mean(truth[sure] > 2.5) == pytest.approx(told[sure].mean(), abs=0.1)


def test_each_season_makes_the_grower_surer_of_the_truth():
    rng = np.random.default_rng(7)
    errors = []
    for _ in range(200):
        seen = 3.0 + rng.normal(0, YEAR_SD, 8) + rng.normal(0, 1.0, 8)
        trials = [trial(2020 + year, "a", float(x), 1.0) for year, x in enumerate(seen)]
        errors.append(
            [abs(mean(moved(pooled("unknown"), trials[:n], "unknown")) - 3.0) for n in (0, 1, 3, 8)]
        )
    by_seasons = np.mean(errors, axis=0)
    assert list(by_seasons) == sorted(by_seasons, reverse=True)
