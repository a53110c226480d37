"""Images: alignment checked by value, indices against published values and spyndex, refusals in one line."""

import json
from datetime import date
from importlib import resources
from pathlib import Path

import numpy as np
import pytest
import rasterio
import shapely
from affine import Affine
from made_inputs import EAST, EPSG, FIELD, GRID, NORTH, SOUTH, TODAY, WEST, Folder, write_image
from pyproj import Transformer
from shapely import box

from zoning.errors import CONTENT, SETTINGS, InputError
from zoning.inputs import read
from zoning.inputs.given import FieldInputs
from zoning.inputs.images import imagery, pixels, raster
from zoning.inputs.images.indices import BANDS, index

# -- indices ----------------------------------------------------------------------------------------------

# Reflectance of a dense, a thin and a bare canopy, and the indices that spyndex 0.12 gives for them.
CANOPIES = {
    "nir": [0.45, 0.30, 0.25], "red": [0.04, 0.10, 0.18], "green": [0.08, 0.11, 0.13],
    "rededge": [0.10, 0.15, 0.20],
}  # fmt: skip
TABLE = {
    "NDVI": [0.836735, 0.500000, 0.162791], "NDRE": [0.636364, 0.333333, 0.111111],
    "GNDVI": [0.698113, 0.463415, 0.315789], "OSAVI": [0.630769, 0.357143, 0.118644],
    "CIre": [3.500000, 1.000000, 0.250000], "EVI2": [0.663001, 0.324675, 0.104043],
    "MSAVI2": [0.662772, 0.310102, 0.100000],
}  # fmt: skip
SPYNDEX = {"NDVI": "NDVI", "NDRE": "NDREI", "GNDVI": "GNDVI", "OSAVI": "OSAVI", "CIre": "CIRE",
           "EVI2": "EVI2", "MSAVI2": "MSAVI"}  # fmt: skip


def canopies() -> dict[str, np.ndarray]:
    return {band: np.array(values) for band, values in CANOPIES.items()}


@pytest.mark.parametrize("name", BANDS)
def test_published_index_values(name: str) -> None:
    # Values of the spyndex 0.12 catalogue's formulas for three canopies, six decimals printed; for EVI2 with
    # its published soil term 1 (Jiang et al. 2008), not the 0.5 that the library shares with SAVI.
    assert index(name, canopies()) == pytest.approx(TABLE[name], abs=0.5e-6)


@pytest.mark.parametrize("name", BANDS)
def test_indices_against_spyndex(name: str) -> None:
    spyndex = pytest.importorskip("spyndex", reason="spyndex is not installed")
    rng = np.random.default_rng(5)
    bands = {band: rng.uniform(0.01, 0.6, 300) for band in CANOPIES}
    params = {
        "N": bands["nir"],
        "R": bands["red"],
        "G": bands["green"],
        "RE1": bands["rededge"],
        "g": 2.5,
        "L": 1.0,
    }
    theirs = spyndex.computeIndex(SPYNDEX[name], params)
    assert index(name, bands) == pytest.approx(np.asarray(theirs), abs=1e-6)


def test_by_hand_impossible_denominators_are_nan() -> None:
    bands = {"nir": np.array([0.0, -0.02, 0.3]), "red": np.array([0.0, 0.01, np.nan]), "rededge": np.zeros(3)}
    assert np.isnan(index("NDVI", bands)).all()
    assert np.isnan(index("CIre", bands)).all()


# -- alignment by value -----------------------------------------------------------------------------------


def place_image(
    path: Path, epsg: int, pixel: float, dtype: str, nodata: float | None, angle: float = 0.0
) -> None:
    """Write an image whose two bands hold the easting and northing of their own pixels."""
    to_there = Transformer.from_crs(EPSG, epsg, always_xy=True)
    xs, ys = to_there.transform([WEST - 120, EAST + 120] * 2, [SOUTH - 120] * 2 + [NORTH + 120] * 2)
    width, height = (int(np.ceil(abs(max(v) - min(v)) / pixel)) for v in (xs, ys))
    transform = Affine.translation(min(xs), max(ys)) @ Affine.rotation(angle) @ Affine.scale(pixel, -pixel)
    column, row = np.meshgrid(np.arange(width) + 0.5, np.arange(height) + 0.5)
    x = transform.a * column + transform.b * row + transform.c
    y = transform.d * column + transform.e * row + transform.f
    east, north = Transformer.from_crs(epsg, EPSG, always_xy=True).transform(x, y)
    bands = np.stack([east - WEST + 200, north - SOUTH + 200])
    if np.issubdtype(np.dtype(dtype), np.integer):
        top = {"uint8": 254}.get(dtype, 32000)
        bands = np.round(bands / 900 * top)
    if nodata is not None:
        bands[:, (column + row) % 7 < 1] = nodata
    write_image(path, bands.astype(dtype), crs=f"EPSG:{epsg}", transform=transform, nodata=nodata)


