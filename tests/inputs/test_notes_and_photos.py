"""Notes, photos and observers of a scout: from the file to the plan, and rows with nothing else."""

import json
import shutil
from datetime import date
from pathlib import Path

import fiona
import pytest
from made_inputs import EAST, EPSG, FIELD, NORTH, SOUTH, TODAY, WEST
from pyproj import Transformer

from zoning import field
from zoning.inputs.given import AtOrPast
from zoning.inputs.ground.boundary import Boundary
from zoning.inputs.scouting import rows
from zoning.prescription.frame import layer_frame

EDGE = Boundary(area=FIELD, epsg=EPSG, longitude_deg=-95.4, latitude_deg=44.3, notes=())
LON, LAT = Transformer.from_crs(EPSG, 4326, always_xy=True).transform((WEST + EAST) / 2, (SOUTH + NORTH) / 2)
DEMO = Path(__file__).parents[2] / "demo_fields" / "heron_slough"


def read(folder, head, *lines):
    path = folder / "scouting.csv"
    path.write_text("\n".join([f"date,lat,lon,{head}", *lines]) + "\n", encoding="utf-8")
    return rows.read(path, path.name, EDGE, TODAY)


def line(rest, day="2026-07-06", lat=LAT):
    return f"{day},{lat:.7f},{LON:.7f},{rest}"


@pytest.mark.parametrize("name", ["photo", "Picture", "image", "Photo File", "PHOTOS"])
def test_a_count_keeps_what_stands_beside_it(tmp_path, name):
    head = f"stage,k,n,observer,notes,{name}"
    (one,) = read(tmp_path, head, line('R3,4,20,Ana,"  low, wet  spot ",IMG_0412.jpg')).counts
    assert one.seen == AtOrPast("R3", 4, 20)
    assert (one.stage, one.observer, one.note, one.photo) == ("R3", "Ana", "low, wet spot", "IMG_0412.jpg")


def test_a_sighting_keeps_what_stands_beside_it(tmp_path):
    (one,) = read(tmp_path, "pressure,observer,note,photo", line("seen,Bo,lesions,a.png")).sightings
    assert (one.observer, one.note, one.photo, one.source) == ("Bo", "lesions", "a.png", "scouting.csv:2")


def test_a_row_of_a_note_or_a_photo_alone_is_a_remark(tmp_path):
    found = read(
        tmp_path,
        "stage,k,n,pressure,note,photo,observer",
        line(",,,,gate washed out,,Ana"),
        line(",,,,,b.jpg,", lat=LAT + 0.0002),
        line(",,,low,clean,,", lat=LAT + 0.0004),  # not a remark: it says how much disease there is
        line("R3,4,20,,counted,,", lat=LAT + 0.0006),
        line(",,,,,,", lat=LAT + 0.0008),  # nothing at all
        line(",,,,-,n/a,", lat=LAT + 0.0009),  # nor here
    )
    assert [(one.note, one.photo, one.observer, one.source) for one in found.remarks] == [
        ("gate washed out", "", "Ana", "scouting.csv:2"),
        ("", "b.jpg", "", "scouting.csv:3"),
    ]
    assert (len(found.sightings), len(found.counts)) == (1, 1)
    assert found.notes == ()


def test_a_count_that_cannot_be_used_leaves_its_note(tmp_path):
    found = read(tmp_path, "stage,k,n,note", line("R3,24,20,strange rows"))
    assert found.counts == ()
    assert [one.note for one in found.remarks] == ["strange rows"]
    assert [one.code for one in found.notes] == ["inputs.count_k_above_n"]


def test_a_remark_outside_or_of_a_later_day_is_not_used(tmp_path):
    found = read(tmp_path, "note", line("far", lat=LAT + 1), line("soon", day="2027-01-01"))
    assert found.remarks == ()
    assert [one.code for one in found.notes] == ["inputs.scouting_outside", "inputs.scouting_later"]


def test_the_same_remark_counts_once_in_a_file_and_in_two(tmp_path):
    once = read(tmp_path, "note", line("stones"), line("stones"))
    assert len(once.remarks) == 1
    assert len(rows.together([once, once]).remarks) == 1


def test_sightings_that_differ_in_their_notes_alone_count_once_in_two_files(tmp_path):
    first, second = (read(tmp_path, "pressure,note", line(f"low,{note}")) for note in ("clean", "as before"))
    assert len(rows.together([first, second]).sightings) == 1


def test_a_plan_and_its_files_hold_them(tmp_path):
    copy = tmp_path / "farm"
    shutil.copytree(DEMO, copy, ignore=shutil.ignore_patterns("out", "out.*", "strips"))
    table = copy / "wet_corner" / "scouting.csv"
    text = (
        table.read_text(encoding="utf-8").splitlines() if table.is_file() else ["date,lat,lon,pressure,note"]
    )
    shown = field.offer(copy / "wet_corner", clock=date(2026, 7, 8)).zones[0].outline.representative_point()
    head = text[0].split(",")
    cells = {"date": "2026-07-06", "lat": f"{shown.y:.7f}", "lon": f"{shown.x:.7f}", "note": "hail"}
    text[0] += ",photo,observer"
    text.append(",".join([*(cells.get(name, "") for name in head), "hail.jpg", "Ana"]))
    table.write_text("\n".join(text) + "\n", encoding="utf-8")
    run = field.run(copy / "wet_corner", clock=date(2026, 7, 8))
    (seen,) = (one for one in run.plan.scouting if one.photo)
    assert (seen.kind, seen.text, seen.note, seen.photo) == ("note", "hail", "hail", "hail.jpg")
    assert (seen.observer, seen.zone, seen.source) == ("Ana", 1, f"scouting.csv:{len(text)}")
    field.write(run, tmp_path / "out")
    told = json.loads((tmp_path / "out" / "plan.json").read_text(encoding="utf-8"))["scouting"]
    assert {"kind": "note", "photo": "hail.jpg", "observer": "Ana"}.items() <= next(
        one for one in told if one["photo"]
    ).items()
    with fiona.open(tmp_path / "out" / "zones.gpkg", layer="scouting") as file:
        photos = [row["properties"]["photo"] for row in file]
        days = [row["properties"]["date"] for row in file]
    assert "hail.jpg" in photos
    assert all(day.startswith("2026-07-0") for day in days)
    assert "hail.jpg" in set(layer_frame(run.plan, "scouting")["photo"])
