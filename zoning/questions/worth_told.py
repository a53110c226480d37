"""The answer to `sprayworth worth` in words and tables, spray or skip first. Computes nothing but units."""

import textwrap
from dataclasses import dataclass
from math import isinf

from zoning import units
from zoning.evidence import number
from zoning.plan import NO_PRICE_PAYS
from zoning.questions.bet import Bet
from zoning.questions.worth import Answer
from zoning.returns.terms import Flip
from zoning.returns.worth import Worth
from zoning.show.figures import chance, signed, whole
from zoning.show.layout import Table, as_text
from zoning.words import Said, cautions

WIDTH = 100  # letters in a line
_LEAST_USD = 0.5  # less is not a whole dollar


@dataclass(frozen=True, slots=True)
class Shown:
    """Figures as people read them: whole dollars, in the units that were asked."""

    metric: bool

    @property
    def response_unit(self) -> str:
        """Unit of a response."""
        return "kg/ha" if self.metric else "bu/ac"

    @property
    def money_unit(self) -> str:
        """Unit of a net return."""
        return "USD/ha" if self.metric else "USD/ac"

    @property
    def price_unit(self) -> str:
        """Unit of a grain price."""
        return "USD/t" if self.metric else "USD/bu"

    def response(self, bu_ac: float, digits: int = 1) -> str:
        """Write a response; kilograms are whole."""
        text = f"{units.kg_ha_from_bu_ac(bu_ac):.0f}" if self.metric else f"{bu_ac:.{digits}f}"
        return text.removeprefix("-") if float(text) == 0 else text

    def pair(self, expect_bu_ac: float, needs_bu_ac: float) -> tuple[str, str]:
        """Write what is expected and needed, with one digit more where they would look alike."""
        rough = self.response(expect_bu_ac), self.response(needs_bu_ac)
        if rough[0] != rough[1]:
            return rough
        return self.response(expect_bu_ac, 2), self.response(needs_bu_ac, 2)

    def money(self, usd_ac: float) -> float:
        """Money on an area in the unit that is shown."""
        return units.usd_ha_from_usd_ac(usd_ac) if self.metric else usd_ac

    def cost(self, usd_ac: float) -> str:
        """Write a cost: whole where it is, else with cents."""
        cost = round(self.money(usd_ac), 2)
        return whole(cost) if cost == round(cost) else f"{cost:.2f}"

    def costs(self, turning_usd_ac: float, now_usd_ac: float) -> tuple[str, str]:
        """Write the cost that turns the answer in whole dollars; in cents where both would look alike."""
        turning, now = whole(self.money(turning_usd_ac)), self.cost(now_usd_ac)
        return (turning, now) if turning != now else (f"{self.money(turning_usd_ac):.2f}", now)

    def price(self, usd_bu: float) -> str:
        """Write a grain price."""
        if usd_bu >= NO_PRICE_PAYS:
            return "none"
        return f"{units.usd_t_from_usd_bu(usd_bu):.0f}" if self.metric else f"{usd_bu:.2f}"


def worth_text(bet: Bet, answer: Answer) -> str:
    """Write the answer, in lines of at most 100 letters.

    Parameters
    ----------
    bet : Bet
    answer : Answer
        To that bet.
    """
    if answer.chosen is None:
        why = answer.stopped.text if answer.stopped else ""
        return _wrapped(f"{why[:1].upper()}{why[1:]}.")
    shown, chosen = Shown(bet.metric), answer.chosen
    parts = [
        [first_line(bet, chosen).text, *_basis(bet, chosen, shown)],
        _turns(bet, chosen, shown),
        [Said("worth.sources").text, _source_table(bet, answer, shown), *_about_sources(bet, answer, shown)],
        [
            Said("worth.table", money=shown.money_unit, unit=shown.response_unit).text,
            _what_if(chosen, shown),
        ],
        [*_knowing(answer, chosen, shown), Said("worth.evidence").text],
        [Said("worth.a_chance", caution=cautions("")[0]).text],
    ]
    return "\n\n".join("\n".join(_wrapped(line) for line in part) for part in parts)


