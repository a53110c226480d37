"""Names of fields, farms, products, sprayers as people type them: every file is written and readable.

The plan's files are written as a run writes them, and read back by other libraries and by the checker.
"""

import csv
import json
import re
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import date
from pathlib import Path
from xml.sax.saxutils import escape

import geopandas
import pytest
from lxml import etree
from made_demo import TODAY, three_dates
from made_farm_plans import small_farm
from made_plans import Made, made_plan
from made_sheets import made_sheet

from zoning import farm, field
from zoning.errors import SETTINGS, InputError
from zoning.farm.written import write as write_farm
from zoning.file_checks import check
from zoning.offers.provenance import Provenance
from zoning.settings.read import load
from zoning.words import Said, cautions

NAMES = [
    'Joe\'s "north" 40',
    "a/b\\c:d*e?f|g<h>",
    "../../etc/passwd",
    "</script><script>alert(1)</script>",
    "<!-- ]]> &amp; --> &",
    "x" * 200,
    "\N{LATIN SMALL LETTER E WITH ACUTE}" * 200,
    "\N{HELICOPTER}\N{EAR OF RICE} north",
    "\N{HEBREW LETTER SHIN}\N{HEBREW LETTER LAMED}\N{HEBREW LETTER VAV}\N{HEBREW LETTER FINAL MEM}",
    "\N{CJK UNIFIED IDEOGRAPH-5317}\N{CJK UNIFIED IDEOGRAPH-7530}" * 30,
    "...",
    ".",
    "..",
    "CON",
    "nul.shp",
    "  spaced out  ",
    "ends with dots...",
    "{field} %s %(name)s {0}",
    "; DROP TABLE gpkg_contents; --",
    "-rf",
    "=cmd|' /C calc'!A0",
    "0",
    "null",
]
_RESERVED = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))}


def portable(name: str) -> bool:
    """A name that every file system takes, and a shell too."""
    stem = name.split(".")[0].lower()
    return bool(re.fullmatch(r"[A-Za-z0-9_][A-Za-z0-9_.-]{0,79}", name)) and stem not in _RESERVED


def named(name: str):
    """A plan in which everything is called so."""
    plan = made_plan(Made(labels=[[1, 1, 2], [3, 2, 2]], field=name, farm=name, pass_of_zone={1: 1, 3: 2}))
    sheet = replace(made_sheet(), product=name)
    passes = [replace(one, sprayer=name, sheet=sheet) for one in plan.passes]
    why = Said("sprayer.no_label")
    passes[1] = replace(passes[1], map=replace(passes[1].map, not_followed=(why,)))
    zones = tuple(replace(zone, name=name) for zone in plan.zones)
    return replace(plan, passes=tuple(passes), zones=zones, product=name, cautions=cautions("US"))


@pytest.fixture(scope="module", params=NAMES, ids=range(len(NAMES)))
def written(request, tmp_path_factory):
    plan = named(request.param)
    made_of = Provenance(version="0", today=plan.today, seed=0, settings={}, inputs={}, evidence={})
    out = tmp_path_factory.mktemp("odd") / "out"
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("zoning.show.map.write", lambda _plan, path: path.write_bytes(b""))
        names = field.write(field.Run(plan=plan, provenance=made_of), out, allow_unreachable=True)
    return plan, out, names


def test_all_files_lie_inside_under_names_that_every_system_takes(written):
    _, out, names = written
    found = {path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()}
    assert found == set(names)
    assert list(out.parent.iterdir()) == [out]
    assert all(portable(part) for name in names for part in Path(name).parts)


def test_our_own_checker_has_nothing_to_say(written):
    _, out, _ = written
    assert [str(one) for one in check(out).findings] == []


