from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from zoning.evidence import number, numbers
from zoning.stage.daylength import daylength_h
from zoning.stage.forecast import Sown
from zoning.stage.phenology import (
    MODELS,
    coefficients,
    cool_night_response,
    hourly_c,
    jones_boote,
    jones_boote_kantolic,
    photoperiod_response,
    temperature_response,
    weathers,
)

NEW_YEAR = date(2025, 1, 1)
both_models = pytest.mark.parametrize("model", [jones_boote, jones_boote_kantolic])


def crop(planted: date, group: float, emerged: date | None = None) -> Sown:
    return Sown(name="A", planted=planted, maturity_group=group, emerged=emerged)


def run(planted, group, tmin_c, tmax_c, latitude_deg, emerged=None, first=None, model=jones_boote):
    """Days after planting of emergence, R1, R3, R5 in one weather; NaN where not reached."""
    first = first or planted
    tmin_c, tmax_c = np.atleast_2d(tmin_c), np.atleast_2d(tmax_c)
    season = weathers(first.toordinal(), tmin_c, tmax_c, latitude_deg)
    dates = model(season, crop(planted, group, emerged))
    stages = (dates.emergence_day, dates.r1_day, dates.r3_day, dates.r5_day)
    return np.array([day[0] - planted.toordinal() for day in stages])


# Constant weather every day; whole days after planting of emergence, R1, R3, R5, computed by an independent
# script.
WORKED = [
    (42, 130, 2.5, 15, 27, (5, 47, 63, 80)),
    (42, 130, 2.5, 18, 30, (4, 37, 52, 68)),
    (42, 160, 2.5, 15, 27, (5, 48, 60, 72)),
    (35, 120, 5.0, 18, 30, (4, 43, 66, 84)),
    (33.4, 110, 4.0, 16, 28, (5, 40, 56, 74)),
    (46, 140, 0.0, 12, 26, (6, 47, 60, 72)),
]


@pytest.mark.parametrize(("latitude", "doy", "group", "tmin", "tmax", "expected"), WORKED)
def test_witness_worked_checks(latitude, doy, group, tmin, tmax, expected):
    planted = NEW_YEAR + timedelta(days=doy - 1)
    days = run(planted, group, np.full(200, float(tmin)), np.full(200, float(tmax)), latitude)
    assert tuple(np.floor(days).astype(int)) == expected


# Public generic coefficients by maturity group (Boote et al. 1998), as printed: critical daylength h, its
# slope 1/h, emergence to R1, R1 to R3, R1 to R5 in photothermal days, shift after R1 h, cool nights C, 1/C.
PRINTED_COEFFICIENTS = {
    -2: (14.60, 0.129, 15.5, 5.0, 12.0, 0.189, 18, 0.028),
    -1: (14.35, 0.148, 16.0, 5.0, 12.0, 0.189, 18, 0.028),
    0: (14.10, 0.171, 16.8, 6.0, 13.0, 0.189, 18, 0.028),
    1: (13.84, 0.203, 17.0, 6.0, 13.0, 0.234, 18, 0.028),
    2: (13.59, 0.249, 17.4, 6.0, 13.5, 0.279, 18, 0.028),
    3: (13.40, 0.285, 19.0, 6.0, 14.0, 0.324, 18, 0.028),
    4: (13.09, 0.294, 19.4, 7.0, 15.0, 0.369, 20, 0.035),
    5: (12.83, 0.303, 19.8, 8.0, 15.5, 0.414, 20, 0.035),
    6: (12.58, 0.311, 20.2, 9.0, 16.0, 0.459, 20, 0.035),
    7: (12.33, 0.320, 20.8, 10.0, 16.0, 0.504, 20, 0.035),
    8: (12.07, 0.330, 21.5, 10.0, 16.0, 0.549, 20, 0.035),
    9: (11.88, 0.340, 23.0, 10.0, 16.0, 0.549, 20, 0.035),
    10: (11.78, 0.349, 23.5, 10.0, 16.0, 0.549, 20, 0.035),
}


