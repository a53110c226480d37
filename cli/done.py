"""`sprayworth done FARM`: what was sprayed. Parses, calls, prints."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

import click

from cli.options import emit, folder_argument, json_option, terminal_width, today_option
from zoning.errors import CONTENT, InputError

_OF_A_PASS = (
    ("start", "When it began, on the farm's clock.", '"2026-07-14 07:30"'),
    ("end", "When it was over; the day at least.", '"2026-07-14 10:00"'),
    ("zones", "Zones that were sprayed.", '"1,3"'),
    ("rate", "Carrier volume.", '"15 gal/ac"'),
    ("loads", "Tank loads.", "2.5"),
    ("area", "Ground that was sprayed.", '"92 ac"'),
    ("wind", "Wind, with its direction.", '"6 mph SW"'),
    ("temperature", "Temperature.", '"75 F"'),
    ("applicator", "Who sprayed.", "NAME"),
    ("product", "Product, as it is called on the label.", "NAME"),
    ("sprayer", "Sprayer, as it is called in farm.toml.", "NAME"),
)


def _pass_options(function: Any) -> Any:
    """Take what can be said of a pass."""
    for name, what, example in reversed(_OF_A_PASS):
        function = click.option(f"--{name}", default="", metavar=example, help=what)(function)
    return function


@click.command("done")
@folder_argument("path")
@click.option("--field", default="", metavar="NAME", help="The field: its name, or that of its folder.")
@click.option("--pass", "number", type=click.IntRange(1, 9999), help="Its number in the plan of the field.")
@_pass_options
@click.option(
    "--as-applied",
    type=click.Path(path_type=Path),
    help="What the sprayer wrote: shapefile, GeoPackage or GeoJSON, polygons or points with a rate.",
)
@click.option("--rate-column", default="", metavar="NAME", help="The column of the rate in that file.")
@click.option("--record", "is_record", is_flag=True, help="Print an application record to fill in.")
@json_option
@today_option
def command(
    path: Path,
    field: str,
    number: int | None,
    is_record: bool,
    as_applied: Path | None,
    rate_column: str,
    as_json: bool,
    today: date | None,
    **cells: str,
) -> int:
    """What was sprayed? Lists what is recorded and which passes are not, or records one.

    PATH is a farm or a field. A pass is recorded with --field, --pass and --end; what else is left out is
    taken from the plan, and the record says so. With --product in place of --pass any other pass is recorded.

    \b
    sprayworth done my_farm
    sprayworth done my_farm --field north --pass 1 --start "2026-07-14 07:30" --end "2026-07-14 10:00"
    sprayworth done my_farm --field north --pass 1 --end 2026-07-14 --as-applied rig.shp
    sprayworth done my_farm --record
    """  # noqa: D301 (click reads \b)
    from zoning import sprayed

    clock = date.today()
    if is_record:
        records = sprayed.records(path, today=today, clock=clock, field=field, number=number)
        if as_json:
            emit(sprayed.records_object(records))
        else:
            click.echo(sprayed.records_text(records))
        # a field whose plan cannot be read has no record here, and nobody must think that it needs none
        return 0 if field else _told(sprayed.listed(path, today=today, clock=clock).failures)
    if any(cells.values()) or number is not None or as_applied is not None:
        typed = sprayed.Typed(
            field=field,
            number="" if number is None else str(number),
            as_applied=as_applied,
            rate_column=rate_column,
            **cells,
        )
        found = sprayed.record(path, typed, today=today, clock=clock)
        if as_json:
            emit(sprayed.recorded_object(found, path))
        else:
            click.echo(sprayed.recorded_text(found, path, terminal_width()))
        return 0
    answer = sprayed.listed(path, today=today, clock=clock, field=field)
    code = _told(answer.failures)
    if as_json:
        emit(sprayed.listed_object(answer))
    else:
        click.echo(sprayed.listed_text(answer, terminal_width()))
    return code


def _told(failures: Sequence[tuple[str, InputError]]) -> int:
    """Name the fields that cannot be read, and give the exit code."""
    for name, fault in failures:
        for single in fault.faults:
            click.echo(f"error: {name}: {single}", err=True)
    return CONTENT if failures else 0
