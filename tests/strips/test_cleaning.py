"""Cleaning: each rule takes what it names, nobody's treatment decides, and every point is accounted for."""

import inspect
import os
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_passes import HEADER_M, Made, as_yields, harvest, las_rosas, points_of

from zoning.strips.cleaned.along import runs_of
from zoning.strips.cleaned.cleaning import clean
from zoning.strips.cleaned.neighbours import differs_from_neighbours, far_from_pass, speed_steps
from zoning.strips.cleaned.rules import RULES, Sheet
from zoning.strips.cleaned.tracks import taken
from zoning.words import SENTENCES

CODES = list(RULES)
SMALL = Made(passes=6, length_m=300)


def place_of(code):
    """What `removed_by` says of a rule."""
    return CODES.index(code) + 1


def taken_by(cleaned, code):
    return cleaned.removed_by == place_of(code)


def check(cleaned, points):
    """What holds of every answer."""
    assert len(cleaned.yield_bu_ac) == len(cleaned.removed_by) == points.count
    assert [one.code for one in cleaned.rules] == CODES
    left = points.count
    for place, one in enumerate(cleaned.rules, start=1):
        assert one.before == left
        assert one.removed == np.sum(cleaned.removed_by == place)
        left -= one.removed
    assert left == cleaned.kept.sum()
    assert np.isfinite(cleaned.yield_bu_ac[cleaned.kept]).all()
    assert (cleaned.tracks.number[cleaned.kept] >= 0).all()


@pytest.mark.parametrize("code", CODES)
def test_every_rule_has_a_sentence_without_figures(code):
    assert SENTENCES[f"cleaning.{code}"].format() == SENTENCES[f"cleaning.{code}"]


def test_cleaning_is_not_told_of_strips():
    # blind by its arguments: neither points, nor sheet, nor signature hold a treatment
    assert list(inspect.signature(clean).parameters) == ["points", "header_m"]
    for one in fields(Sheet):
        assert "treat" not in one.name
        assert "strip" not in one.name


@given(seed=st.integers(0, 50), residual_s=st.sampled_from([0.0, 5.0]), turns=st.booleans())
@settings(max_examples=10)
def test_counts_add_up_and_most_of_a_good_file_is_kept(seed, residual_s, turns):
    points, _, number = harvest(seed, replace(SMALL, residual_s=residual_s, turns=turns))
    cleaned = clean(points, HEADER_M)
    check(cleaned, points)
    assert not cleaned.kept[number < 0].any()
    # 16 of 150 seconds of each pass are its ends
    assert 0.80 < cleaned.kept[number >= 0].mean() < 0.90


def test_by_hand_ends_of_a_pass_are_eight_seconds():
    # a second apart: eight points whose time from either end is below 8 s
    points, _, number = harvest(1, replace(SMALL, residual_s=0))
    ends = taken_by(clean(points, HEADER_M), "ends")
    for one in range(6):
        of_pass = ends[number == one]
        assert of_pass[:8].all()
        assert of_pass[-8:].all()
        assert not of_pass[8:-8].any()


def test_by_hand_without_times_ends_are_metres_at_a_usual_speed():
    # 8 s at 4.5 mph (2.0117 m/s) are 16.1 m: nine points 2 m apart
    cleaned = clean(
        points_of(east_m=np.zeros(100), north_m=2.0 * np.arange(100), yield_bu_ac=np.full(100, 50.0)),
        HEADER_M,
    )
    assert np.flatnonzero(taken_by(cleaned, "ends")).tolist() == [*range(9), *range(91, 100)]
    assert "cleaning.no_time" in [one.code for one in cleaned.notes]


def test_after_a_lag_places_without_a_measurement_are_ends():
    points, stood, number = harvest(3, Made(residual_s=12.0))
    cleaned = clean(points, HEADER_M)
    assert cleaned.lag.amount == pytest.approx(12, abs=1)
    of_pass = taken_by(cleaned, "ends")[number == 4]
    assert of_pass[-11:].all()
    assert not of_pass[8:-14].any()
    errors = (cleaned.yield_bu_ac - stood)[cleaned.kept]
    assert np.abs(errors.mean()) < 0.5


