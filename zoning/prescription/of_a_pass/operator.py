"""passes/P1/P1_0714.shp: what the operator loads for one pass, with one numeric column and nothing else.

The conservative profile: name of at most 8 ASCII letters, single polygons, one rate column with its unit in
the name, 0 where this pass does not spray, no missing value, the whole field covered. The rate is the total
volume of spray mix, not the dose of the product. Beside it README.txt, and a zip of all that for the stick.
"""

from pathlib import Path

from zoning import units
from zoning.plan import Plan, PlanPass
from zoning.prescription.of_a_pass import bundle, readme
from zoning.prescription.polygons import check_cover, hundredths_up
from zoning.prescription.shapefile import SUFFIXES, Row, applies, write_set


def stem(one: PlanPass) -> str:
    """Name of a pass's file set without its ending: pass number and the month and day of spraying."""
    return f"P{one.number}_{one.day:%m%d}"


def rate_column(metric: bool) -> str:
    """Name of the one column.

    Examples
    --------
    >>> rate_column(metric=False)
    'RATE_GPA'
    """
    return "RATE_LHA" if metric else "RATE_GPA"


def _rows(plan: Plan, one: PlanPass) -> list[Row]:
    metric = plan.units == "metric"
    in_unit = units.l_ha_from_gal_ac if metric else float
    return [
        Row(part.outline, {rate_column(metric): hundredths_up(in_unit(part.rate_gal_ac))})
        for part in one.map.parts
    ]


def write(plan: Plan, folder: Path) -> tuple[str, ...]:
    """Write one shapefile set for each pass, each in a folder of its own, with README and zip.

    Parameters
    ----------
    plan : Plan
        One field's plan.
    folder : Path
        Existing folder.

    Returns
    -------
    tuple of str
        Names of the files written, relative to `folder`; none where there is no pass.

    Raises
    ------
    ValueError
        When zones and no-spray ground, or the map of a pass, do not cover the field exactly.
    """
    if not applies(plan) or not plan.passes:
        return ()
    check_cover(plan)
    names = []
    column = rate_column(plan.units == "metric")
    for one in plan.passes:
        place = Path("passes") / f"P{one.number}"
        (folder / place).mkdir(parents=True, exist_ok=True)
        write_set(folder / place / f"{stem(one)}.shp", {column: "float:8.2"}, _rows(plan, one), plan.today)
        own = [f"{stem(one)}{suffix}" for suffix in SUFFIXES]
        files = {name: (folder / place / name).read_bytes() for name in own}
        files[readme.NAME] = readme.text(plan, one, stem(one), column).encode("ascii")
        together = f"{bundle.field_in_name(plan.field)}_{stem(one)}.zip"
        (folder / place / readme.NAME).write_bytes(files[readme.NAME])
        (folder / place / together).write_bytes(bundle.zipped(files, plan.today))
        names += [(place / name).as_posix() for name in (*files, together)]
    return tuple(names)
