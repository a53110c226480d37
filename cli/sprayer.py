"""`sprayworth sprayer FARM`: what each sprayer can do. Parses, calls, prints."""

from pathlib import Path

import click

from cli.options import emit, json_option, terminal_width
from zoning.errors import SETTINGS, InputError


@click.command("sprayer")
@click.argument(
    "farm", required=False, type=click.Path(path_type=Path, exists=True, file_okay=False), default=None
)
@click.option("--nozzles", is_flag=True, help="Print the table of nozzle sizes too; needs no FARM.")
@json_option
def command(farm: Path | None, nozzles: bool, as_json: bool) -> None:
    """What each sprayer can do: which carrier volumes, how fast, at which pressure, acres an hour and a load.

    FARM is a farm or a field folder; no field, price or product is needed. A volume out of reach is listed
    with what would reach it.

    \b
    sprayworth sprayer demo_fields/heron_slough
    sprayworth sprayer --nozzles
    """  # noqa: D301 (click reads \b)
    from zoning import questions

    if farm is None and not nozzles:
        raise InputError(
            "no farm folder is given",
            where="sprayworth sprayer",
            mend="Name the folder of a farm or of a field, or ask for --nozzles.",
            code=SETTINGS,
        )
    answer = None if farm is None else questions.sprayers_of(farm)
    if as_json:
        emit(questions.sprayers_object(answer, with_nozzles=nozzles))
    else:
        click.echo(questions.sprayers_text(answer, terminal_width(), with_nozzles=nozzles))
