"""Commands that stand in a table: each is imported when it is called, so that help comes at once."""

import difflib
import importlib
from collections.abc import Mapping

import click


class Listed(click.Group):
    """A group whose commands are modules of this folder.

    Parameters
    ----------
    table : mapping of str to str
        Name -> what it does.
    module : str
        Where the module of a name lies, as "cli.{name}".
    heading : str
        Above the list in its help.
    unknown : str
        What is said of another name, as "no command {name!r}".
    """

    def __init__(
        self,
        *more: object,
        table: Mapping[str, str],
        module: str,
        heading: str,
        unknown: str,
        **options: object,
    ) -> None:
        super().__init__(*more, **options)  # type: ignore[arg-type]
        self._table, self._module, self._heading, self._unknown = table, module, heading, unknown

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Name the commands in the order of the table."""
        return list(self._table)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import one command."""
        if cmd_name not in self._table:
            return None
        command: click.Command = importlib.import_module(self._module.format(name=cmd_name)).command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Say which command was nearly meant."""
        if args and args[0] not in self._table and not args[0].startswith("-"):
            near = difflib.get_close_matches(args[0], self._table, n=2, cutoff=0.5)
            hint = f"Did you mean {' or '.join(near)}?" if near else f"Choose from {', '.join(self._table)}."
            raise click.UsageError(f"{self._unknown.format(name=args[0])}. {hint}", ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands with what the table says."""
        with formatter.section(self._heading):
            formatter.write_dl(list(self._table.items()))