def faulty(points, at, **values):
    """The same points with other values at some of them."""
    columns = {}
    for name, value in values.items():
        columns[name] = getattr(points, name).copy()
        columns[name][at] = value
    return replace(points, **columns)


@pytest.mark.parametrize(
    ("code", "values"),
    [
        ("outside", {"is_inside": False}),
        ("header_up", {"is_header_up": True}),
        ("stray", {"east_m": 500_020.0}),
        ("stray", {"north_m": np.nan}),
        ("no_yield", {"flow_kg_s": np.nan}),
        ("no_yield", {"distance_m": 0.0}),
        ("speed", {"distance_m": 0.5}),
        ("speed", {"distance_m": 5.0}),
        ("speed_step", {"distance_m": 1.3}),
        ("flow", {"flow_kg_s": 40.0}),
        ("moisture", {"moisture_frac": 0.45}),
        ("moisture", {"moisture_frac": 0.16}),
        ("narrow", {"swath_m": 4.0}),
    ],
)
def test_each_rule_takes_a_fault_of_its_kind(code, values):
    points, _, _ = harvest(7, SMALL)
    points = replace(points, swath_m=np.full(points.count, HEADER_M))
    at = 60  # in the middle of the first pass
    cleaned = clean(faulty(points, at, **values), HEADER_M)
    assert CODES[cleaned.removed_by[at] - 1] == code


def test_a_distance_far_from_its_pass_is_taken_where_the_speed_says_nothing():
    points = as_yields(harvest(7, SMALL)[0])
    points = replace(points, distance_m=np.full(points.count, 2.0), speed_m_s=np.full(points.count, np.nan))
    assert taken_by(clean(faulty(points, 60, distance_m=2.3), HEADER_M), "distance").nonzero()[
        0
    ].tolist() == [60]


@pytest.mark.parametrize("value", [0.0, 2.0, 200.0])
def test_what_no_soybeans_yield_is_taken(value):
    points = as_yields(harvest(7, SMALL)[0])
    many = slice(40, 90)  # too many for an outlier of their pass
    cleaned = clean(faulty(points, many, yield_bu_ac=value), HEADER_M)
    assert set(cleaned.removed_by[many]) <= {place_of("limits"), place_of("flow")}


def test_a_spike_is_taken_by_its_neighbours():
    points, stood, _ = harvest(7, SMALL)
    spike = faulty(points, 60, flow_kg_s=points.flow_kg_s[60] * 0.6)
    cleaned = clean(spike, HEADER_M)
    assert CODES[cleaned.removed_by[60] - 1] in ("flow", "local")
    assert stood[60] > 40


def test_a_quiet_pass_is_not_held_to_its_own_quiet():
    # 160 values that spread by 4 and 40 that do not: half of what is usual is about 2, so 3 up is no outlier
    # there, and 20 up is
    values = np.concatenate((50 + 4 * np.random.default_rng(2).normal(size=160), np.full(40, 50.0)))
    runs = runs_of(np.repeat([0, 1], [160, 40]))
    along_m = 2.0 * np.arange(200)
    for up, is_taken in ((3.0, False), (20.0, True)):
        values[180] = 50 + up
        assert differs_from_neighbours(values, along_m, runs)[180] == is_taken


def test_a_poor_part_of_the_field_is_kept():
    # a wet hollow, 80 m of each pass, with a fifth of the yield
    points, _, number = harvest(8, Made(passes=20))
    hollow = (points.north_m > 4_600_150) & (points.north_m < 4_600_230) & (number >= 0)
    flow = np.where(hollow, 0.2 * points.flow_kg_s, points.flow_kg_s)
    cleaned = clean(replace(points, flow_kg_s=flow), HEADER_M)
    assert cleaned.kept[hollow].mean() > 0.85


def test_a_pass_of_which_little_is_left_is_taken():
    points, _, number = harvest(9, replace(SMALL, length_m=60))
    cleaned = clean(points, HEADER_M)
    assert not cleaned.kept.any()
    assert taken_by(cleaned, "short").sum() > 0.3 * (number >= 0).sum()


