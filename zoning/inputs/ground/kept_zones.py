"""Zones that stay as they were when a part of the field was sprayed, with the numbers that done.csv names.

Reads them back; `zoning.sprayed` saves them.
"""

from dataclasses import replace
from datetime import date
from pathlib import Path

import shapely

from zoning.errors import InputError
from zoning.inputs import done, vector
from zoning.inputs.given import Area, Block, GivenZone, Sprayed
from zoning.inputs.ground import drawn_zones
from zoning.inputs.ground.boundary import polygons_of
from zoning.settings.model import Settings
from zoning.words import Said

FILE = "applied/zones.gpkg"
NUMBER, NAME = "zone", "name"  # columns of the file
_ABOUT = "boundary"  # the layer that says of which plan the zones are


def path_of(settings: Settings) -> Path:
    """Give the path of a field's kept zones, which need not be there."""
    return settings.folder / FILE


def parts_sprayed(settings: Settings, blocks: tuple[Block, ...], today: date) -> tuple[Sprayed, ...]:
    """List the passes over a part of the field, in this crop and up to today."""
    if not blocks:
        return ()
    planted = max(block.planted for block in blocks)
    passes = done.of_field(settings)
    return tuple(one for one in passes if one.zone_numbers and planted < one.on <= today)


def of_field(settings: Settings, blocks: tuple[Block, ...], today: date) -> Path | None:
    """Give the file of the zones that the field has to keep; None where it may be divided anew.

    Raises
    ------
    InputError
        What is wrong with done.csv.
    """
    path = path_of(settings)
    return path if path.is_file() and parts_sprayed(settings, blocks, today) else None


def zones_id(path: Path) -> str | None:
    """Give what the kept zones were called in the plan that they were saved from; None where it is not said.

    Parameters
    ----------
    path : Path
        The file; need not be there.
    """
    if not path.is_file() or not vector.has_layer(path, _ABOUT):
        return None
    about = vector.read(path, FILE, layer=_ABOUT).features[0].columns.get("zones_id")
    return about if isinstance(about, str) else None


def read(field: drawn_zones.Field, path: Path) -> drawn_zones.Zoned:
    """Read kept zones.

    Parameters
    ----------
    field : Field
        As for `drawn_zones.read`.
    path : Path
        The file, with the number of each zone in its column `zone`.

    Returns
    -------
    Zoned
        In the order of their numbers; `kept` of each is its number, 0 for ground that was not in the field
        then. Names are those that somebody else gave them.

    Raises
    ------
    InputError
        When the file was changed, or the field does not hold every zone of it any more.
    """
    zones = field.settings.zones.model_copy(update={"file": FILE, "zone_column": NUMBER})
    settings = field.settings.model_copy(update={"zones": zones})
    found = drawn_zones.read(replace(field, settings=settings), path)
    names = drawn_zones.other_names(path, FILE, NUMBER, NAME)
    kept = [
        GivenZone(
            name=names.get(one.name, ""),
            outline=one.outline,
            kept=int(one.name) if one.name.isdecimal() else 0,
        )
        for one in found.zones
    ]
    check(sorted(one.kept for one in kept if one.kept), len(names))
    return replace(found, zones=tuple(kept), notes=(*found.notes, Said("done.zones_kept", file=FILE)))


def outlines(path: Path, epsg: int) -> dict[int, Area]:
    """Read the ground of each zone by its number, as it was kept or as a run wrote it.

    Parameters
    ----------
    path : Path
        The kept zones, or the zones.gpkg of a run.
    epsg : int
        The plane of the field's grid.

    Raises
    ------
    InputError
        When it holds no numbered zones.
    """
    found = vector.read(path, f"{path.parent.name}/{path.name}", layer="zones")
    shapes = found.projected(epsg)
    try:
        numbers = [int(str(row.columns[NUMBER])) for row in found.features]
    except (KeyError, ValueError) as error:
        raise InputError(
            "it is not what a run writes", where=path.name, mend="Run the field again."
        ) from error
    clean = shapely.make_valid(shapes)
    return {number: polygons_of(shape) for number, shape in zip(numbers, clean, strict=True)}


def check(numbers: list[int], count: int) -> None:
    """Refuse kept zones that are no longer all there.

    Raises
    ------
    InputError
        When `numbers` are not 1 to `count`.
    """
    lost = sorted(set(range(1, count + 1)) - set(numbers))
    if lost or len(numbers) != count:
        what = (
            f"zone {', '.join(map(str, lost))} has no ground left in the field" if lost else "it was changed"
        )
        mend = (
            "Bring back boundary, planting and setbacks as they were when it was sprayed; or take the file "
            "away to have the zones drawn anew, and correct the zones in done.csv."
        )
        raise InputError(what, where=FILE, mend=mend)
