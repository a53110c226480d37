"""`sprayworth hours PATH`: which hours are spray hours, and why not the others? Parses, calls, prints."""

from datetime import date
from pathlib import Path
from typing import Any

import click

from cli.options import emit, json_option, parse_date, terminal_width, today_option
from zoning.errors import SETTINGS, InputError
from zoning.units import UnitError, parse


def _in(quantity: str) -> Any:
    """Read an option as a quantity of ours."""

    def read(_ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
        if value is None:
            return None
        try:
            found = parse(value, quantity)
        except UnitError as error:
            raise InputError(
                f"{value!r}: {error.what}", where=param.opts[0], mend=error.mend, code=SETTINGS
            ) from error
        if not found > 0:
            raise InputError(
                f"{value!r} is not above 0", where=param.opts[0], mend="Correct it.", code=SETTINGS
            )
        return found

    return read


@click.command("hours")
@click.argument("path", type=click.Path(path_type=Path, exists=True))
@click.option("--lat", "latitude_deg", type=click.FloatRange(-90, 90), help="Latitude, north positive.")
@click.option("--lon", "longitude_deg", type=click.FloatRange(-180, 180), help="Longitude, east positive.")
@click.option("--time-zone", default="", help='Clock of the place, as "America/Chicago".')
@click.option("--wind-height", "wind_height_m", callback=_in("m"), help='Where wind was measured, as "10 m".')
@click.option("--max-wind", "max_wind_mph", callback=_in("mph"), help='Most wind by the label, as "10 mph".')
@click.option("--droplet", default="", help="Droplet class as the label words it; needed above 10 mph.")
@click.option(
    "--rainfast", "rainfast_h", type=click.FloatRange(0, 72), help="Hours without rain after, by the label."
)
@click.option("--from", "first", callback=parse_date, metavar="DATE", help="First day, as 2026-07-08.")
@click.option("--to", "last", callback=parse_date, metavar="DATE", help="Last day.")
@click.option("--reasons", is_flag=True, help="List every hour with why it is out, or what to mind.")
@click.option("--metric", is_flag=True, help="Print km/h, C and mm; a metric farm does by itself.")
@json_option
@today_option
def command(path: Path, reasons: bool, as_json: bool, today: date | None, **typed: Any) -> None:
    """Spray hours of each morning and afternoon by hourly weather, and why the other hours are out.

    PATH is an hourly CSV file; then give --lat and --lon. Or a farm or field folder, whose files and label
    limits are taken. A count, not a permission: the label and the operator decide.

    \b
    sprayworth hours demo_fields/heron_slough
    sprayworth hours station.csv --lat 44.3 --lon -95.4 --time-zone America/Chicago --max-wind "10 mph"
    """  # noqa: D301 (click reads \b)
    from zoning import questions

    asked = questions.HoursTyped(**typed)
    answer = questions.hours_of(path, asked, today=today, clock=date.today())
    if as_json:
        emit(questions.hours_object(answer, each=reasons))
    else:
        click.echo(questions.hours_text(answer, terminal_width(), each=reasons))
