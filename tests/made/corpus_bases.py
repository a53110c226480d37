"""The whole farms that the corpus of bad inputs spoils."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

from made_region import TODAY as REGION_TODAY
from made_region import made_region


def plain(farm: Path) -> Path:
    """One small field with boundary, planting and the farm's weather."""
    return made_region(farm, 1, small=True).farm


BASES: dict[str, Callable[[Path], Path]] = {"plain": plain}
FIELD: dict[str, str] = {"plain": "q00001"}
TODAY: dict[str, date] = {"plain": REGION_TODAY}
