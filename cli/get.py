"""`sprayworth get KIND`: fetch or bring in what a field folder lacks. Parses, calls, prints."""

import difflib
import importlib

import click

# Kind -> what it gets; its module is imported only when it is called.
KINDS = {
    "imagery": "Clear satellite images of a field, from an open catalogue.",
    "weather": "Daily weather of a farm, this season and past years, from an open service.",
    "planting": "What was planted where, from what a planter wrote: shapes, a table or task data.",
}


class Kinds(click.Group):
    """A group that imports a kind's module when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Name the kinds."""
        return list(KINDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import one kind."""
        if cmd_name not in KINDS:
            return None
        command: click.Command = importlib.import_module(f"cli.get_{cmd_name}").command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Say which kind was nearly meant."""
        if args and args[0] not in KINDS and not args[0].startswith("-"):
            near = difflib.get_close_matches(args[0], KINDS, n=1, cutoff=0.5)
            hint = f"Did you mean {near[0]}?" if near else f"Choose from {', '.join(KINDS)}."
            raise click.UsageError(f"nothing called {args[0]!r} can be got. {hint}", ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the kinds from the table above."""
        with formatter.section("Kinds"):
            formatter.write_dl(list(KINDS.items()))


@click.group("get", cls=Kinds)
def command() -> None:
    """Fill a field folder: from open services over the network, or from a machine's file.

    Nothing else in this program asks a network for anything.

    \b
    sprayworth get imagery my_farm/north --from 2026-06-01 --to 2026-07-08
    sprayworth get weather my_farm
    sprayworth get planting my_farm/north planter.zip
    """  # noqa: D301 (click reads \b)
