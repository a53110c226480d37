"""Zones and visits judged again under other figures; days, passes and volumes stay as they were planned.

The page does the same in its own language (zoning/show/page/js/what_if.js); one table of answers holds both.
"""

from collections.abc import Mapping
from typing import Literal

import numpy as np

from zoning.passes.what_if.answer import Answer, VisitAnswer, ZoneAnswer
from zoning.passes.what_if.asked import Action, Figures, WhatIf
from zoning.passes.what_if.money import Bools, Floats, Money
from zoning.returns.price import range_of
from zoning.returns.rule import chance


def judge(what_if: WhatIf, figures: Figures, forced: Mapping[int, Action] | None = None) -> Answer:
    """Judge a field again.

    Parameters
    ----------
    what_if : WhatIf
        The field.
    figures : Figures
        Prices, costs, source and rule.
    forced : mapping of int to {"spray", "skip"}, optional
        What the user decided, by zone number; wins over `WhatIfZone.stands`.

    Returns
    -------
    Answer
        Zones are judged as in a plan: with their own wheel tracks, or else with those that zones which are
        sprayed already do not make anyway. Then the visit that falls furthest short of what coming, its own
        tracks and `min_net` ask is left out, and the rest is judged again, until each visit that is left
        returns more; one that holds a zone which the user or the plan decided is never left out.

    Examples
    --------
    >>> from zoning.returns.costs import terms
    >>> from zoning.settings.model import Money
    >>> from zoning.passes.what_if import WhatIfVisit, WhatIfVolume, WhatIfZone
    >>> at_10 = terms(Money(grain_price="10 USD/bu", product="20 USD/ac"), pass_usd_ac=9)
    >>> base = Figures(grain_price_usd_bu=10, product_usd_ac=20, pass_usd_ac=9, source="pooled trials",
    ...     rule="expected", min_net_usd_ac=0, min_chance_frac=0.5)
    >>> zone = WhatIfZone(zone=1, area_ac=40, visit=0, judged_on=0, track_loss_bu_ac=0,
    ...     steps={"pooled trials": np.array([[40, 60]], dtype=np.int16)})  # 2 and 3 bu/ac
    >>> visit = WhatIfVisit(
    ...     number=0, day=739800, last_day=739800, rate_gal_ac=None, zones=(1,), cost_usd_ac=29)
    >>> field = WhatIf(base=base, zones=(zone,), visits=(visit,), swaths=(), share_of_grain_frac=1,
    ...     haul_usd_bu=0, share_of_cost_frac=1, loss_weight=2, product_counts=True,
    ...     pass_counts="treated", field_ac=40,
    ...     per_visit_usd=0, minimum_bill_usd=0, goes_anyway=False, split_load_usd=0,
    ...     volumes=(WhatIfVolume(terms=at_10, volume_gal_ac=None),))
    >>> from dataclasses import replace
    >>> [judge(field, replace(base, grain_price_usd_bu=bid)).net_usd for bid in (10, 12)]
    [0.0, 40.0]
    """
    money = Money(what_if=what_if, figures=figures, forced=forced or {})
    taken = _filled(money, _settled(money))
    return _answer(money, taken)


def _settled(money: Money) -> Bools:
    """Take the zones that are wanted, and leave out visits that do not pay, until all that are left do."""
    dropped: set[int] = set()
    while True:
        taken = _together(money, dropped)
        left = [visit for visit in range(len(money.what_if.visits)) if visit not in dropped]
        short = [
            (_beyond_usd(money, taken, visit), visit) for visit in left if _may_drop(money, taken, visit)
        ]
        beyond_usd, worst = min(short, default=(1.0, -1))
        if beyond_usd > 0:
            return taken
        dropped.add(worst)


def _together(money: Money, dropped: set[int]) -> Bools:
    """Take the zones that are decided, then those that are wanted beside the zones taken so far."""
    zones = money.what_if.zones
    taken = np.array([action == "spray" for action in money.fixed], dtype=np.bool_)
    waiting = [
        place for place, one in enumerate(zones) if money.fixed[place] is None and one.visit not in dropped
    ]
    while True:
        anyway_frac = money.anyway_frac(taken)
        more = [place for place in waiting if _wanted(money, place, float(anyway_frac[place]))]
        if not more:
            return taken
        taken[more] = True
        waiting = [place for place in waiting if not taken[place]]


def _wanted(money: Money, place: int, anyway_frac: float) -> bool:
    found = money.returned(place, anyway_frac)
    return found is not None and found.wanted


