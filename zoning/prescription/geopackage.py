"""zones.gpkg: the layers of a plan with every figure of plan.json, as OGC GeoPackage 1.3.

Columns are the keys of plan.json, flattened with `_`, so that one description serves both; its lists inside a
zone or a pass (steps, days of waiting) are not repeated. Written at every level; what a level does not know
is empty.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache, partial
from pathlib import Path
from typing import Any

import fiona
from fiona.io import MemoryFile
from shapely import MultiPolygon, Point
from shapely.geometry import mapping

from zoning.plan import SOURCES, Area, NoSprayKind, Plan
from zoning.prescription.about import about_plan, as_line
from zoning.prescription.as_json.money_json import FLIPS
from zoning.prescription.as_json.plan_json import (
    flat,
    head_object,
    metric_twin,
    no_spray_object,
    pass_object,
    scouted_object,
    zone_object,
)
from zoning.prescription.as_json.strips_json import strips_object
from zoning.prescription.polygons import CRS, check_cover, many
from zoning.prescription.styles import ours, with_styles
from zoning.returns.steps import KINDS

NAME = "zones.gpkg"
_VERSION = "1.3"  # a newer one makes older desktop programs warn

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
    "override_action": "str",
    "override_rate_gal_ac": "float",
    "override_reason": "str",
    "override_computed": "str",
    "override_refused_code": "str",
    "override_refused_text": "str",
    "override_decided_on": "date",
}
_PASS = {
    "pass": "int32",
    "sprayer": "str",
    "day": "date",
    "half": "str",
    "rate_gal_ac": "float",
    "area_ac": "float",
    "treated_ac": "float",
    "map_id": "str",
    "loads": "int32",
    "visit_costs_usd": "float",
    "hours_h": "float",
    "in_time_frac": "float",
    "in_time_years": "int32",
    "zones": "str",
    "due": "date",
}
# The place is the point. The day stands last: fiona 1.10 takes the first text behind a day for another day.
_SCOUTING = {
    "zone": "int32",
    "kind": "str",
    "text": "str",
    "stage": "str",
    "severity_pct": "float",
    "note": "str",
    "photo": "str",
    "observer": "str",
    "source": "str",
    "date": "date",
}
_STRIP = {"pair": "int32", "treatment": "str", "zone": "int32", "pass": "int32", "area_ac": "float"}
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
    "check_strips": _STRIP,
    "scouting": _SCOUTING,
    **dict.fromkeys(_NO_SPRAY_LAYERS, _NO_SPRAY),
    "boundary": _BOUNDARY,
}
_PARTS = ("_mean", "_p10", "_p90", "_sd")


def _twin(name: str) -> str | None:
    part = next((part for part in _PARTS if name.endswith(part)), "")
    twin = metric_twin(name.removesuffix(part))
    return None if twin is None else twin + part


@cache
def columns(layer: str, *, metric: bool) -> Mapping[str, str]:
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


Row = tuple[Area | Point, Mapping[str, Any]]


def _zones(plan: Plan, metric: bool) -> Iterable[Row]:
    for zone in plan.zones:
        yield many(zone.outline), flat(zone_object(zone, metric, lists=False))


def _passes(plan: Plan, metric: bool) -> Iterable[Row]:
    for one in plan.passes:
        treated = [part.outline for part in one.map.parts if part.rate_gal_ac > 0]
        numbers = " ".join(str(number) for number in one.zones)
        yield MultiPolygon(treated), pass_object(one, metric, lists=False) | {"zones": numbers}


def _strips(plan: Plan, metric: bool) -> Iterable[Row]:
    pieces = plan.strips.pieces if plan.strips is not None else ()
    ground = [one for one in pieces if one.kind == "strip"]
    for one, row in zip(ground, (strips_object(plan.strips, metric) or {}).get("ground", ()), strict=True):
        yield many(one.outline), row


def _scouting(plan: Plan, _metric: bool) -> Iterable[Row]:
    for row in map(scouted_object, plan.scouting):
        yield Point(row["lon"], row["lat"]), row


def _no_spray(kind: NoSprayKind, plan: Plan, metric: bool) -> Iterable[Row]:
    for one in plan.no_spray:
        if one.kind == kind:
            yield many(one.outline), no_spray_object(one, metric)


def _boundary(plan: Plan, _metric: bool) -> Iterable[Row]:
    notes = "; ".join(note.text for note in plan.notes)
    yield many(plan.boundary), head_object(plan) | {"farm": plan.farm, "notes": notes}


_ROWS: dict[str, Callable[[Plan, bool], Iterable[Row]]] = {
    "zones": _zones,
    "passes": _passes,
    "check_strips": _strips,
    "scouting": _scouting,
    **{layer: partial(_no_spray, kind) for layer, kind in _NO_SPRAY_LAYERS.items()},
    "boundary": _boundary,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer: its name, kind of geometry, columns with their types, and rows."""

    name: str
    shape: str
    kinds: Mapping[str, str]
    rows: Sequence[Row]


def layers(plan: Plan) -> tuple[Layer, ...]:
    """Give every layer of a plan, those without a row among them.

    Parameters
    ----------
    plan : Plan
        One field's plan.
    """
    metric = plan.units == "metric"
    return tuple(
        Layer(
            name=name,
            shape="Point" if name == "scouting" else "MultiPolygon",
            kinds=columns(name, metric=metric),
            rows=tuple(rows_of(plan, metric)),
        )
        for name, rows_of in _ROWS.items()
    )


def as_bytes(tables: Iterable[Layer], about: Mapping[str, str], today: date, *, tags: bool = False) -> bytes:
    """Give a GeoPackage with the layers that have rows; the same rows, the same bytes.

    Parameters
    ----------
    tables : iterable of Layer
    about : mapping of str to str
        What the file says of itself, as the description of each layer.
    today : date
        On which the file says that it was made.
    tags : bool
        Whether `about` goes into the metadata tables as well, key by key.
    """
    now = f"{today.isoformat()}T00:00:00.000Z"  # else the same plan would give other bytes each time
    # Made in memory, then written by the caller, so that a full disk is an OSError and no silence.
    with fiona.Env(OGR_CURRENT_DATE=now), MemoryFile(filename=NAME) as memory:
        for layer in tables:
            if not layer.rows:
                continue
            with memory.open(
                mode="w",
                driver="GPKG",
                layer=layer.name,
                crs=CRS,
                schema={"geometry": layer.shape, "properties": dict(layer.kinds)},
                VERSION=_VERSION,
                DESCRIPTION=as_line(about),
            ) as file:
                if tags:
                    file.update_tags(dict(about))
                file.writerecords(_feature(place, row, layer.kinds) for place, row in layer.rows)
        made: bytes = memory.read()
    return made


def _feature(place: Area | Point, row: Mapping[str, Any], kinds: Iterable[str]) -> fiona.Feature:
    """Give a row as fiona has it in the end: it takes twice as long to make one of a mapping."""
    return fiona.Feature(
        geometry=fiona.Geometry(**mapping(place)), properties={name: row.get(name) for name in kinds}
    )


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
    about = about_plan(plan) | {"schedule": plan.schedule}
    made = as_bytes(layers(plan), about, plan.today)
    (folder / NAME).write_bytes(with_styles(made, ours.of_layers([plan]), plan.today))
    return (NAME,)
