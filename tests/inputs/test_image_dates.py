"""Several dates of one index: the clear ones, laid on one another, become one layer."""

from datetime import date

import numpy as np
import pytest
from affine import Affine
from made_inputs import GRID, NORTH, TODAY, WEST, Folder
from scipy.ndimage import gaussian_filter

from zoning.errors import CONTENT, SETTINGS, InputError
from zoning.inputs import read
from zoning.inputs.given import FieldInputs
from zoning.inputs.images import dates_of_images

ROWS, COLUMNS = GRID.shape


def pattern(seed: int = 0, patch_cells: float = 1.5, size: tuple[int, int] = (ROWS, COLUMNS)) -> np.ndarray:
    """Give a pattern of the ground on cells of 10 m, spread 1, from about -3 to 3."""
    found = gaussian_filter(np.random.default_rng(seed).normal(size=size), patch_cells)
    return (found - found.mean()) / found.std()


def ndvi_image(folder: Folder, day: str, ndvi: np.ndarray, off_m: tuple[float, float] = (0, 0)) -> str:
    """Write red and near infrared that give this NDVI, and the lines of the settings for them.

    The near infrared of 9 is no reflectance, so that nothing is taken for bare ground.
    """
    nir = np.full(ndvi.shape, 9.0)
    red = nir * (1 - ndvi) / (1 + ndvi)
    there = Affine(10, 0, WEST + off_m[0], 0, -10, NORTH + off_m[1])
    name = f"imagery/{day}_x.tif"
    folder.image(name, np.stack([red, nir]), transform=there)
    return f"[[imagery]]\nfile = '{name}'\nbands = {{ red = 1, nir = 2 }}\nindex = 'NDVI'\n"


def field(folder: Folder, *texts: str, today: date = TODAY) -> FieldInputs:
    folder.add("[planting]\ndate = 2026-05-06\n" + "".join(texts))
    return read.field(folder.settings(), today)


def shown(found: FieldInputs) -> np.ndarray:
    """Give the first layer on the cells of the field, without the rim that the grid has around it."""
    rows, columns = np.nonzero(found.inside)
    values = found.layers[0].values[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1]
    assert values.shape == (ROWS, COLUMNS)
    return values


def said(found: FieldInputs) -> list[str]:
    return [note.code for note in found.notes]


def holed(values: np.ndarray, hole: np.ndarray) -> np.ndarray:
    return np.where(hole, np.nan, values)


# -- the middle of several dates --------------------------------------------------------------------------


def test_by_hand_the_median_of_three_and_the_mean_of_two(folder: Folder) -> None:
    # The dates agree but for one cell. Medians and quartiles of the field are alike, so nothing is rescaled:
    # in that cell 0.80, 0.50 and 0.55 have the median 0.55; the two later ones have the mean 0.525.
    base = 0.6 + 0.05 * pattern()
    dates = [base.copy() for _ in range(3)]
    for one, value in zip(dates, (0.80, 0.50, 0.55), strict=True):
        one[10, 10] = value
    texts = [ndvi_image(folder, f"2026-06-2{day}", one) for day, one in zip((1, 4, 7), dates, strict=True)]
    start = folder.toml
    three = field(folder, *texts)
    assert shown(three)[10, 10] == pytest.approx(0.55, abs=1e-3)
    assert (three.layers[0].name, three.layers[0].day) == ("NDVI", date(2026, 6, 27))
    words = "NDVI is the median of 3 dates in each cell that they show: 2026-06-21, 2026-06-24, 2026-06-27"
    assert [note.text for note in three.notes] == [words]
    folder.toml = start
    two = field(folder, *texts[1:])
    assert shown(two)[10, 10] == pytest.approx(0.525, abs=1e-3)
    assert "the mean of 2 dates" in two.notes[0].text
    folder.toml = start
    one = field(folder, texts[2])
    assert (one.layers[0].name, one.notes) == ("NDVI 2026-06-27", ())
    assert shown(one)[10, 10] == pytest.approx(0.55, abs=1e-9)


