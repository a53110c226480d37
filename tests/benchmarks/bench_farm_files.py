"""CPU seconds and sizes of a farm's own files: python tests/benchmarks/bench_farm_files.py [FIELDS ...].

The fields are invented, of three zones each, a sprayer for every 25 of them. Imports are counted with the
first. The texts of the fields' own plan.json are there before, as workers leave them.
"""

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "made"))

from made_farm_plans import seeded_farm, spread

from zoning.plan import FarmPlan
from zoning.prescription import farm_layers, taskdata
from zoning.prescription.as_json import farm_json, plan_json
from zoning.show import calendar_picture, farm_page
from zoning.show.farm_report import whole_page


def steps(farm: FarmPlan, out: Path) -> dict[str, Callable[[], object]]:
    """What is written, by its name."""
    texts = {
        folder: plan_json.as_text(plan_json.as_object(plan))
        for folder, plan in zip(farm.folders, farm.plans, strict=True)
    }
    return {
        "farm.json": lambda: farm_json.write(farm, out / "farm.json", texts.__getitem__),
        "schedule.csv": lambda: (out / "schedule.csv").write_text(farm_json.schedule_csv(farm)),
        "taskdata": lambda: taskdata.write_farm(farm, out, is_checked=True),
        "farm.parquet, .gpkg, .csv": lambda: farm_layers.write(farm, out, ()),
        "calendar.png": lambda: calendar_picture.write(farm, out / "calendar.png"),
        "farm.html": lambda: farm_page.write(farm, out / "farm.html", ()),
        "what is printed": lambda: whole_page(farm),
    }


if __name__ == "__main__":
    for fields in [int(one) for one in sys.argv[1:]] or [5, 200, 2000]:
        farm = spread(seeded_farm(1, fields=fields, sprayers=max(fields // 25, 1)), a_row=45)
        with tempfile.TemporaryDirectory() as place:
            total = 0.0
            for name, step in steps(farm, Path(place)).items():
                start = time.process_time()
                step()
                took = time.process_time() - start
                total += took
                print(f"{fields:6} fields {took:6.2f} s  {name}")
            page_bytes = (Path(place) / "farm.html").stat().st_size
        print(f"{fields:6} fields {total:6.2f} s  in all; farm.html has {page_bytes:,} bytes")
