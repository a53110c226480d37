"""Zones drawn by a process that is started ahead, while the command is still reading its inputs.

Importing scikit-learn takes longer than everything else that a run does. A process of its own imports it from
the first moment on, beside the main one, and draws the zones when they are asked for. The zones are the same,
whoever draws them.
"""

import importlib
import multiprocessing
import signal
from collections.abc import Mapping
from multiprocessing.connection import Connection
from types import TracebackType
from typing import TYPE_CHECKING, Self

if TYPE_CHECKING:  # what is imported here at run time would be waited for before the process starts
    from zoning.zones.zoning import Floats, Ground, Limits, Zoning


class ZonesAhead:
    """Starts a process that gets ready to draw zones; used as a context, and given to `field.run`.

    Examples
    --------
    >>> with ZonesAhead() as ahead:
    ...     draw_zones = ahead.draw  # for field.run(folder, draw_zones=draw_zones)
    """

    def __enter__(self) -> Self:
        # a fork is ready at once; where there is none, a fresh interpreter does the same a little later
        how = "fork" if "fork" in multiprocessing.get_all_start_methods() else "spawn"
        multiprocessing.set_start_method(how, force=True)
        self._line, theirs = multiprocessing.Pipe()
        self._process = multiprocessing.Process(target=_draw_when_asked, args=(theirs,), daemon=True)
        self._process.start()
        theirs.close()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, where: TracebackType | None
    ) -> None:
        self._line.close()
        self._process.kill()
        self._process.join()

    def draw(
        self, layers: "Mapping[str, Floats]", ground: "Ground", limits: "Limits", *, seed: int
    ) -> "Zoning":
        """Draw the zones of a field, as `zoning.zones.delineate.delineate` does."""
        try:
            self._line.send((layers, ground, limits, seed))
            importlib.import_module("zoning.show.map")  # needed last, and there is time now
            drawn: Zoning = self._line.recv()
        except (EOFError, OSError):  # the process is gone: draw here, where a fault is seen as it is
            return _draw(layers, ground, limits, seed)
        return drawn


def _draw_when_asked(line: Connection) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the main process answers Ctrl-C for both
    importlib.import_module("sklearn.cluster")
    importlib.import_module("zoning.zones.delineate")
    try:
        line.send(_draw(*line.recv()))
    except EOFError:  # nobody asked
        return


def _draw(layers: "Mapping[str, Floats]", ground: "Ground", limits: "Limits", seed: int) -> "Zoning":
    from zoning.zones.delineate import delineate

    return delineate(layers, ground, limits, seed=seed)
