"""Scenes that are not as most are: in degrees, with another number for no data, with odd scales."""

from datetime import date

import numpy as np
import pytest
import rasterio
from affine import Affine
from made_catalogue import EPSG, TILE, reflectance, scene
from rasterio.transform import array_bounds
from rasterio.warp import reproject, transform_bounds

from zoning.errors import WORLD, InputError
from zoning.fetch.imagery import scenes
from zoning.settings.read import load

CLOUD = (slice(0, 45), slice(0, 50))  # of the mask, over the northwest corner of the field


def refused(get, said):
    with pytest.raises(InputError, match=r"127\.0\.0\.1: ") as caught:
        get()
    assert said in str(caught.value)


def rewritten(made, change):
    """Write each file again as `change` gives it: values, their place, their CRS, what stands for no data."""
    for path in made.folder.rglob("*.tif"):
        with rasterio.open(path) as source:
            values, transform = source.read(1), source.transform
        values, transform, epsg, nodata = change(path, values, transform)
        shape = {"height": values.shape[0], "width": values.shape[1], "count": 1, "dtype": values.dtype}
        with rasterio.open(
            path, "w", driver="GTiff", crs=epsg, transform=transform, nodata=nodata, tiled=True, **shape
        ) as file:
            file.write(values, 1)


def in_degrees(path, values, transform):
    west, south, east, north = transform_bounds(EPSG, 4326, *array_bounds(*values.shape, transform))
    step = (north - south) / values.shape[0]
    there = Affine(step, 0, west, 0, -step, north)
    made = np.zeros((values.shape[0], int((east - west) / step)), dtype=values.dtype)
    about = {"src_transform": transform, "src_crs": EPSG, "dst_transform": there, "dst_crs": 4326}
    reproject(values, made, **about)
    return made, there, 4326, 0


def test_a_cloud_in_a_scene_in_degrees_hides_what_it_hides_in_metres(made, get):
    scene(made, TILE, "2026-06-11", classes=lambda mask, tile: mask.__setitem__(CLOUD, 9))
    in_metres = get().days[0].shares
    rewritten(made, in_degrees)
    made.items[0]["id"] += "_again"
    found = get().days[0].shares
    assert 0.9 < in_metres.seen < 0.97
    assert found.seen == pytest.approx(in_metres.seen, abs=0.01)
    assert found.cloud == pytest.approx(in_metres.cloud, abs=0.01)


@pytest.mark.parametrize("nodata", [-9999, np.nan])
def test_what_a_file_says_to_be_no_data_is_none(made, field, get, nodata):
    """Else -9999 would be water, and an endless number a canopy."""
    item = scene(made, TILE, "2026-06-11")

    def holed(path, values, transform):
        if path.name == "scl.tif":
            return values, transform, EPSG, 0
        made_of = values.astype(np.int16 if nodata == -9999 else np.float32)
        made_of[90:100, 90:100] = nodata
        if nodata != -9999:
            made_of[90, 90] = np.inf
        return made_of, transform, EPSG, nodata

    rewritten(made, holed)
    (file,) = get().read
    values = reflectance(field / file)
    holes = {name: int(np.isnan(values[name]).sum()) for name in ("red", "nir")}
    assert holes == {"red": 100, "nir": 100}
    assert np.nanmin(values["red"]) > 0
    assert item["id"]


@pytest.mark.parametrize("says", ["none", "taken off"])
def test_reflectance_itself_needs_no_scale(made, field, get, says):
    scene(made, TILE, "2026-06-11", says=says)

    def as_reflectance(path, values, transform):
        is_mask = path.name == "scl.tif"
        held = values if is_mask else ((values - 1000.0) / 10_000).astype(np.float32)
        return held, transform, EPSG, 0

    rewritten(made, as_reflectance)
    found = get()
    (kept,) = found.kept
    assert (kept.scale, kept.offset, found.notes) == (1.0, 0.0, ())
    (named,) = load(field).imagery
    assert (named.scale, named.offset, named.product) == (1.0, 0.0, "")


@pytest.mark.parametrize("key", ["scale", "offset"])
@pytest.mark.parametrize("value", [float("nan"), float("inf"), "inf"])
def test_an_endless_scale_or_offset_is_one_that_is_not_said(made, field, get, key, value):
    item = scene(made, TILE, "2026-06-11")
    for name in ("red", "nir", "rededge1"):
        item["assets"][name]["raster:bands"][0][key] = value
    (kept,) = get().kept
    assert (kept.scale, round(kept.offset, 6)) == (0.0001, -0.1)


def test_bands_of_one_scene_that_count_differently_are_not_taken_for_the_same(made, get):
    item = scene(made, TILE, "2026-06-11")
    item["assets"]["nir"]["raster:bands"][0]["scale"] = 0.0002
    refused(get, "its scenes have bands that count differently from each other: there are nir, red")


def test_scenes_without_files_or_of_another_form_are_told_so(made, get):
    item = scene(made, TILE, "2026-06-11")
    item["assets"]["red"]["eo:bands"][0]["center_wavelength"] = "long"
    refused(get, "its scenes have a form that is not read here: there are nir, red")
    item["assets"] = {}
    refused(get, "there are no files. ")


@pytest.mark.parametrize("day", [date.min, date.max])
def test_the_first_and_the_last_day_of_all_are_days_without_scenes(get, day):
    with pytest.raises(InputError, match="there is no scene over the field") as caught:
        get(first=day, last=day)
    assert caught.value.code == WORLD


@pytest.mark.parametrize(
    ("time", "longitude_deg"), [("0001-01-01T00:00:00Z", -95), ("9999-12-31T23:00:00Z", 95)]
)
def test_a_scene_beyond_the_calendar_is_none(made, time, longitude_deg):
    item = scene(made, TILE, "2026-06-11")
    item["properties"]["datetime"] = time
    with pytest.raises(InputError, match="a form that is not read here"):
        scenes.scenes([item], longitude_deg, "somebody")
