"""GRD00001.BIN: the grid of a pass, read back with the first row as the southernmost one."""

import hashlib
import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from made_plans import Made, acres, made_plan, smooth_field
from made_sheets import made_cover, made_sheet
from read_taskdata import RAW_PER_GAL_AC, lattice, root_of

from zoning.prescription import taskdata
from zoning.prescription.taskdata.document import raw_of
from zoning.prescription.taskdata.grid import laid

L_PER_GAL = 3.785411784
CENTRAL_M = (500_000.0, 4_900_000.0)  # on the central meridian: the cells of the field run north and east


def grid_plan(iso_grid, grid_m=10.0, **wanted):
    """A plan with `grid_m` as the cell of the field's grid; its zones are made of cells of `cell_m`."""
    return replace(made_plan(Made(**wanted)), iso_grid=iso_grid, cell_m=grid_m)


def read(plan, folder, number=1):
    taskdata.write(plan, folder)
    place = folder / f"passes/P{number}/TASKDATA"
    [task] = root_of(place / "TASKDATA.XML").findall("TSK")
    return task, lattice(task, place)


def with_section(plan, section_m):
    """The same plan, whose first pass has a boom with sections of a width."""
    cover = replace(made_cover(), section_m=section_m)
    one = replace(plan.passes[0], sheet=replace(made_sheet(), cover=cover))
    return replace(plan, passes=(one, *plan.passes[1:]))


def test_by_hand_bytes_of_a_grid_of_codes(tmp_path):
    # three rows of two cells of 10 m; only the cell in the north-west is sprayed. South first, west first:
    # 0 0, 0 0, 1 0
    plan = grid_plan(1, 10.2, labels=[[1, 2], [2, 2], [2, 2]], cell_m=10, origin_m=CENTRAL_M)
    task, _ = read(plan, tmp_path)
    assert (task.find("GRD").get("E"), task.find("GRD").get("F")) == ("2", "3")
    content = (tmp_path / "passes/P1/TASKDATA/GRD00001.BIN").read_bytes()
    assert content == bytes([0, 0, 0, 0, 1, 0])
    assert task.find("GRD").get("H") == "6"


def test_by_hand_bytes_of_a_grid_of_rates(tmp_path):
    # 20 gal/ac = 1870791 = 0x001c8bc7: lowest byte first c7 8b 1c 00; only the cell in the south-east
    plan = grid_plan(
        2,
        10.2,
        labels=[[2, 2], [2, 1]],
        cell_m=10,
        origin_m=CENTRAL_M,
        pass_of_zone={1: 1},
        rates_gal_ac=(20.0,),
    )
    task, _ = read(plan, tmp_path)
    content = (tmp_path / "passes/P1/TASKDATA/GRD00001.BIN").read_bytes()
    assert content.hex() == "00000000c78b1c000000000000000000"
    grid = task.find("GRD")
    assert (grid.get("H"), grid.get("I"), grid.get("J")) == ("16", "2", "1")
    template = next(zone for zone in task.findall("TZN") if zone.get("A") == "1")
    assert template.find("PDV").get("A") == "0001"


PLACES = [
    (32615, (270_000.0, 4_900_000.0)),  # north and west
    (32720, (730_000.0, 6_400_000.0)),  # south and west
    (32756, (330_000.0, 6_250_000.0)),  # south and east
    (32631, (480_000.0, 20_000.0)),  # near the equator and the meridian of Greenwich
]


@pytest.mark.parametrize("iso_grid", [1, 2])
@pytest.mark.parametrize(("epsg", "origin_m"), PLACES)
@pytest.mark.parametrize("units", ["us", "metric"])
def test_every_cell_has_the_rate_of_its_centre(tmp_path, iso_grid, epsg, origin_m, units):
    # nothing of the rasteriser: each centre is looked up in the polygons of the map
    labels, blocks = smooth_field(3, shape=(40, 39), hole=True)
    plan = grid_plan(
        iso_grid, labels=labels, block_of_zone=blocks, cell_m=12, epsg=epsg, origin_m=origin_m, units=units
    )
    _, cells = read(plan, tmp_path)
    wanted = np.zeros(cells.raw.shape, dtype=np.int64)
    east, north = cells.centres()
    raw = 1403093 if units == "us" else 1403100
    edges = []
    for part in plan.passes[0].map.parts:
        edges.append(part.outline.boundary)
        if part.rate_gal_ac:
            wanted[shapely.contains_xy(part.outline, east, north)] = raw
    on_an_edge = shapely.dwithin(shapely.union_all(edges), shapely.points(east, north), 1e-9)
    off = (wanted != cells.raw) & ~on_an_edge
    assert not off.any()
    assert on_an_edge.mean() < 0.01
    assert set(np.unique(cells.raw)) == {0, raw}
    # the field is not the same upside down, nor from east to west
    for turned in (cells.raw[::-1], cells.raw[:, ::-1]):
        assert (turned != wanted).mean() > 0.1


@pytest.mark.parametrize("iso_grid", [1, 2])
@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("section_m", [None, 3.048])
def test_area_times_rate_is_that_of_the_plan(tmp_path, iso_grid, seed, section_m):
    labels, blocks = smooth_field(seed, shape=(36 + seed, 30), hole=seed % 2 == 1)
    plan = grid_plan(iso_grid, labels=labels, block_of_zone=blocks, cell_m=10 + 5 * (seed % 3))
    plan = plan if section_m is None else with_section(plan, section_m)
    _, cells = read(plan, tmp_path)
    gallons = cells.litres() / L_PER_GAL
    one = plan.passes[0]
    treated_ac = sum(acres(part.outline) for part in one.map.parts if part.rate_gal_ac)
    assert gallons == pytest.approx(treated_ac * one.rate_gal_ac, rel=0.005)


