"""Check strips on a map: dots where the boom stays off, a double edge around both strips of a pair.

The patterns tell them apart without colour, also on a grey copy.
"""

from typing import Any

from matplotlib.axes import Axes
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.path import Path

from zoning import colours

DOTS = ".."
_EDGES = ((colours.WHITE, 2.4), (colours.INK, 1.1))  # white around ink: seen on light and on dark


def strip(axes: Axes, line: Path, fill: str, *, dotted: bool, hatch: str) -> None:
    """Draw a strip; `hatch` is the pattern of ground that nobody sprays, "" where that is not so."""
    _draw(axes, lambda **look: PathPatch(line, clip_on=False, **look), fill, dotted=dotted, hatch=hatch)


def swatch(axes: Axes, box: tuple[tuple[float, float], float, float], fill: str, *, dotted: bool) -> None:
    """Draw what stands for a strip in the legend: its lower left corner, width and height."""
    _draw(axes, lambda **look: Rectangle(*box, **look), fill, dotted=dotted, hatch="")


def _draw(axes: Axes, shape: Any, fill: str, *, dotted: bool, hatch: str) -> None:
    axes.add_artist(shape(facecolor=fill, edgecolor="none", linewidth=0))
    if dotted or hatch:
        ink = colours.INK if dotted else colours.SKIP_HATCH
        axes.add_artist(shape(facecolor="none", edgecolor=ink, linewidth=0, hatch=DOTS if dotted else hatch))
    for ink, width in _EDGES:
        axes.add_artist(shape(facecolor="none", edgecolor=ink, linewidth=width))
