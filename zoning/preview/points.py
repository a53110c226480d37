"""Pictures of points: what was scouted, and what the combine wrote down."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial

import numpy as np
import shapely

from zoning import colours
from zoning.errors import InputError
from zoning.inputs import area, files
from zoning.inputs.harvest.points import asked
from zoning.inputs.harvest.points import read as points_read
from zoning.inputs.scouting import looked, points
from zoning.preview.drawn import amount
from zoning.preview.known import Known
from zoning.preview.picture import Dots, Key, Picture

_MOST_DOTS = 6_000  # of a combine's points; more of them are thinned out evenly
_STEPS = 5  # colours of the legend of a yield
_ENDS = (5.0, 95.0)  # percentiles that its colours end with


def pictures(known: Known) -> Iterator[Picture]:
    """Draw every file of scouting, and the combine's points where there are some."""
    for place, one in enumerate(known.settings.scouting, 1):
        yield from known.attempt(partial(_scouting, known, f"scouting[{place}].file", one.file))
    if _has_harvest(known):
        yield from known.attempt(partial(_harvest, known))


def _scouting(known: Known, key: str, file: str) -> Sequence[Picture]:
    path = files.find(known.settings, key, file)
    rows = points.read(path, file, may_be_empty=True, joins_lines=True)
    seen = [looked.look(line, known.settings.time_zone) for line in rows]
    placed = [one for one in seen if one.lonlat is not None]
    if not placed:
        return []
    lonlat = shapely.multipoints([one.lonlat for one in placed])
    days = sorted({one.when.date() for one in placed if one.when})
    span = f", {days[0]} to {days[-1]}" if len(days) > 1 else f", {days[0]}" if days else ""
    line = f"{len(placed)} of {len(seen)} rows have a place{span}"
    about, is_far = known.placed(known.blank("05_scouting", file, path.stem, line), lonlat)
    if is_far:
        return [about]
    at_m = shapely.get_coordinates(area.reproject(lonlat, area.LONLAT, known.edge.epsg))
    is_inside = shapely.contains_xy(known.edge.area, *at_m.T)
    is_count = np.array([one.seen is not None for one in placed])
    dots, keys = [], []
    for chosen, form, size, fill, text in (
        (is_inside & is_count, "o", 10.0, colours.ZONES[4], "counts of plants"),
        (is_inside & ~is_count, "D", 5.5, colours.WHITE, "disease, notes"),
        (~is_inside, "X", 8.0, colours.ZONES[1], "outside, not used"),
    ):
        if chosen.any():
            dots.append(
                Dots(at_m=at_m[chosen], fills=[fill] * int(chosen.sum()), size=size, form=form, rim=0.9)
            )
            keys.append(Key(text=f"{text}: {chosen.sum()}", fill=fill, form=form))
    return [replace(about, dots=tuple(dots), keys=tuple(keys))]


def _has_harvest(known: Known) -> bool:
    """Tell whether a combine's points are there: nobody need have harvested yet."""
    folder = known.settings.folder / asked.FOLDER
    return known.settings.harvest.file is not None or folder.is_dir()


def _harvest(known: Known) -> Sequence[Picture]:
    try:
        path, file = asked.find(known.settings, None)
    except InputError:
        if known.settings.harvest.file is not None:
            raise
        return []
    wanted = asked.asked_of(known.settings, known.edge.epsg, known.edge.area)
    found = points_read.read(path, file, wanted)
    has_yield = bool(np.isfinite(found.yield_bu_ac).any())
    values = found.yield_bu_ac if has_yield else found.flow_kg_s
    keep = np.flatnonzero(np.isfinite(values) & np.isfinite(found.east_m))
    what, unit = ("yield", "bu/ac") if has_yield else ("flow", "kg/s")
    line = f"the combine's {found.count:,} points, {100 * found.is_inside.mean():.0f} % in the field"
    about = known.blank("11_harvest", file, "", line)
    if not keep.size:
        return [about]
    low, high = np.percentile(values[keep], _ENDS)
    keep = keep[:: 1 + len(keep) // _MOST_DOTS]
    share = (values[keep] - low) / max(high - low, 1e-9)
    fills = [colours.ramp(colours.INDEX, float(one)) for one in share]
    at_m = np.column_stack([found.east_m[keep], found.north_m[keep]])
    told = f"{what} of {amount(low, high - low)} to {amount(high, high - low)} {unit} on nine in ten of them"
    steps = np.linspace(low, high, _STEPS)[::-1]
    keys = [
        Key(
            text=f"{amount(one, high - low)} {unit}",
            fill=colours.ramp(colours.INDEX, (one - low) / max(high - low, 1e-9)),
            form="o",
        )
        for one in steps.tolist()
    ]
    dots = Dots(at_m=at_m, fills=fills, size=2.5)
    return [replace(about, lines=(line, told), dots=(dots,), keys=tuple(keys))]
