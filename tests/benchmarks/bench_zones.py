"""How long the zones of one field take: run by hand, `python tests/benchmarks/bench_zones.py`.

A square field of 65 ha at 10 m, one block, four layers (three smooth patches, two gradients, noise), up to
three zones a block. Times are medians of 9 runs after imports, one thread or as many as the machine has.
"""

import statistics
import time

import numpy as np
from scipy import ndimage
from shapely import box

from zoning.inputs.grid import Grid
from zoning.zones.delineate import delineate
from zoning.zones.zoning import Ground, Limits


def field(cells: int, cell_m: float) -> tuple[dict[str, np.ndarray], Ground]:
    """Make the layers and the ground of one square block."""
    rng = np.random.default_rng(1)
    side_m = cells * cell_m
    grid = Grid.covering((500_000, 4_900_000, 500_000 + side_m, 4_900_000 + side_m), 32615, cell_m)
    smooth = 120 / cell_m
    fields = [ndimage.gaussian_filter(rng.normal(size=grid.shape), smooth) for _ in range(5)]
    fields = [one / one.std() for one in fields]
    patches = np.argmax(fields[:3], axis=0)
    layers = {
        "canopy": patches + 0.3 * rng.normal(size=grid.shape),
        "elevation": fields[3] + 0.1 * rng.normal(size=grid.shape),
        "soil": fields[4] + 0.1 * rng.normal(size=grid.shape),
        "noise": 0.2 * rng.normal(size=grid.shape),
    }
    everywhere = np.ones(grid.shape, dtype=bool)
    outline = box(500_000, 4_900_000, 500_000 + side_m, 4_900_000 + side_m)
    block = np.zeros(grid.shape, dtype=np.int16)
    return layers, Ground(
        grid=grid, inside=everywhere, fit=everywhere, block_of_cell=block, block_outlines=(outline,)
    )


def main() -> None:
    """Print one line a case."""
    limits = Limits(max_zones_per_block=3, min_area_ac=1.0)
    for cells, cell_m, names in ((80, 10.0, 1), (80, 10.0, 3), (80, 10.0, 4), (400, 2.0, 4)):
        layers, ground = field(cells, cell_m)
        layers = dict(list(layers.items())[:names])
        zoning = delineate(layers, ground, limits, seed=1)
        seconds = []
        for _ in range(9):
            start = time.perf_counter()
            delineate(layers, ground, limits, seed=1)
            seconds.append(time.perf_counter() - start)
        median_ms = 1000 * statistics.median(seconds)
        size = f"{cells} x {cells} cells of {cell_m:g} m, {names} layers"
        print(f"{size}: {len(zoning.zones)} zones, {median_ms:.0f} ms")


if __name__ == "__main__":
    main()
