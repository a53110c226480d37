"""`sprayworth get weather FARM`: daily weather, and hours to come. Parses, calls, prints."""

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


@click.command("weather")
@folder_argument("farm")
@click.option(
    "--years", type=click.IntRange(0, 100), help="Past years; default: as many as tell the spread, 10."
)
@click.option("--hourly", is_flag=True, help="The hours to come too, where the service knows them.")
@click.option(
    "--keep", is_flag=True, help="Keep the rows of a weather file of your own, and add what it lacks."
)
@click.option("--fill", is_flag=True, help="Draw a straight line over short gaps, each day marked filled.")
@click.option("--service", metavar="NAME", help="Ask this service of daily weather.")
@click.option(
    "--services",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    help="A table of services of your own, in the form of the reference.",
)
@json_option
@today_option
@quiet_option
@log_option
def command(
    farm: Path,
    years: int | None,
    hourly: bool,
    keep: bool,
    fill: bool,
    service: str | None,
    services: Path | None,
    as_json: bool,
    today: date | None,
    quiet: bool,
    log_file: Path | None,
) -> int:
    """Daily weather of a farm, this season and past years, from an open service over the network.

    Writes weather.csv beside farm.toml. What came once is kept and not asked for again; a run that failed
    goes on where it stopped. A weather file of your own is never overwritten.

    \b
    sprayworth get weather my_farm
    sprayworth get weather my_farm --hourly --keep
    """  # noqa: D301 (click reads \b)
    from zoning.fetch.weather import shown
    from zoning.fetch.weather.got import Wish, get

    wish = Wish(years=years, keep=keep, fill=fill, hourly=hourly, service=service, services=services)
    with Teller(quiet=quiet, log_file=log_file) as tell:
        got = get(farm, wish, today=today, clock=date.today(), tell=tell)
        tell.clear()
    if as_json:
        emit(shown.got_object(got))
    else:
        click.echo(shown.got_text(got, terminal_width()))
    return 0
