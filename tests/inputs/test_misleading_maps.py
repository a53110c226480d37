"""Maps that would mislead: placeholders in place of data, a mask of another place, points, another season."""

import numpy as np
import pytest
from affine import Affine
from made_inputs import FIELD, NORTH, TODAY, WEST, Folder
from shapely import box

from zoning.errors import CONTENT, InputError
from zoning.inputs import read
from zoning.inputs.given import FieldInputs

LAYER = "[[layer]]\nname = 'height'\nfile = 'layers/height.tif'\n"
IMAGE = "[[imagery]]\nfile = 'imagery/{}'\nbands = {{ red = 1, nir = 2 }}\nindex = 'NDVI'\n"


def found(folder: Folder, more: str) -> FieldInputs:
    folder.shapes("boundary.geojson", [FIELD])
    folder.add("[planting]\ndate = 2026-05-06\n" + more)
    return read.field(folder.settings(), TODAY)


def heights() -> np.ndarray:
    return np.broadcast_to(np.linspace(300, 310, 50), (1, 40, 50)).astype("float32")


def canopy(shape: tuple[int, int] = (40, 50)) -> np.ndarray:
    nir = np.broadcast_to(np.linspace(0.3, 0.5, shape[1]), shape)
    return np.stack([np.full(shape, 0.05), nir]).astype("float32")


@pytest.mark.parametrize("value", [-9999.0, -32768.0, -3.4028235e38])
def test_by_hand_placeholders_that_the_file_does_not_name_are_no_data(folder: Folder, value: float) -> None:
    values = heights().copy()
    values[:, :, 5:15] = value  # the field begins with the sixth column: 10 of its 40 columns
    folder.image("layers/height.tif", values)
    inputs = found(folder, LAYER)
    (layer,) = inputs.layers
    assert 300 <= np.nanmin(layer.values) <= np.nanmax(layer.values) <= 310
    assert layer.clear_frac == pytest.approx(0.75)
    assert [note.code for note in inputs.notes] == ["inputs.layer_placeholder", "inputs.layer_partly_empty"]
    assert inputs.notes[0].text.startswith("25 % of layers/height.tif hold ")


def test_a_placeholder_is_found_before_it_is_averaged_and_scaled(folder: Folder) -> None:
    # Pixels of 5 m, four to a cell; one of each four of the western half is a placeholder.
    values = np.repeat(np.repeat(heights(), 2, axis=1), 2, axis=2).copy()
    values[:, ::2, :50:2] = -9999.0
    folder.image("layers/height.tif", values, transform=Affine(5, 0, WEST - 50, 0, -5, NORTH + 50))
    (layer,) = found(folder, LAYER + "scale = 0.1\noffset = 2.0\n").layers
    assert layer.clear_frac == 1
    assert 32 <= np.nanmin(layer.values) <= np.nanmax(layer.values) <= 33


def test_a_layer_without_placeholders_is_what_it_was(folder: Folder) -> None:
    folder.image("layers/height.tif", heights())
    inputs = found(folder, LAYER)
    assert inputs.notes == ()
    assert np.nanmax(np.abs(np.diff(inputs.layers[0].values, axis=1) - 10 / 49)) < 1e-4


def test_points_in_place_of_a_map_are_told_apart_from_a_damaged_map(folder: Folder) -> None:
    (folder.field / "layers").mkdir()
    (folder.field / "layers" / "height.csv").write_text("lon,lat,height\n-95.39,44.29,301\n")
    with pytest.raises(InputError, match="Name a GeoTIFF") as caught:
        found(folder, LAYER.replace(".tif", ".csv"))
    assert caught.value.code == CONTENT


def test_a_mask_of_another_place_is_refused(folder: Folder) -> None:
    folder.image("imagery/2026-06-28_x.tif", canopy())
    mask = np.zeros((1, 40, 50), dtype="uint8")
    folder.image("imagery/mask.tif", mask, transform=Affine(10, 0, WEST + 90_000, 0, -10, NORTH))
    with pytest.raises(InputError, match="misses the field") as caught:
        found(folder, IMAGE.format("2026-06-28_x.tif") + "mask = 'imagery/mask.tif'\n")
    assert caught.value.where == "imagery/mask.tif"


def test_an_image_from_before_planting_is_said(folder: Folder) -> None:
    for name in ("2026-05-05_x.tif", "2026-05-06_x.tif", "2026-06-28_x.tif"):
        folder.image(f"imagery/{name}", canopy())
    text = "".join(IMAGE.format(f"2026-{day}_x.tif") for day in ("05-05", "05-06", "06-28"))
    notes = found(folder, text).notes
    (before,) = [note.text for note in notes if note.code == "inputs.image_before"]
    assert before.startswith("imagery/2026-05-05_x.tif was taken on 2026-05-05, before the field was planted")


def test_an_image_whose_day_is_not_known_is_named_among_the_dates(folder: Folder) -> None:
    for name in ("2026-13-45_x.tif", "2026-06-28_x.tif"):
        folder.image(f"imagery/{name}", canopy())
    notes = found(folder, IMAGE.format("2026-13-45_x.tif") + IMAGE.format("2026-06-28_x.tif")).notes
    undated, note = (one.text for one in notes)
    assert undated.startswith("the name of imagery/2026-13-45_x.tif begins with 2026-13-45, which is no date")
    assert note.endswith("2026-06-28, imagery/2026-13-45_x.tif (its day is not known)")


YIELD = "[[layer]]\nname = 'past'\nfile = 'layers/past.tif'\nuse = 'yield'\nunit = 'bu/ac'\n"


def test_an_even_yield_is_a_yield(folder: Folder) -> None:
    folder.image("layers/past.tif", np.full((1, 40, 50), 55, dtype="float32"))
    inputs = found(folder, YIELD)
    assert inputs.yield_bu_ac is not None
    assert np.nanmin(inputs.yield_bu_ac) == np.nanmax(inputs.yield_bu_ac) == 55
    assert inputs.notes == ()


def test_a_yield_of_nothing_is_refused(folder: Folder) -> None:
    folder.image("layers/past.tif", np.zeros((1, 40, 50), dtype="float32"))
    with pytest.raises(InputError, match="a yield of 0 bu/ac in the middle of the field cannot be"):
        found(folder, YIELD)


@pytest.mark.parametrize("value", [-5, 5000])
def test_by_hand_yields_that_cannot_be_are_left_out(folder: Folder, value: float) -> None:
    values = np.full((1, 40, 50), 55, dtype="float32")
    values[:, :, 5:9] = value  # 4 of the field's 40 columns
    folder.image("layers/past.tif", values)
    inputs = found(folder, YIELD)
    assert inputs.yield_bu_ac is not None
    assert np.nanmin(inputs.yield_bu_ac) == np.nanmax(inputs.yield_bu_ac) == 55
    assert [note.code for note in inputs.notes] == ["inputs.yield_impossible"]
    assert inputs.notes[0].text.startswith("10 % of the field have a yield in layers/past.tif that cannot be")


def test_a_field_without_a_whole_cell_is_told_so(folder: Folder) -> None:
    folder.image("imagery/2026-06-28_x.tif", canopy())
    folder.shapes("boundary.geojson", [box(WEST + 11, NORTH - 60, WEST + 14, NORTH - 10)])  # 3 m wide
    folder.add("[planting]\ndate = 2026-05-06\n" + IMAGE.format("2026-06-28_x.tif"))
    with pytest.raises(InputError, match="no cell of 10 m has its middle inside the boundary") as caught:
        read.field(folder.settings(), TODAY)
    assert (caught.value.code, len(caught.value.faults)) == (CONTENT, 1)
