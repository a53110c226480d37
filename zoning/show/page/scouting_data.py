"""What the page needs to read a scout's points as the tool does: names, limits, sentences, the field's place.

Everything that Python's reader knows is handed over, so that nothing is written down twice.
"""

import dataclasses
from collections.abc import Mapping
from typing import cast, get_args

import numpy as np
import numpy.typing as npt
import shapely

from zoning import units
from zoning.evidence import number
from zoning.inputs.area import LONLAT, reproject
from zoning.inputs.given import PLANT_STAGES
from zoning.inputs.scouting import points, rows
from zoning.plan import Area, Plan, Scouted
from zoning.settings.quantities import Pressure
from zoning.words import SENTENCES

_LIMITS = ("count_most_plants", "pod_longest_mm", "pod_top_nodes", "node_most", "same_plot_m")
_MOST_BYTES = 5_000_000  # a larger file is no list of points, and would stop a phone
_DEGREES = 6  # decimals: some 0.1 m
_EDGE_M = 0.25  # how far the boundary may stray; nobody knows a point's place so well
_SAID = ("inputs.scouting_", "inputs.count_")
# sentences that only the command says
_UNSAID = (
    "inputs.scouting_nowhere",
    "inputs.scouting_unread",
    "inputs.count_text",
    "inputs.count_no_count",
    "inputs.count_group",
    "inputs.count_no_planting",
    "inputs.count_any_planting",
    "inputs.count_observers",
)
_AROUND = 0.5  # of the field's size, on each side: points beside it are placed as well as those in it
_PLACE_DECIMALS = 6  # of a metre; the digits behind them are of the processor, and would make its own page
_TAUGHT = 9  # longitudes and latitudes that teach the places
_TRIED = 23  # others, on which the places are measured

Floats = npt.NDArray[np.float64]


def scouting_data(plan: Plan) -> dict[str, object]:
    """Give what the page's reader of points starts from, and the points of the plan.

    Parameters
    ----------
    plan : Plan
        Any level.
    """
    west_m, _, _, north_m = _in_plane(plan).bounds
    return {
        "roles": {role: list(names) for role, names in points.ROLES.items()},
        "needed": list(points.NEEDED),
        "decimal": list(points.DECIMAL),
        "empty": [text for text in points.EMPTY if text],
        "pressures": list(get_args(Pressure)),
        "stages": list(PLANT_STAGES),
        "limits": {
            **{name: number(f"inputs.{name}") for name in _LIMITS},
            "earlier_season_d": number("inputs.earlier_season_d"),
            "mm_per_in": units.mm_from_in(1.0),
            "lines": rows.MOST_LINES,
            "bytes": _MOST_BYTES,
        },
        "sentences": _sentences(),
        "place": place_of(plan),
        "boundary": _rings(plan, west_m, north_m),
        "planted": {str(zone.zone): zone.planted.isoformat() for zone in plan.zones},
        "points": [_point(one) for one in plan.scouting],
    }


def _sentences() -> dict[str, str]:
    return {code: text for code, text in SENTENCES.items() if code.startswith(_SAID) and code not in _UNSAID}


def _point(one: Scouted) -> dict[str, object]:
    told = {name: value for name, value in dataclasses.asdict(one).items() if value not in ("", None)}
    return {
        **told,
        "on": one.on.isoformat(),
        "lon": round(one.lon, _DEGREES),
        "lat": round(one.lat, _DEGREES),
    }


def _in_plane(plan: Plan) -> Area:
    """Bring the boundary to the plane of the plan."""
    (found,) = reproject(np.array([plan.boundary], dtype=np.object_), LONLAT, plan.epsg)
    return cast(Area, found)


def _rings(plan: Plan, west_m: float, north_m: float) -> list[list[list[float]]]:
    """Give the boundary's rings in local metres; a place lies in the field inside an odd number of them."""
    shape = _in_plane(plan).simplify(_EDGE_M)
    rings: list[list[list[float]]] = []
    for part in shapely.get_parts(shape):
        for ring in (part.exterior, *part.interiors):
            xy = shapely.get_coordinates(ring)[:-1]
            local = np.column_stack([xy[:, 0] - west_m, north_m - xy[:, 1]])
            rings.append(np.round(local, 1).tolist())
    return rings


def place_of(plan: Plan) -> Mapping[str, object]:
    """Give how longitude and latitude become local metres around a field.

    Returns
    -------
    mapping
        With u = (lon - `lon`) / `wide_deg` and v = (lat - `lat`) / `high_deg`, x and y are the sums of the
        six numbers of `x` and `y` times 1, u, v, u2, uv, v2 [m]. `error_m` is how far they stray at most
        where |u| and |v| are at most 1, measured on places that did not teach them.
    """
    west, south, east, north = plan.boundary.bounds
    lon, lat = (west + east) / 2, (south + north) / 2
    wide, high = ((0.5 + _AROUND) * size for size in (east - west, north - south))
    left_m, _, _, top_m = _in_plane(plan).bounds

    def there(steps: int) -> tuple[Floats, Floats]:
        even = np.linspace(-1, 1, steps)
        u, v = (one.ravel() for one in np.meshgrid(even, even))
        spots = np.asarray(shapely.points(lon + wide * u, lat + high * v), dtype=np.object_)
        moved = reproject(spots, LONLAT, plan.epsg)
        terms = np.column_stack([np.ones_like(u), u, v, u**2, u * v, v**2])
        return terms, np.column_stack([shapely.get_x(moved) - left_m, top_m - shapely.get_y(moved)])

    terms, xy = there(_TAUGHT)
    found = np.round(np.linalg.lstsq(terms, xy, rcond=None)[0], _PLACE_DECIMALS) + 0.0
    tried, true = there(_TRIED)
    error_m = float(np.hypot(*(tried @ found - true).T).max())
    return {
        "lon": lon,
        "lat": lat,
        "wide_deg": wide,
        "high_deg": high,
        "x": found[:, 0].tolist(),
        "y": found[:, 1].tolist(),
        "error_m": round(error_m, _PLACE_DECIMALS),
    }
