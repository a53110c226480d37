"""Every option of a field, priced once: zone x day x carrier volume; the problem that the passes solve."""

from dataclasses import replace
from datetime import date

import numpy as np
import numpy.typing as npt

from zoning.errors import SETTINGS, InputError
from zoning.evidence import numbers
from zoning.inputs.given import FieldInputs
from zoning.offers.offered import OfferedZone, Options
from zoning.passes import label
from zoning.passes.hours import planning_hours_per_day
from zoning.passes.problem import FieldProblem, Machine
from zoning.passes.swaths import swath_area_ac
from zoning.returns import costs
from zoning.returns.price import price
from zoning.returns.terms import Floats, Priced, Terms, ZoneCase
from zoning.settings.model import Money, Settings, Sprayer
from zoning.sprayer.reach import Reach, reach
from zoning.units import h_from_min
from zoning.words import Said
from zoning.zones.zoning import Zoning

Days = npt.NDArray[np.int64]


def horizon(zones: tuple[OfferedZone, ...], settings: Settings, today: date) -> tuple[Days, tuple[Said, ...]]:
    """List the days that are priced.

    From the first day on which product and applicator can be there, to the end of the horizon, or to the
    late end of the last zone's window where that lies further: a plan made in June knows July too.
    """
    plan = settings.schedule
    first = today.toordinal() + max(plan.notice_d, plan.lead_time_d)
    latest = numbers("stage.window_quantiles")[-1]
    last_close = max(float(np.quantile(one.stage.of("R4"), latest)) for one in zones)
    last = max(today.toordinal() + plan.horizon_d, int(last_close), first)
    beyond = int(last_close) > today.toordinal() + plan.horizon_d
    notes = (Said("offers.beyond_horizon", horizon=plan.horizon_d),) if beyond else ()
    return np.arange(first, last + 1, dtype=np.int64), notes


def options(
    zones: tuple[OfferedZone, ...], zoning: Zoning, given: FieldInputs, settings: Settings, today: date
) -> tuple[Options, tuple[Said, ...]]:
    """Price every option and state the problem of the passes.

    Raises
    ------
    InputError
        When the sprayer reaches none of the volumes that the label allows.
    """
    if settings.money is None:
        raise ValueError("options need the money settings")
    days, notes = horizon(zones, settings, today)
    cases = [one.case for one in zones if one.case is not None]
    sprayer = settings.sprayers[0] if settings.level == 3 else None
    if sprayer is None:
        terms: tuple[Terms, ...] = (costs.terms(settings.money),)
        priced = price(cases, days, (), terms[0])
        machine = _without_sprayer()
        swaths = np.zeros((1, len(zones)))
    else:
        reaches, why_not = _usable(settings, sprayer)
        volumes = tuple(one.volume_gal_ac for one in reaches)
        terms = tuple(costs.terms(settings.money, _own_pass_usd_ac(sprayer, one)) for one in reaches)
        priced, refused = _allowed(price(cases, days, volumes, terms), zones, settings)
        machine = _machine(sprayer, reaches, settings.schedule.hours_quantile_frac)
        swaths = swath_area_ac(
            zoning.number_of_cell,
            given.grid,
            tuple(one.zone for one in zones),
            settings.heading_deg,
            sprayer.boom_m,
        )
        notes = (*notes, *why_not, *refused)
        if len(settings.sprayers) > 1:
            notes = (*notes, Said("offers.first_sprayer", sprayer=sprayer.name))
    problem = _problem(zones, _without_tracks(cases, priced, terms), terms, swaths, settings)
    return Options(priced=priced, terms=terms, problem=problem, machine=machine), notes


def _own_pass_usd_ac(sprayer: Sprayer, at: Reach) -> float:
    """Cost of an acre with the grower's own machine at one volume; unused where a custom bill is given."""
    return sprayer.machine_usd_h / at.acres_per_hour


def _usable(settings: Settings, sprayer: Sprayer) -> tuple[tuple[Reach, ...], tuple[Said, ...]]:
    """List the volumes that the label allows and the machine reaches, and why the others are not."""
    if settings.product is None:
        raise ValueError("level 3 needs the product settings")
    reaches = reach(sprayer, settings.carrier.volumes_gal_ac)
    allowed, why_not = label.allowed_volumes(settings.product, sprayer, reaches)
    if not allowed.any():
        raise InputError(
            f"{sprayer.name} can spray none of the carrier volumes: "
            + "; ".join(dict.fromkeys(one.text for one in why_not)),
            where="farm.toml: carrier.volumes",
            mend="Change the volumes, the nozzle or the speed, as the label allows.",
            code=SETTINGS,
        )
    return tuple(one for one, fits in zip(reaches, allowed, strict=True) if fits), why_not