def _members(money: Money, taken: Bools, visit: int) -> Bools:
    return taken & np.array([one.visit == visit for one in money.what_if.zones], dtype=np.bool_)


def _may_drop(money: Money, taken: Bools, visit: int) -> bool:
    members = np.flatnonzero(_members(money, taken, visit)).tolist()
    return bool(members) and all(money.fixed[place] is None for place in members)


def _beyond_usd(money: Money, taken: Bools, visit: int) -> float:
    """Say what a visit returns beyond all that it costs, its own tracks and `min_net` too."""
    members = _members(money, taken, visit)
    area_ac = float(money.area_ac[members].sum())
    due_usd_ac = money.cost_usd_ac[money.what_if.visits[visit].volume] + money.figures.min_net_usd_ac
    gained_bu = float(money.mean_bu[members].sum()) - money.tracks_bu(members, taken & ~members)
    return money.price_usd_bu * gained_bu - due_usd_ac * area_ac - money.visit_costs_usd(members)


def _filled(money: Money, taken: Bools) -> Bools:
    """Take every zone along where a load for some of them costs more: beside a pass that goes anyway."""
    one = money.what_if
    may = one.goes_anyway and one.split_load_usd > 0 and money.figures.rule == "expected"
    visit = one.zones[0].visit
    is_one = all(zone.visit == visit for zone in one.zones) and "skip" not in money.fixed
    if not may or not is_one or taken.all():
        return taken
    every = np.ones_like(taken)
    beside_usd = _beyond_usd(money, taken, visit) if taken.any() else 0.0
    return every if _beyond_usd(money, every, visit) > beside_usd else taken


def _answer(money: Money, taken: Bools) -> Answer:
    what_if = money.what_if
    anyway_frac = money.anyway_frac(taken)
    zones = tuple(_of_zone(money, place, taken, float(anyway_frac[place])) for place in range(len(taken)))
    net = _field_net_usd(money, taken)
    low, high = range_of(net)
    return Answer(
        zones=zones,
        spray_ac=sum(one.area_ac for one, is_in in zip(what_if.zones, taken, strict=True) if is_in),
        skip_ac=sum(one.area_ac for one, is_in in zip(what_if.zones, taken, strict=True) if not is_in),
        net_usd=float(net.mean()),
        net_p10_usd=low,
        net_p90_usd=high,
        chance_frac=float(chance(net)),
        visits=tuple(
            VisitAnswer(
                number=visit.number,
                day=visit.day,
                stands=bool(members.any()),
                zones=tuple(what_if.zones[place].zone for place in np.flatnonzero(members)),
            )
            for place, visit in enumerate(what_if.visits)
            for members in (_members(money, taken, place),)
        ),
    )


def _of_zone(money: Money, place: int, taken: Bools, anyway_frac: float) -> ZoneAnswer:
    one = money.what_if.zones[place]
    action: Action = "spray" if taken[place] else "skip"
    by: Literal["figures", "plan", "you"] = "figures" if money.fixed[place] is None else "plan"
    if money.forced.get(one.zone) == action:
        by = "you"
    found = money.returned(place, anyway_frac)
    if found is None:
        return ZoneAnswer(zone=one.zone, action=action, by=by, wanted=False)
    low, high = money.range_usd_ac(place, found)
    return ZoneAnswer(
        zone=one.zone,
        action=action,
        by=by,
        wanted=found.wanted,
        net_mean_usd_ac=found.net_mean_usd_ac,
        net_p10_usd_ac=low,
        net_p90_usd_ac=high,
        chance_frac=found.chance_frac,
        break_even_response_bu_ac=found.break_even_response_bu_ac,
    )


def _field_net_usd(money: Money, taken: Bools) -> Floats:
    """Add up, in each draw, what the visits return; every driven swath and every visit once."""
    bushels: Floats = np.zeros(1)
    treated_usd = visits_usd = 0.0
    for place, visit in enumerate(money.what_if.visits):
        members = _members(money, taken, place)
        for zone in np.flatnonzero(members).tolist():
            of_zone = money.visit_bu[zone]
            bushels = bushels if of_zone is None else bushels + of_zone
            treated_usd += money.what_if.zones[zone].area_ac * money.cost_usd_ac[visit.volume]
        visits_usd += money.visit_costs_usd(members) if members.any() else 0.0
    bushels = bushels - money.tracks_bu(taken, np.zeros_like(taken))
    return np.asarray(money.price_usd_bu * bushels - treated_usd - visits_usd)
