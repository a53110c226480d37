"""Terrain from heights: planes, cones and valleys whose slope, aspect and catchment are known by hand."""

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from affine import Affine
from made_inputs import EAST, EPSG, FIELD, NORTH, SOUTH, TODAY, WEST, Folder
from pyproj import Transformer

from zoning.errors import SETTINGS, WORLD, InputError
from zoning.inputs import read
from zoning.inputs.given import FieldInputs, Layer
from zoning.inputs.grid import Grid
from zoning.inputs.images import terrain, terrain_layers

LAYER = "[[layer]]\nname = 'height'\nfile = 'layers/height.tif'\n"
EVERY = LAYER + "terrain = ['slope', 'aspect', 'wetness']\n"
PLANTED = "[planting]\ndate = 2026-05-06\n"
MARGIN_M = 700.0
pyflwdir = pytest.importorskip("pyflwdir", reason="wetness is an extra")


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    made = Folder(tmp_path)
    made.shapes("boundary.geojson", [FIELD])
    return made


def found(folder: Folder, layer: str) -> FieldInputs:
    folder.add(PLANTED + layer)
    return read.field(folder.settings(), TODAY)


def squares(pitch_m: float = 10.0, margin_m: float = MARGIN_M) -> tuple[np.ndarray, np.ndarray]:
    """Metres east and north of the field's south-western corner, of the pixels of an elevation."""
    east = np.arange(-margin_m, EAST - WEST + margin_m, pitch_m) + pitch_m / 2
    north = np.arange(NORTH - SOUTH + margin_m, -margin_m, -pitch_m) - pitch_m / 2
    return np.meshgrid(east, north)


def write(
    folder: Folder, heights: np.ndarray, pitch_m: float = 10.0, margin_m: float = MARGIN_M, **profile: object
) -> None:
    at = Affine(pitch_m, 0, WEST - margin_m, 0, -pitch_m, NORTH + margin_m)
    folder.image("layers/height.tif", heights[None].astype("float32"), transform=at, **profile)


def by_name(inputs: FieldInputs) -> dict[str, Layer]:
    return {one.name: one for one in inputs.layers}


def of_field(inputs: FieldInputs, layer: Layer) -> np.ndarray:
    """The values inside the boundary, a rectangle, without the cells that rounding may add around it."""
    rows, columns = inputs.inside.any(axis=1), inputs.inside.any(axis=0)
    return layer.values[np.ix_(rows, columns)]


# -- slope and aspect -------------------------------------------------------------------------------------


@pytest.mark.parametrize("pitch_m", [1.0, 4.0, 10.0, 30.0])
def test_by_hand_a_tilted_plane(folder: Folder, pitch_m: float) -> None:
    # It falls 3 m in 100 m to the east and rises 4 m in 100 m to the north: 5 % by Pythagoras. It faces
    # east and south: +3 % to the east, -4 % to the north. A trace of a bump, as one value is no layer.
    margin_m = 600.0 if pitch_m == 30.0 else MARGIN_M
    east, north = squares(pitch_m, margin_m)
    bump = 1e-3 * np.sin(east / 100) * np.sin(north / 100)
    write(folder, 300 - 0.03 * east + 0.04 * north + bump, pitch_m, margin_m)
    layers = by_name(found(folder, LAYER + "terrain = ['slope', 'aspect']\n"))
    assert list(layers) == ["height", "slope", "aspect east", "aspect north"]
    for name, truth in (("slope", 5.0), ("aspect east", 3.0), ("aspect north", -4.0)):
        assert layers[name].clear_frac == 1
        assert np.nanmax(np.abs(layers[name].values - truth)) < 0.01
        assert layers[name].shows == ""


def test_slope_against_differences_of_numpy() -> None:
    rng = np.random.default_rng(2)
    steps = rng.normal(size=6)
    x, y = np.meshgrid(np.arange(60.0), np.arange(50.0))
    heights = 20 * np.sin(x / 17 + steps[0]) + 15 * np.cos(y / 13 + steps[1]) + x * y / 200
    east, north = terrain.rise(heights, 2.0)
    down, right = np.gradient(heights, 2.0)
    inner = (slice(1, -1), slice(1, -1))
    # Horn's weights average three such differences side by side: as far off as the surface bends
    assert np.abs(east - right)[inner].max() < 0.01
    assert np.abs(north + down)[inner].max() < 0.01


def test_by_hand_edges_and_holes_of_a_plane_have_its_slope() -> None:
    x, y = np.meshgrid(np.arange(9.0), np.arange(7.0))
    heights = 2 * x + 3 * y  # 2 m to the east and -3 m to the north in each step of 10 m
    heights[3, 4] = np.nan
    east, north = terrain.rise(heights, 10.0)
    assert np.isnan(east[3, 4])
    known = np.isfinite(heights)
    assert east[known] == pytest.approx(0.2)
    assert north[known] == pytest.approx(-0.3)


