"""Whatever an offer reads is in what it is made of: a kept one never outlives a change."""

import hashlib
import shutil
from datetime import date
from pathlib import Path

import pytest

from zoning import evidence
from zoning.farm.kept import made_of as room
from zoning.settings.read import load

TODAY = date(2026, 7, 8)
FARM = """name = "Farm"
[weather]
hourly = "shared/hours.csv"
forecast = "ahead.csv"
hourly_forecast = "hours_ahead.csv"
"""
FIELD = """name = "Field"
maturity_group = 1.9
[boundary]
file = "shapes/edge.shp"
[planting]
file = "planted.gpkg"
[[imagery]]
file = "2026-06-28.tif"
bands = { red = 1, nir = 2 }
index = "NDVI"
mask = "2026-06-28_clouds.tif"
[[layer]]
name = "elevation"
file = "../shared/lidar.tif"
[[setback]]
file = "ditch.geojson"
[[dead_ground]]
file = "pond.geojson"
[[scouting]]
file = "counts.csv"
[[scouting]]
file = "more_counts.csv"
[guidance]
file = "lines.geojson"
[zones]
file = "out/zones.gpkg"
"""
OWN = (
    *("shapes/edge.shp", "shapes/edge.shx", "shapes/edge.dbf", "shapes/edge.prj", "shapes/edge.cpg"),
    *("planted.gpkg", "2026-06-28.tif", "2026-06-28.tif.aux.xml", "2026-06-28_clouds.tif", "ditch.geojson"),
    *("pond.geojson", "counts.csv", "more_counts.csv", "lines.geojson", "out/zones.gpkg", "weather.csv"),
    *("decisions.json", "strips/design.geojson", "applied/zones.gpkg"),
)
SHARED = (
    *("shared/hours.csv", "ahead.csv", "hours_ahead.csv", "shared/lidar.tif", "shared/lidar.tif.ovr"),
    *("weather.csv", "done.csv", "season.csv", "learned.toml"),
)
FILES = tuple(f"field/{name}" for name in OWN) + SHARED


def written(path, text="x"):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text)
    return path


@pytest.fixture
def farm(tmp_path):
    """A farm with one field that names every kind of file, each of them there; nothing parses them here."""
    farm = tmp_path / "farm"
    for name in FILES:
        written(farm / name, "schema_version = 1\n" if name == "learned.toml" else name)
    written(farm / "farm.toml", FARM)
    written(farm / "field" / "field.toml", FIELD)
    return farm


def found(farm, *, today=TODAY, seed=0, measured=True):
    return room.made_of(load(farm / "field"), today=today, seed=seed, measured=measured)


def digests(made):
    return {name: value for name, value in made.items() if not name.startswith("file ")}


def test_nothing_changes_where_nothing_changed(farm):
    before = found(farm)
    assert found(farm) == before
    for name in FILES:
        shutil.copy(farm / name, farm / "copy")
        shutil.copy(farm / "copy", farm / name)  # a new file with the same content
    assert found(farm) == before


@pytest.mark.parametrize("name", FILES)
def test_each_file_counts_changed_gone_and_there_again(farm, name):
    path = farm / name
    before, content = found(farm), path.read_bytes()
    path.write_bytes(content + b"\n")
    changed = found(farm)
    assert changed != before
    assert digests(changed) == digests(before)
    path.unlink()
    gone = found(farm)
    assert gone not in (before, changed)
    path.write_bytes(content)
    assert found(farm) == before


@pytest.mark.parametrize("name", FILES)
def test_a_change_that_keeps_the_size_counts(farm, name):
    path = farm / name
    before, content = found(farm), path.read_bytes()
    path.write_bytes(
        content.replace(content[-1:], b"~") if name != "learned.toml" else b"schema_version = 1 "
    )
    assert found(farm) != before


@pytest.mark.parametrize(
    "name",
    [
        "field/2026-06-28.tfw",
        "field/planted.gpkg-wal",
        "field/shapes/edge.qix",
        "shared/lidar.tfw",
        "shared/lidar.tif.aux.xml",
        "field/shared/hours.csv",
        "field/done.csv",
        "field/notes/anything.txt",
    ],
)
def test_a_file_that_was_not_there_counts(farm, name):
    before = found(farm)
    written(farm / name)
    assert found(farm) != before


