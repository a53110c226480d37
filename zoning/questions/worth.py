"""Does a pass pay? From price, cost and response alone; the answer as an object and in words."""

from dataclasses import dataclass
from math import inf
from typing import Literal

from zoning.errors import SETTINGS, InputError
from zoning.plan import NO_PRICE_PAYS, SCHEMA_VERSION
from zoning.returns.curve import MID_R3_POSITION
from zoning.returns.response import Place, curve_for, mixture_for
from zoning.returns.worth import Question, Worth, worth
from zoning.settings.model import Pressure, Response, Source
from zoning.show.figures import chance, signed
from zoning.show.layout import Table, as_text

# The middle of each stage as a position on the stage curve.
_MIDDLE = {name: MID_R3_POSITION + step for step, name in enumerate(("R1", "R2", "R3", "R4", "R5"), start=-2)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Trials:
    """The grower's own trials; None where there are none."""

    mean_bu_ac: float | None
    se_bu_ac: float | None
    years: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bet:
    """What `worth` is asked without a field."""

    price_usd_bu: float
    cost_usd_ac: float
    source: Source
    pressure: Pressure
    own: Trials
    expected_yield_bu_ac: float | None
    track_loss_bu_ac: float
    stage: Literal["R1", "R2", "R3", "R4", "R5"]


def worth_of(bet: Bet) -> Worth:
    """Say what a pass is worth, in closed form.

    Raises
    ------
    InputError
        When own trials are named without mean, standard error and years, or price or cost make no sense.
    """
    own = bet.own
    if bet.source == "own trials" and None in (own.mean_bu_ac, own.se_bu_ac, own.years):
        raise InputError(
            "own trials need their mean, standard error and years",
            where="sprayworth worth --source",
            mend='Add --mean "3.4 bu/ac" --se "0.6 bu/ac" --years 4 (your figures).',
            code=SETTINGS,
        )
    if bet.price_usd_bu <= 0 or bet.cost_usd_ac < 0:
        raise InputError(
            f"a price of {bet.price_usd_bu:g} USD/bu and a cost of {bet.cost_usd_ac:g} USD/ac make no sense",
            where="sprayworth worth",
            mend="Give a price above zero and a cost of zero or more.",
            code=SETTINGS,
        )
    response = Response.model_construct(
        source=bet.source, mean_bu_ac=own.mean_bu_ac, se_bu_ac=own.se_bu_ac, years=own.years
    )
    return worth(
        Question(
            mixture=mixture_for(bet.source, response, Place(pressure=bet.pressure)),
            price_usd_bu=bet.price_usd_bu,
            cost_usd_ac=bet.cost_usd_ac,
            expected_yield_bu_ac=inf if bet.expected_yield_bu_ac is None else bet.expected_yield_bu_ac,
            track_loss_bu_ac=bet.track_loss_bu_ac,
            curve=curve_for(bet.source, response),
            stage_position=_MIDDLE[bet.stage],
        )
    )


def worth_object(bet: Bet, answer: Worth) -> dict[str, object]:
    """Give the answer as an object for JSON; a price of 9999 means that no price pays."""
    return {
        "schema_version": SCHEMA_VERSION,
        "source": bet.source,
        "pressure": bet.pressure,
        "response_bu_ac": {"mean": answer.response_mean_bu_ac, "sd": answer.response_sd_bu_ac},
        "net_usd_ac": answer.net_usd_ac,
        "chance_pays": answer.chance_frac,
        "break_even_response_bu_ac": answer.break_even_response_bu_ac,
        "break_even_price_usd_bu": answer.break_even_price_usd_bu,
        "perfect_information_usd_ac": answer.perfect_information_usd_ac,
        "table": [
            {
                "price_usd_bu": cell.price_usd_bu,
                "cost_usd_ac": cell.cost_usd_ac,
                "net_usd_ac": cell.net_usd_ac,
                "chance_pays": cell.chance_frac,
                "break_even_response_bu_ac": cell.break_even_response_bu_ac,
            }
            for row in answer.table
            for cell in row
        ],
    }


def worth_text(bet: Bet, answer: Worth) -> str:
    """Write the answer in words and the table around it."""
    price = answer.break_even_price_usd_bu
    pays_from = "no price pays" if price >= NO_PRICE_PAYS else f"pays from {price:.2f} USD/bu"
    lines = [
        f"{bet.source}, pressure {bet.pressure}, sprayed in the middle of {bet.stage}:",
        f"expect {answer.response_mean_bu_ac:.2f} bu/ac (SD {answer.response_sd_bu_ac:.2f}), "
        f"needs {answer.break_even_response_bu_ac:.2f}",
        f"net {signed(answer.net_usd_ac)} USD/ac, "
        f"chance that it pays {chance(answer.chance_frac)}, {pays_from}",
        f"knowing the response beforehand would be worth up to "
        f"{answer.perfect_information_usd_ac:.2f} USD/ac",
        "",
    ]
    costs = tuple(f"{cell.cost_usd_ac:.2f} USD/ac" for cell in answer.table[0])
    rows = tuple(
        (
            f"{row[0].price_usd_bu:.2f} USD/bu",
            *(f"{signed(cell.net_usd_ac)} ({chance(cell.chance_frac)})" for cell in row),
        )
        for row in answer.table
    )
    return "\n".join(lines) + as_text(Table(head=("net (chance)", *costs), rows=rows))
