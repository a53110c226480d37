"""One field, read: every input file onto one grid, every fault of every file said together.

The reading of each kind of file is in a module of its own; nothing is computed here from what was read.
"""

import dataclasses
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path
from typing import TypeVar

import numpy as np
import numpy.typing as npt
import rasterio.features
import shapely

from zoning.errors import InputError, raise_all
from zoning.evidence import number
from zoning.inputs import (
    area,
    azimuth,
    boundary,
    drawn_zones,
    files,
    heading,
    hourly,
    hourly_files,
    imagery,
    kept_zones,
    planting,
    sown,
    weather,
)
from zoning.inputs import layers as layers_read
from zoning.inputs.given import Area, Block, FieldInputs, Hourly, Weather
from zoning.inputs.grid import Grid
from zoning.inputs.scouting import rows
from zoning.settings.model import Settings
from zoning.words import Said

T = TypeVar("T")
_FEWEST_FIT_FRAC = 0.1  # of a block's cells; with fewer, all of them teach


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Reading:
    """The field that is being read, and what has been gathered on the way."""

    settings: Settings
    today: date
    paths: list[Path] = dataclasses.field(default_factory=list)
    notes: list[Said] = dataclasses.field(default_factory=list)
    faults: list[InputError] = dataclasses.field(default_factory=list)

    def attempt(self, step: Callable[[], T]) -> T | None:
        """Do one step, or keep its fault, so that the other files are read too."""
        try:
            return step()
        except InputError as error:
            self.faults.append(error)
            return None

    def path(self, key: str, file: str) -> Path:
        """Find a file and remember that it was used."""
        path = files.find(self.settings, key, file)
        self.paths.append(path)
        return path


def field(settings: Settings, today: date, *, layers: bool = True) -> FieldInputs:
    """Read everything that is known of one field.

    Parameters
    ----------
    settings : Settings
        Which files there are, and how to read them.
    today : date
        Later weather, images and sightings are ignored.
    layers : bool
        False: images, other layers and drawn zones are not read; boundary, blocks, weather and counts are.

    Returns
    -------
    FieldInputs
        Layers on one grid in the field's UTM zone, blocks that fill its boundary, weather, sightings,
        what is doubtful, and the hash of every file.

    Raises
    ------
    InputError
        All faults of all files at once; exit 2 if a file is missing, else 3.
    """
    reading = _Reading(settings=settings, today=today)
    edge = reading.attempt(lambda: _boundary(reading))
    daily = reading.attempt(lambda: _weather(reading))
    hours = reading.attempt(lambda: _hourly(reading, edge))
    grid = reading.attempt(lambda: _grid(settings, edge)) if edge else None
    if edge is None or grid is None:
        _only_look(reading)
        raise InputError.together(reading.faults)
    planted = reading.attempt(lambda: _planted(reading, edge, grid))
    # Layers are read even when the planting is at fault, so that all faults come at once.
    blocks, whole = (planted.blocks, planted.whole) if planted else ((), edge.area)
    zoned = reading.attempt(
        lambda: _drawn(reading, drawn_zones.Field(settings, edge.epsg, whole, blocks), wanted=layers)
    )
    blocks, whole, zones = (zoned.blocks, zoned.whole, zoned.zones) if zoned else (blocks, whole, ())
    scouted = _scouted(reading, edge, blocks)
    block_of_cell = _block_of_cell([block.outline for block in blocks] or [whole], grid)
    ground = imagery.Ground(grid=grid, inside=block_of_cell >= 0)
    seen = _layers(reading, ground) if layers else layers_read.Seen()
    reading.attempt(lambda: _no_gap(reading, daily, hours.record if hours else None, blocks))
    raise_all(reading.faults)
    reading.notes.extend(_of_earlier_crops(settings, blocks) if layers else ())
    lonlat = area.to_lonlat(whole, edge.epsg)
    return FieldInputs(
        boundary=whole,
        boundary_lonlat=lonlat,
        area_ac=area.geodesic_ac(lonlat),
        latitude_deg=edge.latitude_deg,
        longitude_deg=edge.longitude_deg,
        grid=grid,
        inside=ground.inside,
        fit=_fit(settings, whole, grid, block_of_cell),
        blocks=blocks,
        block_of_cell=block_of_cell,
        layers=seen.zones,
        check_layers=seen.check,
        given_zones=zones,
        heading=heading.heading(settings, _driven_deg(planted), whole),
        yield_bu_ac=seen.yield_bu_ac,
        weather=daily,
        hourly=hours.record if hours else None,
        hourly_forecast=hours.forecast if hours else None,
        sightings=scouted.sightings,
        counts=scouted.counts,
        notes=tuple(reading.notes),
        blocks_drawn=planted.drawn if planted else True,
        files=files.hashes(settings, reading.paths),
    )