def test_a_file_outside_the_farm_counts(farm, tmp_path):
    away = written(tmp_path / "away" / "edge.shp")
    text = FIELD.replace("shapes/edge.shp", away.as_posix()).replace(
        "pond.geojson", "../../away/pond.geojson"
    )
    written(farm / "field" / "field.toml", text)
    before = found(farm)
    assert f"file ../../away/{away.name}" in before
    for name in ("edge.shp", "edge.dbf", "pond.geojson"):
        now = found(farm)
        written(tmp_path / "away" / name, "changed")
        assert found(farm) != now


@pytest.mark.parametrize(
    "name",
    [
        *("out/plan.json", "out.last/plan.json", "out.new/zones.gpkg", "history/2026-07-08T10.json"),
        *("strips/2026/trial.json", "strips/design.geojson.bak", "field.toml.bak", "overrides.jsonl"),
        *("harvest/combine.csv", ".counts.csv.77.1", "scouting_refused.csv"),
    ],
)
def test_our_own_results_and_copies_do_not_count(farm, name):
    before = found(farm)
    written(farm / "field" / name)
    assert found(farm) == before


def test_what_other_fields_have_and_results_of_the_farm_do_not_count(farm):
    before = found(farm)
    for name in ("other/field.toml", "other/counts.csv", "out/farm.json", "out.kept/field.offer.npz"):
        written(farm / name)
    assert found(farm) == before


def test_day_seed_and_measuring_count(farm):
    all_of_them = [
        found(farm),
        found(farm, today=date(2026, 7, 9)),
        found(farm, seed=1),
        found(farm, measured=False),
    ]
    assert len({tuple(sorted(one.items())) for one in all_of_them}) == len(all_of_them)


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("farm.toml", 'name = "Farm"', 'name = "Farm"\nseason = 2026'),
        ("farm.toml", 'name = "Farm"', '# a line more moves what is told of the others\nname = "Farm"'),
        ("field/field.toml", "1.9", "2.0"),
        ("field/field.toml", "1.9", "1.90  "),
        ("field/field.toml", '"Field"', '"Feld"'),
    ],
)
def test_what_stands_in_the_settings_and_where_counts(farm, file, old, new):
    before = found(farm)
    path = farm / file
    path.write_text(path.read_text().replace(old, new))
    is_same_value = new.strip() == "1.90"
    assert (found(farm) == before) == is_same_value


def test_a_comment_that_moves_nothing_does_not_count(farm):
    before = found(farm)
    path = farm / "farm.toml"
    path.write_text(path.read_text() + "# the end\n")
    assert found(farm) == before


def test_version_libraries_and_numbers_count(farm, monkeypatch):
    before = found(farm)
    monkeypatch.setattr(room, "__version__", "99")
    assert found(farm)["version"] != before["version"]
    monkeypatch.setattr(room.metadata, "version", lambda name: f"{name} of tomorrow")
    monkeypatch.setattr(evidence, "digest", lambda: {"stage": "other numbers"})
    for one in (room._libraries, room._evidence):
        one.cache_clear()
    changed = {name for name, value in found(farm).items() if before[name] != value}
    for one in (room._libraries, room._evidence):
        one.cache_clear()
    assert changed == {"version", "libraries", "evidence"}


def test_every_line_of_the_program_counts():
    home = Path(room.__file__).parents[2]
    whole = hashlib.sha256()
    for name in sorted(path.relative_to(home).as_posix() for path in home.rglob("*.py")):
        content = (home / name).read_bytes()
        whole.update(f"{name} {len(content)}\n".encode() + content)
    room._code.cache_clear()
    assert room._code() == whole.hexdigest()


def test_links_are_followed_and_lead_nowhere_twice(farm, tmp_path):
    away = written(tmp_path / "away" / "photo.txt")
    (farm / "field" / "photos").symlink_to(away.parent, target_is_directory=True)
    (away.parent / "back").symlink_to(farm / "field", target_is_directory=True)
    before = found(farm)
    assert "file photos/photo.txt" in before
    written(away, "changed")
    assert found(farm) != before


def test_a_design_that_leads_to_nothing_counts(farm):
    path = farm / "field" / "strips" / "design.geojson"
    path.unlink()
    gone = found(farm)
    path.symlink_to(farm / "nothing.geojson")
    assert found(farm) != gone
