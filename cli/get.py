"""`sprayworth get KIND`: fetch or bring in what a field folder lacks. Parses, calls, prints."""

import click

from cli.listed import Listed

# Kind -> what it gets; its module is imported only when it is called.
KINDS = {
    "imagery": "Clear satellite images of a field, from an open catalogue.",
    "weather": "Daily weather of a farm, this season and past years, from an open service.",
    "planting": "What was planted where, from what a planter wrote: shapes, a table or task data.",
}


@click.group(
    "get",
    cls=Listed,
    table=KINDS,
    module="cli.get_{name}",
    heading="Kinds",
    unknown="nothing called {name!r} can be got",
)
def command() -> None:
    """Fill a field folder: from open services over the network, or from a machine's file.

    Nothing else in this program asks a network for anything.

    \b
    sprayworth get imagery my_farm/north --from 2026-06-01 --to 2026-07-08
    sprayworth get weather my_farm
    sprayworth get planting my_farm/north planter.zip
    """  # noqa: D301 (click reads \b)
