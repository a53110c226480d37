"""Plans drawn for properties: zones of any shape, anywhere, in any number of passes, under any name."""

from dataclasses import replace

import numpy as np
from hypothesis import strategies as st
from made_plans import Made, made_plan, smooth_field

from zoning.plan import Plan

# EPSG of a plane and a corner in it: in the middle and at the edge of a zone, north and south, far north.
PLACES = ((32615, (270_000.0, 4_900_000.0)), (32720, (700_000.0, 6_400_000.0)), (32631, (500_000.0, 2_000.0)),
          (32760, (820_000.0, 8_000_000.0)), (32633, (500_000.0, 7_700_000.0)))  # fmt: skip
# Names that people give, and that a file, a page or a table could stumble over; none that settings refuse.
NAMES = st.text("aZ09 .,;:'\"&<>%{}()[]/\\#=+-@é\u0301ßØ田½", min_size=1, max_size=24) | st.sampled_from(
    ["CON", "..", "a/../b", "x" * 200, "=1+1", "<b>", "nul.txt", "Three Dates"]
)
SHOWN = NAMES.filter(lambda name: bool(name.strip()) and name.isprintable())


@st.composite
def _grounds(draw: st.DrawFn) -> tuple[np.ndarray, dict[int, str]]:
    """Draw the zone of each cell, 0 outside, and the block of each zone."""
    if draw(st.booleans()):
        side = draw(st.integers(10, 16))
        return smooth_field(draw(st.integers(0, 999)), draw(st.integers(1, 3)), draw(st.integers(1, 2)),
                            (side, side + draw(st.integers(-2, 6))), draw(st.booleans()))  # fmt: skip
    rows, columns = draw(st.integers(2, 6)), draw(st.integers(2, 6))
    cells = draw(st.lists(st.integers(0, 4), min_size=rows * columns, max_size=rows * columns).filter(any))
    labels = np.reshape(cells, (rows, columns))
    numbers = {old: new for new, old in enumerate(sorted(set(cells) - {0}), 1)} | {0: 0}
    return np.vectorize(numbers.get)(labels), dict.fromkeys((one for one in numbers.values() if one), "A")


@st.composite
def any_made(draw: st.DrawFn) -> Made:
    """Draw what a plan is made of."""
    labels, blocks = draw(_grounds())
    epsg, corner = draw(st.sampled_from(PLACES))
    drawn = {int(zone): draw(st.sampled_from([None, 1, 2, 3])) for zone in np.unique(labels) if zone}
    used = sorted({one for one in drawn.values() if one})
    # in hundredths of the lowest, rounded up as files have them, less than 0.01 % is lost
    rates = draw(st.lists(st.integers(120, 400), min_size=3, max_size=3, unique=True))
    return Made(
        labels=labels.tolist(),
        block_of_zone={zone: blocks.get(zone, "A") for zone in drawn},
        pass_of_zone={zone: used.index(one) + 1 for zone, one in drawn.items() if one},
        rates_gal_ac=tuple(rate / 10 for rate in rates),
        units=draw(st.sampled_from(["us", "metric"])),
        epsg=epsg,
        origin_m=corner,
        cell_m=draw(st.sampled_from([10.0, 20.0, 45.0])),
        field=draw(SHOWN),
        farm=draw(SHOWN),
        dates=draw(st.booleans()),
    )


def any_plan() -> st.SearchStrategy[Plan]:
    """Draw a plan, with TASKDATA as polygons or as a grid."""
    return st.builds(
        lambda made, grid: replace(made_plan(made), iso_grid=grid), any_made(), st.sampled_from([0, 1, 2])
    )
