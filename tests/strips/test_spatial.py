"""How few the many points are: Moran's I against a library and known answers; points in series."""

import dataclasses
import math

import geopandas as gpd
import numpy as np
import pytest
from esda import Moran
from hypothesis import given, settings
from hypothesis import strategies as st
from libpysal import examples
from libpysal.weights import KNN, Queen
from made_strip_points import strip_points

from zoning.strips.answer.spatial import along_passes, morans_i, nearest, spatial
from zoning.strips.terms import NOT_COUNTED, Placed, Tracks


def field(rng, rho: float, pairs=3, length=400, zones=2, spread=3.0):
    """Strips of one pass each, an AR(1) along it; treated ones yield more, zones differ."""
    grown, pair, treated, zone, east, north, track = [], [], [], [], [], [], []
    for at in range(2 * pairs):
        noise = rng.normal(size=length)
        for step in range(1, length):
            noise[step] = rho * noise[step - 1] + math.sqrt(1 - rho**2) * noise[step]
        of_zone = np.arange(length) * zones // length + 1
        grown.append(55 + 4.0 * (at % 2) + 6.0 * of_zone + spread * noise)
        pair.append(np.full(length, at // 2 + 1))
        treated.append(np.full(length, at % 2 == 1))
        zone.append(of_zone)
        east.append(np.full(length, 27.0 * at))
        north.append(2.0 * np.arange(length))
        track.append(np.full(length, at))
    return strip_points(*(np.concatenate(one) for one in (grown, pair, treated, zone, east, north, track)))


@pytest.mark.parametrize(("column", "known"), [("CRIME", 0.500189), ("HOVAL", 0.180093)])
def test_published_moran_of_columbus(column, known):
    # Moran's I of the neighbourhoods of Columbus, Ohio, with shared borders and corners and rows of weights
    # that sum to 1: the answers that GeoDa prints. The data come with libpysal (Anselin 1988, "Spatial
    # econometrics: methods and models").
    ground = gpd.read_file(examples.get_path("columbus.shp"))
    weights = Queen.from_dataframe(ground, use_index=False)
    weights.transform = "r"
    values = ground[column].to_numpy()
    rows = weights.to_adjlist(drop_islands=True)
    place = {name: at for at, name in enumerate(weights.id_order)}
    here, there = (rows[side].map(place).to_numpy() for side in ("focal", "neighbor"))
    assert morans_i(values, here, there, rows["weight"].to_numpy()) == pytest.approx(known, abs=5e-7)


@given(count=st.integers(12, 60), seed=st.integers(0, 1000), neighbours=st.integers(1, 8))
@settings(max_examples=25, deadline=None)
def test_witness_moran_of_a_library(count, seed, neighbours):
    rng = np.random.default_rng(seed)
    at = rng.uniform(0, 500, (count, 2))
    values = rng.normal(size=count) + at[:, 0] / 200
    few = min(neighbours, count - 1)
    weights = KNN.from_array(at, k=few, silence_warnings=True)
    weights.transform = "r"
    here, there = nearest(at, neighbours)
    assert len(here) == few * count
    theirs = Moran(values, weights, permutations=0)
    assert morans_i(values, here, there, np.ones(len(here))) == pytest.approx(theirs.I)


def test_witness_moran_of_residuals():
    points, cleaned, placed = field(np.random.default_rng(2), 0.8)
    said = spatial(points, cleaned, placed)
    left = cleaned.yield_bu_ac.copy()
    for pair in (1, 2, 3):
        for treated in (True, False):
            for zone in (1, 2):
                mine = (placed.pair == pair) & (placed.is_treated == treated) & (placed.zone == zone)
                left[mine] -= left[mine].mean()
    at = np.column_stack([points.east_m, points.north_m]) + 1e-6 * np.random.default_rng(0).random(
        (len(left), 2)
    )
    weights = KNN.from_array(at, k=8, silence_warnings=True)
    weights.transform = "r"
    # points in line are equally far from the ninth and tenth: the least noise decides which one counts
    assert said.morans_i == pytest.approx(Moran(left, weights, permutations=0).I, abs=0.01)
    assert said.points == len(left) == 2400


@pytest.mark.parametrize("rho", [0.0, 0.5, 0.9])
def test_points_in_series_are_worth_as_few_as_theory_says(rho):
    # AR(1): n (1 - rho) / (1 + rho) points, alike down to .05 over ln(.05) / ln(rho) steps of 2 m
    points, cleaned, placed = field(np.random.default_rng(7), rho, pairs=8, length=1200, zones=1)
    said = spatial(points, cleaned, placed)
    assert said.worth_points == pytest.approx(said.points * (1 - rho) / (1 + rho), rel=0.15)
    steps = math.ceil(math.log(0.05) / math.log(rho)) if rho else 1
    assert said.range_m == pytest.approx(2.0 * steps, rel=0.3)
    # the eight nearest are four before and four after
    assert said.morans_i == pytest.approx(np.mean(rho ** np.arange(1, 5)), abs=0.03)


def test_simulated_spread_of_means_is_that_of_as_many_independent_points():
    # 4,000 passes of 300 points: the mean of one varies as that of as many independent points as it is worth
    rng, rho, length = np.random.default_rng(3), 0.85, 300
    noise = rng.normal(size=(4000, length))
    for step in range(1, length):
        noise[:, step] = rho * noise[:, step - 1] + math.sqrt(1 - rho**2) * noise[:, step]
    group = np.repeat(np.arange(200), length)
    at = np.column_stack([np.zeros(len(group)), np.tile(2.0 * np.arange(length), 200)])
    _, worth = along_passes(noise[:200].ravel(), group, at)
    assert noise.var() / noise.mean(axis=1).var() == pytest.approx(worth / 200, rel=0.15)


def test_points_of_a_pass_are_followed_whatever_the_order_of_passes():
    points, cleaned, placed = field(np.random.default_rng(5), 0.8)
    told = spatial(points, cleaned, placed)
    order = np.argsort(np.arange(points.count) % 400, kind="stable")  # passes take turns, point by point
    turned = (
        dataclasses.replace(points, east_m=points.east_m[order], north_m=points.north_m[order]),
        dataclasses.replace(
            cleaned,
            yield_bu_ac=cleaned.yield_bu_ac[order],
            tracks=Tracks(
                number=cleaned.tracks.number[order],
                along_m=cleaned.tracks.along_m[order],
                heading_deg=cleaned.tracks.heading_deg[order],
            ),
        ),
        Placed(
            pair=placed.pair[order],
            zone=placed.zone[order],
            is_treated=placed.is_treated[order],
            along_m=placed.along_m[order],
            why=placed.why[order],
        ),
    )
    again = spatial(*turned)
    assert again.worth_points == pytest.approx(told.worth_points)
    assert again.range_m == pytest.approx(told.range_m)


def test_only_points_that_count_are_asked():
    points, cleaned, placed = field(np.random.default_rng(5), 0.5)
    why = placed.why.copy()
    why[::3] = NOT_COUNTED.index("headland")
    grown = cleaned.yield_bu_ac.copy()
    grown[::3] = 1e6
    grown[1] = math.nan
    said = spatial(
        points, dataclasses.replace(cleaned, yield_bu_ac=grown), dataclasses.replace(placed, why=why)
    )
    assert said.points == 2400 - 800 - 1
    assert 1 <= said.worth_points <= said.points


def test_nothing_to_say():
    points, cleaned, placed = field(np.random.default_rng(5), 0.5)
    nowhere = dataclasses.replace(placed, why=np.full(points.count, NOT_COUNTED.index("no strip")))
    assert spatial(points, cleaned, nowhere) is None
    level = dataclasses.replace(cleaned, yield_bu_ac=np.full(points.count, 61.7))
    assert spatial(points, level, placed) is None


def test_points_on_one_spot_are_not_their_own_neighbours():
    here, there = nearest(np.zeros((30, 2)), 4)
    assert len(here) == 120
    assert (here != there).all()


@given(seed=st.integers(0, 500), up=st.floats(-30, 30), factor=st.floats(0.1, 20))
@settings(max_examples=15, deadline=None)
def test_shift_and_unit_change_nothing(seed, up, factor):
    points, cleaned, placed = field(np.random.default_rng(seed), 0.6, pairs=2, length=60)
    told = spatial(points, cleaned, placed)
    moved = dataclasses.replace(cleaned, yield_bu_ac=factor * cleaned.yield_bu_ac + up)
    again = spatial(points, moved, placed)
    assert again.morans_i == pytest.approx(told.morans_i, abs=1e-9)
    assert again.worth_points == pytest.approx(told.worth_points)
    assert 1 <= told.worth_points <= told.points
    assert again.note == told.note
    assert "2 pairs are what counts" in told.note.text
    assert "one pair is what counts" in spatial(*field(np.random.default_rng(seed), 0.6, pairs=1)).note.text
