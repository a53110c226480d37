"""Flow, way, swath and moisture -> yield at the standard moisture; also from yields that a file gives."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.inputs.harvest.given import YieldPoints
from zoning.strips.cleaned.along import Runs, clock_s
from zoning.strips.terms import Tracks
from zoning.units import KG_PER_BU, ac_from_m2
from zoning.words import Said

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Grain:
    """What a bushel of a crop weighs [kg], and at which moisture yields are compared."""

    bushel_kg: float
    moisture_frac: float


def soybeans() -> Grain:
    """Soybeans: 60 lb a bushel.

    Examples
    --------
    >>> round(soybeans().bushel_kg, 3), soybeans().moisture_frac
    (27.216, 0.13)
    """
    return Grain(bushel_kg=KG_PER_BU, moisture_frac=number("strips.standard_moisture_frac"))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measured:
    """What was measured and where, apart: the first lags behind the place, the second does not.

    Arrays of shape (m,), for the points of passes. `grain` over `ground` is the yield in bu/ac: `grain` is
    dry mass in bu/s and `ground` ac/s, or `grain` the yield itself and `ground` 1.
    """

    grain: Floats
    ground: Floats
    moisture_frac: Floats
    speed_m_s: Floats  # along the ground, as `ground` uses it or as it can be had
    swath_m: Floats
    is_speed_given: bool  # by the file, not worked out from places
    notes: tuple[Said, ...]

    @property
    def yield_bu_ac(self) -> Floats:
        """Yield at the standard moisture, NaN where there is no ground."""
        return yields(self.grain, self.ground)


def yields(grain: Floats, ground: Floats) -> Floats:
    """Divide, NaN where there is no ground."""
    return np.asarray(np.divide(grain, ground, out=np.full(np.shape(grain), np.nan), where=ground > 0))


def _dry(mass: Floats, moisture_frac: Floats, grain: Grain) -> Floats:
    """Give the mass, or the yield, at the standard moisture; share of water in the wet mass."""
    return mass * (1 - moisture_frac) / (1 - grain.moisture_frac)


def measured(points: YieldPoints, passes: Tracks, runs: Runs, header_m: float, grain: Grain) -> Measured:
    """Take apart what was measured and where, and say what had to stand in for what the file does not give.

    Way a second: of the file, else the speed, else from places and times. Swath: of the file, else the
    header. Moisture: of the file, else the grain counts as if at the standard moisture.

    Parameters
    ----------
    points, passes, runs
        n points in the order of driving, their passes, and the m of them that lie on one.
    header_m : float
        Width of the header. [m].
    grain : Grain
        Bushel and standard moisture.

    Notes
    -----
    Yield = flow x s x (1 - m) / (1 - m_std) / bushel / (way x swath); the form is that of the documentation
    of the data set gartner.corn in the R package agridat.
    """
    at, notes = runs.at, []
    is_flow = bool(np.isfinite(points.flow_kg_s).any())
    moisture = points.moisture_frac[at]
    water = _filled(moisture, grain.moisture_frac)
    if np.isnan(moisture).all() and len(at) and (is_flow or not points.is_dry):
        notes.append(Said("cleaning.no_moisture", percent=100 * grain.moisture_frac))  # eq. percent
    swath_m = points.swath_m[at]
    is_given = np.isfinite(swath_m)
    swath_m = np.where(is_given, swath_m, header_m)
    speed_m_s, stand_in = _speed_m_s(points, passes, runs)
    if is_flow:
        if len(at) and not is_given.any():
            notes.append(Said("cleaning.no_swath"))
        if len(at) and stand_in:
            notes.append(Said(f"cleaning.{stand_in}"))
        dry = _dry(points.flow_kg_s[at], water, grain) / grain.bushel_kg
        ground = ac_from_m2(1.0) * speed_m_s * swath_m
    else:
        given = points.yield_bu_ac[at]
        dry = given if points.is_dry else _dry(given, water, grain)
        ground = np.ones(len(at))
    return Measured(
        grain=np.asarray(dry, dtype=np.float64),
        ground=np.asarray(ground, dtype=np.float64),
        moisture_frac=moisture,
        speed_m_s=speed_m_s,
        swath_m=swath_m,
        is_speed_given=stand_in in ("", "speed_for_distance"),
        notes=tuple(notes),
    )


def _filled(values: Floats, otherwise: float) -> Floats:
    there = values[np.isfinite(values)]
    return np.where(np.isfinite(values), values, np.median(there) if len(there) else otherwise)


def _speed_m_s(points: YieldPoints, passes: Tracks, runs: Runs) -> tuple[Floats, str]:
    """Way a second, and what stood in for a missing distance ("" for nothing)."""
    distance_m, speed_m_s = points.distance_m[runs.at], points.speed_m_s[runs.at]
    time_s, interval_s = clock_s(points, runs), points.interval_s[runs.at]
    if time_s is not None:
        step_s = np.where(runs.is_step, np.diff(time_s, prepend=np.nan), np.nan)
        usual_s = np.nanmedian(step_s) if np.isfinite(step_s).any() else np.nan
        step_s = np.where(step_s > 0, step_s, usual_s)
        interval_s = np.where(np.isfinite(interval_s), interval_s, step_s)
    by_distance = yields(distance_m, interval_s)
    by_place = _by_place_m_s(passes.along_m[runs.at], time_s, runs)
    out, names = by_distance, ("", "speed_for_distance", "place_for_distance", "no_distance")
    stand_in = 0 if np.isfinite(by_distance).any() else len(names) - 1
    for place, other in enumerate((speed_m_s, by_place), start=1):
        if stand_in > place and np.isfinite(other).any():
            stand_in = place
        out = np.where(np.isfinite(out), out, other)
    return out, names[stand_in]


def _by_place_m_s(along_m: Floats, time_s: Floats | None, runs: Runs) -> Floats:
    """Speed from places, over a few points because places are off; NaN without times."""
    if time_s is None or not len(along_m):
        return np.full(len(along_m), np.nan)
    half = 2
    here = np.arange(len(along_m))
    low, high = np.maximum(here - half, runs.first), np.minimum(here + half, runs.last)
    return yields(along_m[high] - along_m[low], time_s[high] - time_s[low])
