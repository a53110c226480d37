"""The `out` folder is replaced whole: a reader finds the last good result or the new one, never a mixture.

Order: the new folder is complete -> `out` becomes `out.last` -> the new one becomes `out` -> `out.last` goes.
After a crash at any point `heal` finds the last good result again. What is written, others decide.
"""

import contextlib
import json
import os
import shutil
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from zoning.errors import WORLD, InputError

_AT_ONCE = 8  # files that the disk is asked to keep or to remove at once


def _last(out: Path) -> Path:
    return out.with_name(f"{out.name}.last")


def _new(out: Path) -> Path:
    return out.with_name(f"{out.name}.new")


def refused(error: OSError, out: Path) -> InputError:
    """Say that the disk or its permissions refused to write into a folder of results."""
    what = f"the results could not be written ({error.strerror or error})"
    mend = "Free some space or get permission to write there, then run again; the last results are kept."
    if isinstance(error, FileNotFoundError):  # what was just made is gone: somebody else tidied up
        mend = "If another run of this field goes on, wait for it and run again; the last results are kept."
    return InputError(what, where=out, mend=mend, code=WORLD)


def _heal(out: Path) -> None:
    if out.is_file():
        what = "this is a file of yours, and the results go into a folder of this name"
        raise InputError(what, where=out, mend="Give it another name, and run again.", code=WORLD)
    new, last = _new(out), _last(out)
    if new.exists():  # a run that did not finish; what it wrote may be half a file
        shutil.rmtree(new)
    if not last.exists():
        return
    if out.exists():  # the run had finished but for tidying up
        shutil.rmtree(last)
    else:
        last.rename(out)


def heal(out: Path) -> None:
    """Bring back the last good result after a crash; does nothing where nothing is amiss.

    Parameters
    ----------
    out : Path
        The `out` folder, which need not exist.

    Raises
    ------
    InputError
        Code 4 when the disk or its permissions refuse.
    """
    try:
        _heal(out)
    except OSError as error:
        raise refused(error, out) from error


def last_object(out: Path, name: str) -> dict[str, Any]:
    """Give the object that a JSON file of the last good result holds; empty where it holds none.

    Raises
    ------
    InputError
        Code 4 when the disk or its permissions refuse to bring that result back.
    """
    heal(out)
    try:
        made = json.loads((out / name).read_text(encoding="utf-8"))
    except (FileNotFoundError, ValueError):
        return {}
    return made if isinstance(made, dict) else {}


def _with_each_file(folder: Path, do: Callable[[Path], None]) -> None:
    """Do something with every file of a folder, many at once.

    Files that are waited for together share what the disk notes of them; one after the other takes up to ten
    times as long.
    """
    paths = [path for path in folder.rglob("*") if path.is_file()]
    if paths:
        with ThreadPoolExecutor(min(_AT_ONCE, len(paths))) as together:
            for _ in together.map(do, paths):  # raises what one of them raised
                pass


def _to_disk(folder: Path) -> None:
    """Have every byte on the disk before a name changes: a power cut then leaves whole files."""
    _with_each_file(folder, _file_to_disk)


def _file_to_disk(path: Path) -> None:
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _remove(folder: Path) -> None:
    """Remove a folder as far as it can be; what cannot be removed now, the next command removes."""
    with contextlib.suppress(OSError):
        _with_each_file(folder, _remove_file)
    shutil.rmtree(folder, ignore_errors=True)


def _remove_file(path: Path) -> None:
    with contextlib.suppress(OSError):
        path.unlink()


def _swap(new: Path, out: Path) -> None:
    last = _last(out)
    if out.exists():
        out.rename(last)
    try:
        new.rename(out)
    except OSError:
        if last.exists():
            last.rename(out)
        raise
    _remove(last)


def replace(out: Path, fill: Callable[[Path], None], last: Callable[[], None] = lambda: None) -> None:
    """Make a new `out` folder and put it in the place of the old one.

    Parameters
    ----------
    out : Path
        The folder to replace; its parent must exist.
    fill : callable of Path
        Writes everything into the empty folder that it is given.
    last : callable
        Writes what stands elsewhere and must come with the results: called once all of them are on the disk.

    Raises
    ------
    InputError
        Code 4 when the disk or its permissions refuse. Then, and when `fill` or `last` raises anything, the
        old `out` stands as it was and nothing half-written stays beside it.
    """
    new = _new(out)
    finished = False
    try:
        _heal(out)
        new.mkdir()
        fill(new)
        _to_disk(new)
        last()
        _swap(new, out)
        finished = True
    except OSError as error:
        raise refused(error, out) from error
    finally:
        if not finished:
            shutil.rmtree(new, ignore_errors=True)
