"""Keep what compiled code prints off the terminal of a farm's run.

HiGHS 1.12 writes a line of its own now and then, whatever it is told about its log; a large farm has dozens.
"""

import multiprocessing
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager

_ERR = 2


@contextmanager
def hushed() -> Iterator[None]:
    """Drop what a process that works for another writes to standard error meanwhile.

    The process of the user is left alone: other threads of it may have something to say.
    """
    if multiprocessing.parent_process() is None or sys.stderr is None:
        yield
        return
    sys.stderr.flush()
    kept = os.dup(_ERR)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, _ERR)
    os.close(nowhere)
    try:
        yield
    finally:
        os.dup2(kept, _ERR)
        os.close(kept)
