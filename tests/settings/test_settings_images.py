"""Masks that are begun and not named, and treatments that nothing can be treated with."""

import pytest
from made_folders import FIELD, MONEY, PRODUCT, RESPONSE, SPRAYER, TOP, faults, read

IMAGE = '[[imagery]]\nfile = "2026-06-28_x.tif"\nbands = { red = 1, nir = 2 }\nindex = "NDVI"\n'
WHOLE = (TOP, MONEY, RESPONSE, PRODUCT, SPRAYER)


@pytest.mark.parametrize("line", ["mask_keep = [1]", "mask_bits = [3]", 'mask_widen = "60 m"'])
def test_what_a_mask_means_needs_a_mask(tmp_path, line):
    (told,) = faults(tmp_path, TOP, field=FIELD + IMAGE + line + "\n")
    assert f"imagery[1].{line}: no mask is named. Name the mask with mask or mask_band" in told


@pytest.mark.parametrize("named", ["mask_band = 3", 'mask = "clouds.tif"', 'product = "sentinel-2 l2a"'])
def test_any_mask_will_do(tmp_path, named):
    read(tmp_path, TOP, field=FIELD + IMAGE + named + '\nmask_keep = [1]\nmask_widen = "60 m"\n')


def test_a_mask_that_lets_nothing_through_is_refused(tmp_path):
    (told,) = faults(tmp_path, TOP, field=FIELD + IMAGE + "mask_band = 3\nmask_keep = []\n")
    assert "the list is empty" in told


def test_a_band_is_no_mask_of_itself(tmp_path):
    (told,) = faults(tmp_path, TOP, field=FIELD + IMAGE + "mask_band = 2\n")
    assert "imagery[1].mask_band = 2: nir and the mask are one band" in told
    read(tmp_path / "own", TOP, field=FIELD + IMAGE + 'mask = "clouds.tif"\nmask_band = 2\n')


@pytest.mark.parametrize("key", ["heading_deg", "maturity_group"])
def test_true_is_no_number(tmp_path, key):
    field = "\n".join(line for line in FIELD.splitlines() if not line.startswith(key))
    (told,) = faults(tmp_path, TOP, field=f"{key} = true\n{field}\n")
    assert f"{key} = true: a number is expected" in told


def codes(settings) -> list[str]:
    return [said.code for said in settings.missing]


@pytest.mark.parametrize("left_out", [MONEY + RESPONSE, PRODUCT, SPRAYER])
def test_swath_cells_that_cannot_be_are_said(tmp_path, left_out):
    farm = "".join(WHOLE).replace(left_out, "")
    field = FIELD + '[zones]\ntreatment = "swath cells"\n'
    assert "settings.no_swath_cells" in codes(read(tmp_path / "less", farm, field=field))
    assert codes(read(tmp_path / "whole", *WHOLE, field=field)) == []


def test_a_column_without_a_file_of_zones_is_said(tmp_path):
    field = FIELD + '[zones]\nzone_column = "name"\n'
    assert codes(read(tmp_path / "column", *WHOLE, field=field)) == ["settings.no_zone_file"]
    assert codes(read(tmp_path / "both", *WHOLE, field=field + 'file = "zones.gpkg"\n')) == []
