"""A copy of one field of the demo farm, for tests that change it."""

import shutil
from datetime import date
from pathlib import Path

HERON_SLOUGH = Path(__file__).parents[2] / "demo_fields" / "heron_slough"
TODAY = date(2026, 7, 8)  # the farm's own


def three_dates(root: Path) -> Path:
    """Copy the field with its farm's files into a new folder `farm`, and give the field's folder.

    Without its check strips, which have tests of their own.
    """
    farm = root / "farm"
    farm.mkdir(parents=True)
    for name in ("farm.toml", "weather.csv", "hourly.csv", "hourly_forecast.csv"):
        shutil.copy(HERON_SLOUGH / name, farm)
    ignored = shutil.ignore_patterns("out", "out.*", "strips")
    field = Path(shutil.copytree(HERON_SLOUGH / "three_dates", farm / "three_dates", ignore=ignored))
    without_strips(field)
    return field


def without_strips(field: Path) -> None:
    """Take the table of check strips, which stands last, out of a field's settings."""
    settings = field / "field.toml"
    text = settings.read_text()
    settings.write_text(text[: text.index("[check_strips]")])
