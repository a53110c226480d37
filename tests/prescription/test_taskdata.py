"""TASKDATA.XML: what ISO 11783-10 asks of each element, the rates, the polygons, and names as they come."""

import re
import unicodedata
from dataclasses import replace
from decimal import Decimal

import fiona
import numpy as np
import pytest
import shapely
from affine import Affine
from hypothesis import given
from hypothesis import strategies as st
from made_no_spray import with_no_spray
from made_plans import M2_PER_AC, Made, acres, made_plan, smooth_field
from rasterio.features import rasterize
from read_taskdata import RAW_PER_GAL_AC, boundary, root_of, zones
from shapely.geometry import shape as shape_of
from taskdata_form import check_form

from zoning.prescription import taskdata
from zoning.prescription.of_a_pass import operator
from zoning.prescription.taskdata.document import raw_of
from zoning.prescription.taskdata.texts import comment, plain, short, unlike
from zoning.words import Said


def two_passes(**wanted):
    labels, blocks = smooth_field(3, shape=(40, 39), hole=True)
    return made_plan(
        Made(labels=labels, block_of_zone=blocks, cell_m=20, pass_of_zone={1: 1, 3: 1, 4: 2, 5: 2}, **wanted)
    )


def task_of(plan, folder, number=1):
    """Root and the one task of a pass."""
    taskdata.write(plan, folder)
    root = root_of(folder / f"passes/P{number}/TASKDATA/TASKDATA.XML")
    [task] = root.findall("TSK")
    return root, task


def renamed(plan, name):
    return replace(plan, field=name, farm=name, product=name)


