"""The only writer of inputs: a file is replaced whole or not at all, and the previous one stays as .bak."""

import os
import shutil
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from uuid import uuid4

from zoning.errors import WORLD, InputError
from zoning.inputs.held import held
from zoning.inputs.renaming import is_open_elsewhere, rename

_KEPT, _FRESH = ".bak", ".new"


def write_text(path: Path, text: str) -> None:
    """Write a text file (UTF-8) in one step.

    Raises
    ------
    InputError
        When the disk or its permissions refuse (exit 4); the previous file is then untouched.

    Examples
    --------
    >>> import tempfile
    >>> field = Path(tempfile.mkdtemp()) / "field.toml"
    >>> write_text(field, "first"); write_text(field, "second")
    >>> field.read_text(), (field.parent / "field.toml.bak").read_text()
    ('second', 'first')
    """
    write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, content: bytes) -> None:
    """Write a file in one step: whoever reads it sees the old content or the new, never a part.

    The previous content stays beside it with `.bak` added to the name.
    """
    write_all({path: content})


def write_all(contents: Mapping[Path, bytes]) -> None:
    """Write files that belong together: all of them or none, each in one step and with its `.bak`.

    Parameters
    ----------
    contents : mapping of Path to bytes
        In the order in which they take their places, once all of them are on the disk.

    Raises
    ------
    InputError
        When the disk or its permissions refuse (exit 4); every file is then as it was.

    Examples
    --------
    >>> import tempfile
    >>> farm = Path(tempfile.mkdtemp())
    >>> write_all({farm / "zones.csv": b"1", farm / "done.csv": b"zone 1"})
    >>> sorted(path.name for path in farm.iterdir())
    ['done.csv', 'zones.csv']
    """
    with ExitStack() as ends:
        staged: list[_Staged] = []
        for path, content in contents.items():
            with _told(path):
                staged.append(ends.enter_context(_stage(path.resolve(), content)))  # a link stays a link
        for path, one in zip(contents, staged, strict=True):
            try:
                with _told(path):
                    one.place()
            except InputError:
                for each in reversed(staged):
                    each.take_back()
                raise
        for one in staged:
            one.is_done = True


@contextmanager
def _told(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        mend = "Make room on the disk or allow writing there, and run again."
        if is_open_elsewhere(error):
            mend = f"Close the program that has {path.name} open, or allow writing there, and run again."
        what = f"cannot be written ({(error.strerror or 'refused').lower()})"
        raise InputError(what, where=path.name, mend=mend, code=WORLD) from error


@dataclass(slots=True)
class _Staged:
    """New content on the disk for good, under a name of its own beside its target; `kept` is the old one."""

    target: Path
    fresh: Path
    kept: Path | None
    is_placed: bool = False
    is_done: bool = False

    def place(self) -> None:
        if self.kept is not None:
            rename(self.kept, self.target.with_name(self.target.name + _KEPT))
        rename(self.fresh, self.target)
        self.is_placed = True
        _settle(self.target.parent)

    def take_back(self) -> None:
        """Put the old content back, which needs no room."""
        if not self.is_placed:
            return
        with suppress(OSError):
            if self.kept is None:
                self.target.unlink()
            else:
                rename(self.target.with_name(self.target.name + _KEPT), self.target)


@contextmanager
def _stage(target: Path, content: bytes) -> Iterator[_Staged]:
    """Put content beside its target; what was made for it goes again, unless it is done."""
    new_folders = [one for one in (target.parent, *target.parent.parents) if not one.exists()]
    one = _Staged(target, _free(target), _free(target) if target.exists() else None)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _tidy(target)
        with _written(one.fresh, content, target):
            if one.kept is None:
                yield one
                return
            with _written(one.kept, target.read_bytes(), target):
                yield one
    finally:
        with suppress(OSError):
            for left in (one.fresh, one.kept):
                if left is not None:
                    left.unlink(missing_ok=True)
            for folder in () if one.is_done else new_folders:
                folder.rmdir()  # only where nothing is in it


def _free(target: Path) -> Path:
    return target.with_name(f".{target.name}.{uuid4().hex[:12]}{_FRESH}")


def _tidy(target: Path) -> None:
    """Remove what a crash left of writing this file; what somebody is writing is held."""
    for left in target.parent.iterdir():
        if left.name.startswith(f".{target.name}.") and left.name.endswith(_FRESH):
            with suppress(OSError), held(left) as is_left:
                if is_left:
                    left.unlink(missing_ok=True)


@contextmanager
def _written(fresh: Path, content: bytes, like: Path) -> Iterator[None]:
    """Write a new file, and hold it until it has its place."""
    with fresh.open("xb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())
    if like.exists():
        shutil.copymode(like, fresh)
    with held(fresh):
        yield


def _settle(folder: Path) -> None:
    """Make the renaming itself survive a power cut, where the system can."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
