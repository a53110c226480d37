"""`sprayworth stage`: when is R3? Parses, calls, prints."""

from datetime import date
from math import isfinite
from pathlib import Path
from typing import Any

import click

from cli.options import emit, json_option, parse_date, seed_option, today_option
from zoning.errors import SETTINGS, InputError


def _finite(_ctx: click.Context, _param: click.Parameter, value: Any) -> Any:
    """Refuse "nan", which is in no range and yet outside of none."""
    for one in value if isinstance(value, tuple) else (value,):
        if one is not None and not isfinite(one):
            raise click.BadParameter(f"{one} is not a number")
    return value


FILE = click.Path(path_type=Path, exists=True, dir_okay=False)


@click.command("stage")
@click.argument(
    "field", required=False, type=click.Path(path_type=Path, exists=True, file_okay=False), default=None
)
@click.option(
    "--planted",
    multiple=True,
    callback=parse_date,
    metavar="DATE",
    help="Planting date, past or to come; may be given again.",
)
@click.option(
    "--emerged",
    multiple=True,
    callback=parse_date,
    metavar="DATE",
    help="Emergence as seen: one for each --planted, or one for all.",
)
@click.option(
    "--mg",
    "groups",
    multiple=True,
    type=click.FloatRange(-2, 10),
    callback=_finite,
    help="Maturity group, 000 is -2 and 00 is -1; may be given again.",
)
@click.option(
    "--lat",
    "latitude_deg",
    type=click.FloatRange(-60, 66),
    callback=_finite,
    help="Latitude, north positive.",
)
@click.option(
    "--lon",
    "longitude_deg",
    type=click.FloatRange(-180, 180),
    callback=_finite,
    help="Longitude; not needed.",
)
@click.option(
    "--weather", type=FILE, help="Daily weather, CSV: date,tmin_c,tmax_c, this season and past years."
)
@click.option(
    "--counts",
    type=FILE,
    help="Counts of plants, CSV: date and plants as in scouting.csv; planted and maturity_group say of which "
    "planting.",
)
@click.option("--determinate", is_flag=True, help="A determinate variety.")
@json_option
@today_option
@seed_option
def command(
    field: Path | None,
    planted: tuple[date, ...],
    emerged: tuple[date, ...],
    groups: tuple[float, ...],
    latitude_deg: float | None,
    longitude_deg: float | None,
    weather: Path | None,
    counts: Path | None,
    determinate: bool,
    as_json: bool,
    today: date | None,
    seed: int,
) -> None:
    """When is R3? From planting date, maturity group, latitude and daily weather, or for a field folder.

    Every --planted is asked with every --mg. Counts of plants move the dates, also those of the other rows.

    \b
    sprayworth stage --planted 2026-05-06 --mg 2.4 --lat 44.3 --weather weather.csv
    sprayworth stage demo_fields/heron_slough/three_dates
    """  # noqa: D301 (click reads \b)
    from zoning import questions

    of_a_place = {
        "--planted": planted,
        "--emerged": emerged,
        "--mg": groups,
        "--lat": latitude_deg is not None,
        "--weather": weather,
        "--counts": counts,
        "--determinate": determinate,
    }
    if field is not None:
        beside = [name for name, value in of_a_place.items() if value]
        if beside:
            raise InputError(
                f"a field folder is given and also {', '.join(beside)}",
                where="sprayworth stage",
                mend="Leave one of them out; a field's own files say all this.",
                code=SETTINGS,
            )
        answer = questions.stage_of_field(field, today=today, seed=seed, clock=date.today())
    elif planted and groups and latitude_deg is not None:
        crop = questions.Crop(
            planted=planted,
            emerged=emerged,
            maturity_groups=groups,
            latitude_deg=latitude_deg,
            habit="determinate" if determinate else "indeterminate",
            weather=weather,
            counts=counts,
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