@pytest.mark.parametrize("overlap_frac", [0.0, 0.1, 0.3, 0.5])
def test_a_swath_over_ground_that_was_cut_is_taken(overlap_frac):
    points, _, number = harvest(10, SMALL)
    closer = replace(points, east_m=points.east_m - np.where(number >= 3, overlap_frac * HEADER_M, 0))
    cleaned = clean(closer, HEADER_M)
    narrow = taken_by(cleaned, "narrow")
    if overlap_frac < 0.2:
        assert narrow.sum() == 0
    else:
        assert narrow[number == 3].mean() > 0.8
        assert narrow[number != 3].sum() == 0


def test_ground_that_is_driven_twice_is_said_and_taken_once():
    points, _, number = harvest(11, SMALL)
    again = taken(points, np.flatnonzero(number == 2))
    later = replace(
        again,
        time_s=again.time_s + 10_000,
        east_m=again.east_m + 0.4,
        flow_kg_s=again.flow_kg_s * 1.01,
    )
    both = joined(points, later)
    cleaned = clean(both, HEADER_M)
    plain = clean(points, HEADER_M)
    assert not cleaned.kept[points.count :].any()
    assert np.sum(cleaned.kept[: points.count] != plain.kept) <= 2  # the spread of the file is another
    assert ("cleaning.again", {"passes": 1}) in [(one.code, one.values) for one in cleaned.notes]


def joined(one, other):
    """Two files in one."""
    arrays = {
        part.name: np.concatenate((getattr(one, part.name), getattr(other, part.name)))
        for part in fields(one)
        if isinstance(getattr(one, part.name), np.ndarray)
    }
    return replace(one, **arrays)


@pytest.mark.parametrize("has_time", [True, False])
def test_a_file_that_holds_everything_twice_counts_once(has_time):
    points, _, _ = harvest(12, SMALL)
    if not has_time:
        points = replace(points, time_s=np.full(points.count, np.nan))
    plain = clean(points, HEADER_M)
    cleaned = clean(joined(points, points), HEADER_M)
    assert cleaned.kept.sum() <= plain.kept.sum() * 1.01
    assert cleaned.kept.sum() > plain.kept.sum() * 0.9
    assert ("cleaning.twice", {"rows": points.count}) in [(one.code, one.values) for one in cleaned.notes]


def test_rows_that_come_twice_count_once():
    points, _, _ = harvest(12, SMALL)
    rows = np.sort(np.concatenate((np.arange(points.count), np.arange(50, 90))))
    cleaned = clean(taken(points, rows), HEADER_M)
    check(cleaned, taken(points, rows))
    assert len(np.unique(rows[cleaned.kept])) == cleaned.kept.sum()
    assert ("cleaning.twice", {"rows": 40}) in [(one.code, one.values) for one in cleaned.notes]


def test_a_header_wider_than_passes_lie_apart_is_said():
    points, _, _ = harvest(13, SMALL)
    said = {one.code: one.values for one in clean(points, 1.5 * HEADER_M).notes}
    assert said["cleaning.close"]["percent"] == pytest.approx(100 / 1.5, abs=5)
    assert "cleaning.close" not in [one.code for one in clean(points, HEADER_M).notes]


# Blind to the treatment


@given(added=st.lists(st.floats(-8, 8), min_size=6, max_size=6), seed=st.integers(0, 20))
@settings(max_examples=25)
def test_neighbours_decide_alike_whatever_is_added_to_whole_passes(added, seed):
    rng = np.random.default_rng(seed)
    runs = runs_of(np.repeat(np.arange(6), 80))
    values = 50 + rng.standard_t(3, size=480) * 4
    more = values + np.repeat(added, 80)
    along_m = np.tile(2.0 * np.arange(80), 6)
    here, there = (differs_from_neighbours(one, along_m, runs) for one in (values, more))
    np.testing.assert_array_equal(there, here)
    np.testing.assert_array_equal(far_from_pass(more, runs), far_from_pass(values, runs))


