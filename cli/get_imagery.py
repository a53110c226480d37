"""`sprayworth get imagery FIELD`: clear satellite images of a field. Parses, calls, prints."""

from datetime import date
from pathlib import Path

import click

from cli.options import Teller, emit, folder_argument, json_option, parse_date, quiet_option


@click.command("imagery")
@folder_argument("field")
@click.option(
    "--from", "first", required=True, callback=parse_date, metavar="DATE", help="First day, as 2026-06-01."
)
@click.option("--to", "last", required=True, callback=parse_date, metavar="DATE", help="Last day.")
@click.option(
    "--catalog", metavar="NAME|URL", help="Ask this catalogue: a name of the reference, or a STAC API."
)
@click.option("--collection", metavar="ID", help="Take the images of this collection of it.")
@click.option("--keep", type=click.IntRange(1, 50), help="Keep so many of the clearest days; default: 5.")
@json_option
@quiet_option
def command(
    field: Path,
    first: date,
    last: date,
    catalog: str | None,
    collection: str | None,
    keep: int | None,
    as_json: bool,
    quiet: bool,
) -> int:
    """Fetch the clearest satellite images of a field, and name them in its field.toml.

    Clouds are counted over the field, not over the scene; of each scene only the field's pixels are read.
    What came before is kept, so that a run that was stopped goes on.

    \b
    sprayworth get imagery my_farm/north --from 2026-06-01 --to 2026-07-08
    sprayworth get imagery my_farm/north --from 2026-06-01 --to 2026-07-08 --catalog https://stac.example.org
    """  # noqa: D301 (click reads \b)
    from zoning.fetch.imagery import got, told

    asked = got.Asked(first=first, last=last, keep=keep, catalog=catalog, collection=collection)
    with Teller(quiet=quiet, log_file=None) as tell:
        found = got.imagery(field, asked, date.today(), tell)
    if as_json:
        emit(told.as_object(found))
    else:
        click.echo(told.as_text(found))
    for fault in found.faults:
        click.echo(f"error: {fault}", err=True)
    return min((fault.code for fault in found.faults), default=0)
