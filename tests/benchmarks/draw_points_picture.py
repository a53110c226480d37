"""The picture of docs/explanation/points_are_no_replicates.md: thirty trials of a pass that returns nothing.

Run it by hand: PYTHONPATH=tests/made:tests/benchmarks python tests/benchmarks/draw_points_picture.py
"""

from pathlib import Path
from typing import Any

import matplotlib
from bench_never_fooled import Run, runs
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from zoning import colours

HERE = Path(__file__).resolve().parents[2]
FILE = "points_are_no_replicates.png"
TRIALS = 30
LOOK: dict[Any, Any] = {
    "font.family": "DejaVu Sans",
    "font.size": 10,
    "text.color": colours.INK,
    "axes.edgecolor": colours.SECONDARY,
    "axes.labelcolor": colours.INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.spines.left": False,
    "xtick.color": colours.SECONDARY,
    "path.simplify": False,
}
BLUE, *_, RED = colours.ZONES


def draw(found: list[Run]) -> Figure:
    """Two panels: 90 % intervals of the same trials, by points and by pairs, sorted by what was seen."""
    figure = Figure(figsize=(7.4, 6.4), dpi=200, facecolor=colours.WHITE)
    FigureCanvasAgg(figure)
    title = f"{len(found)} trials of a pass that returned nothing"
    figure.text(0.02, 0.955, title, size=13, weight="bold", va="center")
    under = (
        "what was seen and its 90 % interval; simulated fields, 3 to 6 pairs of strips, judged in two ways"
    )
    figure.text(0.02, 0.912, under, size=9.5, color=colours.SECONDARY, va="center")
    reach = 1.04 * max(max(abs(end) for end in (*one.by_pairs, *one.by_points)) for one in found)
    left = figure.add_axes((0.03, 0.1, 0.455, 0.7))
    right = figure.add_axes((0.525, 0.1, 0.455, 0.7))
    by_mean = sorted(found, key=lambda one: one.by_pairs[0])
    show(left, [one.by_points for one in by_mean], "every point taken for a repeat")
    show(right, [one.by_pairs for one in by_mean], "one difference a pair")
    for axes in (left, right):
        axes.set(xlim=(-reach, reach), ylim=(-1, len(found)), yticks=[])
        axes.set_xlabel("treated less untreated, bu/ac")
    return figure


def show(axes: Axes, intervals: list[tuple[float, float, float]], name: str) -> None:
    """One line a trial; those that miss the truth are red, and thicker."""
    misses = 0
    for row, (mean, low, high) in enumerate(intervals):
        is_miss = not low <= 0 <= high
        misses += is_miss
        colour = RED if is_miss else BLUE
        axes.plot((low, high), (row, row), color=colour, linewidth=2.6 if is_miss else 1.4)
        axes.plot(mean, row, marker="o", color=colour, markersize=4.5, markeredgecolor=colours.WHITE)
    axes.axvline(0, color=colours.INK, linewidth=1, zorder=0)
    axes.set_title(name, size=10.5, loc="left", pad=22)
    told = f"{misses} of {len(intervals)} claim a response (thick, red)"
    axes.text(0, 1.015, told, transform=axes.transAxes, size=9, color=colours.SECONDARY, va="bottom")


def main() -> None:
    with matplotlib.rc_context(LOOK):
        figure = draw(runs(TRIALS, 0.0))
        figure.savefig(HERE / "docs" / FILE, format="png", metadata={"Software": None})
    print(f"wrote docs/{FILE}")


if __name__ == "__main__":
    main()