def test_names_of_files(tmp_path):
    names = taskdata.write(two_passes(), tmp_path)
    assert names == tuple(f"passes/P{number}/TASKDATA/TASKDATA.XML" for number in (1, 2))
    assert sorted(names) == sorted(p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*.*"))


def test_nothing_without_a_pass(tmp_path):
    assert taskdata.write(made_plan(Made(labels=[[1, 2]], pass_of_zone={})), tmp_path) == ()
    assert taskdata.write(made_plan(Made(labels=[[1, 2]], level=2)), tmp_path) == ()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("iso_grid", [0, 1, 2])
@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize(
    ("epsg", "origin_m"), [(32615, (270_000.0, 4_900_000.0)), (32720, (730_000.0, 6_400_000.0))]
)
def test_every_element_has_what_the_format_asks(tmp_path, iso_grid, units, epsg, origin_m):
    plan = replace(two_passes(units=units, epsg=epsg, origin_m=origin_m), iso_grid=iso_grid)
    for number in (1, 2):
        root, _ = task_of(plan, tmp_path, number)
        check_form(root)


def test_by_hand_raw_rates():
    # 10 gal/ac x 3.785411784 L / 0.40468564224 ha = 93.539561 L/ha = 9353.9561 mm3/m2; x 100: 935395.6;
    # 15: 1403093.4; 20: 1870791.2; 1 L/ha = 1e6 mm3 / 1e4 m2 = 100 mm3/m2 -> 10000
    assert [raw_of(rate, metric=False) for rate in (10, 15, 20)] == [935396, 1403093, 1870791]
    assert [raw_of(rate, metric=True) for rate in (1, 93.54)] == [10000, 935400]


@pytest.mark.parametrize(
    ("units", "raw", "name", "scale"),
    [
        # 15 gal/ac = 140.309341 L/ha, in the file 140.31 -> 1403100; 1/93539.56 = 0.0000106907
        ("us", 1403093, "15 gal/ac", "0.000010691"),
        ("metric", 1403100, "140.31 L/ha", "0.000100000"),
    ],
)
def test_by_hand_zones_of_a_pass(tmp_path, units, raw, name, scale):
    root, task = task_of(two_passes(units=units), tmp_path)
    off, on = task.findall("TZN")
    assert (off.get("A"), off.get("B"), on.get("B")) == ("0", "no spray", name)
    values = [zone.find("PDV") for zone in (off, on)]
    assert [value.get("A") for value in values] == ["0001", "0001"]
    assert [int(value.get("B")) for value in values] == [0, raw]
    assert root.find("VPN").get("C") == scale
    assert root.find("VPN").get("E") == name.split()[1]
    assert {task.get("H"), task.get("I"), task.get("J"), task.get("G")} == {"0", "1"}
    assert task.get("H") == task.get("I") == task.get("J") == "0"


@pytest.mark.parametrize("units", ["us", "metric"])
@given(rate=st.integers(1, 15_000).map(lambda cents: cents / 100))
def test_a_terminal_shows_the_rate_of_the_shapefile(units, rate):
    # shown = (raw + offset) x scale, to two decimals; 0.000010691 is 0.003 % off, 0.0047 at 150 gal/ac
    metric = units == "metric"
    scale = Decimal("0.0001") if metric else Decimal("0.000010691")
    assert round(float(raw_of(rate, metric=metric) * scale), 2) == rate


@given(rate=st.integers(1, 20_000).map(lambda cents: cents / 100))
def test_a_rate_is_never_more_than_half_a_step_below(rate):
    assert abs(raw_of(rate, metric=False) / RAW_PER_GAL_AC - rate) < 0.00001


@pytest.mark.parametrize("number", [1, 2])
def test_polygons_are_those_of_the_map_of_the_pass(tmp_path, number):
    plan = two_passes()
    _, task = task_of(plan, tmp_path, number)
    one = plan.passes[number - 1]
    read = [(raw, shape) for raw, shapes in zones(task) for shape in shapes]
    wanted = [(raw_of(part.rate_gal_ac, metric=False), part.outline) for part in one.map.parts]
    assert len(read) == len(wanted)
    for raw, outline in wanted:
        assert any(raw == own and outline.equals_exact(shape, 7.1e-10) for own, shape in read)
    shapes = [shape for _, shape in read]
    assert all(shape.is_valid for shape in shapes)
    assert shapely.coverage_is_valid(shapes)
    assert sum(map(acres, shapes)) == pytest.approx(plan.area_ac, rel=1e-4)
    assert sum(acres(shape) for raw, shape in read if raw) == pytest.approx(one.area_ac, rel=1e-4)


def test_holes_are_rings_of_their_own(tmp_path):
    # a pond in the middle of a zone, and another zone as an island in it
    labels = [[1, 1, 1, 1, 1, 3], [1, 2, 1, 0, 1, 3], [1, 1, 1, 1, 1, 3]]
    plan = made_plan(Made(labels=labels, pass_of_zone={1: 1}))
    root, task = task_of(plan, tmp_path)
    check_form(root)
    [sprayed] = [shape for raw, shapes in zones(task) for shape in shapes if raw]
    assert len(sprayed.interiors) == 2
    assert acres(sprayed) == pytest.approx(plan.passes[0].area_ac, rel=1e-6)
    assert [len(shape.interiors) for shape in boundary(root.find("PFD")).geoms] == [1]


def test_a_field_of_two_parts_has_two_boundaries(tmp_path):
    plan = made_plan(Made(labels=[[1, 0, 2]]))
    root, _ = task_of(plan, tmp_path)
    check_form(root)
    assert len(boundary(root.find("PFD")).geoms) == 2


def test_boundary_and_area_of_the_field(tmp_path):
    plan = two_passes()
    root, _ = task_of(plan, tmp_path)
    [field] = root.findall("PFD")
    read = boundary(field)
    assert shapely.hausdorff_distance(read, plan.boundary) < 1e-9
    assert acres(read) == pytest.approx(acres(plan.boundary), rel=1e-6)
    assert int(field.get("D")) == pytest.approx(acres(plan.boundary) * M2_PER_AC, rel=1e-4)


@pytest.mark.parametrize("seed", [1, 2, 5])
@pytest.mark.parametrize("units", ["us", "metric"])
def test_area_times_rate_after_rasterising(tmp_path, seed, units):
    labels, blocks = smooth_field(seed, shape=(40, 39), hole=seed == 2)
    plan = made_plan(Made(labels=labels, block_of_zone=blocks, cell_m=20, units=units))
    _, task = task_of(plan, tmp_path)
    of_zone = [(shapes, raw) for raw, shapes in zones(task)]
    side = 1500
    west, south, east, north = plan.boundary.bounds
    burnt = rasterize(
        [(shape, raw) for shapes, raw in of_zone for shape in shapes],
        out_shape=(side, side),
        transform=Affine((east - west) / side, 0, west, 0, (south - north) / side, north),
        fill=-1,
        dtype="int32",
    )
    inside_ac = acres(plan.boundary) / np.count_nonzero(burnt >= 0)
    for one in plan.passes:
        gallons = inside_ac * burnt[burnt > 0].sum() / RAW_PER_GAL_AC
        assert gallons == pytest.approx(one.area_ac * one.rate_gal_ac, rel=0.005)
        areas = sum(acres(shape) for shapes, raw in of_zone if raw for shape in shapes)
        assert areas == pytest.approx(one.area_ac, rel=1e-4)


def test_setbacks_are_boom_off(tmp_path):
    plan = made_plan(Made(labels=[[1, 2, 1], [1, 1, 3]], pass_of_zone={1: 1}))
    plan = with_no_spray(plan, {2: "setback"})
    _, task = task_of(plan, tmp_path)
    bare = plan.no_spray[0].outline.representative_point()
    assert [raw for raw, shapes in zones(task) for shape in shapes if shape.contains(bare)] == [0]


def test_same_polygons_as_the_operators_shapefile(tmp_path):
    plan = two_passes()
    operator.write(plan, tmp_path)
    _, task = task_of(plan, tmp_path)
    [path] = tmp_path.glob("passes/P1/*.shp")
    with fiona.open(path) as file:
        theirs = [(row.properties["RATE_GPA"], shape_of(row.geometry)) for row in file]
    ours = [(raw, one) for raw, shapes in zones(task) for one in shapes]
    assert len(ours) == len(theirs)
    for rate, outline in theirs:
        assert any(
            raw / RAW_PER_GAL_AC == pytest.approx(rate, abs=1e-5)
            and shapely.hausdorff_distance(outline, one) < 1e-9
            for raw, one in ours
        )


def test_metadata_stand_in_a_comment_at_the_top(tmp_path):
    plan = two_passes()
    taskdata.write(plan, tmp_path)
    text = (tmp_path / "passes/P2/TASKDATA/TASKDATA.XML").read_text(encoding="utf-8")
    head, _, _ = text.partition("<ISO11783_TaskData")
    assert head.startswith('<?xml version="1.0" encoding="UTF-8"?>\n<!--')
    for said in (plan.run_id, "2026-07-01", "EPSG:4326", "gal/ac", "sprayworth 0.1.0", "2026-07-14"):
        assert said in head


def test_a_map_that_the_machine_cannot_follow_says_so(tmp_path):
    plan = two_passes()
    why = Said("passes.only_another_day")
    first = replace(plan.passes[0], map=replace(plan.passes[0].map, not_followed=(why,)))
    _, task = task_of(replace(plan, passes=(first, plan.passes[1])), tmp_path)
    assert task.get("B").startswith("UNREACHABLE P1 ")
    text = (tmp_path / "passes/P1/TASKDATA/TASKDATA.XML").read_text(encoding="utf-8")
    assert why.text in text.partition("<ISO11783_TaskData")[0]
    assert "UNREACHABLE" not in (tmp_path / "passes/P2/TASKDATA/TASKDATA.XML").read_text(encoding="utf-8")


def test_task_names_pass_day_and_field(tmp_path):
    _, task = task_of(two_passes(), tmp_path, 2)
    assert task.get("B") == "P2 2026-07-14 Three Dates"


HOSTILE = {
    "Señor Ünal & Söhne <40> \"x\" 'y'": "Señor Ünal & Söhne <40> \"x\" 'y'",
    "\x00\x1b[31m\x85 field\ttwo\n": "[31m field two",
    "\U0001f33d": "field 1",
    "corn \U0001f33d field \u2764\ufe0f": "corn field",
    "Поле у реки": "Поле у реки",
    "西の畑": "西の畑",
    "\ud800lone\udfff": "lone",
    "cafe\u0301": "café",
    "x" * 200: "x" * 32,
    "": "field 1",
    "a--b-->c": "a--b-->c",
    "\u202eright to left\u202c": "right to left",
}


@pytest.mark.parametrize(("name", "wanted"), HOSTILE.items(), ids=ascii)
def test_hostile_names(tmp_path, name, wanted):
    root, task = task_of(renamed(two_passes(), name), tmp_path)
    check_form(root)
    assert root.find("PFD").get("C") == wanted
    assert task.get("B").startswith("P1 2026-07-06")


@given(text=st.text(st.characters(), max_size=60))
def test_any_name_becomes_one_that_a_terminal_can_show(text):
    made = short(text, "field 1")
    assert 1 <= len(made) <= 32
    assert len(made.encode("utf-16-le")) == 2 * len(made), "one unit each for programs that count so"
    assert not any(
        unicodedata.category(letter) in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp") for letter in made
    )
    assert not unicodedata.category(made[0]).startswith("M")
    assert plain(made) == made
    assert re.fullmatch(r"<!--\n(?:(?!--)[\s\S])*-->", comment([text])) is not None


def test_marks_go_with_their_letter():
    # 31 letters, then q with two marks: three characters, of which only one would fit
    assert short("x" * 31 + "q\u0323\u0307", "field") == "x" * 31
    assert short("x" * 29 + "q\u0323\u0307", "field") == "x" * 29 + "q\u0323\u0307"


@given(names=st.lists(st.sampled_from(["North", "North 2", "x" * 32, "x" * 30 + " 2"]), max_size=8))
def test_names_that_became_the_same_are_told_apart(names):
    told = unlike(names)
    assert len(set(told)) == len(names)
    assert all(1 <= len(name) <= 32 for name in told)
    assert all(own == name for own, name in zip(told, names, strict=True) if names.count(name) == 1)


@pytest.mark.parametrize("iso_grid", [0, 1, 2])
def test_same_plan_same_bytes(tmp_path, iso_grid):
    plan = replace(two_passes(), iso_grid=iso_grid)
    written = []
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        names = taskdata.write(plan, tmp_path / name)
        written.append([(tmp_path / name / each).read_bytes() for each in names])
    assert written[0] == written[1]


def test_a_plan_that_does_not_cover_its_field_is_refused(tmp_path):
    plan = two_passes()
    one = plan.passes[0]
    short_map = replace(one, map=replace(one.map, parts=one.map.parts[1:]))
    with pytest.raises(ValueError, match="add up"):
        taskdata.write(replace(plan, passes=(short_map, plan.passes[1])), tmp_path)


def test_a_full_disk_is_an_error(tmp_path):
    (tmp_path / "passes").write_text("a file where the folder should be")
    with pytest.raises(OSError, match="passes"):
        taskdata.write(two_passes(), tmp_path)
