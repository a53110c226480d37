"""A plan as a GeoDataFrame: the same zones and figures as the files, read by another library's geometry."""

import pytest
from made_plans import Made, made_plan, with_scouting

from zoning.prescription import geopackage
from zoning.prescription.frame import layer_frame


def test_the_frame_holds_what_the_geopackage_holds(tmp_path):
    geopandas = pytest.importorskip("geopandas")
    plan = made_plan(Made(labels=[[1, 2], [3, 3]]))
    geopackage.write(plan, tmp_path)
    written = geopandas.read_file(tmp_path / "zones.gpkg", layer="zones")
    made = layer_frame(plan, "zones")
    assert made.crs == written.crs
    assert list(made["zone"]) == list(written["zone"]) == [zone.zone for zone in plan.zones]
    assert made["net_usd_ac_mean"].tolist() == pytest.approx(written["net_usd_ac_mean"].tolist())
    assert made["action"].tolist() == written["action"].tolist()
    assert made.geometry.geom_equals(written.geometry).all()  # one part or a collection of one part


def test_the_area_of_the_frame_is_that_of_the_plan():
    plan = made_plan(Made(labels=[[1, 2], [3, 3]]))
    made = layer_frame(plan, "zones")
    plane_ac = made.to_crs(plan.epsg).geometry.area / 4046.8564224
    # a UTM plane differs from the ellipsoid by less than one part in a thousand
    assert plane_ac.tolist() == pytest.approx(made["area_ac"].tolist(), rel=1e-3)


def test_scouting_as_a_frame_is_that_of_the_geopackage_and_lies_on_its_zones(tmp_path):
    geopandas = pytest.importorskip("geopandas")
    plan = with_scouting(made_plan(Made(labels=[[1, 2], [3, 3]])), counted=[1, 3], low=[2])
    geopackage.write(plan, tmp_path)
    written = geopandas.read_file(tmp_path / "zones.gpkg", layer="scouting")
    made = layer_frame(plan, "scouting")
    assert made.crs == written.crs
    assert made["text"].tolist() == written["text"].tolist()
    assert made["source"].tolist() == ["scouting.csv:2", "scouting.csv:2", ""]
    assert made.geometry.geom_equals_exact(written.geometry, 1e-6).all()
    joined = made.sjoin(layer_frame(plan, "zones")[["zone", "geometry"]], lsuffix="of", rsuffix="under")
    assert joined["zone_of"].tolist() == joined["zone_under"].tolist() == [1, 3, 2]


def test_a_field_nobody_scouted_has_an_empty_frame():
    made = layer_frame(made_plan(Made(labels=[[1, 2], [3, 3]])), "scouting")
    assert len(made) == 0
    assert made.crs == "EPSG:4326"
