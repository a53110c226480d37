"""Commands that kill -9 ends at a chosen moment, each in a process of its own.

A moment is a change of the disk below a folder, counted from the start of the command, so that the same
number is the same moment in every run. `Nursery` is a process that has imported everything and forks a
process for each command; run as a program this file is that process.
"""

import contextlib
import importlib
import json
import os
import shutil
import signal
import subprocess
import sys
import threading
import time
import traceback
from dataclasses import dataclass
from pathlib import Path

KILLED = -signal.SIGKILL if hasattr(signal, "SIGKILL") else None
_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT
_READY = ("zoning.field", "zoning.farm", "zoning.zones.measured", "sklearn.cluster", "sklearn.metrics")
_READY += ("zoning.show.map", "zoning.show.page", "zoning.show.sheet", "zoning.harvest", "zoning.scout")
_READY += ("zoning.sprayed", "zoning.show.trial.page", "zoning.show.trial.pdf", "zoning.show.trial.picture")
_READY += ("cli.main", "cli.run", "made_desks", "zoning.desk.zones", "zoning.desk.counts")
ASKS = "asks the desk"  # the first of the arguments; field, path and what is sent come after it


@dataclass(frozen=True)
class End:
    """How a command ended: its exit code or the signal below zero, what it changed and what it told."""

    code: int
    changes: int
    told: str


class Nursery:
    """Used as a context; runs one command at a time."""

    def __init__(self, scratch: Path) -> None:
        self._scratch = scratch

    def __enter__(self) -> "Nursery":
        self._process = subprocess.Popen(
            [sys.executable, __file__],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            env=os.environ | {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"},
        )
        return self

    def __exit__(self, *_: object) -> None:
        self._process.stdin.close()
        self._process.wait(60)
        self._process.stdout.close()

    def run(self, arguments, below: Path, *, dies_at: int = 0, dies_after_s: float = 0.0, keeps=()) -> End:
        """Run a command; it dies at a change below a folder, or after a time, where one is given.

        The change at which it dies is half done where that can be, else it is not done. `keeps` are changes
        at which the folder is copied to where `kept` says: as the disk is then, a kill would leave it.
        """
        asked = {
            "arguments": [str(one) for one in arguments],
            "below": str(below),
            "dies_at": dies_at,
            "dies_after_s": dies_after_s,
            "scratch": str(self._scratch),
            "keeps": sorted(keeps),
        }
        self._process.stdin.write(json.dumps(asked) + "\n")
        self._process.stdin.flush()
        return End(**json.loads(self._process.stdout.readline()))

    def kept(self, change: int) -> Path:
        """Give the copy of the folder as it was at a change of the last command."""
        return _copy_of(self._scratch, change)


def _copy_of(scratch: Path, change: int) -> Path:
    return scratch / f"at_{change}"


class Death:
    """Counts what changes below a folder; ends the whole group of processes at one of the changes."""

    def __init__(self, asked: dict, tally: Path) -> None:
        self._below, self._dies_at, self._tally = asked["below"], asked["dies_at"], tally
        self._keeps, self._scratch = asked["keeps"], Path(asked["scratch"])
        self._lock = threading.RLock()
        self._looks_away = False  # while this changes the disk itself
        self.count = 0

    def __call__(self, event: str, arguments: tuple) -> None:
        if event == "open":
            path, _, flags = arguments
            if isinstance(flags, int) and flags & _WRITING and not str(path).endswith("/tally"):
                self.changed(path)
        elif event == "os.rename":
            self.changed(arguments[1])
        elif event in ("os.mkdir", "os.rmdir", "os.remove"):
            self.changed(arguments[0])

    def changed(self, path: object, half=lambda: None) -> None:
        if not os.fsdecode(path if isinstance(path, str | bytes | os.PathLike) else "").startswith(
            self._below
        ):
            return
        with self._lock:
            if self._looks_away:
                return
            self.count += 1
            if self.count == self._dies_at or self.count in self._keeps:
                self._looks_away = True
                half()
                self._tally.write_text(str(self.count), encoding="ascii")
                if self.count == self._dies_at:
                    os.killpg(0, signal.SIGKILL)
                shutil.copytree(self._below, _copy_of(self._scratch, self.count), symlinks=True)
                self._looks_away = False

    def watch(self) -> None:
        """Also count what no audit event tells: files that are written at once, and what goes to the disk."""
        write, sync = Path.write_bytes, os.fsync

        def write_bytes(path: Path, content: bytes) -> int:
            self.changed(path, lambda: _half(path, content))
            return write(path, content)

        def write_text(path: Path, text: str, encoding=None, errors=None, newline=None) -> int:
            return write_bytes(path, text.encode(encoding or "utf-8", errors or "strict"))

        def fsync(handle) -> None:
            with contextlib.suppress(OSError):
                self.changed(Path(f"/proc/self/fd/{handle}").readlink())
            sync(handle)

        Path.write_bytes, Path.write_text, os.fsync = write_bytes, write_text, fsync
        sys.addaudithook(self)


def _half(path: Path, content: bytes) -> None:
    with contextlib.suppress(OSError):  # no audit event tells of what os.write does
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o644)
        os.write(handle, content[: len(content) // 2])
        os.close(handle)


def _code(arguments: list[str]) -> int:
    if arguments[0] == ASKS:
        from made_desks import Desk

        answer = Desk(Path(arguments[1])).post(arguments[2], json.loads(arguments[3]))
        print(answer.status_code, answer.text)
        return 0 if answer.status_code < 400 else 1
    from cli.main import main

    try:
        main(arguments)
    except SystemExit as end:
        return int(end.code or 0)
    return 0


def _child(asked: dict, told: Path, tally: Path) -> None:
    os.setsid()
    handle = os.open(told, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(handle, 1)
    os.dup2(handle, 2)
    death = Death(asked, tally)
    death.watch()
    code = 99
    try:
        code = _code(asked["arguments"])
    except Exception:
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        tally.write_text(str(death.count), encoding="ascii")
        os._exit(code)


def _serve() -> None:
    for name in _READY:
        importlib.import_module(name)
    for line in sys.stdin:
        asked = json.loads(line)
        told, tally = (Path(asked["scratch"]) / name for name in ("told", "tally"))
        for left in (tally, *Path(asked["scratch"]).glob("at_*")):
            shutil.rmtree(left) if left.is_dir() else left.unlink(missing_ok=True)
        pid = os.fork()
        if pid == 0:
            _child(asked, told, tally)
        if asked["dies_after_s"]:
            time.sleep(asked["dies_after_s"])
            with contextlib.suppress(ProcessLookupError):
                os.killpg(pid, signal.SIGKILL)
        _, status = os.waitpid(pid, 0)
        end = {
            "code": os.waitstatus_to_exitcode(status),
            "changes": int(tally.read_text() or 0) if tally.exists() else 0,
            "told": told.read_text(encoding="utf-8", errors="replace") if told.exists() else "",
        }
        print(json.dumps(end), flush=True)


if __name__ == "__main__":
    _serve()
