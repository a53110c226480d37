"""`get planting`: one field in every format gives the same blocks, those that `run` then makes."""

import gc
import hashlib
import json
import zipfile
from datetime import date

import made_planter
import pytest
import shapely
from made_inputs import EAST, FIELD, NORTH, SOUTH, TODAY, WEST
from made_planter import as_task_data, at, csv, field_of, halves, lines, moved, records, vector, zipped
from PIL import Image
from shapely import MultiPoint, Point

from zoning.errors import CONTENT, SETTINGS, InputError
from zoning.fetch import planting
from zoning.fetch.planting import Typed
from zoning.inputs import read
from zoning.settings.read import load

MADE = records()
SEEDS_AC = 34.5 * 43_560 * 0.3048**2  # of 34.5 seeds a square metre: 43,560 ft2 an acre


@pytest.fixture
def place(tmp_path):
    return field_of(tmp_path / "farm")


def shown(place, path, *columns, units=(), tasks=(), today=TODAY):
    typed = Typed(columns=columns, units=units, tasks=tasks)
    return planting.preview(place.field, path, typed, today=today, clock=TODAY)


def blocks(found):
    return [(one.name, one.planted, one.variety, one.maturity_group, one.outline.wkb) for one in found]


def codes(found):
    return [said.code for said in found.notes]


def taken(found):
    return {one.role: one.column for one in found.sowings.taken}


# -- one field, every format ---------------------------------------------------------------------------------


def _shp(folder):
    vector(folder / "planter.shp", MADE)
    return folder / "planter.shp"


def _zip_of_shp(folder):
    _shp(folder)
    return zipped(folder / "planter.zip", folder, *(f"planter.{end}" for end in ("shp", "shx", "dbf", "prj")))


def _zip_of_csv(folder):
    csv(folder / "planter.csv", MADE)
    return zipped(folder / "planter.zip", folder, "planter.csv")


def _zip_of_task_data(folder):
    home = as_task_data(folder, MADE)
    names = sorted(f"TASKDATA/{one.name}" for one in home.iterdir())
    return zipped(folder / "planter.zip", folder, *names)


FORMATS = {
    "CSV": lambda folder: csv(folder / "planter.csv", MADE),
    "CSV with semicolons": lambda folder: csv(folder / "planter.csv", MADE, ";", comma=True),
    "CSV with tabs": lambda folder: csv(folder / "planter.tsv", MADE, "\t"),
    "CSV that names its separator": lambda folder: csv(
        folder / "planter.csv", MADE, ";", comma=True, first="sep=;\n"
    ),
    "GeoJSON": lambda folder: vector(folder / "planter.geojson", MADE),
    "GeoPackage": lambda folder: vector(folder / "planter.gpkg", MADE),
    "shapefile": _shp,
    "zip of a shapefile": _zip_of_shp,
    "zip of a table": _zip_of_csv,
    "task data": lambda folder: as_task_data(folder, MADE),
    "folder around task data": lambda folder: as_task_data(folder / "stick", MADE).parent,
    "TASKDATA.XML": lambda folder: as_task_data(folder, MADE) / "TASKDATA.XML",
    "zip of task data": _zip_of_task_data,
}


@pytest.fixture(scope="module")
def of_csv(tmp_path_factory):
    folder = tmp_path_factory.mktemp("csv")
    return blocks(shown(field_of(folder / "farm"), csv(folder / "planter.csv", MADE)).planted.blocks)


@pytest.mark.parametrize("name", FORMATS)
def test_the_same_field_gives_the_same_blocks_in_every_format(name, place, tmp_path, of_csv):
    found = shown(place, FORMATS[name](tmp_path))
    assert blocks(found.planted.blocks) == of_csv
    assert [row[1:3] for row in of_csv] == [(date(2026, 5, 6), "P"), (date(2026, 5, 20), "Q")]
    assert len(found.rows) == found.of_file == len(MADE)
    assert found.population_ac() == pytest.approx(SEEDS_AC)
    assert found.days() == {"2026-05-06": 850, "2026-05-20": 800}  # 17 and 16 passes of 50 records
    assert found.varieties() == pytest.approx({"P": 17 / 33, "Q": 16 / 33})
    assert codes(found) == []


