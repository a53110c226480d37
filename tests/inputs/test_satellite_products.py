"""Public satellite products: counts to reflectance, the offset trap, masks, water and bare ground."""

import json
from importlib import resources
from pathlib import Path

import numpy as np
import pytest
import rasterio
from affine import Affine
from made_inputs import NORTH, TODAY, WEST, Folder, write_image

from zoning.errors import CONTENT, SETTINGS, InputError
from zoning.inputs import read
from zoning.inputs.given import FieldInputs
from zoning.inputs.images import image_file, reflectance
from zoning.inputs.images.image_file import Told
from zoning.inputs.images.indices import index
from zoning.inputs.images.reflectance import LANDSAT, SENTINEL_2
from zoning.settings.model import Imagery

# -- published check values -------------------------------------------------------------------------------


def wanted(**more: object) -> Imagery:
    return Imagery.model_validate({"file": "x.tif", "bands": {"red": 1, "nir": 2}, "index": "NDVI", **more})


def ndvi(red: float, nir: float) -> float:
    return float(index("NDVI", {"red": np.array([red]), "nir": np.array([nir])})[0])


@pytest.mark.parametrize("baseline", ["04.00", "05.10"])
def test_published_sentinel_2_counts_with_their_offset(baseline: str) -> None:
    # ESA, product pages of Sentinel-2: since baseline 04.00 reflectance = (count - 1000) / 10000. Red 1400
    # and near infrared 5500 are then 0.040 and 0.450, NDVI 0.8367.
    used = reflectance.conversion(wanted(product=SENTINEL_2, baseline=baseline), Told())
    red, nir = used.of(np.array([1400.0, 5500.0]))
    assert (red, nir) == pytest.approx((0.040, 0.450), abs=1e-12)
    assert ndvi(red, nir) == pytest.approx(0.8367, abs=0.5e-4)


def test_published_values_of_the_offset_trap() -> None:
    # The same counts with the offset ignored give 0.5942, with the offset taken off twice 1.4138.
    old = reflectance.conversion(wanted(product=SENTINEL_2, baseline="03.01"), Told())
    assert ndvi(*old.of(np.array([1400.0, 5500.0]))) == pytest.approx(0.5942, abs=0.5e-4)
    new = reflectance.conversion(wanted(product=SENTINEL_2, baseline="04.00"), Told())
    assert ndvi(*(new.of(np.array([1400.0, 5500.0])) + new.offset)) == pytest.approx(1.4138, abs=0.5e-4)


def test_published_landsat_counts() -> None:
    # USGS Collection 2 Level 2: count x 0.0000275 - 0.2; 8727 is 0.0400, 23636 is 0.4500.
    used = reflectance.conversion(wanted(product=LANDSAT), Told())
    assert used.of(np.array([8727.0, 23636.0])) == pytest.approx([0.0400, 0.4500], abs=0.5e-4)


def test_by_hand_what_a_file_says_stands_in_for_the_baseline() -> None:
    plain = wanted(product=SENTINEL_2)
    for tags, offset in (
        (Told(offset_counts=-1000.0), -0.1),
        (Told(offset_counts=0.0, baseline=5.1), 0.0),
        (Told(baseline=2.14), 0.0),
        (Told(baseline=5.09), -0.1),
        (Told(), -0.1),
    ):
        assert reflectance.conversion(plain, tags).offset == pytest.approx(offset)
    # what the user says goes before what the file says
    assert (
        reflectance.conversion(wanted(product=SENTINEL_2, baseline="02.14"), Told(-1000.0, 5.1)).offset == 0
    )
    assert reflectance.conversion(plain, Told()).source == "guess"


def test_tags_are_read_wherever_they_stand(tmp_path: Path) -> None:
    write_image(tmp_path / "a.tif", np.ones((2, 4, 4), "uint16"))
    assert image_file.told(tmp_path / "a.tif", "a.tif", (1, 2)) == Told()
    with rasterio.open(tmp_path / "a.tif", "r+") as target:
        target.update_tags(PROCESSING_BASELINE="05.10", BOA_ADD_OFFSET_0="none")
        target.update_tags(2, BOA_ADD_OFFSET="-1000")
    assert image_file.told(tmp_path / "a.tif", "a.tif", (1, 2)) == Told(-1000.0, 5.1)
    assert image_file.told(tmp_path / "a.tif", "a.tif", (1,)).offset_counts is None


