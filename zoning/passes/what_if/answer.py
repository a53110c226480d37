"""What is answered when figures are moved. Values only."""

from dataclasses import dataclass
from typing import Literal

from zoning.passes.what_if.asked import Action


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneAnswer:
    """One zone under other figures.

    `by` says what decided: the figures, the plan (as `WhatIfZone.stands`, or no day is open to it), or the
    user. `wanted` is what the rule says of it by itself, its avoidable wheel tracks paid. The figures are
    those of a sprayed acre, None where there are none.
    """

    zone: int
    action: Action
    by: Literal["figures", "plan", "you"]
    wanted: bool
    net_mean_usd_ac: float | None = None
    net_p10_usd_ac: float | None = None
    net_p90_usd_ac: float | None = None
    chance_frac: float | None = None
    break_even_response_bu_ac: float | None = None  # infinite where a bushel brings nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitAnswer:
    """One visit: whether it is made, and the zones that it sprays; `day` is its first."""

    number: int
    day: int
    stands: bool
    zones: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A field under other figures; its money is 0 where nothing is sprayed."""

    zones: tuple[ZoneAnswer, ...]
    spray_ac: float
    skip_ac: float
    net_usd: float
    net_p10_usd: float
    net_p90_usd: float
    chance_frac: float
    visits: tuple[VisitAnswer, ...]
