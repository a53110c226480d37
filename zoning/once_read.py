"""What was read from a file, kept while the file stays as it is, so that fields of a farm read it once.

Whatever is kept is shared by all who ask: it must be frozen, and arrays in it must not be written to. What a
file means is not known here.
"""

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from pathlib import Path
from typing import TypeVar, cast

T = TypeVar("T")
_Key = tuple[Hashable, ...]

_MOST = 256  # things that are kept
_MOST_BYTES = 256_000_000  # of the files behind them, but those of which only a little is kept
_WHOLE_NS = 1_000_000_000  # a file system whose stamps are whole seconds cannot tell two quick saves apart

_things: OrderedDict[_Key, tuple[object, int]] = OrderedDict()
_lock = threading.Lock()


def of_file(path: Path, asked: Hashable, make: Callable[[], T], *, is_little: bool = False) -> T:
    """Give what was made of a file; see `of_files`."""
    return of_files((path,), asked, make, is_little=is_little)


def of_files(paths: Sequence[Path], asked: Hashable, make: Callable[[], T], *, is_little: bool = False) -> T:
    """Give what was made of files, or make it where one of them is another now.

    Parameters
    ----------
    paths : sequence of Path
        Files, or where they may come to be.
    asked : hashable
        What is made of them, with all that it depends on beside the files.
    make : callable
        Makes it. What it raises is not kept.
    is_little : bool
        Whether it takes next to no memory however large the files are, as a hash.

    Returns
    -------
    object
        What `make` gave, now or before, while name, inode, size and time stamps are the same. Where time
        stamps are whole seconds nothing is kept. What was asked for least lately goes first.
    """
    key: list[Hashable] = [asked]
    size = 0
    for path in paths:
        try:
            state = path.stat()
        except OSError:
            return make()
        if state.st_mtime_ns % _WHOLE_NS == 0 and state.st_ctime_ns % _WHOLE_NS == 0:
            return make()
        key += [path.name, state.st_dev, state.st_ino]  # the way to it may differ from field to field
        key += [state.st_size, state.st_mtime_ns, state.st_ctime_ns]
        size += state.st_size
    return _kept(tuple(key), 0 if is_little else size, make)


def _kept(key: _Key, size: int, make: Callable[[], T]) -> T:
    with _lock:
        if key in _things:
            _things.move_to_end(key)
            return cast("T", _things[key][0])
    made = make()
    with _lock:
        _things[key] = (made, size)
        while len(_things) > _MOST or sum(one for _, one in _things.values()) > _MOST_BYTES:
            _things.popitem(last=False)
    return made


def forget() -> None:
    """Forget everything, as a process that has just begun."""
    with _lock:
        _things.clear()
