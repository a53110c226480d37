"""The farm's plan for other programs: the object of farm.json, and the rows of schedule.csv.

Every key carries its unit; metric farms get the metric figure beside the US one. A farm of many fields is
written field by field, from the texts of their own plan.json.
"""

import csv
import io
import json
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from pathlib import Path

from zoning.errors import InputError
from zoning.inputs import spreadsheet
from zoning.plan import SCHEMA_VERSION, FarmPlan, HalfDayUse, LeftOut, PlanPass, WorthOf
from zoning.prescription import failures as failed
from zoning.prescription.as_json import plan_json
from zoning.prescription.as_json.twins import Json, metric_twin, number, with_twins

SCHEDULE_CSV = "schedule.csv"
_FIELDS = "fields"
_LINE, _END = "\n  ", "\n}\n"
_COLUMNS = (
    *("field", "pass", "sprayer", "day", "half", "hours_h", "rate_gal_ac", "area_ac", "tankfuls"),
    *("pass_loads", "zones", "due", "in_time_frac", "order_by", "call_by"),
)


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _schedule(farm: FarmPlan) -> Json:
    return {
        "solver": farm.solver,
        "value_usd": number(farm.value_usd, "value_usd"),
        "bound_usd": number(farm.bound_usd, "bound_usd"),
        "gap_frac": number(farm.gap_frac, "gap_frac"),
        "every_set": farm.every_set,
        "nodes": farm.nodes,
        "gap_limit_frac": number(farm.gap_limit_frac, "gap_limit_frac"),
        "node_limit": farm.node_limit,
    }


def _half_day(use: HalfDayUse) -> Json:
    return {
        "sprayer": use.sprayer,
        "day": _iso(use.day),
        "half": use.half,
        "planned_h": number(use.planned_h, "planned_h"),
        "used_h": number(use.used_h, "used_h"),
        "hour_usd": number(use.hour_usd, "hour_usd"),
        "source": use.source,
    }


def _worth(one: WorthOf) -> Json:
    return {"change": one.change, "sprayer": one.sprayer, "usd": number(one.usd, "usd")}


def _left_out(one: LeftOut, metric: bool) -> Json:
    plain = {
        "field": one.field,
        "zone": one.zone,
        "area_ac": number(one.area_ac, "area_ac"),
        "why": {"code": one.why.code, "text": one.why.text},
    }
    return with_twins(plain, metric)


def _range(farm: FarmPlan) -> Json:
    """Give the range of the net return over all fields, season by season; null where it is not known."""
    known = {name: getattr(farm, name) for name in ("net_p10_usd", "net_p90_usd", "chance_pays")}
    return {name: None if value is None else number(value, name) for name, value in known.items()}


def as_object(
    farm: FarmPlan,
    files: Mapping[str, Sequence[str]] | None = None,
    failures: Sequence[tuple[str, InputError]] = (),
) -> Json:
    """Give the object that farm.json holds.

    Parameters
    ----------
    farm : FarmPlan
    files : mapping of str to sequence of str
        By field's folder, the names of what was written for it, relative to its `out`.
    failures : sequence of (str, InputError)
        Folder and fault of each field that could not be planned.

    Returns
    -------
    dict
        Keys in one order, dates as ISO 8601 text, None where there is no figure.

    Raises
    ------
    ValueError
        When a figure that must exist is infinite or not a number: a fault of ours, never of the user.
    """
    written = files or {}
    fields = {
        folder: plan_json.as_object(plan, written.get(folder, ()))
        for folder, plan in zip(farm.folders, farm.plans, strict=True)
    }
    return _head(farm) | {_FIELDS: fields} | _tail(farm, failures)


def _head(farm: FarmPlan) -> Json:
    """Give what stands before the fields."""
    return {
        "schema_version": SCHEMA_VERSION,
        "farm": farm.farm,
        "today": _iso(farm.today),
        "schedule": _schedule(farm),
        "order_by": _iso(farm.order_by),
        "call_by": _iso(farm.call_by),
        "totals": plan_json.sums_of(farm.plans) | _range(farm),
        "hours": [_half_day(use) for use in farm.hours],
        "worth": [_worth(one) for one in farm.worth],
        "left_out": [_left_out(one, farm.units == "metric") for one in farm.left_out],
    }


def _tail(farm: FarmPlan, failures: Iterable[failed.Failure]) -> Json:
    """Give what stands behind the fields."""
    return {
        "failures": failed.rows(failures),
        "notes": [{"code": note.code, "text": note.text} for note in farm.notes],
    }