def test_by_hand_the_edge_lies_between_the_passes(place, tmp_path):
    # Passes lie 6 m, 18 m, ... from the western edge; the last of the first day 198 m, the next 210 m: the
    # nearest record changes at 204 m. Both have the whole 300 m of the field's height.
    found = shown(place, csv(tmp_path / "planter.csv", MADE)).planted.blocks
    west, east = (one.outline for one in found)
    assert west.area == pytest.approx(204 * 300, rel=0.01)
    assert east.area == pytest.approx(196 * 300, rel=0.01)
    assert west.union(east).symmetric_difference(FIELD).area < 0.01 * FIELD.area


# -- shown and run -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("made", [lambda path: vector(path, MADE), lines, halves])
@pytest.mark.parametrize("more", ["", "[planting]\ndate = 2026-05-01\n", "[planting]\nfile = 'a.gpkg'\n"])
def test_run_makes_the_blocks_that_were_shown(made, more, tmp_path):
    place = field_of(tmp_path / "farm", more)
    found = shown(place, made(tmp_path / "planter.gpkg"))
    planting.confirm(found)
    of_run = read.field(load(place.field), TODAY)
    assert blocks(of_run.blocks) == blocks(found.planted.blocks)
    assert [one.area_ac for one in of_run.blocks] == [one.area_ac for one in found.planted.blocks]
    assert [said.code for said in of_run.notes] == codes(found)


def test_names_of_columns_that_the_settings_give_are_written_and_found(tmp_path):
    place = field_of(tmp_path / "farm", '[planting]\nfile = "planting.geojson"\ndate_column = "sown_on"\n')
    path = vector(tmp_path / "planter.gpkg", MADE, ("sown_on", "date", "pop_m2"))
    found = shown(place, path, "variety=date")
    assert taken(found) == {"date": "sown_on", "variety": "date", "population": "pop_m2"}
    planting.confirm(found)
    assert blocks(read.field(load(place.field), TODAY).blocks) == blocks(found.planted.blocks)


def test_a_preview_writes_a_picture_and_nothing_else(place, tmp_path):
    before = {path: path.read_bytes() for path in place.path.rglob("*") if path.is_file()}
    found = shown(place, csv(tmp_path / "planter.csv", MADE))
    assert planting.draw(found) == "preview/planting_blocks.png"
    after = {path: path.read_bytes() for path in place.path.rglob("*") if path.is_file()}
    picture = place.field / "preview" / "planting_blocks.png"
    assert set(after) - set(before) == {picture}
    assert all(after[path] == before[path] for path in before)
    with Image.open(picture) as image:
        assert image.size[0] > 800
        shades = {colour for _, colour in image.convert("RGB").getcolors(1 << 24)}
    assert len(shades) > 50
    first = picture.read_bytes()
    planting.draw(found)
    assert picture.read_bytes() == first


@pytest.mark.parametrize(("name", "count"), [("CSV", 1), ("shapefile", 5), ("task data", 5)])
def test_each_file_that_was_read_stands_there_with_its_own_hash(name, count, place, tmp_path):
    path = FORMATS[name](tmp_path)
    planting.confirm(shown(place, path))
    told = json.loads((place.field / "planting_source.json").read_bytes())["sha256"]
    home = path if path.is_dir() else path.parent
    there = {
        one.name: hashlib.sha256(one.read_bytes()).hexdigest() for one in home.iterdir() if one.is_file()
    }
    assert told == {file: there[file] for file in told}
    assert len(told) == count


