"""Keep what a solver prints off standard output, where results stand, and off everything else.

HiGHS 1.12 writes a line of its own there now and then, whatever it is told about its log; it means nothing to
whoever runs a farm, and on a large one comes by dozens. What the solver has to say, its status says.
"""

import ctypes
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress

_OUT = 1


@contextmanager
def results_only() -> Iterator[None]:
    """Drop what compiled code writes to standard output meanwhile."""
    _flush()
    kept, nowhere = os.dup(_OUT), os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, _OUT)
    os.close(nowhere)
    try:
        yield
    finally:
        _flush()
        os.dup2(kept, _OUT)
        os.close(kept)


def _flush() -> None:
    """Write out what Python and the C library still hold."""
    if sys.stdout is not None:
        sys.stdout.flush()
    with suppress(OSError, TypeError, AttributeError):  # no C library under this name: nothing to flush
        ctypes.CDLL(None).fflush(None)
