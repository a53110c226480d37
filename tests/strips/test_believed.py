"""What is believed after a harvest: entries for learned.toml, and each class before and after them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from zoning.returns.mixture import exceedance, mean
from zoning.returns.response import Place, mixture_for
from zoning.returns.sources import pooled
from zoning.settings.learned import LearnedTrial, as_text, parse
from zoning.settings.model import Response as Settings
from zoning.strips.answer.response import response as response_of
from zoning.strips.learned.believed import beliefs, density, trial_of
from zoning.strips.terms import Money, Paired, PairSeen, ZonePart
from zoning.words import Said

CLASSES = ("low", "unknown", "medium", "high", "seen")
MONEY = Money(price_usd_bu=10.0, cost_usd_ac=25.0, tracks_bu_ac=0.0)  # breaks even at 2.5 bu/ac


def trial(season, mean_bu_ac, se_bu_ac, pressure="unknown", field="a"):
    return LearnedTrial(
        season=season, field=field, pressure=pressure, mean_bu_ac=mean_bu_ac, se_bu_ac=se_bu_ac, pairs=4
    )


def part(pair, zone, difference_bu_ac, length_m=100.0):
    return ZonePart(
        pair=pair,
        zone=zone,
        length_m=length_m,
        points=int(length_m),
        treated_bu_ac=50.0 + difference_bu_ac,
        untreated_bu_ac=50.0,
    )


def paired(*parts, failed=()):
    """Pairs of these parts, as means over their lengths."""
    pairs = []
    for number in sorted({one.pair for one in parts}):
        mine = [one for one in parts if one.pair == number]
        length_m = [one.length_m for one in mine]
        pairs.append(
            PairSeen(
                pair=number,
                length_m=sum(length_m),
                points=sum(one.points for one in mine),
                treated_bu_ac=float(np.average([one.treated_bu_ac for one in mine], weights=length_m)),
                untreated_bu_ac=50.0,
                moisture_difference_frac=float("nan"),
                why_not=Said("learned.beyond") if number in failed else None,
            )
        )
    return Paired(strips=(), pairs=tuple(pairs), parts=tuple(parts))


def learn(pairs, pressure_of):
    response = response_of(pairs.counted, None)
    return trial_of(response, pairs, pressure_of, season=2026, field="north")


# -- entries -------------------------------------------------------------------------------------------------


def test_by_hand_strips_through_two_classes_are_two_entries():
    # pairs of 1, 2, 0, 3: mean 1.5, s^2 = 5/3; with the pooled SD (20 x 3.5^2 + 3 x 5/3) / 23 = 250/23,
    # SE = sqrt(250/23 / 4) = 1.6485; four more in the other class
    differences = [(1, 5), (2, 6), (0, 4), (3, 7)]
    pairs = paired(
        *(
            part(number, zone, differences[number - 1][zone - 1], 100.0 / zone)
            for number in (1, 2, 3, 4)
            for zone in (1, 2)
        )
    )
    trials, notes = learn(pairs, {1: "unknown", 2: "seen"})
    assert notes == ()
    assert [(one.pressure, one.mean_bu_ac, one.pairs) for one in trials] == [
        ("seen", 5.5, 4),
        ("unknown", 1.5, 4),
    ]
    assert [one.se_bu_ac for one in trials] == pytest.approx([1.6485] * 2, abs=0.00006)
    assert {(one.season, one.field) for one in trials} == {(2026, "north")}


def test_by_hand_zones_of_one_class_are_weighed_by_length():
    # pair 1: (100 x 1 + 300 x 3) / 400 = 2.5; pair 2: (100 x 2 + 100 x 4) / 200 = 3
    here = [part(1, 1, 1.0, 100), part(1, 2, 3.0, 300), part(2, 1, 2.0, 100), part(2, 2, 4.0, 100)]
    there = [part(1, 3, 0.0), part(2, 3, 0.2)]
    trials, _ = learn(paired(*here, *there), {1: "high", 2: "high", 3: "low"})
    assert {one.pressure: one.mean_bu_ac for one in trials} == {"high": 2.75, "low": 0.1}


def test_ground_of_one_class_is_the_field_s_own_response():
    pairs = paired(part(1, 1, 1.0), part(2, 1, 4.0), part(3, 2, 2.5))
    response = response_of(pairs.counted, None)
    (one,), notes = learn(pairs, {1: "medium", 2: "medium"})
    assert notes == ()
    assert (one.pressure, one.pairs) == ("medium", 3)
    assert one.mean_bu_ac == pytest.approx(response.mean_bu_ac, abs=1e-4)
    assert one.se_bu_ac == pytest.approx(response.se_to_learn_bu_ac, abs=1e-4)
    # zones that no plan names were planned as unknown
    assert learn(pairs, {})[0][0].pressure == "unknown"


def test_a_class_with_one_pair_is_taken_with_the_rest_and_it_is_said():
    pairs = paired(part(1, 1, 1.0), part(2, 1, 4.0), part(3, 2, 2.5, 150.0))
    (one,), (note,) = learn(pairs, {1: "low", 2: "seen"})
    assert (one.pressure, one.pairs) == ("low", 3)  # 200 m against 150 m
    assert note.code == "learned.one_class"
    assert "not each with 2 pairs: all of it is learned as pressure low" in note.text
    longer = paired(part(1, 1, 1.0), part(2, 1, 4.0), part(3, 2, 2.5, 250.0))
    assert learn(longer, {1: "low", 2: "seen"})[0][0].pressure == "seen"


def test_a_short_end_in_another_class_makes_no_class():
    # 20 m is less than a pair needs to count at all
    pairs = paired(part(1, 1, 1.0), part(1, 2, 9.0, 20.0), part(2, 1, 4.0), part(2, 2, 9.0, 20.0))
    (one,), notes = learn(pairs, {1: "low", 2: "seen"})
    assert (one.pressure, notes) == ("low", ())


def test_pairs_that_do_not_count_teach_nothing():
    parts = [part(1, 1, 1.0), part(2, 1, 2.0), part(3, 2, 9.0, 900.0), part(4, 2, 9.0, 900.0)]
    (one,), notes = learn(paired(*parts, failed=(3, 4)), {1: "low", 2: "seen"})
    assert (one.pressure, one.mean_bu_ac, one.pairs, notes) == ("low", 1.5, 2, ())


def test_figures_beyond_every_response_are_not_learned_and_it_is_said():
    trials, (note,) = learn(paired(part(1, 1, 33.0), part(2, 1, 35.0)), {})
    assert (trials, note.code) == ((), "learned.beyond")


@given(
    st.lists(
        st.tuples(st.integers(1, 5), st.integers(1, 4), st.floats(-5, 9), st.floats(1, 400)),
        min_size=1,
        max_size=16,
        unique_by=lambda one: one[:2],
    ),
    st.lists(st.sampled_from(CLASSES), min_size=4, max_size=4),
)
def test_whatever_is_learned_can_be_written_and_read(parts, classes):
    pairs = paired(*(part(*one) for one in parts))
    trials, _ = learn(pairs, dict(enumerate(classes, start=1)))
    assert 1 <= len(trials) <= len(set(classes))
    assert len(parse(as_text(trials))) == len(trials)
    assert set(parse(as_text(trials))) == set(trials)
    lowest, highest = min(one[2] for one in parts), max(one[2] for one in parts)
    assert all(lowest - 1e-3 <= one.mean_bu_ac <= highest + 1e-3 for one in trials)


# -- beliefs -------------------------------------------------------------------------------------------------


def test_by_hand_one_season_of_four_bushels():
    # data: 4.0 with SD sqrt(1 + 1) = 1.4142. Parts .7, 3.2, 7 (SD .6, 1, 2; weights .70, .26, .04), v = 2:
    # .7 / sqrt(2.36) exp(-3.3^2 / 4.72) = .04536, .26 / sqrt(3) exp(-.8^2 / 6) = .13492,
    # .04 / sqrt(6) exp(-3^2 / 12) = .00771; weights .2413, .7177, .0410
    # means .7 + .36/2.36 x 3.3 = 1.2034, 3.2 + .8/3 = 3.4667, 7 - 4/6 x 3 = 5
    # mean .2903 + 2.4880 + .2052 = 2.9835
    (one,) = beliefs([trial(2026, 4.0, 1.0)], 2026, MONEY, ["unknown"])
    assert (one.data_mean_bu_ac, one.data_sd_bu_ac) == pytest.approx((4.0, 2**0.5))
    assert [part.weight for part in one.after.parts] == pytest.approx([0.2413, 0.7177, 0.0410], abs=0.00006)
    assert one.after_mean_bu_ac == pytest.approx(2.9835, abs=0.0001)
    assert one.before_mean_bu_ac == pytest.approx(1.602)
    # .70 P(N(.7, .6) > 2.5) + .26 P(N(3.2, 1) > 2.5) + .04 P(N(7, 2) > 2.5) = .0009 + .1971 + .0395
    assert one.chance_before == pytest.approx(0.2375, abs=0.0001)
    assert one.chance_after == pytest.approx(exceedance(one.after, 2.5))
    assert one.chance_after > one.chance_before


@pytest.mark.parametrize("pressure", CLASSES)
def test_what_is_believed_is_what_the_next_plan_takes(pressure):
    trials = (trial(2024, 3.0, 1.2, "low"), trial(2025, 5.0, 1.5, "seen"), trial(2026, 2.0, 1.0))
    (one,) = beliefs(trials, 2026, None, [pressure])
    settings = Settings(source="own trials").model_copy(update={"learned": trials})
    assert one.after == mixture_for("own trials", settings, Place(pressure=pressure))
    assert one.before == pooled(pressure)
    assert one.pressure == pressure
    assert one.chance_before is one.chance_after is None


def test_later_seasons_are_not_known_yet():
    now, later = trial(2026, 3.0, 1.0), trial(2027, -3.0, 0.5)
    (one,) = beliefs([now, later], 2026, None, ["low"])
    assert one.after_mean_bu_ac == beliefs([now], 2026, None, ["low"])[0].after_mean_bu_ac
    assert beliefs([later], 2026, None, ["low"]) == ()
    assert beliefs([], 2026, None, CLASSES) == ()


def test_each_class_is_told_once_in_the_order_that_is_asked():
    told = beliefs([trial(2026, 3.0, 1.0)], 2026, None, ["seen", "low", "seen"])
    assert [one.pressure for one in told] == ["seen", "low"]


@given(
    st.lists(
        st.builds(
            trial, st.integers(2020, 2026), st.floats(-6, 14), st.floats(0.3, 4), st.sampled_from(CLASSES)
        ),
        min_size=1,
        max_size=5,
        unique_by=lambda one: (one.season, one.pressure),
    ),
    st.sampled_from(CLASSES),
)
def test_the_curves_hold_what_they_show(trials, pressure):
    (one,) = beliefs(trials, 2026, MONEY, [pressure])
    at = one.response_bu_ac
    step = at[1] - at[0]
    assert np.allclose(np.diff(at), step)
    for curve, middle in (
        (one.before_density, one.before_mean_bu_ac),
        (one.after_density, one.after_mean_bu_ac),
    ):
        assert curve.shape == at.shape
        assert (curve >= 0).all()
        # nearly all of it is in the picture, and about its mean
        assert curve.sum() * step == pytest.approx(1.0, abs=0.01)
        assert (curve * at).sum() * step == pytest.approx(middle, abs=0.1)
    assert at[0] <= one.data_mean_bu_ac <= at[-1]
    witness = norm.pdf(at, one.data_mean_bu_ac, one.data_sd_bu_ac)
    assert one.data_density == pytest.approx(witness, abs=1e-12)


def test_the_density_of_a_mixture_is_that_of_its_parts():
    # .7 N(0; .7, .6) + .26 N(0; 3.2, 1) + .04 N(0; 7, 2)
    at = np.array([0.0, 1.0, 3.0])
    witness = sum(
        share * norm.pdf(at, middle, spread)
        for share, middle, spread in ((0.7, 0.7, 0.6), (0.26, 3.2, 1.0), (0.04, 7.0, 2.0))
    )
    assert density(pooled("unknown"), at) == pytest.approx(witness, abs=1e-12)


def test_more_seasons_that_agree_make_surer():
    told = [trial(2020 + year, 3.5, 1.0) for year in range(6)]
    spread = [beliefs(told[:n], 2026, None, ["unknown"])[0].data_sd_bu_ac for n in (1, 2, 4, 6)]
    assert spread == sorted(spread, reverse=True)
    assert mean(beliefs(told, 2026, None, ["unknown"])[0].after) == pytest.approx(3.5, abs=0.3)