def _allowed(
    priced: Priced, zones: tuple[OfferedZone, ...], settings: Settings
) -> tuple[Priced, tuple[Said, ...]]:
    """Take out the days that the label forbids in a zone, and say which rule of the label did it where."""
    if settings.product is None:
        raise ValueError("level 3 needs the product settings")
    net, rule = priced.net_usd_ac.copy(), priced.passes_rule.copy()
    reasons: dict[tuple[str, str], Said] = {}
    for row, one in enumerate(zones):
        fits, why_not = label.allowed_days(one.stage, priced.days, settings.product)
        # the label is spoken of only where it closes the window early
        if (~fits & (priced.days < np.floor(np.median(one.stage.of("R4"))))).any():
            reasons |= {(one.block, said.code): said for said in why_not}
        net[row, ~fits], rule[row, ~fits] = np.nan, False
    notes = tuple(
        Said("offers.label_in_block", block=block, why=said.text) for (block, _), said in reasons.items()
    )
    return replace(priced, net_usd_ac=net, passes_rule=rule), notes


def _machine(sprayer: Sprayer, reaches: tuple[Reach, ...], hours_quantile_frac: float) -> Machine:
    return Machine(
        name=sprayer.name,
        acres_per_hour=tuple(one.acres_per_hour for one in reaches),
        acres_per_load=tuple(one.acres_per_load for one in reaches),
        set_up_h=h_from_min(sprayer.set_up_min),
        hours_per_day=planning_hours_per_day(hours_quantile_frac),
        source_of_hours="planning triple",
    )


def _without_sprayer() -> Machine:
    """Stand in for the sprayer of level 2, of which nothing is known: no hours, no loads, no limits."""
    return Machine(
        name="",
        acres_per_hour=(np.inf,),
        acres_per_load=(np.inf,),
        set_up_h=0.0,
        hours_per_day=np.inf,
        source_of_hours="none",
    )


def _without_tracks(cases: list[ZoneCase], priced: Priced, terms: tuple[Terms, ...]) -> Priced:
    """Price the options as if no crop were pressed down: tracks are for the passes to count, once."""
    if not any(case.track_loss_bu_ac for case in cases):
        return priced
    bare = [replace(case, track_loss_bu_ac=0.0) for case in cases]
    free = price(bare, priced.days, priced.volumes_gal_ac, terms)
    closed = np.isnan(priced.net_usd_ac)
    return replace(
        free,
        net_usd_ac=np.where(closed, np.nan, free.net_usd_ac),
        passes_rule=free.passes_rule & ~closed,
    )


def _problem(
    zones: tuple[OfferedZone, ...],
    priced: Priced,
    terms: tuple[Terms, ...],
    swaths: Floats,
    settings: Settings,
) -> FieldProblem:
    money = settings.money
    if money is None:
        raise ValueError("the problem needs the money settings")
    r3 = {one.block: float(np.median(one.stage.of("R3"))) for one in zones}
    order = {block: rank for rank, block in enumerate(sorted(r3, key=lambda block: (r3[block], block)))}
    loss_usd_ac = np.array([one.case.track_loss_bu_ac if one.case else 0.0 for one in zones])
    loss_usd_ac = loss_usd_ac * terms[0].price_usd_bu
    share = money.share_of_cost_frac
    return FieldProblem(
        field=settings.name,
        zones=priced.zones,
        block_of_zone=tuple(order[one.block] for one in zones),
        area_ac=np.array([one.area_ac for one in zones]),
        days=priced.days,
        volumes_gal_ac=priced.volumes_gal_ac or (0.0,),
        net_usd_ac=priced.net_usd_ac,
        worth_it=priced.passes_rule,
        swath_area_ac=swaths,
        track_loss_usd_ac=loss_usd_ac,
        bill_usd_ac=_field_bill_usd_ac(money),
        pass_usd_ac=max(one.pass_usd_ac for one in terms),
        per_visit_usd=share * (money.per_visit_usd + _ferry_usd(settings)),
        minimum_bill_usd=share * money.minimum_bill_usd,
        min_net_usd_ac=money.min_net_usd_ac,
    )


def _field_bill_usd_ac(money: Money) -> float:
    if money.billed != "field" or money.pass_usd_ac is None:
        return 0.0
    return money.share_of_cost_frac * money.pass_usd_ac


def _ferry_usd(settings: Settings) -> float:
    return settings.sprayers[0].ferry_usd if settings.level == 3 else 0.0
