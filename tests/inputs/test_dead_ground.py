"""What the newest clear image shows bare or under water gets no pass, where it is large."""

from datetime import date, timedelta

import numpy as np
import pytest
import shapely
from made_inputs import FIELD, GRID, NORTH, TODAY, WEST, Folder
from shapely import box

from zoning.inputs import read
from zoning.inputs.given import Block, FieldInputs
from zoning.inputs.images.dead import DeadPatches, Look, patches

PLANTED = date(2026, 5, 6)
M2_AC = 4046.8564224


def block(planted: date = PLANTED, name: str = "A") -> Block:
    return Block(
        name=name,
        planted=planted,
        emerged=None,
        maturity_group=1.9,
        variety="",
        expected_yield_bu_ac=None,
        outline=FIELD,
        area_ac=29.65,
    )


def cells(*boxes: tuple[int, int, int, int]) -> np.ndarray:
    """Cells of the field, 30 rows and 40 columns: first and last row, first and last column, both counted."""
    found = np.zeros(GRID.shape, dtype=bool)
    for top, bottom, left, right in boxes:
        found[top : bottom + 1, left : right + 1] = True
    return found


ALL = cells((0, 29, 0, 39))
SPOT = cells((10, 19, 10, 19))  # 10 x 10 cells of 10 m: 1 ha


def look(no_canopy: np.ndarray, day: date = date(2026, 7, 1), seen: np.ndarray = ALL) -> Look:
    return Look(day=day, file=f"{day}.tif", seen=seen, no_canopy=no_canopy & seen)


def found(
    *looks: Look, blocks: tuple[Block, ...] = (block(),), of: np.ndarray | None = None
) -> DeadPatches | None:
    block_of_cell = np.zeros(GRID.shape, dtype=np.int16) if of is None else of
    return patches(looks, GRID, blocks, block_of_cell)


def test_by_hand_a_square_hectare() -> None:
    # Each of four corners loses a triangle of 5 m x 5 m / 2: 10,000 - 50 m2.
    dead = found(look(SPOT))
    assert dead is not None
    assert dead.outline.area == pytest.approx(9_950, abs=1e-6)
    square = box(WEST + 100, NORTH - 200, WEST + 200, NORTH - 100)
    assert dead.outline.difference(square.buffer(0.01)).is_empty
    assert (dead.files, dead.day) == ("2026-07-01.tif", date(2026, 7, 1))


def test_a_slanting_edge_is_drawn_straight() -> None:
    rows, columns = np.indices(GRID.shape)
    down, right = abs(rows - 14), abs(columns - 20)
    octagon = (down <= 6) & (right <= 6) & (down + right <= 9)
    dead = found(look(octagon))
    assert dead is not None
    exact = octagon.sum() * 100
    assert dead.outline.area == pytest.approx(exact, rel=0.01)
    corners = len(shapely.get_coordinates(dead.outline))
    assert corners < 20  # a stair of cells would have 4 x 7


def test_by_hand_a_rim_whose_cells_have_their_middle_off_the_block_is_dead_too() -> None:
    # The block ends 4 m into the 10th column and 4 m into the 20th row: those have their middle off it.
    # The spot of 5 x 5 cells in its corner reaches to both edges, 54 x 54 m, and of its four corners only the
    # one inside the block loses a triangle of 5 m x 5 m / 2: the others are cut off beyond the edges.
    of = np.where(cells((0, 18, 10, 39)), 0, -1).astype(np.int16)
    edge = box(WEST + 96, NORTH - 194, WEST + 400, NORTH)
    dead = found(look(cells((14, 18, 10, 14)), seen=cells((0, 18, 10, 39))), of=of)
    assert dead is not None
    spot = box(WEST + 96, NORTH - 194, WEST + 150, NORTH - 140)
    here = dead.outline.intersection(edge)
    assert here.difference(spot.buffer(0.01)).is_empty
    assert spot.area - here.area == pytest.approx(12.5, abs=1e-6)


def test_the_newest_look_counts() -> None:
    old, new = date(2026, 6, 25), date(2026, 7, 1)
    none = np.zeros(GRID.shape, dtype=bool)
    assert found(look(SPOT, old), look(none, new)) is None  # it came back
    dead = found(look(SPOT, new), look(none, old))
    assert dead is not None
    assert dead.files == f"{new}.tif"


def test_under_cloud_an_older_look_counts() -> None:
    old, new = date(2026, 6, 25), date(2026, 7, 1)
    none = np.zeros(GRID.shape, dtype=bool)
    dead = found(look(SPOT, old), look(none, new, seen=ALL & ~SPOT))
    assert dead is not None
    assert (dead.files, dead.day) == (f"{old}.tif", old)


def test_young_rows_are_not_dead() -> None:
    # 45 days, inputs.dead_least_d: before them an image tells nothing of the block.
    day = PLANTED + timedelta(days=44)
    assert found(look(SPOT, day)) is None
    assert found(look(SPOT, day + timedelta(days=1))) is not None


