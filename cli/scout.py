"""`sprayworth scout PATH`: where is a count worth most? Parses, calls, prints."""

from collections.abc import Iterable
from datetime import date
from pathlib import Path

import click

from cli.options import emit, folder_argument, json_option, seed_option, today_option
from zoning.errors import CONTENT, SETTINGS, InputError
from zoning.units import UnitError, parse


def _usd(_ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
    if value is None:
        return None
    try:
        return parse(value, "usd")
    except UnitError as error:
        raise InputError(
            f"{value!r}: {error.what}", where=param.opts[0], mend=error.mend, code=SETTINGS
        ) from (error)


@click.command("scout")
@folder_argument("path")
@click.option(
    "--add",
    "file",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    help="Add a consultant's points (CSV, GeoJSON or GPX) to the fields that hold them.",
)
@click.option("--walk-cost", callback=_usd, help='What a walk costs you, as "25 USD".')
@json_option
@today_option
@seed_option
def command(
    path: Path, file: Path | None, walk_cost: float | None, as_json: bool, today: date | None, seed: int
) -> int:
    """Where is a count worth most today? Ranks the zones of a field, or of all fields of a farm.

    The value of a count is what the best decision after it returns on average more than the decision now.

    \b
    sprayworth scout demo_fields/heron_slough
    sprayworth scout my_farm --add consultant.csv
    """  # noqa: D301 (click reads \b)
    if file is not None:
        return _add(file, path, today, as_json=as_json)
    from zoning import scout

    answer = scout.rank(path, today=today, seed=seed, clock=date.today(), walk_cost_usd=walk_cost)
    _tell(answer.failures)
    if as_json:
        emit(scout.scout_object(answer))
    else:
        click.echo(scout.scout_text(answer))
    return CONTENT if answer.failures else 0


def _add(file: Path, path: Path, today: date | None, *, as_json: bool) -> int:
    """Add points and say what became of each."""
    from zoning import scout

    added = scout.add(file, path, today=today, clock=date.today())
    _tell(added.failures)
    if as_json:
        emit(scout.added_object(added, path))
    else:
        click.echo(scout.added_text(added, path))
    return CONTENT if added.failures else 0


def _tell(failures: Iterable[tuple[str, InputError]]) -> None:
    for field, fault in failures:
        for single in fault.faults:
            click.echo(f"error: {field}: {single}", err=True)
