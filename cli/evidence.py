"""`sprayworth evidence`: every number with its passport. Parses, calls, prints."""

import click

from cli.options import emit, json_option
from zoning.errors import SETTINGS, InputError


@click.command("evidence")
@click.argument("name", required=False, default="")
@json_option
def command(name: str, as_json: bool) -> None:
    """Every agronomic number with its value, unit, source, kind and note.

    NAME is a room (stage, returns, zones, sprayer, passes) or the beginning of an entry's name.

    \b
    sprayworth evidence
    sprayworth evidence returns.track
    """  # noqa: D301 (click reads \b)
    from zoning import evidence

    entries = evidence.find(name)
    if not entries:
        raise InputError(
            f"no entry starts with {name!r}",
            where="sprayworth evidence",
            mend=f"Choose a room: {', '.join(evidence.rooms())}.",
            code=SETTINGS,
        )
    if as_json:
        emit({"schema_version": 1, "entries": [evidence.as_object(entry) for entry in entries]})
        return
    for entry in entries:
        click.echo(evidence.as_text(entry))
