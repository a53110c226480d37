"""Untreated strips that nobody wrote down: gaps a boom wide in what a machine treated, and their partners.

Works in a frame with x across and y along the heading; reads no file.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon, affinity
from shapely.geometry.base import BaseGeometry

from zoning.evidence import number, numbers
from zoning.inputs.given import Area, Strip
from zoning.inputs.ground.boundary import polygons_of
from zoning.inputs.harvest.ground.laid import sides_m
from zoning.inputs.planted.azimuth import off_deg
from zoning.units import parse

_LEFT, _RIGHT = -1, 1
_SLIVER_M = 0.01  # rounding of what was cut


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Gap:
    """A gap in one or more pieces on one swath, as rectangles, and the share of either neighbour treated."""

    pieces: tuple[Polygon, ...]
    width_m: float
    left_frac: float
    right_frac: float

    def beside(self, side: int) -> tuple[Polygon, ...]:
        """Give the swath on one side of it."""
        return tuple(affinity.translate(one, side * self.width_m, 0.0) for one in self.pieces)

    def sides(self, count: int) -> tuple[int, int]:
        """Give the better side first; where they are alike, the left one of each odd gap."""
        apart = self.right_frac - self.left_frac
        if abs(apart) <= number("inputs.strip_gap_same_frac"):
            return (_LEFT, _RIGHT) if count % 2 else (_RIGHT, _LEFT)
        return (_RIGHT, _LEFT) if apart > 0 else (_LEFT, _RIGHT)


def pairs_of(treated: Area, crop: Area, heading_deg: float, boom_m: float) -> tuple[Strip, ...]:
    """Find strips that were left dry, and take the sprayed swath beside each as its partner.

    Parameters
    ----------
    treated, crop : Polygon or MultiPolygon
        In metres.
    heading_deg : float
        In which the field is driven, clockwise from grid north.
    boom_m : float
        [m]

    Returns
    -------
    tuple of Strip
        Pairs from left to right of the heading. A gap is 0.7 to 1.3 booms wide, as long as a strip must be,
        and both swaths beside it are sprayed on most of their length. Gaps on one swath are one strip.

    Notes
    -----
    The partner is the swath that is sprayed on more of its length; where both are sprayed alike, the one on
    the left beside the first gap, on the right beside the second, and so on by turns. No swath is the partner
    of two gaps: what the one before has taken is left to it.

    Examples
    --------
    >>> field = shapely.box(0, 0, 270, 400)
    >>> strips = pairs_of(field - shapely.box(108, 0, 135, 400), field, 0.0, 27.0)
    >>> [(one.pair, one.treatment, [round(edge) for edge in one.outline.bounds]) for one in strips]
    [(1, 'untreated', [108, 0, 135, 400]), (1, 'treated', [81, 0, 108, 400])]
    """
    sprayed, planted = (affinity.rotate(one, heading_deg, origin=(0, 0)) for one in (treated, crop))
    found = _gaps(sprayed, planted, boom_m)
    dry = shapely.union_all([piece for gap in found for piece in gap.pieces])
    strips: list[Strip] = []
    for pair, gap in enumerate(found, start=1):
        taken = shapely.union_all([one.outline for one in strips])
        better, other = gap.sides(pair)
        side = other if _overlap(gap.beside(better), taken) else better
        beside = shapely.get_parts(polygons_of(shapely.difference(shapely.union_all(gap.beside(side)), dry)))
        strips += [Strip(pair=pair, treatment="untreated", outline=one) for one in gap.pieces]
        strips += [Strip(pair=pair, treatment="treated", outline=one) for one in beside]
    return tuple(
        Strip(pair=one.pair, treatment=one.treatment, outline=_back(one.outline, heading_deg))
        for one in strips
    )


def _back(shape: Polygon, heading_deg: float) -> Polygon:
    return affinity.rotate(shape, -heading_deg, origin=(0, 0))


def _overlap(shapes: Sequence[Polygon], taken: BaseGeometry) -> bool:
    shared = shapely.intersection(shapely.union_all(list(shapes)), taken)
    return not shapely.buffer(shared, -number("inputs.strip_overlap_m") / 2).is_empty


def _gaps(treated: Area, crop: Area, boom_m: float) -> list[_Gap]:
    """List the gaps from left to right."""
    least, most = numbers("inputs.strip_gap_width_frac")
    dry = shapely.difference(crop, treated)
    wide = _opened(dry, most * boom_m)
    narrow = shapely.difference(dry, shapely.buffer(wide, _SLIVER_M, join_style="mitre"))
    found: list[Polygon] = []
    for part in shapely.get_parts(polygons_of(_opened(narrow, least * boom_m))):
        width_m, length_m, deg = sides_m(part)
        fills = part.area >= number("inputs.strip_gap_full_frac") * width_m * length_m
        along = abs(off_deg(deg, 0.0)) <= number("inputs.guidance_within_deg")
        long = length_m >= parse(f"{number('passes.strip_least_ft')} ft", "m")
        if fills and along and long and least * boom_m <= width_m <= most * boom_m:
            found.append(shapely.minimum_rotated_rectangle(part))
    gaps = [_gap(pieces, treated) for pieces in _by_swath(found)]
    inside = number("inputs.strip_gap_full_frac")
    return [one for one in gaps if min(one.left_frac, one.right_frac) >= inside]


def _opened(shape: BaseGeometry, width_m: float) -> BaseGeometry:
    """Keep what is wider than this."""
    half_m = width_m / 2 - _SLIVER_M
    core = shapely.buffer(shape, -half_m, join_style="mitre")
    return shapely.intersection(shapely.buffer(core, half_m, join_style="mitre"), shape)


def _by_swath(found: Sequence[Polygon]) -> list[tuple[Polygon, ...]]:
    """Put pieces together whose middles lie on one swath, from left to right."""
    swaths: list[list[Polygon]] = []
    for one in sorted(found, key=lambda piece: (piece.centroid.x, piece.centroid.y)):
        last = swaths[-1][-1] if swaths else None
        if last is not None and one.centroid.x - last.centroid.x < sides_m(last)[0] / 2:
            swaths[-1].append(one)
        else:
            swaths.append([one])
    return [tuple(pieces) for pieces in swaths]


def _gap(pieces: tuple[Polygon, ...], treated: Area) -> _Gap:
    width_m = float(np.mean([sides_m(one)[0] for one in pieces]))
    bare = _Gap(pieces=pieces, width_m=width_m, left_frac=0.0, right_frac=0.0)
    left, right = (shapely.union_all(bare.beside(side)) for side in (_LEFT, _RIGHT))
    shares = [float(shapely.intersection(one, treated).area / one.area) for one in (left, right)]
    return _Gap(pieces=pieces, width_m=width_m, left_frac=shares[0], right_frac=shares[1])
