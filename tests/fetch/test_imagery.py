"""Images of a field from a catalogue on loopback: real requests, real files, and what is made of them."""

import json
from datetime import date

import numpy as np
import pytest
import rasterio
from made_catalogue import CANOPY, SOIL, TILE, Tile, field_folder, green, reflectance, scene

from zoning.fetch.imagery import told
from zoning.inputs import read
from zoning.settings.read import load


def cloud(rows, columns, kind=9):
    def put(mask, _tile):
        mask[rows, columns] = kind

    return put


EVERYWHERE = cloud(slice(None), slice(None))


def truth(tile, frame, shape):
    """NDRE of the ground on pixels of 10 m; the red edge is that of its 20 m pixel."""
    fine, coarse = green(tile, 10.0), np.repeat(np.repeat(green(tile, 20.0), 2, axis=0), 2, axis=1)
    nir = fine * CANOPY["nir"] + (1 - fine) * SOIL["nir"]
    edge = coarse * CANOPY["rededge1"] + (1 - coarse) * SOIL["rededge1"]
    left, top = round((frame.c - tile.west_m) / 10), round((tile.north_m - frame.f) / 10)
    return ((nir - edge) / (nir + edge))[top : top + shape[0], left : left + shape[1]]


def test_an_image_holds_the_very_pixels_of_the_scene(made, field, get):
    scene(made, TILE, "2026-06-11", noise=0.0)
    found = get()
    assert found.named == ("imagery/2026-06-11_sentinel-2-l2a.tif",)
    with rasterio.open(field / found.named[0]) as source:
        frame, shape = source.transform, source.shape
        counts = source.read(3)
    left, top = round((frame.c - TILE.west_m) / 10), round((TILE.north_m - frame.f) / 10)
    with rasterio.open(made.folder / "S2_15TUL_20260611_0_L2A" / "nir.tif") as source:
        assert np.array_equal(counts, source.read(1)[top : top + shape[0], left : left + shape[1]])
    bands = reflectance(field / found.named[0])
    ndre = (bands["nir"] - bands["rededge"]) / (bands["nir"] + bands["rededge"])
    assert np.abs(ndre - truth(TILE, frame, shape)).max() < 0.001  # counts are whole numbers


def test_the_field_is_read_with_its_images_as_it_stands(made, field, get):
    for day in ("2026-06-06", "2026-06-11", "2026-06-21"):
        scene(made, TILE, day)
    get()
    settings = load(field)
    inputs = read.field(settings, date(2026, 7, 20))
    (layer,) = inputs.layers
    assert (layer.name, layer.shows, layer.clear_frac) == ("NDRE", "canopy", pytest.approx(1.0))
    share = inputs.grid
    east = share.left_m + (np.arange(share.shape[1]) + 0.5) * share.cell_m
    north = share.top_m - (np.arange(share.shape[0]) + 0.5) * share.cell_m
    wave = 0.7 + 0.3 * np.sin(east[None, :] / 400 * 2 * np.pi) * np.sin(north[:, None] / 400 * 2 * np.pi)
    assert np.corrcoef(wave[inputs.inside], layer.values[inputs.inside])[0, 1] > 0.98
    assert not [said.text for said in inputs.notes if said.code.startswith("inputs.image_")]


def test_field_toml_keeps_what_was_typed(made, field, get):
    scene(made, TILE, "2026-06-11")
    before = (field / "field.toml").read_text(encoding="utf-8")
    get()
    after = (field / "field.toml").read_text(encoding="utf-8")
    assert after.startswith(before)
    assert (field / "field.toml.bak").read_text(encoding="utf-8") == before
    get()
    assert (field / "field.toml").read_text(encoding="utf-8") == after


OWN = ('file = "imagery/2026-05-01_own.tif"', "bands = { red = 1, nir = 2 }", 'index = "NDVI"')


@pytest.mark.parametrize(
    "typed",
    [
        f"imagery = [{{ {', '.join(OWN)} }}]",
        "[[imagery]]  # ours\n" + "\n".join(OWN) + "\n",
    ],
)
def test_images_of_ones_own_stay_named(made, field, get, typed):
    scene(made, TILE, "2026-06-11")
    path = field / "field.toml"
    path.write_text(f"{typed}\n" + path.read_text() if "= [" in typed else path.read_text() + typed)
    get()
    first, second = load(field).imagery
    assert (first.file, second.file) == (
        "imagery/2026-05-01_own.tif",
        "imagery/2026-06-11_sentinel-2-l2a.tif",
    )
    assert typed in path.read_text() or "= [" in typed