def _boundary(reading: _Reading) -> boundary.Boundary:
    file = reading.settings.boundary.file
    edge = boundary.read(reading.path("boundary.file", file), file)
    reading.notes.extend(edge.notes)
    return edge


def _weather(reading: _Reading) -> Weather | None:
    """Read the daily file and its forecast; None where nobody named one and none is there."""
    wanted = reading.settings.weather
    named = "weather.daily" in reading.settings.origin
    if not named and not reading.settings.path("weather.daily", wanted.daily).exists():
        return None
    path = reading.path("weather.daily", wanted.daily)
    ahead = reading.path("weather.forecast", wanted.forecast) if wanted.forecast else None
    daily, notes = weather.with_notes(path, reading.today, columns=wanted.columns, forecast=ahead)
    reading.notes.extend(notes)
    return daily


def _hourly(reading: _Reading, edge: boundary.Boundary | None) -> hourly_files.Hours:
    """Read the hourly files that were named."""
    place_deg = edge.longitude_deg if edge else None
    asked = hourly_files.of_settings(reading.settings, reading.today, place_deg, reading.path)
    found = hourly_files.read(asked)
    reading.notes.extend(found.notes)
    return found


def _grid(settings: Settings, edge: boundary.Boundary) -> Grid:
    grid = Grid.covering(edge.area.bounds, edge.epsg, settings.zones.cell_m)
    cells = grid.shape[0] * grid.shape[1]
    if cells > number("inputs.grid_most_cells"):
        what = f"the boundary needs {cells:,} cells of {settings.zones.cell_m:g} m"
        mend = "Choose a larger cell in [zones], or make a field of each part that lies apart."
        raise InputError(what, where=settings.boundary.file, mend=mend)
    return grid


def _planted(reading: _Reading, edge: boundary.Boundary, grid: Grid) -> planting.Planted:
    file = reading.settings.planting.file
    path = reading.path("planting.file", file) if file else None
    place = sown.Place(settings=reading.settings, boundary=edge, today=reading.today)
    planted = planting.read(place, grid, path)
    reading.notes.extend(planted.notes)
    return planted


def _driven_deg(planted: planting.Planted | None) -> float | None:
    """Give the direction of the planter's passes; None where it left no records."""
    if planted is None or planted.records is None:
        return None
    return azimuth.driven_deg(planted.records.shapes, planted.records.stamps)


def _drawn(reading: _Reading, ground: drawn_zones.Field, *, wanted: bool) -> drawn_zones.Zoned | None:
    """Read the zones that the field keeps, or that somebody drew; None where there are none."""
    settings = reading.settings
    kept = kept_zones.of_field(settings, ground.blocks, reading.today) if wanted else None
    if kept is not None:
        reading.paths.append(kept)
        zoned = kept_zones.read(ground, kept)
    elif wanted and settings.zones.file:
        zoned = drawn_zones.read(ground, reading.path("zones.file", settings.zones.file))
    else:
        return None
    reading.notes.extend(zoned.notes)
    return zoned


def _scouted(reading: _Reading, edge: boundary.Boundary, blocks: Sequence[Block]) -> rows.Scouted:
    found: list[rows.Scouted] = []
    for place, wanted in enumerate(reading.settings.scouting, 1):
        step = partial(_one_scouted, reading, edge, blocks, (f"scouting[{place}].file", wanted.file))
        part = reading.attempt(step)
        if part:
            found.append(part)
    whole = rows.together(found)
    reading.notes.extend(whole.notes)
    return whole


