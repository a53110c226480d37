"""`sprayworth get planting FIELD FILE`: what was planted where. Parses, calls, prints."""

import shlex
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from cli.options import (
    Teller,
    emit,
    folder_argument,
    json_option,
    quiet_option,
    terminal_width,
    today_option,
)

if TYPE_CHECKING:
    from zoning.fetch.planting import Typed


@click.command("planting")
@folder_argument("field")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--column",
    "columns",
    multiple=True,
    metavar="ROLE=NAME",
    help="Which column is the date, variety, group, population, emerged, yield, east, north; ROLE= for none.",
)
@click.option(
    "--unit",
    "units",
    multiple=True,
    metavar="ROLE=UNIT",
    help='population=seeds/ac (or /ha, /m2, thousand/ac), "date=month first" or "date=day first".',
)
@click.option(
    "--task",
    "tasks",
    multiple=True,
    metavar="NAME",
    help="Of task data with several tasks: the one of this field; may be given several times.",
)
@click.option(
    "--confirm", "is_confirmed", is_flag=True, help="Write planting.geojson; without it nothing is taken."
)
@json_option
@today_option
@quiet_option
def command(
    field: Path,
    file: Path,
    columns: tuple[str, ...],
    units: tuple[str, ...],
    tasks: tuple[str, ...],
    is_confirmed: bool,
    as_json: bool,
    today: date | None,
    quiet: bool,
) -> None:
    """What was planted where? Shows the blocks that follow from a planter's file; --confirm takes them.

    FILE is what a planter or a phone wrote: CSV with longitude and latitude, shapefile, GeoPackage, GeoJSON,
    a zip of one of them, or a TASKDATA folder (ISO 11783-10). Columns are found by words in their names.
    Without --confirm only a picture is written: FIELD/preview/planting_blocks.png.

    \b
    sprayworth get planting my_farm/north planter.csv
    sprayworth get planting my_farm/north planter.zip --column variety=Hybrid --unit "date=month first"
    sprayworth get planting my_farm/north TASKDATA --task "Planting north" --confirm
    """  # noqa: D301 (click reads \b)
    from zoning.fetch import planting

    typed = planting.Typed(columns=columns, units=units, tasks=tasks)
    again = _again(field, file, typed, today)
    with Teller(quiet=quiet, log_file=None) as tell:
        tell("reading the planter's file")
        found = planting.preview(field, file, typed, today=today, clock=date.today())
        tell("drawing the blocks")
        written = planting.confirm(found) if is_confirmed else ()
        if not is_confirmed:
            planting.draw(found)
    if as_json:
        emit(planting.as_object(found, again=again, written=written))
    else:
        click.echo(planting.text(found, terminal_width(), again=again, written=written))


def _again(field: Path, file: Path, typed: "Typed", today: date | None) -> str:
    """Give the command that takes what is shown, as it would be typed."""
    words = ["sprayworth", "get", "planting", str(field), str(file)]
    for option, values in (("--column", typed.columns), ("--unit", typed.units), ("--task", typed.tasks)):
        for value in values:
            words += [option, value]
    words += ["--today", today.isoformat()] if today else []
    return shlex.join([*words, "--confirm"])
