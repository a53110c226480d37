"""`sprayworth check PATH`: what is wrong, missing or doubtful. Parses, calls, prints."""

from datetime import date
from pathlib import Path

import click

from cli.options import emit, json_option, today_option
from zoning.errors import CONTENT


@click.command("check")
@click.argument("path", type=click.Path(path_type=Path, exists=True), required=False, metavar="PATH")
@click.option("--settings", "has_defaults", is_flag=True, help="List also the settings that nobody typed.")
@click.option(
    "--preview",
    is_flag=False,
    flag_value="",
    metavar="[DIR]",
    help="Write a picture of every input on the field's outline, into DIR; left out: preview in the field.",
)
@json_option
@today_option
def command(
    path: Path | None, has_defaults: bool, preview: str | None, as_json: bool, today: date | None
) -> int:
    """Read a field or a farm and say what is wrong, missing or doubtful, and where each setting came from.

    Given a file for a terminal, or a folder of them, it says what a terminal may refuse. Writes nothing but
    the pictures that --preview asks for. Ends with 0 when there are only doubts.

    \b
    sprayworth check demo_fields/heron_slough/three_dates
    sprayworth check demo_fields/heron_slough/three_dates --preview pictures
    sprayworth check demo_fields/heron_slough/three_dates/out/passes
    """  # noqa: D301 (click reads \b)
    from zoning.settings.read import FARM_FILE, FIELD_FILE

    if path is None:  # `check --preview FIELD`: what stands behind the option is the field
        path, preview = _path(preview), ""
    if not any((path / name).is_file() for name in (FARM_FILE, FIELD_FILE)):
        if preview is not None:
            raise click.UsageError("--preview is for a field or a farm, not for files of terminals")
        return _files(path, as_json)
    from zoning import checks

    clock = date.today()
    report = checks.check(path, today=today, clock=clock)
    if not as_json:
        click.echo(checks.as_text(report, has_defaults=has_defaults))
    for field, fault in report.told:
        click.echo(f"error: {field}: {fault}" if field else f"error: {fault}", err=True)
    told = checks.as_object(report)
    if preview is not None:
        from zoning import preview as pictures

        made = pictures.write(path, Path(preview) if preview else None, today=today, clock=clock)
        told |= {"previews": pictures.as_object(made)}
        if not as_json:
            click.echo(pictures.as_text(made))
    if as_json:
        emit(told)
    return report.code


def _path(typed: str | None) -> Path:
    if not typed or not Path(typed).exists():
        raise click.UsageError("Missing argument 'PATH'." if not typed else f"Path {typed!r} does not exist.")
    return Path(typed)


def _files(path: Path, as_json: bool) -> int:
    """Check files for terminals."""
    from zoning.file_checks import check, told

    checked = check(path)
    if as_json:
        emit(told.as_object(checked))
    else:
        click.echo(told.as_text(checked))
        click.echo(told.LIMITS, err=True)
    return CONTENT if checked.is_refused else 0
