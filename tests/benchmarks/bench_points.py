"""CPU seconds for a combine's file of 50,000 points: python tests/benchmarks/bench_points.py.

The points are those of `made_points`, over and over. Each format is read in a process of its own.
"""

import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "made"))

COPIES = 209


def write(folder: Path) -> None:
    """Write the points in every format."""
    from made_points import as_csv, as_frame, us, with_places

    many = {
        name: [cell for _ in range(COPIES) for cell in cells] for name, cells in with_places(us()).items()
    }
    as_csv(folder / "points.csv", many)
    frame = as_frame(us(), 4326)
    frame = frame.iloc[[at for _ in range(COPIES) for at in range(len(frame))]].reset_index(drop=True)
    for ending in ("shp", "gpkg", "geojson"):
        frame.to_file(folder / f"points.{ending}")


def measure(path: Path) -> None:
    """Read one file, alone in its process."""
    from made_points import asked

    from zoning.inputs.harvest.points.read import read

    start = time.process_time()
    points = read(path, path.name, asked())
    took = time.process_time() - start
    print(f"{path.suffix:9} {points.count:,} points {took:5.2f} s")


if __name__ == "__main__":
    if len(sys.argv) > 1:
        measure(Path(sys.argv[1]))
    else:
        with tempfile.TemporaryDirectory() as place:
            write(Path(place))
            for ending in ("csv", "shp", "gpkg", "geojson"):
                subprocess.run([sys.executable, __file__, f"{place}/points.{ending}"], check=True)