def test_a_hole_in_one_date_leaves_no_edge(folder: Folder) -> None:
    # One ground; the days differ in level and spread, and one has a hole of 8 % over its best part.
    ground = pattern(1, 4.0)
    hole = ground > np.quantile(ground, 0.92)
    days = {"2026-06-20": 0.45 + 0.03 * ground, "2026-06-27": 0.70 + 0.05 * ground}
    days["2026-07-04"] = 0.60 + 0.10 * ground
    texts = []
    for day, values in days.items():
        texts.append(ndvi_image(folder, day, holed(values, hole) if day == "2026-06-27" else values))
    found = shown(field(folder, *texts))
    # On the scale of the reference, the newest of the clearest.
    assert found == pytest.approx(days["2026-07-04"], abs=1e-9)
    # The median of plain values puts an edge there: outside the hole the reference day is the middle one,
    # inside it the mean of the two that remain, lower by half the distance of their levels.
    plain = np.nanmedian(
        np.stack([holed(days["2026-06-27"], hole), days["2026-06-20"], days["2026-07-04"]]), 0
    )
    assert np.abs(plain - found)[hole].min() > 0.08
    # Taken relative to the median of its own clear cells, the day with the hole would seem 3 % of a
    # quartile range richer everywhere.
    own = holed(ground, hole)
    assert np.median(ground) - np.nanmedian(own) > 0.05


def test_noise_of_single_days_is_evened_out(folder: Folder) -> None:
    rng = np.random.default_rng(5)
    ground = pattern(2, 4.0)
    texts = [
        ndvi_image(folder, f"2026-06-{day}", 0.6 + 0.05 * (ground + 0.5 * rng.normal(size=ground.shape)))
        for day in range(11, 20)
    ]
    found = shown(field(folder, *texts))
    one = 1 / np.hypot(1, 0.5)  # correlation of a single day with the ground
    assert np.corrcoef(found.ravel(), ground.ravel())[0, 1] > 1 - (1 - one) / 4


def test_cloudy_dates_are_left_out_and_said(folder: Folder) -> None:
    ground = pattern(3)
    east = np.arange(COLUMNS) >= COLUMNS - 6  # 6 of 40 columns: 85 % clear
    good = [ndvi_image(folder, day, 0.6 + 0.05 * ground) for day in ("2026-06-20", "2026-06-24")]
    cloudy = ndvi_image(
        folder, "2026-07-01", holed(0.9 + 0.01 * ground[::-1], np.broadcast_to(east, ground.shape))
    )
    found = field(folder, *good, cloudy)
    assert said(found) == ["inputs.image_cloudy", "inputs.images_together"]
    words = "imagery/2026-07-01_x.tif shows only 85 % of the field clear and is left out of NDVI"
    assert found.notes[0].text == words
    assert shown(found) == pytest.approx(0.6 + 0.05 * ground, abs=1e-9)
    assert "imagery/2026-07-01_x.tif" in found.files  # it was read, and decided


def test_where_no_date_is_clear_the_clearest_is_used(folder: Folder) -> None:
    ground = 0.6 + 0.05 * pattern(3)
    texts = []
    for day, columns in (("2026-06-20", 8), ("2026-06-24", 6), ("2026-06-28", 40)):
        texts.append(ndvi_image(folder, day, holed(ground, np.arange(COLUMNS) < columns)))
    with_cloud_only = texts[2].replace("index", "mask_band = 3\nindex")
    bands = np.stack([np.full(ground.shape, 1.0), np.full(ground.shape, 9.0), np.ones(ground.shape)])
    folder.image("imagery/2026-06-28_x.tif", bands, transform=Affine(10, 0, WEST, 0, -10, NORTH))
    start = folder.toml
    found = field(folder, *texts[:2], with_cloud_only)
    assert found.layers[0].name == "NDVI 2026-06-24"
    assert found.layers[0].clear_frac == pytest.approx(34 / 40)
    assert [note.text for note in found.notes] == [
        "imagery/2026-06-20_x.tif shows only 80 % of the field clear and is left out of NDVI",
        "imagery/2026-06-28_x.tif shows only 0 % of the field clear and is left out of NDVI",
        "imagery/2026-06-24_x.tif does not show 15 % of the field",
    ]
    folder.toml = start
    with pytest.raises(InputError, match="the whole field is under cloud") as caught:
        field(folder, with_cloud_only)
    assert caught.value.code == CONTENT


