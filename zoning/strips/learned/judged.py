"""Did skipped zones deserve skipping, and sprayed ones spraying? The plan's decisions, by what strips say.

Where no pair of strips crosses a zone nothing is said of it; a decision is right or wrong only where the
whole 90 % interval of the net return is on one side of 0.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from zoning.strips.learned.learned_terms import JudgedZone, Judgement
from zoning.strips.terms import ByZone, Money, Response, ZoneResponse
from zoning.units import usd_ha_from_usd_ac
from zoning.words import Said
from zoning.words.amounts import zones as named

_JUDGED = {"right": "that was right", "wrong": "that was wrong", "cannot tell": "cannot tell"}


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedZone:
    """What a plan said of a zone; None where it said nothing, `action` "" where it took no decision.

    Net return and chance are of the zone's pass, or of the best that a skipped zone could have had.
    """

    zone: int
    block: str
    action: Literal["spray", "skip", ""]
    forecast_net_usd_ac: float | None = None
    forecast_chance: float | None = None
    area_ac: float | None = None
    planted: date | None = None
    maturity_group: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedPlan:
    """The decisions of all zones that strips cross, against a pass on all of them and none on any.

    Each difference has its 90 % interval, as (low, high): the sum of those of the zones, which is right where
    one response stands for all of them, and too wide where each has its own. [USD]
    """

    zones: tuple[int, ...]
    area_ac: float
    plan_usd: float
    blanket_usd: float
    over_blanket_usd: tuple[float, float]
    over_none_usd: tuple[float, float]
    said: Said


def judge(
    zones: Sequence[PlannedZone],
    by_zone: ByZone | None,
    response: Response | None,
    money: Money | None,
    sprayed_frac: Mapping[int, float],
    *,
    is_metric: bool = False,
) -> tuple[JudgedZone, ...]:
    """Judge the decisions of a plan.

    Parameters
    ----------
    zones : sequence of PlannedZone
        Those without a decision are left out.
    by_zone : ByZone or None
        Its own response judges a zone where zones may be told apart, else that of the field.
    response : Response or None
        Of the field; None where no pair counts.
    money : Money or None
    sprayed_frac : mapping of int to float
        How much of each zone was really sprayed, check strips aside; NaN where nobody says.
    is_metric : bool
        Sentences are in USD/ha.

    Returns
    -------
    tuple of JudgedZone
        One for each decision.

    Examples
    --------
    >>> zone = PlannedZone(zone=3, block="A", action="skip")
    >>> judge([zone], None, None, None, {})[0].said.text
    'zone 3 was skipped: no pair of strips crosses it, so nothing tells'
    """
    decided = [zone for zone in zones if zone.action]
    return tuple(
        _judged(
            zone,
            _told(zone, by_zone, response, len(zones)),
            money,
            sprayed_frac.get(zone.zone, 0.0),
            is_metric,
        )
        for zone in decided
    )


def judged_plan(zones: Sequence[PlannedZone], judged: Sequence[JudgedZone]) -> JudgedPlan | None:
    """Hold the whole plan against a pass on every zone, and against none.

    Parameters
    ----------
    zones : sequence of PlannedZone
        With their areas.
    judged : sequence of JudgedZone
        As `judge` gives them.

    Returns
    -------
    JudgedPlan or None
        Over the zones that strips cross; None without areas, or where no net return is known.
    """
    area_ac = {zone.zone: zone.area_ac for zone in zones if zone.area_ac is not None}
    tested = [one for one in judged if one.net_usd_ac is not None]
    if not tested or any(one.zone not in area_ac for one in tested):
        return None

    sprayed = _usd([one for one in tested if one.action == "spray"], area_ac)
    skipped = _usd([one for one in tested if one.action == "skip"], area_ac)
    over_blanket = (0.0 - skipped[2], 0.0 - skipped[1])
    return JudgedPlan(
        zones=tuple(one.zone for one in tested),
        area_ac=math.fsum(area_ac[one.zone] for one in tested),
        plan_usd=sprayed[0],
        blanket_usd=sprayed[0] + skipped[0],
        over_blanket_usd=over_blanket,
        over_none_usd=(sprayed[1], sprayed[2]),
        said=_said_of_plan(tested, sprayed, (0.0 - skipped[0], *over_blanket)),
    )


def _usd(zones: Sequence[JudgedZone], area_ac: Mapping[int, float]) -> tuple[float, float, float]:
    """Sum up mean, low and high net return over zones."""

    def over(nets: Sequence[float | None]) -> float:
        return math.fsum(area_ac[one.zone] * (net or 0.0) for one, net in zip(zones, nets, strict=True))

    return (
        over([one.net_usd_ac for one in zones]),
        over([one.net_low_usd_ac for one in zones]),
        over([one.net_high_usd_ac for one in zones]),
    )


def _told(
    zone: PlannedZone, by_zone: ByZone | None, response: Response | None, count: int
) -> ZoneResponse | Response | None:
    """Find what the strips say of a zone; None where none crosses it."""
    if response is None:
        return None
    if by_zone is None:
        return response if count == 1 else None  # a field that is one zone
    own = next((one for one in by_zone.zones if one.zone == zone.zone and one.pairs), None)
    if own is None:
        return None
    return own if by_zone.differ else response


def _judged(
    zone: PlannedZone,
    found: ZoneResponse | Response | None,
    money: Money | None,
    sprayed_frac: float,
    is_metric: bool,
) -> JudgedZone:
    net, judgement = _net(found, money), _judgement(zone, found, money)
    mean, low, high = net if net is not None else (None, None, None)
    action: Literal["spray", "skip"] = "spray" if zone.action == "spray" else "skip"
    return JudgedZone(
        zone=zone.zone,
        action=action,
        sprayed_frac=sprayed_frac,
        forecast_net_usd_ac=zone.forecast_net_usd_ac,
        forecast_chance=zone.forecast_chance,
        net_usd_ac=mean,
        net_low_usd_ac=low,
        net_high_usd_ac=high,
        chance_pays=None if found is None else found.chance_pays,
        told=None if found is None else found.told,
        judgement=judgement,
        said=_said(zone, sprayed_frac, (found, net), judgement, is_metric),
        response_bu_ac=None if found is None else found.mean_bu_ac,
        response_se_bu_ac=None if found is None else found.se_bu_ac,
    )


def _net(found: ZoneResponse | Response | None, money: Money | None) -> tuple[float, float, float] | None:
    if found is None or money is None:
        return None
    return (
        money.net_usd_ac(found.mean_bu_ac),
        money.net_usd_ac(found.low_bu_ac),
        money.net_usd_ac(found.high_bu_ac),
    )


def _judgement(zone: PlannedZone, found: ZoneResponse | Response | None, money: Money | None) -> Judgement:
    if found is None:
        return "not tested"
    net = _net(found, money)
    if net is None or found.told == "cannot tell" or not all(map(math.isfinite, net)):
        return "cannot tell"
    paid = net[1] > 0
    return "right" if paid == (zone.action == "spray") else "wrong"


def _said(
    zone: PlannedZone,
    sprayed_frac: float,
    told: tuple[ZoneResponse | Response | None, tuple[float, float, float] | None],
    judgement: Judgement,
    is_metric: bool,
) -> Said:
    found, net = told
    is_known = not math.isnan(sprayed_frac)
    is_sprayed = sprayed_frac >= 0.5 if is_known else zone.action == "spray"
    was = {
        ("spray", True): "was sprayed" if is_known else "was to be sprayed",
        ("spray", False): "was to be sprayed and was not",
        ("skip", False): "was skipped" if is_known else "was to be skipped",
        ("skip", True): "was to be skipped and was sprayed",
    }[zone.action, is_sprayed]
    by = {"zone": named([zone.zone]), "was": was}
    if found is None:
        return Said("season.zone_not_tested", **by)
    if net is None:
        return Said("season.zone_no_money", **by)
    usd = [usd_ha_from_usd_ac(one) if is_metric else one for one in net]
    verb = "gained" if usd[0] >= 0 else "lost"
    return Said(
        "season.zone_judged",
        **by,
        did=verb if is_sprayed else f"would have {verb}",
        usd=abs(usd[0]),
        area="ha" if is_metric else "ac",
        where="there" if isinstance(found, ZoneResponse) else "on the whole field",
        low=_whole(usd[1]),
        high=_whole(usd[2]),
        judgement=_JUDGED[judgement],
    )


def _whole(usd: float) -> str:
    """Write whole dollars with their sign; an interval without an end has none."""
    return f"{round(usd):+,d}" if math.isfinite(usd) else "unknown"


def _said_of_plan(
    tested: Sequence[JudgedZone],
    sprayed: tuple[float, float, float],
    over_blanket: tuple[float, float, float],
) -> Said:
    on = named([one.zone for one in tested])
    actions = {one.action for one in tested}
    mean, low, high = sprayed if actions == {"spray"} else over_blanket
    limits = {"usd": _whole(mean), "low": _whole(low), "high": _whole(high), "zones": on}
    if actions == {"spray"}:
        return Said("season.plan_sprays_all", **limits)
    if actions == {"skip"}:
        return Said("season.plan_skips_all", **limits)
    return Said(
        "season.plan_judged",
        **limits,
        plan=_whole(sprayed[0]),
        blanket=_whole(sprayed[0] - over_blanket[0]),
    )