@pytest.mark.parametrize("group", PRINTED_COEFFICIENTS)
def test_published_coefficients_of_every_group(group):
    its = coefficients(group)
    ours = (
        its.critical_daylength_h,
        its.daylength_slope_per_h,
        its.emergence_to_r1_ptd,
        its.r1_to_r3_ptd,
        its.r1_to_r5_ptd,
        its.post_r1_daylength_shift_h,
        its.cool_night_threshold_c,
        its.cool_night_slope_per_c,
    )
    assert ours == pytest.approx(PRINTED_COEFFICIENTS[group], rel=1e-12)
    assert its.planting_to_emergence_td == 3.6


def test_published_cardinal_temperatures():
    # the same tables: no progress, full from, full to, no progress
    assert numbers("stage.vegetative_temperature_c").tolist() == [7, 28, 35, 45]
    assert numbers("stage.reproductive_temperature_c").tolist() == [6, 26, 30, 45]


def test_witness_intermediate_values():
    # The same script, printed with four decimals (temperatures with three).
    hours = hourly_c(np.array([15.0]), np.array([27.0]))[0]
    assert (hours[0], hours[12]) == pytest.approx((26.949, 15.051), abs=0.0005)
    vegetative = temperature_response(hours, numbers("stage.vegetative_temperature_c")).mean()
    reproductive = temperature_response(hours, numbers("stage.reproductive_temperature_c")).mean()
    assert (vegetative, reproductive) == pytest.approx((0.6667, 0.7438), abs=0.00005)
    its = coefficients(2.5)
    slope = its.daylength_slope_per_h
    before = photoperiod_response(daylength_h(42.0, 172), its.critical_daylength_h, slope)
    assert float(before) == pytest.approx(0.5808, abs=0.00005)
    shifted = its.critical_daylength_h - its.post_r1_daylength_shift_h
    after = photoperiod_response(daylength_h(42.0, 196), shifted, slope)
    assert float(after) == pytest.approx(0.5808, abs=0.00005)


def test_by_hand_half_way_between_groups_ii_and_iii():
    # (13.59 + 13.40)/2, (.249 + .285)/2, (17.4 + 19.0)/2, (6 + 6)/2, (13.5 + 14.0)/2, (.279 + .324)/2
    its = coefficients(2.5)
    assert its.critical_daylength_h == pytest.approx(13.495)
    assert its.daylength_slope_per_h == pytest.approx(0.267)
    assert its.emergence_to_r1_ptd == pytest.approx(18.2)
    assert (its.r1_to_r3_ptd, its.r1_to_r5_ptd) == pytest.approx((6.0, 13.75))
    assert its.post_r1_daylength_shift_h == pytest.approx(0.3015)
    assert its.planting_to_emergence_td == 3.6


def test_by_hand_cool_night_and_trapezoid():
    # 1 - .028 (18 - 15) = .916; a warm night costs nothing; a night of -20 C cannot turn the crop back
    night = cool_night_response(np.array([15.0, 22.0, -20.0]), 18.0, 0.028)
    assert night == pytest.approx([0.916, 1.0, 0.0])
    # (16 - 6)/20 = .5; on the plateau 1; (45 - 37.5)/15 = .5; nothing below 6 or above 45
    response = temperature_response(
        np.array([16.0, 28.0, 37.5, 5.0, 46.0]), np.array([6.0, 26.0, 30.0, 45.0])
    )
    assert response == pytest.approx([0.5, 1.0, 0.5, 0.0, 0.0])


def test_by_hand_emergence_in_constant_warmth():
    # 28-35 C all day: one thermal day a day, so 3.6 thermal days are full 0.6 into the fourth day (k = 3).
    days = run(date(2025, 5, 10), 2.5, np.full(150, 30.0), np.full(150, 30.0), 42.0)
    assert days[0] == pytest.approx(3.6)


