"""CPU seconds for the files of a whole farm: python tests/benchmarks/bench_farm_files.py.

The fields are invented, of three zones each. The import of geopandas is counted with the first.
"""

import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "made"))

from made_farm_plans import seeded_farm

from zoning.prescription import farm_layers

if __name__ == "__main__":
    for fields in (10, 100, 1000):
        farm = seeded_farm(1, fields=fields)
        with tempfile.TemporaryDirectory() as place:
            start = time.process_time()
            names = farm_layers.write(farm, Path(place))
            took = time.process_time() - start
            sizes = ", ".join(f"{name} {(Path(place) / name).stat().st_size:,} B" for name in names)
        print(f"{fields:5} fields {took:6.2f} s   {sizes}")
