"""What the operator gets with the shapefile: README.txt, a zip for the stick, checksums of the folder."""

import hashlib
import io
import re
import shutil
import subprocess
import zipfile
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
import shapefile as pyshp
from hypothesis import given
from hypothesis import strategies as st
from made_plans import Made, acres, made_plan
from made_strips import with_strips

from zoning.plan import Fitted
from zoning.prescription.of_a_pass import bundle, operator, readme
from zoning.words import Said, cautions

ZIP = "passes/P1/Three_Dates_P1_0706.zip"
README = "passes/P1/README.txt"


def plan_of(**wanted):
    plan = made_plan(Made(labels=[[1, 1, 2], [3, 2, 2]], **wanted))
    return replace(plan, cautions=cautions("US"))


def page_of(plan, folder):
    operator.write(plan, folder)
    return (folder / README).read_bytes().decode("ascii")


def unwrapped(page):
    return " ".join(page.split())


def test_zip_holds_the_set_flat_and_a_second_reader_opens_it(tmp_path):
    plan = plan_of()
    names = operator.write(plan, tmp_path)
    assert ZIP in names
    with zipfile.ZipFile(tmp_path / ZIP) as together:
        assert together.testzip() is None
        files = {name: together.read(name) for name in together.namelist()}
        assert {about.date_time for about in together.infolist()} == {(2026, 7, 1, 0, 0, 0)}
    kinds = ("shp", "shx", "dbf", "prj", "cpg")
    assert list(files) == [*(f"P1_0706.{kind}" for kind in kinds), "README.txt", "SHA256SUMS"]
    for name, content in files.items():
        if name != "SHA256SUMS":
            assert content == (tmp_path / "passes/P1" / name).read_bytes()
    opened = {kind: io.BytesIO(files[f"P1_0706.{kind}"]) for kind in ("shp", "shx", "dbf")}
    with pyshp.Reader(**opened) as reader:
        assert [field[0] for field in reader.fields[1:]] == ["RATE_GPA"]
        assert len(reader.shapes()) == len(plan.passes[0].map.parts)
        assert max(record[0] for record in reader.records()) == 15.0


def test_zip_has_the_same_bytes_each_time(tmp_path):
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        operator.write(plan_of(), tmp_path / name)
    assert (tmp_path / "a" / ZIP).read_bytes() == (tmp_path / "b" / ZIP).read_bytes()


def checked(folder):
    """Recompute what a list of checksums says; the names on it."""
    lines = (folder / "SHA256SUMS").read_text(encoding="ascii").splitlines()
    told = dict(reversed(re.fullmatch(r"([0-9a-f]{64})  (\S.*)", line).groups()) for line in lines)
    assert len(told) == len(lines)
    for name, digest in told.items():
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest
    if program := shutil.which("sha256sum"):
        assert subprocess.run([program, "-c", "SHA256SUMS"], cwd=folder, capture_output=True).returncode == 0
    return set(told)


def test_checksums_in_the_zip_hold(tmp_path):
    operator.write(plan_of(), tmp_path)
    with zipfile.ZipFile(tmp_path / ZIP) as together:
        together.extractall(tmp_path / "stick")
    kinds = ("shp", "shx", "dbf", "prj", "cpg")
    assert checked(tmp_path / "stick") == {"README.txt", *(f"P1_0706.{kind}" for kind in kinds)}


def test_checksums_of_the_folder_hold_for_all_that_is_in_it(tmp_path):
    plan = plan_of()
    operator.write(plan, tmp_path)
    (tmp_path / "passes/P1/TASKDATA").mkdir()
    (tmp_path / "passes/P1/TASKDATA/TASKDATA.XML").write_bytes(b"<x/>")
    assert bundle.write_sums(plan, tmp_path) == ("passes/P1/SHA256SUMS",)
    there = {
        path.relative_to(tmp_path / "passes/P1").as_posix()
        for path in (tmp_path / "passes/P1").rglob("*")
        if path.is_file()
    }
    assert checked(tmp_path / "passes/P1") == there - {"SHA256SUMS"}
    assert "TASKDATA/TASKDATA.XML" in there
    if program := shutil.which("sha256sum"):  # one bit less, and it says so
        (tmp_path / "passes/P1/TASKDATA/TASKDATA.XML").write_bytes(b"<y/>")
        said = subprocess.run([program, "-c", "SHA256SUMS"], cwd=tmp_path / "passes/P1", capture_output=True)
        assert said.returncode == 1


@pytest.mark.parametrize(
    ("units", "unit", "column", "rate"),
    [("us", "US gal/ac", "RATE_GPA", "15.00"), ("metric", "L/ha", "RATE_LHA", "140.31")],
)
def test_readme_says_how_the_terminal_must_be_set(tmp_path, units, unit, column, rate):
    page = page_of(plan_of(units=units), tmp_path)
    plain = unwrapped(page)
    assert f"set {unit} of spray mix (total volume, not product)" in plain
    assert f"{column}: {unit} of spray mix, 0 = boom off" in plain
    assert f"{rate} {unit} on " in plain
    assert "set 0 (boom off) outside the field" in plain
    assert "position lost set 0 (boom off); stop until it is back" in plain
    assert "one field at a time" in plain
    assert "EPSG:4326" in plain
    for known in (
        "Three Dates",
        "Heron Slough",
        "Invented Fungicide A",
        "2026-07-06 AM",
        "ground rig",
        "3f9a1c27",
    ):
        assert known in plain
    assert all(one in plain for one in cautions("US"))


