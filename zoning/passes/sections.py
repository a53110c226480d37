"""What the sections of a boom really spray along the edges of the ground that a pass treats.

A section sprays its whole width or nothing. So an edge that it does not meet squarely (a waterway, a terrace,
the point of a field, a slanting boundary of a zone) becomes a staircase of rectangles one section wide. They
are worked out exactly, from outlines; nothing is sampled.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from zoning.inputs.given import Area, Heading
from zoning.passes.stretches import RIM_M, area_m2, edges_of, first_section_m, on, over
from zoning.units import ac_from_m2


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionCover:
    """Where the sections of a boom spray beside the ground that a pass treats, and what they leave dry.

    `section_m` is the width of one section, of the whole boom or swath where `sections` is 1. `over_ac` is
    sprayed crop that the pass does not treat, `off_crop_ac` is sprayed where no crop is, `missed_ac` is
    ground to be treated that stays dry because its section is off beside a setback. `sprayed_ac` is
    `treated_ac` - `missed_ac` + `over_ac` + `off_crop_ac`. Areas are those of the plane of the grid.
    """

    section_m: float
    sections: int
    treated_ac: float
    sprayed_ac: float
    over_ac: float
    off_crop_ac: float
    missed_ac: float

    @property
    def beyond_ac(self) -> float:
        """What is sprayed beyond the ground that the pass treats."""
        return self.over_ac + self.off_crop_ac


def section_cover(
    treated: Sequence[Area],
    crop: Sequence[Area],
    no_spray: Sequence[Area],
    heading: Heading,
    boom_m: float,
    sections: int,
) -> SectionCover:
    """Work out what the sections spray, when each is on wherever any of its width is over treated ground.

    Parameters
    ----------
    treated : sequence of Polygon or MultiPolygon
        What the pass treats, in metres, inside `crop`; its polygons do not overlap.
    crop : sequence of Polygon or MultiPolygon
        All ground in zones; its polygons do not overlap.
    no_spray : sequence of Polygon or MultiPolygon
        Setbacks: a section is off wherever any of its width is over one of them.
    heading : Heading
        Direction of driving, and where a swath lies where that is known.
    boom_m : float
        Width of the boom, or the swath of an aircraft. [m]
    sections : int
        How many parts of the boom are switched by themselves; 1 where it is switched as a whole.

    Returns
    -------
    SectionCover

    Notes
    -----
    Sections lie side by side as the swaths of `passes.swaths` do: where guidance lines say it, else from the
    crop's edge on. Left out are: turns on the headland, passes along it and what rows inside
    spray twice there, and the time that a section takes to open and close. `efficiency` of the sprayer holds
    the time of turns and overlap, no area.

    Examples
    --------
    A point row: half of a square of 30 m, cut from corner to corner, with sections of 10 m. The three of them
    spray 30, 20 and 10 m, so 150 m2 more than the 450 m2 of the triangle; 150 m2 are 0.0371 ac.

    >>> point = shapely.Polygon([(0, 0), (0, 30), (30, 0)])
    >>> cover = section_cover([point], [point], [], Heading(0.0, "edge"), 30.0, 3)
    >>> round(cover.off_crop_ac, 4), round(cover.over_ac, 4)
    (0.0371, 0.0)
    """
    section_m = boom_m / sections
    start_m = first_section_m(crop or treated, heading, boom_m)
    of_treated, of_crop, closed = (
        edges_of(ground, heading.deg, start_m, section_m) for ground in (treated, crop, no_spray)
    )
    rim = RIM_M / section_m
    sprayed = on(over(of_treated, rim), over(closed, rim))
    covered_m2, on_crop_m2 = (area_m2(sprayed, edges, section_m) for edges in (of_treated, of_crop))
    sprayed_m2 = float((sprayed.end_m - sprayed.start_m).sum()) * section_m
    treated_m2 = float(shapely.area(np.array(treated, dtype=object)).sum())
    return SectionCover(
        section_m=section_m,
        sections=sections,
        treated_ac=ac_from_m2(treated_m2),
        sprayed_ac=ac_from_m2(sprayed_m2),
        over_ac=_not_below_0(ac_from_m2(on_crop_m2 - covered_m2)),
        off_crop_ac=_not_below_0(ac_from_m2(sprayed_m2 - on_crop_m2)),
        missed_ac=_not_below_0(ac_from_m2(treated_m2 - covered_m2)),
    )


def _not_below_0(area_ac: float) -> float:
    """Take off what rounding of floats leaves below nothing."""
    return max(area_ac, 0.0)
