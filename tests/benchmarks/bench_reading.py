"""What it takes to read one of many fields, in CPU ms: settings, files, what it tells others, spray hours.

PYTHONPATH=tests/made python tests/benchmarks/bench_reading.py [FIELDS]

Every field has a hub of its own with two sprayers, so that 40 fields have the farm.toml of 2,000. The best of
three for each field, then the mean; in the first row nothing was kept from the fields before.
"""

import os

for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[threads] = "1"  # before numpy is imported: waiting threads would count as work

import sys  # noqa: E402
import tempfile  # noqa: E402
import time  # noqa: E402
from collections.abc import Callable, Sequence  # noqa: E402
from pathlib import Path  # noqa: E402

import numpy as np  # noqa: E402
from made_region import TODAY, made_region  # noqa: E402

from zoning import once_read  # noqa: E402
from zoning.inputs import read  # noqa: E402
from zoning.passes.hours.ahead import Futures, HoursGiven, half_days_of  # noqa: E402
from zoning.passes.hours.limits import limits_for  # noqa: E402
from zoning.seen import told_by  # noqa: E402
from zoning.settings.read import fields_of, load  # noqa: E402

FUTURES = Futures(draws=512, seed=0, quantile_frac=0.3, season=TODAY.year)
STEPS = ("load", "read", "told_by", "half_days_of")


def took_ms(step: Callable[[], object]) -> float:
    start = time.process_time()
    step()
    return 1000 * (time.process_time() - start)


def of_field(folder: Path) -> list[float]:
    """Time each step once."""
    settings = load(folder)
    given = read.field(settings, TODAY)
    place = HoursGiven(
        hourly=given.hourly,
        forecast=given.hourly_forecast,
        latitude_deg=given.latitude_deg,
        longitude_deg=given.longitude_deg,
        limits=limits_for(settings),
    )
    return [
        took_ms(lambda: load(folder)),
        took_ms(lambda: read.field(settings, TODAY)),
        took_ms(lambda: told_by(folder, today=TODAY, clock=None, seed=0)),
        took_ms(lambda: half_days_of(TODAY.toordinal(), 28, place, FUTURES)),
    ]


def alone(folder: Path) -> list[float]:
    """Time each step once, as if there were no other field."""
    once_read.forget()
    settings_ms = took_ms(lambda: load(folder))
    settings = load(folder)
    once_read.forget()
    return [settings_ms, took_ms(lambda: read.field(settings, TODAY))]


def told(name: str, runs: Sequence[Sequence[Sequence[float]]]) -> None:
    best = np.min(np.array(runs), axis=0).mean(axis=0)
    print(f"{name:>12}: " + ", ".join(f"{step} {ms:.1f}" for step, ms in zip(STEPS, best, strict=False)))


def main() -> None:
    fields = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    with tempfile.TemporaryDirectory() as folder:
        farm = Path(folder) / "farm"
        made_region(farm, fields, fields_a_hub=1)
        folders = fields_of(farm)
        of_field(folders[0])  # libraries are loaded
        told("alone", [[alone(one) for one in folders[:5]] for _ in range(3)])
        told("one of many", [[of_field(one) for one in folders] for _ in range(3)])


if __name__ == "__main__":
    main()
