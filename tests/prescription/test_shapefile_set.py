"""prescription.shp read back by readers that had no part in writing it."""

import struct
from dataclasses import replace
from datetime import date

import fiona
import numpy as np
import pytest
import shapefile as pyshp
import shapely
from made_plans import GEOD, M2_PER_AC, Made, acres, made_plan, renamed, smooth_field
from shapely.geometry import shape

from zoning.plan import NO_PRICE_PAYS
from zoning.prescription import shapefile

HOLE = [[1, 1, 1, 2], [1, 0, 1, 2], [1, 1, 1, 2], [3, 2, 2, 2]]  # zone 1 lies around a hole
NAMES = [
    "KIND",
    "ZONE",
    "BLOCK",
    "ACTION",
    "RATE_GPA",
    "PASS",
    "SPRAY_ON",
    "SPRAY_FROM",
    "SPRAY_BY",
    "R3_EARLY",
    "R3_LIKELY",
    "R3_LATE",
    "CLOSES",
    "NET_USD_AC",
    "P_PAYS",
    "BE_USD_BU",
    "AREA_AC",
]


def rows_of(folder):
    with pyshp.Reader(str(folder / "prescription.shp")) as reader:
        return [record.as_dict() for record in reader.records()]


def polygons_of(folder):
    with fiona.open(folder / "prescription.shp") as file:
        return [shape(feature.geometry) for feature in file]


def signed_area(ring):
    x, y = np.array(ring).T
    return 0.5 * np.sum(x[:-1] * y[1:] - x[1:] * y[:-1])


def three_blocks(**wanted):
    labels, blocks = smooth_field(3, shape=(40, 39))
    return made_plan(
        Made(labels=labels, block_of_zone=blocks, cell_m=20, pass_of_zone={1: 1, 3: 1, 4: 2}, **wanted)
    )


def test_columns_types_and_widths_as_the_design_says(tmp_path):
    names = shapefile.write(three_blocks(), tmp_path)
    assert sorted(names) == sorted(path.name for path in tmp_path.iterdir())
    with pyshp.Reader(str(tmp_path / "prescription.shp")) as reader:
        fields = {field[0]: (str(field[1])[-1], field[2], field[3]) for field in reader.fields[1:]}
        assert reader.shapeType == pyshp.POLYGON
    assert list(fields) == NAMES
    assert all(len(name) <= 10 and name.isascii() and name == name.upper() for name in fields)
    assert fields["RATE_GPA"] == ("N", 8, 2)
    assert fields["ZONE"][0] == fields["PASS"][0] == fields["P_PAYS"][0] == fields["BE_USD_BU"][0] == "N"
    text = ("KIND", "BLOCK", "ACTION", "SPRAY_ON", "SPRAY_FROM", "SPRAY_BY", "CLOSES", "R3_LIKELY")
    assert {fields[name][0] for name in text} == {"C"}


def test_published_file_header(tmp_path):
    # ESRI Shapefile Technical Description, July 1998, table 1: file code 9994 big-endian at byte 0, file
    # length in 16-bit words at byte 24, version 1000 and shape type 5 (polygon) little-endian at 28 and 32.
    shapefile.write(three_blocks(), tmp_path)
    raw = (tmp_path / "prescription.shp").read_bytes()
    assert struct.unpack(">i", raw[:4]) == (9994,)
    assert struct.unpack(">i", raw[24:28])[0] * 2 == len(raw)
    assert struct.unpack("<ii", raw[28:36]) == (1000, 5)


def test_crs_is_wgs84_for_terminals(tmp_path):
    shapefile.write(three_blocks(), tmp_path)
    assert (tmp_path / "prescription.prj").read_text().startswith('GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984"')
    with fiona.open(tmp_path / "prescription.shp") as file:
        assert file.crs.to_epsg() == 4326


def test_rings_run_as_published(tmp_path):
    # ESRI Shapefile Technical Description, July 1998, p. 8: the interior lies to the right of the ring, so
    # outer rings run clockwise and holes counter-clockwise.
    shapefile.write(made_plan(Made(labels=HOLE)), tmp_path)
    holes = 0
    with pyshp.Reader(str(tmp_path / "prescription.shp")) as reader:
        for one in reader.shapes():
            ends = [*one.parts[1:], len(one.points)]
            rings = [one.points[start:end] for start, end in zip(one.parts, ends, strict=True)]
            assert all(ring[0] == ring[-1] for ring in rings)
            assert signed_area(rings[0]) < 0
            assert all(signed_area(ring) > 0 for ring in rings[1:])
            holes += len(rings) - 1
    assert holes == 1