def test_two_rates_each_keep_their_ground(tmp_path):
    # a map may have several rates: each has a code of its own, the highest the first
    plan = grid_plan(1, labels=[[1, 2, 3], [1, 1, 2]], cell_m=90)
    one = plan.passes[0]
    parts = [part for part in one.map.parts if part.rate_gal_ac]
    assert len(parts) == 2
    rates = [20.0, 10.0]
    parts = [replace(part, rate_gal_ac=rates[index % 2]) for index, part in enumerate(parts)]
    rest = [part for part in one.map.parts if not part.rate_gal_ac]
    one = replace(one, map=replace(one.map, parts=(*parts, *rest)))
    task, cells = read(replace(plan, passes=(one,)), tmp_path)
    assert [zone.find("PDV").get("B") for zone in task.findall("TZN")] == ["0", "1870791", "935396"]
    cell_ac = cells.litres() / L_PER_GAL / (cells.raw.sum() / RAW_PER_GAL_AC)
    for rate in rates:
        wanted_ac = sum(acres(part.outline) for part in parts if part.rate_gal_ac == rate)
        assert cell_ac * (cells.raw == raw_of(rate, metric=False)).sum() == pytest.approx(
            wanted_ac, rel=0.005
        )


def size_m(cells):
    """Edges of a cell in metres, on a sphere: good to 0.6 %."""
    per_degree = 6_371_000 * math.pi / 180
    middle = math.radians(cells.south + cells.raw.shape[0] * cells.high / 2)
    return cells.high * per_degree, cells.wide * per_degree * math.cos(middle)


@pytest.mark.parametrize(("section_m", "most_m"), [(None, 10.0), (3.048, 3.048), (27.432, 10.0)])
def test_a_cell_is_at_most_a_section_and_a_cell_of_the_field(tmp_path, section_m, most_m):
    plan = grid_plan(1, labels=smooth_field(3, shape=(40, 39))[0], cell_m=20)
    plan = plan if section_m is None else with_section(plan, section_m)
    _, cells = read(plan, tmp_path)
    for edge_m in size_m(cells):
        assert 0.3 * most_m < edge_m < most_m * 1.006


def test_the_grid_reaches_over_the_whole_field_and_no_further(tmp_path):
    plan = grid_plan(1, labels=smooth_field(3, shape=(40, 39))[0], cell_m=20)
    _, cells = read(plan, tmp_path)
    rows, columns = cells.raw.shape
    west, south, east, north = plan.boundary.bounds
    assert south - 2e-9 <= cells.south <= south
    assert west - 2e-9 <= cells.west <= west
    assert north - 2e-9 <= cells.south + rows * cells.high < north + 0.1 * cells.high
    assert east - 2e-9 <= cells.west + columns * cells.wide < east + 0.1 * cells.wide


def test_a_large_field_has_no_more_than_a_million_cells(tmp_path):
    # 6.4 km x 6.4 km with sections of 3 m would be 4.5 million
    plan = with_section(grid_plan(1, labels=[[1, 2, 2, 2], *[[2] * 4] * 3], cell_m=1600), 3.048)
    _, cells = read(plan, tmp_path)
    assert 600_000 < cells.raw.size <= 1_000_000


def test_a_field_on_both_sides_of_the_180th_meridian(tmp_path):
    west, east = shapely.box(179.99, -17.01, 180, -17), shapely.box(-180, -17.01, -179.99, -17)
    field = shapely.MultiPolygon([west, east])
    grid = laid([(1, east)], field, 10)
    _, columns = grid.shape
    assert grid.cell_east_deg * 111_320 * math.cos(math.radians(17)) < 10.1
    assert grid.west_deg == pytest.approx(179.99, abs=1e-8)
    assert grid.west_deg + columns * grid.cell_east_deg == pytest.approx(180.01, abs=1e-5)
    sprayed = grid.codes.mean(axis=0)
    assert sprayed[: columns // 2 - 1].max() == 0
    assert sprayed[columns // 2 + 1 :].min() == 1


@pytest.mark.parametrize("iso_grid", [1, 2])
def test_no_polygon_in_a_task_with_a_grid(tmp_path, iso_grid):
    plan = grid_plan(iso_grid, labels=[[1, 2], [3, 3]])
    task, _ = read(plan, tmp_path)
    assert not list(task.iter("PLN"))
    assert len(task.findall("GRD")) == 1
    names = taskdata.write(plan, tmp_path)
    assert names == ("passes/P1/TASKDATA/TASKDATA.XML", "passes/P1/TASKDATA/GRD00001.BIN")


def test_both_types_are_the_same_map(tmp_path):
    maps = []
    for iso_grid in (1, 2):
        folder = tmp_path / str(iso_grid)
        folder.mkdir()
        maps.append(read(grid_plan(iso_grid, labels=smooth_field(6)[0], cell_m=10), folder)[1].raw)
    assert hashlib.sha256(maps[0].tobytes()).digest() == hashlib.sha256(maps[1].tobytes()).digest()
