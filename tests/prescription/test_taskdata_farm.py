"""All passes of a sprayer in one folder of the farm; and what docs/reference/files.md says of it all."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
import shapely
from made_farm_plans import HIRED, RIG, bare_farm, farm_of, seeded_farm, small_farm
from made_plans import Made, made_plan
from read_taskdata import boundary, lattice, root_of, zones
from taskdata_form import check_form

from zoning.prescription import taskdata

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "files.md"
PLACE = {RIG: "taskdata/ground_rig/TASKDATA", HIRED: "taskdata/hired_rig/TASKDATA"}


def with_grids(farm, iso_grid):
    return replace(farm, plans=tuple(replace(plan, iso_grid=iso_grid) for plan in farm.plans))


def with_sprayers(farm, names):
    """The same farm under other names of its sprayers."""
    plans = []
    for plan in farm.plans:
        passes = tuple(replace(one, sprayer=names.get(one.sprayer, one.sprayer)) for one in plan.passes)
        plans.append(replace(plan, passes=passes))
    return replace(farm, plans=tuple(plans))


def test_one_folder_for_each_sprayer(tmp_path):
    names = taskdata.write_farm(small_farm(), tmp_path)
    assert set(names) == {f"{place}/TASKDATA.XML" for place in PLACE.values()}
    assert sorted(names) == sorted(p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*.*"))


@pytest.mark.parametrize("iso_grid", [0, 1, 2])
@pytest.mark.parametrize("units", ["us", "metric"])
def test_every_pass_is_a_task_of_its_sprayer(tmp_path, iso_grid, units):
    farm = with_grids(small_farm(units), iso_grid)
    taskdata.write_farm(farm, tmp_path)
    told = []
    for sprayer, place in PLACE.items():
        root = root_of(tmp_path / place / "TASKDATA.XML")
        check_form(root)
        name_of = {field.get("A"): field.get("C") for field in root.findall("PFD")}
        for task in root.findall("TSK"):
            number = int(task.get("B").split()[0].removeprefix("P"))
            told.append((sprayer, name_of[task.get("E")], number))
    wanted = [(one.sprayer, plan.field, one.number) for plan in farm.plans for one in plan.passes]
    assert sorted(told) == sorted(wanted)
    assert len(wanted) == 3


def test_each_task_has_the_map_of_its_pass_in_its_field(tmp_path):
    farm = small_farm()
    taskdata.write_farm(farm, tmp_path)
    root = root_of(tmp_path / PLACE[RIG] / "TASKDATA.XML")
    plan = farm.plans[0]
    assert len(root.findall("PFD")) == 1
    assert shapely.hausdorff_distance(boundary(root.find("PFD")), plan.boundary) < 1e-9
    for task, one in zip(root.findall("TSK"), plan.passes, strict=True):
        sprayed = shapely.union_all([shape for raw, shapes in zones(task) for shape in shapes if raw])
        wanted = shapely.union_all([part.outline for part in one.map.parts if part.rate_gal_ac])
        assert shapely.hausdorff_distance(sprayed, wanted) < 1e-9


def test_tasks_stand_in_the_order_of_days(tmp_path):
    farm = with_sprayers(small_farm(), {HIRED: RIG})
    taskdata.write_farm(replace(farm, plans=farm.plans[::-1]), tmp_path)
    root = root_of(tmp_path / PLACE[RIG] / "TASKDATA.XML")
    # Three Dates on 6 and 14 July, North forty on the 7th
    names = [task.get("B") for task in root.findall("TSK")]
    assert names == ["P1 2026-07-06 Three Dates", "P1 2026-07-07 North forty", "P2 2026-07-14 Three Dates"]
    assert [task.get("A") for task in root.findall("TSK")] == ["TSK1", "TSK2", "TSK3"]


@pytest.mark.parametrize("iso_grid", [1, 2])
def test_grids_are_numbered_as_their_tasks(tmp_path, iso_grid):
    farm = with_grids(with_sprayers(small_farm(), {HIRED: RIG}), iso_grid)
    names = taskdata.write_farm(farm, tmp_path)
    place = PLACE[RIG]
    assert list(names) == [f"{place}/TASKDATA.XML", *(f"{place}/GRD{n:05d}.BIN" for n in (1, 2, 3))]
    tasks = root_of(tmp_path / place / "TASKDATA.XML").findall("TSK")
    assert [task.find("GRD").get("G") for task in tasks] == ["GRD00001", "GRD00002", "GRD00003"]
    fields = {plan.field: plan for plan in farm.plans}
    for task, field in zip(tasks, ("Three Dates", "North forty", "Three Dates"), strict=True):
        cells = lattice(task, tmp_path / place)
        assert (cells.west, cells.south) == pytest.approx(fields[field].boundary.bounds[:2], abs=2e-9)
        assert cells.raw.max() > 0


def test_nothing_where_nothing_is_sprayed(tmp_path):
    assert taskdata.write_farm(bare_farm(), tmp_path) == ()
    assert taskdata.write_farm(bare_farm(level=2), tmp_path) == ()
    assert list(tmp_path.iterdir()) == []


def test_odd_names_of_sprayers_become_folders_that_differ(tmp_path):
    names = {RIG: "Rig/../#1: 90 ft*", HIRED: "rig 1 90 FT"}
    written = taskdata.write_farm(with_sprayers(small_farm(), names), tmp_path)
    assert written == (
        "taskdata/Rig_1_90_ft/TASKDATA/TASKDATA.XML",
        "taskdata/rig_1_90_FT_2/TASKDATA/TASKDATA.XML",
    )


def test_every_sprayer_of_many_has_its_own_folder_whatever_their_names(tmp_path):
    farm = seeded_farm(2, fields=120, sprayers=40)
    passes = {one.sprayer: 0 for plan in farm.plans for one in plan.passes}
    long = "the sprayer of the hub behind the elevator, number "
    names = {rig: (f"{long}{place}", "Rig", "rig", "RIG #1", "\U0001f681")[place % 5] * (1 + place // 5)
             for place, rig in enumerate(passes)}  # fmt: skip
    written = taskdata.write_farm(with_sprayers(farm, names), tmp_path)
    assert len(written) == len({name.lower() for name in written}) == len(set(names.values())) > 20
    tasks = [len(root_of(tmp_path / name).findall("TSK")) for name in written]
    assert sum(tasks) == sum(len(plan.passes) for plan in farm.plans)


def test_what_was_checked_is_written_alike_and_what_was_not_is_checked(tmp_path):
    farm = small_farm()
    for name, is_checked in (("a", False), ("b", True)):
        (tmp_path / name).mkdir()
        for file in taskdata.write_farm(farm, tmp_path / name, is_checked=is_checked):
            assert (tmp_path / name / file).read_bytes() == (tmp_path / "a" / file).read_bytes()
    gap = replace(farm.plans[0], zones=farm.plans[0].zones[:-1])
    with pytest.raises(ValueError, match="add up to"):
        taskdata.write_farm(replace(farm, plans=(gap, *farm.plans[1:])), tmp_path)


@pytest.mark.parametrize("name", ["CON", "lpt1", "..", "", "/", "\U0001f681", "\x00", "a" * 200, " nul "])
def test_a_folder_has_a_name_that_every_file_system_takes(name):
    [place] = taskdata.folders([name])
    assert re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_]{0,39}", place)
    assert place.lower() not in ("con", "nul", "prn", "aux", "lpt1", "com1")


def test_fields_whose_names_become_the_same_are_told_apart(tmp_path):
    name = "The long field behind the house by the "
    plans = [made_plan(Made(labels=[[1, 2]], field=name + end)) for end in ("creek", "road", "barn")]
    taskdata.write_farm(farm_of(plans, {}), tmp_path)
    root = root_of(tmp_path / PLACE[RIG] / "TASKDATA.XML")
    check_form(root)
    names = [field.get("C") for field in root.findall("PFD")]
    assert names == [
        "The long field behind the house",
        "The long field behind the hous 2",
        "The long field behind the hous 3",
    ]


def test_one_product_and_one_unit_for_all_fields(tmp_path):
    farm = with_sprayers(small_farm(), {HIRED: RIG})
    plans = (farm.plans[0], replace(farm.plans[1], product="Invented Fungicide B"), farm.plans[2])
    taskdata.write_farm(replace(farm, plans=plans), tmp_path)
    root = root_of(tmp_path / PLACE[RIG] / "TASKDATA.XML")
    products = {one.get("A"): one.get("B") for one in root.findall("PDT")}
    assert list(products.values()) == ["spray mix Invented Fungicide A", "spray mix Invented Fungicide B"]
    of_task = [products[task.find("TZN/PDV").get("C")][-1] for task in root.findall("TSK")]
    assert of_task == ["A", "B", "A"]
    assert len(root.findall("VPN")) == 1


def test_same_farm_same_bytes(tmp_path):
    written = []
    for place in ("one", "two"):
        (tmp_path / place).mkdir()
        names = taskdata.write_farm(with_grids(small_farm(), 1), tmp_path / place)
        written.append({name: (tmp_path / place / name).read_bytes() for name in names})
    assert written[0] == written[1]


def documented():
    about = PAGE.read_text(encoding="utf-8").split("## TASKDATA.XML")[1].split("\n## ")[0]
    return set(re.findall(r"^\| `(\w+)` \| `(\w+)` \|", about, flags=re.MULTILINE))


def test_the_page_lists_each_attribute_that_is_written_and_no_other(tmp_path):
    seen = set()
    labels = [[1, 1, 1, 3], [1, 2, 1, 3], [1, 1, 1, 3]]  # with a hole
    for iso_grid in (0, 1, 2):
        for units in ("us", "metric"):
            plan = replace(made_plan(Made(labels=labels, units=units)), iso_grid=iso_grid)
            taskdata.write(plan, tmp_path)
            root = root_of(tmp_path / "passes/P1/TASKDATA/TASKDATA.XML")
            seen |= {
                (one.tag, name) for one in root.iter() if isinstance(one.tag, str) for name in one.attrib
            }
    assert documented() == seen


def test_the_page_says_what_is_not_verified():
    about = PAGE.read_text(encoding="utf-8").split("## TASKDATA.XML")[1].split("\n## ")[0]
    assert "no terminal was at hand" in about
    assert "inferred" in about
