"""points.csv: every point of the file, in its order, with the rule that took it and where it counts.

Nothing is left out, so that anybody can check what was cleaned, and how.
"""

import io

import numpy as np
import shapely

from zoning.inputs import area
from zoning.plan.trial import TrialResult

NAME = "points.csv"
_DECIMALS = 7  # of a degree: a centimetre
COLUMNS = ("row", "lon", "lat", "yield_bu_ac", "moisture_pct", "removed_by", "pair", "zone", "treated")


def as_text(result: TrialResult) -> str:
    """Write the points as CSV.

    Parameters
    ----------
    result : TrialResult

    Returns
    -------
    str
        One line a point. `row` is its line or shape in the combine's file; `removed_by` the code of a rule,
        empty where it was kept; `pair` is empty where it counts in none; `treated` is 1, 0 or, outside of
        all strips, empty. Yield and moisture are empty where they cannot be had.
    """
    points = result.points
    plane = np.asarray(shapely.points(points.east_m, points.north_m), dtype=object)
    lonlat = shapely.get_coordinates(area.reproject(plane, f"EPSG:{result.epsg}", area.LONLAT))
    codes = np.array(["", *(one.code for one in result.rules)])
    treated = np.where(points.pair > 0, points.is_treated.astype(int).astype(str), "")
    columns = (
        points.row.astype(str),
        _written(lonlat[:, 0], _DECIMALS),
        _written(lonlat[:, 1], _DECIMALS),
        _written(points.yield_bu_ac, 2),
        _written(100 * points.moisture_frac, 2),
        codes[points.removed_by],
        _if_any(points.pair),
        _if_any(points.zone),
        treated,
    )
    text = io.StringIO()
    text.write(",".join(COLUMNS) + "\n")
    text.writelines(",".join(cells) + "\n" for cells in zip(*(one.tolist() for one in columns), strict=True))
    return text.getvalue()


def _written(values: np.ndarray, decimals: int) -> np.ndarray:
    return np.where(np.isnan(values), "", np.char.mod(f"%.{decimals}f", values))


def _if_any(numbers: np.ndarray) -> np.ndarray:
    return np.where(numbers > 0, numbers.astype(str), "")
