"""zones.gpkg read back by fiona and by sqlite."""

import sqlite3
import struct
from contextlib import closing
from dataclasses import replace
from datetime import date

import fiona
import pytest
import shapely
from made_plans import Made, made_plan, renamed, smooth_field, with_scouting
from shapely.geometry import shape

from zoning.plan import Override
from zoning.prescription import geopackage
from zoning.prescription.as_json.plan_json import as_object, flat
from zoning.words import Said


def plan_of(**wanted):
    labels, blocks = smooth_field(3, shape=(40, 39))
    return made_plan(
        Made(labels=labels, block_of_zone=blocks, cell_m=20, pass_of_zone={1: 1, 3: 1, 4: 2}, **wanted)
    )


NOTHING = ("by_source_own_trials", "override")  # objects that are null: nothing that a column could hold


def without_lists(row):
    """What a column can hold."""
    return {key: value for key, value in row.items() if not isinstance(value, list)}


def read(folder, layer):
    with fiona.open(folder / "zones.gpkg", layer=layer) as file:
        return [(shape(feature.geometry), dict(feature.properties)) for feature in file]


@pytest.mark.parametrize(
    ("level", "layers"),
    [
        (1, ["zones", "boundary"]),
        (2, ["zones", "boundary"]),
        (3, ["zones", "passes", "boundary"]),
    ],
)
def test_layers_of_each_level(tmp_path, level, layers):
    plan = plan_of(level=level)
    assert geopackage.write(plan, tmp_path) == ("zones.gpkg",)
    assert fiona.listlayers(tmp_path / "zones.gpkg") == [*layers, "layer_styles"]
    zones = read(tmp_path, "zones")
    assert [row["zone"] for _, row in zones] == [zone.zone for zone in plan.zones]
    assert all(row["action"] == zone.action for (_, row), zone in zip(zones, plan.zones, strict=True))
    assert [path.name for path in tmp_path.iterdir()] == ["zones.gpkg"]  # no -wal, no -journal


def overruled(plan):
    """The plan with a zone that somebody decided, and one whose decision is not followed."""
    why = Said("offers.no_day")
    decided = [
        Override(
            action="spray",
            rate_gal_ac=20.0,
            reason="lesions on the headland",
            decided_on=date(2026, 7, 9),
            computed="skip",
        ),
        Override(
            action="spray", rate_gal_ac=None, reason="my call", decided_on=None, computed="skip", refused=why
        ),
    ]
    zones = [replace(zone, override=one) for zone, one in zip(plan.zones, decided, strict=False)]
    return replace(plan, zones=(*zones, *plan.zones[len(zones) :]))


@pytest.mark.parametrize("units", ["us", "metric"])
def test_what_was_decided_for_a_zone_has_its_columns(tmp_path, units):
    plan = overruled(plan_of(units=units))
    geopackage.write(plan, tmp_path)
    rows = [row for _, row in read(tmp_path, "zones")]
    for row, wanted in zip(rows, as_object(plan)["zones"], strict=True):
        told = {key: value for key, value in flat(wanted).items() if key.startswith("override_")}
        assert {key: row[key] for key in told if told[key] is not None} == {
            key: value for key, value in told.items() if value is not None
        }
    assert rows[0]["override_reason"] == "lesions on the headland"
    assert rows[0]["override_decided_on"] == "2026-07-09"
    assert rows[1]["override_refused_text"]
    assert rows[2]["override_reason"] is None


@pytest.mark.parametrize("units", ["us", "metric"])
def test_every_figure_of_plan_json_has_a_column(tmp_path, units):
    plan = plan_of(units=units)
    geopackage.write(plan, tmp_path)
    whole = as_object(plan)
    for (_, row), wanted in zip(read(tmp_path, "zones"), whole["zones"], strict=True):
        expected = {key: value for key, value in without_lists(flat(wanted)).items() if key not in NOTHING}
        assert {key: row[key] for key in expected} == expected
        assert all(row[key] is None for key in set(row) - set(expected))
    for (_, row), wanted in zip(read(tmp_path, "passes"), whole["passes"], strict=True):
        numbers = " ".join(map(str, wanted["zones"]))
        one_level = {key: value for key, value in without_lists(wanted).items() if key != "load_sheet"}
        assert row == {**one_level, "zones": numbers}  # a load sheet is a page, and no row
    ((outline, row),) = read(tmp_path, "boundary")
    assert outline.equals(plan.boundary)
    assert row["run_id"] == plan.run_id


