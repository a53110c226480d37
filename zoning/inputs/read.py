"""One field, read: every input file onto one grid, every fault of every file said together.

The reading of each kind of file is in a module of its own; nothing is computed here from what was read.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import partial

import numpy as np
import numpy.typing as npt

from zoning.errors import InputError, raise_all
from zoning.evidence import number
from zoning.inputs import area, files
from zoning.inputs.given import Area, Block, FieldInputs, Hourly, Layer, StripDesign, Weather
from zoning.inputs.grid import Grid
from zoning.inputs.ground import boundary, cells, crop, field_ground, guidance, heading
from zoning.inputs.images import imagery
from zoning.inputs.images import layers as layers_read
from zoning.inputs.planted import azimuth, planting, sown
from zoning.inputs.reading import Reading
from zoning.inputs.scouting import rows
from zoning.inputs.strips import design, swaths
from zoning.inputs.weather_files import hourly, hourly_files, weather
from zoning.settings.model import Settings
from zoning.words import Said


def field(
    settings: Settings, today: date, *, layers: bool = True, strips: bool = True, is_over: bool = False
) -> FieldInputs:
    """Read everything that is known of one field.

    Parameters
    ----------
    settings : Settings
        Which files there are, and how to read them.
    today : date
        Later weather, images and sightings are ignored.
    layers : bool
        False: images, other layers and drawn zones are not read; boundary, blocks, weather and counts are.
    strips : bool
        False: check strips that are laid are passed over, as new ones will be.
    is_over : bool
        The crop is harvested: daily weather may end before `today`, as its last weeks tell nothing more.

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
    reading = Reading(settings=settings, today=today)
    edge = reading.attempt(lambda: _boundary(reading))
    daily = reading.attempt(lambda: _weather(reading))
    hours = reading.attempt(lambda: _hourly(reading, edge))
    grid = reading.attempt(lambda: _grid(settings, edge)) if edge else None
    if edge is None or grid is None:
        _only_look(reading)
        raise InputError.together(reading.faults)
    planted = reading.attempt(lambda: _planted(reading, edge, grid))
    ground = _ground(reading, edge, planted, layers=layers)
    scouted = _scouted(reading, edge, ground.blocks)
    lines = reading.attempt(lambda: guidance.read(reading, edge.epsg, edge.area))
    seen, ground, block_of_cell = _seen(reading, ground, grid, layers=layers)
    inside = block_of_cell >= 0
    laid = reading.attempt(lambda: _strips(reading, edge, ground.crop)) if layers and strips else None
    record = hours.record if hours else None
    reading.attempt(lambda: _no_gap(reading, daily, record, ground.blocks, is_over=is_over))
    raise_all(reading.faults)
    driven = heading.heading(settings, _driven_deg(planted), ground.field, lines)
    reading.notes.extend(swaths.doubts(laid, driven, settings, design.FILE) if laid else ())
    reading.notes.extend(_of_earlier_crops(settings, ground.blocks) if layers else ())
    lonlat = area.to_lonlat(ground.field, edge.epsg)
    return FieldInputs(
        boundary=ground.crop,
        boundary_lonlat=lonlat,
        area_ac=area.geodesic_ac(lonlat),
        latitude_deg=edge.latitude_deg,
        longitude_deg=edge.longitude_deg,
        grid=grid,
        inside=inside,
        fit=cells.fit_of(settings, ground.crop, grid, block_of_cell),
        blocks=ground.blocks,
        block_of_cell=block_of_cell,
        layers=_cut_to(seen.zones, inside),
        check_layers=_cut_to(seen.check, inside),
        given_zones=ground.zones,
        heading=driven,
        yield_bu_ac=seen.yield_bu_ac,
        weather=daily,
        hourly=hours.record if hours else None,
        hourly_forecast=hours.forecast if hours else None,
        sightings=scouted.sightings,
        counts=scouted.counts,
        remarks=scouted.remarks,
        notes=tuple(reading.notes),
        blocks_drawn=planted.drawn if planted else True,
        no_spray=ground.no_spray,
        strips=laid,
        files=files.hashes(settings, reading.paths),
    )


def _boundary(reading: Reading) -> boundary.Boundary:
    file = reading.settings.boundary.file
    edge = boundary.read(reading.path("boundary.file", file), file)
    reading.notes.extend(edge.notes)
    return edge


def _weather(reading: Reading) -> Weather | None:
    """Read the daily file and its forecast; None where nobody named one and none is there."""
    wanted = reading.settings.weather
    named = "weather.daily" in reading.settings.origin
    if not named and not reading.settings.path("weather.daily", wanted.daily).exists():
        return None
    path = reading.path("weather.daily", wanted.daily)
    ahead = reading.path("weather.forecast", wanted.forecast) if wanted.forecast else None
    daily, notes = weather.shared(path, reading.today, columns=wanted.columns, forecast=ahead)
    reading.notes.extend(notes)
    return daily