def test_by_hand_observed_emergence_replaces_the_model():
    # Equatorial days of 12 h are short for group 2.5 and 28 C is optimal: from the day after emergence one
    # photothermal day a day. R1: 18.2 -> day 19 + .2 - 1; R3 six whole days later.
    planted = date(2025, 5, 1)
    days = run(planted, 2.5, np.full(90, 28.0), np.full(90, 28.0), 0.0, emerged=planted + timedelta(days=10))
    assert days[0] == 10
    assert days[1] == pytest.approx(11 + 18.2)
    assert np.floor(days[2]) == np.floor(days[1]) + 6


def test_groups_outside_the_table_are_refused():
    with pytest.raises(ValueError, match="maturity group 11"):
        coefficients(11)


@both_models
def test_missing_weather_gives_no_date_after_the_gap(model):
    tmin, tmax = np.full(150, 15.0), np.full(150, 27.0)
    tmin[50] = tmax[50] = np.nan
    days = run(date(2025, 5, 10), 2.5, tmin, tmax, 42.0, model=model)
    assert np.isfinite(days[:2]).all()
    assert np.isnan(days[2:]).all()


@both_models
def test_weather_without_warmth_never_emerges(model):
    assert np.isnan(run(date(2025, 5, 10), 2.5, np.full(90, -5.0), np.full(90, 5.0), 42.0, model=model)).all()


@both_models
def test_several_weathers_at_once_equal_each_alone(make_weather, model):
    first, last = date(2025, 4, 1), date(2025, 11, 30)
    many = [make_weather(first, last, seed=seed) for seed in range(5)]
    together = weathers(
        first.toordinal(), np.stack([w.tmin_c for w in many]), np.stack([w.tmax_c for w in many]), 42.0
    )
    all_days = model(together, crop(date(2025, 5, 9), 2.2))
    for row, weather in enumerate(many):
        alone = weathers(first.toordinal(), weather.tmin_c[None], weather.tmax_c[None], 42.0)
        assert model(alone, crop(date(2025, 5, 9), 2.2)).r5_day[0] == all_days.r5_day[row]


latitudes = st.floats(25, 55)
groups = st.floats(-2, 8)
seeds = st.integers(0, 10_000)


@both_models
@settings(max_examples=40, deadline=None)
@given(seeds, groups, latitudes, st.integers(100, 190), st.integers(1, 20))
def test_property_later_planting_never_gives_an_earlier_stage(model, seed, group, latitude, doy, later):
    weather = np.random.default_rng(seed).normal(18, 6, 400)
    tmin, tmax = weather - 5, weather + 6
    early, late = NEW_YEAR + timedelta(days=doy), NEW_YEAR + timedelta(days=doy + later)
    first = run(early, group, tmin, tmax, latitude, first=NEW_YEAR + timedelta(days=90), model=model)
    second = run(late, group, tmin, tmax, latitude, first=NEW_YEAR + timedelta(days=90), model=model) + later
    both = np.isfinite(first) & np.isfinite(second)
    assert (np.floor(second[both]) >= np.floor(first[both])).all()


@both_models
@settings(max_examples=40, deadline=None)
@given(seeds, groups, latitudes, st.integers(100, 180))
def test_property_stages_rise(model, seed, group, latitude, doy):
    weather = np.random.default_rng(seed).normal(20, 5, 300)
    days = run(NEW_YEAR + timedelta(days=doy), group, weather - 5, weather + 5, latitude, model=model)
    assert (np.diff(days[np.isfinite(days)]) > 0).all()


@both_models
@settings(max_examples=30, deadline=None)
@given(seeds, st.floats(-2, 7), st.floats(28, 48), st.floats(0.5, 3))
def test_property_warmer_is_earlier_below_the_optimum(model, seed, group, latitude, warmer):
    # Hours stay below 26 C here: above the optimum more warmth does not speed the crop.
    mean = np.random.default_rng(seed).uniform(8, 17, 400)
    cold = run(NEW_YEAR + timedelta(days=130), group, mean - 5, mean + 5, latitude, model=model)
    warm = run(
        NEW_YEAR + timedelta(days=130), group, mean - 5 + warmer, mean + 5 + warmer, latitude, model=model
    )
    both = np.isfinite(cold) & np.isfinite(warm)
    assert both[0]
    assert (warm[both] <= cold[both]).all()