# -- through the settings ---------------------------------------------------------------------------------

SHAPE = (40, 50)
PIXELS = Affine(10, 0, WEST - 50, 0, -10, NORTH + 50)


def slope(low: float, high: float) -> np.ndarray:
    return np.broadcast_to(np.linspace(low, high, SHAPE[1]), SHAPE).copy()


def canopy() -> tuple[np.ndarray, np.ndarray]:
    """Red and near infrared reflectance of a canopy: red 0.05 to 0.03, near infrared 0.35 to 0.50."""
    return slope(0.05, 0.03), slope(0.35, 0.50)


def counts(red: np.ndarray, nir: np.ndarray, added: int) -> np.ndarray:
    """Give counts of ten thousand with so much added."""
    return np.round(np.stack([red, nir]) * 10_000 + added).astype("uint16")


def entry(more: str = "", name: str = "NDVI", file: str = "2026-06-28_x.tif") -> str:
    return f"[[imagery]]\nfile = '{file}'\nbands = {{ red = 1, nir = 2 }}\nindex = '{name}'\n{more}\n"


def field(folder: Folder, *texts: str) -> FieldInputs:
    folder.add("[planting]\ndate = 2026-05-06\n" + "".join(texts))
    return read.field(folder.settings(), TODAY)


def said(found: FieldInputs) -> list[str]:
    return [note.code for note in found.notes]


def middle(found: FieldInputs) -> float:
    return float(np.nanmedian(found.layers[0].values))


TRUE = (0.425 - 0.04) / (0.425 + 0.04)  # the index in the middle of the field: 0.828


@pytest.mark.parametrize(
    ("added", "settings", "tags", "codes"),
    [
        (1000, "product = 'sentinel-2 l2a'\nbaseline = '05.10'", {}, []),
        (1000, "product = 'sentinel-2 l2a'", {"PROCESSING_BASELINE": "05.10"}, []),
        (1000, "product = 'sentinel-2 l2a'", {"BOA_ADD_OFFSET": "-1000"}, []),
        (1000, "product = 'sentinel-2 l2a'", {}, []),  # the numbers leave no doubt
        (0, "product = 'sentinel-2 l2a'\nbaseline = '02.14'", {}, []),
        (0, "product = 'sentinel-2 l2a'", {"BOA_ADD_OFFSET": "0"}, []),
        (0, "product = 'sentinel-2 l2a'", {}, ["inputs.image_offset_applied"]),
        (0, "product = 'sentinel-2 l2a'\nbaseline = '05.10'", {}, ["inputs.image_offset_applied"]),
        (0, "product = 'sentinel-2 l2a'", {"BOA_ADD_OFFSET": "-1000"}, ["inputs.image_offset_applied"]),
        (1000, "scale = 0.0001\noffset = -0.1", {}, []),
        (0, "scale = 0.0001", {}, []),
    ],
)
def test_the_offset_is_taken_off_once(
    folder: Folder, added: int, settings: str, tags: dict[str, str], codes: list[str]
) -> None:
    folder.image("2026-06-28_x.tif", counts(*canopy(), added))
    with rasterio.open(folder.field / "2026-06-28_x.tif", "r+") as target:
        target.update_tags(**tags)
    found = field(folder, entry(settings))
    assert middle(found) == pytest.approx(TRUE, abs=1e-3)
    assert said(found) == codes


@pytest.mark.parametrize("settings", ["scale = 0.0001", "product = 'sentinel-2 l2a'\nbaseline = '02.14'"])
def test_a_forgotten_offset_is_said_and_nothing_changed(folder: Folder, settings: str) -> None:
    folder.image("2026-06-28_x.tif", counts(*canopy(), 1000))
    found = field(folder, entry(settings))
    # red 0.14, near infrared 0.525 in the middle
    assert middle(found) == pytest.approx((0.525 - 0.14) / (0.525 + 0.14), abs=1e-3)
    assert said(found) == ["inputs.image_offset_missing"]
    assert "is 0.14, too bright; it would be 0.04 with" in found.notes[0].text