def test_confirmed_files_keep_what_was_there(place, tmp_path):
    field = place.field
    toml = "name = 'Field' # ours\nmaturity_group = 1.9\n\n[planting] # day\ndate = 2026-05-01 # one day\n"
    (field / "field.toml").write_text(toml, encoding="utf-8")
    (field / "planting.geojson").write_text("mine", encoding="utf-8")
    written = planting.confirm(shown(place, csv(tmp_path / "planter.csv", MADE)))
    assert written == (
        "planting.geojson",
        "planting_source.json",
        "preview/planting_blocks.png",
        "field.toml",
    )
    assert (field / "planting.geojson.bak").read_text(encoding="utf-8") == "mine"
    assert (field / "field.toml.bak").read_text(encoding="utf-8") == toml
    assert (field / "field.toml").read_text(encoding="utf-8") == toml.replace(
        "date = 2026-05-01", 'file = "planting.geojson"'
    )
    whole = json.loads((field / "planting.geojson").read_text(encoding="utf-8"))
    assert whole["features"][0]["properties"] == {
        "planted": "2026-05-06T08:00:00",
        "variety": "P",
        "population_ac": round(SEEDS_AC),
    }
    source = json.loads((field / "planting_source.json").read_text(encoding="utf-8"))
    assert source["file"] == "planter.csv"
    assert list(source["sha256"]) == ["planter.csv"]
    assert source["columns"]["date"] == "Date + Time"
    assert source["taken_on"] == TODAY.isoformat()
    assert str(tmp_path) not in (field / "planting_source.json").read_text(encoding="utf-8")
    again = planting.confirm(shown(place, csv(tmp_path / "planter.csv", MADE)))
    assert "field.toml" not in again


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("planting = { date = 2026-05-01 }\n", 'planting = {file = "planting.geojson"}\n'),
        ("[planting]\nfile = 'old.gpkg' # drawn\n", '[planting]\nfile = "planting.geojson" # drawn\n'),
    ],
)
def test_the_setting_is_changed_as_it_stands_there(before, after, tmp_path):
    place = field_of(tmp_path / "farm", before)
    planting.confirm(shown(place, csv(tmp_path / "planter.csv", MADE)))
    text = (place.field / "field.toml").read_text(encoding="utf-8")
    assert load(place.field).planting.file == "planting.geojson"
    assert text.replace(" ", "").endswith(after.replace(" ", ""))


def test_a_farm_with_one_date_for_all_fields_is_asked_first(place, tmp_path):
    farm = place.path / "farm.toml"
    farm.write_text(farm.read_text(encoding="utf-8") + "[planting]\ndate = 2026-05-01\n", encoding="utf-8")
    found = shown(place, csv(tmp_path / "planter.csv", MADE))
    with pytest.raises(InputError, match="one planting date for all fields") as caught:
        planting.confirm(found)
    assert caught.value.code == SETTINGS
    assert not (place.field / "planting.geojson").exists()


def test_a_file_that_the_farm_names_gives_way_to_the_fields_own(place, tmp_path):
    farm = place.path / "farm.toml"
    text = farm.read_text(encoding="utf-8") + "[planting]\nfile = 'planting.geojson'\n"
    farm.write_text(text, encoding="utf-8")
    planting.confirm(shown(place, csv(tmp_path / "planter.csv", MADE)))
    assert farm.read_text(encoding="utf-8") == text
    assert len(read.field(load(place.field), TODAY).blocks) == 2


# -- what is left out, and what is refused -------------------------------------------------------------------


def test_records_without_place_or_seed_and_of_other_fields_are_left_out_and_said(place, tmp_path):
    lifted = [moved(one, seeds_m2=0.0, when=datetime_of(one, 1)) for one in MADE[:30]]
    nowhere = [moved(one, lon=0.0, lat=0.0) for one in MADE[:7]]
    other = [moved(one, lon=one.lon + 0.1) for one in MADE[:40]]
    found = shown(place, csv(tmp_path / "planter.csv", [*MADE, *lifted, *nowhere, *other]))
    assert codes(found) == ["brought.nowhere", "brought.lifted", "brought.elsewhere"]
    counted = {said.code: said.values["count"] for said in found.notes}
    assert counted == {"brought.nowhere": 7, "brought.lifted": 30, "brought.elsewhere": 40}
    assert [one.planted for one in found.planted.blocks] == [date(2026, 5, 6), date(2026, 5, 20)]


def datetime_of(one, days):
    return one.when.replace(day=one.when.day + days)


@pytest.mark.filterwarnings("error")
def test_places_that_the_fields_plane_does_not_reach_are_elsewhere(place, tmp_path):
    far = [moved(one, lon=one.lon + 90, lat=0.001) for one in MADE[:3]]  # a quarter of the earth away
    found = shown(place, csv(tmp_path / "planter.csv", [*MADE, *far]))
    assert codes(found) == ["brought.elsewhere"]


def test_a_file_of_another_place_is_refused(place, tmp_path):
    far = [moved(one, lon=one.lon + 1) for one in MADE]
    with pytest.raises(InputError, match="none of its records lies in the field"):
        shown(place, csv(tmp_path / "planter.csv", far))