def test_files_for_programs_hold_the_name_as_it_was_typed(written):
    plan, out, _ = written
    about = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    assert about["field"] == plan.field
    assert [one["sprayer"] for one in about["passes"]] == [plan.field, plan.field]
    (geojson,) = (out / "passes" / "P1").glob("*.geojson")
    assert json.loads(geojson.read_text(encoding="utf-8"))["field"] == plan.field
    for path in (out / "zones.gpkg", *out.glob("passes/*/*.gpkg")):
        with closing(sqlite3.connect(path)) as base:
            assert base.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            layers = [name for (name,) in base.execute("SELECT table_name FROM gpkg_contents")]
            tables = [name for (name,) in base.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
            cells = [
                str(cell)
                for name in tables
                for row in base.execute(f'SELECT * FROM "{name}"')
                for cell in row
            ]
        in_xml = escape(plan.field, {'"': "&quot;"})
        assert any(plan.field in one or in_xml in one for one in cells)
        assert all(
            len(geopandas.read_file(path, layer=layer)) > 0 for layer in layers if "style" not in layer
        )
    zones = geopandas.read_file(out / "zones.gpkg", layer="zones")
    assert set(zones["name"]) == {plan.field}


def test_files_for_terminals_are_plain(written):
    _, out, _ = written
    for number in (1, 2):
        place = out / "passes" / f"P{number}"
        page = (place / "README.txt").read_bytes().decode("ascii")
        assert page.endswith("\r\n")
        lines = page.split("\r\n")
        assert len(lines) <= 41
        assert max(map(len, lines)) <= 72
        assert "\n" not in "".join(lines)
        tree = etree.parse(place / "TASKDATA" / "TASKDATA.XML")
        for element in tree.iter("CTR", "FRM", "PFD", "PDT", "TSK", "TZN"):
            called = element.get("C" if element.tag == "PFD" else "B")
            assert 0 < len(called) <= 32
            assert called.isprintable()
    for path in (*out.glob("passes/*/load_sheet.txt"), *out.glob("passes/*/record.txt")):
        lines = path.read_text(encoding="utf-8").splitlines()
        assert all(line.isprintable() for line in lines)
        if path.name == "load_sheet.txt":
            assert max(map(len, lines)) <= 80


@pytest.mark.parametrize("name", NAMES, ids=range(len(NAMES)))
def test_files_of_a_farm(name, tmp_path, monkeypatch):
    monkeypatch.setattr("zoning.show.calendar_picture.write", lambda _plan, path: path.write_bytes(b""))
    plan = small_farm()
    plans = tuple(
        replace(one, field=name, farm=name, passes=tuple(replace(each, sprayer=name) for each in one.passes))
        for one in plan.plans
    )
    plan = replace(plan, farm=name, plans=plans)
    outcomes = tuple(
        farm.Outcome(field=folder, plan=one) for folder, one in zip(plan.folders, plans, strict=True)
    )
    write_farm(farm.FarmRun(outcomes=outcomes, plan=plan), tmp_path, with_pages=False)
    found = list((tmp_path / "out").rglob("*"))
    assert all(portable(path.name) for path in found)
    assert [path.name for path in tmp_path.iterdir()] == ["out"]
    assert set(geopandas.read_parquet(tmp_path / "out" / "farm.parquet")["field"]) == {name}
    with (tmp_path / "out" / "farm.csv").open(encoding="utf-8", newline="") as table:
        cell = f"'{name}" if name.startswith(("=", "+", "-", "@")) else name  # no formula in a spreadsheet
        assert {row["field"] for row in csv.DictReader(table)} == {cell}
    assert json.loads((tmp_path / "out" / "farm.json").read_text(encoding="utf-8"))["farm"] == name
    # the fields of this farm lie on the same ground, so that only what goes to terminals is checked
    assert [str(one) for one in check(tmp_path / "out" / "taskdata").findings] == []


@pytest.mark.parametrize(
    "name", ["two\nlines", "a\ttab", "\u202eright to left", "\x00", "\x1b[31mred", "   ", ""]
)
def test_names_that_break_lines_are_refused_in_one_line(name, tmp_path):
    folder = three_dates(tmp_path)
    path = folder / "field.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('name = "Three Dates"', f"name = {json.dumps(name)}"), encoding="utf-8")
    with pytest.raises(InputError) as refused:
        load(folder)
    assert refused.value.code == SETTINGS
    assert len(str(refused.value).splitlines()) == 1
    assert str(refused.value).isprintable()


def test_a_folder_with_an_odd_name_is_read_and_written(tmp_path):
    folder = three_dates(tmp_path)
    odd = folder.rename(folder.parent / "n\N{LATIN SMALL LETTER O WITH ACUTE}rte \N{HELICOPTER} 'a' & (b)")
    run = field.run(odd, today=TODAY, measured_by=lambda *_, **__: lambda: None)
    names = field.write(run, odd / "out")
    assert all((odd / "out" / name).is_file() for name in names)
    assert date.fromisoformat(json.loads((odd / "out" / "plan.json").read_text())["today"]) == TODAY