@pytest.mark.parametrize("level", [1, 3])
def test_scouting_is_a_layer_of_points_in_their_zones(tmp_path, level):
    plan = with_scouting(plan_of(level=level), counted=[1, 4], low=[2])
    geopackage.write(plan, tmp_path)
    passes = ["passes"] if level == 3 else []
    assert fiona.listlayers(tmp_path / "zones.gpkg") == [
        *("zones", *passes, "scouting", "boundary", "layer_styles"),
    ]
    outline_of = {zone.zone: zone.outline for zone in plan.zones}
    rows = read(tmp_path, "scouting")
    assert len(rows) == 3
    for (place, row), one, wanted in zip(rows, plan.scouting, as_object(plan)["scouting"], strict=True):
        assert place.geom_type == "Point"
        assert (place.x, place.y) == (wanted["lon"], wanted["lat"])
        assert outline_of[row["zone"]].contains(place)
        assert row == {key: value for key, value in wanted.items() if key not in ("lon", "lat")}
        assert row["date"] == one.on.isoformat()


def test_published_form_of_a_point_read_by_sqlite_alone(tmp_path):
    # OGC 12-128r15 (GeoPackage 1.3), 2.1.3: "GP", version 0, flags, srs_id, (envelope), then well-known
    # binary; flags: bit 0 little endian, bits 1-3 kind of envelope, 0 for none
    plan = with_scouting(plan_of(), counted=[1])
    geopackage.write(plan, tmp_path)
    with closing(sqlite3.connect(tmp_path / "zones.gpkg")) as base:
        assert base.execute(
            "select geometry_type_name, srs_id from gpkg_geometry_columns where table_name = 'scouting'"
        ).fetchall() == [("POINT", 4326)]
        ((blob, *row),) = base.execute("select geom, date, zone, kind, text from scouting").fetchall()
    assert row == ["2026-06-28", 1, "count", "20 plants: 14 R2, 6 R3"]
    assert blob[:3] == b"GP\0"
    assert blob[3] == 1  # little endian, no envelope
    srs, order, kind, lon, lat = struct.unpack("<iBIdd", blob[4:])
    assert (srs, order, kind) == (4326, 1, 1)
    assert (lon, lat) == pytest.approx((plan.scouting[0].lon, plan.scouting[0].lat), abs=5.1e-7)


def test_without_dates_the_columns_stay(tmp_path):
    geopackage.write(plan_of(level=1, dates=False), tmp_path)
    _, row = read(tmp_path, "zones")[0]
    assert row["stage_r3_likely"] is None
    assert row["net_usd_ac_mean"] is None


def test_published_container_marks(tmp_path):
    # OGC 12-128r15 (GeoPackage 1.3), requirement 2: application id "GPKG", user_version 10300
    geopackage.write(plan_of(), tmp_path)
    with closing(sqlite3.connect(tmp_path / "zones.gpkg")) as base:
        assert base.execute("pragma application_id").fetchone()[0].to_bytes(4, "big") == b"GPKG"
        assert base.execute("pragma user_version").fetchone() == (10300,)
        assert base.execute("pragma integrity_check").fetchone() == ("ok",)
        when = base.execute("select distinct last_change from gpkg_contents").fetchall()
    assert when == [("2026-07-01T00:00:00.000Z",)]


def test_geometry_is_the_plans(tmp_path):
    plan = plan_of()
    geopackage.write(plan, tmp_path)
    shapes = [outline for outline, _ in read(tmp_path, "zones")]
    assert {outline.geom_type for outline in shapes} == {"MultiPolygon"}
    assert all(found.equals(zone.outline) for found, zone in zip(shapes, plan.zones, strict=True))
    assert shapely.coverage_is_valid(shapes)


def test_hostile_names_come_back_unchanged(tmp_path):
    plan = renamed(plan_of(), "x'; DROP TABLE zones; -- " + "é" * 256, 'Ünal "40" \' 漢字')
    geopackage.write(plan, tmp_path)
    assert read(tmp_path, "boundary")[0][1]["field"] == plan.field
    assert read(tmp_path, "zones")[0][1]["block"] == plan.zones[0].block


def test_same_plan_same_bytes(tmp_path):
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    for name in "ab":
        geopackage.write(plan_of(), tmp_path / name)
    assert (tmp_path / "a/zones.gpkg").read_bytes() == (tmp_path / "b/zones.gpkg").read_bytes()
