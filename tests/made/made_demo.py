"""A copy of one field of the demo farm, for tests that change it."""

import shutil
from datetime import date
from pathlib import Path

HERON_SLOUGH = Path(__file__).parents[2] / "demo_fields" / "heron_slough"
TODAY = date(2026, 7, 8)  # the farm's own


def three_dates(root: Path) -> Path:
    """Copy the field with its farm's files into a new folder `farm`, and give the field's folder."""
    farm = root / "farm"
    farm.mkdir(parents=True)
    for name in ("farm.toml", "weather.csv", "hourly.csv", "hourly_forecast.csv"):
        shutil.copy(HERON_SLOUGH / name, farm)
    ignored = shutil.ignore_patterns("out", "out.*")
    return Path(shutil.copytree(HERON_SLOUGH / "three_dates", farm / "three_dates", ignore=ignored))
