"""Offers made by hand, with the stage pinned: for worked cases through the schedule and `field.settle`."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np
from shapely import box, union_all

from zoning.field import settle
from zoning.offers.choose import choose, limits_of
from zoning.offers.offered import Choice, Offer, OfferedZone, Options
from zoning.offers.provenance import Provenance
from zoning.passes.half_days import even
from zoning.passes.problem import Chosen, FieldProblem, Machine
from zoning.passes.schedule.farm import alone
from zoning.returns.draws import response_draws
from zoning.returns.flips import Damage
from zoning.returns.price import price
from zoning.returns.reasons import Driver
from zoning.returns.response import Place
from zoning.returns.terms import Mixture, Terms, ZoneCase
from zoning.settings.model import Response
from zoning.stage.draws import StageDraws

DRAWS = 512
MID_R3 = date(2026, 7, 19).toordinal()


def pinned(mid_r3: float = MID_R3) -> StageDraws:
    """Every draw the same: R3 is in its middle on the day, R3 and R4 last 9 days each."""
    return StageDraws(np.tile(mid_r3 + np.array([-17.5, -14.5, -4.5, 4.5, 13.5, 28.5, 46.5]), (DRAWS, 1)))


FROGEYE = Damage(
    source="pooled trials",
    response=Response(source="pooled trials"),
    place=Place(pressure="unknown", expected_yield_bu_ac=58.0, efficacy_frac=0.6),
)


def terms(pass_usd_ac: float = 9.0) -> Terms:
    """10.40 USD/bu, product 19, adjuvant 2."""
    return Terms(
        price_usd_bu=10.40,
        grain_price_usd_bu=10.40,
        haul_usd_bu=0.0,
        share_of_grain_frac=1.0,
        product_usd_ac=19.0,
        adjuvant_usd_ac=2.0,
        foliar_feed_usd_ac=0.0,
        pass_usd_ac=pass_usd_ac,
        water_usd_gal=0.0,
        rule="expected",
        min_net_usd_ac=0.0,
        min_chance_frac=0.5,
        loss_weight=2.0,
    )


def made_zone(
    number: int,
    mixture: Mixture,
    area_ac: float,
    *,
    field: str = "case",
    yield_bu_ac: float = 58.0,
    track_loss_bu_ac: float = 0.0,
    mid_r3: float = MID_R3,
    damage: Damage | None = None,
) -> OfferedZone:
    """One zone with its case, east of the one before; only pooled trials are asked."""
    stage = pinned(mid_r3)
    case = ZoneCase(
        zone=number,
        area_ac=area_ac,
        mixture=mixture,
        response_draws_bu_ac=response_draws(mixture, seed=3, field=field, zone=number, draws=DRAWS),
        curve="published",
        stage=stage,
        expected_yield_bu_ac=yield_bu_ac,
        track_loss_bu_ac=track_loss_bu_ac,
        volume_matters=False,
    )
    west_deg = -95.42 + 0.01 * number
    return OfferedZone(
        zone=number,
        block="A",
        outline=box(west_deg, 44.30, west_deg + 0.01, 44.31),
        outline_m=box(500.0 * number, 0, 500.0 * number + 500, 320),
        area_ac=area_ac,
        planted=date(2026, 5, 5),
        maturity_group=2.5,
        stage=stage,
        case=case,
        driver=Driver(source="pooled trials", pressure="unknown"),
        cases_by_source={"pooled trials": case, "practice series": None, "own trials": None},
        damage=damage,
    )


def choose_alone(zones: tuple[OfferedZone, ...], options: Options) -> Chosen:
    """The passes of a field that has one sprayer to itself, as `run` chooses them."""
    one = Choice(sprayer=None, zones=zones, options=options, notes=())
    limits = replace(limits_of(None), gap_frac=0.0)
    return choose([(one,)], limits, extras=False).schedule.chosen[0]


def made_rig(hours_per_day: float = 24.0) -> Machine:
    """A sprayer at 15 gal/ac that needs no setting up."""
    return Machine(
        name="rig",
        acres_per_hour=(78.0,),
        acres_per_load=(66.7,),
        set_up_h=0.0,
        hours=even(date(2026, 1, 1).toordinal(), 400, hours_per_day),
    )


def made_offer(zones: tuple[OfferedZone, ...], options: Options, field: str = "case") -> Offer:
    """The offer of a field that is these zones."""
    today = date(2026, 7, 1)
    return Offer(
        field=field,
        farm="",
        units="us",
        country="US",
        level=3,
        today=today,
        epsg=32615,
        boundary=union_all([zone.outline for zone in zones]),
        area_ac=sum(zone.area_ac for zone in zones),
        zones=zones,
        options=options,
        product="",
        notes=(),
        provenance=Provenance(version="0", today=today, seed=3, settings={}, inputs={}, evidence={}),
    )


def settled_zone(
    mixture: Mixture,
    *,
    area_ac: float,
    yield_bu_ac: float,
    track_loss_bu_ac: float = 0.0,
    pass_usd_ac: float = 9.0,
    days: Sequence[int] = (MID_R3,),
    mid_r3: float = MID_R3,
    money: Terms | None = None,
    damage: Damage | None = None,
):
    """One zone and volume, on one day or some, through price, schedule and settle: its row, and the plan.

    `money` stands in for the terms that `pass_usd_ac` would make.
    """
    zone = made_zone(
        1,
        mixture,
        area_ac,
        yield_bu_ac=yield_bu_ac,
        track_loss_bu_ac=track_loss_bu_ac,
        mid_r3=mid_r3,
        damage=damage,
    )
    money = money or terms(pass_usd_ac)
    priced = price([zone.case], days, (15.0,), money)
    loss_usd_ac = np.array([track_loss_bu_ac * money.price_usd_bu])
    problem = FieldProblem(
        field="case",
        zones=(1,),
        block_of_zone=(0,),
        area_ac=np.array([area_ac]),
        days=priced.days,
        volumes_gal_ac=(15.0,),
        net_usd_ac=priced.net_usd_ac + loss_usd_ac,
        worth_it=priced.passes_rule,
        swath_area_ac=np.array([[area_ac]]),
        track_loss_usd_ac=loss_usd_ac,
        bill_usd_ac=0.0,
        pass_usd_ac=money.pass_usd_ac,
        per_visit_usd=0.0,
        minimum_bill_usd=0.0,
    )
    machine = made_rig()
    options = Options(priced=priced, terms=(money,), problem=problem, machine=machine)
    chosen = alone(problem, machine)
    plan = settle(made_offer((zone,), options), chosen)
    return plan.zones[0], plan
