"""What stands first on the page: the decision, the money at stake, and four numbers.

The sentences are those of the report; nothing is computed here but sums of acres and counts.
"""

from typing import NamedTuple

from markupsafe import Markup

from zoning.plan import Plan, Totals
from zoning.show import money
from zoning.show.figures import NONE, Units, chance, day, days, dollars
from zoning.show.page.both_units import in_both, in_other_units
from zoning.show.page.spans import of_plan, placed, sentence, with_figure
from zoning.show.table import headline
from zoning.words import Said


class FourthNumber(NamedTuple):
    """One of the four numbers: what it is, the figure, its unit, and what stands below it."""

    label: str
    shown: Markup
    unit: Markup | str
    below: Markup | str


class FirstLines(NamedTuple):
    """The top of the page; `more` are sentences below the decision, `rests` what the money rests on."""

    decision: Markup | str
    more: tuple[str, ...]
    range: Markup | str
    rests: str
    numbers: tuple[FourthNumber, ...]


def first_lines(plan: Plan) -> FirstLines:
    """Give the top of the page of a plan, in both systems of units."""
    return in_both(_first_lines(plan), _first_lines(in_other_units(plan)))


def _first_lines(plan: Plan) -> FirstLines:
    head, *more = headline(plan).split("; ")
    *also, spread, rests = ["", "", *money.field_lines(plan)][-3:] if plan.totals else ["", "", ""]
    spread = spread.rpartition("; ")[0]  # what knowing is worth stands below, with what is missing
    written = Units(metric=plan.units == "metric")
    decision: str | Markup = sentence(head)
    if plan.totals is not None and plan.totals.spray_ac > 0:
        figures, totals = of_plan(plan), plan.totals
        all_of_it = f"{written.whole_area(plan.area_ac)} {written.area_word}"
        word = Markup("{} <i data-u=area_word>{}</i>").format(
            figures.whole_area(plan.area_ac), written.area_word
        )
        decision = with_figure(decision, f" of {all_of_it}", Markup(" of {}").format(word))
        spray = f"Spray {written.whole_area(totals.spray_ac)}"
        decision = with_figure(
            decision, spray, Markup("Spray {}").format(figures.whole_area(totals.spray_ac))
        )
    return FirstLines(
        decision=decision,
        more=tuple(sentence(one) for one in (*more, *also) if one),
        range=_range(plan, sentence(spread)),
        rests=sentence(rests),
        numbers=_money_numbers(plan, plan.totals) if plan.totals is not None else _plain_numbers(plan),
    )


def _range(plan: Plan, said: str) -> Markup | str:
    """Put the range and the chance of a field into what is said of them."""
    totals = plan.totals
    if totals is None or not said:
        return said
    figures = of_plan(plan)
    low, high = totals.net_p10_usd, totals.net_p90_usd
    told = with_figure(said, f"{dollars(low)} to {dollars(high)}", _spread(plan, totals))
    how_sure = Markup("chance of {}").format(figures.chance(totals.chance_pays))
    return with_figure(told, f"chance of {chance(totals.chance_pays)}", how_sure)


def _spread(plan: Plan, totals: Totals) -> Markup:
    figures = of_plan(plan)
    return Markup("{} to {}").format(figures.usd(totals.net_p10_usd), figures.usd(totals.net_p90_usd))


def _money_numbers(plan: Plan, totals: Totals) -> tuple[FourthNumber, ...]:
    figures = of_plan(plan)
    unit = figures.unit("area")
    spray = FourthNumber(
        label=Said("page.to_spray").text,
        shown=placed("n-spray", figures.area(totals.spray_ac)),
        unit=unit,
        below=Markup('{} {}<span class="planned">; {}</span>').format(
            placed("n-spray-share", f"{round(100 * totals.spray_ac / plan.area_ac)} %"),
            Said("page.of_field").text,
            _visits(plan),
        ),
    )
    skip = FourthNumber(
        label=Said("page.to_skip").text,
        shown=placed("n-skip", figures.area(totals.skip_ac)),
        unit=unit,
        below="",
    )
    net = FourthNumber(
        label=Said("page.expected_net").text,
        shown=placed("n-net", figures.usd(totals.net_usd)),
        unit="",
        # where nothing is sprayed the range is that of the nearest pass, and stands above with these words
        below=placed("n-range", _spread(plan, totals) if totals.spray_ac > 0 else "")
        + _with_strips(plan, totals)
        if totals.rests_on_frac
        else Said("page.not_priced").text,
    )
    return spray, skip, net, _dates(plan)


def _plain_numbers(plan: Plan) -> tuple[FourthNumber, ...]:
    figures = of_plan(plan)
    blocks = len({zone.block for zone in plan.zones})
    in_blocks = Said("page.blocks" if blocks > 1 else "page.one_block", count=blocks).text
    return (
        FourthNumber(
            label=Said("page.field").text,
            shown=figures.area(plan.area_ac),
            unit=figures.unit("area"),
            below=Said("page.no_money").text,
        ),
        FourthNumber(Said("page.zones").text, Markup(len(plan.zones)), "", in_blocks),
        _dates(plan),
    )


def _visits(plan: Plan) -> str:
    if plan.level < 3:
        return Said("page.no_passes").text
    first = min(plan.passes, key=lambda one: (one.day, one.half), default=None)
    if first is None:
        return Said("page.no_visit").text
    count, on = len(plan.passes), f"{day(first.day)} {first.half}"
    return Said("page.visits" if count > 1 else "page.one_visit", count=count, on=on).text


def _with_strips(plan: Plan, totals: Totals) -> Markup:
    """Say what is left of the net with the check strips; gone where the reader's own figures stand above."""
    if plan.strips is None:
        return Markup("")
    said = Said("page.with_strips", usd=dollars(totals.net_usd - plan.strips.cost_usd)).text
    return Markup('<span class="planned">; {}</span>').format(said)


def _dates(plan: Plan) -> FourthNumber:
    """Give the days on which R3 begins, their spread, and how many of them a count pins."""
    windows = [zone.window for zone in plan.zones if zone.window is not None]
    label = Said("page.r3_begins").text
    if not windows:
        return FourthNumber(label, placed("n-dates", NONE), "", Said("page.no_dates").text)
    likely = [one.r3_likely for one in windows]
    counted = sum(not zone.provisional for zone in plan.zones if zone.window is not None)
    how = "page.all_counted" if counted == len(windows) else "page.counted" if counted else "page.provisional"
    spread = Said(
        "page.dates_spread",
        early=day(min(one.r3_early for one in windows)),
        late=day(max(one.r3_late for one in windows)),
        how=Said(how, counted=counted, zones=len(windows)).text,
    )
    return FourthNumber(label, placed("n-dates", days(min(likely), max(likely))), "", spread.text)
