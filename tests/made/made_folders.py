"""A farm and a field to change in tests: complete at level 3, US units."""

from pathlib import Path

from zoning.errors import InputError
from zoning.settings.model import Settings
from zoning.settings.read import load

TOP = 'name = "Some Farm"\n'
MONEY = """[money]
grain_price = "10.40 USD/bu"
product = "19 USD/ac"
pass = "9 USD/ac"
"""
PRODUCT = """[product]
name = "Invented Fungicide"
groups = ["3", "11"]
dose = "8 fl oz/ac"
max_dose = "16 fl oz/ac"
min_carrier_ground = "10 gal/ac"
pre_harvest_interval_d = 30
re_entry_h = 12
max_applications = 2
latest_stage = "R5"
max_wind = "10 mph"
"""
SPRAYER = """[[sprayer]]
name = "ground rig"
boom = "90 ft"
nozzle_spacing = "20 in"
nozzle = "04"
pressure = ["30 psi", "90 psi"]
speed = ["5 mph", "14 mph"]
tank = "1000 gal"
fill_min = 20
tracks_exist = true
"""
AIRCRAFT = """[[sprayer]]
name = "aircraft"
kind = "aerial"
boom = "65 ft"
speed = ["120 mph", "140 mph"]
tank = "500 gal"
fill_min = 15
"""
RESPONSE = """[response]
source = "pooled trials"
"""
FIELD = """name = "Some Field"
maturity_group = 1.9
[planting]
date = 2026-05-06
"""


def field_folder(root: Path, farm: str | None, field: str | None = FIELD) -> Path:
    """Write a farm with one field, or a field alone, and give the field's folder."""
    folder = root / "farm" / "field"
    folder.mkdir(parents=True, exist_ok=True)
    if farm is not None:
        (root / "farm" / "farm.toml").write_text(farm, encoding="utf-8")
    if field is not None:
        (folder / "field.toml").write_text(field, encoding="utf-8")
    return folder


def read(root: Path, *farm: str, field: str = FIELD) -> Settings:
    return load(field_folder(root, "".join(farm) if farm else None, field))


def refused(folder: Path) -> tuple[InputError, ...]:
    """Every fault of a field's settings; the code is checked here, once for all."""
    caught: tuple[InputError, ...] = ()
    try:
        load(folder)
    except InputError as error:
        caught = error.faults
    assert all(fault.code == 2 for fault in caught)
    assert str(folder.parent) not in "".join(map(str, caught)), "no folder of this machine in a message"
    return caught


def faults(root: Path, *farm: str, field: str = FIELD) -> list[str]:
    """Every line that the user sees."""
    return [str(fault) for fault in refused(field_folder(root, "".join(farm) if farm else None, field))]
