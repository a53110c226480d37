"""Where a pair of check strips may lie: swaths side by side long enough, alike, not at an edge."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import shapely

from zoning.evidence import number
from zoning.inputs.given import Area, Heading
from zoning.passes.stretches import first_section_m
from zoning.units import parse
from zoning.zones.lattice import lattice_areas
from zoning.zones.swath_cells import first_side_m, side_of_swath_m, turned, turned_shapes
from zoning.zones.zoning import Geometries

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

_SLACK = 1e-9  # method: rounding of floats, as a share of a swath


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StripGround:
    """The crop of a field and how it is driven: what check strips are laid on.

    `outlines` are those of its zones, in metres, with the name of its block for each. Where the heading goes
    through a place, swaths lie as it says; else the first one lies along the crop's edge.
    """

    field: str
    outlines: tuple[Area, ...]
    blocks: tuple[str, ...]
    heading: Heading
    boom_m: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PairPlaces:
    """The swaths of a field, and which two of them, side by side, can be a pair of check strips.

    `outlines` are those of the zones, with x across and y along the heading; the first swath begins at
    `start_m`. The rest has one entry for each swath but the last, and speaks of it and the next: whether both
    are long enough, whether crop lies on both sides of them, and the share of the longer on which they have
    the same zones, 0 where they do not have the same blocks.
    """

    outlines: Geometries
    start_m: float
    long: Bools
    inside: Bools
    alike_frac: Floats


def as_over(heading: Heading, outlines: Sequence[Area], boom_m: float) -> Heading:
    """Give a heading whose swaths are those over all of some ground, also for a part of it.

    Parameters
    ----------
    heading : Heading
    outlines : sequence of Polygon or MultiPolygon
        All ground that is driven. [m]
    boom_m : float
        [m]

    Examples
    --------
    >>> as_over(Heading(0.0, "given"), [shapely.box(100, 0, 500, 400)], 30.0).through_m
    (115.0, 0.0)
    """
    if heading.through_m is not None:
        return heading
    west_m = first_section_m(outlines, heading, boom_m)
    east, north = turned(np.array([west_m + boom_m / 2]), np.zeros(1), -heading.deg)
    return replace(heading, through_m=(float(east[0]), float(north[0])))


def least_m() -> float:
    """Length of crop that a strip must have, in m."""
    return parse(f"{number('passes.strip_least_ft')} ft", "m")


def pair_places(ground: StripGround) -> PairPlaces:
    """Divide a field into swaths, and judge each two that lie side by side."""
    boom_m = ground.boom_m
    outlines = turned_shapes(np.array(ground.outlines, dtype=object), ground.heading.deg)
    west_m, _, east_m, _ = shapely.total_bounds(outlines)
    start_m = first_side_m(float(west_m), boom_m, side_of_swath_m(ground.heading, boom_m))
    count = max(1, int(np.ceil((east_m - start_m) / boom_m - _SLACK)))
    area_m2 = _area_m2(outlines, start_m, boom_m, count)
    crop_m2 = area_m2.sum(axis=1)
    first, second = crop_m2[:-1], crop_m2[1:]
    before, after = np.append(0.0, crop_m2)[: count - 1], np.append(crop_m2, 0.0)[2:]
    beside = number("passes.strip_beside_frac")
    blocks = sorted(set(ground.blocks))
    of_block = np.array([[name == block for block in blocks] for name in ground.blocks], dtype=np.float64)
    same_block = _alike_frac(area_m2 @ of_block) >= number("passes.strips_alike_frac")
    return PairPlaces(
        outlines=outlines,
        start_m=start_m,
        long=np.minimum(first, second) >= least_m() * boom_m * (1 - _SLACK),
        inside=(before >= beside * first) & (after >= beside * second),
        alike_frac=np.where(same_block, _alike_frac(area_m2), 0.0),
    )


def _alike_frac(area_m2: Floats) -> Floats:
    """Share of the larger of two neighbours (rows) on which both have the same zones."""
    total_m2 = area_m2.sum(axis=1)
    shared_m2 = np.minimum(area_m2[:-1], area_m2[1:]).sum(axis=1)
    larger_m2 = np.maximum(total_m2[:-1], total_m2[1:])
    none = np.zeros_like(shared_m2)
    return np.asarray(np.divide(shared_m2, larger_m2, out=none, where=larger_m2 > 0))


def _area_m2(outlines: Geometries, start_m: float, boom_m: float, count: int) -> Floats:
    """Area of each outline (columns) on each swath (rows); exact."""
    _, south_m, _, north_m = shapely.total_bounds(outlines)
    sides_m = np.array([boom_m, north_m - south_m])
    in_swaths = shapely.transform(outlines, lambda xy: (xy - [start_m, south_m]) / sides_m)
    return np.asarray(lattice_areas(in_swaths, (1, count))[:, 0].T * sides_m.prod())


def runs_of_places(swaths: PairPlaces, pairs: int) -> list[list[int]]:
    """Divide the swaths on which a pair can lie into runs, and list the places in each; none are left out.

    A place is the number of the first swath of a pair. Where no place of a run is good, its best one.
    """
    least = number("passes.strips_least_alike_frac")
    score = np.where(swaths.long & swaths.inside, swaths.alike_frac, 0.0)
    places = np.flatnonzero(score >= least)
    usable = np.union1d(places, places + 1)
    runs = np.array_split(usable, max(1, min(pairs, len(usable) // 2)))
    found = []
    for run in runs:
        here = [int(place) for place in places if place in run and place + 1 in run]
        good = [place for place in here if score[place] >= number("passes.strips_alike_frac")]
        if here:
            found.append(good or [max(here, key=lambda place: float(score[place]))])
    return found
