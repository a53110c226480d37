"""Real images through the whole step, from the file to the zones: a Sentinel-2 chip and a Landsat scene."""

import json
import os
from datetime import date
from importlib import resources
from pathlib import Path

import numpy as np
import pytest
import rasterio
import shapely
from affine import Affine
from pyproj import Transformer
from scipy import ndimage
from shapely import Polygon, box, to_geojson

from zoning import field
from zoning.errors import CONTENT, InputError
from zoning.evidence import number
from zoning.inputs import read
from zoning.inputs.area import reproject
from zoning.inputs.given import FieldInputs
from zoning.offers.drawn import ground_of, limits_of
from zoning.settings.read import load
from zoning.zones.delineate import delineate
from zoning.zones.zoning import Zoning

TODAY = date(2026, 7, 8)
FIELD = """name = "Scene"
maturity_group = 1.9
[planting]
date = 2026-05-06
[zones]
min_area = "1 ac"
max_zones_per_block = 4
"""
IMAGE = """[[imagery]]
file = "image.tif"
date = 2026-06-28
bands = {{ red = {red}, nir = {nir} }}
scale = {scale}
index = "NDVI"
"""
NDVI = "NDVI 2026-06-28"  # the layer's name
OTHER = """[[layer]]
name = "elevation"
file = "{file}"
"""


def _folder(root: Path, outline: Polygon, epsg: int, *parts: str) -> Path:
    """A farm of one field whose boundary is given in a projected CRS."""
    folder = root / "farm" / "field"
    folder.mkdir(parents=True)
    (root / "farm" / "farm.toml").write_text('name = "Farm"\nseason = 2026\n', encoding="utf-8")
    (folder / "field.toml").write_text("".join([FIELD, *parts]), encoding="utf-8")
    lonlat = json.loads(to_geojson(reproject(outline, epsg, 4326)))
    feature = {"type": "Feature", "properties": {}, "geometry": lonlat}
    whole = {"type": "FeatureCollection", "features": [feature]}
    (folder / "boundary.geojson").write_text(json.dumps(whole), encoding="utf-8")
    return folder


def _zoned(folder: Path) -> tuple[FieldInputs, Zoning]:
    settings = load(folder)
    given = read.field(settings, TODAY)
    layers = {layer.name: layer.values for layer in given.layers}
    return given, delineate(layers, ground_of(given), limits_of(settings, given), seed=1)


def _check_whole(given: FieldInputs, zoning: Zoning) -> None:
    """Zones are a valid coverage of the boundary, and no patch is below the smallest size."""
    outlines = [zone.outline for zone in zoning.zones]
    assert shapely.coverage_is_valid(outlines)
    assert shapely.coverage_union_all(outlines).symmetric_difference(given.boundary).area < 1e-3
    least_m2 = 4046.8  # 1 ac
    for outline in outlines:
        assert min(part.area for part in shapely.get_parts(outline)) >= least_m2
    assert ((zoning.number_of_cell > 0) == given.inside).all()


def _means(zoning: Zoning, values: np.ndarray) -> list[float]:
    return [float(np.nanmean(values[zoning.number_of_cell == zone.number])) for zone in zoning.zones]


# -- the chip of spyndex: Sentinel-2, 300 x 300 pixels of 10 m, reflectance x 10,000 -----------------------

CHIP_PLACE = Affine(10, 0, 500_000, 0, -10, 4_650_000)  # invented: the chip has none


@pytest.fixture(scope="module")
def chip() -> np.ndarray:
    pytest.importorskip("spyndex", reason="spyndex is not installed: pip install spyndex")
    text = resources.files("spyndex").joinpath("data/S2_10m.json").read_text(encoding="utf-8")
    return np.asarray(json.loads(text))


def _write(path: Path, bands: np.ndarray, crs: str | None, place: Affine | None) -> None:
    count, height, width = bands.shape
    profile = {"height": height, "width": width, "count": count, "dtype": bands.dtype}
    georeference = {} if crs is None else {"crs": crs, "transform": place}
    with rasterio.open(path, "w", driver="GTiff", **profile, **georeference) as target:
        target.write(bands)


def _chip_folder(root: Path) -> Path:
    # 1.5 km of the chip's middle, 2 m off the edges of its pixels
    outline = box(500_752, 4_647_752, 502_248, 4_649_248)
    return _folder(root, outline, 32615, IMAGE.format(red=3, nir=4, scale=0.0001))


