"""What a plan would say at other figures, by the path of plans: settle, judged_together, whole_field.

For the golden table of `judge` and its twin in the page. Nothing of zoning.passes.what_if is asked but which
visits there are, and which zones stand as planned.
"""

import shutil
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import numpy as np

from zoning import field
from zoning.offers.choices import with_choice
from zoning.offers.choose import as_sprayed, choose, limits_of
from zoning.offers.judged import judged, judged_together, option_of
from zoning.offers.offered import Offer, Options
from zoning.offers.rigged import Rig, at_volumes
from zoning.offers.whole_field import whole_field
from zoning.passes.driven import driven, driven_anyway_frac, swath_loss_usd
from zoning.passes.problem import Chosen, Visit
from zoning.passes.schedule.visits import visit_costs_usd
from zoning.passes.what_if import Figures, WhatIf
from zoning.plan import Plan
from zoning.returns import costs
from zoning.returns.price import best_option, settle

DEMO = Path(__file__).parents[2] / "demo_fields"
FIELDS = sorted(  # that still have something to decide
    path.parent.relative_to(DEMO).as_posix()
    for path in DEMO.glob("*/*/field.toml")
    if not (path.parent / "harvest").is_dir()
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Planned:
    """A field with its plan; the zones of the offer are as their passes find them."""

    offer: Offer
    chosen: Chosen
    plan: Plan

    @property
    def what_if(self) -> WhatIf:
        assert self.plan.what_if is not None
        return self.plan.what_if

    @property
    def options(self) -> Options:
        assert self.offer.options is not None
        return self.offer.options


def copy_of(name: str, root: Path, edits: dict[str, str]) -> Path:
    """Copy a demo field with its farm's files; `edits` change the text of farm.toml, each must be found."""
    source = DEMO / name
    farm = root / "farm"
    farm.mkdir(parents=True)
    for path in source.parent.glob("*.*"):
        shutil.copy(path, farm)
    copy = Path(shutil.copytree(source, farm / source.name, ignore=shutil.ignore_patterns("out", "out.*")))
    settings = farm / "farm.toml"
    text = settings.read_text()
    for old, new in edits.items():
        assert old in text
        text = text.replace(old, new)
    settings.write_text(text)
    return copy


def planned(folder: Path, today: date | None = None) -> Planned:
    """Plan a field as `run` does, without files."""
    offer = field.offer(folder, today=today)
    together = choose([offer.choices], replace(limits_of(offer), gap_frac=0.0), extras=False)
    (chosen,) = together.schedule.chosen
    return settled(with_choice(offer, chosen.place), chosen)


def settled(offer: Offer, chosen: Chosen) -> Planned:
    """Settle an offer whose passes are chosen."""
    plan = field.settle(offer, chosen)
    return Planned(offer=replace(offer, zones=as_sprayed(offer.zones, chosen)), chosen=chosen, plan=plan)


def moved(of: Planned, figures: Figures) -> Options:
    """Options with terms and costs at other figures, read from changed settings where there are settings."""
    options, base, settings = of.options, of.what_if.base, of.offer.settings
    if settings is not None and settings.money is not None:
        changed = {
            "grain_price_usd_bu": figures.grain_price_usd_bu,
            "product_usd_ac": figures.product_usd_ac,
            "rule": figures.rule,
            "min_net_usd_ac": figures.min_net_usd_ac,
            "min_chance_frac": figures.min_chance_frac,
        }
        own_machine = options.terms[0].own_machine
        if not own_machine:
            changed["pass_usd_ac"] = figures.pass_usd_ac
        money = settings.money.model_copy(update=changed)
        sprayer = next((one for one in settings.sprayers if one.name == options.machine.name), None)
        if options.reaches:
            asked = type("Asked", (), {"money": money})()
            _, terms = at_volumes(options.reaches, asked, Rig(sprayer=sprayer, product=settings.product))
        else:
            terms = (costs.terms(money),)
        if own_machine and figures.pass_usd_ac != base.pass_usd_ac:
            more = money.share_of_cost_frac * (figures.pass_usd_ac - base.pass_usd_ac)
            terms = tuple(replace(one, pass_usd_ac=one.pass_usd_ac + more) for one in terms)
        bill_usd_ac = costs.by_visit(money, sprayer).bill_usd_ac
    else:
        by_field, bought = of.what_if.pass_counts == "field", not of.what_if.product_counts
        treated = of.what_if.pass_counts == "treated"
        terms = tuple(
            replace(
                one,
                price_usd_bu=one.share_of_grain_frac * (figures.grain_price_usd_bu - one.haul_usd_bu),
                product_usd_ac=0.0 if bought else figures.product_usd_ac,
                pass_usd_ac=figures.pass_usd_ac if treated else one.pass_usd_ac,
                rule=figures.rule,
                min_net_usd_ac=figures.min_net_usd_ac,
                min_chance_frac=figures.min_chance_frac,
            )
            for one in options.terms
        )
        bill_usd_ac = figures.pass_usd_ac if by_field else 0.0
    loss_bu_ac = np.array([one.case.track_loss_bu_ac for one in of.offer.zones])
    problem = replace(
        options.problem,
        track_loss_usd_ac=loss_bu_ac * terms[0].price_usd_bu,
        bill_usd_ac=bill_usd_ac,
        pass_usd_ac=max(one.pass_usd_ac for one in terms),
        min_net_usd_ac=figures.min_net_usd_ac,
    )
    return replace(options, terms=terms, problem=problem)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Expected:
    """What the program's own path says."""

    actions: list[str]
    zones: list  # ZoneReturn or None
    net_usd: float
    net_p10_usd: float
    net_p90_usd: float
    chance_frac: float
    spray_ac: float


def expected(of: Planned, figures: Figures) -> Expected:
    """Judge a field at other figures with what made the plan."""
    return _Case(of, figures).answer()


class _Case:
    def __init__(self, of: Planned, figures: Figures):
        self.of, self.figures, self.options = of, figures, moved(of, figures)
        self.problem, self.asked = self.options.problem, of.what_if
        visit_of = {zone: visit for visit in of.chosen.visits for zone in visit.zones}
        self.cases, self.at = [], []
        for row, one in enumerate(of.offer.zones):
            base = figures.source == of.what_if.base.source
            self.cases.append(one.case if base else one.cases_by_source.get(figures.source))
            visit = visit_of.get(one.zone)
            self.at.append(option_of(visit, of.options) if visit else best_option(of.options.priced, row))
        self.stands = [self._stands(row) for row in range(len(self.cases))]

    def _stands(self, row):
        is_open = (
            self.at[row] is not None and self.asked.zones[row].visit >= 0 and self.cases[row] is not None
        )
        return self.asked.zones[row].stands if is_open else "skip"

    def _in(self, row, visit):
        """Its case in a visit, and the days on which it is sprayed there, with their volume."""
        made = self.asked.visits[visit]
        if made.own_days:
            return self.cases[row], [self.at[row][0]], made.rate_gal_ac
        case, one = self.cases[row], self.of.offer.zones[row]
        half = next((each.half for each in self.of.chosen.visits if each.number == made.number), "AM")
        if half == "PM" and one.afternoon is not None:
            base = self.figures.source == self.asked.base.source
            case = one.afternoon.case if base else one.afternoon.cases_by_source[self.figures.source]
        return case, list(range(made.day, made.last_day + 1)), made.rate_gal_ac

    def _beyond_usd(self, rows, others, visit):
        column = self.asked.visits[visit].volume
        usd = 0.0
        for row in rows:
            case, days, volume = self._in(row, visit)
            bare = replace(case, track_loss_bu_ac=0.0)
            net = [settle(bare, day, volume, self.options.terms[column]).net_mean_usd_ac for day in days]
            usd += case.area_ac * (np.mean(net) - self.figures.min_net_usd_ac)
        sets = np.zeros((2, len(self.cases)), dtype=bool)
        sets[0, list(rows)] = True
        sets[1, list(others)] = True
        own, beside = driven(self.problem, sets)
        acres = self.problem.area_ac[list(rows)].sum()
        tracks = swath_loss_usd(self.problem)[own & ~beside].sum()
        return usd - float(visit_costs_usd(self.problem, np.array([acres]))[0]) - tracks

    def _taken(self, dropped):
        asked = {
            row: (self.cases[row], self.at[row])
            for row, action in enumerate(self.stands)
            if action == "spray" or (action is None and self.asked.zones[row].visit not in dropped)
        }
        stands = [row for row, action in enumerate(self.stands) if action == "spray"]
        answers = judged_together(asked, self.options, stands)
        return [row for row, one in answers.items() if one.returned.worth_it or row in stands]

    def _settled(self):
        dropped = set()
        while True:
            taken = self._taken(dropped)
            short = []
            for visit in range(len(self.asked.visits)):
                rows = [row for row in taken if self.asked.zones[row].visit == visit]
                if rows and all(self.stands[row] is None for row in rows):
                    others = [row for row in taken if row not in rows]
                    short.append((self._beyond_usd(rows, others, visit), visit))
            if not short or min(short)[0] > 0:
                return self._filled(taken)
            dropped.add(min(short)[1])

    def _filled(self, taken):
        problem, every = self.problem, list(range(len(self.cases)))
        visits = {one.visit for one in self.asked.zones}
        fills = problem.goes_anyway and problem.split_load_usd > 0 and self.figures.rule == "expected"
        if not fills or len(visits) > 1 or "skip" in self.stands or len(taken) == len(every):
            return taken
        [visit] = visits
        as_it_is = self._beyond_usd(taken, [], visit) if taken else 0.0
        return every if self._beyond_usd(every, [], visit) > as_it_is else taken

    def _visits(self, taken):
        """The visits as the whole field counts them; a zone on a day of its own is a visit of its own."""
        for at, made in enumerate(self.asked.visits):
            rows = [row for row in taken if self.asked.zones[row].visit == at]
            acres = self.problem.area_ac[rows].sum()
            cost = float(visit_costs_usd(self.problem, np.array([acres]))[0]) if rows else 0.0
            own = made.own_days
            for group in [[row] for row in rows] if own else [rows] if rows else []:
                days = self._in(group[0], at)[1]
                yield Visit(
                    number=made.number,
                    sprayer="",
                    day=days[0],
                    last_day=days[-1],
                    half="AM",
                    volume_gal_ac=self.problem.volumes_gal_ac[made.volume],
                    zones=tuple(self.of.offer.zones[row].zone for row in group),
                    area_ac=0.0,
                    loads=0,
                    visit_costs_usd=cost,
                )
                cost = 0.0

    def answer(self) -> Expected:
        taken = self._settled()
        sprayed = np.zeros(len(self.cases), dtype=bool)
        sprayed[taken] = True
        anyway = driven_anyway_frac(self.problem, sprayed)
        zones = [
            judged(case, at, float(anyway[row]), self.options).returned if case and at else None
            for row, (case, at) in enumerate(zip(self.cases, self.at, strict=True))
        ]
        in_visit = [
            replace(one, case=self._in(row, self.asked.zones[row].visit)[0] if sprayed[row] else one.case)
            for row, one in enumerate(self.of.offer.zones)
        ]
        whole = None
        if taken:
            made = Chosen(
                field="", visits=tuple(self._visits(taken)), value_usd=0, estimate_usd=0,
                driven_off_ac=0, driven_off_usd=0,
            )  # fmt: skip
            whole = whole_field(in_visit, self.options, made)
        return Expected(
            actions=["spray" if is_in else "skip" for is_in in sprayed],
            zones=zones,
            net_usd=whole.net_mean_usd if whole else 0.0,
            net_p10_usd=whole.net_p10_usd if whole else 0.0,
            net_p90_usd=whole.net_p90_usd if whole else 0.0,
            chance_frac=whole.chance_pays if whole else 0.0,
            spray_ac=float(
                sum(one.area_ac for one, is_in in zip(self.of.offer.zones, sprayed, strict=True) if is_in)
            ),
        )