@pytest.mark.parametrize("seed", range(4))
def test_single_parts_cover_the_field_exactly(tmp_path, seed):
    labels, blocks = smooth_field(seed, zones_per_block=3, shape=(40, 39), hole=True)
    plan = made_plan(Made(labels=labels, block_of_zone=blocks, cell_m=20, simplify_m=8))
    shapefile.write(plan, tmp_path)
    polygons = polygons_of(tmp_path)
    assert {polygon.geom_type for polygon in polygons} == {"Polygon"}
    assert all(polygon.is_valid for polygon in polygons)
    assert shapely.coverage_is_valid(polygons)
    whole = shapely.union_all(polygons)
    assert whole.symmetric_difference(plan.boundary).area < 1e-9 * plan.boundary.area
    rows = rows_of(tmp_path)
    areas = [row["AREA_AC"] for row in rows]
    for area_ac, polygon in zip(areas, polygons, strict=True):
        own = abs(GEOD.geometry_area_perimeter(shapely.orient_polygons(polygon))[0]) / M2_PER_AC
        assert area_ac == pytest.approx(own, abs=0.00006)
    assert sum(areas) == pytest.approx(plan.area_ac, rel=1e-4)


def test_values_are_those_of_the_plan(tmp_path):
    plan = three_blocks()
    shapefile.write(plan, tmp_path)
    of_zone = {zone.zone: zone for zone in plan.zones}
    rows = rows_of(tmp_path)
    assert {row["ZONE"] for row in rows} == set(of_zone)
    for row in rows:
        zone = of_zone[row["ZONE"]]
        assert row["KIND"] == "ZONE"
        assert row["ACTION"] == zone.action.upper()
        assert row["PASS"] == (zone.pass_number or 0)
        assert row["RATE_GPA"] == (zone.rate_gal_ac or 0)
        assert row["SPRAY_ON"] == (zone.spray_on.isoformat() if zone.spray_on else "-")
        assert row["R3_LIKELY"] == zone.window.r3_likely.isoformat()
        assert row["NET_USD_AC"] == pytest.approx(zone.money.net_mean_usd_ac, abs=0.005)
        assert 0 <= row["P_PAYS"] <= 1


def test_no_value_is_missing_and_all_is_ascii(tmp_path):
    plan = renamed(
        three_blocks(dates=False), "Ñandú 'x' \"y\" " + "漢" * 256, "Größe' OR 1=1; --" + "é" * 256
    )
    shapefile.write(plan, tmp_path)
    for row in rows_of(tmp_path):
        assert all(value is not None and value != "" for value in row.values())
        assert row["BLOCK"].isascii()
        assert row["BLOCK"].startswith("Gro_e' OR 1")
        assert row["R3_LIKELY"] == "-"
    raw = (tmp_path / "prescription.dbf").read_bytes()
    head = struct.unpack("<H", raw[8:10])[0]
    assert raw[head:].rstrip(b"\x1a").isascii()


def test_metric_farm_gets_metric_columns(tmp_path):
    us, metric = tmp_path / "us", tmp_path / "metric"
    us.mkdir(), metric.mkdir()
    shapefile.write(three_blocks(), us)
    shapefile.write(three_blocks(units="metric"), metric)
    for ours, theirs in zip(rows_of(us), rows_of(metric), strict=True):
        assert theirs["RATE_LHA"] == pytest.approx(ours["RATE_GPA"] * 9.353956, abs=0.011)
        assert theirs["AREA_HA"] == pytest.approx(ours["AREA_AC"] * 0.40468564, abs=0.0001)
        assert theirs["NET_USD_HA"] == pytest.approx(ours["NET_USD_AC"] / 0.40468564, abs=0.02)
        assert theirs["BE_USD_T"] == pytest.approx(ours["BE_USD_BU"] * 36.7437, abs=0.2)
        assert not {"RATE_GPA", "AREA_AC"} & set(theirs)


