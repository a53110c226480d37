"""Tiny trials by hand: a few points on a few strips, with nothing but what the tests say."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

import numpy as np
import shapely
from shapely import affinity, box
from shapely.geometry.base import BaseGeometry

from zoning.inputs.given import Area, Strip
from zoning.inputs.harvest.given import TrialGround, YieldPoints
from zoning.strips.paired.placed import place
from zoning.strips.terms import NOT_COUNTED, Cleaned, Lag, Placed, Tracks

BOOM_M, HEADER_M = 27.432, 10.668  # 90 ft and 35 ft
STEP_M, HEADLAND_M = 15.0, BOOM_M + HEADER_M
WEST = 60.0  # where the untreated strip of pair 1 begins
DRY_M, WET_M = WEST + BOOM_M / 2, WEST + 1.5 * BOOM_M  # the middles of both strips
FIELD = box(0, 0, 200, 500)


def points_at(east_m: Sequence[float], north_m: Sequence[float], **given: object) -> YieldPoints:
    """Points at places; what is not given is not known."""
    count = len(east_m)
    unknown = np.full(count, np.nan)
    plain = YieldPoints(
        file="points.csv", epsg=32615, row=np.arange(2, count + 2),
        east_m=np.asarray(east_m, dtype=float), north_m=np.asarray(north_m, dtype=float),
        time_s=unknown, flow_kg_s=unknown, yield_bu_ac=unknown, moisture_frac=unknown, speed_m_s=unknown,
        distance_m=unknown, swath_m=unknown, interval_s=unknown, track=np.full(count, -1),
        is_header_up=np.zeros(count, dtype=bool), is_inside=np.ones(count, dtype=bool), is_dry=True,
        harvested=(), columns={}, units={},
    )  # fmt: skip
    return replace(plain, **given)


def cleaned_as(
    yields: Sequence[float],
    *,
    moisture: Sequence[float] | None = None,
    removed: Sequence[int] | None = None,
    track: Sequence[int] | None = None,
) -> Cleaned:
    """Points after a cleaning that took those of which `removed` is not 0."""
    count = len(yields)
    return Cleaned(
        yield_bu_ac=np.asarray(yields, dtype=float),
        moisture_frac=np.full(count, np.nan) if moisture is None else np.asarray(moisture, dtype=float),
        removed_by=np.zeros(count, dtype=np.int64) if removed is None else np.asarray(removed),
        rules=(),
        tracks=Tracks(
            number=np.full(count, -1) if track is None else np.asarray(track),
            along_m=np.zeros(count),
            heading_deg=np.zeros(count),
        ),
        lag=Lag(amount=0.0, unit="points", likeness=0.0, likeness_before=0.0),
    )


def strips_of(
    pairs: int = 1, south_m: float = -1, north_m: float = 501, width_m: float = BOOM_M
) -> list[Strip]:
    """Pairs from west to east, a swath between them; the untreated strip of each lies in the west."""
    return [
        Strip(pair=pair, treatment=treatment, outline=box(west, south_m, west + width_m, north_m))
        for pair in range(1, pairs + 1)
        for west, treatment in zip(
            WEST + width_m * (3 * (pair - 1) + np.arange(2)), ("untreated", "treated"), strict=True
        )
    ]


def ground_with(
    strips: Sequence[Strip] | None = None,
    treated: Area | None = None,
    zones: Mapping[int, Area] | None = None,
    **given: object,
) -> TrialGround:
    """One pair on a field of 200 m x 500 m, driven north; sprayed is all but the untreated strips."""
    strips = strips_of() if strips is None else strips
    if treated is None:
        treated = FIELD - shapely.union_all([one.outline for one in strips if one.treatment == "untreated"])
    plain = TrialGround(
        strips=tuple(strips), source="design", width_m=BOOM_M, heading_deg=0.0, treated=treated,
        treated_source="done", treated_on=(date(2026, 7, 24),), zones=zones or {1: FIELD}, crop=FIELD,
        header_m=HEADER_M, step_m=STEP_M, headland_m=HEADLAND_M, files={},
    )  # fmt: skip
    return replace(plain, **given)


def reasons(points: YieldPoints, cleaned: Cleaned, ground: TrialGround) -> list[str]:
    """Why each point does not count."""
    return [NOT_COUNTED[why] for why in place(points, cleaned, ground).why]


def reasons_of(placed: Placed) -> list[str]:
    """The same of points that are placed."""
    return [NOT_COUNTED[why] for why in placed.why]


def moved(shape: BaseGeometry, turn_deg: float, east_m: float, north_m: float) -> BaseGeometry:
    """A shape turned clockwise around the origin, then moved."""
    return affinity.translate(affinity.rotate(shape, -turn_deg, origin=(0, 0)), east_m, north_m)


def moved_trial(
    points: YieldPoints, ground: TrialGround, turn_deg: float, east_m: float, north_m: float
) -> tuple[YieldPoints, TrialGround]:
    """The same trial elsewhere, driven in another direction."""
    places = shapely.MultiPoint(np.column_stack([points.east_m, points.north_m]))
    there = shapely.get_coordinates(moved(places, turn_deg, east_m, north_m))

    def at(shape: Area) -> Area:
        return moved(shape, turn_deg, east_m, north_m)

    return (
        replace(points, east_m=there[:, 0], north_m=there[:, 1]),
        replace(
            ground,
            strips=tuple(replace(one, outline=at(one.outline)) for one in ground.strips),
            heading_deg=(ground.heading_deg + turn_deg) % 360,
            treated=at(ground.treated),
            crop=at(ground.crop),
            zones={zone: at(outline) for zone, outline in ground.zones.items()},
        ),
    )


def driven(
    ground: TrialGround, *, spacing_m: float = HEADER_M, first_m: float = 3.0, every_m: float = 2.0
) -> tuple[YieldPoints, np.ndarray]:
    """Points of passes over the whole crop, up and down along north; and the pass of each."""
    west, south, east, north = ground.crop.bounds
    passes = np.arange(west + first_m, east, spacing_m)
    along = np.arange(south + 0.773, north, every_m)  # no point on the limit of a piece
    east_m = np.repeat(passes, len(along))
    north_m = np.concatenate([along if place % 2 == 0 else along[::-1] for place in range(len(passes))])
    return points_at(east_m, north_m), np.repeat(np.arange(len(passes)), len(along))
