"""What sections spray, cut by another library: an independent way to the figures of `passes.sections`."""

import numpy as np
import shapely
from shapely import LineString, Point, affinity, box

RIM_M = 0.001  # ground that reaches less than this into a section does not switch it
FAR_M = 99_999


def sprayed_areas_m2(treated, crop, no_spray, heading_deg, section_m, side=None):
    """Areas treated, sprayed, over, off the crop and missed, in m2."""
    sprayed, crop, treated = rectangles(treated, crop, no_spray, heading_deg, section_m, side)
    over = (sprayed & (crop - treated)).area
    return [treated.area, sprayed.area, over, (sprayed - crop).area, (treated - sprayed).area]


def rectangles(treated, crop, no_spray, heading_deg, section_m, side=None):
    """Ground that is sprayed, crop and treated ground, turned so that the heading is north.

    Each part of treated ground in a section switches it on for as long as the part is. `side` is a place and
    how far to its left a side of the boom lies; without it the edge of the crop is one.
    """
    origin = shapely.get_coordinates(list(crop))[0]
    crop, treated, closed = (
        affinity.rotate(shapely.union_all(list(one)), heading_deg, origin=tuple(origin))
        for one in (crop, treated, no_spray)
    )
    west, _, east, _ = crop.bounds
    if side is not None:
        at_side = affinity.rotate(Point(side[0]), heading_deg, origin=tuple(origin)).x - side[1]
        while at_side > west:
            at_side -= section_m
        while at_side + section_m <= west:
            at_side += section_m
        west = at_side
    made = []
    for left in np.arange(west, east, section_m):
        strip = box(left + RIM_M, origin[1] - FAR_M, left + section_m - RIM_M, origin[1] + FAR_M)
        for span in shapely.get_parts(_spans(strip & treated) - _spans(strip & closed)):
            if span.length > 0:
                made.append(box(left, span.bounds[1], left + section_m, span.bounds[3]))
    return shapely.union_all(made), crop, treated


def _spans(ground):
    """How far the parts of ground reach along the heading."""
    parts = [part for part in shapely.get_parts(ground) if part.area > 0]
    return shapely.union_all([LineString([(0, part.bounds[1]), (0, part.bounds[3])]) for part in parts])
