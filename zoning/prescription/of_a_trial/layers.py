"""trial.gpkg: strips, zones and sprayed ground of a trial with what came of them, for any desktop GIS."""

from collections.abc import Iterable, Mapping
from typing import Any

from zoning.plan.trial import TrialResult
from zoning.prescription.as_json.twins import Json, metric_twin
from zoning.prescription.geopackage import Layer, Row
from zoning.prescription.geopackage import as_bytes as package
from zoning.prescription.of_a_trial.trial_json import as_object
from zoning.prescription.polygons import many

NAME = "trial.gpkg"
_STRIP = {
    "pair": "int32",
    "treatment": "str",
    "sprayed_frac": "float",
    "points": "int32",
    "passes": "int32",
    "mean_bu_ac": "float",
}
_ZONE = {
    "zone": "int32",
    "block": "str",
    "area_ac": "float",
    "pairs": "int32",
    "response_bu_ac": "float",
    "response_low_bu_ac": "float",
    "response_high_bu_ac": "float",
    "chance_pays": "float",
    "net_usd_ac": "float",
    "told": "str",
    "action": "str",
    "judgement": "str",
}
_SPRAYED = {"source": "str"}


def as_bytes(result: TrialResult) -> bytes:
    """Give the GeoPackage; the same result, the same bytes.

    Parameters
    ----------
    result : TrialResult
    """
    whole = as_object(result)
    metric = result.units == "metric"
    about = {"field": result.field, "season": str(result.season), "run_id": result.run_id}
    tables = (
        _layer("strips", _STRIP, _strips(result, whole), metric),
        _layer("zones", _ZONE, _zones(result, whole), metric),
        _layer("sprayed", _SPRAYED, _sprayed(result), metric),
    )
    return package(tables, about, result.today)


def _layer(name: str, kinds: Mapping[str, str], rows: Iterable[Row], metric: bool) -> Layer:
    both: dict[str, str] = {}
    for key, kind in kinds.items():
        both[key] = kind
        twin = metric_twin(key) if metric else None
        if twin is not None:
            both[twin] = kind
    return Layer(name=name, shape="MultiPolygon", kinds=both, rows=tuple(rows))


def _strips(result: TrialResult, whole: Json) -> Iterable[Row]:
    for one, row in zip(result.strips, whole["strips"], strict=True):
        yield many(one.outline), row


def _zones(result: TrialResult, whole: Json) -> Iterable[Row]:
    for one, row in zip(result.zones, whole["zones"], strict=True):
        yield many(one.outline), row


def _sprayed(result: TrialResult) -> Iterable[tuple[Any, Mapping[str, Any]]]:
    if not result.treated.is_empty:
        yield many(result.treated), {"source": result.treated_source}