@both_models
@settings(max_examples=40, deadline=None)
@given(seeds, st.floats(-2, 7), st.floats(0.1, 1), st.floats(35, 48))
def test_property_later_group_is_later(model, seed, group, more, latitude):
    weather = np.random.default_rng(seed).normal(22, 3, 300)
    early = run(NEW_YEAR + timedelta(days=125), group, weather - 5, weather + 5, latitude, model=model)
    late = run(NEW_YEAR + timedelta(days=125), group + more, weather - 5, weather + 5, latitude, model=model)
    both = np.isfinite(early) & np.isfinite(late)
    assert (late[both] >= early[both]).all()


@both_models
@pytest.mark.parametrize("group", [0.0, 2.5, 5.0])
@pytest.mark.parametrize("latitude", [32.0, 42.0])
def test_property_south_is_half_a_year_later(make_weather, group, latitude, model):
    # The same temperatures 183 days later south of the equator: the sun's year is 365 days, so its half lies
    # half a day off, and the dates may differ by a day or so.
    weather = make_weather(date(2025, 4, 1), date(2025, 12, 31), mean_c=14.0)
    start = date(2025, 4, 1)
    north = run(date(2025, 5, 10), group, weather.tmin_c, weather.tmax_c, latitude, first=start, model=model)
    planted = date(2025, 5, 10) + timedelta(days=183)
    first = start + timedelta(days=183)
    south = run(planted, group, weather.tmin_c, weather.tmax_c, -latitude, first=first, model=model)
    assert south == pytest.approx(north, abs=1.2)


@both_models
def test_property_published_sizes_of_temperature_and_group(make_weather, model):
    # Sizes computed for the plain model at Ames, planted about 10 May, group 2.5: one degree 3.3-3.5 d, 0.1
    # groups 1.0 d, an emergence 5 d later 3.2 d of R3. Other weather, and the shipped model: within a third.
    first = date(2025, 4, 1)
    planted = date(2025, 5, 10)
    moves: dict[str, list[float]] = {"degree": [], "group": [], "emergence": []}
    for seed in range(12):
        w = make_weather(first, date(2025, 11, 30), seed=seed)
        base = run(planted, 2.5, w.tmin_c, w.tmax_c, 42.0, first=first, model=model)
        warm = run(planted, 2.5, w.tmin_c + 1, w.tmax_c + 1, 42.0, first=first, model=model)
        later = run(planted, 2.6, w.tmin_c, w.tmax_c, 42.0, first=first, model=model)
        emerged = planted + timedelta(days=int(base[0]) + 5)
        delayed = run(planted, 2.5, w.tmin_c, w.tmax_c, 42.0, emerged, first, model)
        moves["degree"].append(base[2] - warm[2])
        moves["group"].append(later[2] - base[2])
        moves["emergence"].append(delayed[2] - base[2])
    assert np.mean(moves["degree"]) == pytest.approx(3.4, abs=1.1)
    assert np.mean(moves["group"]) == pytest.approx(1.0, abs=0.35)
    assert np.mean(moves["emergence"]) == pytest.approx(3.2, abs=1.1)


def test_table_of_models_names_authors():
    assert MODELS["jones-boote"] is jones_boote
    assert MODELS["jones-boote-kantolic"] is jones_boote_kantolic
    assert "Jones" in (jones_boote.__doc__ or "")
    assert "Kantolic" in (jones_boote_kantolic.__doc__ or "")


# -- the shipped model ---------------------------------------------------------------------------------------


def test_by_hand_emergence_takes_60_degree_days_above_10():
    # 26 C all day: 16 C d a day, so 60 are full 0.75 into the fourth day; 15 C: 5 a day, 60 at the end of the
    # twelfth; at 10 C never
    for warmth, expected in ((26.0, 3.75), (15.0, 12.0)):
        days = run(
            date(2025, 5, 10), 2.5, np.full(30, warmth), np.full(30, warmth), 42.0, model=jones_boote_kantolic
        )
        assert days[0] == pytest.approx(expected, abs=1e-6)
    cold = np.full(90, 10.0)
    assert np.isnan(run(date(2025, 5, 10), 2.5, cold, cold, 42.0, model=jones_boote_kantolic)).all()


