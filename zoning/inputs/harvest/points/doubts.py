"""What is doubtful about a combine's points as a whole: places, order, rows that stand twice."""

import numpy as np
import shapely

from zoning.errors import InputError
from zoning.evidence import number, numbers
from zoning.inputs import area
from zoning.inputs.given import Area
from zoning.inputs.harvest.given import Bools, Floats, Ints, YieldPoints
from zoning.inputs.harvest.points.asked import Asked
from zoning.words import Said

TURNED = "They stand in each other's place: name both with --column east=NAME and --column north=NAME."


def inside(boundary: Area, east_m: Floats, north_m: Floats) -> Bools:
    """Tell which points lie in the field; one without a place does not."""
    shapely.prepare(boundary)
    placed = np.isfinite(east_m) & np.isfinite(north_m)
    found = np.zeros(len(east_m), dtype=np.bool_)
    found[placed] = shapely.contains_xy(boundary, east_m[placed], north_m[placed])
    return found


def of_places(is_inside: Bools, east_m: Floats, north_m: Floats, asked: Asked, file: str) -> list[Said]:
    """Say how many points lie outside the field or have no place.

    Raises
    ------
    InputError
        Where none lies inside.
    """
    placed = np.isfinite(east_m) & np.isfinite(north_m)
    if not is_inside.any():
        mend = "Check that it is of this field, its CRS, and the boundary."
        if placed.any() and _is_turned(east_m[placed], north_m[placed], asked):
            mend = TURNED
        raise InputError("no point lies inside the field", where=file, mend=mend)
    notes: list[Said] = []
    outside = int((placed & ~is_inside).sum())
    if outside:
        share = outside / len(is_inside)
        most = share > number("inputs.harvest_outside_most_frac")
        code = "harvest.mostly_outside" if most else "harvest.outside"
        notes.append(Said(code, count=outside, whole=len(is_inside), percent=100 * share))
    if not placed.all():
        notes.append(Said("harvest.no_place", count=int((~placed).sum())))
    return notes


def _is_turned(east_m: Floats, north_m: Floats, asked: Asked) -> bool:
    """Tell whether points would lie in the field if longitude and latitude changed places."""
    longitude, latitude = area.moved(east_m, north_m, asked.epsg, area.LONLAT)
    turned = area.moved(latitude, longitude, area.LONLAT, asked.epsg)
    return bool(inside(asked.boundary, *turned).any())


def in_order(time_s: Floats, rows: Ints) -> tuple[Ints | None, Said | None]:
    """Find whether rows follow their times: give the order to put them in, or say where the time goes back.

    A few steps back are those of a second machine or a clock that was set, and are only said.
    """
    known = np.flatnonzero(np.isfinite(time_s))
    back = known[1:][np.diff(time_s[known]) < 0]
    if not len(back):
        return None, None
    if len(back) > number("inputs.harvest_back_most_frac") * len(known):
        return np.argsort(time_s, kind="stable"), Said("harvest.put_in_order", count=len(back))
    return None, Said("harvest.time_back", count=len(back), row=int(rows[back[0]]))


def of_order(steps_m: Floats, file: str) -> list[InputError]:
    """Refuse points without a time that do not lie in the order of the way."""
    known = steps_m[np.isfinite(steps_m)]
    if not len(known) or np.median(known) <= number("inputs.harvest_step_most_m"):
        return []
    what = f"it has no time, and points that follow each other lie {np.median(known):.0f} m apart"
    mend = "Name the time with --column time=NAME, or export the points in the order they were driven."
    return [InputError(what, where=file, mend=mend)]


def of_pace(points: YieldPoints) -> list[InputError]:
    """Refuse times by which a combine would creep or fly: they are in another unit.

    Speeds are those of stretches of rows, so that times without seconds, nights and stray places do no harm.
    """
    rows = int(number("inputs.harvest_pace_rows"))
    steps_m = np.hypot(np.diff(points.east_m, prepend=np.nan), np.diff(points.north_m, prepend=np.nan))
    known = np.flatnonzero(np.isfinite(points.time_s) & np.isfinite(steps_m))
    count = len(known) // rows
    if not count:
        return []
    stretches = known[: count * rows].reshape(count, rows)
    took_s = points.time_s[stretches[:, -1]] - points.time_s[stretches[:, 0]]
    way_m = np.median(steps_m[stretches], axis=1) * (rows - 1)
    drives = (took_s > 0) & (way_m > 0)
    speed_m_s = float(np.median(way_m[drives] / took_s[drives])) if drives.any() else 1.0
    low, high = numbers("inputs.harvest_pace_m_s").tolist()
    if low <= speed_m_s <= high:
        return []
    what = f"by its times and places the combine drove at {speed_m_s:.2g} m/s"
    mend = 'Say the unit of its times with --unit time=s or time=ms, or leave them out with --column time="".'
    return [InputError(what, where=points.file, mend=mend)]


def twice(east_m: Floats, north_m: Floats, *others: Floats) -> Said | None:
    """Count the rows that say what another one said: place, time and amount."""
    placed = np.isfinite(east_m) & np.isfinite(north_m)
    whole = np.column_stack([np.nan_to_num(one[placed], nan=-1.0) for one in (east_m, north_m, *others)])
    order = np.lexsort(whole.T)
    count = int((np.diff(whole[order], axis=0) == 0).all(axis=1).sum())
    return Said("harvest.twice", count=count) if count else None
