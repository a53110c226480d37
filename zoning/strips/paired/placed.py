"""The combine's points -> pairs, zones and treatments: which of them count, and why the others do not.

Sideways only the combine's pass on the middle of a strip counts; along the track the ground where the
treatment changes is left out. What was sprayed decides, not how the strips were laid.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from zoning.evidence import number
from zoning.inputs.given import Area
from zoning.inputs.harvest.given import TrialGround, YieldPoints
from zoning.strips.paired.pieces import partnered
from zoning.strips.terms import NOT_COUNTED, Bools, Cleaned, Floats, Ints, NotCounted, Placed
from zoning.zones.swath_cells import turned

_TOGETHER = 50  # method: boxes that are laid over the same piece of what was sprayed, to save time


def place(points: YieldPoints, cleaned: Cleaned, ground: TrialGround) -> Placed:
    """Say of each point in which pair and zone it lies, what was sprayed there, and whether it counts.

    Parameters
    ----------
    points : YieldPoints
    cleaned : Cleaned
        Of the same points.
    ground : TrialGround

    Returns
    -------
    Placed
        A point counts that was kept, lies on the middle of a strip (no further from it than half a header,
        and with the whole header inside the strip), is of a pass along the strip and not across it, is
        further than the blur from the strip's and the crop's ends and from any change of treatment along the
        track, is not on the headland, lies in a zone, and has a counting point of the other treatment beside
        it on the other strip of its pair.

    Notes
    -----
    With a boom of 90 ft and a header of 35 ft, (90 - 35) / 2 = 27.5 ft come off each side of a strip and
    35 ft are left: one pass of the combine. The treatment of a point is what was sprayed under the whole
    header from the blur before it to the blur behind; where that is neither all sprayed nor all dry, it is a
    change.

    References
    ----------
    .. [1] Simbahan, Dobermann and Ping, "Screening yield monitor data improves grain yield maps", Agronomy
       Journal 96, 2004: starts and ends of passes carry most of the errors.
    """
    strip = strip_of(points, ground)
    along_m = _along_m(points, ground)
    xy = np.column_stack([points.east_m, points.north_m])
    shapely.prepare(ground.treated)
    is_treated = shapely.contains_xy(ground.treated, xy)
    zone = _zone_of(xy, ground)
    why = np.zeros(points.count, dtype=np.int64)
    kept = cleaned.kept & np.isfinite(cleaned.yield_bu_ac)
    _out(why, ~kept, "removed")
    _out(why, strip < 0, "no strip")
    left = np.flatnonzero(why == 0)
    at = _Under.of(xy[left], strip[left], ground)
    _out(why, _whole(left, at.is_across(cleaned.tracks.number[left], ground), why), "across")
    _out(why, _whole(left, at.is_headland(ground), why), "headland")
    _out(why, _whole(left, at.is_off_centre(ground), why), "off centre")
    _out(why, _whole(left, at.is_near_end(ground), why), "strip end")
    left = np.flatnonzero(why == 0)
    changes, sprayed = _Under.of(xy[left], strip[left], ground).sprayed(ground)
    is_treated[left] = np.where(changes, is_treated[left], sprayed)
    _out(why, _whole(left, changes, why), "change")
    _out(why, zone == 0, "no zone")
    pair = np.array([one.pair for one in ground.strips] + [0], dtype=np.int64)[strip]
    left = np.flatnonzero(why == 0)
    bins = _bins(along_m[left], ground)
    has = partnered(np.column_stack([pair[left], zone[left], bins]), strip[left], is_treated[left])
    _out(why, _whole(left, ~has, why), "no partner")
    return Placed(pair=pair, zone=zone, is_treated=is_treated, along_m=along_m, why=why)


def strip_of(points: YieldPoints, ground: TrialGround) -> Ints:
    """Give the place of each point's strip in `ground.strips`; -1 where it lies on none.

    Parameters
    ----------
    points : YieldPoints
    ground : TrialGround
        Where strips share ground by a hair, the first has it.
    """
    return _first_around(
        np.column_stack([points.east_m, points.north_m]), [one.outline for one in ground.strips]
    )


def bins_of(placed: Placed, ground: TrialGround) -> Ints:
    """Give the piece of the way along the strips in which each point lies, counted from where they begin.

    A piece is as long as the header is wide; strips side by side share their pieces. A point without a place
    is in piece -1.
    """
    return _bins(placed.along_m, ground)


def _bins(along_m: Floats, ground: TrialGround) -> Ints:
    pieces = np.floor(along_m / ground.header_m)
    return np.asarray(np.where(np.isfinite(pieces), pieces, -1).astype(np.int64))


def _along_m(points: YieldPoints, ground: TrialGround) -> Floats:
    """How far along the heading from where the first strip begins."""
    _, along_m = turned(points.east_m, points.north_m, ground.heading_deg)
    if not ground.strips:
        return along_m
    corners = shapely.get_coordinates([one.outline for one in ground.strips])
    return np.asarray(along_m - turned(corners[:, 0], corners[:, 1], ground.heading_deg)[1].min())


def _zone_of(xy: Floats, ground: TrialGround) -> Ints:
    numbers = np.array([*ground.zones, 0], dtype=np.int64)
    return np.asarray(numbers[_first_around(xy, list(ground.zones.values()))])


def _first_around(xy: Floats, shapes: list[Polygon] | list[Area]) -> Ints:
    """Give the first shape around each place, or -1."""
    found = np.full(len(xy), len(shapes), dtype=np.int64)
    if len(shapes) and len(xy):
        point, shape = shapely.STRtree(shapes).query(shapely.points(xy), predicate="within")
        np.minimum.at(found, point, shape)
    return np.where(found == len(shapes), -1, found)


def _out(why: Ints, which: Bools, reason: NotCounted) -> None:
    """Write a reason where there is none yet."""
    why[which & (why == 0)] = NOT_COUNTED.index(reason)


def _whole(left: Ints, which: Bools, why: Ints) -> Bools:
    """Spread what was found of some points over all."""
    found = np.zeros(len(why), dtype=bool)
    found[left] = which
    return found


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Under:
    """Points on strips, and the way along them: `ahead` is a metre along each one's strip."""

    xy: Floats
    strip: Ints
    ahead: Floats  # shape (n, 2)
    off_m: Floats  # from the middle of the strip, across

    @classmethod
    def of(cls, xy: Floats, strip: Ints, ground: TrialGround) -> "_Under":
        if not len(strip):
            none = np.zeros((0, 2))
            return cls(xy=none, strip=strip, ahead=none, off_m=np.zeros(0))
        middles, ways = zip(*(_axis(one.outline, ground.heading_deg) for one in ground.strips), strict=True)
        ahead = np.array(ways)[strip]
        from_middle = xy - np.array(middles)[strip]
        return cls(
            xy=xy,
            strip=strip,
            ahead=ahead,
            off_m=from_middle[:, 0] * ahead[:, 1] - from_middle[:, 1] * ahead[:, 0],
        )

    @property
    def right(self) -> Floats:
        """A metre to the right of each strip's way."""
        return np.column_stack([self.ahead[:, 1], -self.ahead[:, 0]])

    def is_across(self, track: Ints, ground: TrialGround) -> Bools:
        """Tell which belong to a pass that crosses its strip: its grain is mixed with what lies beside.

        Of points that belong to no pass nothing is known.
        """
        _, of_pass = np.unique(track * len(ground.strips) + self.strip, return_inverse=True)
        along_m = (self.xy * self.ahead).sum(axis=1)
        wide_m, long_m = _spans_m(self.off_m, of_pass), _spans_m(along_m, of_pass)
        slope = np.tan(np.radians(number("strips.across_deg")))
        crosses = (wide_m > ground.header_m / 2) & (wide_m > slope * long_m)
        return np.asarray(crosses[of_pass] & (track >= 0))

    def is_headland(self, ground: TrialGround) -> Bools:
        """Tell which lie nearer to an end of the crop along the way than the headland is wide.

        Gaps that are narrower, as a waterway, are driven through: nobody turns there.
        """
        half_m = ground.headland_m / 2
        wider = shapely.buffer(shapely.buffer(ground.crop, half_m), -half_m)
        return ~self._stays_inside(shapely.union(ground.crop, wider), self.ahead, ground.headland_m)

    def is_off_centre(self, ground: TrialGround) -> Bools:
        """Tell where another pass than the middle one lies, or the header reaches out of the strip."""
        off = np.abs(self.off_m) > ground.header_m / 2
        for place, one in enumerate(ground.strips):
            here = np.flatnonzero((self.strip == place) & ~off)
            wide = shapely.buffer(one.outline, number("strips.header_over_m"), join_style="mitre")
            off[here] = ~_at(self, here)._stays_inside(wide, self.right[here], ground.header_m / 2)
        return off

    def is_near_end(self, ground: TrialGround) -> Bools:
        """Tell which lie nearer to an end of the strip, or of the crop on it, than the blur."""
        near = ~self._stays_inside(ground.crop, self.ahead, ground.step_m)
        for place, one in enumerate(ground.strips):
            here = np.flatnonzero((self.strip == place) & ~near)
            near[here] = ~_at(self, here)._stays_inside(one.outline, self.ahead[here], ground.step_m)
        return near

    def sprayed(self, ground: TrialGround) -> tuple[Bools, Bools]:
        """Tell where the treatment changes near by, and where all was sprayed, under the whole header."""
        share = np.zeros(len(self.xy))
        for place, one in enumerate(ground.strips):
            here = np.flatnonzero(self.strip == place)
            around = shapely.buffer(one.outline, 2 * ground.step_m + ground.header_m, join_style="mitre")
            treated = shapely.intersection(ground.treated, around)  # a machine's file has many corners
            share[here] = _at(self, here)._share_in(treated, ground) if len(here) else 0.0
        least = number("strips.changed_least_frac")
        return np.asarray((share > least) & (share < 1 - least)), np.asarray(share >= 1 - least)

    def _share_in(self, treated: BaseGeometry, ground: TrialGround) -> Floats:
        """Share of the ground under the header, from the blur before each point to the blur behind it.

        It is looked at a little beyond, so that a change right at the blur makes the least share that counts.
        """
        long_m = ground.step_m / (1 - 2 * number("strips.changed_least_frac"))
        half_m = max(ground.header_m / 2 - number("strips.header_over_m"), ground.header_m * 0.5 * 0.5)
        side, way = self.right * half_m, self.ahead * long_m
        corners = [self.xy - side - way, self.xy + side - way, self.xy + side + way, self.xy - side + way]
        boxes = np.asarray(shapely.polygons(np.stack(corners, axis=1)), dtype=object)
        shapely.prepare(treated)
        share = np.asarray(shapely.covers(treated, boxes), dtype=np.float64)
        partly = np.flatnonzero((share == 0) & shapely.intersects(treated, boxes))
        on_the_way = partly[np.argsort((self.xy * self.ahead).sum(axis=1)[partly])]
        for some in np.array_split(on_the_way, len(on_the_way) // _TOGETHER + 1):
            near = shapely.intersection(treated, shapely.convex_hull(shapely.multipolygons(boxes[some])))
            share[some] = shapely.area(shapely.intersection(boxes[some], near)) / shapely.area(boxes[some])
        return share

    def _stays_inside(self, area: BaseGeometry, way: Floats, most_m: float) -> Bools:
        """Tell for which points all ground from so far behind to so far ahead is inside an area."""
        if not len(self.xy):
            return np.zeros(0, dtype=bool)
        shapely.prepare(area)
        ends = np.stack([self.xy - way * most_m, self.xy + way * most_m], axis=1)
        return np.asarray(shapely.covers(area, shapely.linestrings(ends)))


def _spans_m(way_m: Floats, of_pass: Ints) -> Floats:
    """How far the points of each pass reach."""
    count = of_pass.max(initial=-1) + 1
    most, least = np.full(count, -np.inf), np.full(count, np.inf)
    np.maximum.at(most, of_pass, way_m)
    np.minimum.at(least, of_pass, way_m)
    return np.asarray(most - least)


def _at(under: _Under, here: Ints) -> _Under:
    return _Under(
        xy=under.xy[here], strip=under.strip[here], ahead=under.ahead[here], off_m=under.off_m[here]
    )


def _axis(outline: Polygon, heading_deg: float) -> tuple[Floats, Floats]:
    """Give the middle of a strip, and a metre along its longer side towards the heading."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(outline))
    sides = np.diff(corners[: 2 + 1], axis=0)
    along = sides[np.hypot(*sides.T).argmax()]
    turn = np.radians(heading_deg)
    sign = 1 if along @ [np.sin(turn), np.cos(turn)] >= 0 else -1
    return corners[:-1].mean(axis=0), sign * along / np.hypot(*along)
