"""The demo farm after harvest, copied to where a test may write."""

import shutil
from datetime import date
from pathlib import Path

from zoning import field as one_field
from zoning.inputs import season_book
from zoning.settings import learned

FARM = Path(__file__).parents[2] / "demo_fields" / "plover_rise"
FIELD = "long_eighty"
PLANNED = date(2026, 7, 24)
_OURS = ("out", "2026", "history")


def copied_farm(folder: Path) -> Path:
    """Copy the farm into a folder, without what somebody made there by trying it."""
    farm = folder / FARM.name
    shutil.copytree(FARM, farm, ignore=shutil.ignore_patterns(*_OURS, "*.bak"))
    trials = [one for one in learned.read(farm / learned.FILE) if one.season < PLANNED.year]
    (farm / learned.FILE).write_text(learned.as_text(trials), encoding="utf-8")
    rows = [one for one in season_book.read(farm / season_book.FILE) if one.season < PLANNED.year]
    (farm / season_book.FILE).write_text(season_book.as_text(rows), encoding="utf-8")
    return farm


def with_plan(farm: Path) -> Path:
    """Plan its field as it stood before the pass."""
    one_field.write(one_field.run(farm / FIELD, today=PLANNED), farm / FIELD / "out")
    return farm
