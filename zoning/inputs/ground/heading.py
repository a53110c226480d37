"""The direction in which a field is driven: by guidance lines, as given or planted, or along an edge."""

import numpy as np
import shapely
from shapely import LineString, Polygon

from zoning.evidence import number
from zoning.inputs.given import Area, Heading
from zoning.inputs.grid import Floats
from zoning.inputs.ground import guidance
from zoning.settings.model import Settings


def heading(
    settings: Settings,
    planting_azimuth_deg: float | None,
    boundary: Area,
    lines: guidance.Guidance | None = None,
) -> Heading:
    """Choose the direction in which the sprayer drives a field.

    Parameters
    ----------
    settings : Settings
        `heading_deg` is taken where it is given, and there are no guidance lines.
    planting_azimuth_deg : float or None
        Direction of the planter's passes, clockwise from grid north, see `azimuth.driven_deg`; a sprayer
        follows the rows. [degree]
    boundary : Polygon or MultiPolygon
        In a projected CRS; where there are no passes, rows are taken to run along its longest edge.
    lines : Guidance, optional
        What the machine really follows, so it goes before all others.

    Returns
    -------
    Heading
        Which end is driven to is known only where it is given; the others lie from 0 to below 180.
    """
    if lines is not None:
        return Heading(lines.deg, "guidance", lines.through_m)
    if settings.heading_deg is not None:
        return Heading(settings.heading_deg, "given")
    if planting_azimuth_deg is not None:
        return Heading(planting_azimuth_deg, "planting")
    return Heading(longest_edge_deg(boundary), "edge")


def longest_edge_deg(boundary: Area) -> float:
    """Direction of the longest straight edge of a field.

    Parameters
    ----------
    boundary : Polygon or MultiPolygon
        In a projected CRS; its holes do not count. [m]

    Returns
    -------
    float
        Clockwise from north, 0 to below 180. [degree]

    Notes
    -----
    An edge with many vertices counts as one while it stays near a straight line. Of edges that are as good as
    equally long, as in a square field, the one that runs nearest to north and south is taken.

    Examples
    --------
    >>> longest_edge_deg(Polygon([(0, 0), (150, 1), (300, 0), (300, 100), (0, 100)]))
    90.0
    >>> longest_edge_deg(shapely.box(0, 0, 100, 100))
    0.0
    """
    parts = [part for part in shapely.get_parts(boundary) if isinstance(part, Polygon)]
    steps = np.vstack([_straight_edges(part) for part in parts])
    length_m = np.hypot(*steps.T)
    long = length_m >= (1 - number("inputs.heading_equal_frac")) * length_m.max()
    angle_deg = np.degrees(np.arctan2(*steps[long].T)) % 180
    from_north_deg = np.minimum(angle_deg, 180 - angle_deg).round(6)  # equal but for the rounding of floats
    return float(angle_deg[np.lexsort((angle_deg, from_north_deg))[0]])


def _straight_edges(part: Polygon) -> Floats:
    """Give the edges of the outline as steps east and north, shape (n, 2)."""
    ring = shapely.get_coordinates(part.exterior)[:-1]
    # The ring begins where it is farthest from its middle: there it surely turns.
    first = int(np.hypot(*(ring - ring.mean(axis=0)).T).argmax())
    closed = LineString(np.vstack([ring[first:], ring[: first + 1]]))
    straight = shapely.simplify(closed, number("inputs.heading_straight_m"), preserve_topology=False)
    steps = np.diff(shapely.get_coordinates(straight), axis=0)
    return np.asarray(steps if steps.any() else np.diff(shapely.get_coordinates(closed), axis=0))