def test_two_pieces_of_one_day_are_one_date(folder: Folder) -> None:
    ground = 0.6 + 0.05 * pattern(4)
    west = np.broadcast_to(np.arange(COLUMNS) < 22, ground.shape)
    first = ndvi_image(folder, "2026-06-20", ground)
    pieces = []
    for name, hole in (("2026-06-24", west), ("20260624", ~np.roll(west, 3, axis=1))):
        pieces.append(ndvi_image(folder, name, holed(ground + 0.1, hole)))
    found = field(folder, first, *pieces)
    assert said(found) == ["inputs.images_together"]
    assert "2 dates" in found.notes[0].text
    assert found.layers[0].clear_frac == 1
    assert np.ptp(shown(found) - ground) == pytest.approx(0, abs=1e-9)


def test_later_and_even_images_do_not_count(folder: Folder) -> None:
    ground = 0.6 + 0.05 * pattern(6)
    texts = [ndvi_image(folder, "2026-06-20", ground), ndvi_image(folder, "2026-08-01", ground + 0.2)]
    texts.append(ndvi_image(folder, "2026-06-27", np.full(ground.shape, 0.7)))
    found = field(folder, *texts)
    assert found.layers[0].name == "NDVI 2026-06-20"
    assert said(found) == ["inputs.image_later", "inputs.layer_constant"]


def test_a_layer_name_keeps_dates_apart_or_puts_them_together(folder: Folder) -> None:
    ground = 0.6 + 0.05 * pattern(7)
    early, late, later = (
        ndvi_image(folder, day, ground + 0.01 * place)
        for place, day in enumerate(("2026-06-20", "2026-06-27", "2026-07-04"))
    )
    text = early + "layer = 'early'\n" + late + "layer = 'late'\n" + later + "layer = 'late'\n"
    found = field(folder, text)
    assert [(layer.name, layer.day) for layer in found.layers] == [
        ("early", date(2026, 6, 20)),
        ("late", date(2026, 7, 4)),
    ]
    assert said(found) == ["inputs.images_together"]


def test_a_layer_holds_one_index(folder: Folder) -> None:
    ground = pattern(7)
    text = ndvi_image(folder, "2026-06-20", ground) + "layer = 'NDRE'\n"
    folder.add(text + text.replace("'NDVI'", "'OSAVI'"))
    with pytest.raises(InputError, match='layer = "NDRE": it holds NDVI and OSAVI') as caught:
        folder.settings()
    assert caught.value.code == SETTINGS


def test_the_faults_of_all_dates_come_at_once(folder: Folder) -> None:
    ground = pattern(7)
    texts = [ndvi_image(folder, f"2026-06-2{day}", ground * (np.nan if day < 3 else 1)) for day in (1, 2, 3)]
    with pytest.raises(InputError) as caught:
        field(folder, *texts)
    assert [one.where for one in caught.value.faults] == [f"imagery/2026-06-2{day}_x.tif" for day in (1, 2)]


# -- dates that lie off one another -----------------------------------------------------------------------


def displaced(
    folder: Folder, off_m: tuple[float, float], noise: float = 0.1
) -> tuple[FieldInputs, np.ndarray]:
    """Read three dates of one ground, the second of which is recorded that far off, east and north."""
    rng = np.random.default_rng(11)
    wide = pattern(8, 1.5, (ROWS + 20, COLUMNS + 20))
    texts = []
    for day, off in (("2026-06-20", off_m), ("2026-06-24", (0.0, 0.0)), ("2026-06-28", (0.0, 0.0))):
        values = 0.6 + 0.05 * (wide + noise * rng.normal(size=wide.shape))
        texts.append(ndvi_image(folder, day, values, (off[0] - 100, off[1] + 100)))
    return field(folder, *texts), 0.6 + 0.05 * wide[10:-10, 10:-10]


@pytest.mark.parametrize("off_m", [(7.0, -4.0), (-12.0, 5.0), (0.0, 14.0)])
def test_a_date_that_lies_off_is_moved_back(folder: Folder, off_m: tuple[float, float]) -> None:
    found, truth = displaced(folder, off_m)
    assert said(found) == ["inputs.image_moved", "inputs.images_together"]
    said_m = float(found.notes[0].text.split(" lay ")[1].split(" m off ")[0])
    assert said_m == pytest.approx(np.hypot(*off_m), abs=1.0)  # a tenth of a pixel
    assert "imagery/2026-06-20_x.tif lay" in found.notes[0].text
    assert "off imagery/2026-06-28_x.tif and" in found.notes[0].text
    assert np.corrcoef(shown(found).ravel(), truth.ravel())[0, 1] > 0.995


