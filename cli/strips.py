"""`sprayworth strips FIELD`: after harvest, did it pay, and where. Parses, calls, prints."""

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
    terminal_width,
    today_option,
)


@click.command("strips")
@folder_argument("path")
@click.option(
    "--yield",
    "yields",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="The combine's points: CSV, shapefile, GeoPackage or GeoJSON; else the one in FIELD/harvest.",
)
@click.option(
    "--column",
    "columns",
    multiple=True,
    metavar="ROLE=NAME",
    help="Which column is the yield, flow, moisture, time, speed ...; may be given several times.",
)
@click.option(
    "--unit",
    "units",
    multiple=True,
    metavar="ROLE=UNIT",
    help="The unit of a column, as yield=bu/ac; may be given several times.",
)
@click.option(
    "--strips",
    "drawn",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Strips that you drew, with the columns pair and treatment; else strips/design.geojson.",
)
@click.option(
    "--applied",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="What the sprayer wrote; else what `done --as-applied` kept, else done.csv.",
)
@click.option("--rate-column", default="", metavar="NAME", help="The column of the rate in that file.")
@click.option("--no-learning", is_flag=True, help="Leave learned.toml and season.csv as they are.")
@json_option
@today_option
@quiet_option
@log_option
def command(
    path: Path,
    yields: Path | None,
    columns: tuple[str, ...],
    units: tuple[str, ...],
    drawn: Path | None,
    applied: Path | None,
    rate_column: str,
    no_learning: bool,
    as_json: bool,
    today: date | None,
    quiet: bool,
    log_file: Path | None,
) -> None:
    """What did the pass return, where, and what is believed now? After harvest.

    PATH is a field: its strips are judged by what was sprayed, and FIELD/strips/SEASON is written, with
    learned.toml and season.csv of the farm. Or PATH is a farm: then all of its seasons are told.

    \b
    sprayworth strips demo_fields/plover_rise/long_eighty
    sprayworth strips my_farm/north --yield points.csv --column yield=Yld --unit yield=t/ha
    sprayworth strips my_farm/north --applied rig.shp --no-learning
    sprayworth strips my_farm
    """  # noqa: D301 (click reads \b)
    from zoning import harvest
    from zoning.show.trial import report

    asked = harvest.Asked(
        yields=yields, columns=columns, units=units, drawn=drawn, applied=applied, rate_column=rate_column
    )
    if harvest.is_farm(path):
        book = harvest.book_of_farm(path, asked)
        if as_json:
            emit(harvest.book_object(book))
        else:
            click.echo(harvest.book_text(book, terminal_width()))
        return
    with Teller(quiet=quiet, log_file=log_file) as tell:
        found = harvest.trial(path, asked, today=today, clock=date.today(), tell=tell)
        tell("writing files")
        files = harvest.write(found, path, learns=not no_learning)
    if as_json:
        emit(harvest.as_object(found, files))
        return
    click.echo(report.text(found.result, terminal_width()))
    if not quiet:
        click.echo(f"written: {path / 'strips' / str(found.result.season)}, {len(files)} files", err=True)
