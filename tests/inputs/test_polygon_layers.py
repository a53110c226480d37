"""Layers from polygons with a column of numbers: shares of cells by hand and by shapely, and refusals."""

from pathlib import Path

import numpy as np
import pytest
import shapely
from made_inputs import EAST, EPSG, FIELD, NORTH, SOUTH, TODAY, WEST, Folder
from shapely import Polygon, box

from zoning.errors import CONTENT, SETTINGS, InputError
from zoning.inputs import read, vector
from zoning.inputs.given import FieldInputs
from zoning.settings import layers as layer_rules

LAYER = "[[layer]]\nname = 'clay'\nfile = 'layers/soil.geojson'\n"
CLAY = LAYER + "column = 'clay'\n"
PLANTED = "[planting]\ndate = 2026-05-06\n"
MIDDLE = WEST + 203.0  # within a cell
HALVES = [box(WEST - 50, SOUTH - 50, MIDDLE, NORTH + 50), box(MIDDLE, SOUTH - 50, EAST + 50, NORTH + 50)]


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    made = Folder(tmp_path)
    made.shapes("boundary.geojson", [FIELD])
    (made.field / "layers").mkdir()
    return made


def found(folder: Folder, layer: str) -> FieldInputs:
    folder.add(PLANTED + layer)
    return read.field(folder.settings(), TODAY)


def of_field(inputs: FieldInputs) -> np.ndarray:
    """The values of the one layer inside the boundary, a rectangle of 30 x 40 cells."""
    rows, columns = inputs.inside.any(axis=1), inputs.inside.any(axis=0)
    (layer,) = inputs.layers
    return layer.values[np.ix_(rows, columns)]


def soil(folder: Folder, shapes: list[Polygon], *values: object, column: str = "clay") -> None:
    folder.shapes("layers/soil.geojson", shapes, [{column: value} for value in values])


def test_by_hand_a_cell_has_the_share_of_each_polygon(folder: Folder) -> None:
    # The edge lies 3 m into the cell: of its eight squares of 1.25 m two (middles at 0.625 m and 1.875 m)
    # lie before 3 m: (2 x 20 + 6 x 36) / 8 = 32; by the exact share it would be 31.2.
    soil(folder, HALVES, 20, 36.0)
    values = of_field(found(folder, CLAY))
    assert values[:, :20] == pytest.approx(20)
    assert values[:, 20] == pytest.approx(32)
    assert values[:, 21:] == pytest.approx(36)


def test_shares_against_areas_of_shapely(folder: Folder) -> None:
    rng = np.random.default_rng(3)
    points = shapely.multipoints(rng.uniform([WEST, SOUTH], [EAST, NORTH], size=(25, 2)))
    cells = shapely.get_parts(shapely.voronoi_polygons(points, extend_to=FIELD.buffer(50)))
    numbers = rng.uniform(0, 50, len(cells))
    soil(folder, list(cells), *numbers.tolist())
    inputs = found(folder, CLAY)
    east, north = np.meshgrid(inputs.grid.east_m(), inputs.grid.north_m())
    squares = shapely.box(east - 5, north - 5, east + 5, north + 5)
    shares = np.stack([shapely.area(shapely.intersection(squares, one)) / 100 for one in cells])
    truth = np.tensordot(numbers, shares, axes=1)
    off = np.abs(inputs.layers[0].values - truth)[inputs.inside]
    assert off.max() < 0.05 * 50
    assert off.mean() < 0.05


def test_ground_in_no_polygon_is_not_seen(folder: Folder) -> None:
    soil(folder, [box(WEST, SOUTH, WEST + 100, NORTH), box(WEST + 200, SOUTH, EAST, NORTH)], 20, 30)
    inputs = found(folder, CLAY)
    assert np.isnan(of_field(inputs)[:, 10:20]).all()
    assert np.isfinite(of_field(inputs)).sum() == 30 * 30
    assert [note.text for note in inputs.notes] == ["layers/soil.geojson does not show 25 % of the field"]