def test_by_hand_acres_and_gallons_of_the_readme(tmp_path):
    # by hand: zones 1 and 3 of 250 x 250 m cells are sprayed, 3 of 6 cells: 3 x 15.44 ac
    plan = plan_of(cell_m=250.0)
    sprayed_ac = sum(acres(zone.outline) for zone in plan.zones if zone.pass_number)
    assert sprayed_ac == pytest.approx(3 * 250**2 / 4046.8564224, rel=2e-3)  # the plane is not the globe
    plain = unwrapped(page_of(plan, tmp_path))
    assert f"15.00 US gal/ac on {sprayed_ac:.1f} ac: {15 * sprayed_ac:.0f} US gal" in plain
    dry_ac = acres(plan.boundary) - sprayed_ac
    assert f"0.00 US gal/ac on {dry_ac:.1f} ac: boom off" in plain
    assert f"in all {acres(plan.boundary):.1f} ac: {15 * sprayed_ac:.0f} US gal" in plain


def test_readme_names_what_changed_and_what_was_fitted(tmp_path):
    plan = plan_of()
    assert "changed" not in page_of(plan, tmp_path)
    done = Fitted(polygons=140, size_bytes=91_000, joined=41, joined_ac=3.2, moved_m=2.2, fits=True)
    one = replace(plan.passes[0], map=replace(plan.passes[0].map, fitted=done))
    since = Said("zones.one_response", block="B")
    plain = unwrapped(page_of(replace(plan, passes=(one,), since=since), tmp_path))
    assert f"changed {since.text}" in plain
    assert "instead of 140: 3.2 ac (1.3 ha) get the rate of a neighbour, edges move by up to 7 ft" in plain


def test_by_hand_readme_tells_of_check_strips_which_the_driver_must_leave_dry(tmp_path):
    # the zip goes without map and load sheet; 2 pairs are 4 strips, 2 of them dry
    plan = with_strips(Made(labels=[[1] * 8, [2] * 8], cell_m=40.0), {1: ([1], [2]), 2: ([5], [6])})
    plain = unwrapped(page_of(plan, tmp_path))
    assert "strips 4 check strips, a trial: half of them stay dry from end to end" in plain
    assert "check strips" not in page_of(plan_of(), tmp_path)


def test_readme_warns_on_top_where_the_machine_cannot_follow(tmp_path):
    plan = plan_of()
    why = Said("zones.one_response", block="B")
    one = replace(plan.passes[0], map=replace(plan.passes[0].map, not_followed=(why,)))
    lines = page_of(replace(plan, passes=(one,)), tmp_path).splitlines()
    assert lines[2].startswith("!! THE MACHINE CANNOT FOLLOW THIS MAP: ")
    assert why.text.upper() in unwrapped(" ".join(lines)).replace("!! ", "")
    assert not any(line.startswith("!!") for line in page_of(plan, tmp_path).splitlines())


NAMES = st.text(st.characters(codec="utf-8"), min_size=1, max_size=200)
LONG = "a sentence that somebody made far longer than it should be " * 12


@given(field=NAMES, farm=NAMES, product=NAMES, metric=st.booleans(), fits=st.booleans())
def test_readme_is_one_page_of_plain_letters_whatever_is_typed(field, farm, product, metric, fits):
    made = Made(labels=[[1] * 8, [2] * 8], cell_m=40.0, units="metric" if metric else "us")
    plan = replace(with_strips(made, {1: ([1], [2]), 2: ([5], [6])}), cautions=cautions("US"))
    done = Fitted(polygons=1400, size_bytes=910_000, joined=410, joined_ac=1234.5, moved_m=2.2, fits=fits)
    long = Said("offers.of_pass", number=1, why=LONG)
    one = replace(
        plan.passes[0], sprayer=product, map=replace(plan.passes[0].map, fitted=done, not_followed=(long,))
    )
    plan = replace(plan, field=field, farm=farm, product=product, since=long, passes=(one,))
    page = readme.text(plan, one, "P1_0706", "RATE_GPA")
    assert page.isascii()
    assert page.endswith("\r\n")
    lines = page.split("\r\n")[:-1]
    assert len(lines) <= 40
    assert all(len(line) <= 72 and line.isprintable() for line in lines)


@given(field=NAMES)
def test_field_in_the_name_of_a_zip_is_plain(field):
    assert re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_-]{0,44}", bundle.field_in_name(field))


@given(fields=st.sets(st.text("ab _-/é", min_size=1, max_size=3), min_size=2))
def test_no_two_fields_share_a_name(fields):
    assert len({bundle.field_in_name(one) for one in fields}) == len(fields)


def test_by_hand_names_of_fields():
    assert bundle.field_in_name("Three Dates") == "Three_Dates"
    assert bundle.field_in_name("North-40") == "North-40"
    long = "x" * 200
    # by hand: 40 letters, a hyphen and the first four digits of the whole name's SHA-256
    assert bundle.field_in_name(long) == f"{'x' * 40}-{hashlib.sha256(long.encode()).hexdigest()[:4]}"


@given(days=st.integers(0, 50_000))
def test_any_day_fits_a_zip(days):
    today = date(1970, 1, 1) + timedelta(days=days)
    made = bundle.zipped({"a.txt": b"a"}, today)
    with zipfile.ZipFile(io.BytesIO(made)) as together:
        assert together.read("a.txt") == b"a"
        year = together.getinfo("a.txt").date_time[0]
    assert year == max(1980, today.year)


def test_no_pass_no_checksums(tmp_path):
    plan = made_plan(Made(labels=np.array([[1, 2]]), pass_of_zone={}))
    assert bundle.write_sums(plan, tmp_path) == ()
    assert list(tmp_path.iterdir()) == []
