"""Small offers made of a few figures: zones of a pressure class each, all three sources, any terms.

For properties of whole decisions: `decided` prices, chooses the passes and settles them into a plan.
"""

from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from made_offers import DRAWS, MID_R3, choose_alone, pinned
from shapely import box

from zoning.field import settle
from zoning.offers.offered import Offer, OfferedZone, Options
from zoning.offers.provenance import Provenance
from zoning.passes.half_days import even
from zoning.passes.problem import FieldProblem, Machine
from zoning.plan import Plan
from zoning.returns.draws import response_draws
from zoning.returns.price import price
from zoning.returns.reasons import Driver
from zoning.returns.sources import own_trials, pooled, practice
from zoning.returns.terms import Terms, ZoneCase
from zoning.stage.draws import StageDraws

SOURCES = ("pooled trials", "practice series", "own trials")
DAYS = np.arange(MID_R3 - 9, MID_R3 + 16, 2)
TODAY = date(2026, 7, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """One zone: what is known of its disease, how large it is, and when its block reaches R3."""

    pressure: str = "unknown"
    area_ac: float = 40.0
    block: int = 0
    later_d: float = 0.0
    yield_bu_ac: float = 58.0
    track_loss_bu_ac: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bargain:
    """What the field is asked under; `shared_frac` of every zone lies on swaths that all zones share."""

    terms: Terms
    source: str = "pooled trials"
    volumes_gal_ac: tuple[float, ...] = (15.0,)
    per_visit_usd: float = 0.0
    minimum_bill_usd: float = 0.0
    shared_frac: float = 0.0
    hours_per_day: float = 5.0
    own_mean_bu_ac: float = 3.4


def with_price(terms: Terms, usd_bu: float) -> Terms:
    """Change the bid; haul and share stay as they are."""
    share, haul = terms.share_of_grain_frac, terms.haul_usd_bu
    return replace(terms, grain_price_usd_bu=usd_bu, price_usd_bu=share * (usd_bu - haul))


def stage_of(later_d: float) -> StageDraws:
    """R3 around the same day in every draw, with an SD of 3 d; a later block is later in every draw."""
    shift = np.random.default_rng(7).normal(later_d, 3, (DRAWS, 1))
    return StageDraws(pinned().begin_day + shift)


def decided(grounds: list[Ground], bargain: Bargain) -> Plan:
    """Make the plan of a field with these zones."""
    stages = {ground.block: stage_of(ground.later_d) for ground in grounds}
    zones = tuple(_zone(number, ground, stages, bargain) for number, ground in enumerate(grounds, start=1))
    cases = [zone.case for zone in zones]
    terms = (bargain.terms,) * len(bargain.volumes_gal_ac)
    priced = price(cases, DAYS, bargain.volumes_gal_ac, terms)
    bare = price([_without_tracks(case) for case in cases], DAYS, bargain.volumes_gal_ac, terms)
    area_ac = np.array([ground.area_ac for ground in grounds])
    loss_bu_ac = np.array([ground.track_loss_bu_ac for ground in grounds])
    problem = FieldProblem(
        field="small",
        zones=priced.zones,
        block_of_zone=tuple(ground.block for ground in grounds),
        area_ac=area_ac,
        days=priced.days,
        volumes_gal_ac=bargain.volumes_gal_ac,
        net_usd_ac=bare.net_usd_ac,
        worth_it=bare.passes_rule,
        swath_area_ac=np.vstack(
            [bargain.shared_frac * area_ac, np.diag((1 - bargain.shared_frac) * area_ac)]
        ),
        track_loss_usd_ac=loss_bu_ac * bargain.terms.price_usd_bu,
        bill_usd_ac=0.0,
        pass_usd_ac=bargain.terms.pass_usd_ac,
        per_visit_usd=bargain.per_visit_usd,
        minimum_bill_usd=bargain.minimum_bill_usd,
        min_net_usd_ac=bargain.terms.min_net_usd_ac,
    )
    machine = Machine(
        name="rig",
        acres_per_hour=tuple(np.interp(bargain.volumes_gal_ac, [10, 15, 20], [98.0, 78.0, 58.5])),
        acres_per_load=tuple(1000 / volume for volume in bargain.volumes_gal_ac),
        set_up_h=0.3,
        hours=even(date(2026, 1, 1).toordinal(), 400, bargain.hours_per_day),
    )
    options = Options(priced=priced, terms=terms, problem=problem, machine=machine)
    offer = Offer(
        field="small",
        farm="",
        units="us",
        country="US",
        level=3,
        today=TODAY,
        epsg=32615,
        boundary=box(0, 0, 500.0 * len(zones), 320),
        area_ac=float(area_ac.sum()),
        zones=zones,
        options=options,
        product="",
        notes=(),
        provenance=Provenance(version="0", today=TODAY, seed=3, settings={}, inputs={}, evidence={}),
    )
    return settle(offer, choose_alone(zones, options))


def _without_tracks(case: ZoneCase) -> ZoneCase:
    return replace(case, track_loss_bu_ac=0.0)


def _zone(number: int, ground: Ground, stages: dict[int, StageDraws], bargain: Bargain) -> OfferedZone:
    mixtures = {
        "pooled trials": pooled(ground.pressure),
        "practice series": practice(ground.pressure),
        "own trials": own_trials(bargain.own_mean_bu_ac, 0.6, 3, ground.pressure),
    }
    cases = {
        source: ZoneCase(
            zone=number,
            area_ac=ground.area_ac,
            mixture=mixture,
            response_draws_bu_ac=response_draws(mixture, seed=3, field="small", zone=number, draws=DRAWS),
            curve="practice" if source == "practice series" else "published",
            stage=stages[ground.block],
            expected_yield_bu_ac=ground.yield_bu_ac,
            track_loss_bu_ac=ground.track_loss_bu_ac,
            volume_matters=ground.pressure in ("medium", "high", "seen"),
        )
        for source, mixture in mixtures.items()
    }
    outline = box(500.0 * (number - 1), 0, 500.0 * number, 320)
    return OfferedZone(
        zone=number,
        block=f"block {ground.block}",
        outline=outline,
        outline_m=outline,
        area_ac=ground.area_ac,
        planted=date(2026, 5, 5),
        maturity_group=2.5,
        stage=stages[ground.block],
        case=cases[bargain.source],
        driver=Driver(source=bargain.source, pressure=ground.pressure),
        cases_by_source=cases,
    )
