"""`sprayworth desk FOLDER`: the page with recompute and save, on this computer. Parses, calls, prints."""

import getpass
import threading
import webbrowser
from datetime import date, datetime
from pathlib import Path

import click

from cli.options import folder_argument, seed_option, today_option


@click.command("desk")
@folder_argument("folder")
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="Listen there; else any free port.")
@click.option("--no-browser", is_flag=True, help="Print the address, and open no browser.")
@click.option(
    "--who", metavar="NAME", help="Who changes things, for overrides.jsonl; else the user logged in."
)
@click.option("--alone", is_flag=True, help="Run a field by itself, though `farm` scheduled it with others.")
@today_option
@seed_option
def command(
    folder: Path,
    port: int,
    no_browser: bool,
    who: str | None,
    alone: bool,
    today: date | None,
    seed: int,
) -> None:
    """The page of a field or farm with recompute and save, for this computer's browser only. Ctrl-C ends it.

    \b
    sprayworth desk demo_fields/heron_slough/three_dates
    sprayworth desk my_farm --no-browser --who "A. Scout"
    """  # noqa: D301 (click reads \b)
    from zoning.desk.running import How
    from zoning.desk.served import serve, who_of

    how = How(
        today=today,
        clock=datetime.now,
        seed=seed,
        alone=alone,
        who=who_of(who, _user() if who is None else who),
    )
    served = serve(folder, how, port)
    click.echo(served.address)
    click.echo("for this computer only; Ctrl-C ends it", err=True)
    if not no_browser:  # beside the desk: a browser of the terminal comes back only when it is closed
        threading.Thread(target=webbrowser.open, args=(served.address_once,), daemon=True).start()
    served.run()


def _user() -> str:
    try:
        return getpass.getuser()
    except (KeyError, OSError):  # a system without names for its users
        return ""
