"""`sprayworth worth`: does a pass pay? Parses, calls, prints."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Literal

import click

from cli.options import emit, json_option
from zoning.errors import SETTINGS, InputError
from zoning.units import UnitError, parse

if TYPE_CHECKING:  # help must come at once, and these bring the settings along
    from zoning.settings.model import Pressure, Source


def _quantity(suffix: str) -> Callable[[click.Context, click.Parameter, str | None], float | None]:
    """Make a reader of numbers with their unit, as "10.40 USD/bu"."""

    def read(_ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
        if value is None:
            return None
        try:
            return parse(value, suffix)
        except UnitError as error:
            raise InputError(
                f"{value!r}: {error.what}", where=param.opts[0], mend=error.mend, code=SETTINGS
            ) from error

    return read


@click.command("worth")
@click.option("--price", callback=_quantity("usd_bu"), required=True, help='Grain price, as "10.40 USD/bu".')
@click.option("--cost", callback=_quantity("usd_ac"), required=True, help='Product and pass, as "30 USD/ac".')
@click.option(
    "--source",
    type=click.Choice(["pooled trials", "practice series", "own trials"]),
    required=True,
    help="Where the expected response comes from.",
)
@click.option(
    "--pressure",
    type=click.Choice(["low", "unknown", "medium", "high", "seen"]),
    default="unknown",
    show_default=True,
    help="Disease pressure.",
)
@click.option("--mean", callback=_quantity("bu_ac"), help='Own trials: mean response, as "3.4 bu/ac".')
@click.option("--se", callback=_quantity("bu_ac"), help="Own trials: its standard error.")
@click.option("--years", type=click.IntRange(1, 100), help="Own trials: over how many years.")
@click.option("--yield", "expected_yield", callback=_quantity("bu_ac"), help='Expected yield, as "58 bu/ac".')
@click.option(
    "--tracks", callback=_quantity("bu_ac"), default="0 bu/ac", help='Crop lost to new tracks, "1.0 bu/ac".'
)
@click.option(
    "--at",
    type=click.Choice(["R1", "R2", "R3", "R4", "R5"]),
    default="R3",
    show_default=True,
    help="Stage at spraying (its middle).",
)
@json_option
def command(
    price: float,
    cost: float,
    source: "Source",
    pressure: "Pressure",
    mean: float | None,
    se: float | None,
    years: int | None,
    expected_yield: float | None,
    tracks: float,
    at: Literal["R1", "R2", "R3", "R4", "R5"],
    as_json: bool,
) -> None:
    """Does a pass pay? Expected net return, chance, break-even, and the table around the answer.

    \b
    sprayworth worth --price "10.40 USD/bu" --cost "30 USD/ac" --source "pooled trials" --pressure seen
    """  # noqa: D301 (click reads \b)
    from zoning import questions

    own = questions.Trials(mean_bu_ac=mean, se_bu_ac=se, years=years)
    asked = questions.Bet(
        price_usd_bu=price,
        cost_usd_ac=cost,
        source=source,
        pressure=pressure,
        own=own,
        expected_yield_bu_ac=expected_yield,
        track_loss_bu_ac=tracks,
        stage=at,
    )
    answer = questions.worth_of(asked)
    if as_json:
        emit(questions.worth_object(asked, answer))
    else:
        click.echo(questions.worth_text(asked, answer))
