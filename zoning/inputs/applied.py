"""What a machine wrote down of a pass: polygons or points with a rate, against the zones of a field.

Which ground was treated is measured here; what follows from it is decided elsewhere. Writes nothing.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Literal

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString
from shapely.geometry import mapping

from zoning import units
from zoning.errors import SETTINGS, InputError, raise_all
from zoning.evidence import number
from zoning.inputs import area, files, vector
from zoning.inputs.given import Area
from zoning.inputs.ground.boundary import polygons_of

RateUnit = Literal["gal/ac", "L/ha"]
# Endings of a column's name that say its unit, and whole names that say it is the rate of carrier.
_UNITS: dict[RateUnit, tuple[str, ...]] = {
    "gal/ac": ("gpa", "gal_ac", "gal/ac", "galac"),
    "L/ha": ("lha", "l_ha", "l/ha", "lpha"),
}
_STEMS = ("rate", "applied", "applied_rate", "appliedrate", "rate_applied", "rateapplied", "actual_rate")
_POLYGONS, _POINTS = ("Polygon", "MultiPolygon"), ("Point", "MultiPoint")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """The field that a file should lie in: its plane, and the ground of each zone in it by number."""

    epsg: int
    zones: Mapping[int, Area]
    swath_m: float | None  # of the sprayer, for points; None where it is not known
    is_metric: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Applied:
    """What was treated.

    `share_of_zone` is the treated share of each zone's area by its number; `rate_gal_ac` the mean over the
    treated ground of the field, `area_ac` that ground, each place once. `column` and `unit` say where the
    rate was read and in what; `is_unit_named` whether the column's name says so. `content` is the treated
    ground as GeoJSON.
    """

    share_of_zone: Mapping[int, float]
    rate_gal_ac: float
    area_ac: float
    column: str
    unit: RateUnit
    is_unit_named: bool
    is_points: bool
    outside_frac: float  # of what the file treats, outside the field
    treated: Area  # inside the field, in its plane
    content: bytes


def read(path: Path, file: str, ground: Ground, rate_column: str = "") -> Applied:
    """Read a file of a machine.

    Parameters
    ----------
    path : Path
        Shapefile, GeoPackage or GeoJSON with polygons, or with points in the order in which they were driven.
    file : str
        How the user calls it.
    ground : Ground
    rate_column : str
        The column of the rate; "" for the one whose name says so.

    Returns
    -------
    Applied

    Raises
    ------
    InputError
        What `vector.read` refuses; another kind of shape, or two; no or several columns of a rate; a rate
        that is none; points without a swath; a file that treats nothing in the field.
    """
    if not path.is_file():
        mend = "Name a shapefile (.shp), GeoPackage (.gpkg) or GeoJSON (.geojson)."
        raise InputError("there is no such file", where=file, mend=mend, code=SETTINGS)
    found = vector.read(path, file, layer="applied")
    is_points = _is_points(found)
    column = _column(found, rate_column)
    unit, is_named = _unit(column, ground)
    rates = _rates(found, column, unit)
    shapes = found.projected(ground.epsg)
    if is_points:
        pieces, of_piece = _driven(shapes, rates, _swath_m(ground, file))
    else:
        pieces = [polygons_of(shapely.make_valid(shape)) for shape in shapes[rates > 0]]
        of_piece = rates[rates > 0]
    return _measured(pieces, of_piece, ground, (file, column, unit, is_named, is_points))


def _measured(
    pieces: Sequence[Area],
    rates: npt.NDArray[np.float64],
    ground: Ground,
    about: tuple[str, str, RateUnit, bool, bool],
) -> Applied:
    """Lay what was treated over the zones."""
    file, column, unit, is_named, is_points = about
    whole = shapely.union_all(list(ground.zones.values()))
    parts = shapely.intersection(np.array(pieces, dtype=object), whole) if len(pieces) else np.array([])
    sizes = shapely.area(parts)
    treated = shapely.union_all(parts) if len(pieces) else shapely.Polygon()
    if not sizes.sum() > 0:
        mend = "Check that it is of this field and this pass, its CRS, and the column of the rate."
        raise InputError("nothing in the file is sprayed inside the field", where=file, mend=mend)
    everywhere = shapely.union_all(list(pieces))
    lonlat = area.to_lonlat(polygons_of(treated), ground.epsg)
    mean_gal_ac = float((rates * sizes).sum() / sizes.sum())
    return Applied(
        share_of_zone={
            zone: float(shapely.intersection(outline, treated).area / outline.area)
            for zone, outline in ground.zones.items()
        },
        rate_gal_ac=mean_gal_ac,
        area_ac=area.geodesic_ac(lonlat),
        column=column,
        unit=unit,
        is_unit_named=is_named,
        is_points=is_points,
        outside_frac=float(1 - treated.area / everywhere.area),
        treated=polygons_of(treated),
        content=_geojson(parts[sizes > 0], rates[sizes > 0], ground.epsg),
    )


def _is_points(found: vector.Vector) -> bool:
    kinds = {feature.shape.geom_type for feature in found.features}
    if kinds <= set(_POLYGONS):
        return False
    if kinds == {"Point"}:
        return True
    mend = "Export it with polygons, or with one point a row."
    what = f"it holds shapes of the kind {', '.join(sorted(kinds))}"
    raise InputError(what, where=found.file, mend=mend)


def _column(found: vector.Vector, wanted: str) -> str:
    """Find the column of the rate; of several that may be one none is taken."""
    theirs = list(found.features[0].columns)
    listed = ", ".join(theirs) or "no columns"
    if wanted:
        column = vector.column(theirs, wanted)
        if column is None:
            mend = f"The file has {listed}."
            raise InputError(f'there is no column "{wanted}"', where=found.file, mend=mend, code=SETTINGS)
        return column
    likely = [name for name in theirs if _may_be_rate(name)]
    if len(likely) == 1:
        return likely[0]
    what = "several columns may be the rate" if likely else "no column is called a rate"
    mend = f"Name it with --rate-column; the file has {listed}."
    raise InputError(what, where=found.file, mend=mend, code=SETTINGS)


def _may_be_rate(name: str) -> bool:
    plain = name.casefold()
    ends = tuple(end for names in _UNITS.values() for end in names)
    stem = next((plain.removesuffix(end).rstrip("_ ") for end in ends if plain.endswith(end)), plain)
    return stem in _STEMS


def _unit(column: str, ground: Ground) -> tuple[RateUnit, bool]:
    """Say in which unit a column is, by its name, else in that of the farm; and whether its name says so."""
    for unit, ends in _UNITS.items():
        if column.casefold().endswith(ends):
            return unit, True
    return ("L/ha" if ground.is_metric else "gal/ac"), False


def _rates(found: vector.Vector, column: str, unit: RateUnit) -> npt.NDArray[np.float64]:
    """Read the rate of every row in gal/ac; 0 where nothing stands, as where the boom was off."""
    faults: list[InputError] = []
    rates = np.zeros(len(found.features))
    most_gal_ac = number("inputs.done_rate_most_gal_ac")
    for at, feature in enumerate(found.features):
        value = feature.columns.get(column)
        try:
            typed = 0.0 if value is None or value == "" else float(str(value))
        except ValueError:
            typed = np.nan
        rate = 0.0 if np.isnan(typed) and isinstance(value, float) else typed
        rates[at] = rate if unit == "gal/ac" else units.gal_ac_from_l_ha(rate)
        if not 0 <= rates[at] <= most_gal_ac:
            mend = f"It was read in {unit}: correct it, or name another column with --rate-column."
            where = f"{found.file}: row {feature.number}"
            faults.append(InputError(f"{column} {value} is no rate", where=where, mend=mend))
    raise_all(files.at_most(faults, found.file))
    return rates


def _swath_m(ground: Ground, file: str) -> float:
    if ground.swath_m is None:
        mend = "Name the sprayer with --sprayer, as it is called in farm.toml."
        raise InputError("it holds points, and the boom is not known", where=file, mend=mend, code=SETTINGS)
    return ground.swath_m


def _driven(
    points: vector.Shapes, rates: npt.NDArray[np.float64], swath_m: float
) -> tuple[list[Area], npt.NDArray[np.float64]]:
    """Give the ground that a boom covered between points that follow each other, and the rate on it.

    The boom sprays from one point to the next where it is on at both and they lie no further apart than it is
    wide; what it covered from a point without such a neighbour is a square of its width.
    """
    at = shapely.get_coordinates(points)
    steps = [
        (one, two)
        for one, two in pairwise(range(len(at)))
        if rates[one] > 0 and rates[two] > 0 and 0 < np.hypot(*(at[two] - at[one])) <= swath_m
    ]
    in_run = {place for step in steps for place in step}
    alone = [place for place in np.flatnonzero(rates > 0).tolist() if place not in in_run]
    lines = np.array([LineString(at[list(step)]) for step in steps], dtype=object)
    swept = shapely.buffer(lines, swath_m / 2, cap_style="flat")
    squares = shapely.buffer(points[alone], swath_m / 2, cap_style="square")
    of_step = [(rates[one] + rates[two]) / 2 for one, two in steps]
    return [*swept, *squares], np.array([*of_step, *rates[alone]])


def _geojson(parts: vector.Shapes, rates: npt.NDArray[np.float64], epsg: int) -> bytes:
    """Write the treated ground in longitude and latitude, a feature for each rate, highest first."""
    rounded = np.round(rates, 1)
    features = [
        {
            "type": "Feature",
            "properties": {"rate_gal_ac": rate},
            "geometry": mapping(area.to_lonlat(polygons_of(shapely.union_all(parts[rounded == rate])), epsg)),
        }
        for rate in sorted({float(one) for one in rounded}, reverse=True)
    ]
    whole = {"type": "FeatureCollection", "features": features}
    return (json.dumps(whole, allow_nan=False) + "\n").encode()
