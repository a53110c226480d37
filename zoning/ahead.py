"""Zones measured by a process that is started ahead, while the command is still reading its inputs.

The yardsticks of the zones need scikit-learn, and importing it takes longer than everything else that a run
does. A process of its own imports it from the first moment on, beside the main one, and measures the zones
while the main one prices them. The figures are the same, whoever measures.
"""

import importlib
import multiprocessing
import signal
from collections.abc import Callable
from multiprocessing.connection import Connection
from types import TracebackType
from typing import TYPE_CHECKING, Self

if TYPE_CHECKING:  # what is imported here at run time would be waited for before the process starts
    from zoning.offers.zoned import Zoned
    from zoning.zones.quality import Quality


class MeasuredAhead:
    """Starts a process that gets ready to measure zones; used as a context, and given to `field.run`.

    Examples
    --------
    >>> with MeasuredAhead() as ahead:
    ...     measured_by = ahead.begin  # for field.run(folder, measured_by=measured_by)
    """

    def __enter__(self) -> Self:
        # a fork is ready at once; where there is none, a fresh interpreter does the same a little later
        how = "fork" if "fork" in multiprocessing.get_all_start_methods() else "spawn"
        multiprocessing.set_start_method(how, force=True)
        self._asked = 0
        self._line, theirs = multiprocessing.Pipe()
        ours = self._line if how == "fork" else None
        self._process = multiprocessing.Process(target=_measure_when_asked, args=(theirs, ours), daemon=True)
        self._process.start()
        theirs.close()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, where: TracebackType | None
    ) -> None:
        self._line.close()
        self._process.kill()
        self._process.join()

    def begin(self, found: "Zoned", /, *, seed: int) -> "Callable[[], Quality]":
        """Begin to measure the zones of a field, as `zoning.field.measure_here` would."""
        from zoning.field import measure_here

        here = measure_here(found, seed=seed)
        self._asked += 1
        ticket = self._asked
        try:
            self._line.send(
                (ticket, found.zoning, found.layers, found.checked, found.ground, found.limits, seed)
            )
        except OSError:  # the process is gone: measure here, where a fault is seen as it is
            return here

        def wait() -> "Quality":
            quality: Quality
            try:
                while True:  # a field that failed after it had asked never fetched its answer
                    answered, quality = self._line.recv()
                    if answered == ticket:
                        return quality
            except (EOFError, OSError):
                return here()

        return wait


def _measure_when_asked(line: Connection, other_end: Connection | None) -> None:
    if other_end is not None:  # it came with the fork, and held open here it hides that its owner is gone
        other_end.close()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the main process answers Ctrl-C for both
    importlib.import_module("sklearn.cluster")
    importlib.import_module("sklearn.metrics")
    from zoning.zones.measured import measure

    while True:
        try:
            ticket, *of_field, seed = line.recv()
        except EOFError:  # nobody asks any more
            return
        line.send((ticket, measure(*of_field, seed=seed)))
