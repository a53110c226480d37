"""Cells under the map: another reader of PNG sees the classes that were written, in their colours."""

import base64
import math
from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays
from made_page_plans import page_plan
from made_plans import Made, made_plan, smooth_field
from PIL import Image

from zoning import colours
from zoning.show.page.drawing import drawing
from zoning.show.page.map_rasters import palette, raster_images, raster_names, shade_classes
from zoning.show.page.palette_png import MOST, data_uri, png
from zoning.show.page.themes import date_classes


def opened(uri: str) -> Image.Image:
    return Image.open(BytesIO(base64.b64decode(uri.removeprefix("data:image/png;base64,"))))


@st.composite
def tables(draw):
    """A table of classes and as many colours."""
    count = draw(st.integers(1, MOST - 1))
    shape = draw(st.tuples(st.integers(1, 23), st.integers(1, 23)))
    classes = draw(arrays.arrays(np.uint8, shape, elements=st.integers(0, count)))
    return classes, [f"#{7 * at % 256:02x}{at:02x}{255 - at:02x}" for at in range(count)]


def check(classes, inks):
    picture = Image.open(BytesIO(png(classes, inks)))
    assert picture.mode == "P"
    assert np.array_equal(np.asarray(picture), classes)
    shown = np.asarray(picture.convert("RGBA"))
    assert np.array_equal(shown[..., 3] == 0, classes == 0)
    for at, ink in enumerate(inks, start=1):
        assert (shown[classes == at][:, :3] == colours.rgb(ink)).all()


@given(tables())
def test_pillow_reads_the_classes_and_colours_that_were_written(table):
    check(*table)


@pytest.mark.parametrize("bumps", [0.0, 0.5, 5.0])
@pytest.mark.parametrize("slope", [0.0, 0.15, 2.0])
@pytest.mark.parametrize("shape", [(1, 60), (60, 1), (59, 60)])
def test_pillow_reads_even_smooth_and_uneven_pictures_of_many_classes(shape, slope, bumps):
    """Each of the ways of writing is the shortest for some of them."""
    rows, cols = np.mgrid[0 : shape[0], 0 : shape[1]]
    heights = slope * (rows + cols / 2) + np.random.default_rng(0).normal(0.0, bumps, shape)
    check((heights % MOST).astype(np.uint8), [f"#{at:02x}80{255 - at:02x}" for at in range(MOST - 1)])


def test_more_colours_than_a_small_file_has_are_refused():
    with pytest.raises(ValueError, match="26"):
        png(np.zeros((1, 1), dtype=np.uint8), ["#000000"] * MOST)


@given(arrays.arrays(np.uint8, (4, 9)))
def test_shades_keep_their_order_and_nothing_stays_nothing(shades):
    classes = shade_classes(shades)
    assert classes.max() < MOST
    assert np.array_equal(classes == 0, shades == 0)
    order = np.argsort(shades, axis=None)
    assert (np.diff(classes.ravel()[order].astype(int)) >= 0).all()


def test_by_hand_classes_of_shades():
    # 255 shades in 25 classes of 10.2: 1-11, 12-21, ...; the last is 25
    assert shade_classes(np.array([[1, 11, 12, 21, 22, 255]], dtype=np.uint8)).tolist() == [
        [1, 1, 2, 2, 3, 25]
    ]
    assert len(palette()) == 25
    assert (palette()[0], palette()[-1]) == (colours.INDEX[0], colours.INDEX[-1])


def test_a_layer_lies_where_it_was_seen():
    plan = page_plan(6, pictures=1, cell_m=4.0)
    ground = drawing(plan)
    image, days = raster_images(plan, ground)
    (given_picture,) = plan.pictures
    shown = np.asarray(opened(image.uri))
    assert np.array_equal(shown, shade_classes(given_picture.shades))
    assert image.x == pytest.approx(given_picture.west_m - ground.west_m)
    assert image.y == pytest.approx(ground.north_m - given_picture.north_m)
    assert image.wide_m == given_picture.shades.shape[1] * given_picture.cell_m
    assert [one.key for one in raster_names(plan)] == [image.key, days.key]


def test_a_fine_layer_is_thinned_and_keeps_its_place():
    plan = page_plan(6, pictures=1, cell_m=1.5)
    (image, _), (picture,) = raster_images(plan, drawing(plan)), plan.pictures
    shown = np.asarray(opened(image.uri))
    step = math.ceil(max(picture.shades.shape) / 300)
    assert step > 1
    assert max(shown.shape) <= 300
    whole = shade_classes(picture.shades)
    for row, col in [(0, 0), (7, 30), (shown.shape[0] - 1, shown.shape[1] - 1)]:
        assert shown[row, col] == whole[row * step + step // 2, col * step + step // 2]
    assert image.wide_m == shown.shape[1] * step * picture.cell_m


@pytest.mark.parametrize("pictures", [False, True])
def test_days_of_r3_are_those_of_the_zone_in_which_a_cell_lies(pictures):
    """Shapely is the witness: it finds the zone of the middle of each cell."""
    labels, blocks = smooth_field(3, shape=(30, 29), hole=True)
    plan = made_plan(Made(labels=labels, block_of_zone=blocks, cell_m=20, simplify_m=8))
    plan = replace(plan, pictures=page_plan(6, pictures=1).pictures) if pictures else plan
    ground = drawing(plan)
    *_, days = raster_images(plan, ground)
    shown = np.asarray(opened(days.uri))
    side = days.wide_m / shown.shape[1]
    rows, cols = np.mgrid[0 : shown.shape[0], 0 : shown.shape[1]]
    x, y = days.x + (cols + 0.5) * side, days.y + (rows + 0.5) * side
    runs = date_classes(plan)
    assert len(runs) > 1
    wanted = np.zeros_like(shown)
    for zone, outline in zip(plan.zones, ground.zones, strict=True):
        at = next(at for at, run in enumerate(runs) if run[0] <= zone.window.r3_likely <= run[1])
        wanted[shapely.contains_xy(outline, x, y)] = at + 1
    assert (shown > 0).any()
    assert np.mean(shown != wanted) < 0.002  # a middle that lies on an edge


def test_without_dates_there_are_no_days():
    plan = made_plan(Made(labels=[[1, 2]], level=1, dates=False))
    assert raster_images(plan, drawing(plan)) == ()


def test_an_address_is_a_whole_file():
    uri = data_uri(np.ones((2, 2), dtype=np.uint8), ["#0b4f80"])
    assert opened(uri).size == (2, 2)