def test_flat_ground_faces_nowhere_and_its_wetness_has_a_bound() -> None:
    level = np.full((40, 50), 301.5)
    east, north = terrain.rise(level, 5.0)
    assert not east.any()
    assert not north.any()
    wet = terrain.wetness(level, 5.0, "")
    # at most all 2,000 squares of 25 m2 through one of 5 m, at the least slope of 0.001: ln(10000 / 0.001)
    assert np.isfinite(wet).all()
    assert np.log(5 / 0.001) - 1e-9 <= wet.min() <= wet.max() <= np.log(10_000 / 0.001)


def test_feet_and_metres_give_one_terrain(folder: Folder, tmp_path: Path) -> None:
    east, north = squares()
    heights = 300 + 4 * np.sin(east / 90) + 3 * np.cos(north / 70)
    write(folder, heights)
    metres = by_name(found(folder, EVERY))
    other = Folder(tmp_path / "other")
    other.shapes("boundary.geojson", [FIELD])
    write(other, heights / 0.3048)
    feet = by_name(found(other, EVERY + "unit = 'ft'\n"))
    for name, layer in metres.items():
        assert feet[name].values == pytest.approx(layer.values, abs=2e-3, nan_ok=True)


def test_a_constant_added_to_all_heights_changes_nothing() -> None:
    x, y = np.meshgrid(np.arange(60.0), np.arange(50.0))
    heights = 3 * np.sin(x / 7) + 2 * np.cos(y / 9)
    for one, other in zip(
        (*terrain.rise(heights, 5.0), terrain.wetness(heights, 5.0, "")),
        (*terrain.rise(heights + 2048, 5.0), terrain.wetness(heights + 2048, 5.0, "")),
        strict=True,
    ):
        assert one == pytest.approx(other, abs=1e-6)


def test_degrees_and_metres_give_one_terrain(folder: Folder) -> None:
    def height(east: np.ndarray, north: np.ndarray) -> np.ndarray:
        return 300 + 4 * np.sin((east - WEST) / 90) + 3 * np.cos((north - SOUTH) / 70)

    to_lonlat = Transformer.from_crs(EPSG, 4326, always_xy=True)
    lons, lats = to_lonlat.transform([WEST - 900, EAST + 900], [SOUTH - 900, NORTH + 900])
    step = 3e-5
    lon, lat = np.meshgrid(np.arange(lons[0], lons[1], step), np.arange(lats[1], lats[0], -step))
    east, north = to_lonlat.transform(lon + step / 2, lat - step / 2, direction="INVERSE")
    at = Affine(step, 0, lons[0], 0, -step, lats[1])
    folder.image("layers/height.tif", height(east, north)[None], transform=at, crs="EPSG:4326")
    inputs = found(folder, EVERY)
    truth_x, truth_y = np.meshgrid(inputs.grid.east_m(), inputs.grid.north_m())
    layers = by_name(inputs)
    to_east = -100 * 4 / 90 * np.cos((truth_x - WEST) / 90)
    to_north = 100 * 3 / 70 * np.sin((truth_y - SOUTH) / 70)
    assert np.nanmax(np.abs(layers["aspect east"].values - to_east)) < 0.1
    assert np.nanmax(np.abs(layers["aspect north"].values - to_north)) < 0.1
    assert layers["wetness"].clear_frac == 1


# -- wetness ----------------------------------------------------------------------------------------------


def test_by_hand_catchment_and_wetness_of_a_plane() -> None:
    # Falling 2 % along the rows to the south: the square in row r has r + 1 squares of 25 m2 above each of
    # its 5 m of contour, itself included: 5 (r + 1) m. The wetness of row 9 is ln(50 / 0.02).
    heights = np.broadcast_to(-0.02 * 5 * np.arange(20.0)[:, None], (20, 81))
    a_m = terrain.catchment_m2(heights, 5.0, "") / 5
    middle = slice(30, 51)  # farther from the sides than water spreads
    assert a_m[:, middle] == pytest.approx(
        np.broadcast_to(5 * np.arange(1, 21.0)[:, None], (20, 21)), rel=0.01
    )
    wet = terrain.wetness(heights, 5.0, "")
    assert wet[9, 40] == pytest.approx(np.log(50 / 0.02), abs=0.01)


