"""The main figures behind a plan, each with its value, unit, kind, source and note.

Those that its zones name, and those that move what the page shows: all there are would be ten times more.
Settings have defaults of their own and are no part of it, for the user may have set another value.

Asks `zoning.evidence` and computes nothing.
"""

from collections import Counter
from collections.abc import Mapping
from typing import NamedTuple

from zoning.evidence import KINDS, Entry, Value, entry, find
from zoning.plan import Plan
from zoning.words import Said

# Behind every plan with dates; and behind every plan with money. Others stand in the steps of its zones.
_DATES = (
    *("stage.model_sd_d", "stage.window_quantiles", "stage.critical_daylength_h"),
    *("stage.planting_to_emergence_td", "stage.r1_to_r3_ptd", "stage.r3_to_r4_share_of_r3_to_r5"),
    *("stage.staging_sd_d", "stage.count_floor_d", "stage.plant_sd_d", "stage.walk_plants"),
    *("stage.error_variance_share", "zones.least_rise_frac", "zones.least_share_frac"),
)
_MONEY = (
    *("returns.published_mean_bu_ac", "returns.spray_window_frac", "returns.full_response_yield_bu_ac"),
    *("returns.track_losses", "passes.planning_quantiles_frac", "passes.spray_hours_per_field_day"),
    *("passes.label_quantile_frac", "passes.walk_worth_usd", "returns.response_share"),
    *("returns.practice_parts_bu_ac", "returns.practice_weights", "returns.curve_practice_outer"),
)
_PASSES = ("passes.spray_wind_mph", "passes.longest_visit_d")
_STRIPS = ("passes.strips_response_bu_ac", "returns.pair_sd_bu_ac")
_UNITS_IN_NAMES = (
    *("_usd_bu", "_usd_ac", "_bu_ac", "_gal_ac", "_usd", "_frac", "_ptd", "_td", "_log_ratio", "_in"),
    *("_per_pct", "_pct", "_mph", "_ft", "_mm", "_h", "_d", "_m", "_c", "_logit"),
)
_LETTERS = {"sd", "r1", "r2", "r3", "r4", "r5", "r6", "r7"}


class Passport(NamedTuple):
    """One figure; `source` is empty where its kind has none."""

    key: str
    name: str
    value: str
    unit: str
    kind: str
    source: str
    note: str


class Drawer(NamedTuple):
    """All figures, and how many there are of each kind, in words."""

    counted: str
    passports: tuple[Passport, ...]


def drawer(plan: Plan) -> Drawer:
    """Give the main figures behind a plan: those that the steps of its zones name, and the general ones."""
    keys = dict.fromkeys(
        key for zone in plan.zones if zone.money for step in zone.money.steps for key in step.evidence
    )
    more = {_MONEY: plan.level > 1, _PASSES: plan.level > 2, _STRIPS: plan.strips is not None, _DATES: True}
    keys |= dict.fromkeys(key for names, is_behind in more.items() if is_behind for key in names)
    entries = [entry(key) for key in keys]
    of_kind = Counter(one.kind for one in entries)
    kinds = ", ".join(f"{of_kind[kind]} {kind}" for kind in KINDS if of_kind[kind])
    return Drawer(
        counted=Said("page.kinds", count=len(entries), kinds=kinds, every=len(find())).text,
        passports=tuple(_passport(one) for one in entries),
    )


def _passport(one: Entry) -> Passport:
    unit = "" if one.unit == "1" else one.unit
    return Passport(one.key, name_of(one.key), _value(one.value), unit, one.kind, one.source, one.note)


def name_of(key: str) -> str:
    """Write the name of an entry in words, without its room and its unit.

    Examples
    --------
    >>> name_of("returns.published_mean_bu_ac"), name_of("stage.model_sd_d")
    ('published mean', 'model SD')
    """
    name = key.partition(".")[2]
    unit = next((one for one in _UNITS_IN_NAMES if name.endswith(one)), "")
    words = name.removesuffix(unit).replace("_", " ")
    return " ".join(word.upper() if word in _LETTERS else word for word in words.split())


def _value(value: Value | float) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{name.replace('_', ' ')} {_value(part)}" for name, part in value.items())
    if isinstance(value, list):
        nested = any(isinstance(part, list) for part in value)
        return ("; " if nested else ", ").join(_value(part) for part in value)
    return f"{value:g}" if isinstance(value, int | float) else str(value)
