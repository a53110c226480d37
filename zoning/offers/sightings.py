"""Which sighting speaks for which zone: what was seen in one part of it says little of the others.

Parts are what the layers tell apart; a zone may hold several, where they return alike.
"""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date

import numpy as np

from zoning.evidence import number
from zoning.inputs.given import FieldInputs, Sighting
from zoning.inputs.grid import Grid
from zoning.offers.nearest import Numbers, number_inside
from zoning.settings.model import Pressure
from zoning.words import Said
from zoning.zones.zoning import Zoning

# What scouting may say of a zone, the least telling first.
_TELLING: tuple[Pressure, ...] = ("unknown", "low", "medium", "high", "seen")


def speaking(
    sightings: Sequence[Sighting], number_of_cell: Numbers, grid: Grid, part_of_cell: Numbers | None = None
) -> dict[int, Sighting]:
    """Find the sighting that speaks for each zone: the latest; of one day, the one that names the most.

    Parameters
    ----------
    sightings : sequence of Sighting
    number_of_cell : ndarray of int, shape of the grid
        Zone of each cell, 0 where there is none.
    grid : Grid
    part_of_cell : ndarray of int, shape of the grid, optional
        Parts that the layers tell apart; nothing speaks for a zone of which most parts were not walked.

    Returns
    -------
    dict of int to Sighting
        By zone number; zones for which nothing speaks are not in it.
    """
    latest = _latest(sightings, number_of_cell, grid)
    least = number("returns.sighting_least_frac")
    shares = _walked_frac(sightings, number_of_cell, grid, part_of_cell)
    return {zone: one for zone, one in latest.items() if shares[zone] >= least}


def of_parts(given: FieldInputs, zoning: Zoning) -> tuple[Said, ...]:
    """Name the zones in which something was seen that does not speak for them, and how much was walked."""
    cells = zoning.number_of_cell
    heard = speaking(given.sightings, cells, given.grid, zoning.part_of_cell)
    shares = _walked_frac(given.sightings, cells, given.grid, zoning.part_of_cell)
    return tuple(
        Said("offers.seen_on_part", zone=zone, pressure=one.pressure, on=one.on, percent=100 * shares[zone])
        for zone, one in sorted(_latest(given.sightings, cells, given.grid).items())
        if zone not in heard
    )


def _latest(sightings: Sequence[Sighting], number_of_cell: Numbers, grid: Grid) -> dict[int, Sighting]:
    latest: dict[int, Sighting] = {}
    for one in sightings:
        zone = number_inside(one, number_of_cell, grid)
        if zone and (zone not in latest or _weight(one) > _weight(latest[zone])):
            latest[zone] = one
    return latest


def _walked_frac(
    sightings: Sequence[Sighting], number_of_cell: Numbers, grid: Grid, part_of_cell: Numbers | None
) -> dict[int, float]:
    """Share of each zone that lies in parts in which somebody was; 1 where no parts are known."""
    walked: dict[int, set[int]] = defaultdict(set)
    for one in sightings:
        zone = number_inside(one, number_of_cell, grid)
        if zone:
            walked[zone].add(0 if part_of_cell is None else number_inside(one, part_of_cell, grid))
    if part_of_cell is None:
        return dict.fromkeys(walked, 1.0)
    return {
        zone: float(np.isin(part_of_cell[number_of_cell == zone], list(parts)).mean())
        for zone, parts in walked.items()
    }


def _weight(one: Sighting) -> tuple[date, int]:
    return one.on, _TELLING.index(one.pressure)