@pytest.mark.parametrize("off_m", [(2.0, -1.5), (0.0, 0.0)])
def test_a_date_that_lies_nearly_right_stays(folder: Folder, off_m: tuple[float, float]) -> None:
    assert said(displaced(folder, off_m)[0]) == ["inputs.images_together"]


def test_a_date_that_lies_far_off_is_left_out(folder: Folder) -> None:
    found, truth = displaced(folder, (21.0, 0.0))
    assert said(found) == ["inputs.image_far_off", "inputs.images_together"]
    assert "lies 21 m off" in found.notes[0].text
    assert "mean of 2 dates" in found.notes[1].text
    assert np.corrcoef(shown(found).ravel(), truth.ravel())[0, 1] > 0.995


def test_coarse_pixels_may_lie_farther_off(folder: Folder) -> None:
    # Pixels of 30 m: 8 m are 0.27 of one and stay, 14 m are 0.47 and are moved back.
    wide = pattern(9, 1.2, (20, 24))
    for off, expected in ((8.0, []), (14.0, ["inputs.image_moved"])):
        texts = []
        start = folder.toml
        for day, east in (("2026-06-20", off), ("2026-06-28", 0.0)):
            nir = np.full(wide.shape, 9.0)
            ndvi = 0.6 + 0.05 * wide
            there = Affine(30, 0, WEST - 150 + east, 0, -30, NORTH + 150)
            folder.image(
                f"imagery/{day}_x.tif", np.stack([nir * (1 - ndvi) / (1 + ndvi), nir]), transform=there
            )
            texts.append(
                f"[[imagery]]\nfile = 'imagery/{day}_x.tif'\nbands = {{ red = 1, nir = 2 }}\nindex = 'NDVI'\n"
            )
        found = field(folder, *texts)
        assert said(found) == [*expected, "inputs.images_together"]
        folder.toml = start


# -- parts ------------------------------------------------------------------------------------------------


def test_by_hand_one_day_on_the_scale_of_another() -> None:
    # Medians 3 and 30, quartiles 2 ... 4 and 20 ... 40: a tenth of the distance from 30.
    here, there = np.arange(1.0, 6.0), 10 * np.arange(1.0, 6.0)
    assert dates_of_images.on_scale_of(here, there) == pytest.approx(here)
    # The fourth was not seen here: the rest has medians 2.5 and 25 and the same tenth.
    here[3] = np.nan
    assert dates_of_images.on_scale_of(here, there)[3] == pytest.approx(4.0)
    # Days that have nothing in common, or no spread, keep their own spread.
    assert dates_of_images.on_scale_of(np.array([1.0, np.nan]), np.array([np.nan, 7.0]))[1] == 7
    even = np.array([5.0, 5.0, 5.0, 6.0])
    assert dates_of_images.on_scale_of(even - 2, even).tolist() == [3, 3, 3, 4]


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5])
def test_the_median_against_numpy(count: int) -> None:
    rng = np.random.default_rng(count)
    stack = np.where(rng.random((count, 30, 40)) < 0.3, np.nan, rng.normal(size=(count, 30, 40)))
    some = np.isfinite(stack).any(axis=0)
    mine = dates_of_images._median(stack)
    assert np.array_equal(np.isfinite(mine), some)
    assert mine[some] == pytest.approx(np.nanmedian(stack[:, some], axis=0), rel=1e-12)


def test_the_order_of_the_settings_changes_nothing(folder: Folder) -> None:
    ground = pattern(10)
    texts = [
        ndvi_image(folder, f"2026-06-2{day}", 0.6 + 0.01 * day * ground + 0.02 * pattern(day))
        for day in (1, 2, 3)
    ]
    start = folder.toml
    first = field(folder, *texts)
    folder.toml = start
    second = field(folder, *texts[::-1])
    assert np.array_equal(shown(first), shown(second))
    assert [one.text for one in first.notes] == [one.text for one in second.notes]
