"""The whole story of each zone: its days, what is done and why, its money, and what would change it.

Sentences are those of the report; nothing is computed here.
"""

from typing import NamedTuple

from markupsafe import Markup

from zoning.plan import SOURCES, Plan, PlanPass, PlanZone, decided
from zoning.show.figures import day, days, full_day, plain, when
from zoning.show.money import turn_line, zone_lines
from zoning.show.page.both_units import in_both, in_other_units, reason_text
from zoning.show.page.spans import Figures, of_plan, sentence
from zoning.show.page.zone_rows import in_order, spread
from zoning.words import Said


class Answer(NamedTuple):
    """What one response source says of a zone; `said` is empty where it has no figures."""

    source: str
    chosen: bool
    said: Markup | str
    action: str


class Money(NamedTuple):
    """The money of a zone."""

    expects: Markup
    needs: Markup
    net: Markup
    range: Markup
    chance: Markup
    price: Markup


class Story(NamedTuple):
    """One zone; what does not hold of it is empty."""

    zone: int
    name: str
    action: str
    where: Markup
    why: str
    r3: str
    spread: str
    closes: str
    what: Markup | str
    best: str
    money: Money | None
    turn: str
    answers: tuple[Answer, ...]
    lines: tuple[str, ...]
    override: tuple[str, ...]
    mark: str


def stories(plan: Plan) -> tuple[Story, ...]:
    """Give the stories of a plan's zones, in the order of the table and both systems of units."""
    return in_both(_stories(plan), _stories(in_other_units(plan)))


def _stories(plan: Plan) -> tuple[Story, ...]:
    figures = of_plan(plan)
    passes = {one.number: one for one in plan.passes}
    return tuple(_story(zone, plan, passes, figures) for zone in in_order(plan.zones))


def _story(zone: PlanZone, plan: Plan, passes: dict[int, PlanPass], figures: Figures) -> Story:
    window = zone.window
    turn = turn_line(zone, figures.written)
    how = "page.date_counted" if not zone.provisional else "page.date_provisional"
    return Story(
        zone=zone.zone,
        name=plain(zone.name, 60),
        action=zone.action or "",
        where=Markup("{} {}, {}").format(figures.area(zone.area_ac), figures.unit("area"), _planted(zone)),
        why=sentence(reason_text(zone.reason, metric=figures.written.metric)),
        r3=day(window.r3_likely) if window else "",
        spread=Said(how, days=days(window.r3_early, window.r3_late)).text if window else "",
        closes=day(window.closes) if window else "",
        what=_what(zone, passes, figures),
        best=f"{day(zone.spray_from)} to {day(zone.spray_by)}" if zone.spray_from and zone.spray_by else "",
        money=_money(zone, figures),
        turn=sentence(turn),
        answers=_answers(zone, plan, figures),
        lines=tuple(sentence(line) for line in zone_lines(zone, figures.written) if line != turn),
        override=_override(zone, figures),
        mark=decided.MARK if decided.followed([zone]) else "",
    )


def _planted(zone: PlanZone) -> str:
    group = f"{zone.maturity_group:g}"
    return Said("page.planted", block=plain(zone.block, 40), day=day(zone.planted), group=group).text


def _what(zone: PlanZone, passes: dict[int, PlanPass], figures: Figures) -> Markup | str:
    """Say in which pass a zone is treated, with what and when; empty where it is in none."""
    if zone.sprayed_on is not None and zone.action != "spray":
        return Said("page.sprayed_on", day=full_day(zone.sprayed_on)).text
    one = passes.get(zone.pass_number or 0)
    if one is None:
        return ""
    rate = Markup("{} {}").format(figures.rate(zone.rate_gal_ac), figures.unit("rate"))
    return Markup("pass {}, {}, {}, {}").format(one.number, when(one), plain(one.sprayer, 30), rate)


def _money(zone: PlanZone, figures: Figures) -> Money | None:
    money = zone.money
    if money is None:
        return None
    return Money(
        expects=figures.response(money.response_mean_bu_ac),
        needs=figures.response(money.break_even_response_bu_ac),
        net=figures.net(money.net_mean_usd_ac),
        range=spread(zone, figures),
        chance=figures.chance(money.chance_pays),
        price=figures.price(money.break_even_price_usd_bu),
    )


def _answers(zone: PlanZone, plan: Plan, figures: Figures) -> tuple[Answer, ...]:
    if zone.money is None:
        return ()
    answers = []
    for source in SOURCES:
        one = zone.money.by_source.get(source)
        said = "" if one is None else figures.net(one.net_usd_ac)
        answers.append(Answer(source, source == plan.source, said, "" if one is None else one.action))
    return tuple(answers)


def _override(zone: PlanZone, figures: Figures) -> tuple[str, ...]:
    """Say what somebody decided for a zone, and what the figures say; `reason` of the zone says why."""
    one = zone.override
    if one is None:
        return ()
    what: list[str] = [one.action or ""]
    if one.rate_gal_ac is not None:
        what.append(f"{figures.written.rate(one.rate_gal_ac)} {figures.written.rate_unit}")
    asked = ", ".join(part for part in what if part)
    said = [Said("page.override", asked=asked, day=day(one.decided_on)).text]
    if one.computed is not None:
        said.append(Said("page.computed", action=one.computed).text)
    if one.refused is not None:
        said.append(Said("page.refused", why=plain(one.refused.text), reason=plain(one.reason)).text)
    return tuple(sentence(one) for one in said)
