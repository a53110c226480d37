"""Options used by more than one command.

json_option, today_option, seed_option, quiet_option, log_option, folder_argument, parse_date;
and `terminal_width`, `emit` and `Teller`.
"""

import codecs
import errno
import json
import os
import shutil
import sys
from collections.abc import Callable
from contextlib import suppress
from datetime import date, datetime
from io import FileIO
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import click

from zoning import __version__
from zoning.errors import SETTINGS, WORLD, InputError

Decorator = Callable[[Any], Any]
_NARROWEST = 40  # letters; a phone held upright shows about that many


def parse_date(_ctx: click.Context, _param: click.Parameter, value: Any) -> Any:
    """Read one date, or each of several, written as 2026-07-08."""
    if value is None:
        return None
    if isinstance(value, tuple):
        return tuple(parse_date(_ctx, _param, one) for one in value)
    try:
        return date.fromisoformat(value)
    except ValueError:
        raise click.BadParameter(f"{value!r} is not a date; write it as 2026-07-08") from None


json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON object and nothing else.")
today_option = click.option(
    "--today",
    callback=parse_date,
    metavar="DATE",
    help="Plan as of this day (2026-07-08); default: as_of, or now.",
)
seed_option = click.option(
    "--seed", type=click.IntRange(0, 2**31), default=0, show_default=True, help="Seed of the draws."
)
quiet_option = click.option("--quiet", is_flag=True, help="No progress on stderr.")
log_option = click.option(
    "--log", "log_file", type=click.Path(path_type=Path, dir_okay=False), help="Append what was done to FILE."
)


def folder_argument(name: str) -> Decorator:
    """Take one existing folder."""
    return click.argument(name, type=click.Path(path_type=Path, exists=True, file_okay=False))


def terminal_width() -> int:
    """Give the width to print for: that of the terminal, up to a wide one; of a file or a pipe a wide one."""
    from zoning.show.layout import WIDTH

    if not sys.stdout.isatty():
        return WIDTH
    return max(_NARROWEST, min(WIDTH, shutil.get_terminal_size((WIDTH, 24)).columns))


def emit(thing: object) -> None:
    """Print one JSON object; where the output takes few letters, in those that every output takes."""
    is_narrow = codecs.lookup(sys.stdout.encoding or "ascii").name != "utf-8"
    click.echo(json.dumps(thing, indent=2, ensure_ascii=is_narrow, allow_nan=False))


class Teller:
    """Says on stderr what is being done, and keeps a log if a file was named; used as a context.

    A step is told when it starts; on a terminal it replaces the one before it. What stopped the command is
    kept in the log too.
    """

    def __init__(self, *, quiet: bool, log_file: Path | None) -> None:
        self._quiet, self._log_file = quiet, log_file
        self._log: FileIO | None = None
        if log_file is not None:
            try:
                self._log = log_file.open("ab", buffering=0)
            except OSError as error:
                raise _no_log(error, log_file) from error
        self.write(f"sprayworth {__version__}")

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, where: TracebackType | None
    ) -> None:
        with suppress(InputError):  # what stopped the command is told, whatever becomes of the log
            for fault in error.faults if isinstance(error, InputError) else ():
                self.write(f"error: {fault}")
        self.done()

    def __call__(self, step: str) -> None:
        """Say one step."""
        self.write(step)
        if self._quiet:
            return
        if sys.stderr.isatty():
            click.echo(f"\r\033[K{step} ...", err=True, nl=False)
        else:
            click.echo(step, err=True)

    def clear(self) -> None:
        """Take the last step off a terminal, so that a result may stand there."""
        if not self._quiet and sys.stderr.isatty():
            click.echo("\r\033[K", err=True, nl=False)

    def done(self) -> None:
        """Clear the line and close the log."""
        self.clear()
        if self._log is not None:
            self._log.close()

    def write(self, line: str) -> None:
        """Keep a line in the log, if there is one; it is not printed.

        Raises
        ------
        InputError
            Code 4 when the disk refuses; the log ends with the line before.
        """
        if self._log is None or self._log_file is None:
            return
        now = datetime.now().astimezone().isoformat(timespec="seconds")
        try:
            _append(self._log, f"{now} {line}\n".encode("utf-8", "backslashreplace"))
        except OSError as error:
            self._log.close()
            self._log = None
            raise _no_log(error, self._log_file) from error


def _append(log: FileIO, text: bytes) -> None:
    """Put a line at the end in one write, at once: a command that is killed has told how far it came."""
    size = os.fstat(log.fileno()).st_size
    if (log.write(text) or 0) < len(text):  # a full disk takes a part, and says nothing of it
        log.truncate(size)
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def _no_log(error: OSError, log_file: Path) -> InputError:
    is_typed_wrong = isinstance(error, FileNotFoundError | NotADirectoryError | IsADirectoryError)
    return InputError(
        f"the log cannot be written ({error.strerror})",
        where=log_file,
        mend="Name a file in a folder that you may write to, on a disk that has room.",
        code=SETTINGS if is_typed_wrong else WORLD,
    )