def test_by_hand_water_is_shared_by_how_steep_each_way_is() -> None:
    # 1 m down over 10 m to the east, and over 14.14 m to the south-east: as 1 to (1 / 1.4142)^1.1 = 0.6830,
    # so the east gets 1 / 1.6830 = 0.5942 of the 100 m2 above, beside its own 100.
    heights = np.array([[1.0, 0.0], [np.nan, 0.0]])
    area = terrain.catchment_m2(heights, 10.0, "")
    assert area[0] == pytest.approx([100.0, 159.42], abs=0.005)
    assert area[1, 1] == pytest.approx(140.58, abs=0.005)


def test_by_hand_catchment_of_a_cone() -> None:
    # Above the circle at r lies its disc: pi r^2 over a contour of 2 pi r is r / 2, whatever the direction.
    x, y = np.meshgrid(np.arange(-60.0, 61) * 5, np.arange(-60.0, 61) * 5)
    away_m = np.hypot(x, y)
    a_m = terrain.catchment_m2(90 - 0.05 * away_m, 5.0, "") / 5
    for r in (100, 150, 200, 250):
        ring = np.abs(away_m - r) < 4
        assert a_m[ring].mean() == pytest.approx(r / 2, rel=0.1)
        assert a_m[ring].max() < 1.25 * a_m[ring].min()


def test_every_drop_of_a_hollow_reaches_its_outlet() -> None:
    # A bowl with one low gap in its rim: all of the ground inside drains through it.
    x, y = np.meshgrid(np.arange(-20.0, 21), np.arange(-20.0, 21))
    heights = 0.05 * np.hypot(x, y)
    heights[20, 40] = -1.0
    area = terrain.catchment_m2(heights, 1.0, "")
    assert area[20, 40] == pytest.approx(area.max())
    assert area[20, 40] > 0.9 * np.count_nonzero(np.hypot(x, y) < 20)


def test_water_is_neither_made_nor_lost() -> None:
    rng = np.random.default_rng(4)
    for digits in (1, 6):  # rounded heights are flat in many places
        heights = np.round(np.cumsum(rng.normal(size=(50, 60)), axis=0) / 4, digits)
        heights[rng.uniform(size=heights.shape) < 0.02] = np.nan
        area = terrain.catchment_m2(heights, 2.0, "")
        known = np.isfinite(heights)
        assert np.array_equal(np.isfinite(area), known)
        assert area[known].min() >= 4 - 1e-9
        assert area[known].max() <= 4 * known.sum() + 1e-6


def test_the_bottom_of_a_valley_is_wettest(folder: Folder) -> None:
    east, north = squares()
    write(folder, 300 + 0.04 * np.abs(east - 200) + 0.01 * north)  # it runs to the south, 200 m from the west
    inputs = found(folder, EVERY)
    wet = by_name(inputs)["wetness"]
    assert wet.shows == "wet high"
    wettest = (
        inputs.grid.east_m()[inputs.inside.any(axis=0)][np.argsort(of_field(inputs, wet).mean(axis=0))[-2:]]
        - WEST
    )
    assert sorted(wettest) == pytest.approx([195, 205], abs=1)
    bottom = of_field(inputs, wet)[:, 19]
    assert bottom[-1] > bottom[0]  # more water further down
    assert inputs.notes == ()


def test_wet_ground_of_a_valley_counts_as_wet_without_being_told(folder: Folder) -> None:
    east, north = squares()
    write(folder, 300 + 0.04 * np.abs(east - 200) + 0.01 * north)
    shows = {one.name: one.shows for one in found(folder, EVERY + "wet = 'low'\n").layers}
    assert shows["height"] == "wet low"
    assert shows["wetness"] == "wet high"


def test_ground_beyond_the_field_makes_it_wetter(folder: Folder, tmp_path: Path) -> None:
    east, north = squares()
    heights = 300 + 0.04 * np.abs(east - 200) + 0.01 * north
    write(folder, heights)
    inputs = found(folder, EVERY)
    whole = of_field(inputs, by_name(inputs)["wetness"])
    other = Folder(tmp_path / "other")
    other.shapes("boundary.geojson", [FIELD])
    write(other, heights[70:-70, 70:-70], margin_m=0.0)
    inputs = found(other, EVERY)
    assert (of_field(inputs, by_name(inputs)["wetness"])[0, 18:22] < whole[0, 18:22] - 1).all()
    assert [one.code for one in inputs.notes] == ["inputs.terrain_cut"]
    # 300 m x 400 m of the 1,300 m x 1,400 m, and a ring of squares more
    assert inputs.notes[0].text.startswith("layers/height.tif shows only 6 % of the ground within 500 m")


# -- what is doubtful or refused --------------------------------------------------------------------------