@pytest.mark.filterwarnings("ignore::rasterio.errors.NotGeoreferencedWarning")
def test_a_chip_without_a_place_is_refused_in_one_line(chip, tmp_path):
    folder = _chip_folder(tmp_path)
    _write(folder / "image.tif", chip.astype(np.uint16), None, None)
    with pytest.raises(InputError) as caught:
        field.run(folder, today=TODAY)
    (fault,) = caught.value.faults
    assert fault.code == CONTENT
    assert str(fault) == (
        "image.tif: the image has no CRS, so its place on earth is unknown. "
        "Export it again as a GeoTIFF with its CRS."
    )


def test_published_ndvi_of_the_chip(chip):
    # Mean 0.469985 and the first pixel 0.743053: spyndex 0.12 on its own chip, six decimals printed.
    red, nir = chip[2].astype(float), chip[3].astype(float)
    ndvi = (nir - red) / (nir + red)
    assert ndvi.mean() == pytest.approx(0.469985, abs=0.5e-6)
    assert ndvi[0, 0] == pytest.approx(0.743053, abs=0.5e-6)


def test_the_chip_with_a_place_becomes_zones(chip, tmp_path):
    folder = _chip_folder(tmp_path)
    settings = (folder / "field.toml").read_text().replace("[zones]", "[zones]\nbare_is_dead = false")
    (folder / "field.toml").write_text(settings)
    _write(folder / "image.tif", chip.astype(np.uint16), "EPSG:32615", CHIP_PLACE)
    given, zoning = _zoned(folder)
    _check_whole(given, zoning)
    red, nir = chip[2].astype(float), chip[3].astype(float)
    # the cells of the grid are the pixels of the chip, from row and column 75 on
    ndvi = ((nir - red) / (nir + red))[75:225, 75:225]
    assert given.grid.shape == ndvi.shape
    found, bare = given.layers[0].values, number("inputs.bare_ndvi")
    assert np.nanmax(np.abs(found - ndvi)) < 1e-9
    assert np.isnan(found[ndvi < bare - 1e-9]).all(), "water and bare ground are left out"
    assert np.isfinite(found[ndvi > bare + 1e-9]).all(), "and nothing else"
    assert "inputs.layer_no_canopy" in [note.code for note in given.notes]
    left = np.where(np.isnan(found), np.nan, ndvi)
    assert [zone.means[NDVI] for zone in zoning.zones] == pytest.approx(_means(zoning, left), abs=1e-9)
    print(f"chip: {len(zoning.zones)} zones, NDVI {[round(zone.means[NDVI], 3) for zone in zoning.zones]}")
    assert len(zoning.zones) > 1


def test_large_bare_patches_of_the_chip_are_no_zone(chip, tmp_path):
    folder = _chip_folder(tmp_path)
    _write(folder / "image.tif", chip.astype(np.uint16), "EPSG:32615", CHIP_PLACE)
    given, zoning = _zoned(folder)
    _check_whole(given, zoning)
    red, nir = chip[2].astype(float), chip[3].astype(float)
    ndvi, bare = ((nir - red) / (nir + red))[75:225, 75:225], number("inputs.bare_ndvi")
    found, dead = given.layers[0].values, ~given.inside
    assert np.isfinite(found[(ndvi > bare + 1e-9) & ~dead]).all(), "all canopy that is in a zone"
    assert not np.isfinite(found[dead]).any()
    # Outlines go through the middle of the sides of cells, and islands below an acre go with what is around.
    assert (ndvi[dead] < bare).mean() > 0.97
    [one] = given.no_spray
    parts_m2 = shapely.area(shapely.get_parts(one.outline))
    assert parts_m2.min() >= 4046.8
    assert parts_m2.sum() == pytest.approx(100 * dead.sum(), rel=0.01)


def test_the_chip_runs_through_to_a_plan(chip, tmp_path):
    folder = _chip_folder(tmp_path)
    _write(folder / "image.tif", chip.astype(np.uint16), "EPSG:32615", CHIP_PLACE)
    _, zoning = _zoned(folder)
    plan = field.run(folder, today=TODAY, seed=1).plan
    assert [zone.zone for zone in plan.zones] == [zone.number for zone in zoning.zones]


# -- the Landsat scene of Debian's r-cran-stars: Olinda, uint8 counts, 28.5 m -------------------------------

SCENE, HEIGHT = "L7_ETMs.tif", "olinda_dem_utm25s.tif"
ROW, COLUMN, PIXELS = 62, 70, 44  # a square of 1.25 km of the scene where sugar cane grows


