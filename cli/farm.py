"""`sprayworth farm FARM`: every field of a farm, with one schedule. Parses, calls, prints."""

from datetime import date
from pathlib import Path

import click

from cli.options import (
    Teller,
    emit,
    folder_argument,
    json_option,
    log_option,
    quiet_option,
    seed_option,
    terminal_width,
    today_option,
)
from zoning.errors import CONTENT


@click.command("farm")
@folder_argument("farm")
@json_option
@today_option
@seed_option
@quiet_option
@log_option
def command(
    farm: Path, as_json: bool, today: date | None, seed: int, quiet: bool, log_file: Path | None
) -> int:
    """The whole job for every field of a farm: one schedule for all, a line for each, the calendar.

    A field that fails is named and does not stop the others.

    \b
    sprayworth farm demo_fields/heron_slough
    """  # noqa: D301 (click reads \b)
    from zoning import farm as many
    from zoning.ahead import MeasuredAhead
    from zoning.show import check_strips, farm_report, table

    tell = Teller(quiet=quiet, log_file=log_file)

    def each(outcome: many.Outcome) -> None:
        tell.clear()
        if outcome.plan is not None and not as_json:
            click.echo(table.summary(outcome.plan))
        for fault in outcome.fault.faults if outcome.fault is not None else ():
            click.echo(f"error: {outcome.field}: {fault}", err=True)

    with MeasuredAhead() as ahead:
        result = many.run(
            farm,
            today=today,
            seed=seed,
            clock=date.today(),
            tell=tell,
            each=each,
            measured_by=ahead.begin,
        )
    tell.done()
    if result.kept is not None:
        click.echo(result.kept.text, err=True)
    if as_json:
        emit(many.as_object(result))
    else:
        click.echo()
        click.echo(farm_report.whole_page(result.plan, terminal_width()))
        if not quiet and (laid := check_strips.laid_line(result.plan.plans)):
            click.echo(laid, err=True)
    return CONTENT if result.failures else 0
