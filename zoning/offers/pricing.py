"""Every option of a field, priced once: zone x day x carrier volume; the problem that the passes solve."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np
import numpy.typing as npt

from zoning.evidence import numbers
from zoning.offers import moved, places, practised, rigged, sightings
from zoning.offers.basis import Basis, Rig
from zoning.offers.cost_notes import cost_notes
from zoning.offers.offered import OfferedZone, Options
from zoning.offers.spray_days import spray_days
from zoning.offers.too_late import too_late
from zoning.passes import label
from zoning.passes.half_days import even
from zoning.passes.problem import FieldProblem, Machine
from zoning.passes.swaths import swath_area_ac
from zoning.passes.treated import treated
from zoning.returns import costs, reasons
from zoning.returns.price import price
from zoning.returns.remarks import keeps_out
from zoning.returns.response import Place
from zoning.returns.terms import Floats, Priced, Terms, ZoneCase
from zoning.settings.model import Settings
from zoning.sprayer.travel import travel_h
from zoning.stage.draws import StageDraws
from zoning.units import date_from_day
from zoning.words import Said
from zoning.zones.zoning import Zoning

Days = npt.NDArray[np.int64]


def priced(
    zones: tuple[OfferedZone, ...], basis: Basis, zoning: Zoning, today: date
) -> tuple[tuple[OfferedZone, ...], Options, tuple[Said, ...]]:
    """Give every zone its case, price every option, and state the problem of the passes.

    Parameters
    ----------
    zones : tuple of OfferedZone
        As drawn, without cases.
    basis : Basis
        What they are priced on.
    zoning : Zoning
        The cells of the zones.
    today : date
        Days before it are no option.

    Returns
    -------
    zones : tuple of OfferedZone
        With their cases.
    options : Options
    doubts : tuple of Said
        What closes options; the rest that is to be known of the figures is in `notes`.

    Raises
    ------
    InputError
        When the sprayer reaches none of the volumes that the label allows, or an expected yield is missing.
    """
    settings = basis.settings
    with_cases = _halves(places.with_cases(zones, basis, zoning), zones, basis, zoning)
    with_cases, of_done = _with_done(with_cases, basis)
    days, beyond = horizon(zones, settings, today)
    with_cases = too_late(with_cases, days, basis, today)
    if basis.rig is None:
        options, refused = _without_sprayer(with_cases, days, basis)
    else:
        options, refused = _with_sprayer(with_cases, days, (basis, basis.rig), zoning)
    return with_cases, options, (*of_done, *beyond, *refused)


def notes(
    with_cases: tuple[OfferedZone, ...], options: Options, basis: Basis, zoning: Zoning
) -> tuple[Said, ...]:
    """Say what the user should know about the figures, whatever closes options."""
    source = reasons.source_note(
        basis.response,
        Place(pressure=basis.response.pressure),
        metric=basis.settings.units == "metric",
    )
    return (
        source,
        *cost_notes(basis, options.terms),
        *places.not_known(with_cases, basis),
        *places.alike(with_cases),
        *sightings.of_parts(basis.given, zoning),
        *moved.notes(with_cases, basis),
        *practised.notes(with_cases, basis, options),
    )


def _with_done(
    zones: tuple[OfferedZone, ...], basis: Basis
) -> tuple[tuple[OfferedZone, ...], tuple[Said, ...]]:
    """Close the zones that were sprayed already; only a product that was typed in can have closed any."""
    if basis.rig is None or not basis.given.sprayed:
        return zones, ()
    found = treated(
        [one.kept or one.zone for one in zones],
        [one.dated for one in zones],
        basis.given.sprayed,
        basis.rig.product,
        basis.today,
    )
    told = zip(zones, found.applied, found.last_on, found.why, strict=True)
    with_done = tuple(
        replace(one, applied=int(applied), sprayed_on=on, closed_by=why) for one, applied, on, why in told
    )
    return with_done, found.notes


def _halves(
    with_cases: tuple[OfferedZone, ...], zones: tuple[OfferedZone, ...], basis: Basis, zoning: Zoning
) -> tuple[OfferedZone, ...]:
    """Give each zone its twin after noon, where the morning is said to return more and passes are planned."""
    effects = basis.settings.effects
    if basis.rig is None or not effects.morning:
        return with_cases
    plain = effects.model_copy(update={"morning": False})
    late = replace(basis, settings=basis.settings.model_copy(update={"effects": plain}))
    twins = places.with_cases(zones, late, zoning)
    return tuple(replace(one, afternoon=twin) for one, twin in zip(with_cases, twins, strict=True))


def horizon(zones: tuple[OfferedZone, ...], settings: Settings, today: date) -> tuple[Days, tuple[Said, ...]]:
    """List the days that are priced, and say which blocks close after the horizon; see `days_for`."""
    end = today.toordinal() + settings.schedule.horizon_d
    likely = {one.block: int(np.median(one.dated.of("R4"))) for one in zones}
    notes = tuple(
        Said(
            "offers.beyond_horizon",
            block=block,
            closes=date_from_day(closes),
            horizon=settings.schedule.horizon_d,
        )
        for block, closes in likely.items()
        if closes > end
    )
    return days_for([one.dated for one in zones], settings, today), notes


def days_for(stages: Sequence[StageDraws], settings: Settings, today: date) -> Days:
    """List the days that are priced.

    From the first day on which product and applicator can be there, to the end of the horizon, or to the
    late end of the last window where that lies further: a plan made in June knows July too.

    Returns
    -------
    ndarray of int, shape (days,)
        [day number]
    """
    plan = settings.schedule
    first = today.toordinal() + max(plan.notice_d, plan.lead_time_d)
    end = today.toordinal() + plan.horizon_d
    latest = numbers("stage.window_quantiles")[-1]
    last_close = max(int(np.quantile(one.of("R4"), latest)) for one in stages)
    return np.arange(first, max(end, last_close, first) + 1, dtype=np.int64)


def _cases(zones: Sequence[OfferedZone]) -> list[ZoneCase]:
    return [one.case for one in zones if one.case is not None]


def _bare(zones: Sequence[OfferedZone]) -> list[ZoneCase]:
    """Give the cases without wheel tracks: these are for the passes to count, once."""
    return [replace(case, track_loss_bu_ac=0.0) for case in _cases(zones)]


def _without_sprayer(
    zones: tuple[OfferedZone, ...], days: Days, basis: Basis
) -> tuple[Options, tuple[Said, ...]]:
    """Price level 2: one volume that stands for "not known", a machine without limits, no wheel tracks."""
    terms = (rigged.terms_without_rig(basis),)
    all_priced = price(_cases(zones), days, (), terms)
    machine = Machine(
        name="",
        acres_per_hour=(np.inf,),
        acres_per_load=(np.inf,),
        set_up_h=0.0,
        hours=even(int(days[0]), days.size, np.inf),
    )
    problem = _problem(zones, all_priced, terms, np.zeros((1, len(zones))), basis)
    spent = costs.spent_by_visit(basis.money, rigged.first_sprayer(basis))
    return Options(priced=all_priced, terms=terms, problem=problem, machine=machine, spent_by_visit=spent), ()


def _with_sprayer(
    zones: tuple[OfferedZone, ...], days: Days, of: tuple[Basis, Rig], zoning: Zoning
) -> tuple[Options, tuple[Said, ...]]:
    """Price level 3: every volume that label and machine allow, on every day that the label allows."""
    basis, rig = of
    settings = basis.settings
    reaches, why_not = rigged.usable(settings, rig)
    volumes, terms = rigged.at_volumes(reaches, basis, rig)
    cases = _cases(zones)
    closed, refused = _closed(zones, days, rig)
    closed |= keeps_out(settings, rig.sprayer.kind)
    all_priced = price(cases, days, volumes, terms).without(closed[..., np.newaxis])
    half_days, of_hours = spray_days(days, zones[0].dated.begin_day.shape[0], basis, rig)
    swaths = swath_area_ac(
        zoning.number_of_cell,
        basis.given.grid,
        tuple(one.zone for one in zones),
        basis.given.heading,
        rig.sprayer.boom_m,
    )
    bare = all_priced
    if any(case.track_loss_bu_ac for case in cases):
        bare = price(_bare(zones), days, volumes, terms).without(closed[..., np.newaxis])
    problem = _problem(zones, bare, terms, swaths, basis)
    late = [one.afternoon for one in zones if one.afternoon is not None]
    if late:
        less_usd_ac = bare.net_usd_ac - price(_bare(late), days, volumes, terms).net_usd_ac
        problem = replace(problem, afternoon_less_usd_ac=less_usd_ac)
    options = Options(
        priced=all_priced,
        terms=terms,
        problem=problem,
        machine=rigged.machine(rig.sprayer, reaches, half_days),
        spent_by_visit=costs.spent_by_visit(basis.money, rig.sprayer),
        of_hours=of_hours,
        reaches=reaches,
    )
    return options, (*why_not, *refused)


def _closed(
    zones: Sequence[OfferedZone], days: Days, rig: Rig
) -> tuple[npt.NDArray[np.bool_], tuple[Said, ...]]:
    """Find the days that the label forbids in each zone, and say which rule of the label did it where."""
    closed = np.zeros((len(zones), days.size), dtype=np.bool_)
    said: dict[tuple[str, str], Said] = {}
    for row, one in enumerate(zones):
        fits, why_not = label.allowed_days(one.dated, days, rig.product)
        if one.closed_by is not None:
            closed[row] = True
            continue
        closed[row] = ~fits
        # the label is spoken of only where it closes the window early
        if (closed[row] & (days < np.floor(np.median(one.dated.of("R4"))))).any():
            said |= {(one.block, rule.code): rule for rule in why_not}
    notes = (Said("offers.label_in_block", block=block, why=rule.text) for (block, _), rule in said.items())
    return closed, tuple(notes)


def _problem(
    zones: tuple[OfferedZone, ...],
    bare: Priced,
    terms: tuple[Terms, ...],
    swaths_ac: Floats,
    basis: Basis,
) -> FieldProblem:
    """State what the passes choose from; `bare` are the options priced without wheel tracks."""
    money = basis.money
    r3_day = {one.block: float(np.median(one.dated.of("R3"))) for one in zones}
    order = {block: rank for rank, block in enumerate(sorted(r3_day, key=lambda name: (r3_day[name], name)))}
    track_loss_bu_ac = np.array([case.track_loss_bu_ac for case in _cases(zones)])
    by_visit = costs.by_visit(money, rigged.first_sprayer(basis))
    return FieldProblem(
        field=basis.settings.name,
        zones=bare.zones,
        block_of_zone=tuple(order[one.block] for one in zones),
        area_ac=np.array([one.area_ac for one in zones]),
        days=bare.days,
        volumes_gal_ac=bare.volumes_gal_ac or (0.0,),
        net_usd_ac=bare.net_usd_ac,
        worth_it=bare.passes_rule,
        swath_area_ac=swaths_ac,
        track_loss_usd_ac=track_loss_bu_ac * terms[0].price_usd_bu,
        bill_usd_ac=by_visit.bill_usd_ac,
        pass_usd_ac=max(one.pass_usd_ac for one in terms),
        per_visit_usd=by_visit.per_visit_usd,
        minimum_bill_usd=by_visit.minimum_bill_usd,
        min_net_usd_ac=money.min_net_usd_ac,
        ferry_usd=by_visit.ferry_usd,
        goes_anyway=money.goes_anyway,
        split_load_usd=by_visit.split_load_usd,
        may_fill_up=money.rule == "expected",
        travel_h=_travel_h(basis),
        no_spray_ac=sum(one.area_ac for one in basis.given.no_spray),
    )


def _travel_h(basis: Basis) -> float:
    """Give the way to the field, for each visit [h]."""
    if basis.rig is None:
        return 0.0
    return travel_h(basis.rig.sprayer, basis.given.latitude_deg, basis.given.longitude_deg)