def test_an_offset_typed_twice_over_is_said_and_nothing_changed(folder: Folder) -> None:
    folder.image("2026-06-28_x.tif", counts(*canopy(), 0))
    found = field(folder, entry("scale = 0.0001\noffset = -0.1"))
    assert said(found) == ["inputs.image_negative"]
    assert middle(found) > 1


def test_a_pond_below_zero_does_not_undo_the_offset(folder: Folder) -> None:
    red, nir = canopy()
    red[10:30, 10:16], nir[10:30, 10:16] = -0.002, 0.001  # 120 of 1200 cells: 10 %
    folder.image("2026-06-28_x.tif", counts(red, nir, 1000))
    found = field(folder, entry("product = 'sentinel-2 l2a'\nbaseline = '05.10'"))
    assert said(found) == [
        "inputs.layer_no_canopy",
        "inputs.dead_seen",
    ]  # 120 cells are 2.97 ac: no pass there
    assert middle(found) == pytest.approx(TRUE, abs=0.01)  # the pond takes cells from one side


def test_a_real_chip_is_read_right_without_a_baseline(folder: Folder) -> None:
    # A chip of reflectance x 10000 from before the offset: its NDVI has the median 0.41491 over all pixels.
    pytest.importorskip("spyndex", reason="spyndex is not installed")
    chip = json.loads((resources.files("spyndex") / "data" / "S2_10m.json").read_text())
    bands = np.asarray(chip)[[2, 3]].astype("uint16")
    red, nir = bands.astype(float)
    assert np.median((nir - red) / (nir + red)) == pytest.approx(0.41491, abs=0.5e-5)
    start = folder.toml
    for row, column in ((0, 0), (0, 250), (120, 130), (260, 10), (200, 200), (40, 60)):
        folder.toml = start
        here = slice(row, row + 40), slice(column, column + 50)
        folder.image("2026-06-28_x.tif", bands[:, *here])
        found = field(folder, entry("product = 'sentinel-2 l2a'"))
        rows, columns = np.nonzero(found.inside)
        values = found.layers[0].values[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1]
        truth = ((nir - red) / (nir + red))[here][5:35, 5:45]
        kept = np.isfinite(values)
        assert kept.mean() > 2 / 3
        assert values[kept] == pytest.approx(truth[kept], abs=1e-9)
        assert "inputs.image_offset_applied" in said(found)


def test_a_guess_that_nothing_confirms_is_said(folder: Folder) -> None:
    # Hardly any canopy: neither reading has vegetation by which to tell.
    folder.image("2026-06-28_x.tif", counts(slope(0.10, 0.12), slope(0.15, 0.22), 1000))
    found = field(folder, entry("product = 'sentinel-2 l2a'"))
    assert "inputs.image_offset_guessed" in said(found)


def test_landsat_whose_red_cannot_be_is_said(folder: Folder) -> None:
    red, nir = canopy()
    bands = np.round((np.stack([red * 5, nir * 2]) + 0.2) / 0.0000275).astype("uint16")
    folder.image("2026-06-28_x.tif", bands)
    found = field(folder, entry("product = 'landsat c2 l2'"))
    assert said(found) == ["inputs.image_red_doubtful"]


def test_count_zero_of_a_band_is_no_measurement(folder: Folder) -> None:
    bands = counts(*canopy(), 1000)
    bands[0, :, :17] = 0  # red alone, over 12 of the field's 40 columns
    folder.image("2026-06-28_x.tif", bands)
    found = field(folder, entry("product = 'sentinel-2 l2a'\nbaseline = '05.10'"))
    assert found.layers[0].clear_frac == pytest.approx(28 / 40)


# -- masks of the products --------------------------------------------------------------------------------


def brute_force(found: FieldInputs, cloud: np.ndarray, margin_m: float) -> np.ndarray:
    """Say which cells lie within a margin of any cloudy pixel of 10 m, from centre to centre."""
    rows, columns = np.nonzero(cloud)
    east, north = PIXELS.c + 10 * (columns + 0.5), PIXELS.f - 10 * (rows + 0.5)
    cell_east, cell_north = np.meshgrid(found.grid.east_m(), found.grid.north_m())
    far = np.hypot(cell_east[..., None] - east, cell_north[..., None] - north)
    return far.min(axis=-1) <= margin_m


