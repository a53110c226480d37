"""Shapes as text of an SVG path, in local metres: east and south of a corner, so that north is up.

Coordinates are rounded before they are taken apart, so edges that two areas share stay shared.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import shapely
from markupsafe import Markup

from zoning.plan import Area

Floats = npt.NDArray[np.float64]


def text(value: float) -> str:
    """Write a length with a decimal at most, never "-0".

    Examples
    --------
    >>> text(12.04), text(-0.02), text(-3.5)
    ('12', '0', '-3.5')
    """
    return f"{round(value, 1) + 0.0:.6g}"


def tag(pattern: str, *values: object) -> str:
    """Put values into a piece of markup; letters in them that would be markup are written out.

    Examples
    --------
    >>> tag('<a aria-label="{}">', 'North "forty" <b>')
    '<a aria-label="North &#34;forty&#34; &lt;b&gt;">'
    """
    return str(Markup(pattern).format(*values))


def _steps(ring: Floats, per_m: int) -> str:
    """Write a ring: its first corner, then the way to each other one."""
    whole = np.rint(ring * per_m).astype(np.int64)
    first, ways = whole[0], np.diff(whole[:-1], axis=0)
    ways = ways[(ways != 0).any(axis=1)]
    numbers = [f"{value / per_m:g}" for value in (*first.tolist(), *ways.ravel().tolist())]
    start = f"M{numbers[0]}{_apart(numbers[1])}"
    return start + ("l" + _joined(numbers[2:]) if len(numbers) > 2 else "") + "z"


def _apart(number: str) -> str:
    return number if number.startswith("-") else f" {number}"


def _joined(numbers: Sequence[str]) -> str:
    return numbers[0] + "".join(map(_apart, numbers[1:]))


def path(area_m: Area, per_m: int = 1) -> str:
    """Write an area as one path, each hole a ring of its own: it is to be filled by the rule "evenodd".

    Parameters
    ----------
    area_m : Polygon or MultiPolygon
        In local metres.
    per_m : int
        Steps that a metre is rounded to: 1 or 10.

    Examples
    --------
    >>> path(shapely.box(0, 0, 10.4, 20))
    'M10 0l0 20-10 0 0-20z'
    """
    rings = [
        ring for part in shapely.get_parts(area_m) for ring in (part.exterior, *part.interiors) if part.area
    ]
    return "".join(_steps(shapely.get_coordinates(ring), per_m) for ring in rings)


def line(line_m: shapely.Geometry, per_m: int = 1) -> str:
    """Write lines as one path.

    Examples
    --------
    >>> line(shapely.LineString([(0, 0), (10, 5), (4, 9)]))
    'M0 0l10 5-6 4'
    """
    found = []
    for part in shapely.get_parts(line_m):
        whole = np.rint(shapely.get_coordinates(part) * per_m).astype(np.int64)
        numbers = [f"{value / per_m:g}" for value in (*whole[0], *np.diff(whole, axis=0).ravel())]
        found.append(f"M{numbers[0]}{_apart(numbers[1])}l{_joined(numbers[2:])}")
    return "".join(found)
