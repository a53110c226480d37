"""`sprayworth worth`: does a pass pay? Parses, calls, prints."""

from typing import Any

import click

from cli.options import emit, json_option


@click.command("worth")
@click.option("--price", required=True, help='Grain price less haul, as "10.40 USD/bu" or "386 USD/t".')
@click.option("--cost", required=True, help='Product and pass, as "30 USD/ac" or "74 USD/ha".')
@click.option(
    "--source",
    type=click.Choice(["pooled trials", "practice series", "own trials"]),
    required=True,
    help="Where the expected response comes from; the others stand beside it.",
)
@click.option(
    "--pressure",
    type=click.Choice(["low", "unknown", "medium", "high", "seen"]),
    default="unknown",
    show_default=True,
    help="Disease pressure.",
)
@click.option(
    "--severity", help='Or a forecast, as "20": percent of leaf area diseased near R6 if nothing is sprayed.'
)
@click.option(
    "--disease",
    type=click.Choice(["frogeye", "rust"]),
    default="frogeye",
    show_default=True,
    help="Disease of that forecast.",
)
@click.option("--efficacy", help='Share of it that the product prevents, as "0.6"; left out: assumed.')
@click.option("--groups", help='Modes of action in the product, FRAC code, as "3,11".')
@click.option("--resistant", help='Modes of action that the disease here resists, as "11".')
@click.option("--mean", help='Own trials: mean response, as "3.4 bu/ac".')
@click.option("--se", help='Own trials: its standard error, as "0.6 bu/ac".')
@click.option("--years", type=click.IntRange(1, 100), help="Own trials: over how many years.")
@click.option("--yield", "expected_yield", help='Expected yield, as "58 bu/ac".')
@click.option("--tracks", help='Crop lost to new wheel tracks, as "1.0 bu/ac".')
@click.option(
    "--at",
    "stage",
    type=click.Choice(["R1", "R2", "R3", "R4", "R5"]),
    default="R3",
    show_default=True,
    help="Stage at spraying (its middle).",
)
@click.option(
    "--curve",
    type=click.Choice(["published", "practice"]),
    help="How the response falls before and after R3; left out: that of the source.",
)
@click.option("--share-of-grain", help='Your share of the grain, as "0.6".')
@click.option(
    "--rule",
    type=click.Choice(["expected", "chance", "cautious"]),
    default="expected",
    show_default=True,
    help="Rule of the decision.",
)
@click.option("--min-net", help='Net return under which a pass is called a toss-up, as "3 USD/ac".')
@click.option("--min-chance", help='Least chance that it pays, in the rule "chance", as "0.5".')
@click.option("--loss-weight", help='How much a dollar lost counts in the rule "cautious", as "2".')
@click.option("--target", default="", help="Disease that the spray is for.")
@click.option(
    "--metric",
    is_flag=True,
    help="Print kg/ha, USD/ha and USD/t; on by itself where price and cost are metric.",
)
@json_option
def command(as_json: bool, **typed: Any) -> None:
    """Does a pass pay? Spray or skip, chance, break-even, every source, and the table around the answer.

    The table holds cost x price x response; --json holds it whole.

    \b
    sprayworth worth --price "10.40 USD/bu" --cost "30 USD/ac" --source "pooled trials" --pressure seen
    sprayworth worth --price "386 USD/t" --cost "74 USD/ha" --source "practice series" --min-net "7 USD/ha"
    """  # noqa: D301 (click reads \b)
    from zoning import questions

    bet = questions.bet_of(questions.Typed(**typed))
    answer = questions.answer_of(bet)
    if as_json:
        emit(questions.worth_object(bet, answer))
    else:
        click.echo(questions.worth_text(bet, answer))