def test_by_hand_clouds_are_counted_over_the_field(made, field, get):
    """Cloud on the north half of the tile's masks: rows 0 to 63 of 20 m, down to 1280 m below its top.

    The field reaches from 807 to 1613 m below it: its pixels of 20 m have their middles at 810, 830, ...,
    1610, 41 rows, of which those up to 1270 lie under the cloud: 24 of 41. Of the rest those within 60 m of
    the last cloudy middle (1270) are left out too, 1290, 1310 and 1330: 14 of 41 are seen.
    """
    scene(made, TILE, "2026-06-11", classes=cloud(slice(0, 64), slice(None)))
    scene(made, TILE, "2026-06-21", classes=cloud(slice(0, 30), slice(None)))  # 600 m: not over the field
    found = get(keep=1)
    newest, oldest = found.days
    assert (newest.day, newest.shares.seen, newest.shares.cloud) == (date(2026, 6, 21), 1.0, 0.0)
    assert (oldest.shares.cloud, oldest.shares.seen) == (pytest.approx(24 / 41), pytest.approx(14 / 41))
    assert not oldest.file


def test_by_hand_a_cloud_beside_the_field_counts_as_far_as_its_margin(made, get):
    """The field's last middles of pixels lie 1590 and 1610 m below the tile's top, the cloud's first at 1650.

    So these two rows are 60 and 40 m from it, and not more than 60: of 41 rows 39 are seen, none is cloud.
    """
    scene(made, TILE, "2026-06-11", classes=cloud(slice(82, None), slice(None)))
    (day,) = get().days
    assert (day.shares.seen, day.shares.cloud) == (pytest.approx(39 / 41), 0.0)


def test_the_clearest_days_are_kept_and_the_others_not_read(made, get):
    for place, day in enumerate(("2026-06-01", "2026-06-06", "2026-06-11", "2026-06-16")):
        scene(made, TILE, day, classes=EVERYWHERE if place % 2 else None)
    found = get(keep=1)
    assert [one.file for one in found.days] == ["", "imagery/2026-06-11_sentinel-2-l2a.tif", "", ""]
    read_from = {path.split("/")[2] for path in made.sent if not path.endswith("scl.tif")}
    assert read_from == {"S2_15TUL_20260611_0_L2A"}


def test_where_no_day_is_clear_the_clearest_is_kept_alone(made, get):
    scene(made, TILE, "2026-06-11", classes=cloud(slice(0, 48), slice(None)))
    scene(made, TILE, "2026-06-21", classes=cloud(slice(0, 60), slice(None)))
    found = get()
    assert [one.file[8:18] for one in found.days] == ["", "2026-06-11"]
    assert [said.code for said in found.notes] == ["fetch.image_alone"]


def test_tiles_of_a_day_are_joined(made, tmp_path, get):
    """The field lies on the edge of two tiles: each shows a part, both together all of it."""
    west = Tile(name="15TUL", west_m=300_000.0, north_m=4_900_000.0)
    east = Tile(name="15TVL", west_m=302_560.0, north_m=4_900_000.0)
    field = field_folder(tmp_path / "edge", 302_100.0, 4_899_000.0)
    for tile in (west, east):
        scene(made, tile, "2026-06-11", noise=0.0)
    found = get(field)
    (day,) = found.days
    assert len(day.scenes) == 2
    assert day.shares.data == 1.0
    bands = reflectance(field / day.file)
    with rasterio.open(field / day.file) as source:
        frame, shape = source.transform, source.shape
    long = Tile(name="both", west_m=300_000.0, north_m=4_900_000.0, side=512)
    ndre = (bands["nir"] - bands["rededge"]) / (bands["nir"] + bands["rededge"])
    assert np.abs(ndre - truth(long, frame, shape)).max() < 0.001
    kept = json.loads((field / "imagery/sources.json").read_text(encoding="utf-8"))["images"][0]
    assert len(kept["files"]) == 2 * 3 + 2


