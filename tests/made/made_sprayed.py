"""A demo field with a plan of two passes, made once, and copied for every test that sprays it."""

import shutil
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import shapefile
import shapely
from made_demo import HERON_SLOUGH, without_strips

from zoning import field
from zoning.plan import Plan

PLANNED = date(2026, 7, 8)
LATER = date(2026, 7, 30)
PRODUCT = "Invented Fungicide A"


@cache
def _made() -> tuple[Path, Plan]:
    farm = Path(mkdtemp()) / "heron_slough"
    shutil.copytree(
        HERON_SLOUGH,
        farm,
        ignore=shutil.ignore_patterns("out", "out.*", "strips", "*_forty", "point_*", "level_*"),
    )
    # what is sprayed of zones is the matter here; check strips have tests of their own
    without_strips(farm / "three_dates")
    wanted = farm / "farm.toml"
    wanted.write_text(wanted.read_text().replace('"pooled trials"', '"practice series"'))
    made = field.run(farm / "three_dates", today=PLANNED, measured_by=lambda *_, **__: lambda: None)
    field.write(made, farm / "three_dates" / "out")
    return farm, made.plan


def sprayed_farm(tmp_path: Path) -> tuple[Path, Plan]:
    """Give a farm with the fields three_dates, which has a plan, and wet_corner, which has none."""
    farm, plan = _made()
    here = tmp_path / "heron_slough"
    shutil.copytree(farm, here)
    return here, plan


def write_shapefile(path: Path, shapes: list, columns: dict[str, list], wkt: str) -> Path:
    """Write polygons or points with a library that shares no code with ours."""
    with shapefile.Writer(str(path)) as target:
        for name, values in columns.items():
            if isinstance(values[0], str):
                target.field(name, "C", size=40)
            else:
                target.field(name, "N", size=18, decimal=6)
        for place, shape in enumerate(shapes):
            if shape.geom_type == "Point":
                target.point(shape.x, shape.y)
            else:
                target.shape(shapely.geometry.mapping(shape))
            target.record(*(values[place] for values in columns.values()))
    path.with_suffix(".prj").write_text(wkt)
    return path.with_suffix(".shp")
