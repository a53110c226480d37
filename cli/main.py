"""The entry point: finds the command, turns faults into one line each, and sets the exit code.

Exit codes: 0 done, 1 a bug of ours, 2 wrong command line or settings, 3 bad content of an input file or a
failed field of a farm, 4 the world refused, 130 interrupted.
"""

import io
import os
import signal
import sys
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

import click

from cli.listed import Listed
from zoning import __version__
from zoning.errors import WORLD, InputError, raise_all

_INTERRUPTED = 130  # as shells say it of Ctrl-C

# Command -> what it does; its module is imported only when it is called, so that help comes at once.
COMMANDS = {
    "run": "The whole job for one field: writes FIELD/out and prints the plan.",
    "farm": "The whole job for every field of a farm, with one schedule.",
    "new": "Make a farm or field folder to fill in, or an example that runs.",
    "get": "Fill a field folder from open services, or from what a planter wrote.",
    "check": "Read everything and say what is wrong, missing or doubtful; draws it on request.",
    "stage": "When is R3? From a planting date, group and place, or a field folder.",
    "scout": "Where is a count worth most today? Or add a consultant's points.",
    "hours": "Which hours are spray hours by hourly weather, and why are the others out?",
    "sprayer": "What can each sprayer do? Carrier volumes, speeds, acres an hour and a load.",
    "done": "What was sprayed? Records passes, reads the sprayer's files, prints a record to fill in.",
    "strips": "After harvest: what did the pass return, where, and what is believed now?",
    "worth": "Does a pass pay? From price, cost and response, without a field.",
    "desk": "The page of a field or farm with recompute and save, on this computer only.",
    "evidence": "Every agronomic number with its source and kind.",
}


@click.group(
    cls=Listed,
    table=COMMANDS,
    module="cli.{name}",
    heading="Commands",
    unknown="no command {name!r}",
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Start with: sprayworth new --example DIR, then sprayworth run DIR/three_dates",
)
@click.version_option(__version__, prog_name="sprayworth")
def commands() -> None:
    """Where, when, whether and how a soybean fungicide pass is worth making."""


def main(arguments: list[str] | None = None) -> None:
    """Run one command and exit with its code."""
    # The numeric libraries run single-threaded: same results on any machine, and no waiting threads.
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ[name] = "1"
    os.environ["PROJ_NETWORK"] = "OFF"  # nobody asked for finer shifts between datums from the network
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # closed by who called: nobody wants to hear
            setattr(sys, name, Path(os.devnull).open("w", encoding="utf-8"))  # noqa: SIM115
        stream = getattr(sys, name)
        if isinstance(stream, io.TextIOWrapper):  # a console of Windows lacks letters that names may have
            stream.reconfigure(errors="replace")
    with _interrupts() as heard:
        code = _code(arguments, heard)
    if code == _INTERRUPTED and any(one.name.startswith("fetch") for one in threading.enumerate()):
        os._exit(code)  # else the last answers would be waited for, a minute and more where they are slow
    sys.exit(code)


def _refuse_odd_letters(arguments: list[str]) -> None:
    if all(one.isascii() for one in arguments):
        return
    from zoning.settings.names import odd_letters  # late: help comes at once

    raise_all(odd_letters(arguments))


@contextmanager
def _interrupts() -> Iterator[list[int]]:
    """Give a list that grows with each Ctrl-C, unless whoever called us answers it, or has it ignored."""
    heard: list[int] = []
    is_main = threading.current_thread() is threading.main_thread()
    if not is_main or signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        yield heard
        return

    def interrupt(number: int, frame: FrameType | None) -> None:
        heard.append(number)
        signal.default_int_handler(number, frame)

    signal.signal(signal.SIGINT, interrupt)
    try:
        yield heard
    finally:
        if signal.getsignal(signal.SIGINT) is interrupt:
            signal.signal(signal.SIGINT, signal.default_int_handler)


def _code(arguments: list[str] | None, heard: Sequence[int] = ()) -> int:
    try:
        _refuse_odd_letters(sys.argv[1:] if arguments is None else arguments)
        return _ended(arguments)
    except InputError as error:
        for fault in error.faults:
            click.echo(f"error: {fault}", err=True)
        return error.code
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except ImportError:
        if not heard:
            raise
        return _interrupted()  # while a numeric library loaded, which then calls itself broken
    except (KeyboardInterrupt, click.Abort):
        return _interrupted()
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except OSError as error:
        click.echo(f"error: {error.filename or 'disk'}: {error.strerror}. Mend that and run again.", err=True)
        return WORLD


def _ended(arguments: list[str] | None) -> int:
    out = sys.stdout
    try:
        result = commands.main(args=arguments, prog_name="sprayworth", standalone_mode=False)
    except SystemExit:
        if sys.stdout is out:
            raise
        return 0  # click has put a silent stream there, as nobody reads any more, and would end with 1
    return result if isinstance(result, int) else 0


def _interrupted() -> int:
    signal.signal(signal.SIGINT, signal.SIG_DFL)  # pressed again it ends us at once and tells nothing
    click.echo("interrupted", err=True)
    return _INTERRUPTED
