"""`sprayworth check PATH`: what is wrong, missing or doubtful. Parses, calls, prints; writes nothing."""

from datetime import date
from pathlib import Path

import click

from cli.options import emit, folder_argument, json_option, today_option


@click.command("check")
@folder_argument("path")
@json_option
@today_option
def command(path: Path, as_json: bool, today: date | None) -> int:
    """Read a field or a farm and say what is wrong, missing or doubtful, and where each setting came from.

    Writes nothing. Ends with 0 when there are only doubts.

    \b
    sprayworth check demo_fields/heron_slough/three_dates
    """  # noqa: D301 (click reads \b)
    from zoning import checks

    report = checks.check(path, today=today, clock=date.today())
    if as_json:
        emit(checks.as_object(report))
    else:
        click.echo(checks.as_text(report))
    for fault in report.faults:
        click.echo(f"error: {fault}", err=True)
    return report.code
