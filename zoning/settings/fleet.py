"""From a farm's or field's folder to its sprayers alone, with label, volumes and smallest zone.

For a question that needs no field. The other tables of the files are not judged here.
"""

import os
from pathlib import Path
from typing import Literal

from pydantic import ConfigDict, Field, ValidationError

from zoning.errors import SETTINGS, InputError, raise_all
from zoning.settings import machines, plain, rules
from zoning.settings.given import merged, read_toml
from zoning.settings.model import Carrier, Product, Sprayer, Zones
from zoning.settings.quantities import Part
from zoning.settings.read import FARM_FILE, FIELD_FILE, fields_of

_OWN = ("sprayer", "carrier", "product")


class Fleet(Part):
    """The sprayers of a farm, or of one field where its folder was given.

    `volumes_given` is False where [carrier] is left out and the usual volumes stand in. `fields_apart` names
    the fields of a farm that have a sprayer, volumes or a product of their own.
    """

    name: str = ""
    farm_name: str = ""
    country: str = "US"
    units: Literal["us", "metric"] = "us"
    zones: Zones = Zones()
    product: Product | None = None
    carrier: Carrier = Carrier()
    sprayers: tuple[Sprayer, ...] = Field(alias="sprayer", default=())
    volumes_given: bool = False
    fields_apart: tuple[str, ...] = ()

    model_config = ConfigDict(extra="ignore")


def load_fleet(folder: Path) -> Fleet:
    """Read the sprayers of a farm or of a field.

    Parameters
    ----------
    folder : Path
        With a farm.toml, a field.toml, or both; a field also has what the folder above it says.

    Raises
    ------
    InputError
        Code 2; all faults of the sprayers, the label and the volumes together, as `load` tells them.
    """
    folder = Path(os.path.normpath(folder.absolute()))
    field_file = folder / FIELD_FILE if (folder / FIELD_FILE).is_file() else None
    around = (folder,) if field_file is None else (folder, folder.parent)
    farm_file = next((at / FARM_FILE for at in around if (at / FARM_FILE).is_file()), None)
    if field_file is None and farm_file is None:
        mend = "Give the folder of a farm or of a field; `sprayworth new DIR` makes one."
        what = f"there is no {FARM_FILE} and no {FIELD_FILE} in this folder"
        raise InputError(what, where=folder, mend=mend, code=SETTINGS)
    given = merged(field_file, farm_file)
    found = [one for rule in (*machines.RULES, *rules.OF_LABEL) for one in rule(given)]
    fleet = None
    own: dict[str, object] = {"volumes_given": given.get("carrier", "volumes") is not None}
    if field_file is None:
        own["fields_apart"] = _fields_apart(folder)
    try:
        fleet = Fleet.model_validate({**given.data, **own})
    except ValidationError as error:
        found += plain.faults(error, given)
    raise_all(found)
    if fleet is None:
        raise AssertionError("sprayers were refused without a fault")
    return fleet


def _fields_apart(farm: Path) -> tuple[str, ...]:
    """Name the fields that have their own; what is wrong with a field is told by `check`."""
    apart = []
    for field in fields_of(farm):
        try:
            typed, _ = read_toml(field / FIELD_FILE)
        except InputError:
            continue
        if any(name in typed for name in _OWN):
            apart.append(field.name)
    return tuple(apart)
