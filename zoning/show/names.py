"""What the first map says beside the zones: names of drawn zones, and where the sprayer's files differ.

Draws nothing; gives lines of text, and edges in metres.
"""

from typing import cast

import shapely

from zoning.inputs.area import from_lonlat
from zoning.plan import Plan
from zoning.show.figures import plain

_MOST_NAMES = 8  # lines; more would make the legend higher than many a map
_LONGEST = 28  # of a name [characters]


def drawn_names(plan: Plan) -> tuple[str, ...]:
    """Say which numbers each zone has that somebody drew and named, a line each; nothing where nobody did."""
    numbers: dict[str, list[str]] = {}
    for zone in plan.zones:
        if zone.name:  # "" where nobody drew it
            numbers.setdefault(zone.name, []).append(str(zone.zone))
    lines = [f"{plain(name, _LONGEST)}: {', '.join(those)}" for name, those in numbers.items()]
    if len(lines) <= _MOST_NAMES:
        return tuple(lines)
    return (*lines[: _MOST_NAMES - 1], f"{len(lines) - _MOST_NAMES + 1} more names stand in the report")


def swath_notes(plan: Plan) -> tuple[str, ...]:
    """Say how far the sprayer's files are from the zones, where they follow its swaths."""
    if plan.treatment is None or not plan.passes:
        return ()
    percent = f"{100 * plan.treatment.differs_frac:.1f} %"
    return (f"dashed: edges in the sprayer's files, along its swaths; {percent} differs",)


def swath_edges(plan: Plan) -> shapely.Geometry | None:
    """Give the lines inside the field where the sprayer's files switch, in metres; None where zones do."""
    if plan.treatment is None or not plan.passes:
        return None
    of_label: dict[int, list[shapely.Geometry]] = {}
    for outline, label in plan.treatment.parts:
        of_label.setdefault(label, []).append(from_lonlat(outline, plan.epsg))
    rims = [shapely.boundary(shapely.coverage_union_all(outlines)) for outlines in of_label.values()]
    shared = [shapely.intersection(one, other) for at, one in enumerate(rims) for other in rims[:at]]
    return shapely.line_merge(shapely.union_all([_lines(one) for one in shared]))


def _lines(geometry: shapely.Geometry) -> shapely.Geometry:
    """Keep the lines of what may have points beside them, where two edges only touch."""
    parts = shapely.get_parts(geometry)
    return cast(shapely.Geometry, shapely.multilinestrings(parts[shapely.get_dimensions(parts) == 1]))
