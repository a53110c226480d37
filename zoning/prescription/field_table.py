"""farm.csv: a row for each field of a farm, for a spreadsheet and for people with many fields.

Sums of the rows are the totals of farm.json. What is not known is empty.
"""

import csv
import io
from collections.abc import Collection, Iterable
from datetime import date
from pathlib import Path

import shapely

from zoning.inputs import spreadsheet
from zoning.plan import FarmPlan, Plan, PlanPass, decided
from zoning.prescription.as_json.money_json import SUMMED, totals_object
from zoning.prescription.as_json.twins import Json, metric_twin, number, with_twins

NAME = "farm.csv"
_OF_FIRST = (
    *("first_pass_day", "first_pass_half", "first_pass_sprayer", "first_pass_rate_gal_ac", "first_pass_due"),
    "last_pass_day",
)
_COLUMNS = (
    *("folder", "field", "level", "today", "area_ac", "no_spray_ac", "zones", "action"),
    *("spray_ac", "skip_ac", "r3_likely_first", "r3_likely_last", "provisional", "spray_from", "spray_by"),
    *("sprayed_on", "passes", *_OF_FIRST, "carrier_gal", "visit_costs_usd"),
    *("net_usd", "net_p10_usd", "net_p90_usd", "chance_pays", "break_even_price_usd_bu", "nearest_net_usd"),
    *("lon", "lat", "run_id", "results", "page"),
)
_OF_TOTALS = (
    *SUMMED,
    *("net_p10_usd", "net_p90_usd", "chance_pays", "break_even_price_usd_bu", "nearest_net_usd"),
)
PAGE = "page.html"


def columns(metric: bool) -> list[str]:
    """Name the columns of farm.csv, in order; metric twins stand beside the US columns.

    Examples
    --------
    >>> columns(metric=True)[:6]
    ['folder', 'field', 'level', 'today', 'area_ac', 'area_ha']
    """
    names = []
    for name in _COLUMNS:
        twin = metric_twin(name) if metric else None
        names += [name] if twin is None else [name, twin]
    return names


def rows(farm: FarmPlan, pages: Collection[str] | None = None) -> list[Json]:
    """Give a row for each field, in the order of the plan.

    Parameters
    ----------
    farm : FarmPlan
    pages : collection of str, optional
        Folders of the fields that have a page; all of them if left out.

    Returns
    -------
    list of dict
        None where a figure is not known; days as ISO 8601 text.
    """
    linked = frozenset(farm.folders if pages is None else pages)
    inside = shapely.point_on_surface([plan.boundary for plan in farm.plans])
    return [
        _row(folder, plan, (place.x, place.y), folder in linked)
        for folder, plan, place in zip(farm.folders, farm.plans, inside, strict=True)
    ]


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _ends(days: Iterable[date | None]) -> tuple[str | None, str | None]:
    known = [day for day in days if day is not None]
    return _iso(min(known, default=None)), _iso(max(known, default=None))


def _row(folder: str, plan: Plan, place: tuple[float, float], has_page: bool) -> Json:
    likely = _ends(zone.window.r3_likely for zone in plan.zones if zone.window is not None)
    money = totals_object(plan.totals, metric=False) or {}
    plain = {
        "folder": folder,
        "field": plan.field,
        "level": plan.level,
        "today": _iso(plan.today),
        "area_ac": number(plan.area_ac, "area_ac"),
        "no_spray_ac": number(plan.no_spray_ac, "no_spray_ac"),
        "zones": len(plan.zones),
        "action": decided.in_a_word(plan),
        "r3_likely_first": likely[0],
        "r3_likely_last": likely[1],
        "provisional": any(zone.provisional for zone in plan.zones) if likely[0] else None,
        "spray_from": _ends(zone.spray_from for zone in plan.zones)[0],
        "spray_by": _ends(zone.spray_by for zone in plan.zones)[1],
        "sprayed_on": _ends(zone.sprayed_on for zone in plan.zones)[1],
        "passes": len(plan.passes),
        **_first_pass(plan.passes),
        **{key: money.get(key) for key in _OF_TOTALS},
        "lon": number(place[0], "lon"),
        "lat": number(place[1], "lat"),
        "run_id": plan.run_id,
        "results": f"{folder}/out",
        "page": f"{folder}/out/{PAGE}" if has_page else None,
    }
    return with_twins({name: plain[name] for name in _COLUMNS}, plan.units == "metric")


def _first_pass(passes: Collection[PlanPass]) -> Json:
    """Give the pass that begins first, and the day on which the last one is over."""
    first = min(passes, key=lambda one: (one.day, one.half, one.number), default=None)
    if first is None:
        return dict.fromkeys(_OF_FIRST)
    rate_gal_ac = number(first.rate_gal_ac, "rate_gal_ac")
    over = _ends(one.last_day for one in passes)[1]
    told = (_iso(first.day), first.half, first.sprayer, rate_gal_ac, _iso(first.due), over)
    return dict(zip(_OF_FIRST, told, strict=True))


def text(farm: FarmPlan, pages: Collection[str] | None = None) -> str:
    """Give the text of farm.csv; only the heading where no field was planned.

    Parameters
    ----------
    farm : FarmPlan
    pages : collection of str, optional
        As for `rows`.
    """
    table = io.StringIO()
    writer = csv.DictWriter(table, columns(farm.units == "metric"), lineterminator="\n")
    writer.writeheader()
    for row in rows(farm, pages):
        writer.writerow(spreadsheet.guarded_row({key: _cell(value) for key, value in row.items()}))
    return table.getvalue()


def _cell(value: object) -> object:
    return str(value).lower() if isinstance(value, bool) else value


def write(farm: FarmPlan, folder: Path, pages: Collection[str] | None = None) -> tuple[str, ...]:
    """Write farm.csv into a folder; the same farm, the same bytes.

    Parameters
    ----------
    farm : FarmPlan
    folder : Path
        Existing folder.
    pages : collection of str, optional
        As for `rows`.

    Returns
    -------
    tuple of str
        Its name.
    """
    (folder / NAME).write_text(text(farm, pages), encoding="utf-8", newline="")
    return (NAME,)


def day_of(out: Path) -> str | None:
    """Give the day of the plan in a farm's `out` from farm.csv; None where there is none with a field.

    Parameters
    ----------
    out : Path
        The folder, healed; it need not exist. farm.json of many fields is too long to be read for it.
    """
    try:
        with (out / NAME).open(encoding="utf-8", newline="") as table:
            return next(csv.DictReader(table), {}).get("today") or None
    except (FileNotFoundError, ValueError, csv.Error):
        return None