FT = 0.3048006096
CASES = [
    (32615, 10.0, "float32", None), (32615, 2.5, "float64", -9999), (32615, 0.8, "float32", np.nan),
    (32615, 23.0, "float64", None), (32614, 10.0, "uint16", 0), (32616, 3.7, "int16", -32768),
    (4326, 9e-5, "float64", None), (4326, 2e-5, "uint16", 65535), (3857, 14.0, "float32", None),
    (26851, 10 / FT, "int32", None), (3857, 7.0, "uint8", 255), (5070, 30.0, "float32", -1),
]  # fmt: skip


@pytest.mark.parametrize(("epsg", "pixel", "dtype", "nodata"), CASES)
def test_every_value_keeps_its_place(
    tmp_path: Path, epsg: int, pixel: float, dtype: str, nodata: float | None
) -> None:
    path = tmp_path / "place.tif"
    place_image(path, epsg, pixel, dtype, nodata)
    scale = 900 / {"uint8": 254}.get(dtype, 32000) if np.issubdtype(np.dtype(dtype), np.integer) else 1.0
    for band, truth in ((1, GRID.east_m() - WEST + 200), (2, (GRID.north_m() - SOUTH + 200)[:, None])):
        wanted = raster.Wanted(bands=(band,), combine=lambda parts: parts, scale=scale)
        found = raster.onto_grid(path, "place.tif", GRID, wanted)
        off = found.values - truth
        # A lost pixel as large as a cell is a lost cell: a seventh of them.
        assert np.isfinite(off).mean() > (0.8 if nodata is not None and found.pixel_m > 9.9 else 0.97)
        step = scale if scale != 1 else 0.0  # what rounding to whole numbers costs
        # A cell that has lost up to half of its ground moves by up to half a pixel; else pixels that do not
        # divide a cell cost an eighth of one.
        limit = (0.5 if nodata is not None else 0.13) * max(found.pixel_m, 1) + step
        assert np.nanmax(np.abs(off)) < limit
        assert abs(np.nanmean(off)) < 0.05 * found.pixel_m + step / 4  # no half-pixel shift anywhere


@pytest.mark.parametrize(
    ("epsg", "pixel", "metres"), [(32614, 10.0, 10.0), (26851, 10 / FT, 10.0), (3857, 14.0, 10.03)]
)
def test_by_hand_the_size_of_a_pixel_on_the_ground(
    tmp_path: Path, epsg: int, pixel: float, metres: float
) -> None:
    # Another zone turns the grid by 4 degrees, not the size; web Mercator stretches by 1 / cos(44.3) = 1.397.
    place_image(tmp_path / "p.tif", epsg, pixel, "float32", None)
    wanted = raster.Wanted(bands=(1,), combine=lambda parts: parts)
    assert raster.onto_grid(tmp_path / "p.tif", "p.tif", GRID, wanted).pixel_m == pytest.approx(
        metres, rel=0.005
    )


def test_a_rotated_image_keeps_its_place(tmp_path: Path) -> None:
    path = tmp_path / "turned.tif"
    to = Affine.translation(WEST - 100, NORTH + 400) @ Affine.rotation(-25) @ Affine.scale(5, -5)
    column, row = np.meshgrid(np.arange(260) + 0.5, np.arange(240) + 0.5)
    east = to.a * column + to.b * row + to.c
    write_image(path, (east - WEST)[None].astype("float64"), transform=to)
    wanted = raster.Wanted(bands=(1,), combine=lambda parts: parts)
    found = raster.onto_grid(path, "turned.tif", GRID, wanted)
    off = (found.values - (GRID.east_m() - WEST))[np.isfinite(found.values)]
    assert len(off) > 300
    assert np.abs(off).max() < 1
    assert abs(off.mean()) < 0.1