@pytest.mark.parametrize("own_file", [True, False])
def test_clouds_and_shadows_are_widened_and_water_is_not(folder: Folder, own_file: bool) -> None:
    classes = np.full(SHAPE, 4)
    classes[10:12, 12:14] = 3  # a shadow of 20 m
    classes[:2, 30:32] = 9  # a cloud 30 m beyond the northern edge
    classes[30:33, 36:40] = 6  # a pond
    classes[20, 22] = 5  # bare
    bands = counts(*canopy(), 1000)
    if own_file:
        folder.image("scl.tif", classes[None].astype("uint8"), transform=PIXELS)
        more = "mask = 'scl.tif'"
    else:
        bands = np.concatenate([bands, classes[None].astype("uint16")])
        more = "mask_band = 3"
    folder.image("2026-06-28_x.tif", bands)
    text = f"product = 'sentinel-2 l2a'\nbaseline = '05.10'\n{more}\n"
    start = folder.toml
    for widen, margin_m in (("", 60.0), ("mask_widen = '100 ft'\n", 30.48), ("mask_widen = '0 m'\n", 0.0)):
        folder.toml = start
        found = field(folder, entry(text + widen))
        hidden = found.inside & ~np.isfinite(found.layers[0].values)
        pond = brute_force(found, classes == 6, 1.0)
        assert np.array_equal(
            hidden,
            found.inside & (pond | brute_force(found, (classes == 3) | (classes == 9), max(1.0, margin_m))),
        )
    folder.toml = start
    kept = field(folder, entry(text + "mask_keep = [3, 4, 5, 6, 9]"))
    assert np.isfinite(kept.layers[0].values[kept.inside]).all()


def test_bits_of_the_landsat_mask(folder: Folder) -> None:
    red, nir = canopy()
    bands = np.round((np.stack([red, nir]) + 0.2) / 0.0000275)
    quality = np.full(SHAPE, 1 << 6)  # clear
    quality[25:, :10] |= 1 << 7  # water: kept
    quality[12, 12] |= 1 << 4  # shadow: widened
    quality[30, 30] |= 1 << 1  # what was widened before: left out
    quality[32, 20] |= 1 << 12  # confidence low, or high: not asked
    folder.image("2026-06-28_x.tif", np.concatenate([bands, quality[None]]).astype("uint16"))
    start = folder.toml
    found = field(folder, entry("product = 'landsat c2 l2'\nmask_band = 3"))
    hidden = found.inside & ~np.isfinite(found.layers[0].values)
    shadow, before = quality & 1 << 4 > 0, quality & 1 << 1 > 0
    expected = brute_force(found, shadow, 60.0) | brute_force(found, before, 1.0)
    assert np.array_equal(hidden, found.inside & expected)
    folder.toml = start
    own = field(
        folder, entry("product = 'landsat c2 l2'\nmask_band = 3\nmask_bits = [7]\nmask_widen = '0 m'")
    )
    assert np.array_equal(
        own.inside & ~np.isfinite(own.layers[0].values),
        own.inside & brute_force(own, quality & 1 << 7 > 0, 1.0),
    )


def test_a_mask_of_ones_own_is_widened_only_on_demand(folder: Folder) -> None:
    quality = np.ones(SHAPE)
    quality[20, 25] = 2
    folder.image("2026-06-28_x.tif", np.concatenate([np.stack(canopy()), quality[None]]).astype("float32"))
    start = folder.toml
    for more, margin_m in (("", 1.0), ("mask_widen = '40 m'\n", 40.0)):
        folder.toml = start
        found = field(folder, entry(f"mask_band = 3\nmask_keep = [1]\n{more}"))
        hidden = found.inside & ~np.isfinite(found.layers[0].values)
        assert np.array_equal(hidden, found.inside & brute_force(found, quality == 2, margin_m))


# -- water, bare and drowned ground -----------------------------------------------------------------------


def with_pond(width: int = 4) -> tuple[np.ndarray, np.ndarray]:
    """Give a canopy with a pond and a drowned spot, each 10 rows high."""
    red, nir = canopy()
    red[10:20, 10 : 10 + width], nir[10:20, 10 : 10 + width] = 0.04, 0.02
    red[22:32, 10 : 10 + width], nir[22:32, 10 : 10 + width] = 0.18, 0.25
    return red, nir


