"""Whether what is being written still has its writer: a lock that goes with the process, however it ends.

A name or a number of a process cannot tell: numbers come again, and a folder may be shared by machines.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows, where what another program has open cannot be removed anyway
    fcntl = None  # type: ignore[assignment]


@contextmanager
def held(path: Path) -> Iterator[bool]:
    """Hold a file or a folder that is there, as long as the context lasts.

    Parameters
    ----------
    path : Path

    Yields
    ------
    bool
        False where somebody else holds it. Where the system knows no such locks everybody does.

    Raises
    ------
    OSError
        When it is not there, or may not be read.

    Examples
    --------
    >>> import tempfile
    >>> folder = Path(tempfile.mkdtemp())
    >>> with held(folder) as first, held(folder) as second:
    ...     first, second
    (True, False)
    """
    if fcntl is None:
        yield True
        return
    handle = os.open(path, os.O_RDONLY | os.O_NOFOLLOW)
    try:
        yield _locked(handle)
    finally:
        os.close(handle)


def _locked(handle: int) -> bool:
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:  # a disk that has no locks
        return True
    return True
