"""A field with setbacks and dead ground, from its folder to the operator's file."""

import math
import re
from datetime import date
from pathlib import Path

import numpy as np
import pytest
import rasterio
import shapefile
import shapely
from made_inputs import reproject
from made_sprayed import LATER, PRODUCT, sprayed_farm

from zoning import field, sprayed
from zoning.inputs.area import geodesic_ac
from zoning.plan import Plan
from zoning.prescription.polygons import edges_match

EPSG = 32615
TODAY = date(2026, 7, 8)
CHANGED = 1e-5  # of a zone's area: outlines are written in degrees and read back onto 1 mm


def write(folder: Path, name: str, shapes: list[shapely.Geometry]) -> None:
    lonlat = [shapely.to_geojson(reproject(one, EPSG, 4326)) for one in shapes]
    features = ",".join(f'{{"type":"Feature","properties":{{}},"geometry":{one}}}' for one in lonlat)
    (folder / name).write_text(f'{{"type":"FeatureCollection","features":[{features}]}}')


def drown(image: Path, here: shapely.Polygon) -> None:
    """Make ground bare in an image of red, red edge and near infrared counts."""
    with rasterio.open(image, "r+") as target:
        window = target.window(*here.bounds).round_offsets().round_lengths()
        bands = target.read(window=window)
        bands[:] = np.array([1800, 2000, 2300]).reshape(3, 1, 1)
        target.write(bands, window=window)


