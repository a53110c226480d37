"""Ground that is never sprayed, beside the zones as they were drawn: with their corners on its edges."""

from collections.abc import Sequence
from dataclasses import replace

from zoning.inputs import area
from zoning.inputs.given import Area, NoSpray
from zoning.inputs.ground.corners import with_shared_corners
from zoning.plan import PlanNoSpray


def beside(no_spray: Sequence[NoSpray], zones: Sequence[Area]) -> tuple[NoSpray, ...]:
    """Give no-spray ground the corners of the zones on its edges, so that both are one coverage.

    Parameters
    ----------
    no_spray : sequence of NoSpray
    zones : sequence of Polygon or MultiPolygon
        Outlines of the zones, in the same plane: their edges have corners where lines between zones end.
    """
    _, outlines = with_shared_corners(zones, [one.outline for one in no_spray])
    return tuple(replace(one, outline=outline) for one, outline in zip(no_spray, outlines, strict=True))


def planned(no_spray: Sequence[NoSpray], epsg: int) -> tuple[PlanNoSpray, ...]:
    """Give no-spray ground as it stands in a plan.

    Parameters
    ----------
    no_spray : sequence of NoSpray
    epsg : int
        The plane of their outlines.
    """
    return tuple(
        PlanNoSpray(
            kind=one.kind,
            source=one.source,
            outline=area.to_lonlat(one.outline, epsg),
            area_ac=one.area_ac,
        )
        for one in no_spray
    )
