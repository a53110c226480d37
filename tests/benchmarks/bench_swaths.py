"""How long treatment cells along swaths take, and how far they are from the zones; run as a program.

Fields of 64 ha on 10-m cells, driven at 17 degrees from north. CPU times, the best of the fields.
"""

import sys
import time
from pathlib import Path

import numpy as np
import shapely

sys.path.insert(0, str(Path(__file__).parents[1] / "made"))

from made_survey_fields import survey_field
from made_zoned import survey_ground

from zoning.zones.delineate import delineate
from zoning.zones.swath_cells import Swaths, differs_frac, swath_cells, values
from zoning.zones.swath_outlines import outlines
from zoning.zones.swath_runs import actions
from zoning.zones.zoning import Limits, Zoning

FIELDS = 20
# across and along a cell, and the shortest run, in m
SIZES = (
    (36.58, 36.58, 36.58),
    (36.58, 12.19, 36.58),
    (36.58, 18.29, 36.58),
    (27.43, 9.14, 27.43),
    (12.19, 9.14, 9.39),
    (9.14, 10.0, 9.39),
    (3.05, 10.0, 9.39),
)


def measured(zoning: Zoning, grid, size: tuple[float, float, float], worth: dict[int, float]) -> list[float]:
    """Shares that agree and that differ, and milliseconds for cells, actions and outlines."""
    swath_m, step_m, least_run_m = size
    field = shapely.coverage_union_all([zone.outline for zone in zoning.zones])
    clock = [time.process_time()]
    cells = swath_cells(zoning, grid, Swaths(heading_deg=17.0, swath_m=swath_m, step_m=step_m))
    clock.append(time.process_time())
    treated = actions(values(cells, worth), cells, least_run_m)
    clock.append(time.process_time())
    outlines(cells, treated.astype(int), field)
    clock.append(time.process_time())
    agrees = cells.area_ac.max(axis=1).sum() / cells.area_ac.sum()
    differs = differs_frac(cells, treated, [zone for zone, usd_ac in worth.items() if usd_ac > 0])
    return [100 * agrees, 100 * differs, *(1000 * np.diff(clock))]


def main() -> None:
    """Print one line a size."""
    found: dict[tuple[float, float, float], list[list[float]]] = {size: [] for size in SIZES}
    for seed in range(FIELDS):
        field = survey_field(seed)
        ground = survey_ground(field)
        zoning = delineate(field.layers, ground, Limits(max_zones_per_block=4, min_area_ac=1.0), seed=seed)
        rng = np.random.default_rng(seed)
        worth = {zone.number: float(rng.normal(2, 10)) for zone in zoning.zones}
        for size in SIZES:
            found[size].append(measured(zoning, ground.grid, size, worth))
    for size, rows in found.items():
        agrees, differs, *_ = np.mean(rows, axis=0)
        cells, runs, lines = np.min(rows, axis=0)[2:]
        print(
            f"{size[0]:5.2f} x {size[1]:5.2f} m, runs of {size[2]:5.2f} m: the majority agrees on "
            f"{agrees:.1f} %, treatment differs on {differs:.1f} %; "
            f"cells {cells:.1f}, actions {runs:.1f}, outlines {lines:.1f} ms"
        )


if __name__ == "__main__":
    main()
