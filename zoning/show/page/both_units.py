"""Sentences in both systems of units: each part that differs holds what it is in the other one.

The words are Python's in both, so nothing is rounded twice; the script only takes the one or the other.
"""

import re
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

from markupsafe import Markup, escape

from zoning.plan import Plan
from zoning.units import kg_ha_from_bu_ac, usd_ha_from_usd_ac
from zoning.words import Said

_RESPONSES = ("expect", "needs")  # values of a reason that are in its unit
_MONEY = ("net", "min_net")  # those that are by its area
_UNITS = ("bu/ac", "kg/ha")
_BETWEEN = re.compile(r"([,;:.)]*\s+\(?)")
_BARE = re.compile(r"[\w$/.,+-]+")  # HTML wants no quotes round it
Told = TypeVar("Told")


def in_other_units(plan: Plan) -> Plan:
    """Give the plan as a farm with the other units would have it."""
    return replace(plan, units="us" if plan.units == "metric" else "metric")


def reason_text(said: Said, *, metric: bool) -> str:
    """Write the reason of a zone in one system of units, whichever it was said in.

    Examples
    --------
    >>> why = Said("returns.skip", because="low", needs=2.9, expect=1.0, digits=1, unit="bu/ac")
    >>> reason_text(why, metric=False), reason_text(why, metric=True)
    ('low: needs 2.9 bu/ac, expect 1.0', 'low: needs 195 kg/ha, expect 67')
    """
    values, unit = said.values, said.values.get("unit")
    if unit not in _UNITS or not {*_RESPONSES, "digits"} <= {*values} or (unit == _UNITS[1]) == metric:
        return said.text
    responses = {name: _turned(values[name], kg_ha_from_bu_ac, metric=metric) for name in _RESPONSES}
    digits = 0 if metric else 1
    digits += len({f"{one:.{digits}f}" for one in responses.values()}) == 1  # so that they are told apart
    money = {
        name: _turned(values[name], usd_ha_from_usd_ac, metric=metric) for name in _MONEY if name in values
    }
    area = {"area": "ha" if metric else "ac"} if "area" in values else {}
    return Said(
        said.code, **(values | responses | money | area | {"unit": _UNITS[metric], "digits": digits})
    ).text


def _turned(value: object, per: Callable[[float], float], *, metric: bool) -> float:
    number = float(str(value))
    return per(number) if metric else number / per(1.0)


def twin(text: str, other: str) -> Markup | str:
    """Mark where a text differs from the same in other units.

    Examples
    --------
    >>> twin("from 18.47 $/bu, or later", "from 679 $/t, or later")
    Markup('from <i data-t="679 $/t">18.47 $/bu</i>, or later')
    >>> twin("as zone 1", "as zone 1")
    'as zone 1'
    """
    if text == other:
        return text
    mine, theirs = _BETWEEN.split(text), _BETWEEN.split(other)
    if len(mine) != len(theirs) or mine[1::2] != theirs[1::2]:
        return _marked(text, other)
    written, run = [], ("", "")
    for at in range(0, len(mine), 2):
        gap = mine[at - 1] if at else ""
        if mine[at] == theirs[at]:
            written += [_marked(*run), escape(gap), escape(mine[at])]
            run = ("", "")
        elif run[0] and gap == " ":  # a figure and its unit are one part
            run = (f"{run[0]} {mine[at]}", f"{run[1]} {theirs[at]}")
        else:
            written += [_marked(*run), escape(gap)]
            run = (mine[at], theirs[at])
    return Markup("".join((*written, _marked(*run))))


def _marked(text: str, other: str) -> Markup:
    if not (text or other):
        return Markup()
    quote = "" if _BARE.fullmatch(other) else '"'
    return Markup(f"<i data-t={quote}{escape(other)}{quote}>{escape(text)}</i>")


def in_both(told: Told, other: Told) -> Told:
    """Put what is told in one system of units together with the same in the other, text by text.

    Figures that are elements already stay as they are.

    Examples
    --------
    >>> in_both(("12 ac", 1), ("5 ha", 1))
    (Markup('<i data-t="5 ha">12 ac</i>'), 1)
    """
    both: Told = _in_both(told, other)
    return both


def _in_both(told: Any, other: Any) -> Any:
    if isinstance(told, Markup):
        return told
    if isinstance(told, str):
        return twin(told, other)
    if isinstance(told, tuple) and len(told) == len(other):
        parts = [_in_both(one, its) for one, its in zip(told, other, strict=True)]
        return type(told)(*parts) if hasattr(told, "_fields") else tuple(parts)
    if is_dataclass(told) and not isinstance(told, type):
        names = [one.name for one in fields(told)]
        return replace(told, **{name: _in_both(getattr(told, name), getattr(other, name)) for name in names})
    return told