def test_records_beside_the_boundary_count_where_none_lies_inside(place, tmp_path):
    beside = [
        made_planter.Record(*at(EAST + 20, north), MADE[0].when, "P")
        for north in range(int(SOUTH), int(NORTH), 5)
    ]
    found = shown(place, csv(tmp_path / "planter.csv", beside))
    assert len(found.rows) == len(beside)
    assert codes(found) == ["inputs.planting_far"]


def test_days_of_another_season_are_refused_with_their_lines(place, tmp_path):
    wrong = [moved(one, when=one.when.replace(year=2024)) for one in MADE[:3]]
    with pytest.raises(InputError) as caught:
        shown(place, csv(tmp_path / "planter.csv", [*wrong, *MADE]))
    told = [str(one) for one in caught.value.faults]
    assert len(told) == 3
    assert told[0].startswith("planter.csv: row 2: planted 2024-05-06 is in another season.")


def test_without_boundary_a_file_that_may_be_it_is_named(place, tmp_path):
    path = csv(tmp_path / "planter.csv", MADE)
    (place.field / "boundary.geojson").unlink()
    with pytest.raises(
        InputError, match=r"there is no file boundary.geojson. Put it there, or name another\."
    ):
        shown(place, path)
    (place.field / "fence.gpkg").write_bytes(b"")
    (place.field / "planting.geojson").write_bytes(b"")
    with pytest.raises(InputError, match=r"Name fence.gpkg, which lies there, in \[boundary\] file"):
        shown(place, path)
    (place.field / "house.shp").write_bytes(b"")
    with pytest.raises(InputError, match="name another"):
        shown(place, path)
    (place.field / "Boundary.SHP").write_bytes(b"")
    with pytest.raises(InputError, match=r"Name Boundary.SHP, which lies there") as caught:
        read.field(load(place.field), TODAY)
    assert caught.value.code == SETTINGS
    place.add("[boundary]\nfile = 'nowhere/boundary.geojson'")
    place.settings()
    with pytest.raises(InputError, match="name another"):
        shown(place, path)


def test_points_and_polygons_in_one_file_are_refused(place, tmp_path):
    rows = [(Point(*at(WEST + 50, SOUTH + 50)), ("2026-05-06",))]
    rows.append((Point(*at(WEST + 90, SOUTH + 50)).buffer(0.0005), ("2026-05-06",)))
    path = made_planter.shapes(tmp_path / "planter.geojson", rows, {"date": "str:20"})
    with pytest.raises(InputError, match="the file mixes Point and Polygon"):
        shown(place, path)


def test_several_points_in_one_record_are_read(place, tmp_path):
    rows = [(MultiPoint([at(WEST + 50, SOUTH + 50), at(WEST + 90, SOUTH + 90)]), ("2026-05-06",))]
    path = made_planter.shapes(tmp_path / "planter.geojson", rows, {"date": "str:20"})
    assert [one.planted for one in shown(place, path).planted.blocks] == [date(2026, 5, 6)]


def test_what_is_planted_after_today_is_shown_as_it_is(place, tmp_path):
    found = shown(place, csv(tmp_path / "planter.csv", MADE), today=date(2026, 5, 1))
    assert [one.planted for one in found.planted.blocks] == [date(2026, 5, 6), date(2026, 5, 20)]


# -- zips ----------------------------------------------------------------------------------------------------


def packed(path, **members):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as file:
        for name, content in members.items():
            file.writestr(name, content)
    return path


ZIPS = {
    "no zip": (lambda path: path.write_bytes(b"PK\3\4 nothing"), "cannot be read as a zip"),
    "nothing known": (lambda path: packed(path, **{"a.txt2": b"x"}), "no layer, table or task data"),
    "two tables": (
        lambda path: packed(path, **{"a.csv": b"x", "b.csv": b"x"}),
        "several layers: a.csv, b.csv",
    ),
    "upwards": (
        lambda path: packed(path, **{"../../a.csv": b"x"}),
        r"\.\./\.\./a.csv would be unpacked outside",
    ),
    "from the root": (lambda path: packed(path, **{"/etc/a.csv": b"x"}), "would be unpacked outside"),
    "with backslashes": (lambda path: packed(path, **{"..\\a.csv": b"x"}), "would be unpacked outside"),
    "on a drive": (lambda path: packed(path, **{"C:/a.csv": b"x"}), "would be unpacked outside"),
    "one name twice": (
        lambda path: packed(path, **{"a.csv": b"x", "A.CSV": b"x"}),
        "two files in it have one name",
    ),
    "two sets": (
        lambda path: packed(path, **{"a/TASKDATA.XML": b"<a/>", "b/TASKDATA.XML": b"<a/>"}),
        "it holds 2 sets of task data",
    ),
    "too much": (
        lambda path: packed(path, **{"a.csv": bytes(501_000_000)}),
        "1 files of 501 MB; at most 500 MB",
    ),
}


