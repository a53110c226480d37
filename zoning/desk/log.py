"""Who changed what, when and why: lines at the end of overrides.jsonl, none of them ever changed again."""

import errno
import json
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from zoning.desk.opened import Opened
from zoning.errors import WORLD, InputError
from zoning.inputs.decisions import REASON_MOST, is_hidden

FILE = "overrides.jsonl"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change: what was done, of which zone (None: not of one zone), from what to what, and why."""

    what: str
    zone: int | None
    before: object
    after: object
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Log:
    """The log of one field. `clock` gives the moment, `who` the person."""

    home: Opened
    folder: Path
    who: str
    clock: Callable[[], datetime]

    @contextmanager
    def of(self, *changes: Change) -> Iterator[None]:
        """Write changes down, then make them; what could not be made is written down as such.

        Raises
        ------
        InputError
            Code 4 where the log cannot be written: then nothing is changed.
        """
        self._append(changes, is_done=True)
        try:
            yield
        except BaseException:
            self._append(changes, is_done=False)
            raise

    def _append(self, changes: tuple[Change, ...], *, is_done: bool) -> None:
        if not changes:
            return
        path = self.home.inside(self.folder / FILE)
        when = self.clock().astimezone().isoformat(timespec="seconds")
        text = "".join(f"{self._line(one, when, is_done=is_done)}\n" for one in changes)
        try:
            _at_end(path, text.encode("utf-8"))
        except OSError as error:
            raise InputError(
                f"cannot be written ({(error.strerror or 'refused').lower()})",
                where=FILE,
                mend="Make room on the disk or allow writing there, and try again.",
                code=WORLD,
            ) from error

    def _line(self, one: Change, when: str, *, is_done: bool) -> str:
        thing = {
            "when": when,
            "who": self.who,
            "what": one.what if is_done else f"not done: {one.what}",
            "zone": one.zone,
            "from": one.before,
            "to": one.after,
            "reason": one.reason,
        }
        return json.dumps(thing, ensure_ascii=False, allow_nan=False)


def reason_of(value: object) -> str:
    r"""Check the reason for a change.

    Raises
    ------
    InputError
        Where there is none, it is too long, or holds letters that do not show.

    Examples
    --------
    >>> reason_of("  walked it,\nclean ")
    'walked it, clean'
    """
    text = " ".join(value.split()) if isinstance(value, str) else ""
    if not 0 < len(text) <= REASON_MOST:
        what = f"the reason has {len(text):,} letters" if text else "there is no reason"
        raise InputError(what, where="reason", mend=f"Say why in 1 to {REASON_MOST} letters.")
    if is_hidden(text):
        mend = "Write it with plain letters."
        raise InputError("the reason holds letters that do not show", where="reason", mend=mend)
    return text


def _at_end(path: Path, text: bytes) -> None:
    """Put lines at the end in one write; a line that a crash left without its end gets one first."""
    handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0), 0o644)
    try:
        size = os.fstat(handle).st_size
        if size:
            os.lseek(handle, size - 1, os.SEEK_SET)
            text = text if os.read(handle, 1) == b"\n" else b"\n" + text
        if os.write(handle, text) < len(text):  # a full disk takes a part, and says nothing of it
            os.ftruncate(handle, size)
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        os.fsync(handle)
    finally:
        os.close(handle)
