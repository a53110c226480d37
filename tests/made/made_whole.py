"""Fields of several zones with their options, made by hand, for the money of a whole field."""

from dataclasses import replace

import numpy as np
from made_offers import FROGEYE, MID_R3, made_rig, made_zone, terms

from zoning.offers.offered import OfferedZone, Options
from zoning.passes.problem import FieldProblem
from zoning.returns.price import price
from zoning.returns.terms import Mixture

DAYS = np.arange(MID_R3 - 6, MID_R3 + 8)


def zone_of(
    number: int, mixture: Mixture, area_ac: float, *, loss_bu_ac: float = 0.0, late_d: float = 0.0
) -> OfferedZone:
    """One zone, in which frogeye could do its damage; nobody asks what other sources say."""
    made = made_zone(
        number,
        mixture,
        area_ac,
        field="whole",
        track_loss_bu_ac=loss_bu_ac,
        mid_r3=MID_R3 + late_d,
        damage=FROGEYE,
    )
    return replace(made, cases_by_source={})


def options_of(
    zones: tuple[OfferedZone, ...],
    money=None,
    *,
    visit_usd: float = 0.0,
    minimum_bill_usd: float = 0.0,
    hours_per_day: float = 24.0,
    closed: np.ndarray | None = None,
    split_load_usd: float = 0.0,
) -> Options:
    """Options of a field; zones with odd numbers lie on the first swath, all zones share the second.

    With a split load another pass goes anyway, and a part of the field is a load of its own.
    """
    money = money or terms()
    cases = [one.case for one in zones]
    shut = np.zeros((len(zones), DAYS.size, 1), dtype=bool) if closed is None else closed[..., None]

    def priced(of):
        every = price(of, DAYS, (15.0,), money)
        return replace(
            every,
            net_usd_ac=np.where(shut, np.nan, every.net_usd_ac),
            passes_rule=every.passes_rule & ~shut,
        )

    bare = priced([replace(case, track_loss_bu_ac=0.0) for case in cases])
    area = np.array([case.area_ac for case in cases])
    odd = np.array([one.zone % 2 == 1 for one in zones])
    problem = FieldProblem(
        field="whole",
        zones=tuple(one.zone for one in zones),
        block_of_zone=(0,) * len(zones),
        area_ac=area,
        days=DAYS,
        volumes_gal_ac=(15.0,),
        net_usd_ac=bare.net_usd_ac,
        worth_it=bare.passes_rule,
        swath_area_ac=np.stack([np.where(odd, area / 2, 0), np.where(odd, area / 2, area)]),
        track_loss_usd_ac=np.array([case.track_loss_bu_ac for case in cases]) * money.price_usd_bu,
        bill_usd_ac=0.0,
        pass_usd_ac=money.pass_usd_ac,
        per_visit_usd=visit_usd,
        minimum_bill_usd=minimum_bill_usd,
        min_net_usd_ac=money.min_net_usd_ac,
        goes_anyway=split_load_usd > 0,
        split_load_usd=split_load_usd,
        may_fill_up=money.rule == "expected",
    )
    return Options(priced=priced(cases), terms=(money,), problem=problem, machine=made_rig(hours_per_day))
