"""What counts are: the item's word on them, held against canopy; a wrong one is found and said."""

from datetime import date

import numpy as np
import pytest
from made_catalogue import CANOPY, SOIL, TILE, landsat, reflectance, scene

from zoning.fetch.imagery import counts, scenes
from zoning.fetch.imagery.day import _joined
from zoning.fetch.imagery.scenes import Band, Scene
from zoning.inputs import read
from zoning.inputs.images.indices import index
from zoning.inputs.images.reflectance import Conversion
from zoning.settings.read import load

TRUE_NDVI = (0.45 - 0.04) / (0.45 + 0.04)


def one(**more) -> Scene:
    """A scene whose item says nothing but its baseline, unless told."""
    red = Band(href="", scale=more.pop("scale", None), offset=more.pop("offset", None))
    words = {
        "name": "S",
        "day": date(2026, 6, 11),
        "tile": "T",
        "product": "sentinel-2 l2a",
        "bands": {"red": red, "nir": red},
        "mask": Band(href=""),
        "baseline": 5.09,
        "is_taken_off": None,
        "made": "",
        "licence": "",
    }
    return Scene(**{**words, **more})


def canopy(red: float, nir: float) -> dict[str, np.ndarray]:
    return {"red": np.full(400, red), "nir": np.full(400, nir)}


@pytest.mark.parametrize(
    ("stored", "said", "offset", "code"),
    [
        (-1000, {}, -0.1, None),  # nothing but the baseline, rightly
        (-1000, {"scale": 0.0001, "offset": -0.1}, -0.1, None),
        (0, {"is_taken_off": True}, 0.0, None),
        (0, {"scale": 0.0001, "offset": -0.1, "is_taken_off": True}, 0.0, None),  # the flag goes first
        (0, {"scale": 0.0001, "offset": 0.0}, 0.0, None),
        (0, {"baseline": 2.14}, 0.0, None),  # before 04.00 there was none
        (0, {}, 0.0, "fetch.offset_taken_off"),  # taken off already, and nobody says so
        (0, {"is_taken_off": False}, 0.0, "fetch.offset_taken_off"),  # a wrong flag
        (-1000, {"is_taken_off": True}, -0.1, "fetch.offset_not_taken_off"),  # a wrong flag, the other way
        (-1000, {"scale": 0.0001, "offset": 0.0}, -0.1, "fetch.offset_not_taken_off"),
    ],
)
def test_published_counts_whatever_the_item_says_of_them(stored, said, offset, code):
    """Red 1400 and near infrared 5500 with an offset of -1000 are 0.04 and 0.45, an NDVI of 0.8367.

    From the check values of the platform's own formula, (count - 1000) / 10000; without the offset the same
    counts give 0.5942, with it twice 1.4138.
    """
    settled, notes = counts.settled(one(**said), canopy(400 - stored, 4500 - stored))
    assert settled.offset == offset
    assert [note.code for note in notes] == ([code] if code else [])
    found = index(
        "NDVI", {name: settled.of(values) for name, values in canopy(400 - stored, 4500 - stored).items()}
    )
    assert found[0] == pytest.approx(0.8367, abs=0.00005)


@pytest.mark.parametrize("stored", [0, -1000])
def test_bare_ground_says_nothing_and_the_item_is_believed(stored):
    """Red 0.18, near infrared 0.25: no canopy, so no limit of canopy may be laid on it."""
    for flag, offset in ((True, 0.0), (None, -0.1)):
        settled, notes = counts.settled(one(is_taken_off=flag), canopy(1800 - stored, 2500 - stored))
        assert (settled.offset, notes) == (offset, ())


def test_where_neither_fits_it_is_said():
    """Red 0.30 over canopy with the offset, 0.40 without: something else is wrong, as a scale."""
    settled, (note,) = counts.settled(one(), canopy(4000, 11_000))
    assert (settled.offset, note.code) == (-0.1, "fetch.offset_doubtful")


