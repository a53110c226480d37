"""What a machine cannot follow of the map of a pass: a volume that it cannot hold, runs too short to switch.

Sections open and close as in `sections`, along the heading. A run of the field itself that is too short (the
tip of a point row) is no fault of the map: any map has it, so it is not counted.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.inputs.given import Area, Heading
from zoning.passes.stretches import RIM_M, Edges, Stretches, area_m2, edges_of, first_section_m, on, over
from zoning.settings.model import Sprayer
from zoning.sprayer.reach import Reach
from zoning.sprayer.smallest import footprint
from zoning.sprayer.turndown import most_ratio, one_speed_for
from zoning.units import ac_from_m2, ft_from_m, ha_from_ac, l_ha_from_gal_ac
from zoning.words import Said

Floats = npt.NDArray[np.float64]

_SLACK_M = 0.01  # method: shapes went to degrees and back, so that a run may lack the last bits of its length


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """What lies where, for the map of a pass: in metres, in one plane.

    `parts` are the polygons of the map with their rates in gal/ac, 0 where the boom is off; `crop` is all
    ground in zones, `closed` setbacks.
    """

    parts: Sequence[tuple[Area, float]]
    crop: Sequence[Area]
    closed: Sequence[Area]


@dataclass(frozen=True, slots=True, kw_only=True)
class TooShort:
    """Ground of a map on which sections cannot switch as it asks.

    `runs_ac` is treated ground in runs shorter than `least_run_m`, or in one of the `islands` that are
    smaller than the smallest zone; `gaps_ac` untreated ground between two runs that are closer together than
    that.
    """

    treated_ac: float
    runs_ac: float
    gaps_ac: float
    islands: int
    least_run_m: float

    @property
    def share_frac(self) -> float:
        """Ground that is not followed, as a share of the treated ground."""
        return (self.runs_ac + self.gaps_ac) / self.treated_ac if self.treated_ac > 0 else 0.0


def too_short(ground: Ground, heading: Heading, sprayer: Sprayer, speed_mph: float | None = None) -> TooShort:
    """Measure how much ground of a map lies in runs and gaps that a machine is too slow to switch.

    Parameters
    ----------
    ground : Ground
    heading : Heading
        Direction of driving, and where a swath lies where that is known.
    sprayer : Sprayer
        Its boom, sections and `section_lag_s` are used.
    speed_mph : float, optional
        At which it drives; left out: its top speed. [mph]

    Returns
    -------
    TooShort

    Notes
    -----
    A section is on wherever any of its width is over treated ground and none over a setback. A run is too
    short when the section would be on for less than the footprint of the smallest zone along the track:
    three times the distance that is driven while it opens or closes, and at least a section. So is a gap
    between two runs. Of a gap, only ground of the map counts.

    Examples
    --------
    Strips of 5 m, treated and not, across the way of a machine that takes 9.4 m to switch: all of it is lost.

    >>> from shapely import box
    >>> rig = Sprayer.model_validate({"name": "rig", "boom": "90 ft", "sections": 9, "tank": "1000 gal",
    ...     "speed": ["5 mph", "14 mph"], "fill_min": 15, "section_lag_s": 0.5})
    >>> parts = [(box(0, y, 60, y + 5), 15.0 if y % 10 else 0.0) for y in range(0, 205, 5)]
    >>> map_of = Ground(parts=parts, crop=[box(0, 0, 60, 205)], closed=[])
    >>> found = too_short(map_of, Heading(0.0, "edge"), rig)
    >>> round(found.runs_ac / found.treated_ac, 3), round(found.gaps_ac / found.treated_ac, 3)
    (1.0, 0.95)
    >>> too_short(map_of, Heading(90.0, "edge"), rig).share_frac  # along them, each run is 60 m long
    0.0
    """
    section_m, least_m = footprint(sprayer, speed_mph)
    start_m = first_section_m(ground.crop, heading, sprayer.boom_m)
    rim = RIM_M / section_m
    treated = [outline for outline, rate in ground.parts if rate > 0]
    dry = [outline for outline, rate in ground.parts if rate == 0]
    sizes_m2 = np.array([outline.area for outline in treated])
    small = sizes_m2 < section_m * (least_m - _SLACK_M)
    of_treated, of_dry, of_large, closed = (
        edges_of(some, heading.deg, start_m, section_m)
        for some in (
            treated,
            dry,
            [one for one, is_small in zip(treated, small, strict=True) if not is_small],
            ground.closed,
        )
    )
    sprayed = _joined(on(over(of_treated, rim), over(closed, rim)))
    field = _joined(on(over(_both(of_treated, of_dry), rim), over(_both(), rim)))
    runs_m2 = area_m2(_short_runs(sprayed, field, least_m), of_large, section_m)
    gaps_m2 = area_m2(_short_gaps(sprayed, least_m), of_dry, section_m)
    return TooShort(
        treated_ac=ac_from_m2(float(sizes_m2.sum())),
        runs_ac=ac_from_m2(max(runs_m2, 0.0) + float(sizes_m2[small].sum())),
        gaps_ac=ac_from_m2(max(gaps_m2, 0.0)),
        islands=int(small.sum()),
        least_run_m=least_m,
    )


def not_followed(
    ground: Ground, heading: Heading | None, sprayer: Sprayer, at: Reach
) -> tuple[tuple[Said, ...], tuple[Said, ...]]:
    """Say what a machine cannot follow of the map of a pass.

    Parameters
    ----------
    ground : Ground
        The map.
    heading : Heading or None
        Without one nothing is said of runs.
    sprayer : Sprayer
    at : Reach
        What it does at the volume of the pass.

    Returns
    -------
    not_followed : tuple of Said
        For each thing that the machine cannot follow, why; empty where it can follow the map.
    doubts : tuple of Said
        What it follows less than well, and is worth a note.
    """
    faults = list[Said]() if at.reachable or at.why_not is None else [at.why_not]
    faults += _one_speed({rate for _, rate in ground.parts if rate > 0}, sprayer)
    if heading is None:
        return tuple(faults), ()
    found = too_short(ground, heading, sprayer, at.speed_mph)
    most_frac = number("passes.unfollowed_frac")
    if found.share_frac > most_frac:
        return (*faults, _said("passes.runs_too_short", found, most=100 * most_frac)), ()  # eq. in a hundred
    doubt = found.share_frac > number("passes.unfollowed_told_frac")
    return tuple(faults), (_said("passes.some_runs_short", found),) if doubt else ()


def _said(code: str, found: TooShort, **more: float) -> Said:
    return Said(
        code,
        least_ft=ft_from_m(found.least_run_m),
        least_m=found.least_run_m,
        runs_ac=found.runs_ac,
        runs_ha=ha_from_ac(found.runs_ac),
        gaps_ac=found.gaps_ac,
        gaps_ha=ha_from_ac(found.gaps_ac),
        percent=100 * found.share_frac,  # eq. in a hundred
        **more,
    )


def _one_speed(rates_gal_ac: set[float], sprayer: Sprayer) -> list[Said]:
    """Hold the rates of one map to what the nozzle turns down to: they must share a speed."""
    if len(rates_gal_ac) < 2:
        return []
    low, high = min(rates_gal_ac), max(rates_gal_ac)
    if one_speed_for(sprayer, low, high) is not None:
        return []
    return [
        Said(
            "passes.no_one_speed",
            low_gal_ac=low,
            low_l_ha=l_ha_from_gal_ac(low),
            high_gal_ac=high,
            high_l_ha=l_ha_from_gal_ac(high),
            ratio=high / low,
            most=most_ratio(sprayer) or 1.0,
        )
    ]


def _both(*some: Edges) -> Edges:
    """Put edges of several grounds together."""
    none = np.zeros((0, 2))
    across = [one.across for one in some]
    along_m = [one.along_m for one in some]
    return Edges(np.concatenate([none, *across]), np.concatenate([none, *along_m]))


def _joined(stretches: Stretches) -> Stretches:
    """Join stretches of a section that lie next to each other but for rounding."""
    order = np.lexsort((stretches.start_m, stretches.section))
    section, start_m, end_m = stretches.section[order], stretches.start_m[order], stretches.end_m[order]
    apart = (np.diff(section) != 0) | (start_m[1:] - end_m[:-1] > _SLACK_M)
    first, last = np.concatenate([[True], apart]), np.concatenate([apart, [True]])
    return Stretches(
        section[first[: len(section)]], start_m[first[: len(section)]], end_m[last[: len(section)]]
    )


def _short_runs(sprayed: Stretches, field: Stretches, least_m: float) -> Stretches:
    """Pick the runs that are too short, where the run of the field itself is long enough."""
    short = sprayed.end_m - sprayed.start_m < least_m - _SLACK_M
    runs = Stretches(sprayed.section[short], sprayed.start_m[short], sprayed.end_m[short])
    if not len(runs.section):
        return runs
    # sections one behind the other on one line, so that one search finds the run of the field
    middle_m = (runs.start_m + runs.end_m) / 2
    low_m = min(field.start_m.min(), middle_m.min())
    span_m = max(field.end_m.max(), middle_m.max()) - low_m + 1
    at = np.searchsorted(
        field.section * span_m + field.start_m - low_m, runs.section * span_m + middle_m - low_m
    )
    of_field = np.maximum(at - 1, 0)
    inside = (field.section[of_field] == runs.section) & (field.end_m[of_field] >= middle_m)
    long = inside & (field.end_m[of_field] - field.start_m[of_field] >= least_m - _SLACK_M)
    return Stretches(runs.section[long], runs.start_m[long], runs.end_m[long])


def _short_gaps(sprayed: Stretches, least_m: float) -> Stretches:
    """Give the gaps between two runs of a section that are too short."""
    start_m, end_m = sprayed.end_m[:-1], sprayed.start_m[1:]
    short = (np.diff(sprayed.section) == 0) & (end_m - start_m < least_m - _SLACK_M)
    return Stretches(sprayed.section[:-1][short], start_m[short], end_m[short])