def test_by_hand_where_tiles_overlap_the_first_has_the_ground(made, tmp_path, get):
    """The second tile begins at 302,200 m, the first ends at 302,560 m: 18 columns of 20 m are in both.

    The second says that all of these are cloud. They are the first's, which says that they are clear.
    """
    west = Tile(name="15TUL", west_m=300_000.0, north_m=4_900_000.0)
    east = Tile(name="15TVL", west_m=302_200.0, north_m=4_900_000.0)
    field = field_folder(tmp_path / "edge", 302_100.0, 4_899_000.0)
    scene(made, west, "2026-06-11")
    scene(made, east, "2026-06-11", classes=cloud(slice(None), slice(0, 18)))
    (day,) = get(field).days
    assert len(day.scenes) == 2
    assert (day.shares.seen, day.shares.cloud, day.shares.data) == (1.0, 0.0, 1.0)


def test_a_band_that_one_of_two_tiles_lacks_is_left_out(made, tmp_path, get):
    west = Tile(name="15TUL", west_m=300_000.0, north_m=4_900_000.0)
    east = Tile(name="15TVL", west_m=302_560.0, north_m=4_900_000.0)
    field = field_folder(tmp_path / "edge", 302_100.0, 4_899_000.0)
    scene(made, west, "2026-06-11")
    del scene(made, east, "2026-06-11")["assets"]["rededge1"]
    (day,) = get(field).days
    assert set(reflectance(field / day.file)) == {"red", "nir", "mask"}


def test_tiles_whose_counts_differ_are_joined_as_one(made, tmp_path, get):
    west = Tile(name="15TUL", west_m=300_000.0, north_m=4_900_000.0)
    east = Tile(name="15TVL", west_m=302_560.0, north_m=4_900_000.0)
    field = field_folder(tmp_path / "edge", 302_100.0, 4_899_000.0)
    scene(made, west, "2026-06-11", noise=0.0)
    scene(made, east, "2026-06-11", noise=0.0, offset=0, says="taken off")
    bands = reflectance(field / get(field).named[0])
    with rasterio.open(field / "imagery/2026-06-11_sentinel-2-l2a.tif") as source:
        frame, shape = source.transform, source.shape
    long = Tile(name="both", west_m=300_000.0, north_m=4_900_000.0, side=512)
    ndre = (bands["nir"] - bands["rededge"]) / (bands["nir"] + bands["rededge"])
    assert np.abs(ndre - truth(long, frame, shape)).max() < 0.001


def test_a_tile_with_data_beside_the_field_only_shows_nothing_of_it(made, get):
    """Rows 0 to 39 of 20 m end 800 m below the top of the tile; the field begins at 807 m, 120 m are read."""
    beside = Tile(name="15TAA", west_m=TILE.west_m, north_m=TILE.north_m)
    item = scene(made, beside, "2026-06-11", classes=lambda mask, _: mask[40:].fill(0))
    scene(made, TILE, "2026-06-11")
    found = get()
    assert found.days[0].shares.data == 1.0
    (kept,) = found.kept
    assert not any(item["id"] in file for file in kept.files)


def test_a_tile_that_adds_nothing_is_not_read(made, get):
    beside = Tile(name="15TVL", west_m=TILE.west_m + 100, north_m=TILE.north_m)
    scene(made, TILE, "2026-06-11")
    scene(made, beside, "2026-06-11")
    get()
    assert {path.split("/")[2] for path in made.sent} == {"S2_15TUL_20260611_0_L2A"}


def test_of_two_versions_of_a_scene_the_newer_one_is_taken(made, get):
    scene(made, TILE, "2026-06-11", version=1)
    scene(made, TILE, "2026-06-11", version=0)
    (day,) = get().days
    assert day.scenes == ("S2_15TUL_20260611_1_L2A",)


@pytest.mark.parametrize(
    ("key", "value"), [("updated", "2026-06-30T00:00:00Z"), ("s2:processing_baseline", "05.10")]
)
def test_a_newer_version_is_known_by_its_baseline_and_day_not_by_its_name(made, get, key, value):
    scene(made, TILE, "2026-06-11")["properties"][key] = value
    scene(made, TILE, "2026-06-11", version=1)
    (day,) = get().days
    assert day.scenes == ("S2_15TUL_20260611_0_L2A",)


