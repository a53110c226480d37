"""Severity near R6 from what was seen at R3, and the response to it: properties, integrals, cases."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate
from scipy.stats import norm

from zoning.evidence import entry, named, number
from zoning.returns.mixture import mean, sd
from zoning.returns.outlook import from_severity, severity_near_r6

RATINGS = ("susceptible", "moderate", "resistant", "")
WEATHERS = ("favourable", "unknown", "unfavourable")
DISEASES = ("frogeye", "rust")
seen_pct = st.floats(0, 100)
ratings, weathers, diseases = (st.sampled_from(one) for one in (RATINGS, WEATHERS, DISEASES))


def moments(points):
    """Mean and SD of a few weighted points."""
    weight, value = np.array(points).T
    middle = weight @ value
    return middle, math.sqrt(weight @ (value - middle) ** 2)


# -- the distribution ----------------------------------------------------------------------------------------


@given(seen_pct, ratings, weathers, diseases)
def test_it_is_a_distribution_of_percents_in_rising_order(seen, rating, weather, disease):
    points = severity_near_r6(seen, rating, weather, disease)
    assert math.fsum(weight for weight, _ in points) == pytest.approx(1)
    values = [value for _, value in points]
    assert values == sorted(values)
    assert values[0] > 0
    assert values[-1] <= 100


@given(seen_pct, seen_pct, ratings, weathers, diseases)
def test_more_seen_is_never_less_in_the_end(one, other, rating, weather, disease):
    less, more = (severity_near_r6(seen, rating, weather, disease) for seen in sorted((one, other)))
    assert all(low <= high * (1 + 1e-12) for (_, low), (_, high) in zip(less, more, strict=True))


@given(seen_pct, weathers, diseases)
def test_a_better_rating_is_less_disease(seen, weather, disease):
    by_rating = [severity_near_r6(seen, rating, weather, disease) for rating in RATINGS[:3]]
    means = [moments(points)[0] for points in by_rating]
    assert means[0] >= means[1] >= means[2]
    assert means[2] < means[0] or seen > 99
    unknown = moments(severity_near_r6(seen, "", weather, disease))[0]
    assert means[0] >= unknown >= means[2]


@given(seen_pct, ratings, diseases)
def test_favourable_weather_is_more_disease(seen, rating, disease):
    means = [moments(severity_near_r6(seen, rating, weather, disease))[0] for weather in WEATHERS]
    assert means[0] >= means[1] >= means[2]


@given(st.floats(0, 5), diseases)
def test_it_is_widest_in_susceptible_varieties_and_favourable_weather(seen, disease):
    spreads = [moments(severity_near_r6(seen, rating, "unknown", disease))[1] for rating in RATINGS[:3]]
    assert spreads[0] > spreads[1] > spreads[2]
    by_weather = [moments(severity_near_r6(min(seen, 1), "susceptible", one, disease))[1] for one in WEATHERS]
    assert by_weather[0] > by_weather[1] > by_weather[2]


@pytest.mark.parametrize("rating", RATINGS)
@pytest.mark.parametrize("weather", WEATHERS)
@pytest.mark.parametrize("seen", [0.1, 0.5, 1.0, 2.0, 5.0, 10.0, 25.0])
def test_what_is_seen_is_never_put_in_as_it_is(seen, rating, weather):
    points = severity_near_r6(seen, rating, weather)
    values = [value for _, value in points]
    assert len(set(values)) == len(points) > 3
    assert abs(moments(points)[0] - seen) > 0.2 * seen
    assert max(values) > (1.5 if seen <= 10 else 1.05) * min(values)


@pytest.mark.parametrize("weather", WEATHERS)
def test_nothing_seen_is_mostly_little_with_a_tail(weather):
    for rating in ("susceptible", ""):
        points = severity_near_r6(0, rating, weather)
        assert sum(weight for weight, pct in points if pct < 2) > 0.5
        assert points[-1][1] > 5 * points[1][1]
    assert severity_near_r6(0, "resistant", weather)[-1][1] < 0.5
    assert moments(severity_near_r6(2, "resistant", weather))[0] < 2  # clean new leaves


@pytest.mark.parametrize("seen", [0.5, 2.0, 8.0])
@pytest.mark.parametrize("rating", RATINGS)
def test_the_points_have_the_mean_and_nearly_the_spread_of_the_whole_curve(seen, rating):
    # the curve in the docstring, integrated by scipy instead of cut into shares
    growth = named("returns.severity_growth_logit")[rating or "unknown"]
    spread = named("returns.severity_growth_sd_logit")[rating or "unknown"]
    most = named("returns.severity_most_pct")["frogeye"]
    most += (100 - most) * seen / 100
    start = math.log(seen / most / (1 - seen / most))

    def expected(of):
        def curve(z):
            return of(most / (1 + math.exp(-(start + growth + spread * z)))) * norm.pdf(z)

        return integrate.quad(curve, -9, 9)[0]

    points = severity_near_r6(seen, rating, "unknown")
    middle = expected(lambda pct: pct)
    assert moments(points)[0] == pytest.approx(middle, rel=0.01)
    # what counts is the response: k bu/ac for a percent, SD 0.6 and 0.3 of what is avoided
    k, cv = 60 * 0.0051 * 0.6, number("returns.severity_response_cv")
    variance = 0.6**2 + expected(lambda pct: (cv * k * pct) ** 2 + k**2 * (pct - middle) ** 2)
    found = sd(from_severity(60, points, 0.6, "frogeye"))
    assert 0.95 * math.sqrt(variance) <= found <= math.sqrt(variance)


# -- what a spray saves --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("attainable", "severity", "efficacy", "disease", "avoided"),
    [
        # handbook returns 1.3: Y0 x d x S x E, with d of Barro et al. 2023 and Dalla Lana et al.
        (60, 20, 0.6, "frogeye", 3.672),
        (60, 10, 0.5, "frogeye", 1.530),
        (45, 30, 0.6, "rust", 4.860),
    ],
)
def test_published_avoided_loss(attainable, severity, efficacy, disease, avoided):
    (part,) = from_severity(attainable, [(1.0, severity)], efficacy, disease).parts
    assert part.responding_bu_ac == pytest.approx(avoided, abs=5e-4)
    assert part.low_bu_ac == 0.7


def test_by_hand_break_even_severity():
    # handbook returns 1.3: cost 28, price 10.5, Y0 60, E 0.6: 14.52 %, or 10.71 % beside 0.7 bu/ac
    assert mean(from_severity(60, [(1.0, 10.71)], 0.6, "frogeye")) == pytest.approx(28 / 10.5, abs=2e-3)
    assert mean(from_severity(60, [(1.0, 14.52)], 0.6, "frogeye")) - 0.7 == pytest.approx(28 / 10.5, abs=2e-3)


@given(seen_pct, ratings, weathers, diseases, st.floats(20, 90), st.floats(0, 1))
def test_the_mean_is_that_of_the_formula(seen, rating, weather, disease, attainable, efficacy):
    points = severity_near_r6(seen, rating, weather, disease)
    mixture = from_severity(attainable, points, efficacy, disease)
    loss = named("returns.severity_loss_frac_per_pct")[disease]
    avoided = attainable * loss * moments(points)[0] * efficacy
    assert mean(mixture) == pytest.approx(0.7 + avoided)
    assert math.fsum(part.weight for part in mixture.parts) == pytest.approx(1)


@given(seen_pct, ratings, weathers)
def test_a_product_that_the_disease_resists_saves_nothing(seen, rating, weather):
    mixture = from_severity(60, severity_near_r6(seen, rating, weather), 0.0, "frogeye")
    assert mean(mixture) == pytest.approx(0.7)
    assert sd(mixture) == pytest.approx(0.6)  # the low response of pooled trials, nothing wider


@given(st.floats(0, 100), st.floats(1, 60), st.floats(0.1, 1))
def test_more_disease_is_a_larger_and_wider_response(severity, more, efficacy):
    less = from_severity(60, [(1.0, severity)], efficacy, "frogeye")
    larger = from_severity(60, [(1.0, severity + more)], efficacy, "frogeye")
    assert mean(larger) > mean(less)
    assert sd(larger) > sd(less)


def test_two_percent_seen_pays_about_as_the_class_of_lesions_seen():
    # decisions 10: lesions seen, susceptible, wet: mean 4.54. The note of the growth says that it is set so.
    found = mean(from_severity(60, severity_near_r6(2, "susceptible", "favourable"), 0.6, "frogeye"))
    assert found == pytest.approx(4.54, abs=0.25)


def test_no_figure_of_the_spread_claims_more_than_an_assumption():
    names = (
        "severity_least_seen_pct", "severity_most_pct", "severity_growth_logit", "severity_growth_sd_logit",
        "severity_growth_weather_logit", "severity_response_cv",
    )  # fmt: skip
    assert {entry(f"returns.{name}").kind for name in names} == {"assumption"}
    assert number("returns.severity_response_cv") > 0.16  # the published interval of the coefficient alone