def test_a_block_that_is_mostly_bare_is_a_thin_stand() -> None:
    # The western block has 10 columns x 30 rows: 100 of 300 cells are a third, within the limit, 110 are not.
    of = np.where(np.arange(40) < 10, 0, 1) + np.zeros((30, 1), dtype=int)
    blocks = (block(name="A"), block(name="B"))
    for rows, dies in ((10, True), (11, False)):
        bare = cells((0, rows - 1, 0, 9))
        assert (found(look(bare), blocks=blocks, of=of.astype(np.int16)) is not None) is dies


def test_strips_of_two_cells_are_no_patch() -> None:
    edge = cells((0, 1, 0, 39), (28, 29, 5, 30))  # a road that the image has a pixel off
    assert found(look(edge)) is None
    assert found(look(edge | cells((2, 2, 0, 39)))) is not None


# -- through the files ---------------------------------------------------------------------------------------


def field(folder: Folder, spot: np.ndarray, more: str = "", day: str = "2026-07-01") -> FieldInputs:
    red, nir = np.full((40, 50), 0.04), np.tile(np.linspace(0.35, 0.5, 50), (40, 1))
    red[5:35, 5:45][spot], nir[5:35, 5:45][spot] = 0.18, 0.2
    folder.image(f"{day}_x.tif", np.stack([red, nir]).astype("float32"))
    folder.add(
        f"[planting]\ndate = {PLANTED}\n[[imagery]]\nfile = '{day}_x.tif'\nbands = {{ red = 1, nir = 2 }}\n"
        f"index = 'NDVI'\n{more}"
    )
    return read.field(folder.settings(), TODAY)


def test_by_hand_dead_ground_is_in_no_block(folder: Folder) -> None:
    given = field(folder, SPOT)
    [dead] = given.no_spray
    assert (dead.kind, dead.source) == ("dead ground", "2026-07-01_x.tif")
    assert dead.area_ac == pytest.approx(9_950 / M2_AC, rel=2e-3)  # the plane's 0.9996 squared
    assert given.blocks[0].area_ac + dead.area_ac == pytest.approx(given.area_ac, rel=1e-6)
    assert [note.text for note in given.notes] == [
        "NDVI 2026-07-01 leaves out 2.47 ac of bare or drowned ground",
        "2.46 ac is bare or under water in 2026-07-01_x.tif of 2026-07-01: it counts as dead and gets no "
        "pass; if it does grow, let it count as crop (setting: bare_is_dead = false in [zones])",
    ]
    # No cell whose middle is dead teaches a zone or lies in a block.
    here = shapely.contains_xy(dead.outline, *np.meshgrid(given.grid.east_m(), given.grid.north_m()))
    assert here.sum() == 100
    assert not (given.inside & here).any()
    assert not np.isfinite(given.layers[0].values[here]).any()


def test_dead_ground_has_no_value_in_any_layer(folder: Folder) -> None:
    """Also where an older image saw a canopy: a layer holds the median of the dates that show a cell."""
    older = np.stack([np.full((40, 50), 0.04), np.tile(np.linspace(0.35, 0.5, 50), (40, 1))])
    folder.image("2026-06-25_x.tif", older.astype("float32"))
    entry = "[[imagery]]\nfile = '2026-06-25_x.tif'\nbands = { red = 1, nir = 2 }\nindex = 'NDVI'\n"
    alive = field(folder, SPOT, f"{entry}[zones]\nbare_is_dead = false\n")
    assert (np.isfinite(alive.layers[0].values) == alive.inside).all()
    folder.toml = folder.toml.replace("bare_is_dead = false", "")
    given = read.field(folder.settings(), TODAY)
    assert given.inside.sum() == alive.inside.sum() - 100
    assert (np.isfinite(given.layers[0].values) == given.inside).all()


def test_whoever_knows_better_says_so(folder: Folder) -> None:
    given = field(folder, SPOT, "[zones]\nbare_is_dead = false\n")
    assert given.no_spray == ()
    assert [note.code for note in given.notes] == ["inputs.layer_no_canopy"]


def test_a_small_spot_is_sprayed_through(folder: Folder) -> None:
    # 6 x 6 cells are 0.89 ac.
    given = field(folder, cells((10, 15, 10, 15)))
    assert given.no_spray == ()
    assert [note.code for note in given.notes] == ["inputs.layer_no_canopy", "inputs.dead_small"]
    assert "0.88 ac of the dead ground of 2026-07-01_x.tif" in given.notes[1].text


def test_drawn_dead_ground_and_a_setback_are_not_told_twice(folder: Folder) -> None:
    folder.shapes("drowned.geojson", [box(WEST + 90, NORTH - 210, WEST + 210, NORTH - 90)])
    given = field(folder, SPOT, "[[dead_ground]]\nfile = 'drowned.geojson'\n")
    assert [one.source for one in given.no_spray] == ["drowned.geojson"]
    assert given.notes == ()
