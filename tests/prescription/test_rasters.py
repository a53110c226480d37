"""Rasters read back by rasterio, their bytes by struct, held to the rules of Cloud Optimized GeoTIFF."""

import struct
from dataclasses import replace
from datetime import date, timedelta
from xml.etree import ElementTree

import numpy as np
import pytest
import rasterio
from made_no_spray import with_no_spray
from made_plans import Made, made_plan, smooth_field
from pyproj import Transformer
from shapely import Point

from zoning import colours
from zoning.prescription import rasters

M2_PER_AC = 4046.8564224


def plan_of(shape=(40, 39), cell_m=20.0, simplify_m=0.0, no_spray=None, **wanted):
    labels, blocks = smooth_field(3, shape=shape, hole=True)
    asked = {"pass_of_zone": {1: 1, 3: 1, 4: 2}, **wanted}
    plan = made_plan(Made(labels=labels, block_of_zone=blocks, cell_m=cell_m, simplify_m=simplify_m, **asked))
    return with_no_spray(plan, no_spray) if no_spray else plan


def read(folder, name):
    with rasterio.open(folder / "rasters" / f"{name}.tif") as file:
        return file.read(1), file.transform, file.nodata


@pytest.mark.parametrize(
    ("level", "dates", "names"),
    [
        (1, True, ["zone", "r3_day"]),
        (1, False, ["zone"]),
        (2, True, ["zone", "r3_day", "net_return"]),
        (3, False, ["zone", "net_return"]),
    ],
)
def test_only_what_the_level_knows(tmp_path, level, dates, names):
    found = rasters.write(plan_of(level=level, dates=dates), tmp_path)
    assert found == tuple(f"rasters/{name}{suffix}" for name in names for suffix in (".tif", ".qml", ".sld"))
    assert {path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*.*")} == set(found)


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("origin_m", [(270_003.0, 4_900_007.0), (700_000.0, 4_900_000.0)])
def test_values_stand_in_their_zones_and_north_is_up(tmp_path, units, origin_m):
    plan = plan_of(units=units, origin_m=origin_m, no_spray={5: "setback"}, simplify_m=25.0)
    rasters.write(plan, tmp_path)
    zone, to_m, nothing = read(tmp_path, "zone")
    day = read(tmp_path, "r3_day")[0]
    net, _, no_return = read(tmp_path, "net_return")
    assert (nothing, no_return) == (0, -9999)
    assert to_m.e < 0 < to_m.a
    assert (to_m.b, to_m.d) == (0, 0)
    assert to_m.c % to_m.a == 0
    assert to_m.f % to_m.a == 0
    step = Transformer.from_crs(plan.epsg, 4326, always_xy=True)
    by_number = {one.zone: one for one in plan.zones}
    chance = np.random.default_rng(1)
    checked = set()
    for row, column in zip(*(chance.integers(0, size, 600) for size in zone.shape), strict=True):
        east, north = to_m.c + (column + 0.5) * to_m.a, to_m.f + (row + 0.5) * to_m.e
        place = Point(step.transform(east, north))
        holds = [one.zone for one in plan.zones if one.outline.contains(place)]
        assert zone[row, column] == (holds[0] if holds else 0)
        if not holds:
            assert day[row, column] == 0
            assert net[row, column] == -9999
            continue
        one = by_number[holds[0]]
        assert day[row, column] == one.window.r3_likely.timetuple().tm_yday
        # 1 ac = 0.40468564224 ha
        factor = 1 if units == "us" else 1 / 0.40468564224
        assert net[row, column] == pytest.approx(one.money.net_mean_usd_ac * factor, rel=1e-6)
        checked |= {holds[0]}
    assert checked == set(by_number)


@pytest.mark.parametrize(("rows", "cell_m"), [(40, 10.0), (40, 5.0), (80, 10.0)])
def test_cells_of_each_zone_make_up_its_area(tmp_path, rows, cell_m):
    # outlines are moved by a third of a cell and smoothed, so that no zone consists of whole cells
    labels, blocks = smooth_field(3, blocks=2, shape=(rows, rows), hole=True)
    made = Made(
        labels=labels, block_of_zone=blocks, cell_m=cell_m, simplify_m=25.0, origin_m=(270_003.3, 4_900_003.3)
    )
    plan = made_plan(made)
    rasters.write(plan, tmp_path)
    zone, to_m, _ = read(tmp_path, "zone")
    assert len({one.zone for one in plan.zones}) == 4
    for one in plan.zones:
        counted_ac = (zone == one.zone).sum() * to_m.a**2 / M2_PER_AC
        assert counted_ac == pytest.approx(one.area_ac, rel=0.005)


def test_cells_are_only_as_fine_as_they_must_be():
    whole = plan_of(cell_m=10.0)
    assert rasters.cells_of(whole).to_m.a == 10  # whole cells are what they are
    smooth = plan_of(cell_m=10.0, simplify_m=25.0, origin_m=(270_003.0, 4_900_003.0))
    side_m = rasters.cells_of(smooth).to_m.a
    assert side_m in (5, 2.5, 1.25, 0.625)
    bounds = rasters.from_lonlat(smooth.boundary, smooth.epsg).bounds
    outlines = [(rasters.from_lonlat(one.outline, smooth.epsg), one.zone) for one in smooth.zones]
    assert not rasters._keeps_areas(rasters._drawn(outlines, bounds, 2 * side_m), smooth)


def test_a_very_large_field_stops_at_its_cells(monkeypatch):
    plan = plan_of(cell_m=10.0, simplify_m=25.0, origin_m=(270_003.0, 4_900_003.0))
    monkeypatch.setattr(rasters, "MOST_CELLS", 4 * 40 * 39 + 1000)
    assert rasters.cells_of(plan).zone.size <= rasters.MOST_CELLS


def test_tags_and_units(tmp_path):
    plan = replace(plan_of(units="metric"), field="Ünal's 40 漢字", farm='"A" & <B>')
    rasters.write(plan, tmp_path)
    wanted = {"zone": None, "r3_day": "day of the year", "net_return": "USD/ha"}
    for name, unit in wanted.items():
        with rasterio.open(tmp_path / "rasters" / f"{name}.tif") as file:
            tags = file.tags()
            assert file.units == (unit,)
            assert file.descriptions[0] == tags["TIFFTAG_IMAGEDESCRIPTION"]
            assert file.crs.to_epsg() == plan.epsg
        assert tags["run_id"] == plan.run_id
        assert (tags["field"], tags["farm"]) == (plan.field, plan.farm)
        assert tags["made_on"] == "2026-07-01"
        assert tags["TIFFTAG_DATETIME"] == "2026:07:01 00:00:00"
        assert (tags["units"], tags["crs"]) == ("metric", f"EPSG:{plan.epsg}")
        assert tags["version"].startswith("sprayworth ")


def test_colours_inside_the_zones(tmp_path):
    rasters.write(plan_of(level=1), tmp_path)
    with rasterio.open(tmp_path / "rasters/zone.tif") as file:
        table = file.colormap(1)
    inks = [tuple(bytes.fromhex(colour.removeprefix("#"))) for colour in colours.ZONES]
    assert [table[number][:3] for number in range(1, 7)] == inks


def test_by_hand_ramp_of_returns(tmp_path):
    # zones 1 and 3 return 22.40 and 24.40 USD/ac, 2, 4, 5 and 6 lose 6.60, 10.00, 11.70 and 13.40: the ramp
    # ends at the next 5 above 24.40, and its nine stops are 6.25 apart
    rasters.write(plan_of(pass_of_zone={1: 1, 3: 1}), tmp_path)
    items = list(ElementTree.parse(tmp_path / "rasters/net_return.qml").iter("item"))
    assert [float(one.attrib["value"]) for one in items] == [
        -25,
        -18.75,
        -12.5,
        -6.25,
        0,
        6.25,
        12.5,
        18.75,
        25,
    ]
    assert [items[at].attrib["label"] for at in (0, 4, 5)] == ["-25 USD/ac", "0 USD/ac", "+6.25 USD/ac"]


def test_days_go_on_over_new_year(tmp_path):
    # R3 on December 28, 2026 (day 362) and 9 days later on January 6, 2027: 362 + 9 = 371
    plan = plan_of(first_planted=date(2026, 12, 28) - timedelta(days=71))
    rasters.write(plan, tmp_path)
    assert set(np.unique(read(tmp_path, "r3_day")[0])) == {0, 362, 371, 380}
    with rasterio.open(tmp_path / "rasters/r3_day.tif") as file:
        assert file.tags()["day_1"] == "2026-01-01"


def test_more_zones_than_a_byte_holds(tmp_path):
    labels = np.arange(1, 301).reshape(15, 20)
    plan = made_plan(Made(labels=labels, level=1, cell_m=20.0))
    rasters.write(plan, tmp_path)
    zone, _, _ = read(tmp_path, "zone")
    assert zone.dtype == np.uint16
    assert set(np.unique(zone)) - {0} == set(range(1, 301))


def test_same_plan_same_bytes(tmp_path):
    made = []
    for name in "ab":
        (tmp_path / name).mkdir()
        names = rasters.write(plan_of(), tmp_path / name)
        made.append([(tmp_path / name / one).read_bytes() for one in names])
    assert made[0] == made[1]


def directories(content):
    """Tags of each image file directory, in order: where it stands, and tag -> (count, value or offset)."""
    assert content[:4] == b"II*\0"  # TIFF 6.0, section 2: little endian, 42
    (at,) = struct.unpack_from("<I", content, 4)
    found = []
    while at:
        (count,) = struct.unpack_from("<H", content, at)
        rows = [struct.unpack_from("<HHII", content, at + 2 + 12 * row) for row in range(count)]
        found.append((at, {tag: (kind, number, value) for tag, kind, number, value in rows}))
        (at,) = struct.unpack_from("<I", content, at + 2 + 12 * count)
    return found


def tiles_of(content, tags):
    _, count, value = tags[324]
    return [value] if count == 1 else list(struct.unpack_from(f"<{count}I", content, value))


@pytest.mark.parametrize("name", ["zone", "r3_day", "net_return"])
@pytest.mark.parametrize(("side_m", "overviews"), [(140.0, []), (1400.0, [2])])
def test_published_layout_of_a_cloud_optimized_file(tmp_path, name, side_m, overviews):
    # OGC 21-026 (Cloud Optimized GeoTIFF 1.0): tiled; reduced-resolution images behind the full one; all
    # directories before the tiles. Tag numbers of TIFF 6.0: 254 kind, 256 and 257 size, 322 and 323 tile,
    # 324 offsets of tiles. Cells of 10 m: 28 x 42, one tile; or 280 x 420, with one overview of 140 x 210.
    plan = made_plan(Made(labels=[[1, 2, 2], [3, 3, 4]], cell_m=side_m))
    rasters.write(plan, tmp_path)
    path = tmp_path / "rasters" / f"{name}.tif"
    content = path.read_bytes()
    found = directories(content)
    sizes = [(tags[256][2], tags[257][2]) for _, tags in found]
    assert all((tags[322][2], tags[323][2]) == (256, 256) for _, tags in found)
    assert found[0][1].get(254, (0, 0, 0))[2] & 1 == 0
    assert all(tags[254][2] & 1 for _, tags in found[1:])
    assert sizes == sorted(sizes, reverse=True)
    assert len(sizes) == 1 + len(overviews)
    first_tile = min(min(tiles_of(content, tags)) for _, tags in found)
    assert all(at < first_tile for at, _ in found)
    assert [at for at, _ in found] == sorted(at for at, _ in found)
    with rasterio.open(path) as file:
        assert file.tags(ns="IMAGE_STRUCTURE")["LAYOUT"] == "COG"
        assert file.overviews(1) == overviews
        if overviews:  # they repeat values and mix none
            small = file.read(1, out_shape=(file.height // 2, file.width // 2))
            assert set(np.unique(small)) <= set(np.unique(file.read(1)))
