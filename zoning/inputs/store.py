"""The only writer of inputs: a file is replaced whole or not at all, and the previous one stays as .bak."""

import os
import shutil
from pathlib import Path

from zoning.errors import WORLD, InputError


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
    target = path.resolve()  # a link stays a link
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        fresh = _beside(target, content)
        if target.exists():
            shutil.copymode(target, fresh)
            kept = _beside(target, target.read_bytes())
            shutil.copymode(target, kept)
            kept.replace(target.with_name(target.name + ".bak"))
        fresh.replace(target)
        _settle(target.parent)
    except OSError as error:
        for left in target.parent.glob(f".{target.name}.{os.getpid()}.*"):
            left.unlink(missing_ok=True)
        mend = "Make room on the disk or allow writing there, and run again."
        reason = error.strerror or "refused"
        raise InputError(
            f"cannot be written ({reason.lower()})", where=path.name, mend=mend, code=WORLD
        ) from error


def _beside(target: Path, content: bytes) -> Path:
    """Put content on the disk for good, under a name of its own in the same folder."""
    count = 0
    while True:
        count += 1
        fresh = target.with_name(f".{target.name}.{os.getpid()}.{count}")
        try:
            stream = fresh.open("xb")
        except FileExistsError:
            continue
        with stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        return fresh


def _settle(folder: Path) -> None:
    """Make the renaming itself survive a power cut, where the system can."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