def test_no_price_pays_is_9999_in_both_units(tmp_path):
    for units in ("us", "metric"):
        plan = three_blocks(units=units)
        never = replace(plan.zones[1].money, break_even_price_usd_bu=NO_PRICE_PAYS)
        dear = replace(plan.zones[2].money, break_even_price_usd_bu=9000.0)
        zones = list(plan.zones)
        zones[1], zones[2] = replace(zones[1], money=never), replace(zones[2], money=dear)
        folder = tmp_path / units
        folder.mkdir()
        shapefile.write(replace(plan, zones=tuple(zones)), folder)
        column = "BE_USD_T" if units == "metric" else "BE_USD_BU"
        found = {row["ZONE"]: row[column] for row in rows_of(folder)}
        assert found[2] == 9999.0
        assert found[3] == (9999.0 if units == "metric" else 9000.0)


@pytest.mark.parametrize("units", ["us", "metric"])
def test_a_zone_that_no_pass_can_reach_is_written_with_a_return_of_nothing(tmp_path, units):
    """Late in the season the label may close every day: then a zone has no best pass and no money."""
    plan = three_blocks(units=units)
    late = replace(plan.zones[1], money=None, action="skip", rate_gal_ac=0.0, pass_number=None, spray_on=None)
    shapefile.write(replace(plan, zones=(plan.zones[0], late, *plan.zones[2:])), tmp_path)
    rows = [row for row in rows_of(tmp_path) if row["ZONE"] == late.zone]
    net, price = ("NET_USD_HA", "BE_USD_T") if units == "metric" else ("NET_USD_AC", "BE_USD_BU")
    assert rows
    assert {(row["ACTION"], row[net], row["P_PAYS"], row[price]) for row in rows} == {("SKIP", 0, 0, 9999)}


@pytest.mark.parametrize("level", [1, 2])
def test_without_rates_nothing_is_written(tmp_path, level):
    assert shapefile.write(three_blocks(level=level), tmp_path) == ()
    assert list(tmp_path.iterdir()) == []


def test_all_skipped_is_written_with_zero_rates(tmp_path):
    plan = made_plan(Made(labels=HOLE, pass_of_zone={}))
    assert shapefile.write(plan, tmp_path)
    assert {(row["ACTION"], row["RATE_GPA"], row["PASS"]) for row in rows_of(tmp_path)} == {("SKIP", 0, 0)}


def test_the_rate_never_falls_below_a_label_minimum(tmp_path):
    # by hand: 12.3411 gal/ac would be rounded down to 12.34
    plan = made_plan(Made(labels=HOLE, rates_gal_ac=(12.3411,)))
    shapefile.write(plan, tmp_path)
    assert {row["RATE_GPA"] for row in rows_of(tmp_path)} == {0, 12.35}


def test_same_plan_same_bytes_and_the_day_of_the_plan(tmp_path):
    plan = three_blocks()
    first, second = tmp_path / "first", tmp_path / "second"
    first.mkdir(), second.mkdir()
    for folder in (first, second):
        shapefile.write(plan, folder)
    for path in first.iterdir():
        assert path.read_bytes() == (second / path.name).read_bytes()
    # dBASE header: bytes 1-3 are year - 1900, month, day of the last change
    assert tuple((first / "prescription.dbf").read_bytes()[1:4]) == (126, 7, 1)
    assert plan.today == date(2026, 7, 1)


@pytest.mark.parametrize("fault", ["overlap", "gap"])
def test_zones_that_do_not_cover_the_field_reach_no_file(tmp_path, fault):
    plan = three_blocks()
    zones = list(plan.zones)
    shrunk = zones[0].outline.buffer(1e-4 if fault == "overlap" else -1e-4)
    zones[0] = replace(zones[0], outline=shrunk)
    with pytest.raises(ValueError, match="the zones of Three Dates"):
        shapefile.write(replace(plan, zones=tuple(zones)), tmp_path)
    missing = replace(plan, zones=plan.zones[1:])
    with pytest.raises(ValueError, match="add up to"):
        shapefile.write(missing, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_acres_of_the_builder_are_those_of_the_project():
    plan = three_blocks()
    assert sum(zone.area_ac for zone in plan.zones) == pytest.approx(acres(plan.boundary), rel=1e-6)
