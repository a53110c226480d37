"""The styles of our own layers: which rows are told apart, and in which colours.

Colours mean what they mean on the map: dark blue the largest carrier rate, sky blue the smallest, hatched
beige a skip, white with crossed lines what is never sprayed. A style depends only on what plans hold, so that
a legend has no line for what is not there.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from zoning import colours, units
from zoning.inputs.given import StripTreatment
from zoning.plan import NoSprayKind, Plan, PlanPass, ScoutedKind
from zoning.prescription.as_json.twins import number
from zoning.prescription.rates import rate_column, rate_of, short_unit
from zoning.prescription.styles.style import Case, Column, Style, Symbol, Value
from zoning.words import Said

_THIN_MM, _BOLD_MM = 0.3, 0.8
_SKIP = Symbol(
    fill=colours.SKIP,
    hatch="slanted",
    hatch_colour=colours.SKIP_HATCH,
    outline=colours.INK,
    outline_mm=_THIN_MM,
)
_NEVER = Symbol(
    fill=colours.NO_SPRAY,
    hatch="crossed",
    hatch_colour=colours.NO_SPRAY_HATCH,
    outline=colours.INK,
    outline_mm=_THIN_MM,
)
_NO_SPRAY: tuple[NoSprayKind, ...] = ("setback", "dead ground")
_OF_KIND: dict[NoSprayKind, tuple[str, str, str]] = {
    "setback": ("SETBACK", "zones.kind_setbacks", "zones.map_setbacks"),
    "dead ground": ("DEAD", "zones.kind_dead", "zones.map_dead"),
}


Where = tuple[tuple[str, Value], ...]


def _plain(fill: str) -> Symbol:
    return Symbol(fill=fill, outline=colours.readable_on(fill), outline_mm=_THIN_MM)


def _rates(plans: Iterable[Plan]) -> list[float]:
    return sorted({one.rate_gal_ac for plan in plans for one in plan.passes})


def rate_text(rate_gal_ac: float, metric: bool) -> tuple[str, str]:
    """Write a rate for people, with its unit.

    Examples
    --------
    >>> rate_text(15.0, metric=False), rate_text(15.0, metric=True)
    (('15', 'gal/ac'), ('140.3', 'L/ha'))
    """
    rate = units.l_ha_from_gal_ac(rate_gal_ac) if metric else rate_gal_ac
    return f"{round(rate, 1):g}", short_unit(metric)


def _by_rate(column: str, rates: Sequence[tuple[float, float]], metric: bool) -> list[Case]:
    """Cases of a column of rates, rising in gal/ac and each with its value in the column; highest first."""
    cases = []
    for rank, (rate_gal_ac, value) in reversed(list(enumerate(rates))):
        rate, unit = rate_text(rate_gal_ac, metric)
        legend = Said("styles.rate", rate=rate, unit=unit).text
        symbol = _plain(colours.spray(rank, len(rates)))
        cases.append(Case(where=((column, value),), legend=legend, symbol=symbol, label=(legend,)))
    return cases


def rates(plan: Plan, one: PlanPass, column: str) -> Style:
    """Style of the map of one pass, 0 = boom off, with the colours that its rates have among all passes.

    Parameters
    ----------
    plan : Plan
        That the pass is of.
    one : PlanPass
        The pass.
    column : str
        Its values are the rates in the unit of the farm, rounded up to two decimals.
    """
    metric = plan.units == "metric"
    own = {part.rate_gal_ac for part in one.map.parts}
    every = sorted({*_rates([plan]), *own} - {0.0})
    cases = _by_rate(column, [(rate, rate_of(rate, metric=metric)) for rate in every], metric)
    cases = [case for rate, case in zip(reversed(every), cases, strict=True) if rate in own]
    if 0.0 in own:
        off = Said("styles.off").text
        cases.append(Case(where=((column, 0.0),), legend=off, symbol=_SKIP))
    return Style(name=f"pass {one.number}", cases=tuple(cases))


def _sprayed(plans: Sequence[Plan], where: Where, zone: str, column: str, decimals_up: bool) -> list[Case]:
    """Cases of sprayed ground: by its rate where plans have more than one, or not all have one."""
    metric = plans[0].units == "metric"
    rising = _rates(plans)
    done = [one for plan in plans for one in plan.zones if one.action == "spray"]
    bare = any(one.rate_gal_ac is None for one in done)
    cases = []
    for rank, rate_gal_ac in reversed(list(enumerate(rising))):
        rate, unit = rate_text(rate_gal_ac, metric)
        value = rate_of(rate_gal_ac, metric=metric) if decimals_up else number(rate_gal_ac, column)
        alone = len(rising) == 1 and not bare
        cases.append(
            Case(
                where=where if alone else (*where, (column, value)),
                legend=Said("styles.spray_at", rate=rate, unit=unit).text,
                symbol=_plain(colours.spray(rank, len(rising))),
                label=(Column(zone), f"\n{rate} {unit}"),
            )
        )
    if bare:
        word = Said("styles.spray").text
        symbol = _plain(colours.SPRAY_MOST)
        none = (*where, (column, None)) if rising else where
        cases.append(Case(where=none, legend=word, symbol=symbol, label=(Column(zone), f"\n{word}")))
    return cases


def _skipped(where: Where, zone: str) -> Case:
    word = Said("styles.skip").text
    return Case(where=where, legend=word, symbol=_SKIP, label=(Column(zone), f"\n{word}"))


def _has(plans: Sequence[Plan], action: str | None) -> bool:
    return any(zone.action == action for plan in plans for zone in plan.zones)


def _by_number(plans: Sequence[Plan]) -> tuple[Case, ...]:
    """Zones of plans that decide nothing: their colours only tell them apart."""
    numbered = {zone.zone: zone for plan in plans for zone in plan.zones}
    return tuple(
        Case(
            where=(("zone", number),),
            legend=Said("styles.zone", zone=number, block=numbered[number].block).text
            if len(plans) == 1
            else str(number),
            symbol=_plain(colours.zone(number)),
            label=(Column("zone"),),
        )
        for number in sorted(numbered)
    )


def zones(plans: Sequence[Plan]) -> Style:
    """Style of the zones of one or many fields, with the columns of plan.json."""
    if all(plan.level == 1 for plan in plans):
        return Style(name="zones", cases=_by_number(plans), lies_under=True)
    cases: list[Case] = []
    if _has(plans, "spray"):
        cases += _sprayed(plans, (("action", "spray"),), "zone", "rate_gal_ac", False)
    if _has(plans, "skip"):
        cases.append(_skipped((("action", "skip"),), "zone"))
    if _has(plans, None):
        word = Said("styles.undecided").text
        symbol = _plain(colours.WHITE)
        cases.append(Case(where=(("action", None),), legend=word, symbol=symbol, label=(Column("zone"),)))
    return Style(name="zones", cases=tuple(cases), lies_under=True)


def _as_strip(look: Symbol) -> Symbol:
    """Give a check strip the look of what is done there, with a bold edge that stands out on both sides."""
    return replace(look, outline=colours.readable_on(look.fill), outline_mm=_BOLD_MM)


def _strip(where: Where, treatment: StripTreatment, look: Symbol) -> Case:
    return Case(where=where, legend=Said(f"styles.strip_{treatment}").text, symbol=_as_strip(look))


def check_strips() -> Style:
    """Style of the check strips, by `treatment`."""
    cases = (
        _strip((("treatment", "treated"),), "treated", _plain(colours.SPRAY_MOST)),
        _strip((("treatment", "untreated"),), "untreated", _SKIP),
    )
    named = tuple(replace(case, label=("S", Column("pair"))) for case in cases)  # as on the map
    return Style(name="check strips", cases=named)


def no_spray(kind: NoSprayKind) -> Style:
    """Style of the ground of one kind that is never sprayed."""
    _, legend, word = _OF_KIND[kind]
    case = Case(legend=Said(legend).text, symbol=_NEVER, label=(Said(word).text,))
    return Style(name=Said(legend).text, cases=(case,))


def boundary() -> Style:
    """Style of the boundary: a line and nothing in it, so that it hides no layer."""
    symbol = Symbol(outline=colours.INK, outline_mm=_BOLD_MM)
    return Style(name="boundary", cases=(Case(legend=Said("styles.boundary").text, symbol=symbol),))


def scouting(plans: Sequence[Plan]) -> Style:
    """Style of the points where something was seen, by `kind`: white with a rim, as on the map."""
    count = Symbol(mark="circle", fill=colours.WHITE, outline=colours.INK)
    looks: dict[ScoutedKind, tuple[str, Symbol]] = {
        "count": ("styles.count", count),
        "pressure": ("styles.pressure", replace(count, mark="triangle", mark_mm=3.6)),
        "note": ("styles.note", replace(count, mark="square")),
    }
    there = {one.kind for plan in plans for one in plan.scouting}
    cases = tuple(
        Case(where=(("kind", kind),), legend=Said(code).text, symbol=symbol)
        for kind, (code, symbol) in looks.items()
        if kind in there
    )
    return Style(name="scouting", cases=cases)


def passes(plans: Sequence[Plan]) -> Style:
    """Style of the passes: those of one field by their number, those of many by their rate."""
    metric = plans[0].units == "metric"
    rising = _rates(plans)
    cases = []
    for one in plans[0].passes if len(plans) == 1 else ():
        rate, unit = rate_text(one.rate_gal_ac, metric)
        symbol = _plain(colours.spray(rising.index(one.rate_gal_ac), len(rising)))
        legend = Said("styles.pass", number=one.number, rate=rate, unit=unit).text
        label = (f"P{one.number}\n{rate} {unit}",)
        cases.append(Case(where=(("pass", one.number),), legend=legend, symbol=symbol, label=label))
    if len(plans) > 1:
        cases = _by_rate("rate_gal_ac", [(rate, number(rate, "rate_gal_ac")) for rate in rising], metric)
    return Style(name="passes", cases=tuple(cases), lies_under=True)


def of_layers(plans: Sequence[Plan]) -> dict[str, Style]:
    """Styles of the layers of zones.gpkg, or of the same layers of a whole farm, by their names."""
    return {
        "zones": zones(plans),
        "passes": passes(plans),
        "check_strips": check_strips(),
        "scouting": scouting(plans),
        "setbacks": no_spray("setback"),
        "dead_ground": no_spray("dead ground"),
        "boundary": boundary(),
    }


def prescription(plan: Plan) -> Style:
    """Style of prescription.shp: zones by what is done there, strips and never sprayed ground apart."""
    column = rate_column(plan.units == "metric")
    found = {one.kind for one in plan.no_spray}
    other = bool(found) or plan.strips is not None
    zone: Where = (("KIND", "ZONE"),) if other else ()
    cases: list[Case] = []
    if _has([plan], "spray"):
        cases += _sprayed([plan], (*zone, ("ACTION", "SPRAY")), "ZONE", column, True)
    if _has([plan], "skip"):
        cases.append(_skipped((*zone, ("ACTION", "SKIP")), "ZONE"))
    if plan.strips is not None:
        strip: Where = (("KIND", "STRIP"),)
        treated: Where = (*strip, ("ACTION", "SPRAY"))
        sprayed = _sprayed([plan], treated, "ZONE", column, True)
        for case in sprayed:
            look = _strip(case.where, "treated", case.symbol)
            alone = len(sprayed) == 1
            cases.append(look if alone else replace(look, legend=f"{look.legend}: {case.legend}"))
        cases.append(_strip((*strip, ("ACTION", "SKIP")), "untreated", _SKIP))
    for kind in (kind for kind in _NO_SPRAY if kind in found):
        name, legend, word = _OF_KIND[kind]
        text = Said(legend).text
        cases.append(Case(where=(("KIND", name),), legend=text, symbol=_NEVER, label=(Said(word).text,)))
    return Style(name="prescription", cases=tuple(cases))
