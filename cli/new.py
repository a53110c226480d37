"""`sprayworth new DIR`: a folder to fill in, or an example that runs. Parses, calls, prints."""

from pathlib import Path
from typing import Literal

import click

from cli.options import emit, json_option


@click.command("new")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option("--example", is_flag=True, help="An invented farm that runs, with all its files.")
@click.option("--field", "only_field", is_flag=True, help="Only a field folder, inside a farm that exists.")
@json_option
def command(folder: Path, example: bool, only_field: bool, as_json: bool) -> None:
    """Make a farm folder with one field to fill in, every key commented; never writes over a file.

    \b
    sprayworth new my_farm
    sprayworth new my_farm/north_forty --field
    sprayworth new try_it --example
    """  # noqa: D301 (click reads \b)
    from zoning.inputs import templates

    kind: Literal["farm", "field", "example"] = "example" if example else "field" if only_field else "farm"
    made = templates.make(folder, kind)
    if as_json:
        emit({"schema_version": 1, "made": [str(path) for path in made.files], "next": made.next_step})
        return
    for path in made.files:
        click.echo(path)
    click.echo(made.next_step)
