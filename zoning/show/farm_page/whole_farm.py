"""What the page of a farm says of the farm as a whole: the decision, the total, what is left out, what to do.

Sentences are those of the farm's report; adds up the fields' acres and dollars, computes nothing else.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from math import fsum

from zoning.plan import FarmPlan
from zoning.show.farm_hours import machines
from zoning.show.farm_page.ranked import written
from zoning.show.farm_report import (
    below_fields,
    below_passes,
    dates,
    gap_line,
    headline,
    in_order,
    money,
    pass_table,
)
from zoning.show.figures import Units, chance, day, dollars, full_day, plain, whole
from zoning.show.layout import Table
from zoning.show.zone_lists import had_theirs, left_out
from zoning.words import Said

_LONGEST = 60  # of a name [letters]
_MOST_WALKS = 8
_LONG = 8  # letters of a figure: 10,000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Total:
    """One figure of the farm: its id, what it is, the figure with its unit, what stands below it."""

    id: str
    label: str
    figure: str
    unit: str
    below: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeFarm:
    """Everything that is said of the whole farm; empty where it does not hold."""

    name: str
    day: str
    last_day: date | None
    decision: str
    more: tuple[str, ...]
    range: str
    totals: tuple[Total, ...]
    dates: tuple[str, ...]
    passes: Table | None
    below_fields: tuple[str, ...]
    below_passes: tuple[str, ...]
    left_out: tuple[str, ...]
    done: tuple[str, ...]
    machines: tuple[str, ...]
    schedule: str
    walks: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


def _sentence(text: str) -> str:
    """Begin with a capital letter what stands alone."""
    clean = plain(text).strip()
    return clean[:1].upper() + clean[1:]


def _sentences(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(_sentence(one) for one in texts)


def whole_farm(farm: FarmPlan) -> WholeFarm:
    """Gather what is said of the whole farm."""
    decision, *more = headline(farm).split("; ")
    passes = in_order(farm)
    every = list(dict.fromkeys(caution for plan in farm.plans for caution in plan.cautions))
    return WholeFarm(
        name=plain(farm.farm, _LONGEST),
        day=full_day(farm.today),
        last_day=max((one.last_day for _, one in passes), default=None),
        decision=_sentence(decision),
        more=_sentences(more),
        range=_range(farm),
        totals=tuple(_totals(farm)) if farm.plans else (),
        dates=_sentences(dates(farm)),
        passes=pass_table(farm) if passes else None,
        below_fields=_sentences(below_fields(farm)),
        below_passes=_sentences(below_passes(farm)),
        left_out=_sentences(left_out(farm)[1:]),
        done=_sentences(had_theirs(farm)[1:]),
        machines=_sentences(machines(farm)),
        schedule=_schedule(farm),
        walks=tuple(_walks(farm)),
        notes=_sentences(note.text for note in farm.notes),
        cautions=_sentences(every if passes else every[:1]),
    )


def _schedule(farm: FarmPlan) -> str:
    """Say how good the schedule is, with the words for a setting in place of its name."""
    if not money(farm):
        return ""
    return _sentence(gap_line(farm).replace("min_net", Said("farm_page.least_net").text))


def _range(farm: FarmPlan) -> str:
    if farm.net_p10_usd is not None and farm.net_p90_usd is not None:
        spread = {"low": dollars(farm.net_p10_usd), "high": dollars(farm.net_p90_usd)}
        return _sentence(Said("farm_page.total_range", **spread).text)
    sprayed = sum(plan.totals is not None and plan.totals.spray_ac > 0 for plan in farm.plans)
    return _sentence(Said("farm_page.range_unknown").text) if sprayed > 1 else ""


def _totals(farm: FarmPlan) -> Iterable[Total]:
    units = written(farm)
    area_ac = fsum(plan.area_ac for plan in farm.plans)
    known = [plan.totals for plan in farm.plans if plan.totals is not None]
    area = {"area": _area(units, area_ac), "unit": units.area_unit}
    if known:
        of_all = Said("farm_page.of_area", **area).text
        spray = _area(units, fsum(one.spray_ac for one in known))
        yield Total(id="t-spray", label="to spray", figure=spray, unit=units.area_unit, below=of_all)
        skip = _area(units, fsum(one.skip_ac for one in known))
        yield Total(id="t-skip", label="to skip", figure=skip, unit=units.area_unit, below=_not_skipped(farm))
        net_usd = fsum(one.net_usd for one in known)
        pays = [] if farm.chance_pays is None else [f"pays with a chance of {chance(farm.chance_pays)}"]
        below = "; ".join([*pays, *_with_strips(farm, net_usd)])
        yield Total(id="t-net", label="expected net", figure=dollars(net_usd), unit="", below=below)
    else:
        fields = f"in {whole(len(farm.plans))} field{'s' if len(farm.plans) > 1 else ''}"
        yield Total(id="t-area", label="in all", figure=area["area"], unit=units.area_unit, below=fields)
    yield _passes(farm)


def _area(units: Units, area_ac: float) -> str:
    """Write an area; a tenth of very many acres would only take room."""
    written = units.area(area_ac)
    return units.whole_area(area_ac) if len(written) > _LONG else written


def _with_strips(farm: FarmPlan, net_usd: float) -> list[str]:
    """Say what is left of the net with the check strips that are laid."""
    laid = [plan.strips.cost_usd for plan in farm.plans if plan.strips is not None]
    return [Said("page.with_strips", usd=dollars(net_usd - fsum(laid))).text] if laid else []


def _not_skipped(farm: FarmPlan) -> str:
    """Say what ground is neither sprayed nor skipped."""
    units = written(farm)
    never_ac = fsum(plan.no_spray_ac for plan in farm.plans)
    unknown = sum(plan.totals is None for plan in farm.plans)
    told = []
    if never_ac:
        told.append(Said("farm_page.never", area=units.area(never_ac), unit=units.area_unit).text)
    if unknown:
        fields = f"{unknown} field{'s' if unknown > 1 else ''}"
        told.append(Said("farm_page.dates_only", fields=fields).text)
    return "; ".join(told)


def _passes(farm: FarmPlan) -> Total:
    together = in_order(farm)
    count, fields = len(together), len({id(plan) for plan, _ in together})
    if not together:
        return Total(id="t-passes", label="passes", figure="0", unit="", below="")
    first, last = min(one.day for _, one in together), max(one.last_day for _, one in together)
    where = f"in {whole(fields)} field{'s' if fields > 1 else ''}"
    told = f"{where}; {Said('farm_page.first_last', first=day(first), last=day(last)).text}"
    return Total(
        id="t-passes", label="passes" if count > 1 else "pass", figure=whole(count), unit="", below=told
    )


def _walks(farm: FarmPlan) -> Iterable[str]:
    """Say where to go and look, the best of the farm first."""
    every = [(plan, walk) for plan in farm.plans for walk in plan.walks]
    for plan, walk in sorted(every, key=lambda pair: -pair[1].usd)[:_MOST_WALKS]:
        told = {"zone": walk.zone, "plants": walk.plants, "day": day(walk.day), "usd": dollars(walk.usd)}
        yield Said("farm_page.look", field=plain(plan.field, _LONGEST), **told).text