@pytest.mark.parametrize("effect", [1.0, 2.0, 4.0])
def test_cleaning_moves_the_difference_of_treated_passes_by_less_than_a_twentieth(effect):
    moved = []
    for seed in range(6):
        rng = np.random.default_rng(seed)
        hit = {}
        for name, effects in (("plain", ()), ("treated", (0.0, effect))):
            points, _, number = harvest(seed, Made(passes=20, effects=effects))
            spikes = (
                np.where(rng.permuted(np.arange(points.count)) < 60, 0.5, 1.0) if not hit else hit["spikes"]
            )
            hit["spikes"] = spikes
            hit[name] = clean(replace(points, flow_kg_s=points.flow_kg_s * spikes), HEADER_M)
        yields = hit["treated"].yield_bu_ac
        by_kept = [
            yields[kept & (number % 2 == 1)].mean() - yields[kept & (number >= 0) & (number % 2 == 0)].mean()
            for kept in (hit["treated"].kept, hit["plain"].kept)
        ]
        moved.append(by_kept[0] - by_kept[1])
    assert np.abs(np.mean(moved)) < 0.05
    assert np.abs(moved).max() < 0.1


def test_removed_points_are_shared_alike_by_treated_and_untreated_passes():
    points, _, number = harvest(21, Made(effects=(0.0, 8.0)))
    kept = clean(points, HEADER_M).kept
    treated, untreated = kept[(number >= 0) & (number % 2 == 1)], kept[(number >= 0) & (number % 2 == 0)]
    assert treated.mean() == pytest.approx(untreated.mean(), abs=0.01)


# The same field told otherwise


@given(
    seed=st.integers(0, 10),
    turn_deg=st.floats(0, 360),
    east_m=st.floats(-5e5, 5e5),
    north_m=st.floats(-4e6, 4e6),
)
@settings(max_examples=10)
def test_a_field_that_is_turned_or_moved_is_cleaned_alike(seed, turn_deg, east_m, north_m):
    points, _, _ = harvest(seed, SMALL)
    plain = clean(points, HEADER_M)
    middle = points.east_m.mean(), points.north_m.mean()
    way = (points.east_m - middle[0] + 1j * (points.north_m - middle[1])) * np.exp(1j * np.deg2rad(turn_deg))
    moved = clean(
        replace(points, east_m=way.real + middle[0] + east_m, north_m=way.imag + middle[1] + north_m),
        HEADER_M,
    )
    np.testing.assert_array_equal(moved.removed_by, plain.removed_by)
    np.testing.assert_allclose(moved.yield_bu_ac, plain.yield_bu_ac, rtol=1e-6)
    np.testing.assert_array_equal(moved.tracks.number, plain.tracks.number)


@given(order=st.permutations(range(6)), seed=st.integers(0, 10))
@settings(max_examples=10)
def test_the_order_of_passes_in_the_file_does_not_matter(order, seed):
    points, _, number = harvest(seed, SMALL)
    of_pass = np.maximum.accumulate(number)  # a turn goes with the pass before it
    rows = np.concatenate([np.flatnonzero(of_pass == one) for one in order])
    plain, shuffled = clean(points, HEADER_M), clean(taken(points, rows), HEADER_M)
    np.testing.assert_array_equal(shuffled.removed_by, plain.removed_by[rows])
    np.testing.assert_allclose(shuffled.yield_bu_ac, plain.yield_bu_ac[rows])
    np.testing.assert_array_equal(shuffled.tracks.number, plain.tracks.number[rows])


def test_rows_in_no_order_without_times_are_said():
    points = as_yields(harvest(3, SMALL)[0])
    rows = np.random.default_rng(0).permutation(points.count)
    nothing = np.full(points.count, np.nan)
    mixed = taken(replace(points, time_s=nothing, interval_s=nothing), rows)
    cleaned = clean(mixed, HEADER_M)
    check(cleaned, mixed)
    assert not cleaned.kept.any()
    assert "cleaning.out_of_order" in [one.code for one in cleaned.notes]


