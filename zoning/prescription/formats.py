"""The formats that a plan is written in: one line each. A new format is one module and one line here."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from zoning.plan import Plan
from zoning.prescription import geopackage, rasters, shapefile, taskdata
from zoning.prescription.of_a_pass import geojson, operator, pass_geopackage

Write = Callable[[Plan, Path], tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Format:
    """One format: what it is called, and the function that writes it and names its files."""

    name: str
    write: Write


FORMATS = (
    Format("prescription", shapefile.write),  # desktop GIS, terminals
    Format("operator's sets", operator.write),  # the sprayer's terminal, one pass at a time
    Format("TASKDATA", taskdata.write),  # terminals that read ISO 11783-10, one pass at a time
    Format("GeoPackage", geopackage.write),  # desktop GIS, other programs
    Format("GeoJSON of a pass", geojson.write),  # web maps, other programs
    Format("GeoPackage of a pass", pass_geopackage.write),  # desktop GIS, other programs
    Format("rasters", rasters.write),  # desktop GIS, analysis
)


def write_all(plan: Plan, folder: Path) -> tuple[str, ...]:
    """Write every format that the plan has; the names of the files, relative to `folder`."""
    return tuple(name for each in FORMATS for name in each.write(plan, folder))
