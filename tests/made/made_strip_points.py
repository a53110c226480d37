"""Points of strips as they are after cleaning and placing, from plain arrays."""

import math

import numpy as np

from zoning.inputs.harvest.given import YieldPoints
from zoning.strips.terms import Cleaned, Lag, Placed, Tracks


def strip_points(grown, pair, treated, zone, east, north, track):
    """The points, cleaned and placed: all of them count."""
    count = len(grown)
    none, no_zone = np.full(count, math.nan), np.zeros(count, dtype=np.int64)
    points = YieldPoints(
        file="made", epsg=32615, row=np.arange(count) + 2, east_m=east, north_m=north,
        time_s=np.arange(count, dtype=float), flow_kg_s=none, yield_bu_ac=grown, moisture_frac=none,
        speed_m_s=none, distance_m=none, swath_m=none, interval_s=none, track=track,
        is_header_up=np.zeros(count, dtype=bool), is_inside=np.ones(count, dtype=bool), is_dry=True,
        harvested=(), columns={}, units={},
    )  # fmt: skip
    cleaned = Cleaned(
        yield_bu_ac=grown,
        moisture_frac=none,
        removed_by=no_zone,
        rules=(),
        tracks=Tracks(number=track, along_m=north, heading_deg=np.zeros(count)),
        lag=Lag(amount=0.0, unit="s", likeness=0.0, likeness_before=0.0),
    )
    placed = Placed(
        pair=pair, zone=zone, is_treated=treated, along_m=north, why=np.zeros(count, dtype=np.int64)
    )
    return points, cleaned, placed
