"""Load sheets made for tests: a field of 120 ac at 15 gal/ac, with whatever is asked for."""

from pathlib import Path

from zoning.passes.loads.filling import load_sheet
from zoning.passes.loads.sheet import LoadSheet
from zoning.passes.sections import SectionCover
from zoning.settings.model import Settings
from zoning.sprayer.reach import reach

PRODUCT = {
    "name": "Invented Fungicide A", "groups": ["3", "11"],
    "dose": "8 fl oz/ac", "max_dose": "16 fl oz/ac",
    "min_carrier_ground": "10 gal/ac", "pre_harvest_interval_d": 30, "re_entry_h": 12,
    "max_applications": 2, "latest_stage": "R5", "max_wind": "10 mph",
}  # fmt: skip
RIG = {
    "name": "rig", "boom": "90 ft", "nozzle": "04", "nozzle_spacing": "20 in", "tank": "1000 gal",
    "pressure": ["30 psi", "90 psi"], "speed": ["7 mph", "14 mph"], "fill_min": 15,
}  # fmt: skip
DRONE = {
    "name": "drone", "kind": "drone", "boom": "20 ft", "speed": ["10 mph", "15 mph"], "tank": "10 gal",
    "fill_min": 5,
}  # fmt: skip
MONEY = {"grain_price": "10.40 USD/bu", "product": "19 USD/ac", "pass": "9 USD/ac"}


def sheet_settings(product=(), rig=(), *, base=RIG, **field) -> Settings:
    """Settings of a field, as far as a load sheet looks at them."""
    keys = {"name": "North", "maturity_group": 2.4, "folder": Path()}
    keys |= {"product": PRODUCT | dict(product), "sprayer": [base | dict(rig)]}
    return Settings.model_validate(keys | field)


def sheet_of(settings: Settings, zones=None, volume_gal_ac=15.0, **more) -> LoadSheet:
    """The sheet of a pass over some zones with the first sprayer."""
    sprayer = settings.sprayers[0]
    [at] = reach(sprayer, (volume_gal_ac,))
    return load_sheet({1: 40.0, 3: 80.0} if zones is None else zones, at, sprayer, settings, **more)


def made_sheet(zones=None, volume_gal_ac=15.0, **settings) -> LoadSheet:
    """Both in one."""
    return sheet_of(sheet_settings(**settings), zones, volume_gal_ac)


def made_cover(over_ac=0.0, off_crop_ac=0.0, missed_ac=0.0, *, treated_ac=120.0, sections=9) -> SectionCover:
    """What a boom of 90 ft does along the edges of the field."""
    return SectionCover(
        section_m=90 * 0.3048 / sections,
        sections=sections,
        treated_ac=treated_ac,
        sprayed_ac=treated_ac - missed_ac + over_ac + off_crop_ac,
        over_ac=over_ac,
        off_crop_ac=off_crop_ac,
        missed_ac=missed_ac,
    )
