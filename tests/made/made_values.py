"""Plans for made seasons, by the rooms of `zoning`, and what they truly return: chances, plans, blankets.

The planner sees of a field what `made_seasons` calls known: forecasts, pressure classes, money, acres. Stage
draws are made about the forecast with the planner's own errors. Truth is asked only to score.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from types import SimpleNamespace
from typing import cast

import numpy as np
import numpy.typing as npt
from made_seasons import TrueField

from zoning.evidence import number, numbers
from zoning.passes.half_days import even
from zoning.passes.problem import Chosen, FieldProblem, Machine
from zoning.passes.schedule.farm import alone
from zoning.returns.draws import response_draws
from zoning.returns.price import price, settle
from zoning.returns.response import Place, mixture_for
from zoning.returns.terms import Mixture, Priced, Terms, ZoneCase
from zoning.returns.tracks import boom_loss_frac
from zoning.settings.model import Pressure, Response
from zoning.stage.draws import StageDraws
from zoning.stage.modelled import modelled
from zoning.stage.spread import Situation, errors

Floats = npt.NDArray[np.float64]

DRAWS = 512
GROUP = 2.5
VOLUME_GAL_AC = 15.0
RESPONSE = Response(source="pooled trials")
EARLIEST_D, LATEST_D = 12, 22  # days priced before the first and after the last forecast of R3
MACHINE = Machine(
    name="rig",
    acres_per_hour=(78.0,),
    acres_per_load=(66.7,),
    set_up_h=0.0,
    # a field a day: what is weighed here is when and where, not how fast
    hours=even(0, 400, 24.0),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Held:
    """What the planner holds of one field."""

    field: TrueField
    cases: tuple[ZoneCase, ...]
    terms: Terms


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Planned(Held):
    """What the planner makes of one field."""

    problem: FieldProblem
    chosen: Chosen

    @property
    def day_of_zone(self) -> Floats:
        """Day on which the plan sprays each zone; NaN where it does not."""
        return days_of(self.chosen, len(self.cases))


def days_of(chosen: Chosen, zones: int) -> Floats:
    """Day on which each zone is sprayed; NaN where it is not."""
    day = np.full(zones, np.nan)
    for visit in chosen.visits:
        day[np.array(visit.zones) - 1] = visit.day
    return day


def forecast(field: TrueField, block: int, r3_day: float, seed: int, draws: int) -> StageDraws:
    """Draw stages about a forecast, as the stage room does for a block whose weather is known."""
    planted = date(2026, 5, 5)
    here = SimpleNamespace(name=str(block), planted=planted, emerged=None, maturity_group=GROUP, variety="")
    situation = Situation(
        field=field.name,
        habit="indeterminate",
        latitude_deg=42.0,
        today=planted,
        seed=seed,
        draws=draws,
    )
    to_r3_d = number("stage.r1_to_r2_mean_d") + number("stage.r2_to_r3_mean_d")
    to_r5_d = float(numbers("stage.calendar_r3_to_r5_d")[0])
    alike = np.ones(draws)
    days = (alike * (r3_day - to_r3_d), alike * r3_day, alike * (r3_day + to_r5_d))
    of_block = modelled(days, GROUP, errors(situation, here), situation)
    return of_block.stages(of_block.errors.r3_d)


def off_by(mixture: Mixture, bu_ac: float) -> Mixture:
    """Move every part of a belief: what a planner would hold whose mean is wrong."""
    return Mixture(tuple(replace(part, low_bu_ac=part.low_bu_ac + bu_ac) for part in mixture.parts))


def cases(field: TrueField, seed: int, off_bu_ac: float = 0.0, draws: int = DRAWS) -> tuple[ZoneCase, ...]:
    """State what the planner holds of each zone of a field."""
    loss_frac = 0.0
    if not field.tracks_exist:
        wide = number("returns.track_wide_row_loss_frac")
        loss_frac = boom_loss_frac(field.boom_ft) if field.narrow_rows else wide
    stages: dict[int, StageDraws] = {}
    made = []
    for zone in field.zones:
        if zone.block not in stages:
            stages[zone.block] = forecast(field, zone.block, zone.forecast_r3_day, seed, draws)
        mixture = mixture_for("pooled trials", RESPONSE, Place(pressure=cast(Pressure, zone.pressure)))
        mixture = off_by(mixture, off_bu_ac) if off_bu_ac else mixture
        drawn = response_draws(mixture, seed=seed, field=field.name, zone=zone.zone, draws=draws)
        made.append(
            ZoneCase(
                zone=zone.zone,
                area_ac=zone.area_ac,
                mixture=mixture,
                response_draws_bu_ac=drawn,
                curve="published",
                stage=stages[zone.block],
                expected_yield_bu_ac=field.yield_bu_ac,
                track_loss_bu_ac=loss_frac * field.yield_bu_ac,
                volume_matters=False,
            )
        )
    return tuple(made)


def money(field: TrueField) -> Terms:
    """Give the terms of a field, under the rule "expected"."""
    return Terms(
        price_usd_bu=field.price_usd_bu,
        grain_price_usd_bu=field.price_usd_bu,
        haul_usd_bu=0.0,
        share_of_grain_frac=1.0,
        product_usd_ac=field.product_usd_ac,
        adjuvant_usd_ac=0.0,
        foliar_feed_usd_ac=0.0,
        pass_usd_ac=field.pass_usd_ac,
        water_usd_gal=0.0,
        rule="expected",
        min_net_usd_ac=0.0,
        min_chance_frac=0.5,
        loss_weight=2.0,
    )


def days_priced(field: TrueField) -> npt.NDArray[np.int64]:
    """List the days that are offered to every plan of the field, the clairvoyant's too."""
    r3_days = [zone.forecast_r3_day for zone in field.zones]
    return np.arange(round(min(r3_days)) - EARLIEST_D, round(max(r3_days)) + LATEST_D + 1)