@pytest.mark.parametrize(
    ("system", "words"), [("us", "0.99 ac of water and 0.99 ac"), ("metric", "0.40 ha of water and 0.40 ha")]
)
def test_by_hand_water_and_bare_ground_are_left_out(folder: Folder, system: str, words: str) -> None:
    # Each is 40 cells of 100 m2: 4000 m2 = 0.9884 ac = 0.40 ha. NDVI is -0.33 and 0.163.
    folder.toml = f"units = '{system}'\n" + folder.toml
    folder.image("2026-06-28_x.tif", counts(*with_pond(), 1000))
    found = field(folder, entry("product = 'sentinel-2 l2a'\nbaseline = '05.10'"))
    assert int((found.inside & ~np.isfinite(found.layers[0].values)).sum()) == 80
    assert np.nanmin(found.layers[0].values) > 0.7
    # Neither is an acre, so both are sprayed through; their outlines have round corners.
    assert said(found) == ["inputs.layer_no_canopy", "inputs.dead_small"]
    assert found.notes[0].text == f"NDVI 2026-06-28 leaves out {words} of bare or drowned ground"
    assert found.no_spray == ()
    assert found.layers[0].clear_frac == 1  # they were seen


def test_water_that_reflects_nothing_is_water_and_no_cloud(folder: Folder) -> None:
    red, nir = with_pond()
    red[10:20, 10:14] = nir[10:20, 10:14] = -0.001
    folder.image("2026-06-28_x.tif", counts(red, nir, 1000))
    found = field(folder, entry("product = 'sentinel-2 l2a'\nbaseline = '05.10'"))
    assert found.layers[0].clear_frac == 1
    assert "0.99 ac of water and 0.99 ac of bare" in found.notes[0].text


def test_another_index_leaves_them_out_too_where_red_is_named(folder: Folder) -> None:
    red, nir = with_pond()
    start = folder.toml
    folder.image("2026-06-28_x.tif", np.stack([red, nir, slope(0.14, 0.12)]).astype("float32"))
    text = entry(name="NDRE").replace("nir = 2", "nir = 2, rededge = 3")
    found = field(folder, text)
    assert said(found) == ["inputs.layer_no_canopy", "inputs.dead_small"]
    folder.toml = start
    without = field(folder, text.replace("red = 1, ", ""))
    assert said(without) == []
    assert np.isfinite(without.layers[0].values[without.inside]).all()


def test_uncalibrated_images_have_no_limit(folder: Folder) -> None:
    red, nir = with_pond()
    folder.image("2026-06-28_x.tif", np.round(np.stack([red, nir]) * 400).astype("uint8"))
    found = field(folder, entry())
    assert np.isfinite(found.layers[0].values[found.inside]).all()
    assert said(found) == []


def test_an_image_of_bare_soil_loses_nothing(folder: Folder) -> None:
    text = entry("product = 'sentinel-2 l2a'\nbaseline = '05.10'")
    start = folder.toml
    folder.image("2026-06-28_x.tif", counts(*with_pond(20), 1000))  # 400 of 1200 cells: a third, not more
    assert said(field(folder, text)) == ["inputs.layer_no_canopy", "inputs.dead_seen"]
    folder.toml = start
    folder.image("2026-06-28_x.tif", counts(*with_pond(21), 1000))
    found = field(folder, text)
    assert said(found) == ["inputs.image_bare"]
    assert "35 % of the field is bare or under water" in found.notes[0].text
    assert np.isfinite(found.layers[0].values[found.inside]).all()


def test_ground_that_one_date_drowned_is_taken_from_the_others(folder: Folder) -> None:
    folder.image("2026-06-20_x.tif", counts(*with_pond(), 1000))
    folder.image("2026-06-28_x.tif", counts(*canopy(), 1000))
    product = "product = 'sentinel-2 l2a'\nbaseline = '05.10'"
    found = field(folder, entry(product), entry(product, file="2026-06-20_x.tif"))
    assert said(found) == ["inputs.images_together"]
    assert np.isfinite(found.layers[0].values[found.inside]).all()


# -- what cannot be used ----------------------------------------------------------------------------------