def _hourly(reading: Reading, edge: boundary.Boundary | None) -> hourly_files.Hours:
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


def _planted(reading: Reading, edge: boundary.Boundary, grid: Grid) -> planting.Planted:
    file = reading.settings.planting.file
    path = reading.path("planting.file", file) if file else None
    place = sown.Place(settings=reading.settings, boundary=edge, today=reading.today)
    planted = planting.read(place, grid, path)
    reading.notes.extend(planted.notes)
    return planted


def _ground(
    reading: Reading, edge: boundary.Boundary, planted: planting.Planted | None, *, layers: bool
) -> crop.CropGround:
    """Give the ground as it is drawn; without blocks where the planting is at fault: the rest is read too."""
    whole, blocks = (planted.whole, planted.blocks) if planted else (edge.area, ())
    ground = crop.CropGround(epsg=edge.epsg, field=whole, crop=whole, blocks=blocks)
    return field_ground.as_drawn(reading, ground, layers=layers)


def _seen(
    reading: Reading, ground: crop.CropGround, grid: Grid, *, layers: bool
) -> tuple[layers_read.Seen, crop.CropGround, npt.NDArray[np.int16]]:
    """Read the layers, and give the ground without what they show dead, and the block of each cell."""
    block_of_cell = cells.block_of([block.outline for block in ground.blocks] or [ground.crop], grid)
    if not layers:
        return layers_read.Seen(), ground, block_of_cell
    seen = _layers(reading, imagery.Ground(grid=grid, inside=block_of_cell >= 0))
    ground, block_of_cell = field_ground.as_seen(reading, ground, seen.looks, grid, block_of_cell)
    return seen, ground, block_of_cell


def _strips(reading: Reading, edge: boundary.Boundary, crop: Area) -> StripDesign | None:
    """Read the check strips that are laid, where there is a pass that they could check."""
    return design.read(reading, edge, crop) if reading.settings.level == 3 else None


def _driven_deg(planted: planting.Planted | None) -> float | None:
    """Give the direction of the planter's passes; None where it left no records."""
    if planted is None or planted.records is None:
        return None
    return azimuth.driven_deg(planted.records.shapes, planted.records.stamps)


def _cut_to(layers: Sequence[Layer], inside: imagery.Bools) -> tuple[Layer, ...]:
    return tuple(replace(one, values=np.where(inside, one.values, np.nan)) for one in layers)


def _scouted(reading: Reading, edge: boundary.Boundary, blocks: Sequence[Block]) -> rows.Scouted:
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
    reading: Reading, edge: boundary.Boundary, blocks: Sequence[Block], named: tuple[str, str]
) -> rows.Scouted:
    path = reading.path(*named)
    return rows.read(path, named[1], edge, reading.today, reading.settings.time_zone, blocks)


def _layers(reading: Reading, ground: imagery.Ground) -> layers_read.Seen:
    """Read the images and further layers, and remember their files and what is to be said about them.

    Raises
    ------
    InputError
        Where the field is so small or thin that no cell has its middle inside.
    """
    settings = reading.settings
    if not ground.inside.any() and (settings.imagery or settings.layers):
        cut = " and outside setbacks and dead ground" if settings.setbacks or settings.dead_ground else ""
        what = f"no cell of {ground.grid.cell_m:g} m has its middle inside the boundary{cut}, "
        what += "so no map can be read"
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


def _no_gap(
    reading: Reading,
    daily: Weather | None,
    hours: Hourly | None,
    blocks: Sequence[Block],
    *,
    is_over: bool = False,
) -> None:
    """Refuse daily weather that leaves out days of this season; hours that are not known are said."""
    if not blocks:
        return
    first, wanted = min(block.planted for block in blocks), reading.settings.weather
    if hours is not None and not is_over:
        reading.notes.extend(hourly.of_season(hours, wanted.hourly or "", first, reading.today))
    if daily is not None:
        last_day = int(daily.day.max(initial=0)) if is_over else reading.today.toordinal()
        until = min(reading.today, date.fromordinal(max(last_day, first.toordinal())))
        reading.notes.extend(weather.no_gap(daily, wanted.daily, first, until))


def _only_look(reading: Reading) -> None:
    """Look whether the other files are there, when without a boundary they cannot be read."""
    settings = reading.settings
    named = [("planting.file", settings.planting.file), ("zones.file", settings.zones.file)]
    named.append(("guidance.file", settings.guidance.file))
    named += [(f"imagery[{place}].file", one.file) for place, one in enumerate(settings.imagery, 1)]
    named += [(f"layer[{place}].file", one.file) for place, one in enumerate(settings.layers, 1)]
    named += [(f"scouting[{place}].file", one.file) for place, one in enumerate(settings.scouting, 1)]
    for key, file in named:
        if file:
            reading.attempt(partial(files.find, settings, key, file))