# Poor files

COLUMNS = (
    "time_s",
    "flow_kg_s",
    "yield_bu_ac",
    "moisture_frac",
    "speed_m_s",
    "distance_m",
    "swath_m",
    "interval_s",
)


@given(
    count=st.sampled_from([0, 1, 2, 3, 40]),
    values=st.lists(st.sampled_from([np.nan, 0.0, -1.0, 0.12, 2.0, 50.0, 1e9]), min_size=8, max_size=8),
    step_m=st.sampled_from([0.0, 2.0, np.nan]),
    up=st.booleans(),
    inside=st.booleans(),
)
@settings(max_examples=150)
def test_constant_and_missing_columns_make_no_fuss(count, values, step_m, up, inside):
    points = points_of(
        east_m=np.full(count, 5.0),
        north_m=step_m * np.arange(count),
        is_header_up=np.full(count, up),
        is_inside=np.full(count, inside),
        **{name: np.full(count, value) for name, value in zip(COLUMNS, values, strict=True)},
    )
    check(clean(points, HEADER_M), points)


@given(seed=st.integers(0, 1000), missing=st.sets(st.sampled_from(COLUMNS)), share=st.floats(0, 1))
@settings(max_examples=40)
def test_cells_that_are_missing_make_no_fuss(seed, missing, share):
    points, _, _ = harvest(seed % 5, Made(passes=3, length_m=120))
    rng = np.random.default_rng(seed)
    for name in sorted(missing):
        gone = rng.random(points.count) < share
        points = faulty(points, gone, **{name: np.nan})
    check(clean(points, HEADER_M), points)


def test_one_pass_alone_is_cleaned():
    points, _, _ = harvest(2, replace(SMALL, passes=1))
    cleaned = clean(points, HEADER_M)
    check(cleaned, points)
    assert cleaned.kept.mean() > 0.7
    assert cleaned.lag.why.code == "cleaning.lag_few"


def test_a_field_without_any_point_on_a_pass_is_said():
    points, _, _ = harvest(2, replace(SMALL, passes=1))
    up = clean(replace(points, is_header_up=np.ones(points.count, dtype=bool)), HEADER_M)
    assert [one.code for one in up.notes] == ["cleaning.no_passes"]
    assert taken_by(up, "header_up").all()


def test_by_hand_a_jump_of_the_speed_takes_the_points_beside_it():
    # from 2.0 to 1.4 m/s, 30 % less, between the tenth and the eleventh point; then one point alone
    speed_m_s = np.repeat([2.0, 1.4], [10, 20])
    speed_m_s[22] = 2.0
    jumps = speed_steps(speed_m_s, runs_of(np.zeros(30, dtype=np.int64)))
    assert np.flatnonzero(jumps).tolist() == [9, 10, 22]


@pytest.mark.parametrize("year", [1999, 2001])
def test_observed_strips_lose_points_alike_under_all_rates(year):
    # points of a real combine, six rates of nitrogen in strips; halved, as if they were soybeans
    folder = os.environ.get("SPRAYWORTH_REFERENCE")
    if not folder:
        pytest.skip("SPRAYWORTH_REFERENCE is not set: the observed points are not part of this repository")
    east_m, north_m, labels, yield_t_ha = las_rosas(Path(folder), year)
    points = points_of(east_m=east_m, north_m=north_m, yield_bu_ac=0.5 * yield_t_ha / 0.0672511)
    cleaned = clean(points, 9.0)
    check(cleaned, points)
    assert 0.05 < 1 - cleaned.kept.mean() < 0.30
    rate = np.array([label[:2] for label in labels])
    inner = cleaned.kept | taken_by(cleaned, "local")
    local = [taken_by(cleaned, "local")[inner & (rate == one)].mean() for one in sorted(set(rate))]
    assert max(local) < 0.03
    for one in sorted(set(rate)):
        of_rate = rate == one
        before = points.yield_bu_ac[of_rate & inner].mean()
        assert points.yield_bu_ac[of_rate & cleaned.kept].mean() == pytest.approx(before, abs=1.0)
