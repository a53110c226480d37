"""Several images of one index as one layer: the clear dates, laid on one another, and their middle.

Reads no pixels itself; one image is read in `imagery`.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np

from zoning import units
from zoning.errors import InputError, raise_all
from zoning.evidence import number
from zoning.inputs.given import Layer
from zoning.inputs.grid import Floats, Grid
from zoning.inputs.images import imagery, registration
from zoning.inputs.images.imagery import Ground, Picture, Read
from zoning.inputs.images.of_use import constant, judged
from zoning.settings.model import Settings
from zoning.words import Said


def groups(settings: Settings) -> dict[str, list[int]]:
    """Sort the images into layers, by `layer` or else by index; counted from 1, in the order given."""
    found: dict[str, list[int]] = {}
    for place, wanted in enumerate(settings.imagery, 1):
        found.setdefault(wanted.layer or wanted.index, []).append(place)
    return found


def layer(settings: Settings, name: str, ground: Ground, today: date) -> Read:
    """Read the images of one layer and put them together.

    Parameters
    ----------
    settings : Settings
        Of the field.
    name : str
        Of the layer, a key of `groups`.
    ground : Ground
        Where it goes.
    today : date
        Images taken later are not used.

    Returns
    -------
    Read
        The layer holds, cell by cell, the median of the dates that are clear there (of two: the mean), on
        the scale of the reference date: the clearest, of equally clear ones the newest.

    Raises
    ------
    InputError
        Every fault of every image; and when all of them show only cloud.
    """
    said: list[Said] = []
    pictures: list[Picture] = []
    faults: list[InputError] = []
    for place in groups(settings)[name]:
        try:
            day = imagery.day_of(settings, place)
            if day is not None and day > today:
                file = settings.imagery[place - 1].file
                said.append(Said("inputs.image_later", file=file, day=day, today=today))
            else:
                pictures.append(imagery.picture(settings, place, ground))
        except InputError as fault:
            faults.append(fault)
    raise_all(faults)
    said += [note for one in pictures for note in one.notes]
    paths = tuple(path for one in pictures for path in one.paths)
    if not pictures:
        return Read(layer=None, notes=tuple(said))
    used, of_dates = _used(pictures, name, ground)
    if len(used) > 1:
        used, of_places = _on_one_another(used, settings, ground)
        of_dates += of_places
    read = _together(used, (name, name in [one.layer for one in settings.imagery]), ground, settings.units)
    looks = tuple(look for one in used if (look := one.look) is not None)
    return replace(read, notes=(*said, *of_dates, *read.notes), paths=paths, looks=looks)


def _used(pictures: Sequence[Picture], name: str, ground: Ground) -> tuple[list[Picture], list[Said]]:
    """Choose the dates that are clear, the reference first; at least one is used whatever it shows."""
    whole = _whole(pictures, ground)
    uneven = [one for one in whole if not constant(np.where(ground.inside, one.values, np.nan))]
    uneven = uneven or whole[:1]
    said = [Said("inputs.layer_constant", file=one.file, name=name) for one in whole if one not in uneven]
    # whole percent: a single cell is not what makes a date the reference
    ranked = sorted(
        uneven,
        key=lambda one: (round(100 * _clear_frac(one, ground)), one.day or date.min),
        reverse=True,
    )
    enough = number("inputs.layer_well_seen_frac")
    used = [one for one in ranked if _clear_frac(one, ground) >= enough] or ranked[:1]
    for one in ranked:
        if one not in used:
            percent = 100 * _clear_frac(one, ground)
            said.append(Said("inputs.image_cloudy", file=one.file, percent=percent, name=name))
    return used, said


def _clear_frac(one: Picture, ground: Ground) -> float:
    return float(one.seen[ground.inside].mean()) if ground.inside.any() else 0.0


def _whole(pictures: Sequence[Picture], ground: Ground) -> list[Picture]:
    """Put pieces of one day together, as where a field lies in two tiles."""
    enough = number("inputs.layer_well_seen_frac")
    found: list[Picture] = []
    for one in pictures:
        place = next(
            (
                place
                for place, other in enumerate(found)
                if one.day is not None
                and other.day == one.day
                and max(_clear_frac(one, ground), _clear_frac(other, ground)) < enough
            ),
            None,
        )
        if place is None:
            found.append(one)
        else:
            found[place] = _joined(found[place], one)
    return found


def _joined(first: Picture, second: Picture) -> Picture:
    """Lay two pieces of a day together; where both see the ground, their mean."""
    return replace(
        first,
        file=f"{first.file}, {second.file}",
        values=_nan_mean(np.stack([first.values, second.values])),
        water=first.water | second.water,
        bare=(first.bare | second.bare) & ~(first.water | second.water),
        tells_bare=first.tells_bare and second.tells_bare,
        pixel_m=max(first.pixel_m, second.pixel_m),
        places=(*first.places, *second.places),
    )


def _nan_mean(stack: Floats) -> Floats:
    seen = np.isfinite(stack).sum(axis=0)
    with np.errstate(invalid="ignore"):
        return np.where(seen > 0, np.nansum(stack, axis=0) / seen, np.nan)


def _on_one_another(
    used: Sequence[Picture], settings: Settings, ground: Ground
) -> tuple[list[Picture], list[Said]]:
    """Hold each date against the reference, the first: move it back where it lies off, leave out what is far.

    A pixel here is that of the coarser image on the ground, or a cell where that is larger.
    """
    reference, *others = used
    kept, said = [reference], []
    cell_m = ground.grid.cell_m
    still = np.where(ground.inside, reference.values, np.nan)
    for one in others:
        pixel_cells = max(reference.pixel_m, one.pixel_m, cell_m) / cell_m
        moving = np.where(ground.inside, one.values, np.nan)
        found = registration.shift(
            still, moving, most_cells=pixel_cells * number("inputs.registration_search_px")
        )
        if found is None or found.known_to > pixel_cells * number("inputs.registration_known_to_px"):
            kept.append(one)
        elif found.cells > pixel_cells * number("inputs.registration_most_px"):
            far_m = found.cells * cell_m
            said.append(Said("inputs.image_far_off", file=one.file, reference=reference.file, m=far_m))
        elif found.cells > pixel_cells * number("inputs.registration_fair_px"):
            off_m = found.cells * cell_m
            said.append(Said("inputs.image_moved", file=one.file, reference=reference.file, m=off_m))
            kept.append(_moved(one, found, settings, ground))
        else:
            kept.append(one)
    return kept, said


def _moved(one: Picture, off: registration.Shift, settings: Settings, ground: Ground) -> Picture:
    """Read a date again where it shows the ground of the grid: sharper than moving its cells."""
    grid = ground.grid
    there = Grid(
        grid.epsg,
        grid.left_m + off.columns * grid.cell_m,
        grid.top_m - off.rows * grid.cell_m,
        grid.cell_m,
        grid.shape,
    )
    moved = Ground(grid=there, inside=ground.inside)
    first, *more = (imagery.picture(settings, place, moved) for place in one.places)
    for other in more:
        first = _joined(first, other)
    return first


def on_scale_of(reference: Floats, values: Floats) -> Floats:
    """Bring one date to the level and spread of another.

    Parameters
    ----------
    reference, values : ndarray of float64, same shape
        NaN where not seen.

    Notes
    -----
    The index of the whole field rises and falls between days, and its spread with it as the canopy closes.
    Where one date has a hole, a median of plain values would take that cell from other days than its
    neighbours', and the edge of the cloud would become a pattern. So each date is taken relative to its own
    median and quartiles, and written in units of the reference. Both are taken over the cells that both
    dates show: over its own clear cells, a date with a hole in the poor half would seem too rich.

    Examples
    --------
    >>> day, later = np.array([0.2, 0.4, 0.6, 0.8]), np.array([0.5, 0.6, np.nan, 0.8])
    >>> on_scale_of(day, later).round(3).tolist()
    [0.2, 0.4, nan, 0.8]
    """
    both = np.isfinite(reference) & np.isfinite(values)
    if not both.any():
        return values
    (low, middle, high), (their_low, their_middle, their_high) = (
        np.quantile(one[both], (0.25, 0.5, 0.75)) for one in (reference, values)
    )
    factor = (high - low) / (their_high - their_low) if high > low and their_high > their_low else 1.0
    return np.asarray(middle + (values - their_middle) * factor)


def _together(used: Sequence[Picture], named: tuple[str, bool], ground: Ground, system: str) -> Read:
    """Make a layer of the dates that are used, and say what it leaves out."""
    name, is_given = named
    reference = used[0]
    inside = ground.inside
    own = np.where(inside, reference.canopy, np.nan)
    stack = np.stack([own, *(on_scale_of(own, np.where(inside, one.canopy, np.nan)) for one in used[1:])])
    clear = np.logical_or.reduce([one.seen for one in used]) & inside
    values = _median(stack)
    days = sorted(one.day for one in used if one.day is not None)
    said = []
    if len(used) > 1:
        how = "median" if len(used) > 2 else "mean"  # of two it is the mean
        undated = [one.file for one in used if one.day is None]
        shown = ", ".join([*map(str, days), *(f"{file} (its day is not known)" for file in undated)])
        said.append(Said("inputs.images_together", name=name, how=how, count=len(used), days=shown))
    elif days and not is_given:
        name = f"{name} {days[0]}"
    left_out = clear & ~np.isfinite(values)
    water = left_out & np.logical_or.reduce([one.water for one in used])
    said += _no_canopy(
        name, water.sum() * ground.grid.cell_ac, (left_out & ~water).sum() * ground.grid.cell_ac, system
    )
    found = Layer(
        name=name,
        values=values,
        file=", ".join(one.file for one in sorted(used, key=lambda one: one.places)),
        day=days[-1] if days else None,
        clear_frac=0.0,
        shows="canopy",
    )
    return judged(found, ground, tuple(said), clear, pixel_m=min(one.pixel_m for one in used))


def _median(stack: Floats) -> Floats:
    """Take the median of what is known in each cell, NaN where nothing is."""
    ordered = np.sort(stack, axis=0)  # NaN last
    seen = np.isfinite(stack).sum(axis=0)
    low, high = (np.maximum(seen - 1, 0) // 2, seen // 2)
    low, high = (np.minimum(one, len(stack) - 1)[None] for one in (low, high))
    middle = (np.take_along_axis(ordered, low, axis=0) + np.take_along_axis(ordered, high, axis=0))[0] / 2
    return np.where(seen > 0, middle, np.nan)


def _no_canopy(name: str, water_ac: float, bare_ac: float, system: str) -> list[Said]:
    parts = [
        f"{_area(area_ac, system)} of {what}"
        for area_ac, what in ((water_ac, "water"), (bare_ac, "bare or drowned ground"))
        if area_ac > 0
    ]
    return [Said("inputs.layer_no_canopy", name=name, areas=" and ".join(parts))] if parts else []


def _area(area_ac: float, system: str) -> str:
    return f"{units.ha_from_ac(area_ac):.2f} ha" if system == "metric" else f"{area_ac:.2f} ac"
