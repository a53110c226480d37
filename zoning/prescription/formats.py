"""The formats that a plan is written in: one line each. A new format is one module and one line here."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from zoning.plan import Plan
from zoning.prescription import geopackage, operator, shapefile

Write = Callable[[Plan, Path], tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Format:
    """One format: what it is called, who it is for, and the function that writes it and names its files."""

    name: str
    reader: str
    write: Write


FORMATS = (
    Format("prescription", "desktop GIS, terminals", shapefile.write),
    Format("operator's sets", "the sprayer's terminal, one pass at a time", operator.write),
    Format("GeoPackage", "desktop GIS, other programs", geopackage.write),
)


def write_all(plan: Plan, folder: Path) -> tuple[str, ...]:
    """Write every format that the plan has; the names of the files, relative to `folder`."""
    return tuple(name for each in FORMATS for name in each.write(plan, folder))