@pytest.fixture(scope="module")
def scenes() -> Path:
    places = [os.environ.get("SPRAYWORTH_SCENES", ""), "/usr/lib/R/site-library/stars/tif"]
    for place in places:
        if place and (Path(place) / SCENE).exists():
            return Path(place)
    pytest.skip(
        "the Landsat scene is not there: apt-get download r-cran-stars; dpkg-deb -x r-cran-stars*.deb x; "
        "export SPRAYWORTH_SCENES=x/usr/lib/R/site-library/stars/tif"
    )


def _square(scenes: Path) -> Polygon:
    """The square of cane, a quarter of a pixel off the pixels' edges."""
    with rasterio.open(scenes / SCENE) as scene:
        left, top = scene.transform.c + 28.5 * (COLUMN + 0.25), scene.transform.f - 28.5 * (ROW + 0.25)
    return box(left, top - 28.5 * PIXELS, left + 28.5 * PIXELS, top)


def _scene_folder(root: Path, scenes: Path, *parts: str) -> Path:
    folder = _folder(root, _square(scenes), 31985, IMAGE.format(red=3, nir=4, scale=1.0), *parts)
    for name, copy in ((SCENE, "image.tif"), (HEIGHT, "height.tif")):
        (folder / copy).write_bytes((scenes / name).read_bytes())
    return folder


def _drawn_between_pixels(values: np.ndarray, place: Affine, given: FieldInputs) -> np.ndarray:
    """Bilinear values at the middles of the grid's cells, in the scene's own CRS, by scipy."""
    to_scene = Transformer.from_crs(given.grid.epsg, 31985, always_xy=True)
    east, north = to_scene.transform(*np.meshgrid(given.grid.east_m(), given.grid.north_m()))
    column = (east - place.c) / place.a - 0.5
    row = (north - place.f) / place.e - 0.5
    return ndimage.map_coordinates(values, [row, column], order=1, mode="nearest")


def _float_ndvi(scenes: Path) -> tuple[np.ndarray, np.ndarray, Affine]:
    with rasterio.open(scenes / SCENE) as scene:
        red, nir = scene.read(3), scene.read(4)
        place = scene.transform
    with np.errstate(over="ignore"):
        wrapped = (nir - red) / (nir.astype(float) + red)
    red, nir = red.astype(float), nir.astype(float)
    return (nir - red) / (nir + red), wrapped, place


def test_published_ndvi_of_the_scene_and_its_bytes_that_wrap(scenes):
    # Mean -0.064325 and 58.4 % below 0, of the counts cast to float: the scene's own numbers.
    ndvi, wrapped, _ = _float_ndvi(scenes)
    assert ndvi.mean() == pytest.approx(-0.064325, abs=0.5e-6)
    assert 100 * (ndvi < 0).mean() == pytest.approx(58.4, abs=0.05)
    assert wrapped.mean() > 0.5, "bytes that are not cast wrap round, and bare ground is greener than cane"


def test_cane_in_the_scene_becomes_zones_with_the_ndvi_of_a_float_computation(scenes, tmp_path):
    given, zoning = _zoned(_scene_folder(tmp_path, scenes))
    _check_whole(given, zoning)
    ndvi, _, place = _float_ndvi(scenes)
    expected = np.where(given.inside, _drawn_between_pixels(ndvi, place, given), np.nan)
    found = given.layers[0].values
    assert np.nanmax(np.abs(found - expected)) < 1e-3
    means = [zone.means[NDVI] for zone in zoning.zones]
    assert means == pytest.approx(_means(zoning, expected), abs=1e-4)
    print(f"cane: {len(means)} zones, NDVI {[round(mean, 3) for mean in means]}")
    assert len(means) > 1


def test_a_height_on_another_grid_is_laid_on_ours_by_its_place(scenes, tmp_path):
    given, zoning = _zoned(_scene_folder(tmp_path, scenes, OTHER.format(file="height.tif")))
    _check_whole(given, zoning)
    with rasterio.open(scenes / HEIGHT) as source:
        values, place = source.read(1).astype(float), source.transform
    expected = np.where(given.inside, _drawn_between_pixels(values, place, given), np.nan)
    found = next(layer.values for layer in given.layers if layer.name == "elevation")
    # 0 to 88 m in the scene; half a metre would be a shift by a fraction of a pixel of 90 m
    assert np.nanmax(np.abs(found - expected)) < 0.05
    stacked = values[ROW : ROW + PIXELS, COLUMN : COLUMN + PIXELS]
    assert abs(np.nanmean(found) - stacked.mean()) > 1, "by index, other ground would be read"
    for zone in zoning.zones:
        mine = zoning.number_of_cell == zone.number
        assert zone.means["elevation"] == pytest.approx(expected[mine].mean(), abs=0.05)
