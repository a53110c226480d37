"""How far a farm's run is: a bar with the time left, or a line now and then; failures as they come."""

import sys
import time
from collections import Counter
from contextlib import ExitStack
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

import click

from cli.options import Teller

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID

    from zoning.farm import Outcome

_EVERY_S = 10.0  # a line where there is no terminal
_LONG = 20  # tasks of a step worth a line
_NARROW = 60  # letters of a line in which a bar has no room
_SAME = 3  # fields that are named with one and the same fault


class FarmTeller:
    """Tells on stderr how a farm's run goes; used as a context."""

    def __init__(self, *, quiet: bool, log_file: Path | None) -> None:
        self._teller = Teller(quiet=quiet, log_file=log_file)
        self._quiet = quiet
        self._bar: Progress | None = None
        self._task: TaskID | None = None
        self._faults: Counter[str] = Counter()
        self._step = ""
        self._began = self._told = time.monotonic()
        self._ends = ExitStack()

    def __enter__(self) -> Self:
        if not self._quiet and sys.stderr.isatty():
            from rich.console import Console
            from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

            console = Console(stderr=True)
            bar = [BarColumn()] if console.width >= _NARROW else []
            how_far = (TextColumn("{task.fields[how_far]}"), TimeRemainingColumn(compact=True))
            columns = (TextColumn("{task.description}"), *bar, *how_far)
            self._bar = self._ends.enter_context(Progress(*columns, console=console, transient=True))
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, where: TracebackType | None
    ) -> None:
        self._ends.close()
        for fault, number in self._faults.items():
            if number > _SAME:
                more = f"{number - _SAME:,} more field{'s' if number > _SAME + 1 else ''}"
                self._say(f"error: {more}{', named in failures.csv' if error is None else ''}: {fault}")
        self._teller.done()

    def __call__(self, step: str) -> None:
        """Say that a step begins."""
        self._step = step
        self._began = self._told = time.monotonic()
        if self._bar is None:
            self._teller(step)
            return
        self._teller.write(step)
        if self._task is not None:
            self._bar.remove_task(self._task)
        self._task = self._bar.add_task(step, total=None, how_far="")

    def advance(self, done: int, of: int) -> None:
        """Say how many tasks of the step are done."""
        if self._bar is not None and self._task is not None:
            self._bar.update(self._task, completed=done, total=of, how_far=f"{done:,}/{of:,}")
        elif not self._quiet and of >= _LONG and of / _LONG <= done < of:  # the first ones tell little
            now = time.monotonic()
            if now - self._told >= _EVERY_S:
                self._told = now
                left_s = (now - self._began) / done * (of - done)
                self._say(f"{self._step}: {done:,} of {of:,}, about {_minutes(left_s)} left")

    def outcome(self, outcome: "Outcome") -> None:
        """Say why a field failed, at once; a field that came is only logged.

        What is wrong with many fields alike, as in the farm's weather, is said of the first ones only.
        """
        if outcome.fault is None:
            self._teller.write(f"{outcome.field}: {len(outcome.files)} files")
            return
        for fault in outcome.fault.faults:
            line = f"error: {outcome.field}: {fault}"
            self._teller.write(line)
            self._faults[str(fault)] += 1
            if self._faults[str(fault)] <= _SAME:
                self._say(line)

    def trace(self, text: str) -> None:
        """Keep the traceback of a fault of ours in the log."""
        self._teller.write(text)

    def _say(self, line: str) -> None:
        if self._bar is not None:
            self._bar.console.print(line, markup=False, highlight=False, soft_wrap=True)
        else:
            click.echo(line, err=True)


def _minutes(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 100 else f"{seconds / 60:.0f} min"