def refusal(folder: Folder, *texts: str) -> InputError:
    with pytest.raises(InputError) as caught:
        field(folder, *texts)
    assert len(caught.value.faults) == 1
    assert "\n" not in str(caught.value)
    return caught.value


def test_what_is_no_measurement_is_refused_in_one_line(folder: Folder) -> None:
    good = np.stack(canopy()).astype("float32")
    folder.image("complex.tif", good.astype("complex64"))
    folder.image("reflectance.tif", good)
    folder.image("palette.tif", np.arange(2000).reshape(1, *SHAPE).astype("uint8"))
    with rasterio.open(folder.field / "palette.tif", "r+") as target:
        target.write_colormap(1, {1: (255, 0, 0, 255), 2: (0, 255, 0, 255)})
    (folder.field / "text.tif").write_text("east,north,ndvi\n1,2,0.5\n")
    layer = "[[layer]]\nname = 'soil'\nfile = '{}'\n"
    start = folder.toml
    for text, words in (
        (entry(file="complex.tif"), "complex.tif: band 1 holds complex numbers, as of radar"),
        (layer.format("complex.tif"), "complex.tif: band 1 holds complex numbers, as of radar"),
        (layer.format("palette.tif"), "palette.tif: band 1 holds the numbers of colours in a palette"),
        (layer.format("text.tif"), "text.tif: it cannot be read as a GeoTIFF"),
        (
            entry("product = 'sentinel-2 l2a'", file="reflectance.tif"),
            "reflectance.tif: sentinel-2 l2a holds counts, but the near infrared is about 0.42. It is",
        ),
        (
            entry("scale = 1.0\noffset = -1000", file="reflectance.tif"),
            "reflectance.tif: reflectance lies from 0 to 1, but with scale 1 and offset -1000 the near",
        ),
    ):
        folder.toml = start
        error = refusal(folder, text)
        assert words in str(error)
        assert error.code == CONTENT


def test_a_mask_may_have_a_palette(folder: Folder) -> None:
    folder.image("scl.tif", np.full((1, *SHAPE), 4, "uint8"), transform=PIXELS)
    with rasterio.open(folder.field / "scl.tif", "r+") as target:
        target.write_colormap(1, {4: (0, 255, 0, 255)})
    folder.image("2026-06-28_x.tif", counts(*canopy(), 1000))
    found = field(folder, entry("product = 'sentinel-2 l2a'\nmask = 'scl.tif'"))
    assert found.layers[0].clear_frac == 1


def test_a_mask_of_another_place_is_refused(folder: Folder) -> None:
    elsewhere = Affine(10, 0, WEST + 5000, 0, -10, NORTH)
    folder.image("scl.tif", np.full((1, *SHAPE), 4, "uint8"), transform=elsewhere)
    folder.image("2026-06-28_x.tif", counts(*canopy(), 1000))
    error = refusal(folder, entry("product = 'sentinel-2 l2a'\nmask = 'scl.tif'"))
    assert str(error).startswith("scl.tif: the image misses the field")


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ("product = 'sentinel-2 l2a'\nscale = 0.0001", "scale = 0.0001: sentinel-2 l2a brings its own scale"),
        ("product = 'landsat c2 l2'\noffset = -0.2", "offset = -0.2: landsat c2 l2 brings its own offset"),
        ("product = 'sentinel-2 l1c'", 'product = "sentinel-2 l1c": not one of the words known here'),
        ("baseline = '05.10'", 'baseline = "05.10": only a Sentinel-2 image has a baseline'),
        (
            "product = 'sentinel-2 l2a'\nbaseline = 'new'",
            'baseline = "new": not a baseline. Write it as "05.10"',
        ),
        ("mask_band = 3\nmask_keep = [1]\nmask_bits = [3]", "values and bits of the mask are both given"),
        ("mask_band = 3\nmask_bits = [16]", "out of range"),
        ("mask_band = 3\nmask_widen = 60", "a unit is missing"),
    ],
)
def test_settings_that_contradict(folder: Folder, more: str, words: str) -> None:
    folder.add(entry(more))
    with pytest.raises(InputError) as caught:
        folder.settings()
    assert len(caught.value.faults) == 1
    assert words in str(caught.value)
    assert caught.value.code == SETTINGS
