"""Under which pressure class each zone was sprayed: by what was seen there before, else by the settings."""

from collections.abc import Mapping
from datetime import date

import numpy as np
import shapely

from zoning.inputs.given import Area, FieldInputs
from zoning.offers.sightings import speaking
from zoning.returns.response import Place
from zoning.settings.model import Pressure, Settings


def pressure_of_zones(
    settings: Settings, given: FieldInputs, zones: Mapping[int, Area], before: date
) -> dict[int, Pressure]:
    """Give the pressure class of each zone as it was planned under.

    Parameters
    ----------
    settings : Settings
    given : FieldInputs
        Its sightings count up to `before`.
    zones : mapping of int to Polygon or MultiPolygon
        In the plane of the field's grid.
    before : date
        The day of the pass: what was seen later moved no decision.
    """
    said = settings.response.pressure if settings.response is not None else "unknown"
    seen = [one for one in given.sightings if one.on <= before]
    speaks = speaking(seen, _number_of_cell(given, zones), given.grid)
    found: dict[int, Pressure] = {}
    for zone in zones:
        one = speaks.get(zone)
        found[zone] = said if one is None else Place(pressure=one.pressure, cause=one.cause).counted_pressure
    return found


def _number_of_cell(given: FieldInputs, zones: Mapping[int, Area]) -> np.ndarray:
    east_m, north_m = np.meshgrid(given.grid.east_m(), given.grid.north_m())
    numbers = np.zeros(given.inside.shape, dtype=np.int64)
    for zone, outline in zones.items():
        shapely.prepare(outline)
        numbers[shapely.contains_xy(outline, east_m, north_m)] = zone
    return numbers
