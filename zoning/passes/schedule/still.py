"""Keep what a solver prints off standard output, where results stand.

HiGHS 1.12 writes a line of its own there now and then, whatever it is told about its log.
"""

import ctypes
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress

_OUT, _ERR = 1, 2


@contextmanager
def results_only() -> Iterator[None]:
    """Send what compiled code writes to standard output to standard error meanwhile."""
    _flush()
    kept = os.dup(_OUT)
    os.dup2(_ERR, _OUT)
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