def test_many_pixels_below_0_give_the_offset_away():
    """Canopy cannot tell where red is dark everywhere; 6 % below 0 can: 0.05 is the most that is taken."""
    dark = {"red": np.concatenate([np.full(94, 1050.0), np.full(6, 900.0)]), "nir": np.full(100, 1150.0)}
    settled, (note,) = counts.settled(one(), dark)
    assert (settled.offset, note.code) == (0.0, "fetch.offset_taken_off")


def test_by_hand_canopy_outweighs_dark_ground_below_0():
    """Canopy at 0.04 and 0.45 is right; 10 % of water at -0.01 does not make its offset wrong."""
    seen = {
        "red": np.concatenate([np.full(90, 1400.0), np.full(10, 900.0)]),
        "nir": np.concatenate([np.full(90, 5500.0), np.full(10, 900.0)]),
    }
    settled, notes = counts.settled(one(), seen)
    assert (settled.offset, notes) == (-0.1, ())


def test_counts_below_0_do_not_ask_for_an_offset_that_puts_more_of_them_there():
    """Counts may have a sign once their offset is off: 6 % at -0.005 are no reason for -0.1 more."""
    water = np.full(6, -50.0)
    dark = {
        "red": np.concatenate([np.full(94, 100.0), water]),
        "nir": np.concatenate([np.full(94, 150.0), water]),
    }
    settled, notes = counts.settled(one(is_taken_off=True), dark)
    assert (settled.offset, notes) == (0.0, ())


def test_an_offset_that_is_neither_of_the_two_is_believed():
    """Only those who keep the platform's counts may have taken its offset off, or forgotten to."""
    settled, notes = counts.settled(one(scale=0.0001, offset=-0.05), canopy(400, 4500))
    assert (settled.offset, notes) == (-0.05, ())


def test_the_platforms_offset_goes_with_its_scale_only():
    """-1000 counts are -0.1 where a count is 0.0001; of counts of another size nothing is known."""
    assert [counts.claimed(one(scale=scale)).offset for scale in (None, 0.0001, 0.00005)] == [-0.1, -0.1, 0.0]


def test_by_hand_a_joined_count_below_0_stays_data():
    """The second tile's 900 is -0.01, which the first counts as -100: it is written as 1, as 0 is no data."""
    first, second = (Conversion(0.0001, offset, "product", "sentinel-2 l2a") for offset in (0.0, -0.1))
    parts = [np.array([[400, 0, 0]], dtype=np.uint16), np.array([[0, 900, 1400]], dtype=np.uint16)]
    owner = np.array([[1, 2, 2]], dtype=np.uint8)
    assert _joined(parts, owner, [first, second]).tolist() == [[400, 1, 400]]


def test_landsat_has_its_own_counts():
    told = counts.claimed(one(product="landsat c2 l2"))
    assert (told.scale, told.offset) == (0.0000275, -0.2)
    settled, notes = counts.settled(one(product="landsat c2 l2"), canopy(8727.0, 23636.0))
    assert (settled.scale, settled.offset, notes) == (0.0000275, -0.2, ())


@pytest.mark.parametrize(
    ("stored", "says", "code"),
    [
        (-1000, "offset", None),
        (-1000, "taken off", "fetch.offset_not_taken_off"),
        (0, "not taken off", "fetch.offset_taken_off"),
        (0, "taken off", None),
        (0, -0.1, "fetch.offset_taken_off"),
    ],
)
def test_the_image_in_the_folder_is_right_whatever_the_item_says(made, field, get, stored, says, code):
    scene(made, TILE, "2026-06-11", offset=stored, says=says, noise=0.0)
    found = get()
    assert [note.code for note in found.notes] == ([code] if code else [])
    bands = reflectance(field / found.named[0], offset=stored * 0.0001)
    assert bands["nir"].max() == pytest.approx(CANOPY["nir"], abs=0.001)
    assert bands["nir"].min() > SOIL["nir"] - 0.001
    inputs = read.field(load(field), date(2026, 7, 20))
    values = inputs.layers[0].values[inputs.inside]
    most = (CANOPY["nir"] - CANOPY["rededge1"]) / (CANOPY["nir"] + CANOPY["rededge1"])
    assert values.max() == pytest.approx(most, abs=0.01)
    assert not [said for said in inputs.notes if said.code.startswith("inputs.image_offset")]
    again = get()
    assert [note.code for note in again.notes] == ([code] if code else [])


