"""The made region: what is said to be true of it holds together, and no planner has a hand in it."""

import ast
import json
from pathlib import Path

import made_region as region_module
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_region import TODAY, made_region
from made_region_truth import Sprayed
from made_seasons import TrueZone
from pyproj import Geod
from shapely import box
from shapely.geometry import shape
from shapely.ops import unary_union

FIELDS = 24
MADE = Path(region_module.__file__).parent
TRUTH = ("made_region", "made_region_files", "made_region_truth", "made_region_weather", "made_seasons")


@pytest.fixture(scope="module")
def region(tmp_path_factory):
    return made_region(tmp_path_factory.mktemp("made") / "region", FIELDS, seed=2)


def _whole(field, day, visit=1):
    return Sprayed(outline=field.outline, days=((day, 1.0),), visit=visit)


def _files(folder):
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def _parts(field, at_frac):
    west, south, east, north = field.outline.bounds
    cut = west + at_frac * (east - west)
    left, right = box(west - 1, south - 1, cut, north + 1), box(cut, south - 1, east + 1, north + 1)
    return field.outline.intersection(left), field.outline.intersection(right)


def test_no_planner_has_a_hand_in_it():
    for name in TRUTH:
        for node in ast.walk(ast.parse((MADE / f"{name}.py").read_text(encoding="utf-8"))):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            names += [one.name for one in node.names] if isinstance(node, ast.Import) else []
            assert not [one for one in names if one.split(".")[0] in ("zoning", "cli")]


def test_areas_are_those_of_the_boundary_files(region):
    for field in region.fields:
        table = json.loads((region.farm / field.name / "boundary.geojson").read_text(encoding="utf-8"))
        outline = unary_union([shape(one["geometry"]) for one in table["features"]])
        geodesic_ac = abs(Geod(ellps="WGS84").geometry_area_perimeter(outline)[0]) / 4046.8564224
        assert field.area_ac == pytest.approx(geodesic_ac, rel=0.002)  # of UTM, at the edge of its zone
        assert field.ground.area_ac.sum() == pytest.approx(field.area_ac)
        assert set(np.unique(field.ground.block)) == set(range(len(field.blocks)))


def test_a_region_holds_fields_of_many_kinds(region):
    acres = np.array([field.area_ac for field in region.fields])
    assert acres.min() < 30  # what was left over
    assert acres.max() > 300  # half sections
    assert np.median(acres) == pytest.approx(160, rel=0.02)
    assert len({len(field.blocks) for field in region.fields}) == 3
    assert any(field.counted for field in region.fields)


def test_spraying_nothing_returns_nothing(region):
    field = region.fields[0]
    assert field.return_usd([]) == 0
    off = Sprayed(outline=box(0, 0, 1, 1), days=((TODAY.toordinal(), 1.0),))
    assert field.return_usd([off]) == -field.money.per_visit_usd


def test_too_early_and_too_late_only_costs(region):
    field = region.fields[0]
    for day in (field.blocks[0].begin_day[0] - 40, field.blocks[-1].begin_day[6] + 40):
        lost = field.money.cost_usd_ac * field.area_ac + field.money.per_visit_usd
        assert field.return_usd([_whole(field, day)]) == pytest.approx(-lost)


def test_each_cell_answers_as_a_zone_of_made_seasons(region):
    for field in region.fields[:6]:
        ground, day = field.ground, field.blocks[0].r3_day + 2.0
        net = field.net_usd_ac(day)
        for cell in range(0, net.size, 997):
            block = field.blocks[ground.block[cell]]
            zone = TrueZone(
                zone=1,
                block=0,
                area_ac=1.0,
                pressure="low",
                forecast_r3_day=0.0,
                begin_day=block.begin_day + ground.late_d[cell],
                gain_bu_ac=float(ground.gain_bu_ac[cell]),
                saved_bu_ac=float(ground.saved_bu_ac[cell]),
                late_share=field.late_share,
                diseased=True,
            )
            worth = field.money.price_usd_bu * float(zone.response_bu_ac(day)) - field.money.cost_usd_ac
            assert net[cell] == pytest.approx(worth, abs=1e-9)


@given(at=st.floats(0.05, 0.95), off_d=st.floats(-15, 25), number=st.integers(0, FIELDS - 1))
def test_parts_of_one_visit_return_what_the_whole_does(region, at, off_d, number):
    field = region.fields[number]
    day = field.blocks[0].r3_day + off_d
    parts = [Sprayed(outline=one, days=((day, 1.0),)) for one in _parts(field, at)]
    assert field.return_usd(parts) == pytest.approx(field.return_usd([_whole(field, day)]), abs=1e-6)


@given(
    at=st.floats(0.05, 0.95),
    offs_d=st.tuples(st.floats(-15, 25), st.floats(-15, 25)),
    which=st.sampled_from([(0,), (1,), (0, 1)]),
    number=st.integers(0, FIELDS - 1),
)
def test_no_plan_returns_more_than_the_clairvoyant(region, at, offs_d, which, number):
    field = region.fields[number]
    halves = _parts(field, at)
    plan = [
        Sprayed(outline=halves[one], days=((field.blocks[0].r3_day + offs_d[one], 1.0),), visit=one)
        for one in which
    ]
    assert field.return_usd(plan) <= field.clairvoyant_usd() + 1e-6


def test_disease_lies_in_patches_as_large_as_in_made_seasons(region):
    ill = [one for one in region.fields if one.disease.brown_bu_ac and not one.disease.frogeye_pct]
    assert ill
    shares, ratios = [], []
    for field in ill:
        saved = field.ground.saved_bu_ac
        shares.append(np.mean(saved > 0))
        ratios.append(saved.mean() / (field.disease.efficacy * field.disease.brown_bu_ac))
    assert np.mean(shares) == pytest.approx(0.85, abs=0.05)
    assert np.mean(ratios) == pytest.approx(0.85 * np.exp(0.3**2 / 2), abs=0.06)


def test_one_seed_makes_one_region_and_counting_changes_nothing_else(tmp_path):
    made_region(tmp_path / "a", 3, seed=5, small=True)
    made_region(tmp_path / "b", 3, seed=5, small=True)
    made_region(tmp_path / "c", 3, seed=5, small=True, counted=1.0)
    first = _files(tmp_path / "a")
    assert first == _files(tmp_path / "b")
    beside = {name: text for name, text in _files(tmp_path / "c").items() if "scouting" not in name}
    assert {name for name in beside if beside[name] != first.get(name)} <= {
        f"q{number:05d}/field.toml" for number in (1, 2, 3)
    }
