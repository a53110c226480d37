"""`sprayworth farm FARM`: every field of a farm, with one schedule. Parses, calls, prints."""

from datetime import date
from pathlib import Path

import click

from cli.options import (
    folder_argument,
    json_option,
    log_option,
    quiet_option,
    seed_option,
    terminal_width,
    today_option,
)
from cli.progress import FarmTeller
from zoning.errors import BUG, CONTENT


@click.command("farm")
@folder_argument("farm")
@click.option(
    "--workers",
    type=click.IntRange(1, 1024),
    metavar="N",
    help="Processes that share the work; default: one for each core that has memory enough.",
)
@click.option(
    "--scheduler",
    metavar="ADDRESS",
    help="Let the workers of this Dask scheduler do it, as tcp://10.0.0.5:8786; they must see the folder "
    "under the same path.",
)
@click.option(
    "--recompute", is_flag=True, help="Make everything anew, though nothing changed since the last run."
)
@click.option("--pictures", is_flag=True, help="Write map.png, page.html and sheet.pdf of each field too.")
@json_option
@today_option
@seed_option
@quiet_option
@log_option
def command(
    farm: Path,
    workers: int | None,
    scheduler: str | None,
    recompute: bool,
    pictures: bool,
    as_json: bool,
    today: date | None,
    seed: int,
    quiet: bool,
    log_file: Path | None,
) -> int:
    """The whole job for every field of a farm: one schedule for all, a line for each, the calendar.

    A field that fails is named and does not stop the others. What did not change since the last run is not
    made again, so that a run that was stopped goes on where it was.

    \b
    sprayworth farm demo_fields/heron_slough
    sprayworth farm demo_fields/heron_slough --pictures
    sprayworth farm my_region --workers 4 --quiet
    sprayworth farm /shared/my_region --scheduler tcp://10.0.0.5:8786
    """  # noqa: D301 (click reads \b)
    if workers is not None and scheduler is not None:
        raise click.UsageError("--workers is for this machine, --scheduler for a cluster: give one of them")
    from zoning import farm as many
    from zoning.show import check_strips, farm_report, table
    from zoning.show import many as many_fields

    with FarmTeller(quiet=quiet, log_file=log_file) as tell:
        result = many.run(
            farm,
            today=today,
            seed=seed,
            clock=date.today(),
            watch=many.Watch(tell=tell, done=tell.advance, each=tell.outcome, trace=tell.trace),
            workers=workers,
            scheduler=scheduler,
            recompute=recompute,
            pictures=pictures,
        )
    if result.stays is not None:
        click.echo(result.stays.text, err=True)
    if as_json:
        click.echo(many.as_text(result, farm), nl=False)
    else:
        if len(result.plan.plans) <= many_fields.MANY:
            for plan in result.plan.plans:
                click.echo(table.summary(plan))
            click.echo()
        click.echo(farm_report.whole_page(result.plan, terminal_width()))
        if not quiet and (laid := check_strips.laid_line(result.plan.plans)):
            click.echo(laid, err=True)
    if not result.failures:
        return 0
    return BUG if any(fault.code == BUG for _, fault in result.failures) else CONTENT