@pytest.mark.parametrize("scale", [None, 0.0000275, 0.00003])
def test_landsat_is_named_and_read_as_it_is(made, field, get, scale):
    item = landsat(made, TILE, "2026-06-11")
    if scale is not None:
        for key in ("red", "nir08"):
            item["assets"][key]["raster:bands"] = [{"scale": scale, "offset": -0.2}]
    found = get()
    (named,) = load(field).imagery
    assert (named.index, dict(named.bands), named.mask_band) == ("NDVI", {"red": 1, "nir": 2}, 3)
    if scale == 0.00003:  # not those of the product: all is typed
        assert (named.product, named.scale, named.offset) == ("", 0.00003, -0.2)
        assert named.mask_bits == (0, 1, 2, 3, 4)
        return
    assert named.product == "landsat c2 l2"
    values = read.field(load(field), date(2026, 7, 20)).layers[0].values
    assert np.nanmax(values) == pytest.approx(TRUE_NDVI, abs=0.01)
    assert found.days[0].shares.seen == 1.0


def test_counts_of_another_scale_are_named_as_they_are(made, field, get):
    """A catalogue that stores reflectance x 20,000 without an offset: its bands say so."""
    item = scene(made, TILE, "2026-06-11", offset=0, noise=0.0)
    for key in ("red", "nir", "rededge1"):
        item["assets"][key]["raster:bands"] = [{"scale": 0.00005, "offset": 0.0}]
    get()
    (named,) = load(field).imagery
    assert (named.product, named.scale, named.offset) == ("", 0.00005, 0.0)
    assert (named.mask_keep, named.mask_widen_m) == ((4, 5), 60.0)


@pytest.mark.parametrize(
    ("flags", "told"),
    [
        ({"a:boa_offset_applied": True}, True),
        ({"boa_offset_applied": False}, False),
        ({"a:boa_offset_applied": "false"}, None),  # a text, and every text is true
        ({"a:boa_offset_applied": True, "b:boa_offset_applied": False}, None),
        ({"a:offset": True}, None),
    ],
)
def test_a_flag_is_believed_only_where_there_is_one_and_it_is_one(made, flags, told):
    item = scene(made, TILE, "2026-06-11", says="none")
    item["properties"] |= flags
    (found,) = scenes.scenes([item], -93.0, "somebody")
    assert found.is_taken_off is told


def test_bands_are_found_by_the_standards_old_and_new():
    def band(key, **told):
        return {"href": f"https://example.org/{key}.tif", "type": "image/tiff; application=geotiff", **told}

    old = {"eo:bands": [{"common_name": "rededge", "center_wavelength": 0.783}]}
    near = {"eo:bands": [{"common_name": "rededge", "center_wavelength": 0.704}]}
    new = {"bands": [{"name": "B04", "eo:common_name": "red"}], "raster:scale": 1}
    assets = {
        "B07": band("B07", **old),
        "B05": band("B05", **near),
        "B04": band("B04", **new),
        "B08": band("B08"),  # by its key
        "SCL": band("SCL"),
        "visual": band("visual", **{"eo:bands": [{"common_name": "red"}, {"common_name": "green"}]}),
        "nir": {"href": "https://example.org/nir.jp2", "type": "image/jp2"},
    }
    item = {"id": "S", "properties": {"datetime": "2026-06-11T17:00:00Z"}, "assets": assets}
    (found,) = scenes.scenes([item], -93.0, "somebody")
    assert {name: one.href.rpartition("/")[2] for name, one in found.bands.items()} == {
        "red": "B04.tif",
        "rededge": "B05.tif",
        "nir": "B08.tif",
    }
    assert (found.product, found.baseline, found.tile) == ("sentinel-2 l2a", None, "S")
    assert pytest.approx(0.8367, abs=0.00005) == TRUE_NDVI
