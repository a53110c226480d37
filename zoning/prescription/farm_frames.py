"""A farm's plan as tables, for notebooks: the columns of farm.csv, farm.parquet, schedule.csv, failures.csv.

Writes no file. pandas and geopandas are imported only when asked for, because the commands do without them.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from zoning.plan import FarmPlan
from zoning.prescription import failures, field_table
from zoning.prescription.as_json import farm_json
from zoning.prescription.farm_layers import columns, layers
from zoning.prescription.frame import KINDS, table

if TYPE_CHECKING:
    from geopandas import GeoDataFrame
    from pandas import DataFrame

_DATES = (
    *("today", "r3_likely_first", "r3_likely_last", "spray_from", "spray_by", "sprayed_on"),
    *("first_pass_day", "first_pass_due", "last_pass_day", "day", "due", "order_by", "call_by"),
)
_TEXTS = (
    *("folder", "field", "action", "first_pass_half", "first_pass_sprayer", "run_id", "results", "page"),
    *("sprayer", "half", "what", "where", "mend"),
)
_WHOLE = ("level", "zones", "passes", "pass", "pass_loads", "code")
_OTHERS = {
    **dict.fromkeys(_DATES, "date"),
    **dict.fromkeys(_TEXTS, "str"),
    **dict.fromkeys(_WHOLE, "int32"),
    "provisional": "bool",
}


def _frame(rows: Sequence[Mapping[str, Any]], kinds: Mapping[str, str]) -> "DataFrame":
    from pandas import DataFrame, Series

    return DataFrame(
        {name: Series([row.get(name) for row in rows], dtype=KINDS[kind]) for name, kind in kinds.items()}
    )


def field_kinds(*, metric: bool) -> dict[str, str]:
    """Columns of the table of fields and their types, in order; without the shape."""
    return {name: _OTHERS.get(name, "float") for name in field_table.columns(metric)}


def schedule_kinds(*, metric: bool) -> dict[str, str]:
    """Columns of the schedule and their types, in order."""
    kinds = {name: _OTHERS.get(name, "float") for name in farm_json.schedule_columns(metric)}
    return {**kinds, "zones": "str"}  # the numbers of a pass, as "1 3"


def failure_kinds() -> dict[str, str]:
    """Columns of the failures and their types, in order."""
    return {name: _OTHERS[name] for name in failures.COLUMNS}


def fields_frame(farm: FarmPlan, pages: Collection[str]) -> "GeoDataFrame":
    """Give the fields of a farm, one row each with its boundary, in EPSG:4326.

    Parameters
    ----------
    farm : FarmPlan
    pages : collection of str
        Folders of the fields that have a page.

    Returns
    -------
    GeoDataFrame
        What is not known is missing: NaT, NaN, NA or None.
    """
    from geopandas import GeoDataFrame

    plain = _frame(field_table.rows(farm, pages), field_kinds(metric=farm.units == "metric"))
    return GeoDataFrame(plain, geometry=[plan.boundary for plan in farm.plans], crs="EPSG:4326")


def zones_frame(farm: FarmPlan) -> "GeoDataFrame":
    """Give the zones of all fields of a farm, one row each, in EPSG:4326."""
    if not farm.plans:
        return table((), columns(farm.units == "metric"))
    found = layers(farm)[0]
    return table(found.rows, found.kinds)


def schedule_frame(farm: FarmPlan) -> "DataFrame":
    """Give the half-days of every pass of a farm, one row each, in order of time."""
    return _frame(farm_json.schedule_rows(farm), schedule_kinds(metric=farm.units == "metric"))


def failures_frame(failed: Iterable[failures.Failure]) -> "DataFrame":
    """Give the faults of the fields that could not be planned, one row each."""
    return _frame(failures.rows(failed), failure_kinds())
