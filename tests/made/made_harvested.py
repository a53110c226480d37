"""The demo farm after harvest, copied to where a test may write."""

import shutil
from datetime import date
from pathlib import Path

from zoning import field as one_field

FARM = Path(__file__).parents[2] / "demo_fields" / "plover_rise"
FIELD = "long_eighty"
PLANNED = date(2026, 7, 24)
_OURS = ("out", "2026", "history")


def copied_farm(folder: Path) -> Path:
    """Copy the farm into a folder, without what somebody made there by trying it."""
    farm = folder / FARM.name
    shutil.copytree(FARM, farm, ignore=shutil.ignore_patterns(*_OURS, "*.bak"))
    return farm


def with_plan(farm: Path) -> Path:
    """Plan its field as it stood before the pass."""
    one_field.write(one_field.run(farm / FIELD, today=PLANNED), farm / FIELD / "out")
    return farm
