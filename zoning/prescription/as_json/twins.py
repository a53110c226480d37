"""Figures as JSON has them: six decimals, never NaN, the metric one beside the US one.

Every key carries its unit, and by its ending it is known which metric figure stands beside it.
"""

import math
from collections.abc import Mapping
from typing import Any

from zoning import units

_DECIMALS = 6  # keeps 0.1 + 0.2 from being written as 0.30000000000000004; far below any figure that is shown


def _kg_from_lb(weight_lb: float) -> float:
    return weight_lb / units.parse("1 kg/ac", "lb_ac")


def _kg_ha_from_lb_ac(dose_lb_ac: float) -> float:
    return dose_lb_ac / units.parse("1 kg/ha", "lb_ac")


# Our ending of a key -> the metric ending and the conversion.
_TWINS = {
    "_usd_ac": ("_usd_ha", units.usd_ha_from_usd_ac),
    "_usd_bu": ("_usd_t", units.usd_t_from_usd_bu),
    "_bu_ac": ("_kg_ha", units.kg_ha_from_bu_ac),
    "_gal_ac": ("_l_ha", units.l_ha_from_gal_ac),
    "_lb_ac": ("_kg_ha", _kg_ha_from_lb_ac),
    "_lb": ("_kg", _kg_from_lb),
    "_mph": ("_kmh", units.kmh_from_mph),
    "_psi": ("_bar", units.bar_from_psi),
    "_gal": ("_l", units.l_from_gal),
    "_ac": ("_ha", units.ha_from_ac),
}

Json = dict[str, Any]


def metric_twin(key: str) -> str | None:
    """Name of the metric figure that stands beside a key, None where there is none.

    Examples
    --------
    >>> metric_twin("rate_gal_ac"), metric_twin("response_bu_ac"), metric_twin("net_usd")
    ('rate_l_ha', 'response_kg_ha', None)
    """
    for ending, (metric, _) in _TWINS.items():
        if key.endswith(ending):
            return key.removesuffix(ending) + metric
    return None


def _in_metric(key: str, value: Any) -> Any:
    convert = next(function for ending, (_, function) in _TWINS.items() if key.endswith(ending))
    if isinstance(value, Mapping):
        return {name: _in_metric(key, part) for name, part in value.items()}
    if isinstance(value, list):
        return [_in_metric(key, part) for part in value]
    return None if value is None else number(convert(value), key)


def with_twins(plain: Json, metric: bool) -> Json:
    """Put the metric figure behind each figure that has one."""
    if not metric:
        return plain
    both: Json = {}
    for key, value in plain.items():
        both[key] = value
        twin = metric_twin(key)
        if twin is not None:
            both[twin] = _in_metric(key, value)
    return both


def number(value: float, key: str) -> float:
    """Give a figure that must exist.

    Raises
    ------
    ValueError
        When it is infinite or not a number: a fault of ours.
    """
    if not math.isfinite(value):
        raise ValueError(f"{key} of a plan must be a finite number, got {value}")
    return round(value, _DECIMALS) + 0.0  # + 0.0 turns -0.0 into 0.0


def if_known(value: float | None, key: str) -> float | None:
    """Give a figure that must be a number where it is known; null where it is not."""
    return None if value is None else number(value, key)


def if_any(value: float) -> float | None:
    """Give a figure that need not exist: infinite or undefined becomes null."""
    return number(value, "") if math.isfinite(value) else None
