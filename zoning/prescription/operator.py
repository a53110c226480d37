"""passes/P1/P1_0714.shp: what the operator loads for one pass, with one numeric column and nothing else.

The conservative profile: name of at most 8 ASCII letters, single polygons, one rate column with its unit in
the name, 0 where this pass does not spray, no missing value, the whole field covered. The rate is the total
volume of spray mix, not the dose of the product.
"""

from pathlib import Path

from zoning import units
from zoning.plan import Plan, PlanPass
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
    """Write one shapefile set for each pass, each in a folder of its own.

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
    for one in plan.passes:
        place = Path("passes") / f"P{one.number}"
        (folder / place).mkdir(parents=True, exist_ok=True)
        kinds = {rate_column(plan.units == "metric"): "float:8.2"}
        write_set(folder / place / f"{stem(one)}.shp", kinds, _rows(plan, one), plan.today)
        names += [(place / f"{stem(one)}{suffix}").as_posix() for suffix in SUFFIXES]
    return tuple(names)
