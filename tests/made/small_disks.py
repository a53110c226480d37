"""Real disks of a few megabytes in memory: full, or short of names, or not to be written to."""

import contextlib
import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

_PAGE = 4096  # what such a disk gives at a time


class NoMountError(Exception):
    """This machine lets nobody mount anything."""


def _mounted(*arguments: str) -> None:
    tool = shutil.which("mount")
    if tool is None or not hasattr(os, "geteuid") or os.geteuid() != 0:
        raise NoMountError("only root may mount a disk")
    done = subprocess.run([tool, *arguments], capture_output=True, text=True, check=False)
    if done.returncode:
        raise NoMountError(done.stderr.strip())


@contextlib.contextmanager
def disk(at: Path, *, size_kb: int = 16_384, names: int = 0) -> Iterator[Path]:
    """Mount an empty disk; `names` are the files and folders that it can hold, 0: as many as fit."""
    at.mkdir(parents=True, exist_ok=True)
    more = f",nr_inodes={names}" if names else ""
    _mounted("-t", "tmpfs", "-o", f"size={size_kb}k{more}", "sprayworth_test", str(at))
    try:
        yield at
    finally:
        subprocess.run(["umount", "-l", str(at)], check=True)


@contextlib.contextmanager
def read_only(disk_at: Path) -> Iterator[None]:
    """Let nobody write to a disk, root neither."""
    _mounted("-o", "remount,ro", str(disk_at))
    try:
        yield
    finally:
        _mounted("-o", "remount,rw", str(disk_at))


@contextlib.contextmanager
def filled(disk_at: Path, free_bytes: int) -> Iterator[None]:
    """Leave so many bytes free, rounded to pages."""
    filler = disk_at / "filler"
    state = os.statvfs(disk_at)
    with filler.open("wb") as file:
        os.posix_fallocate(file.fileno(), 0, max(_PAGE, state.f_bavail * state.f_frsize - free_bytes))
    try:
        yield
    finally:
        filler.unlink()


@contextlib.contextmanager
def out_of_names(disk_at: Path, free: int) -> Iterator[None]:
    """Leave names for so many files."""
    folder = disk_at / "names"
    folder.mkdir()
    for number in range(os.statvfs(disk_at).f_favail - free):
        (folder / str(number)).touch()
    try:
        yield
    finally:
        shutil.rmtree(folder)