def write(
    farm: FarmPlan,
    path: Path,
    plan_text_of: Callable[[str], str],
    failures: Sequence[failed.Failure] = (),
) -> None:
    """Write farm.json field by field: no more than one of them is held at a time.

    Parameters
    ----------
    farm : FarmPlan
    path : Path
        The file to write.
    plan_text_of : callable of str
        Gives the text of a field's plan.json by its folder, as it was written.
    failures : sequence of (str, InputError)
        As for `as_object`.

    Raises
    ------
    OSError
        When the disk refuses, or the text of a field is gone.

    Notes
    -----
    The bytes are those of `plan_json.as_text` of the same object.
    """
    head, tail = plan_json.as_text(_head(farm)), plan_json.as_text(_tail(farm, failures))
    with path.open("w", encoding="utf-8", newline="\n") as file:
        file.write(f'{head.removesuffix(_END)},\n  "{_FIELDS}": {{')
        for place, folder in enumerate(farm.folders):
            # a break of line stands between parts of an object and never inside a text
            moved = plan_text_of(folder).strip().replace("\n", "\n    ")
            file.write(f"{',' if place else ''}\n    {json.dumps(folder, ensure_ascii=False)}: {moved}")
        file.write(f"{_LINE if farm.folders else ''}}},{tail.removeprefix('{')}")


def _shares(one: PlanPass) -> list[float]:
    """Share of a pass that each of its parts does, by the loads, which are all of one size but the last."""
    loads = math.fsum(part.loads for part in one.parts)
    return [part.loads / loads if loads > 0 else 1 / len(one.parts) for part in one.parts]


def _rows_of_pass(field: str, one: PlanPass, metric: bool) -> list[Json]:
    whole = {
        "field": field,
        "pass": one.number,
        "sprayer": one.sprayer,
        "day": _iso(one.day),
        "half": one.half,
        "hours_h": None,
        "rate_gal_ac": number(one.rate_gal_ac, "rate_gal_ac"),
        "area_ac": number(one.area_ac, "area_ac"),
        "tankfuls": None,
        "pass_loads": one.loads,
        "zones": " ".join(str(zone) for zone in one.zones),
        "due": _iso(one.due),
        "in_time_frac": None if one.in_time_frac is None else number(one.in_time_frac, "in_time_frac"),
        "order_by": _iso(one.order_by),
        "call_by": _iso(one.call_by),
    }
    parts = [
        {
            "day": date.fromordinal(part.day).isoformat(),
            "half": part.half,
            "hours_h": number(part.hours_h, "hours_h"),
            "area_ac": number(one.area_ac * share, "area_ac"),
            "tankfuls": number(part.loads, "tankfuls"),
        }
        for part, share in zip(one.parts, _shares(one), strict=True)
    ]
    return [with_twins(whole | part, metric) for part in parts or [{}]]


def schedule_rows(farm: FarmPlan) -> list[Json]:
    """Give a row for each half-day of each pass, in order of time.

    Parameters
    ----------
    farm : FarmPlan

    Returns
    -------
    list of dict
        Areas of the rows of a pass sum to that of the pass; `pass_loads` is the same in each of them.
    """
    rows = [
        row
        for plan in farm.plans
        for one in plan.passes
        for row in _rows_of_pass(plan.field, one, farm.units == "metric")
    ]
    return sorted(rows, key=lambda row: (row["day"], row["half"], row["sprayer"]))


def schedule_columns(metric: bool) -> list[str]:
    """Name the columns of schedule.csv; metric twins stand beside the US columns.

    Examples
    --------
    >>> schedule_columns(metric=True)[6:10]
    ['rate_gal_ac', 'rate_l_ha', 'area_ac', 'area_ha']
    """
    names = []
    for name in _COLUMNS:
        twin = metric_twin(name) if metric else None
        names += [name] if twin is None else [name, twin]
    return names


def schedule_csv(farm: FarmPlan) -> str:
    """Give the text of schedule.csv; only the heading where there is no pass.

    Parameters
    ----------
    farm : FarmPlan
    """
    table = io.StringIO()
    writer = csv.DictWriter(table, schedule_columns(farm.units == "metric"), lineterminator="\n")
    writer.writeheader()
    writer.writerows(spreadsheet.guarded_row(row) for row in schedule_rows(farm))
    return table.getvalue()
