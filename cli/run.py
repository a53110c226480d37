"""`sprayworth run FIELD`: the whole job for one field. Parses, calls, prints."""

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


@click.command("run")
@folder_argument("field")
@click.option("--alone", is_flag=True, help="Replace a result that `farm` scheduled with other fields.")
@click.option(
    "--new-strips",
    is_flag=True,
    help="Lay new check strips in place of those in strips/design.geojson; give another --seed to have other "
    "ones. Not after the field was sprayed.",
)
@click.option(
    "--since",
    type=click.Path(path_type=Path),
    metavar="PLAN.json",
    help="Say in one line what changed since this plan of the same field: here, in README and load sheet.",
)
@click.option(
    "--decisions",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Follow what you decided for zones on the page of this field; else FIELD/decisions.json, if there.",
)
@click.option(
    "--allow-unreachable",
    is_flag=True,
    help="Write a map too that the machine cannot follow; the warning stands inside every file.",
)
@click.option("--why", is_flag=True, help="Say how each number comes about, zone by zone.")
@json_option
@today_option
@seed_option
@quiet_option
@log_option
def command(
    field: Path,
    alone: bool,
    new_strips: bool,
    since: Path | None,
    decisions: Path | None,
    allow_unreachable: bool,
    why: bool,
    as_json: bool,
    today: date | None,
    seed: int,
    quiet: bool,
    log_file: Path | None,
) -> None:
    """The whole job for one field: writes FIELD/out and prints the plan.

    \b
    sprayworth run demo_fields/heron_slough/three_dates
    sprayworth run my_farm/north_forty --today 2026-07-08 --json
    sprayworth run my_farm/north_forty --why
    sprayworth run my_farm/north_forty --since on_the_stick/plan.json
    sprayworth run my_farm/north_forty --decisions downloads/decisions.json
    """  # noqa: D301 (click reads \b)
    from zoning.ahead import MeasuredAhead

    with Teller(quiet=quiet, log_file=log_file) as tell:
        with MeasuredAhead() as ahead:
            from zoning import field as one_field
            from zoning.show import check_strips, report

            one_field.check_out(field, alone=alone)
            run = one_field.run(
                field,
                today=today,
                seed=seed,
                clock=date.today(),
                tell=tell,
                measured_by=ahead.begin,
                new_strips=new_strips,
                allow_unreachable=allow_unreachable,
                since=since,
                decisions=decisions,
            )
        tell("writing files")
        files = one_field.write(run, field / "out", allow_unreachable=allow_unreachable)
    if as_json:
        emit(one_field.as_object(run, files))
        return
    click.echo(report.report(run.plan, terminal_width(), why=why))
    if not quiet:
        click.echo(f"written: {field / 'out'}, {len(files)} files", err=True)
        click.echo(f"look at {field / 'out' / 'page.html'}; to print: sheet.pdf beside it", err=True)
        if run.plan.passes:
            click.echo(f"for the operator: {field / 'out' / 'passes'}", err=True)
        if laid := check_strips.laid_line([run.plan]):
            click.echo(laid, err=True)