def _wrapped(text: str) -> str:
    """Break what is longer than a line; tables keep their lines."""
    if "\n" in text:
        return text
    indent = "  " if text.startswith("  ") else ""
    return textwrap.fill(text, WIDTH, subsequent_indent=indent)


def first_line(bet: Bet, chosen: Worth) -> Said:
    """Say spray or skip, and why."""
    shown = Shown(bet.metric)
    net = shown.money(chosen.net_usd_ac)
    direction = "brings" if net > 0 else "loses"
    code = f"worth.{direction}_little" if abs(net) < _LEAST_USD else f"worth.{direction}"
    if net == 0:
        code = "worth.brings_nothing"
    brings = Said(code, net=f"{whole(abs(net))} {shown.money_unit}", unit=shown.money_unit).text
    return Said(
        f"worth.{chosen.verdict}",
        brings=brings,
        chance=chance(chosen.chance_frac),
        min_net=f"{shown.cost(bet.rule.min_net_usd_ac)} {shown.money_unit}",
        min_chance=chance(bet.rule.min_chance_frac),
        weight=bet.rule.loss_weight,
    )


def _basis(bet: Bet, chosen: Worth, shown: Shown) -> list[str]:
    expect, needs = shown.pair(chosen.response_mean_bu_ac, chosen.break_even_response_bu_ac)
    lines = [
        Said(
            "worth.basis",
            expect=expect,
            needs=needs,
            sd=shown.response(chosen.response_sd_bu_ac),
            unit=shown.response_unit,
            source=bet.response.source,
            pressure=_pressure(bet),
            stage=bet.stage,
        ).text
    ]
    if bet.track_loss_bu_ac > 0:
        loss = shown.response(bet.track_loss_bu_ac)
        lines.append(Said("worth.basis_tracks", loss=loss, unit=shown.response_unit).text)
    if bet.share_of_grain_frac < 1:
        share, brings = f"{100 * bet.share_of_grain_frac:.0f} %", shown.price(bet.price_usd_bu)
        lines.append(Said("worth.basis_share", share=share, brings=brings, unit=shown.price_unit).text)
    if bet.place.severity_pct is not None and bet.response.source == "practice series":
        lines.append(Said("worth.severity_idle").text)
    if bet.stage in ("R4", "R5"):
        lines.append(Said("worth.late_stage").text)
    full_bu_ac = number("returns.full_response_yield_bu_ac")
    if bet.expected_yield_bu_ac < full_bu_ac:
        least = shown.response(full_bu_ac, 0)
        lines.append(Said("worth.low_yield", least=least, unit=shown.response_unit).text)
    return lines


def _pressure(bet: Bet) -> str:
    place = bet.place
    if place.severity_pct is not None and bet.response.source != "practice series":
        code = "worth.severity_resisted" if place.resisted else "worth.severity"
        disease, pct = place.disease, place.severity_pct
        efficacy = f"{100 * place.efficacy_frac:.0f} %{' (assumed)' if bet.efficacy_assumed else ''}"
        return Said(code, disease=disease, pct=pct, efficacy=efficacy).text
    resisted = place.resisted and bet.response.source != "practice series"
    code = "worth.pressure_resisted" if resisted else "worth.pressure"
    return Said(code, pressure=place.pressure).text


def _turns(bet: Bet, chosen: Worth, shown: Shown) -> list[str]:
    is_sprayed = chosen.verdict == "spray"
    first = Said("worth.turn_to_skip" if is_sprayed else "worth.turn_to_spray").text
    return [first, *(f"  {_turn(flip, bet, chosen, shown).text}" for flip in chosen.flips)]


def _turn(flip: Flip, bet: Bet, chosen: Worth, shown: Shown) -> Said:
    """Say one figure that would turn the answer: spray turns with less of it, but with more cost."""
    is_up = (chosen.verdict == "spray") == (flip.name == "cost")
    value, now, unit = {
        "price": (
            shown.price(flip.value),
            shown.price(bet.grain_price_usd_bu),
            shown.price_unit,
        ),
        "cost": (*shown.costs(flip.value, bet.cost_usd_ac), shown.money_unit),
        "response": (*shown.pair(flip.value, chosen.response_mean_bu_ac), shown.response_unit),
        "severity": (f"{flip.value:.1f}", f"{bet.place.severity_pct or 0:g}", "%"),
    }[flip.name]
    return Said(f"worth.turn_{flip.name}_{'up' if is_up else 'down'}", value=f"{value} {unit}", now=now)