def test_the_first_polygon_has_the_ground_where_they_overlap(folder: Folder) -> None:
    soil(folder, [box(WEST, SOUTH, WEST + 150, NORTH), FIELD.buffer(20)], 20, 30)
    values = of_field(found(folder, CLAY))
    assert (values[:, :15] == 20).all()
    assert (values[:, 15:] == 30).all()


def test_an_empty_cell_of_the_table_is_not_known(folder: Folder) -> None:
    soil(folder, HALVES, None, 30)
    folder.add("[zones]\ncell = '20 m'\n")
    inputs = found(folder, CLAY)
    assert inputs.layers == ()  # the half that is known is the same everywhere
    assert "inputs.layer_constant" in [note.code for note in inputs.notes]


@pytest.mark.parametrize("is_drawn", [True, False])
@pytest.mark.parametrize(("edge_m", "squares"), [(103.0, 6), (107.0, 2)])
def test_by_hand_a_cell_is_known_from_half_of_it_on(
    folder: Folder, edge_m: float, squares: int, is_drawn: bool
) -> None:
    # West of the edge nobody knows, by an empty cell or by no polygon. Of the eight squares of 1.25 m along
    # the cell from 100 m on those with their middle behind the edge are known: six of eight, or two.
    edge, middle = WEST + edge_m, (SOUTH + NORTH) / 2
    known = [box(edge, SOUTH - 9, EAST + 9, middle), box(edge, middle, EAST + 9, NORTH + 9)]
    west = [box(WEST - 9, SOUTH - 9, edge, NORTH + 9)] if is_drawn else []
    soil(folder, [*known, *west], 20, 36, *(None for _ in west))
    values = of_field(found(folder, CLAY))
    assert np.isnan(values[:, :10]).all()
    assert np.isfinite(values[:, 10]).all() == (squares >= 4)
    assert np.isnan(values[:, 10]).all() == (squares < 4)
    assert (values[:15, 11:] == 36).all()
    assert (values[15:, 11:] == 20).all()


def test_one_polygon_over_all_of_the_field_lies_in_it(folder: Folder) -> None:
    soil(folder, [FIELD.buffer(20)], 20)
    inputs = found(folder, CLAY)
    assert [note.code for note in inputs.notes] == ["inputs.layer_constant"]


def test_placeholders_scale_and_offset_are_those_of_rasters(folder: Folder) -> None:
    sides = [WEST - 9, WEST + 120, WEST + 170, EAST + 9]
    thirds = [box(sides[at], SOUTH - 9, sides[at + 1], NORTH + 9) for at in range(3)]
    soil(folder, thirds, 100, -9999, 300)
    inputs = found(folder, CLAY + "scale = 0.1\noffset = 5.0\n")
    values = of_field(inputs)
    assert values[:, :12] == pytest.approx(15)
    assert np.isnan(values[:, 12:17]).all()
    assert values[:, 17:] == pytest.approx(35)
    assert [note.code for note in inputs.notes] == ["inputs.layer_placeholder", "inputs.layer_partly_empty"]
    assert inputs.notes[0].text.startswith("12 % of layers/soil.geojson hold -9999, ")


def test_a_yield_may_come_in_polygons(folder: Folder) -> None:
    soil(folder, HALVES, 3.0, 4.0)
    inputs = found(folder, CLAY + "use = 'yield'\nunit = 't/ha'\n")
    assert inputs.layers == ()
    # 1 t/ha is 14.869 bu/ac
    assert np.nanmin(inputs.yield_bu_ac) == pytest.approx(44.61, abs=0.01)
    assert np.nanmax(inputs.yield_bu_ac) == pytest.approx(59.48, abs=0.01)