def _problem(
    field: TrueField, net_usd_ac: Floats, worth_it: npt.NDArray[np.bool_], track_loss_bu_ac: float
) -> FieldProblem:
    return FieldProblem(
        field=field.name,
        zones=tuple(zone.zone for zone in field.zones),
        block_of_zone=tuple(zone.block for zone in field.zones),
        area_ac=field.area_ac,
        days=days_priced(field),
        volumes_gal_ac=(VOLUME_GAL_AC,),
        net_usd_ac=net_usd_ac,
        worth_it=worth_it,
        swath_area_ac=field.swath_area_ac,
        track_loss_usd_ac=np.full(len(field.zones), track_loss_bu_ac * field.price_usd_bu),
        bill_usd_ac=0.0,
        pass_usd_ac=field.pass_usd_ac,
        per_visit_usd=field.per_visit_usd,
        minimum_bill_usd=0.0,
    )


def held(field: TrueField, seed: int, off_bu_ac: float = 0.0, draws: int = DRAWS) -> Held:
    """State what the planner holds of a field, for chances alone."""
    return Held(field=field, cases=cases(field, seed, off_bu_ac, draws), terms=money(field))


def planned(field: TrueField, seed: int, off_bu_ac: float = 0.0, draws: int = DRAWS) -> Planned:
    """Plan a field as the offers do: price without tracks, which are for the passes to count once."""
    of = held(field, seed, off_bu_ac, draws)
    bare = [replace(case, track_loss_bu_ac=0.0) for case in of.cases]
    options: Priced = price(bare, days_priced(field), (VOLUME_GAL_AC,), of.terms)
    problem = _problem(field, options.net_usd_ac, options.passes_rule, of.cases[0].track_loss_bu_ac)
    chosen = alone(problem, MACHINE)
    return Planned(field=field, cases=of.cases, terms=of.terms, problem=problem, chosen=chosen)


def whole_field_or_none(plan: Planned) -> Floats:
    """Give the plan that expects most among those that treat all zones alike: one visit or none."""
    problem = plan.problem
    gain = problem.area_ac @ problem.net_usd_ac[:, :, 0]
    fixed = problem.per_visit_usd + problem.track_loss_usd_ac @ problem.swath_area_ac.sum(axis=0)
    best = int(np.nan_to_num(gain, nan=-np.inf).argmax())
    day = float(problem.days[best]) if gain[best] > fixed else np.nan
    return np.full(len(problem.zones), day)


def clairvoyant(field: TrueField) -> Floats:
    """Plan with the truth: the same days, visits and search, but every zone's return is known."""
    days = days_priced(field)
    cost_usd_ac = field.product_usd_ac + field.pass_usd_ac
    response = np.array([zone.response_bu_ac(days.astype(float)) for zone in field.zones])
    net = field.price_usd_bu * response - cost_usd_ac
    chosen = alone(
        _problem(field, net[..., np.newaxis], net[..., np.newaxis] > 0, field.track_loss_bu_ac), MACHINE
    )
    return days_of(chosen, len(field.zones))


