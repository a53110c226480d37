"""What was read from a file, kept while the file stays as it is, so that fields of a farm read it once.

Whatever is kept is shared by all who ask: it must be frozen, and arrays in it must not be written to. What a
file means is not known here.
"""

import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Hashable
from pathlib import Path
from typing import TypeVar, cast

T = TypeVar("T")
_Key = tuple[Hashable, ...]

_MOST = 256  # things that are kept
_MOST_BYTES = 256_000_000  # of the files behind them
_SETTLED_NS = (
    2_000_000_000  # within its time stamp a file may be written again, unseen: as coarse as they come
)

_things: OrderedDict[_Key, tuple[object, int]] = OrderedDict()
_lock = threading.Lock()


def of_file(path: Path, asked: Hashable, make: Callable[[], T]) -> T:
    """Give what was made of a file, or make it where the file is another one now.

    Parameters
    ----------
    path : Path
        A file, or where one may come to be.
    asked : hashable
        What is made of it, with all that it depends on beside the file.
    make : callable
        Makes it. What it raises is not kept.

    Returns
    -------
    object
        What `make` gave, now or before, while path, inode, size and time stamps are the same. A file that was
        written a moment ago is not kept. What was asked for least lately goes first.
    """
    try:
        state = path.stat()
    except OSError:
        return make()
    if time.time_ns() - state.st_mtime_ns < _SETTLED_NS:
        return make()
    written = (state.st_size, state.st_mtime_ns, state.st_ctime_ns)
    key: _Key = (asked, str(path.absolute()), state.st_dev, state.st_ino, *written)
    with _lock:
        if key in _things:
            _things.move_to_end(key)
            return cast("T", _things[key][0])
    made = make()
    with _lock:
        _things[key] = (made, state.st_size)
        while len(_things) > _MOST or sum(size for _, size in _things.values()) > _MOST_BYTES:
            _things.popitem(last=False)
    return made


def forget() -> None:
    """Forget everything, as a process that has just begun."""
    with _lock:
        _things.clear()
