"""zones.gpkg: the layers of a plan with every figure of plan.json, as OGC GeoPackage 1.3.

Columns are the keys of plan.json, flattened with `_`, so that one description serves both; its lists inside a
zone or a pass (steps, days of waiting) are not repeated. Written at every level; what a level does not know
is empty.
"""

from collections.abc import Callable, Iterable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

import fiona
from fiona.io import MemoryFile
from shapely import MultiPolygon, Point
from shapely.geometry import mapping

from zoning.plan import SOURCES, NoSprayKind, Plan
from zoning.prescription.about import about_plan, as_line
from zoning.prescription.money_json import FLIPS
from zoning.prescription.plan_json import as_object, flat, metric_twin
from zoning.prescription.polygons import CRS, check_cover, many
from zoning.returns.steps import KINDS

NAME = "zones.gpkg"
VERSION = "1.3"  # a newer one makes older desktop programs warn

_STAGE = ("r1", "r3_early", "r3_likely", "r3_late", "closes")
_OF_SOURCE = {
    "action": "str",
    "net_usd_ac": "float",
    "chance_pays": "float",
    "needed_response_bu_ac": "float",
}
_ZONE = {
    "zone": "int32",
    "name": "str",
    "block": "str",
    "area_ac": "float",
    "planted": "date",
    "maturity_group": "float",
    **{f"stage_{day}": "date" for day in _STAGE},
    "stage_sd_d": "float",
    "spray_from": "date",
    "spray_by": "date",
    "action": "str",
    "rate_gal_ac": "float",
    "pass": "int32",
    "spray_on": "date",
    "sprayed_on": "date",
    "provisional": "bool",
    **{f"net_usd_ac_{part}": "float" for part in ("mean", "p10", "p90")},
    "chance_pays": "float",
    "break_even_price_usd_bu": "float",
    "break_even_response_bu_ac": "float",
    "response_bu_ac_mean": "float",
    "response_bu_ac_sd": "float",
    **{
        f"by_source_{source.replace(' ', '_')}_{key}": kind
        for source in SOURCES
        for key, kind in _OF_SOURCE.items()
    },
    "perfect_information_usd_ac": "float",
    "toss_up": "bool",
    "no_contrast_usd_ac": "float",
    **{f"rests_on_frac_{kind.replace(' ', '_')}": "float" for kind in KINDS},
    "delay_from": "date",
    "delay_pays_until": "date",
    **{f"flips_{key}": "date" if key == "day" else "float" for key in FLIPS.values()},
    "reason_code": "str",
    "reason_text": "str",
}
_PASS = {
    "pass": "int32",
    "sprayer": "str",
    "day": "date",
    "half": "str",
    "rate_gal_ac": "float",
    "area_ac": "float",
    "loads": "int32",
    "visit_costs_usd": "float",
    "hours_h": "float",
    "in_time_frac": "float",
    "in_time_years": "int32",
    "zones": "str",
    "due": "date",
}
# The place is the point. The day stands last: fiona 1.10 takes the first text behind a day for another day.
_SCOUTING = {"zone": "int32", "kind": "str", "text": "str", "date": "date"}
_NO_SPRAY = {"kind": "str", "source": "str", "area_ac": "float"}
_BOUNDARY = {
    "field": "str",
    "farm": "str",
    "area_ac": "float",
    "no_spray_ac": "float",
    "today": "date",
    "schedule": "str",
    "run_id": "str",
    "zones_id": "str",
    "notes": "str",
}
_NO_SPRAY_LAYERS: dict[str, NoSprayKind] = {"setbacks": "setback", "dead_ground": "dead ground"}
_BY_LAYER = {
    "zones": _ZONE,
    "passes": _PASS,
    "scouting": _SCOUTING,
    **dict.fromkeys(_NO_SPRAY_LAYERS, _NO_SPRAY),
    "boundary": _BOUNDARY,
}
_PARTS = ("_mean", "_p10", "_p90", "_sd")


