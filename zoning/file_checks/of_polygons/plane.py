"""Metres around a place: good to a thousandth over a field, which is enough to tell a sliver from a gap."""

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

_STEP_DEG = 0.01
_POLE_DEG = 89.0  # nothing is sprayed nearer to a pole


@cache
def _geod() -> Any:
    from pyproj import Geod

    return Geod(ellps="WGS84")


@dataclass(frozen=True, slots=True)
class Plane:
    """Degrees to metres, east and north, around one place."""

    lon_deg: float
    lat_deg: float
    east_m_per_deg: float
    north_m_per_deg: float

    @classmethod
    def around(cls, lon_deg: float, lat_deg: float) -> "Plane":
        """Measure a hundredth of a degree each way on the WGS 84 ellipsoid."""
        lat = float(np.clip(lat_deg, -_POLE_DEG, _POLE_DEG))
        half = _STEP_DEG / 2
        _, _, east_m = _geod().inv(lon_deg - half, lat, lon_deg + half, lat)
        _, _, north_m = _geod().inv(lon_deg, lat - half, lon_deg, lat + half)
        return cls(lon_deg, lat, east_m / _STEP_DEG, north_m / _STEP_DEG)

    def metres(self, shape: BaseGeometry) -> BaseGeometry:
        """Turn a shape in degrees into one in metres from the place."""
        origin, scale = (
            np.array([self.lon_deg, self.lat_deg]),
            np.array([self.east_m_per_deg, self.north_m_per_deg]),
        )
        turned: BaseGeometry = shapely.transform(shape, lambda lonlat: (lonlat - origin) * scale)
        return turned