def test_published_emergence_in_degree_days():
    # 130 F d above 50 F (Illinois farmdoc) are 72 C d, 90 F d (Iowa State University) 50 C d: 60 lies
    # between.
    assert 50 <= number("stage.planting_to_emergence_c_d") <= 130 / 1.8
    assert number("stage.emergence_base_c") == pytest.approx((50 - 32) / 1.8)


def straight(planted, group, tmin_c, tmax_c, latitude_deg, factor):
    """The shipped model written as one plain loop over the days, whole days only."""
    its = coefficients(group)
    sums = [0.0, 0.0, 0.0]
    reached = {}
    for k, (tmin, tmax) in enumerate(zip(tmin_c, tmax_c, strict=True)):
        hours = [
            (tmin + tmax) / 2 + (tmax - tmin) / 2 * np.cos(2 * np.pi * (h + 0.5) / 24) for h in range(24)
        ]
        response = np.mean([max(0.0, min(1.0, (t - 6) / 20, (45 - t) / 15)) for t in hours])
        when = planted + timedelta(days=k)
        sun_h = float(daylength_h(latitude_deg, when.timetuple().tm_yday))
        over_h, slope = sun_h - its.critical_daylength_h, its.daylength_slope_per_h
        if "VE" not in reached:
            sums[0] += np.mean([max(0.0, t - 10) for t in hours])
            if sums[0] >= 60:
                reached["VE"] = k
        elif "R1" not in reached:
            night = max(0.0, 1 - its.cool_night_slope_per_c * max(0.0, its.cool_night_threshold_c - tmin))
            sums[1] += response * min(1.0, max(0.0, 1 - slope * over_h)) * night
            if sums[1] >= its.emergence_to_r1_ptd:
                reached["R1"] = k
        else:
            sums[2] += response * min(1.0, max(0.0, 1 - factor * slope * over_h))
            for stage, need in (("R3", its.r1_to_r3_ptd), ("R5", its.r1_to_r5_ptd)):
                if stage not in reached and sums[2] >= need:
                    reached[stage] = k
    return [reached[stage] for stage in ("VE", "R1", "R3", "R5")]


@pytest.mark.parametrize(
    ("group", "latitude", "planted", "mean_c"),
    [
        (0.0, 46.0, date(2025, 5, 20), 9.0),
        (2.5, 42.0, date(2025, 5, 5), 10.0),
        (4.3, 38.0, date(2025, 5, 15), 13.0),
        (6.0, 36.0, date(2025, 4, 20), 15.0),
    ],
)
def test_witness_a_plain_loop_over_the_days(make_weather, group, latitude, planted, mean_c):
    weather = make_weather(planted, date(2026, 1, 31), mean_c=mean_c)
    factor = number("stage.post_r1_slope_factor")
    loop = straight(planted, group, weather.tmin_c, weather.tmax_c, latitude, factor)
    ours = run(planted, group, weather.tmin_c, weather.tmax_c, latitude, model=jones_boote_kantolic)
    assert np.floor(ours).astype(int).tolist() == loop


def test_the_way_from_r1_to_r3_shortens_faster_with_later_planting(make_weather):
    # The reason for the shipped model: long days slow the crop more after R1 (Kantolic and Slafer 2007,
    # Annals of Botany 99:925-933), so it loses more of that way as days shorten.
    weather = make_weather(date(2025, 4, 1), date(2025, 12, 31), mean_c=14.0)
    lost = {}
    for model in (jones_boote, jones_boote_kantolic):
        ways = [
            np.diff(
                run(planted, 6.0, weather.tmin_c, weather.tmax_c, 36.0, None, date(2025, 4, 1), model)[1:3]
            )
            for planted in (date(2025, 4, 20), date(2025, 7, 15))
        ]
        lost[model] = float(ways[0][0] - ways[1][0])
    assert 0 < lost[jones_boote] < lost[jones_boote_kantolic]