def _one_scouted(
    reading: _Reading, edge: boundary.Boundary, blocks: Sequence[Block], named: tuple[str, str]
) -> rows.Scouted:
    path = reading.path(*named)
    return rows.read(path, named[1], edge, reading.today, reading.settings.time_zone, blocks)


def _layers(reading: _Reading, ground: imagery.Ground) -> layers_read.Seen:
    """Read the images and further layers, and remember their files and what is to be said about them.

    Raises
    ------
    InputError
        Where the field is so small or thin that no cell has its middle inside.
    """
    settings = reading.settings
    if not ground.inside.any() and (settings.imagery or settings.layers):
        what = (
            f"no cell of {ground.grid.cell_m:g} m has its middle inside the boundary, so no map can be read"
        )
        mend = "Choose a smaller cell in [zones], or take [[imagery]] and [[layer]] out."
        raise InputError.together(
            [*reading.faults, InputError(what, where=settings.boundary.file, mend=mend)]
        )
    seen = layers_read.of_field(reading.settings, ground, reading.today, reading.attempt)
    reading.paths.extend(seen.paths)
    reading.notes.extend(seen.notes)
    return seen


def _of_earlier_crops(settings: Settings, blocks: Sequence[Block]) -> list[Said]:
    """Say which images were taken before anything was planted here."""
    first = min(block.planted for block in blocks)
    days = [imagery.day_of(settings, place) for place in range(1, len(settings.imagery) + 1)]
    return [
        Said("inputs.image_before", file=wanted.file, day=day)
        for wanted, day in zip(settings.imagery, days, strict=True)
        if day is not None and day < first
    ]


def _no_gap(reading: _Reading, daily: Weather | None, hours: Hourly | None, blocks: Sequence[Block]) -> None:
    """Refuse daily weather that leaves out days of this season; hours that are not known are said."""
    if not blocks:
        return
    first, wanted = min(block.planted for block in blocks), reading.settings.weather
    if hours is not None:
        reading.notes.extend(hourly.of_season(hours, wanted.hourly or "", first, reading.today))
    if daily is not None:
        reading.notes.extend(weather.no_gap(daily, wanted.daily, first, reading.today))


def _block_of_cell(outlines: Sequence[Area], grid: Grid) -> npt.NDArray[np.int16]:
    """Give every cell the block in which its centre lies, -1 outside all."""
    shapes = [(outline, place) for place, outline in enumerate(outlines)]
    return np.asarray(
        rasterio.features.rasterize(
            shapes, out_shape=grid.shape, fill=-1, transform=grid.transform, dtype="int16"
        )
    )


def _fit(
    settings: Settings, whole: Area, grid: Grid, block_of_cell: npt.NDArray[np.int16]
) -> npt.NDArray[np.bool_]:
    """Mark the cells that teach the clustering: away from the boundary, where pixels and passes are mixed.

    A block that is narrow everywhere teaches with all its cells.
    """
    boom_m = settings.sprayers[0].boom_m if settings.sprayers else 0.0
    margin_m = max(number("inputs.edge_cells") * grid.cell_m, boom_m / 2)
    core = shapely.buffer(whole, -margin_m)
    inside = block_of_cell >= 0
    fit = inside & (_block_of_cell([core], grid) >= 0) if not core.is_empty else np.zeros_like(inside)
    for block in np.unique(block_of_cell[inside]):
        mine = block_of_cell == block
        if fit[mine].mean() < _FEWEST_FIT_FRAC:
            fit |= mine
    return fit


def _only_look(reading: _Reading) -> None:
    """Look whether the other files are there, when without a boundary they cannot be read."""
    settings = reading.settings
    named = [("planting.file", settings.planting.file), ("zones.file", settings.zones.file)]
    named += [(f"imagery[{place}].file", one.file) for place, one in enumerate(settings.imagery, 1)]
    named += [(f"layer[{place}].file", one.file) for place, one in enumerate(settings.layers, 1)]
    named += [(f"scouting[{place}].file", one.file) for place, one in enumerate(settings.scouting, 1)]
    for key, file in named:
        if file:
            reading.attempt(partial(files.find, settings, key, file))
