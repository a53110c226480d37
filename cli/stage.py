"""`sprayworth stage`: when is R3? Parses, calls, prints."""

from datetime import date
from pathlib import Path

import click

from cli.options import emit, json_option, parse_date, seed_option, today_option
from zoning.errors import SETTINGS, InputError


@click.command("stage")
@click.argument(
    "field", required=False, type=click.Path(path_type=Path, exists=True, file_okay=False), default=None
)
@click.option(
    "--planted", multiple=True, callback=parse_date, metavar="DATE", help="Planting date; may be given again."
)
@click.option(
    "--mg", "groups", multiple=True, type=click.FloatRange(-2, 10), help="Maturity group; may be given again."
)
@click.option("--lat", "latitude_deg", type=click.FloatRange(-60, 60), help="Latitude, north positive.")
@click.option("--lon", "longitude_deg", type=click.FloatRange(-180, 180), help="Longitude; not needed.")
@click.option(
    "--weather", type=click.Path(path_type=Path, exists=True, dir_okay=False), help="Daily weather, CSV."
)
@click.option("--determinate", is_flag=True, help="A determinate variety.")
@json_option
@today_option
@seed_option
def command(
    field: Path | None,
    planted: tuple[date, ...],
    groups: tuple[float, ...],
    latitude_deg: float | None,
    longitude_deg: float | None,
    weather: Path | None,
    determinate: bool,
    as_json: bool,
    today: date | None,
    seed: int,
) -> None:
    """When is R3? From planting date, maturity group, latitude and daily weather, or for a field folder.

    \b
    sprayworth stage --planted 2026-05-06 --mg 2.4 --lat 44.3 --weather weather.csv
    sprayworth stage demo_fields/heron_slough/three_dates
    """  # noqa: D301 (click reads \b)
    from zoning import questions

    if field is not None:
        answer = questions.stage_of_field(field, today=today, seed=seed, clock=date.today())
    elif planted and groups and latitude_deg is not None:
        crop = questions.Crop(
            planted=planted,
            maturity_groups=groups,
            latitude_deg=latitude_deg,
            habit="determinate" if determinate else "indeterminate",
            weather=weather,
        )
        answer = questions.stage_of(crop, today=today, seed=seed, clock=date.today())
    else:
        raise InputError(
            "neither a field folder nor --planted, --mg and --lat are given",
            where="sprayworth stage",
            mend="Name a field folder, or give at least these three.",
            code=SETTINGS,
        )
    if as_json:
        emit(questions.stage_object(answer))
    else:
        click.echo(questions.stage_text(answer))
