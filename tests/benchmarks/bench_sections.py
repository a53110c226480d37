"""CPU time of the edges of one pass: a field of 64 ha with a waterway, a boom of 90 ft, by its sections.

Run by hand: python tests/benchmarks/bench_sections.py
"""

import time

import numpy as np
import shapely
from shapely import LineString, Polygon, box

from zoning.inputs.given import Heading
from zoning.passes.sections import section_cover

WEST, SOUTH, SIDE = 412_345.0, 4_904_567.0, 800.0
BOOM_M = 90 * 0.3048
TIMES = 15


def ground():
    """Three zones with ragged edges, and a setback along the south edge."""
    rng = np.random.default_rng(0)
    east = np.linspace(100, 700, 120)
    waterway = LineString(np.column_stack([WEST + east, SOUTH + 300 + 25 * np.sin(east / 40)])).buffer(8)
    setback = box(WEST, SOUTH, WEST + SIDE, SOUTH + 20)
    left, zones = box(WEST, SOUTH, WEST + SIDE, SOUTH + SIDE) - waterway - setback, []
    for start in (250, 520):
        north = np.linspace(-1, SIDE + 1, 200)
        edge = start + 25 * np.cumsum(rng.normal(0, 0.15, 200))
        line = list(zip(WEST + edge, SOUTH + north, strict=True))
        west_of_it = Polygon([*line, (WEST - 1, SOUTH + SIDE + 1), (WEST - 1, SOUTH - 1)]).buffer(0)
        zones.append(left & west_of_it)
        left = left - west_of_it
    return [*zones, left], [setback]


def main() -> None:
    """Time it for some numbers of sections and headings."""
    zones, setbacks = ground()
    print("vertices", [int(shapely.get_num_coordinates(one)) for one in zones])
    for sections in (1, 9, 18, 54):
        for heading_deg in (90.0, 37.0):
            spent_ms = []
            for _ in range(TIMES):
                begun = time.process_time()
                cover = section_cover(
                    zones[::2], zones, setbacks, Heading(heading_deg, "given"), BOOM_M, sections
                )
                spent_ms.append(1000 * (time.process_time() - begun))
            print(
                f"{sections:3} sections, {heading_deg:g} degrees: {np.median(spent_ms):.1f} ms "
                f"(at most {max(spent_ms):.1f}); {cover.over_ac:.2f} ac over, {cover.off_crop_ac:.2f} off, "
                f"{cover.missed_ac:.2f} dry"
            )


if __name__ == "__main__":
    main()