def test_holes_in_the_heights_stay_holes(folder: Folder) -> None:
    east, north = squares()
    heights = 300 + 4 * np.sin(east / 90) + 3 * np.cos(north / 70)
    hole = (east > 100) & (east < 160) & (north > 100) & (north < 160)
    write(folder, np.where(hole, -9999.0, heights))
    inputs = found(folder, EVERY)
    for one in inputs.layers:
        assert np.isnan(of_field(inputs, one)).sum() == 36
    assert [note.code for note in inputs.notes] == ["inputs.layer_placeholder"]


def test_flat_ground_gives_no_layers_of_use(folder: Folder) -> None:
    write(folder, squares()[0] * 0 + 300)
    inputs = found(folder, EVERY)
    assert inputs.layers == ()  # nor wetness, which would only tell how far the edge of the file is
    assert [note.code for note in inputs.notes] == ["inputs.layer_constant"]


def test_heights_in_the_wrong_unit_are_doubted(folder: Folder) -> None:
    east, north = squares()
    write(folder, 100 * (3 * np.sin(east / 90) + 3 * np.cos(north / 70)))  # centimetres
    notes = found(folder, LAYER + "terrain = ['slope']\n").notes
    assert [one.code for one in notes] == ["inputs.terrain_steep"]


def test_derived_layers_are_of_the_use_of_their_elevation(folder: Folder) -> None:
    east, north = squares()
    write(folder, 300 + 4 * np.sin(east / 90) + 3 * np.cos(north / 70))
    inputs = found(folder, EVERY + "use = 'check'\n")
    assert inputs.layers == ()
    assert [one.name for one in inputs.check_layers] == [
        "height",
        "slope",
        "aspect east",
        "aspect north",
        "wetness",
    ]


@pytest.mark.parametrize(
    ("text", "what"),
    [
        (EVERY + "use = 'yield'\nunit = 't/ha'\n", "a yield has no terrain"),
        (EVERY + "unit = 't/ha'\n", "no unit of a height"),
        (LAYER + "terrain = ['slope', 'slope']\n", "slope stands there twice"),
        (LAYER + "terrain = ['hillshade']\n", "hillshade"),
        (LAYER.replace(".tif", ".gpkg") + "column = 'z'\nterrain = ['slope']\n", "polygons have no terrain"),
        (LAYER + "use = 'yield'\nunit = 'ft'\n", "no unit of a yield"),
    ],
)
def test_settings_that_contradict_each_other_are_refused(folder: Folder, text: str, what: str) -> None:
    folder.add(PLANTED + text)
    with pytest.raises(InputError, match=what) as caught:
        folder.settings()
    assert caught.value.code == SETTINGS


def test_wetness_without_its_library_is_one_line(folder: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    east, north = squares()
    write(folder, 300 + 4 * np.sin(east / 90) + 3 * np.cos(north / 70))
    monkeypatch.setitem(sys.modules, "pyflwdir", None)
    with pytest.raises(InputError, match=r"pip install 'sprayworth\[terrain\]'") as caught:
        found(folder, EVERY)
    assert caught.value.code == SETTINGS
    assert "field.toml:" in str(caught.value)
    assert "layer[1].terrain" in str(caught.value)


def test_slope_and_aspect_need_no_library(folder: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    east, north = squares()
    write(folder, 300 + 4 * np.sin(east / 90) + 3 * np.cos(north / 70))
    monkeypatch.setitem(sys.modules, "pyflwdir", None)
    assert len(found(folder, LAYER + "terrain = ['slope', 'aspect']\n").layers) == 4


def test_nothing_compiles_where_no_wetness_is_wanted() -> None:
    said = "import sys, zoning.inputs.read; print('numba' in sys.modules, 'pyflwdir' in sys.modules)"
    run = subprocess.run([sys.executable, "-c", said], capture_output=True, text=True, check=True)
    assert run.stdout.split() == ["False", "False"]


def test_a_compiler_without_a_folder_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    # What numba says, at the import of what it is to compile, where neither the library's own folder nor the
    # user's may be written to.
    class Refusing:
        def __getattr__(self, name: str) -> object:
            raise RuntimeError("cannot cache function 'fill_depressions': no locator available for file")

    monkeypatch.setitem(sys.modules, "pyflwdir", Refusing())
    with pytest.raises(InputError, match="NUMBA_CACHE_DIR") as caught:
        terrain.wetness(np.zeros((4, 4)), 5.0, "field.toml:3: layer[1].terrain")
    assert caught.value.code == WORLD


def test_by_hand_squares_grow_with_the_ground() -> None:
    # 60 km x 60 km with 0.5 km around are 61 km x 61 km; 4 million squares of it are 30.5 m wide.
    wide = terrain_layers.around(Grid(EPSG, WEST, NORTH, 100.0, (600, 600)), 1.0)
    assert wide.cell_m == 30.5