def test_the_day_is_that_of_the_sun_over_the_field(made, get):
    """At 95 degrees west the sun is 6.3 h behind: 02:00 on 1 July by UTC is 30 June there."""
    item = scene(made, TILE, "2026-06-11")
    item["properties"]["datetime"] = "2026-07-01T02:00:00Z"
    (day,) = get().days
    assert day.day == date(2026, 6, 30)


def test_a_second_run_asks_for_no_file_again(made, field, get):
    for day in ("2026-06-06", "2026-06-11"):
        scene(made, TILE, day)
    first = get()
    made.forget()
    second = get()
    assert made.sent == {}
    assert second.read == second.named == ()
    assert second.days == first.days
    path = field / "imagery/2026-06-06_sentinel-2-l2a.tif"
    before = path.read_bytes()
    path.write_bytes(b"spoilt")
    assert get().read == ("imagery/2026-06-06_sentinel-2-l2a.tif",)
    assert path.read_bytes() == before


def test_a_day_of_which_there_is_a_newer_scene_is_looked_at_anew(made, get):
    for day in ("2026-06-11", "2026-06-21"):
        scene(made, TILE, day)
    assert [one.shares.seen for one in get().days] == [1.0, 1.0]
    scene(made, TILE, "2026-06-21", version=1, classes=EVERYWHERE)
    assert [(one.shares.seen, bool(one.file)) for one in get().days] == [(0.0, False), (1.0, True)]


def test_a_file_of_ones_own_stays_and_is_told(made, field, get):
    for day in ("2026-06-06", "2026-06-11"):
        scene(made, TILE, day)
    own = field / "imagery/2026-06-06_sentinel-2-l2a.tif"
    own.parent.mkdir()
    own.write_bytes(b"my own")
    found = get()
    assert own.read_bytes() == b"my own"
    assert found.named == ("imagery/2026-06-11_sentinel-2-l2a.tif",)
    (fault,) = found.faults
    assert (fault.code, fault.where) == (2, "imagery/2026-06-06_sentinel-2-l2a.tif")


def test_for_another_boundary_everything_is_looked_at_anew(made, field, get, tmp_path):
    scene(made, TILE, "2026-06-11")
    get()
    other = field_folder(tmp_path / "other", TILE.west_m + 1000, TILE.north_m - 1000)
    (field / "boundary.geojson").write_bytes((other / "boundary.geojson").read_bytes())
    assert get().read == ("imagery/2026-06-11_sentinel-2-l2a.tif",)


def test_pages_of_a_catalogue_are_followed(made, get):
    made.page = 2
    for day in range(1, 8):
        scene(made, TILE, f"2026-06-{day:02d}")
    assert len(get(keep=2).days) == 7
    assert [path for path, _ in made.asked].count("/search") == 4


def test_where_it_came_from_is_kept_without_what_lets_somebody_in(made, field, get):
    item = scene(made, TILE, "2026-06-11")
    for asset in item["assets"].values():
        asset["href"] += "?sig=a-secret"
    get()
    told_of = (field / "imagery/sources.json").read_text(encoding="utf-8")
    assert "a-secret" not in told_of
    (one,) = json.loads(told_of)["images"]
    assert one["licence"] == "CC-BY-4.0; An invented agency"
    assert one["scenes"] == ["S2_15TUL_20260611_0_L2A"]
    assert one["files"][0] == f"{made.address}/files/S2_15TUL_20260611_0_L2A/red.tif"
    assert (one["got_on"], one["baseline"], one["offset"]) == ("2026-07-02", 5.09, -0.1)
    assert "a-secret" not in (field / "field.toml").read_text(encoding="utf-8")


def test_what_is_told(made, get):
    scene(made, TILE, "2026-06-11")
    scene(made, TILE, "2026-06-21", classes=EVERYWHERE)
    found = get()
    lines = told.as_text(found).splitlines()
    assert lines[0] == "Invented Sixty-five: 2 days with images from 127.0.0.1, sentinel-2-l2a"
    assert lines[2].split() == ["2026-06-21", "0", "%", "100", "%"]
    assert lines[3].split()[-1] == "imagery/2026-06-11_sentinel-2-l2a.tif"
    assert lines[-1] == "  field.toml: 1 new [[imagery]]"
    assert json.loads(json.dumps(told.as_object(found)))["days"][1]["seen_frac"] == 1.0
