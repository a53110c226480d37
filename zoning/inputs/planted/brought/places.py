"""Points of places in degrees. Knows nothing else."""

import numpy as np
import shapely

from zoning.inputs.grid import Floats
from zoning.inputs.vector import Shapes


def points_at(longitude_deg: Floats, latitude_deg: Floats) -> Shapes:
    """Make points; an empty one where a place is not known.

    Examples
    --------
    >>> [one.is_empty for one in points_at(np.array([1.0, np.nan]), np.array([2.0, 2.0]))]
    [False, True]
    """
    known = np.isfinite(longitude_deg) & np.isfinite(latitude_deg)
    made = np.full(len(known), shapely.Point(), dtype=object)
    made[known] = shapely.points(longitude_deg[known], latitude_deg[known])
    return made