@pytest.fixture(params=["", "treatment = 'swath cells'"], ids=["zones", "swath cells"])
def folder(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """Three Dates with a ditch across it, a hive, a drowned spot that is drawn, and one that is seen."""
    farm, plan = sprayed_farm(tmp_path)
    made = farm / "three_dates"
    west, south, east, north = reproject(plan.boundary, 4326, EPSG).bounds
    ditch = shapely.LineString(
        [(west - 50, south + 100), (west + 300, south + 250), (east + 30, south + 420)]
    )
    write(made, "setbacks.geojson", [ditch, shapely.Point(west + 20, north - 20)])
    write(made, "drowned.geojson", [shapely.box(west + 350, north - 250, west + 450, north - 150)])
    [image] = (made / "imagery").glob("*.tif")
    first = reproject(plan.zones[0].outline, 4326, EPSG).representative_point()  # planted 61 days before it
    x, y = round(first.x, -1), round(first.y, -1)  # on the cells
    drown(image, shapely.box(x - 60, y - 70, x + 60, y + 30))  # a cell and more off the ditch
    text = (made / "field.toml").read_text()
    text = re.sub(r"\[zones\]\n", f"[zones]\n{request.param}\n", text)
    text += "\n[[setback]]\nfile = 'setbacks.geojson'\nwidth = '30 ft'\n"
    text += "[[dead_ground]]\nfile = 'drowned.geojson'\n"
    (made / "field.toml").write_text(text)
    return made


def run(folder: Path) -> tuple[field.Run, Plan]:
    made = field.run(folder, today=TODAY, measured_by=lambda *_, **__: lambda: None)
    return made, made.plan


def test_zones_and_what_is_never_sprayed_are_the_field(folder: Path) -> None:
    _, plan = run(folder)
    assert [(one.kind, one.source.split("/")[0]) for one in plan.no_spray] == [
        ("dead ground", "imagery"),
        ("setback", "setbacks.geojson"),
        ("dead ground", "drowned.geojson"),
    ]
    # 120 x 100 m less four corners of 12.5 m2, and 100 x 100 m, in acres.
    assert [one.area_ac for one in plan.no_spray if one.kind == "dead ground"] == pytest.approx(
        [11_950 / 4046.86, 10_000 / 4046.86], rel=2e-3
    )
    outlines = [one.outline for one in (*plan.zones, *plan.no_spray)]
    assert edges_match(outlines)
    assert math.fsum(map(geodesic_ac, outlines)) == pytest.approx(plan.area_ac, rel=1e-6)
    assert plan.area_ac == pytest.approx(geodesic_ac(plan.boundary), rel=1e-9)
    totals = plan.totals
    assert totals is not None
    assert totals.spray_ac + totals.skip_ac + plan.no_spray_ac == pytest.approx(plan.area_ac, rel=1e-6)
    assert "inputs.dead_seen" in [note.code for note in plan.notes]


def test_the_operators_file_is_zero_there_and_covers_the_field(folder: Path) -> None:
    made, plan = run(folder)
    out = folder / "out2"
    names = [name for name in field.write(made, out) if name.startswith("passes/") and name.endswith(".shp")]
    assert len(names) == len(plan.passes) > 0
    never = shapely.union_all([one.outline for one in plan.no_spray])
    for name in names:
        with shapefile.Reader(str(out / name)) as reader:
            rows = [
                (record[0], shapely.geometry.shape(one))
                for record, one in zip(reader.records(), reader.shapes(), strict=True)
            ]
        assert math.fsum(geodesic_ac(one) for _, one in rows) == pytest.approx(plan.area_ac, rel=1e-6)
        sprayed_there = shapely.union_all([one for rate, one in rows if rate > 0])
        assert sprayed_there.area > 0
        assert sprayed_there.intersection(never).area < 1e-9 * never.area
        assert shapely.union_all([one for rate, one in rows if rate == 0]).contains(
            never.representative_point()
        )


@pytest.mark.parametrize("side_m", [6, 30])
def test_a_block_of_which_next_to_nothing_is_left_is_a_zone(tmp_path: Path, side_m: int) -> None:
    """Of 6 x 6 m no cell may have its middle there; it is planned from what is known of the whole block."""
    farm, _ = sprayed_farm(tmp_path)
    made = farm / "three_dates"
    first = shapely.from_geojson((made / "planting.geojson").read_text()).geoms[0]
    block = reproject(first, 4326, EPSG)
    west, south, *_ = block.bounds
    x, y = round(west, -1) + 101, round(south, -1) + 101  # cells have their middles at 5 and 15
    left = shapely.box(x + 5, y + 5, x + 5 + side_m, y + 5 + side_m)
    write(made, "water.geojson", [block.difference(left)])
    with (made / "field.toml").open("a") as text:
        text.write("\n[[setback]]\nfile = 'water.geojson'\n")
    _, plan = run(made)
    of_block = [one for one in plan.zones if one.block == "A"]
    assert [one.area_ac for one in of_block] == pytest.approx([side_m**2 / 4046.86], rel=0.01)
    assert edges_match([one.outline for one in (*plan.zones, *plan.no_spray)])


def test_what_was_scouted_on_such_ground_is_told(folder: Path) -> None:
    # The first two rows of its scouting.csv are places with lesions; rings around them, and around a count.
    code = "offers.scouted_never_sprayed"
    assert code not in [note.code for note in run(folder)[1].notes]
    rows = [row.split(",") for row in (folder / "scouting.csv").read_text().splitlines()[1:]]
    places = [shapely.Point(float(row[2]), float(row[1])) for row in (*rows[:2], rows[-2])]
    write(folder, "wells.geojson", [reproject(place, 4326, EPSG) for place in places])
    with (folder / "field.toml").open("a") as text:
        text.write("\n[[setback]]\nfile = 'wells.geojson'\nwidth = '66 ft'\n")
    _, plan = run(folder)
    assert [note.text for note in plan.notes if note.code == code] == [
        "places scouted for disease on ground that is never sprayed, which count for no zone: 2"
    ]
    assert sum(one.zone == 0 for one in plan.scouting) == 2


def test_zones_that_are_kept_keep_their_dead_ground(folder: Path) -> None:
    """Also when a newer image shows the crop back: nobody asks the images again in that season."""
    made, before = run(folder)
    field.write(made, folder / "out")
    zones = " ".join(str(zone) for zone in before.passes[0].zones[:1])
    typed = sprayed.Typed(field="three_dates", zones=zones, end="2026-07-07", product=PRODUCT)
    sprayed.record(folder.parent, typed, today=TODAY, clock=LATER)
    [image] = (folder / "imagery").glob("*.tif")
    with rasterio.open(image, "r+") as target:
        bands = target.read()
        bands[:, bands[2] == 2300] = np.array([400, 2500, 4200]).reshape(3, 1)
        target.write(bands)
    _, after = run(folder)
    assert [(one.zone, one.block) for one in after.zones] == [(one.zone, one.block) for one in before.zones]
    for old, new in zip(before.zones, after.zones, strict=True):
        assert new.area_ac == pytest.approx(old.area_ac, rel=CHANGED)
    assert after.no_spray_ac == pytest.approx(before.no_spray_ac, rel=CHANGED)
    assert not [note for note in after.notes if note.code in ("inputs.zones_not_drawn", "inputs.zones_gap")]
    assert edges_match([one.outline for one in (*after.zones, *after.no_spray)])


def test_zones_that_are_kept_keep_dead_ground_that_would_be_too_small_now(folder: Path) -> None:
    made, before = run(folder)
    field.write(made, folder / "out")
    zones = str(before.passes[0].zones[0])
    typed = sprayed.Typed(field="three_dates", zones=zones, end="2026-07-07", product=PRODUCT)
    sprayed.record(folder.parent, typed, today=TODAY, clock=LATER)
    wanted = folder / "field.toml"
    wanted.write_text(wanted.read_text().replace('min_area = "1 ac"', 'min_area = "4 ac"'))
    assert all(one.area_ac < 4 for one in before.no_spray if one.kind == "dead ground")
    _, after = run(folder)
    assert after.no_spray_ac == pytest.approx(before.no_spray_ac, rel=CHANGED)


def test_by_hand_a_bill_for_the_whole_field_counts_it_too(folder: Path) -> None:
    # 9 USD on every acre inside the boundary, each pass; the grower bears all of it.
    wanted = folder.parent / "farm.toml"
    wanted.write_text(wanted.read_text().replace('billed = "treated"', 'billed = "field"'))
    _, plan = run(folder)
    assert plan.totals is not None
    billed = {line.name: line.usd for line in plan.totals.costs}
    assert billed["pass_field"] == pytest.approx(9 * plan.area_ac * len(plan.passes), rel=1e-6)