def _source_table(bet: Bet, answer: Answer, shown: Shown) -> str:
    head = (
        "source", "answer", f"net {shown.money_unit}", "chance", f"expects {shown.response_unit}",
        f"needs {shown.response_unit}", f"pays from {shown.price_unit}",
    )  # fmt: skip
    rows = []
    for source, one in answer.by_source.items():
        if one is not None:
            expect, needs = shown.pair(one.response_mean_bu_ac, one.break_even_response_bu_ac)
            said = {"spray": "spray", "toss_up": "toss-up: skip"}.get(one.verdict, "skip")
            marked = f"{source} *" if source == bet.response.source else source
            price = shown.price(one.break_even_price_usd_bu)
            net = signed(shown.money(one.net_usd_ac))
            rows.append((marked, said, net, chance(one.chance_frac), expect, needs, price))
    return as_text(Table(head, tuple(rows)), WIDTH)


def _about_sources(bet: Bet, answer: Answer, shown: Shown) -> list[str]:
    published = answer.published_mean_bu_ac
    is_low = bet.place.counted_pressure == "low"
    chosen = answer.chosen
    lines = [
        Said(
            "worth.practice_low" if is_low else "worth.practice_size",
            practice=shown.response(answer.practice_mean_bu_ac, 2),
            published=shown.response(published, 2),
            times=answer.practice_mean_bu_ac / published,
            unit=shown.response_unit,
        ).text
    ]
    is_pooled = bet.response.source == "pooled trials" and bet.place.severity_pct is None
    if is_pooled and chosen is not None and chosen.chance_frac < 0.5:
        lines.insert(0, Said("worth.most_do_not").text)
    own = answer.own
    if own is not None:
        figures = {
            "before": own.before.mean_bu_ac,
            "before_sd": own.before.sd_bu_ac,
            "seen": own.trials.mean_bu_ac,
            "se": bet.response.se_bu_ac or 0.0,
            "about": own.trials.sd_bu_ac,
            "after": own.after.mean_bu_ac,
            "after_sd": own.after.sd_bu_ac,
        }
        written = {name: shown.response(value, 2) for name, value in figures.items()}
        lines.append(Said("worth.own_trials", unit=shown.response_unit, **written).text)
    return lines


def _what_if(chosen: Worth, shown: Shown) -> str:
    responses = tuple(f"at {shown.response(bu_ac, 0)}" for bu_ac in chosen.responses_bu_ac)
    head = (
        f"cost {shown.money_unit}", f"price {shown.price_unit}", f"needs {shown.response_unit}", "chance",
        f"expected net {shown.money_unit}", *responses,
    )  # fmt: skip
    rows: list[tuple[str, ...]] = []
    for column in zip(*chosen.table, strict=True):
        rows += [("",) * len(head)] if rows else []
        for place, cell in enumerate(column):
            rows.append(
                (
                    "" if place else shown.cost(cell.cost_usd_ac),
                    shown.price(cell.price_usd_bu),
                    shown.response(cell.break_even_response_bu_ac, 2),
                    chance(cell.chance_frac),
                    signed(shown.money(cell.net_usd_ac)),
                    *(signed(shown.money(net)) for net in cell.net_at_usd_ac),
                )
            )
    return as_text(Table(head, tuple(rows)), WIDTH)


def _knowing(answer: Answer, chosen: Worth, shown: Shown) -> list[str]:
    value = shown.money(chosen.perfect_information_usd_ac)
    worth = f"{whole(value)} {shown.money_unit}" if value >= _LEAST_USD else f"1 {shown.money_unit}"
    needs = shown.response(chosen.break_even_response_bu_ac)
    code = "worth.no_pairs" if answer.strip_pairs is None else "worth.pairs"
    lines = [Said("worth.knowing", value=worth).text]
    if chosen.break_even_response_bu_ac > 0 and not isinf(chosen.break_even_response_bu_ac):
        lines.append(Said(code, needs=needs, unit=shown.response_unit, pairs=answer.strip_pairs).text)
    return lines