def _twin(name: str) -> str | None:
    part = next((part for part in _PARTS if name.endswith(part)), "")
    twin = metric_twin(name.removesuffix(part))
    return None if twin is None else twin + part


def columns(layer: str, *, metric: bool) -> dict[str, str]:
    """Columns of a layer and their types, in order.

    Examples
    --------
    >>> list(columns("passes", metric=False))[:3]
    ['pass', 'sprayer', 'day']
    """
    kinds: dict[str, str] = {}
    for name, kind in _BY_LAYER[layer].items():
        kinds[name] = kind
        twin = _twin(name) if metric else None
        if twin is not None:
            kinds[twin] = kind
    return kinds


def midnight(plan: Plan) -> str:
    """Give the moment that a file of a plan was made on: else the same plan gave other bytes each time."""
    return f"{plan.today.isoformat()}T00:00:00.000Z"


Row = tuple[MultiPolygon | Point, Mapping[str, Any]]


def _zones(plan: Plan, whole: Mapping[str, Any]) -> Iterable[Row]:
    for zone, row in zip(plan.zones, whole["zones"], strict=True):
        yield many(zone.outline), flat(row)


def _passes(plan: Plan, whole: Mapping[str, Any]) -> Iterable[Row]:
    for one, row in zip(plan.passes, whole["passes"], strict=True):
        treated = [part.outline for part in one.map.parts if part.rate_gal_ac > 0]
        numbers = " ".join(str(number) for number in one.zones)
        yield MultiPolygon(treated), {**row, "zones": numbers}


def _scouting(_plan: Plan, whole: Mapping[str, Any]) -> Iterable[Row]:
    for row in whole["scouting"]:
        yield Point(row["lon"], row["lat"]), row


def _no_spray(kind: NoSprayKind, plan: Plan, whole: Mapping[str, Any]) -> Iterable[Row]:
    for one, row in zip(plan.no_spray, whole["no_spray"], strict=True):
        if one.kind == kind:
            yield many(one.outline), row


def _boundary(plan: Plan, whole: Mapping[str, Any]) -> Iterable[Row]:
    notes = "; ".join(note.text for note in plan.notes)
    yield many(plan.boundary), {**whole, "farm": plan.farm, "notes": notes}


_ROWS: dict[str, Callable[[Plan, Mapping[str, Any]], Iterable[Row]]] = {
    "zones": _zones,
    "passes": _passes,
    "scouting": _scouting,
    **{layer: partial(_no_spray, kind) for layer, kind in _NO_SPRAY_LAYERS.items()},
    "boundary": _boundary,
}


def write(plan: Plan, folder: Path) -> tuple[str, ...]:
    """Write zones.gpkg: the layers zones and boundary, and each of the others where it is not empty.

    Parameters
    ----------
    plan : Plan
        One field's plan.
    folder : Path
        Existing folder.

    Returns
    -------
    tuple of str
        Name of the file written.

    Raises
    ------
    ValueError
        When zones and no-spray ground, or the map of a pass, do not cover the field exactly.
    """
    check_cover(plan)
    whole = as_object(plan)
    about = as_line(about_plan(plan) | {"schedule": plan.schedule})
    # Made in memory, then written by us, so that a full disk is an OSError and no silence.
    with fiona.Env(OGR_CURRENT_DATE=midnight(plan)), MemoryFile(filename=NAME) as memory:
        for layer, rows_of in _ROWS.items():
            rows = list(rows_of(plan, whole))
            if not rows:
                continue
            shape = "Point" if layer == "scouting" else "MultiPolygon"
            kinds = columns(layer, metric=plan.units == "metric")
            with memory.open(
                mode="w",
                driver="GPKG",
                layer=layer,
                crs=CRS,
                schema={"geometry": shape, "properties": kinds},
                VERSION=VERSION,
                DESCRIPTION=about,
            ) as file:
                file.writerecords(
                    {
                        "geometry": mapping(place),
                        "properties": {name: row.get(name) for name in kinds},
                    }
                    for place, row in rows
                )
        (folder / NAME).write_bytes(memory.read())
    return (NAME,)