def at_forecast_r3(field: TrueField) -> Floats:
    """Spray the whole field once, on the mean forecast day of its acres."""
    r3_day = np.average([zone.forecast_r3_day for zone in field.zones], weights=field.area_ac)
    return np.full(len(field.zones), round(float(r3_day)))


def each_block_at_r3(field: TrueField) -> Floats:
    """Spray every block on its own forecast day."""
    return np.array([round(zone.forecast_r3_day) for zone in field.zones], dtype=np.float64)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chances:
    """Foretold chances and what came, for zones on stated days; arrays (zones,)."""

    season: npt.NDArray[np.int64]
    foretold: Floats
    came: Floats


def chances(plans: Sequence[Held], days: list[Floats]) -> Chances:
    """Foretell for each zone the chance that a spray on a day pays its own tracks included; NaN: no zone."""
    rows = []
    for plan, day_of_zone in zip(plans, days, strict=True):
        field = plan.field
        for case, zone, day in zip(plan.cases, field.zones, day_of_zone, strict=True):
            if np.isnan(day):
                continue
            foretold = settle(case, int(day), VOLUME_GAL_AC, plan.terms).chance_frac
            gain = float(zone.response_bu_ac(float(day))) - field.track_loss_bu_ac
            net = field.price_usd_bu * gain - field.product_usd_ac - field.pass_usd_ac
            rows.append((field.season, foretold, float(net > 0)))
    return Chances(
        season=np.array([row[0] for row in rows]),
        foretold=np.array([row[1] for row in rows]),
        came=np.array([row[2] for row in rows]),
    )


def range_holds(plan: Held, day_of_zone: Floats) -> tuple[Floats, bool]:
    """Say of each zone, and of the field sprayed whole, whether the truth lies in the 80 % range."""
    field = plan.field
    settled = [
        settle(case, int(day), VOLUME_GAL_AC, plan.terms)
        for case, day in zip(plan.cases, day_of_zone, strict=True)
    ]
    drawn = np.array([one.response_bu_ac for one in settled]) - plan.cases[0].track_loss_bu_ac
    true = np.array(
        [float(zone.response_bu_ac(float(day))) for zone, day in zip(field.zones, day_of_zone, strict=True)]
    )
    true -= field.track_loss_bu_ac
    low, high = np.quantile(drawn, [0.1, 0.9], axis=1)
    of_field = np.quantile(field.area_ac @ drawn, [0.1, 0.9])
    total = float(field.area_ac @ true)
    return (low <= true) & (true <= high), bool(of_field[0] <= total <= of_field[1])


def clustered_se(value: Floats, weight: Floats, season: npt.NDArray[np.int64]) -> float:
    """Standard error of a weighted mean, seasons being what was drawn; NaN of one season."""
    residual = weight * (value - np.average(value, weights=weight))
    groups = np.unique(season, return_inverse=True)[1]
    sums = np.bincount(groups, residual)
    if len(sums) < 2:
        return float("nan")
    return float(np.sqrt((sums @ sums) * len(sums) / (len(sums) - 1)) / weight.sum())


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """One line of a reliability table."""

    foretold: float
    came: float
    zones: int
    se: float  # of came - foretold, by season


def reliability(of: Chances, edges: Floats | None = None) -> list[Band]:
    """Compare chances with what came: in fifths of the zones, or between given edges of the chance."""
    if edges is None:
        rank = np.argsort(np.argsort(of.foretold, kind="stable"), kind="stable")
        band_of = rank * 5 // len(rank)
    else:
        band_of = np.clip(np.searchsorted(edges, of.foretold, side="right") - 1, 0, len(edges) - 2)
    bands = []
    for band in np.unique(band_of):
        inside = band_of == band
        foretold, came = of.foretold[inside], of.came[inside]
        bands.append(
            Band(
                foretold=float(foretold.mean()),
                came=float(came.mean()),
                zones=int(inside.sum()),
                se=clustered_se(came - foretold, np.ones(inside.sum()), of.season[inside]),
            )
        )
    return bands


def brier(of: Chances) -> float:
    """Mean squared distance of the chances from what came: 0 is best."""
    return float(np.mean((of.foretold - of.came) ** 2))
