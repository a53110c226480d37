"""`sprayworth get planting`: what is printed where, and how it ends."""

import json
import os
import re
import shlex
import sys
from datetime import date, timedelta

import pytest
from made_inputs import NORTH, SOUTH, WEST
from made_planter import at, csv, field_of, moved, records, shapes, vector
from shapely import box

from cli.main import _code

MADE = records(15.0)
TODAY = ("--today", "2026-07-08")


@pytest.fixture
def place(tmp_path):
    return field_of(tmp_path / "farm")


def run(capsys, *words):
    code = _code([str(one) for one in words])
    told = capsys.readouterr()
    return code, told.out, told.err


def test_a_preview_says_what_was_taken_from_where_and_how_to_take_it(place, tmp_path, capsys):
    path = csv(tmp_path / "planter.csv", MADE)
    code, out, err = run(capsys, "get", "planting", place.field, path, *TODAY)
    assert code == 0
    assert err == "reading the planter's file\ndrawing the blocks\n"
    for line in (
        "planter.csv: table, 660 records of this field, 2 days, 2026-05-06 to 2026-05-20",
        '  planted: "Date + Time" (by words in its name): 2026-05-06T08:00:00 ... 2026-05-20T13:40:38',
        '  variety: "Variety" (by its own name): P ... Q',
        "  maturity group: not in the file; that of field.toml counts, 1.9",
        "  days: 2026-05-06 (340), 2026-05-20 (320)",
        "  varieties: P 52 %, Q 48 %",
        "  median population: 139,617 seeds/ac",
        "the blocks are drawn in preview/planting_blocks.png; nothing else was written",
    ):
        assert line in out.splitlines(), line
    assert "read as seeds/m2 by its name" in out
    rows = [line.split() for line in out.splitlines() if line.startswith(("A ", "B "))]
    assert [row[:4] for row in rows] == [["A", "2026-05-06", "P", "1.9"], ["B", "2026-05-20", "Q", "1.9"]]
    last = out.splitlines()[-1]
    assert last.startswith("to take them: sprayworth get planting ")
    words = shlex.split(last.removeprefix("to take them: sprayworth "))
    code, out, _ = run(capsys, *words, "--quiet")
    assert code == 0
    assert (
        out.splitlines()[-1] == "written: planting.geojson, planting_source.json, preview/planting_blocks.png"
    )
    assert (place.field / "planting.geojson").exists()


def test_what_was_typed_is_in_the_command_that_takes_it(place, tmp_path, capsys):
    path = csv(tmp_path / "planter.csv", [moved(one, when=one.when + timedelta(days=4)) for one in MADE])
    words = ("--column", "variety=", "--column", "population=", "--unit", "date=month first", *TODAY)
    _, out, err = run(capsys, "get", "planting", place.field, path, *words, "--quiet")
    assert err == ""
    assert "variety: not in the file; none is named" in out
    assert "population: not in the file" in out
    assert "varieties" not in out
    assert shlex.split(out.splitlines()[-1])[-9:] == [*words, "--confirm"]


def test_one_object_for_programs(place, tmp_path, capsys):
    path = vector(tmp_path / "planter.gpkg", MADE)
    code, out, err = run(capsys, "get", "planting", place.field, path, *TODAY, "--quiet", "--json")
    told = json.loads(out)
    assert (code, err) == (0, "")
    assert (told["file"], told["format"], told["taken"], told["written"]) == (
        "planter.gpkg",
        "GeoPackage",
        False,
        [],
    )
    assert [one["role"] for one in told["roles"]] == ["date", "variety", "population"]
    assert [one["block"] for one in told["blocks"]] == ["A", "B"]
    assert told["command"].endswith("--confirm")
    code, out, _ = run(capsys, "get", "planting", place.field, path, *TODAY, "--quiet", "--json", "--confirm")
    told = json.loads(out)
    assert (told["taken"], told["command"]) == (True, None)
    assert told["written"][0] == "planting.geojson"


@pytest.mark.parametrize(
    ("name", "content", "code", "phrase"),
    [
        ("nothing.csv", None, 2, "nothing.csv: there is no such file. Name a CSV (.csv), shapefile"),
        ("planter.pdf", b"%PDF", 2, 'planter.pdf: a file that ends with ".pdf" is not read here'),
        ("planter.csv", b"", 3, "planter.csv: the file is empty"),
        ("planter.csv", b"a,b\n", 3, "planter.csv: the file has no rows"),
        ("planter.xml", b"<a", 3, "planter.xml: TASKDATA.XML: the file cannot be read as XML (line 1)"),
        (
            "planter.shp",
            b"\0\0\x27\x0a" + bytes(96),
            3,
            "planter.shp: the file cannot be read as a shapefile",
        ),
        ("planter\udce4.csv", None, 2, "its letters are not UTF-8"),
    ],
)
def test_a_file_that_is_none_is_one_line(name, content, code, phrase, place, tmp_path, capsys):
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    ended, out, err = run(capsys, "get", "planting", place.field, path, "--quiet")
    assert (ended, out) == (code, "")
    assert err.count("\n") == 1
    assert phrase in err
    assert not (place.field / "preview").exists()


@pytest.mark.skipif(sys.platform == "win32", reason="no pipe by a name there")
def test_a_pipe_is_no_file(place, tmp_path, capsys):
    os.mkfifo(tmp_path / "planter.csv")
    code, _, err = run(capsys, "get", "planting", place.field, tmp_path / "planter.csv", "--quiet")
    assert code == 2
    assert "this is a pipe or a device, not a file" in err


def test_a_file_that_may_not_be_read_or_is_too_large_is_told(place, tmp_path, capsys, monkeypatch):
    path = tmp_path / "planter.csv"
    with path.open("wb") as file:
        file.truncate(501_000_000)  # a hole: no room on the disk is taken
    code, _, err = run(capsys, "get", "planting", place.field, path, "--quiet")
    assert (code, "the file has 501 MB, more than is read" in err) == (3, True)
    monkeypatch.setattr("os.access", lambda one, _: one != path)
    code, _, err = run(capsys, "get", "planting", place.field, path, "--quiet")
    assert (code, "you are not allowed to read the file" in err) == (4, True)


def test_many_days_and_blocks_stay_readable(place, tmp_path, capsys):
    """Thirty strips of a day of their own."""
    corners = [(at(WEST + 13 * k, SOUTH), at(WEST + 13 * (k + 1), NORTH)) for k in range(30)]
    rows = [
        (box(*low, *high), (str(date(2026, 5, 1) + timedelta(days=k)), f"V{k}"))
        for k, (low, high) in enumerate(corners)
    ]
    path = shapes(tmp_path / "planter.gpkg", rows, {"date": "str:20", "variety": "str:20"})
    code, out, _ = run(capsys, "get", "planting", place.field, path, *TODAY, "--quiet")
    assert code == 0
    assert out.count("and 22 more") == 2
    assert len(re.findall(r"^[A-Z]+ +2026-05-", out, re.MULTILINE)) == 30
    assert (place.field / "preview" / "planting_blocks.png").stat().st_size > 10_000
