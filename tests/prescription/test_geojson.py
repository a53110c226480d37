"""The GeoJSON of a pass, read by json and shapely alone."""

import json
import tempfile
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_plans import GEOD, M2_PER_AC, Made, acres, made_plan, renamed, smooth_field
from shapely.geometry import shape

from zoning import __version__
from zoning.plan import MapPart
from zoning.prescription.of_a_pass import geojson
from zoning.words import Said


def plan_of(seed=3, **wanted):
    labels, blocks = smooth_field(seed, shape=(40, 39), hole=True)
    told = {"cell_m": 20, "pass_of_zone": {1: 1, 3: 1, 4: 2}} | wanted
    return made_plan(Made(labels=labels, block_of_zone=blocks, **told))


def written(plan, folder):
    names = geojson.write(plan, folder)
    return [json.loads((folder / name).read_text(encoding="utf-8")) for name in names]


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    seed=st.integers(0, 50),
    simplify_m=st.sampled_from([0.0, 25.0]),
    south=st.booleans(),
    units=st.sampled_from(["us", "metric"]),
)
def test_published_rules_of_the_rfc(seed, simplify_m, south, units):
    # RFC 7946: 3.1.6 (linear rings closed, exterior counter-clockwise, holes clockwise), 4 (longitude first,
    # degrees, no crs member), 5 (bbox west, south, east, north), 7.1 (foreign members are no GeoJSON member)
    where = {"epsg": 32720, "origin_m": (600_000.0, 6_400_000.0)} if south else {}
    plan = plan_of(seed, simplify_m=simplify_m, units=units, **where)
    with tempfile.TemporaryDirectory() as place:
        files = written(plan, Path(place))
    assert len(files) == len(plan.passes)
    for whole, one in zip(files, plan.passes, strict=True):
        assert whole["type"] == "FeatureCollection"
        assert not {"crs", "geometry", "coordinates", "properties", "geometries"} & set(whole)
        corners = []
        for feature in whole["features"]:
            assert set(feature) == {"type", "properties", "geometry"}
            assert feature["geometry"]["type"] == "Polygon"
            rings = feature["geometry"]["coordinates"]
            for number, ring in enumerate(rings):
                assert ring[0] == ring[-1]
                assert len(ring) >= 4
                twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(ring))
                assert (twice > 0) == (number == 0)
            corners += [corner for ring in rings for corner in ring]
        assert all(-180 <= lon <= 180 and -90 <= lat <= 90 for lon, lat in corners)
        assert all(round(value, 9) == value for corner in corners for value in corner)
        lons, lats = zip(*corners, strict=True)
        assert whole["bbox"] == [min(lons), min(lats), max(lons), max(lats)]
        shapes = [shape(feature["geometry"]) for feature in whole["features"]]
        assert shapely.is_valid(shapes).all()
        assert shapely.coverage_is_valid(shapes)
        check_figures(whole, one, shapes, units)


def check_figures(whole, one, shapes, units):
    """Rates and areas are those of the map of the pass; metric ones stand beside."""
    assert len(shapes) == len(one.map.parts)
    for feature, outline, part in zip(whole["features"], shapes, one.map.parts, strict=True):
        row = feature["properties"]
        assert row["action"] == ("spray" if part.rate_gal_ac else "off")
        assert 0 <= row["rate_gal_ac"] - part.rate_gal_ac < 0.01
        # nine decimals move a corner by at most 0.08 mm (half of 1e-9 deg each way): over the whole rim
        rim_m = GEOD.geometry_length(outline.boundary)
        assert row["area_ac"] == pytest.approx(acres(outline), abs=1e-6 + 8e-5 * rim_m / M2_PER_AC)
        assert ("rate_l_ha" in row) == ("area_ha" in row) == (units == "metric")
        if units == "metric":
            # by hand: 1 gal/ac = 3.785411784 L / 0.40468564224 ha
            assert row["rate_l_ha"] == pytest.approx(part.rate_gal_ac * 9.3539563, abs=0.011)
            assert row["area_ha"] == pytest.approx(row["area_ac"] * 0.40468564224, abs=1e-5)


def test_a_file_says_what_it_is(tmp_path):
    plan = renamed(plan_of(), 'Ünal "40" \\ 漢字', "A")
    first, second = written(plan, tmp_path)
    about = {
        "run_id": plan.run_id,
        "field": plan.field,
        "farm": plan.farm,
        "pass": 1,
        "day": "2026-07-06",
        "half": "AM",
        "sprayer": "ground rig",
        "units": "us",
        "made_on": "2026-07-01",
        "version": f"sprayworth {__version__}",
        "schema_version": 1,
        "rate_unit": "US gal/ac",
    }
    assert {key: first[key] for key in about} == about
    assert (second["pass"], second["day"]) == (2, "2026-07-14")
    assert "total volume of spray mix" in first["note"]
    assert "warning" not in first


def test_a_map_that_cannot_be_followed_says_so_inside(tmp_path):
    plan = plan_of()
    told = Said("zones.one_response", block="A")
    one = replace(plan.passes[0], map=replace(plan.passes[0].map, not_followed=(told,)))
    first, second = written(replace(plan, passes=(one, *plan.passes[1:])), tmp_path)
    assert first["warning"] == told.text
    assert "warning" not in second


def test_a_narrow_place_keeps_every_digit():
    # By hand: the waist is 4e-10 deg wide at 45 N, and 9 decimals would put both of its sides on 45.0.
    waist = shapely.Polygon([(10, 45.001), (10.001, 45 + 2e-10), (10.002, 45.001), (10.002, 44.999),
                             (10.001, 45 - 2e-10), (10, 44.999)])  # fmt: skip
    cut = shapely.transform(waist, lambda corner: corner.round(9))
    assert not cut.is_valid
    (kept,) = geojson.outlines([waist])
    assert kept.equals(waist)
    assert shapely.is_ccw(kept.exterior)


def test_shared_corners_stay_shared_where_digits_are_cut():
    # By hand: 1e-10 deg beyond nine decimals on each side of the line that both share
    west = shapely.Polygon([(0, 0), (1.0000000004, 0), (1.0000000006, 1), (0, 1)])
    east = shapely.Polygon([(1.0000000004, 0), (2, 0), (2, 1), (1.0000000006, 1)])
    found = geojson.outlines([west, east])
    assert shapely.coverage_is_valid(list(found))
    assert {corner for one in found for corner in one.exterior.coords} == {
        (0, 0), (1, 0), (1.000000001, 1), (0, 1), (2, 0), (2, 1),
    }  # fmt: skip


def test_same_plan_same_bytes_and_none_without_a_pass(tmp_path):
    plan = plan_of()
    (name, _) = geojson.write(plan, tmp_path)
    assert name == "passes/P1/P1_0706.geojson"
    before = (tmp_path / name).read_bytes()
    geojson.write(plan_of(), tmp_path)
    assert (tmp_path / name).read_bytes() == before
    assert geojson.write(plan_of(pass_of_zone={}), tmp_path) == ()
    assert geojson.write(plan_of(level=2), tmp_path) == ()


def test_a_map_with_a_gap_is_never_written(tmp_path):
    plan = plan_of()
    one = plan.passes[0]
    first = one.map.parts[0]
    small = MapPart(outline=first.outline.buffer(-1e-5), rate_gal_ac=first.rate_gal_ac)
    broken = replace(one, map=replace(one.map, parts=(small, *one.map.parts[1:])))
    with pytest.raises(ValueError, match="map of pass 1"):
        geojson.write(replace(plan, passes=(broken, *plan.passes[1:])), tmp_path)
    assert not list(tmp_path.rglob("*.geojson"))
