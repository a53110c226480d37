"""The mixture's arithmetic, the response sources, and what own trials do to them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from zoning.evidence import entry, number
from zoning.returns.mixture import (
    columns,
    exceedance,
    from_parts,
    mean,
    quantile,
    sd,
    sorted_draws,
    split_draws,
    update,
    with_stage,
)
from zoning.returns.response import Place, mixture_for
from zoning.returns.sources import curve_for, own_trials, pooled, practice, severity, sources, with_modifiers
from zoning.returns.terms import Mixture, Part
from zoning.settings.model import Response
from zoning.units import kg_ha_from_bu_ac

TWO_PARTS = [[0.7, 0.6], [3.5, 1.0]]


def two_part(responding_frac):
    return from_parts([1 - responding_frac, responding_frac], TWO_PARTS)


def one_normal(middle, spread):
    return Mixture((Part(weight=1.0, low_bu_ac=middle, responding_bu_ac=0.0, sd_bu_ac=spread),))


# By hand: mean = .7 (1 - pi) + 3.5 pi; variance = .36 (1 - pi) + pi + 7.84 pi (1 - pi);
# P(D > b) = (1 - pi) Phi((.7 - b) / .6) + pi Phi(3.5 - b), from a table of Phi.
MOMENTS_AND_CHANCES = [
    (0.10, 0.980, 1.063, [0.1798, 0.1069, 0.0853, 0.0692, 0.0500, 0.0309]),
    (0.20, 1.260, 1.320, [0.2684, 0.1987, 0.1693, 0.1383, 0.1000, 0.0617]),
    (0.33, 1.624, 1.518, [0.3836, 0.3181, 0.2785, 0.2282, 0.1650, 0.1018]),
    (0.50, 2.100, 1.625, [0.5342, 0.4742, 0.4213, 0.3458, 0.2500, 0.1543]),
    (0.65, 2.520, 1.600, [0.6671, 0.6119, 0.5473, 0.4495, 0.3250, 0.2005]),
    (0.80, 2.940, 1.458, [0.8000, 0.7496, 0.6733, 0.5532, 0.4000, 0.2468]),
]


@pytest.mark.parametrize(("pi", "middle", "spread", "chances"), MOMENTS_AND_CHANCES)
def test_by_hand_moments_and_chances_of_two_parts(pi, middle, spread, chances):
    mixture = two_part(pi)
    assert mean(mixture) == pytest.approx(middle, abs=0.0005)
    assert sd(mixture) == pytest.approx(spread, abs=0.00051)
    for threshold, chance in zip((1.5, 2.0, 2.5, 3.0, 3.5, 4.0), chances, strict=True):
        assert exceedance(mixture, threshold) == pytest.approx(chance, abs=0.00006)


@pytest.mark.parametrize("pressure", ["low", "unknown", "medium", "high", "seen"])
def test_witness_scipy_stats_on_chance_and_quantile(pressure):
    mixture = pooled(pressure)
    weight, middle, spread = columns(mixture)
    grid = np.linspace(-3, 12, 31)
    witness = np.array([weight @ norm.sf(b, middle, spread) for b in grid])
    assert [exceedance(mixture, b) for b in grid] == pytest.approx(witness, abs=1e-12)
    chance = np.array([0.001, 0.1, 0.5, 0.9, 0.999])
    found = quantile(mixture, chance)
    assert norm.cdf(found[:, None], middle, spread) @ weight == pytest.approx(chance, abs=1e-10)


def test_by_hand_pooled_means():
    # .7 x .7 + .26 x 3.2 + .04 x 7 = 1.602, and so on for each class
    hand = {"low": 0.988, "unknown": 1.602, "medium": 2.254, "high": 2.895, "seen": 4.54}
    for pressure, middle in hand.items():
        assert mean(pooled(pressure)) == pytest.approx(middle, abs=1e-9)
        assert sum(part.weight for part in pooled(pressure).parts) == pytest.approx(1)


def test_published_mean_of_the_meta_analysis():
    # Kandel et al. 2021, doi 10.1094/PDIS-07-20-1578-RE: 110 kg/ha; shown beside every source
    assert kg_ha_from_bu_ac(number("returns.published_mean_bu_ac")) == pytest.approx(110, abs=0.5)


def test_by_hand_pooled_parts_are_shaped_to_a_mean_and_an_sd():
    # .7 x .7 + .26 x 3.2 + .04 x 7 = 1.602; second moment .7 (.36 + .49) + .26 (1 + 10.24) + .04 (4 + 49)
    # = 5.6374; SD = sqrt(5.6374 - 1.602^2) = 1.7524
    assert mean(pooled("unknown")) == pytest.approx(1.602, abs=1e-9)
    assert sd(pooled("unknown")) == pytest.approx(1.7524, abs=0.00005)


def test_published_mean_where_severity_passed_5_percent_is_two_parts():
    # Mueller and Robertson 2010, Iowa State University ICM News: 1.79 bu/ac; .7 x .61 + 3.5 x .39 = 1.79
    assert mean(two_part(0.39)) == pytest.approx(1.79, abs=0.005)


def test_by_hand_practice_series_pays_at_its_prices():
    # common practice: at 25 USD/ac, 5.75 USD/bu breaks even at R3, 11 USD/bu a stage early or late
    assert mean(practice("unknown")) == pytest.approx(25 / 5.75, abs=0.005)
    assert mean(practice("unknown")) * 5.75 / 11 == pytest.approx(25 / 11, abs=0.005)
    named = ("practice_price_at_r3_usd_bu", "practice_price_a_stage_off_usd_bu", "practice_cost_usd_ac")
    assert [number(f"returns.{name}") for name in named] == [5.75, 11, 25]
    assert {entry(f"returns.{name}").kind for name in named} == {"common practice"}


def test_practice_series_yields_only_to_low_pressure_and_other_causes():
    assert practice("seen") == practice("unknown") == practice("medium")
    assert practice("low") == practice("high", "other") == pooled("low")


# By hand: w0 = 1/1.7^2, w = 1/(3.5^2/n + s_year^2); m1 = (1.64 w0 + x w) / (w0 + w); s1 = (w0 + w)^-.5
UPDATES = [
    (4.0, 2, 0.0, 2.3966, 1.4013, 0.3206, 0.4706),
    (4.0, 4, 0.0, 2.7858, 1.2194, 0.4855, 0.5927),
    (4.0, 6, 0.0, 3.0230, 1.0938, 0.5860, 0.6837),
    (0.0, 4, 0.0, 0.8438, 1.2194, 0.4855, 0.0872),
    (-1.0, 8, 0.0, -0.0857, 1.0005, 0.6537, 0.0049),
    (2.5, 12, 0.0, 2.2755, 0.8685, 0.7390, 0.3980),
    (4.0, 4, 1.4, 2.5020, 1.3544, 0.3652, 0.5006),
]


@pytest.mark.parametrize(("seen", "pairs", "year_sd", "middle", "spread", "weight", "chance"), UPDATES)
def test_by_hand_update_of_one_normal(seen, pairs, year_sd, middle, spread, weight, chance):
    after = update(one_normal(1.64, 1.7), seen, 3.5**2 / pairs + year_sd**2)
    assert mean(after) == pytest.approx(middle, abs=0.00006)
    assert sd(after) == pytest.approx(spread, abs=0.00006)
    assert exceedance(after, 2.5) == pytest.approx(chance, abs=0.00006)
    # w / (w0 + w): how far the mean went towards what was seen
    assert (mean(after) - 1.64) / (seen - 1.64) == pytest.approx(weight, abs=0.00006)


def test_by_hand_chance_before_any_trial():
    # Phi((1.64 - 2.5) / 1.7) = .3065; after no pairs to speak of the same
    assert exceedance(one_normal(1.64, 1.7), 2.5) == pytest.approx(0.3065, abs=0.00006)
    assert exceedance(update(one_normal(1.64, 1.7), 4.0, 1e9), 2.5) == pytest.approx(0.3065, abs=0.00006)


def test_by_hand_update_of_two_parts():
    # pi1 = .33 N(4; 3.5, 2.0156) / (.67 N(4; .7, 1.85) + the same) = .6827; parts move normal-normal
    after = update(two_part(0.33), 4.0, 1.75**2)
    low, responding = after.parts
    assert responding.weight == pytest.approx(0.6827, abs=0.00006)
    assert (low.low_bu_ac, low.sd_bu_ac) == pytest.approx((1.047, 0.568), abs=0.0006)
    assert (responding.responding_bu_ac, responding.sd_bu_ac) == pytest.approx((3.623, 0.868), abs=0.0006)
    assert (low.responding_bu_ac, responding.low_bu_ac) == (0, 0)
    assert mean(after) == pytest.approx(2.8058, abs=0.00006)
    assert exceedance(after, 2.5) == pytest.approx(0.6175, abs=0.00006)


@pytest.mark.parametrize(
    ("seen", "pairs", "pi", "middle", "chance"),
    [(0.0, 4, 0.0971, 0.8217, 0.0551), (4.0, 8, 0.8782, 3.4090, 0.8258)],
)
def test_by_hand_more_updates_of_two_parts(seen, pairs, pi, middle, chance):
    # as above, with se = 3.5 / sqrt(pairs)
    after = update(two_part(0.33), seen, 3.5**2 / pairs)
    assert after.parts[1].weight == pytest.approx(pi, abs=0.00006)
    assert mean(after) == pytest.approx(middle, abs=0.00006)
    assert exceedance(after, 2.5) == pytest.approx(chance, abs=0.00006)


def test_witness_update_is_prior_times_likelihood():
    # the posterior by brute force on a fine grid
    prior, seen, error_sd = pooled("medium"), 3.1, 0.9
    weight, middle, spread = columns(prior)
    grid = np.linspace(-8, 22, 60_001)
    density = (norm.pdf(grid[:, None], middle, spread) @ weight) * norm.pdf(seen, grid, error_sd)
    density /= density.sum()
    after = update(prior, seen, error_sd**2)
    assert mean(after) == pytest.approx(density @ grid, abs=1e-6)
    assert exceedance(after, 2.5) == pytest.approx(density[grid > 2.5].sum(), abs=1e-3)


@pytest.mark.parametrize(
    ("years", "weights", "means", "middle"),
    [
        # variance .36 + 1/4 = .61: 3.2 + (3.4 - 3.2) x 1 / 1.61 = 3.3242
        (4, (0.0742, 0.9054, 0.0204), (1.7021, 3.3242, 3.8764), 3.2151),
        # one season, .36 + 1 = 1.36: 3.2 + .2 / 2.36 = 3.2847
        (1, (0.2704, 0.7078, 0.0218), (1.2651, 3.2847, 4.3134), 2.7609),
    ],
)
def test_by_hand_own_trials_of_3_4_bushels(years, weights, means, middle):
    # weights .70, .26, .04 x N(3.4; m_k, sqrt(s_k^2 + variance)), made to sum to 1
    after = own_trials(3.4, 0.6, years, "unknown")
    assert [part.weight for part in after.parts] == pytest.approx(weights, abs=0.00006)
    ours = [part.low_bu_ac + part.responding_bu_ac for part in after.parts]
    assert ours == pytest.approx(means, abs=0.00006)
    assert mean(after) == pytest.approx(middle, abs=0.00006)


def test_own_trials_weigh_more_with_more_seasons():
    by_years = [mean(own_trials(4.0, 0.5, years, "unknown")) for years in (1, 2, 4, 20)]
    assert by_years == sorted(by_years)
    assert mean(pooled("unknown")) < by_years[0] < by_years[-1] < 4.0


def test_update_survives_what_no_part_foretold():
    after = update(pooled("unknown"), 400.0, 1e-4)
    assert np.isfinite(mean(after))
    assert sum(part.weight for part in after.parts) == pytest.approx(1)


# By hand: attainable x loss per percent x severity x efficacy. [bu/ac]
@pytest.mark.parametrize(
    ("attainable", "percent", "efficacy", "disease", "avoided"),
    [
        (60, 20, 0.6, "frogeye", 3.672),
        (60, 10, 0.5, "frogeye", 1.530),
        (45, 30, 0.6, "rust", 4.860),
        (60, 14.52, 0.6, "frogeye", 2.666),  # pays 28 USD/ac at 10.50 USD/bu
        (60, 20, 0.0, "frogeye", 0.0),
    ],
)
def test_by_hand_avoided_loss(attainable, percent, efficacy, disease, avoided):
    # loss per percent: Barro et al. 2023, Plant Disease 107:3422-3429;
    # rust: repository.lsu.edu/plantcrop_pubs/293
    (part,) = severity(attainable, percent, efficacy, disease).parts
    assert part.responding_bu_ac == pytest.approx(avoided, abs=0.0005)
    assert (part.low_bu_ac, part.sd_bu_ac) == (0.7, 1.7)


@pytest.mark.parametrize(
    ("disease", "attainable_kg_ha", "lost_kg_ha"),
    [
        # Barro et al. 2023, Plant Disease 107:3422-3429: -19 kg/ha for each percent at 3720 kg/ha
        ("frogeye", 3720, 19),
        # Asian rust, Dalla Lana et al., repository.lsu.edu/plantcrop_pubs/293: -18 at 2977
        ("rust", 2977, 18),
    ],
)
def test_published_loss_for_one_percent_of_severity(disease, attainable_kg_ha, lost_kg_ha):
    attainable_bu_ac = attainable_kg_ha / kg_ha_from_bu_ac(1)
    (part,) = severity(attainable_bu_ac, 1, 1.0, disease).parts
    assert kg_ha_from_bu_ac(part.responding_bu_ac) == pytest.approx(lost_kg_ha, abs=0.5)


def test_by_hand_modifiers_act_on_responding_parts_only():
    # 1.11 x 1.1 x 3.2 = 3.907; the low part and the SDs stay
    after = with_modifiers(pooled("unknown"), 2, "above")
    assert [part.low_bu_ac for part in after.parts] == [0.7, 0, 0]
    assert after.parts[1].responding_bu_ac == pytest.approx(3.2 * 1.11 * 1.1)
    assert [part.sd_bu_ac for part in after.parts] == [0.6, 1.0, 2.0]
    assert with_modifiers(pooled("unknown"), 1, "normal") == pooled("unknown")


def test_sources_curves_and_places():
    own = Response(source="own trials", mean="3.4 bu/ac", se="0.6 bu/ac", years=4, stage_curve="practice")
    assert sources(own) == ("pooled trials", "practice series", "own trials")
    assert [curve_for(source, own) for source in sources(own)] == ["published", "practice", "practice"]
    none = Response(source="practice series", stage_curve="published")
    assert sources(none) == ("pooled trials", "practice series")
    assert curve_for("practice series", none) == "published"
    place = Place(pressure="high", cause="other", groups=3, rain="above")
    of_groups = with_modifiers(pooled("low"), 3, "normal")
    assert mixture_for("pooled trials", none, place) == with_modifiers(of_groups, 0, "above")
    assert mixture_for("practice series", none, place) == pooled("low")
    assert mixture_for("own trials", own, Place(pressure="high", groups=3)) == own_trials(3.4, 0.6, 4, "high")
    with pytest.raises(ValueError, match="own trials"):
        mixture_for("own trials", none, place)


@given(
    low=st.floats(0, 1),
    responding=st.floats(0, 1),
    pressure=st.sampled_from(["low", "unknown", "medium", "high", "seen"]),
)
@settings(max_examples=25, deadline=None)
def test_staged_draws_keep_the_mean_of_the_staged_mixture(low, responding, pressure):
    # E[D sum r_k(D) c_k] = sum w_k c_k m_k, whatever the shares; 4,001 quantiles stand for the integral
    mixture = pooled(pressure)
    draws = sorted_draws(mixture, 4001)
    low_part, responding_part = split_draws(mixture, draws)
    assert low_part + responding_part == pytest.approx(draws)
    staged = low * low_part + responding * responding_part
    assert staged.mean() == pytest.approx(mean(with_stage(mixture, low, responding)), abs=0.002)


def test_a_part_without_mean_or_spread_is_no_division_by_zero():
    nothing = Mixture((Part(weight=1.0, low_bu_ac=0.0, responding_bu_ac=0.0, sd_bu_ac=0.0),))
    assert (mean(nothing), sd(nothing), exceedance(nothing, 1.0), exceedance(nothing, -1.0)) == (0, 0, 0, 1)
    assert sorted_draws(nothing, 8) == pytest.approx(np.zeros(8), abs=1e-9)
    low, responding = split_draws(nothing, np.zeros(8))
    assert not low.any()
    assert not responding.any()