@pytest.mark.parametrize("pixel", [0.5, 1.0, 2.0, 5.0])
def test_an_average_is_the_average_of_all_pixels(tmp_path: Path, pixel: float) -> None:
    # Witness: plain block means, because these pixels divide the cells exactly.
    rng = np.random.default_rng(8)
    side = int(10 / pixel)
    values = rng.normal(50, 20, (30 * side, 40 * side))
    write_image(tmp_path / "fine.tif", values[None], transform=Affine(pixel, 0, WEST, 0, -pixel, NORTH))
    wanted = raster.Wanted(bands=(1,), combine=lambda parts: parts)
    found = raster.onto_grid(tmp_path / "fine.tif", "fine.tif", GRID, wanted)
    means = values.reshape(30, side, 40, side).mean(axis=(1, 3))
    assert found.values == pytest.approx(means, abs=1e-9)


def test_large_images_are_read_in_strips_with_the_same_result(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place_image(tmp_path / "place.tif", 32616, 0.7, "float32", -9999)
    wanted = raster.Wanted(bands=(1, 2), combine=lambda parts: (parts[0] / parts[1],))
    whole = raster.onto_grid(tmp_path / "place.tif", "place.tif", GRID, wanted)
    monkeypatch.setattr(pixels, "_PART_PIXELS", 20_000)
    monkeypatch.setattr(pixels, "_PIECE_PIXELS", 3_000)
    strips = raster.onto_grid(tmp_path / "place.tif", "place.tif", GRID, wanted)
    assert strips.values == pytest.approx(whole.values, rel=1e-12, nan_ok=True)  # summed in another order


# -- through the settings ---------------------------------------------------------------------------------


def field(folder: Folder, imagery_text: str = "", today: date = TODAY) -> FieldInputs:
    folder.add("[planting]\ndate = 2026-05-06\n" + imagery_text)
    return read.field(folder.settings(), today)


def two_bands(red: np.ndarray | float, nir: np.ndarray | float, dtype: str = "float32") -> np.ndarray:
    shape = (40, 50)
    return np.stack([np.broadcast_to(red, shape), np.broadcast_to(nir, shape)]).astype(dtype)


def entry(file: str = "imagery/2026-06-28_x.tif", more: str = "", name: str = "NDVI") -> str:
    return f"[[imagery]]\nfile = '{file}'\nbands = {{ red = 1, nir = 2 }}\nindex = '{name}'\n{more}\n"


def gradient(low: float, high: float) -> np.ndarray:
    return np.broadcast_to(np.linspace(low, high, 50), (40, 50))


def test_by_hand_unsigned_bytes_do_not_wrap(folder: Folder) -> None:
    # Red above near infrared in bytes: 90 - 200 would wrap to 146. (90 - 200) / 290 = -0.37931.
    bands = two_bands(200, np.where(np.arange(50) < 25, 90, 210), "uint8")
    folder.image("imagery/2026-06-28_x.tif", bands)
    values = field(folder, entry()).layers[0].values
    assert np.nanmin(values) == pytest.approx(-110 / 290, abs=1e-12)
    assert np.nanmax(values) == pytest.approx(10 / 410, abs=1e-12)


def test_published_scale_and_offset(folder: Folder) -> None:
    # ESA, Sentinel-2 L2A: reflectance = (count - 1000) / 10000. Red 1400, near infrared 5500: NDVI 0.8367.
    bands = two_bands(1400, np.where(np.arange(50) < 40, 5500, 5600), "uint16")
    folder.image("imagery/2026-06-28_x.tif", bands)
    found = field(folder, entry(more="scale = 0.0001\noffset = -0.1"))
    assert np.nanmin(found.layers[0].values) == pytest.approx(0.8367, abs=0.5e-4)


def test_the_index_is_computed_before_the_average(folder: Folder) -> None:
    # Rows of soil and crop 5 m wide: the mean of their indices is not the index of their means.
    rows = np.arange(80) % 2 == 0
    red = np.where(rows, 0.04, 0.18)[:, None] * np.ones(100)
    nir = np.where(rows, 0.45, 0.25)[:, None] * np.linspace(1, 1.0001, 100)
    transform = Affine(5, 0, WEST - 50, 0, -5, NORTH + 50)
    folder.image("imagery/2026-06-28_x.tif", np.stack([red, nir]), transform=transform)
    found = field(folder, entry()).layers[0].values
    # (0.836735 + 0.162791) / 2 = 0.499763; of the means (0.35, 0.11) it would be 0.521739.
    assert np.nanmedian(found) == pytest.approx(0.499763, abs=5e-5)


def test_four_bytes_bands_whose_fourth_is_called_alpha(folder: Folder) -> None:
    # Four byte bands are called red, green, blue, alpha; here the fourth is the near infrared, 0 in places.
    nir = np.where(np.arange(50) < 25, 0, 200)
    bands = np.stack([np.full((40, 50), 50)] * 3 + [np.broadcast_to(nir, (40, 50))]).astype("uint8")
    folder.image("imagery/2026-06-28_x.tif", bands, photometric="RGB", alpha="yes")
    text = entry().replace("nir = 2", "nir = 4")
    found = field(folder, text).layers[0]
    assert found.clear_frac == 1
    assert np.nanmin(found.values) == -1
    assert np.nanmax(found.values) == pytest.approx(0.6)


def test_a_true_alpha_band_hides_pixels(folder: Folder) -> None:
    alpha = np.where(np.arange(50) < 15, 0, 255)
    bands = np.stack([gradient(40, 60), gradient(100, 200), gradient(1, 2), np.broadcast_to(alpha, (40, 50))])
    folder.image("imagery/2026-06-28_x.tif", bands.astype("uint8"), photometric="RGB", alpha="yes")
    found = field(folder, entry())
    assert found.layers[0].clear_frac == pytest.approx(0.75)  # 10 of 40 columns
    assert [note.code for note in found.notes] == ["inputs.layer_partly_empty"]


def test_a_mask_inside_the_file_and_all_zero_counts(folder: Folder) -> None:
    mask = np.full((40, 50), 255, dtype="uint8")
    mask[:, :9] = 0  # 4 columns of the field
    bands = two_bands(gradient(400, 500), gradient(3000, 4000), "uint16")
    bands[:, :, 45:] = 0  # the edge of a scene without a nodata value: nothing of the field
    bands[:, :, 43:45] = 0  # and 2 columns of it
    folder.image("imagery/2026-06-28_x.tif", bands, mask=mask)
    assert field(folder, entry()).layers[0].clear_frac == pytest.approx(34 / 40)


@pytest.mark.parametrize("own_file", [False, True])
def test_a_cloud_mask_hides_what_it_marks(folder: Folder, own_file: bool) -> None:
    classes = np.full((40, 50), 4)
    classes[:, :21] = 9  # cloud over 16 of the field's 40 columns
    bands = two_bands(gradient(400, 500), gradient(3000, 4000), "uint16")
    bands[:, :, :21] = 9000
    if own_file:
        # on its own grid: 20 m, in degrees would do as well
        coarse = classes[::2, ::2][None].astype("uint8")
        coarse[0, :, 10] = 9
        folder.image("imagery/mask.tif", coarse, transform=Affine(20, 0, WEST - 50, 0, -20, NORTH + 50))
        more = "mask = 'imagery/mask.tif'\nmask_keep = [4, 5]"
        hidden = 17  # 20-m pixels: the eleventh reaches to column 22
    else:
        bands = np.concatenate([bands, classes[None].astype("uint16")])
        more, hidden = "mask_band = 3\nmask_keep = [4, 5]", 16
    folder.image("imagery/2026-06-28_x.tif", bands)
    found = field(folder, entry(more=more))
    assert found.layers[0].clear_frac == pytest.approx(1 - hidden / 40)
    assert np.nanmin(found.layers[0].values) > 0.7  # none of the cloud's 9000
    assert "does not show" in found.notes[0].text


def test_names_dates_and_order(folder: Folder) -> None:
    for name in ("2026-06-28_x.tif", "20260702_y.tif", "z.tif", "2026-06-28_w.tif", "2026-08-01_later.tif"):
        folder.image(f"imagery/{name}", two_bands(0.05, gradient(0.3, 0.5)))
    folder.image("layers/elevation.tif", gradient(300, 310)[None].astype("float32"))
    text = entry() + entry("imagery/20260702_y.tif") + entry("imagery/z.tif", "date = 2026-07-01")
    text += entry("imagery/2026-06-28_w.tif") + entry("imagery/2026-08-01_later.tif")
    found = field(folder, text + "[[layer]]\nname = 'elevation'\nfile = 'layers/elevation.tif'")
    assert [layer.name for layer in found.layers] == ["NDVI", "elevation"]
    assert (found.layers[0].day, found.layers[0].file) == (
        date(2026, 7, 2),
        "imagery/2026-06-28_x.tif, imagery/20260702_y.tif, imagery/z.tif, imagery/2026-06-28_w.tif",
    )
    assert [note.code for note in found.notes] == ["inputs.image_later", "inputs.images_together"]
    days = "2026-06-28, 2026-06-28, 2026-07-01, 2026-07-02"
    assert found.notes[1].text == f"NDVI is the median of 4 dates in each cell that they show: {days}"
    assert set(found.files) == {
        "boundary.geojson", "imagery/2026-06-28_x.tif", "imagery/20260702_y.tif", "imagery/z.tif",
        "imagery/2026-06-28_w.tif", "layers/elevation.tif",
    }  # fmt: skip
    assert all(len(digest) == 64 for digest in found.files.values())


@pytest.mark.parametrize(
    ("bands", "code", "kept"),
    [
        (two_bands(0.05, 0.4), "inputs.layer_constant", False),
        (
            two_bands(0.05, np.where(np.arange(50) < 30, np.nan, gradient(0.3, 0.5)[0])),
            "inputs.layer_mostly_empty",
            False,
        ),
        (
            two_bands(0.05, np.where(np.arange(50) < 12, np.nan, gradient(0.3, 0.5)[0])),
            "inputs.layer_partly_empty",
            True,
        ),
        (
            two_bands(np.where(np.arange(50) < 15, -0.01, 0.05), gradient(0.3, 0.5)),
            "inputs.image_negative",
            True,
        ),
    ],
)
def test_doubtful_images_are_said(folder: Folder, bands: np.ndarray, code: str, kept: bool) -> None:
    folder.image("imagery/2026-06-28_x.tif", bands)
    found = field(folder, entry())
    assert [note.code for note in found.notes] == [code]
    assert len(found.layers) == kept


def test_a_yield_layer_comes_in_bushels(folder: Folder) -> None:
    folder.image("layers/y.tif", gradient(25, 45)[None].astype("uint8"))
    text = "[[layer]]\nname = 'y'\nfile = 'layers/y.tif'\nuse = 'yield'\nunit = 't/ha'\nscale = 0.1"
    found = field(folder, text)
    assert found.layers == ()
    # 3.5 t/ha in the middle of the field: 3500 / 67.25107 = 52.04 bu/ac
    assert np.nanmedian(found.yield_bu_ac) == pytest.approx(52.04, abs=0.8)
    assert np.isnan(found.yield_bu_ac[~found.inside]).all()


def test_the_files_own_scale_is_used_and_said(folder: Folder) -> None:
    folder.image(
        "imagery/2026-06-28_x.tif", two_bands(400, gradient(3000, 4000), "uint16"), tags=(0.0001, 0.0)
    )
    found = field(folder, entry(name="OSAVI"))
    # (0.35 - 0.04) / (0.35 + 0.04 + 0.16) = 0.5636
    assert np.nanmedian(found.layers[0].values) == pytest.approx(0.5636, abs=1e-3)
    assert [note.code for note in found.notes] == ["inputs.image_tagged"]


def refusal(folder: Folder, text: str) -> InputError:
    with pytest.raises(InputError) as caught:
        field(folder, text)
    assert len(caught.value.faults) == 1
    return caught.value


def test_images_that_cannot_be_used(folder: Folder, tmp_path: Path) -> None:
    good = two_bands(gradient(0.04, 0.05), gradient(0.3, 0.5))
    folder.image("a.tif", good, crs=None)
    folder.image("b.tif", good, transform=Affine(10, 0, EAST + 900, 0, -10, NORTH))
    folder.image("c.tif", good * np.nan)
    folder.image("d.tif", np.concatenate([good, np.ones((1, 40, 50), "float32")]))
    folder.image("e.tif", good * 10_000)
    (folder.field / "f.tif").write_text("no image")
    folder.image("g.tif", good)
    (folder.field / "g.tif").write_bytes((folder.field / "g.tif").read_bytes()[:3000])
    (folder.field / "h.tif").touch()
    folder.image("i.tif", good, crs="EPSG:4326", transform=Affine(1e-4, 0, 10, 0, -1e-4, 50))
    expected = [
        (entry("a.tif"), "a.tif: the image has no CRS", CONTENT),
        (entry("b.tif"), "b.tif: the image misses the field", CONTENT),
        (entry("c.tif"), "c.tif: the image has no data inside the field", CONTENT),
        (entry("d.tif", "mask_band = 3"), "d.tif: the whole field is under cloud", CONTENT),
        (
            entry("e.tif", name="EVI2"),
            "e.tif: EVI2 needs reflectance from 0 to 1, but the near infrared is about 4000",
            CONTENT,
        ),
        (entry("f.tif"), "f.tif: it cannot be read as a GeoTIFF", CONTENT),
        (entry("g.tif"), "g.tif: it is damaged", CONTENT),
        (entry("h.tif"), "h.tif: the file is empty", CONTENT),
        (entry("i.tif"), "i.tif: the image misses the field", CONTENT),
        (
            entry("a.tif").replace("nir = 2", "nir = 5").replace("a.tif", "b.tif"),
            "it has 2 bands, but band 5",
            SETTINGS,
        ),
        (entry("lost.tif"), "there is no file lost.tif", SETTINGS),
    ]
    start = folder.toml
    for text, words, code in expected:
        folder.toml = start
        error = refusal(folder, text)
        assert words in str(error)
        assert error.code == code
        assert "\n" not in str(error)


def test_yields_that_cannot_be(folder: Folder) -> None:
    folder.image("y.tif", gradient(2500, 4500)[None].astype("float32"))
    text = "[[layer]]\nname = 'y'\nfile = 'y.tif'\nuse = 'yield'\n"
    start = folder.toml
    assert "cannot be" in str(refusal(folder, text + "unit = 'bu/ac'"))
    folder.toml = start
    with pytest.raises(InputError, match="unit") as caught:
        field(folder, text)
    assert caught.value.code == SETTINGS


def test_a_real_chip_without_a_place_is_refused(folder: Folder) -> None:
    pytest.importorskip("spyndex", reason="spyndex is not installed")
    chip = json.loads((resources.files("spyndex") / "data" / "S2_10m.json").read_text())
    bands = np.array(
        [chip[name] for name in ("B04", "B08")]
        if isinstance(chip, dict) and "B04" in chip
        else np.asarray(chip)[[2, 3]],
        dtype="uint16",
    )
    path = folder.field / "2026-06-28_chip.tif"
    with pytest.warns(rasterio.errors.NotGeoreferencedWarning):
        write_image(path, bands, crs=None, transform=Affine.identity())
    assert "the image has no CRS" in str(refusal(folder, entry("2026-06-28_chip.tif")))
    # Published with the chip's description: NDVI mean 0.469985, [0,0] 0.743053, [150,150] 0.155499.
    ndvi = index("NDVI", {"red": bands[0], "nir": bands[1]})
    assert float(np.mean(ndvi)) == pytest.approx(0.469985, abs=0.5e-6)
    assert ndvi[[0, 150], [0, 150]] == pytest.approx([0.743053, 0.155499], abs=0.5e-6)


def test_images_do_not_reach_outside_the_boundary(folder: Folder) -> None:
    folder.shapes(
        "boundary.geojson", [FIELD.difference(box(WEST + 100, SOUTH + 100, WEST + 200, SOUTH + 200))]
    )
    folder.image("imagery/2026-06-28_x.tif", two_bands(0.05, gradient(0.3, 0.5)))
    found = field(folder, entry())
    assert found.inside.sum() == 30 * 40 - 100
    assert np.array_equal(np.isfinite(found.layers[0].values), found.inside)
    # Cells nearer to an edge, also to the hole's, than 1.5 cells of 10 m do not teach.
    east, north = np.meshgrid(found.grid.east_m(), found.grid.north_m())
    edge_m = shapely.distance(shapely.points(east, north), found.boundary.boundary)
    assert (found.fit[found.inside & (edge_m > 15.1)]).all()
    assert not (found.fit[edge_m < 14.9]).any()
    assert found.fit.sum() > 600
    assert not (found.fit & ~found.inside).any()


def test_day_in_a_name() -> None:
    assert imagery.day_in_name("2026-06-28.tif") == date(2026, 6, 28)
    assert imagery.day_in_name("2026-06-31_x.tif") is None
    assert imagery.day_in_name("202606281_x.tif") is None