@pytest.mark.parametrize(("name", "driver"), [("soil.gpkg", "GPKG"), ("soil.shp", "ESRI Shapefile")])
def test_other_formats_and_long_names_say_the_same(folder: Folder, name: str, driver: str) -> None:
    import geopandas

    column = "clay_content_of_topsoil"
    table = geopandas.GeoDataFrame({column[:10]: [20, 36]} if driver != "GPKG" else {column: [20, 36]},
                                   geometry=HALVES, crs=EPSG)  # fmt: skip
    table.to_file(folder.field / "layers" / name, driver=driver)
    inputs = found(folder, LAYER.replace("soil.geojson", name) + f"column = '{column}'\n")
    assert of_field(inputs)[:, 20] == pytest.approx(32)
    assert f"layers/{name}" in inputs.files


def test_very_many_rows_of_cells_are_laid_piece_by_piece(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    from zoning.inputs.images import polygons

    corners = [(WEST - 50, SOUTH - 50), (EAST + 50, SOUTH - 50), (EAST + 50, NORTH + 50)]
    soil(folder, [Polygon(corners), FIELD.buffer(20)], 20, 36.0)  # its edge is another one in each row
    whole = of_field(found(folder, CLAY))
    monkeypatch.setattr(polygons, "_SQUARES", 5_000)
    assert np.array_equal(of_field(read.field(folder.settings(), TODAY)), whole)


@pytest.mark.parametrize(
    ("columns", "text", "code", "what"),
    [
        ({"name": "upland loam", "sand": 61.0, "wet": True}, "column = 'name'\n", CONTENT,
         "holds 'upland loam'. A name or a class is no number: .* columns with numbers are sand."),
        ({"name": "upland loam", "wet": True}, "column = 'wet'\n", CONTENT, "no column holds numbers"),
        ({"clay": "20"}, "column = 'clay'\n", CONTENT, "holds '20'"),
        ({"clay": None, "sand": 3}, "column = 'clay'\n", CONTENT, 'the column "clay" is empty'),
        ({"clay": 20, "sand": 61}, "column = 'silt'\n", SETTINGS, 'no column "silt".* are clay, sand'),
        ({"clay": 20, "sand": 61}, "", SETTINGS, "column is missing.* with numbers are clay, sand"),
    ],
)  # fmt: skip
def test_what_is_no_number_is_refused(
    folder: Folder, columns: dict[str, object], text: str, code: int, what: str
) -> None:
    folder.shapes("layers/soil.geojson", HALVES, [columns, columns])
    with pytest.raises(InputError, match=what) as caught:
        found(folder, LAYER + text)
    assert caught.value.code == code
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("shift_m", [1_000.0, 400_000.0])
def test_polygons_of_another_place_are_refused(folder: Folder, shift_m: float) -> None:
    soil(folder, [shapely.affinity.translate(one, shift_m) for one in HALVES], 20, 30)
    with pytest.raises(InputError, match="none of its polygons lies inside the field"):
        found(folder, CLAY)


def test_points_and_lines_are_refused(folder: Folder) -> None:
    folder.shapes("layers/soil.geojson", [shapely.Point(WEST + 5, SOUTH + 5)], [{"clay": 3}])
    with pytest.raises(InputError, match=r"shape 1 is a Point, not a polygon\. Save it as polygons\."):
        found(folder, CLAY)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        (CLAY + "band = 1\n", "polygons have no bands"),
        (CLAY.replace("soil.geojson", "soil.tif"), "only polygons have columns"),
    ],
)
def test_bands_of_polygons_and_columns_of_rasters_are_refused(folder: Folder, text: str, what: str) -> None:
    folder.add(PLANTED + text)
    with pytest.raises(InputError, match=what) as caught:
        folder.settings()
    assert caught.value.code == SETTINGS


def test_what_is_taken_for_polygons_is_what_can_be_read() -> None:
    assert set(layer_rules.POLYGONS) == set(vector.DRIVERS)
