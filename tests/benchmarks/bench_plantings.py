"""How well blocks are recovered from as-planted records: made fields with a known truth, over seeds.

Run by hand: python tests/benchmarks/bench_plantings.py [seeds]. Prints one line a case.
"""

import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "made"))

from made_inputs import FIELD, TODAY, Folder
from made_plantings import CASES, compared

from zoning.inputs import read


def main(seeds: int) -> None:
    """Print the least and the mean over the seeds of each case."""
    for make in CASES:
        found, blocks = [], set()
        began = time.process_time()
        for seed in range(seeds):
            case = make(seed)
            with tempfile.TemporaryDirectory() as name:
                folder = Folder(Path(name))
                folder.shapes("boundary.geojson", [FIELD])
                folder.shapes("planting.geojson", case.drive.shapes(), case.drive.rows)
                given = read.field(folder.settings(), TODAY)
            found.append(compared(given.blocks, case))
            blocks.add(len(given.blocks))
        right, away, patch = np.array(found).T
        took = (time.process_time() - began) / seeds
        print(
            f"{make.__name__:14s} right {right.min():.3f} (mean {right.mean():.3f}), "
            f"beyond a planter's width {away.min():.4f}, largest wrong patch there {patch.max():.2f} ac, "
            f"blocks {sorted(blocks)}, {took:.2f} s"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20)
