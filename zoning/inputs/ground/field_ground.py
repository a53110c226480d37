"""The ground of a field step by step: what somebody drew, zones that are given, what images show dead."""

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from zoning.inputs import files
from zoning.inputs.grid import Grid
from zoning.inputs.ground import cells, crop, drawn_zones, kept_zones, no_spray
from zoning.inputs.images import dead
from zoning.inputs.reading import Reading
from zoning.words import Said, amounts


def as_drawn(reading: Reading, ground: crop.CropGround, *, layers: bool) -> crop.CropGround:
    """Take out what somebody drew as setback or dead, and read the zones that are given.

    Parameters
    ----------
    reading : Reading
        Gathers faults, notes and files.
    ground : CropGround
        Boundary and blocks.
    layers : bool
        False: zones are not read.
    """
    kept = reading.attempt(partial(_kept_by, reading, ground)) if layers else None
    drawn = _drawn(reading, ground.epsg, kept)
    ground = reading.attempt(partial(_without, reading, ground, drawn)) or ground
    zoned = reading.attempt(partial(_zoned, reading, ground, kept)) if layers else None
    return zoned or ground


def as_seen(
    reading: Reading,
    ground: crop.CropGround,
    looks: Sequence[dead.Look],
    grid: Grid,
    block_of_cell: dead.Ints,
) -> tuple[crop.CropGround, dead.Ints]:
    """Take out what images show dead; a field that keeps its zones keeps its dead ground too.

    Parameters
    ----------
    reading, ground
        As `as_drawn` gave it.
    looks : sequence of Look
    grid : Grid
    block_of_cell : ndarray of int, shape of the grid

    Returns
    -------
    CropGround
    ndarray of int
        The block of each cell, now.
    """
    asked = ground.blocks and not any(one.kept for one in ground.zones)
    if not asked or not reading.settings.zones.bare_is_dead:
        return ground, block_of_cell
    found = dead.patches(looks, grid, ground.blocks, block_of_cell)
    if found is None:
        return ground, block_of_cell
    shown = no_spray.Drawn(kind="dead ground", source=found.files, outline=found.outline)
    now = reading.attempt(partial(_without, reading, ground, [shown])) or ground
    if now is ground:
        return ground, block_of_cell
    before_ac = math.fsum(one.area_ac for one in ground.no_spray)
    dead_ac = math.fsum(one.area_ac for one in now.no_spray) - before_ac
    told = amounts.area(dead_ac, is_metric=reading.settings.units == "metric")
    reading.notes.append(Said("inputs.dead_seen", area=told, file=found.files, day=found.day))
    return now, cells.block_of([block.outline for block in now.blocks], grid)


def _kept_by(reading: Reading, ground: crop.CropGround) -> Path | None:
    return kept_zones.of_field(reading.settings, ground.blocks, reading.today)


def _drawn(reading: Reading, epsg: int, kept: Path | None) -> list[no_spray.Drawn]:
    """Read what somebody drew, and what was dead when the zones were kept."""
    wanted = reading.settings
    steps = [partial(_setback, reading, place, epsg) for place in range(1, len(wanted.setbacks) + 1)]
    steps += [partial(_dead_ground, reading, place, epsg) for place in range(1, len(wanted.dead_ground) + 1)]
    found = [reading.attempt(step) for step in steps]
    if kept is not None:
        found.append(reading.attempt(partial(no_spray.kept, kept, epsg)))
    return [one for one in found if one is not None]


def _setback(reading: Reading, place: int, epsg: int) -> no_spray.Drawn:
    wanted = reading.settings.setbacks[place - 1]
    return no_spray.setback(wanted, reading.path(f"setback[{place}].file", wanted.file), epsg)


def _dead_ground(reading: Reading, place: int, epsg: int) -> no_spray.Drawn:
    wanted = reading.settings.dead_ground[place - 1]
    return no_spray.dead_ground(wanted, reading.path(f"dead_ground[{place}].file", wanted.file), epsg)


def _without(reading: Reading, ground: crop.CropGround, drawn: Sequence[no_spray.Drawn]) -> crop.CropGround:
    least = crop.Least(ac=reading.settings.zones.min_area_ac, is_metric=reading.settings.units == "metric")
    now, notes = crop.without(ground, drawn, least)
    reading.notes.extend(notes)
    return now


def _zoned(reading: Reading, ground: crop.CropGround, kept: Path | None) -> crop.CropGround | None:
    """Read the zones that the field keeps, or that somebody drew; None where there are none."""
    settings = reading.settings
    field = drawn_zones.Field(settings, ground.epsg, ground.crop)
    if kept is not None:
        reading.paths.append(kept)
        files.watch(kept, kept_zones.FILE)
        zoned = kept_zones.read(field, kept)
    elif settings.zones.file:
        zoned = drawn_zones.read(field, reading.path("zones.file", settings.zones.file))
    else:
        return None
    reading.notes.extend(zoned.notes)
    return crop.noded(replace(ground, zones=zoned.zones)) if ground.blocks else None
