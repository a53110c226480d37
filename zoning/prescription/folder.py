"""The `out` folder is replaced whole: a reader finds the last good result or the new one, never a mixture.

Order: the new folder is complete -> `out` becomes `out.last` -> the new one becomes `out` -> `out.last` goes.
After a crash at any point `heal` finds the last good result again. A new folder is held while it is written,
so that nobody takes it for what a crash left. What is written, others decide.
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
from zoning.inputs.held import held
from zoning.inputs.renaming import is_open_elsewhere, rename

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
    if is_open_elsewhere(error):
        mend = (
            f"Close the program that has {out.name} or a file in it open, or get permission to write there, "
            "and run again; the last results are kept."
        )
    return InputError(what, where=out, mend=mend, code=WORLD)


def _check_place(out: Path) -> None:
    """Refuse places that cannot be replaced whole without touching what is not ours."""
    for one in (out, _new(out), _last(out)):
        if one.is_symlink():
            what = "this is a link, and a folder of results takes the place of it"
            mend = "Take the link away, which leaves alone what it leads to, and run again."
        elif one.is_file():
            what = "this is a file of yours, and the results go into a folder of this name"
            mend = "Give it another name, and run again."
        elif one.is_mount():
            what = "another disk is mounted here, and a folder that is one cannot be replaced whole"
            mend = "Mount it on the folder around this one, and run again."
        else:
            continue
        raise InputError(what, where=one, mend=mend, code=WORLD)


def _heal(out: Path) -> bool:
    """Bring the last good result back and tidy up; False where another run writes, and nothing was done."""
    _check_place(out)
    new, last = _new(out), _last(out)
    if new.exists():  # a run that did not finish; what it wrote may be half a file
        with held(new) as is_left:
            if not is_left:
                return False
            shutil.rmtree(new)
    if last.exists():
        if out.exists():  # the run had finished but for tidying up
            shutil.rmtree(last)
        else:
            rename(last, out)
    return True


def heal(out: Path) -> None:
    """Bring back the last good result after a crash; does nothing where nothing is amiss, or a run goes on.

    Parameters
    ----------
    out : Path
        The `out` folder, which need not exist.

    Raises
    ------
    InputError
        Code 4 when the disk or its permissions refuse, or `out` is no folder of this disk.
    """
    try:
        _heal(out)
    except FileNotFoundError:  # another command was quicker
        return
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
    with path.open("r+b") as stream:  # Windows keeps only what was opened to be written
        os.fsync(stream.fileno())


def _remove(folder: Path) -> None:
    """Remove a folder as far as it can be; what cannot be removed now, the next command removes."""
    with contextlib.suppress(OSError):
        _with_each_file(folder, _remove_file)
    shutil.rmtree(folder, ignore_errors=True)


def _remove_file(path: Path) -> None:
    with contextlib.suppress(OSError):
        path.unlink()


def _swap(new: Path, out: Path, beside: Callable[[], None]) -> None:
    """Put the new folder in the place of the old one, with what stands elsewhere, or leave both as they were.

    What may be refused comes first: a folder that cannot be renamed keeps what stands elsewhere as it was.
    """
    last = _last(out)
    if out.exists():
        rename(out, last)
    try:
        beside()
        rename(new, out)
    except BaseException:
        if last.exists():
            rename(last, out)
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
        Code 4 when the disk or its permissions refuse, or another run writes there. Then, and when `fill` or
        `last` raises anything, the old `out` stands as it was and nothing half-written stays beside it.
    """
    new = _new(out)
    is_ours = finished = False
    try:
        if not _heal(out):
            raise _goes_on(out)
        new.mkdir()
        with held(new) as is_ours:
            if not is_ours:
                raise _goes_on(out)
            fill(new)
            _to_disk(new)
            _swap(new, out, last)
            finished = True
    except OSError as error:
        raise refused(error, out) from error
    finally:
        if is_ours and not finished:
            shutil.rmtree(new, ignore_errors=True)


def _goes_on(out: Path) -> InputError:
    what = "another run is writing its results here"
    mend = "Wait until it has ended, and run again; the last results are kept."
    return InputError(what, where=out, mend=mend, code=WORLD)
