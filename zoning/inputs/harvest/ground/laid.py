"""Where strips lie: by the design of the season. Drawn files and gaps have modules of their own."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
import shapely
from shapely import Polygon

from zoning.inputs.given import FieldInputs, Strip
from zoning.inputs.ground.boundary import Boundary
from zoning.inputs.harvest.given import StripSource
from zoning.inputs.planted.sown import season_of
from zoning.inputs.reading import Reading
from zoning.inputs.strips import design
from zoning.settings.model import Settings
from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Laid:
    """Strips as they were laid; `laid_on` is None where nobody says on which day."""

    strips: tuple[Strip, ...]
    source: StripSource
    width_m: float
    heading_deg: float
    paths: tuple[Path, ...] = ()
    laid_on: date | None = None
    notes: tuple[Said, ...] = ()


def by_design(settings: Settings, given: FieldInputs, today: date) -> tuple[Laid | None, tuple[Said, ...]]:
    """Read the design of the season.

    Parameters
    ----------
    settings : Settings
    given : FieldInputs
    today : date
        Of which season it is.

    Returns
    -------
    laid : Laid or None
        None where there is none, or it is of another season, or all of its strips lie outside the field.
    notes : tuple of Said
        What is doubtful about it, also where there is none to be used.

    Raises
    ------
    InputError
        What `design.read` refuses.
    """
    reading = Reading(settings=settings, today=today)
    edge = Boundary(
        area=given.boundary,
        epsg=given.grid.epsg,
        longitude_deg=given.longitude_deg,
        latitude_deg=given.latitude_deg,
        notes=(),
    )
    found = design.read(reading, edge, given.boundary)
    notes = tuple(one for one in reading.notes if one.code != "inputs.strips_laid_already")
    if found is None:
        return None, notes
    laid = Laid(
        strips=found.strips,
        source="design",
        width_m=found.width_m,
        heading_deg=found.heading_deg % 360,
        paths=tuple(reading.paths),
        laid_on=found.laid_on,
    )
    return laid, notes


def season(settings: Settings, given: FieldInputs, today: date) -> int:
    """Give the year of harvest of what is asked about."""
    return season_of(settings, today, given.latitude_deg)


def sides_m(outline: Polygon) -> tuple[float, float, float]:
    """Give width and length of the smallest rectangle around a strip, and its direction.

    Returns
    -------
    width_m, length_m, heading_deg : float
        The direction of the longer side, clockwise from grid north, 0 to below 180.

    Examples
    --------
    >>> [round(one) for one in sides_m(shapely.box(0, 0, 300, 27))]
    [27, 300, 90]
    """
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(outline))
    sides = np.diff(corners[:3], axis=0)
    length_m = np.hypot(*sides.T)
    east_m, north_m = sides[length_m.argmax()]
    deg = float(np.degrees(np.arctan2(east_m, north_m)) % 180)
    return float(length_m.min()), float(length_m.max()), deg