@pytest.mark.parametrize("name", ZIPS)
def test_a_zip_that_is_none_or_holds_harm_is_refused(name, place, tmp_path):
    make, phrase = ZIPS[name]
    make(tmp_path / "planter.zip")
    with pytest.raises(InputError, match=phrase) as caught:
        shown(place, tmp_path / "planter.zip")
    assert caught.value.code == CONTENT
    assert str(caught.value).startswith("planter.zip: ")
    assert not (tmp_path.parent / "a.csv").exists()


@pytest.mark.parametrize("told", [500, 6_000_000])
def test_a_zip_whose_directory_lies_about_a_size_is_refused(told, place, tmp_path):
    """A bomb that says it is small: never more is unpacked than it says."""
    path = packed(tmp_path / "planter.zip", **{"a.csv": bytes(5_000_000)})
    content = path.read_bytes()
    path.write_bytes(content.replace((5_000_000).to_bytes(4, "little"), told.to_bytes(4, "little")))
    with pytest.raises(InputError, match=r"a\.csv in it is damaged"):
        shown(place, path)


def test_a_locked_zip_and_a_damaged_one_are_refused(place, tmp_path):
    path = packed(tmp_path / "planter.zip", **{"a.csv": b"date,lon,lat\n" * 50})
    content = bytearray(path.read_bytes())
    directory = content.index(b"PK\1\2")
    content[directory + 8] |= 1
    path.write_bytes(bytes(content))
    with pytest.raises(InputError, match="locked with a password"):
        shown(place, path)
    path = packed(tmp_path / "planter.zip", **{"a.csv": b"date,lon,lat\n" * 50})
    content = bytearray(path.read_bytes())
    content[40:44] = b"\xff\xff\xff\xff"
    path.write_bytes(bytes(content))
    with pytest.raises(InputError, match=r"a\.csv in it is damaged"):
        shown(place, path)


@pytest.mark.parametrize("kind", [zipfile.ZIP_LZMA, zipfile.ZIP_BZIP2])
def test_a_zip_that_is_packed_otherwise_is_refused(kind, place, tmp_path):
    """Its header may ask for any memory; the fuzzer found one that did."""
    with zipfile.ZipFile(tmp_path / "planter.zip", "w", kind) as file:
        file.writestr("a.csv", b"date,lon,lat\n" * 50)
    with pytest.raises(InputError, match="packed in a way that is not read here"):
        shown(place, tmp_path / "planter.zip")


def test_what_a_system_packs_for_itself_is_passed_over(place, tmp_path):
    csv(tmp_path / "planter.csv", MADE)
    content = (tmp_path / "planter.csv").read_bytes()
    path = packed(
        tmp_path / "planter.zip", **{"planter.csv": content, "__MACOSX/._planter.csv": b"x", ".": b""}
    )
    assert len(shown(place, path).planted.blocks) == 2


def test_shapes_are_in_the_plane_of_the_picture(place, tmp_path):
    found = shown(place, csv(tmp_path / "planter.csv", MADE))
    assert shapely.total_bounds(found.at_m) == pytest.approx(
        [WEST + 6, SOUTH + 3, EAST - 10, NORTH - 3], abs=0.02
    )


@pytest.mark.parametrize("is_on", [True, False])
def test_whether_rings_of_objects_are_looked_for_stays_as_it_was(is_on, place, tmp_path):
    try:
        gc.enable() if is_on else gc.disable()
        shown(place, csv(tmp_path / "planter.csv", MADE))
        assert gc.isenabled() == is_on
    finally:
        gc.enable()
