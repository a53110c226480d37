"""Surroundings in which the same run must leave the same bytes: the process, the clock's zone, the folder.

Run as a program it works in them: `python surroundings.py JOBS`, a JSON list of what `jobs` gives.
"""

import json
import os
import random
import shutil
import subprocess
import sys
import time
from pathlib import Path
from unittest import mock

# One a process: these are read when Python or a library starts.
PROCESSES = (
    {"PYTHONHASHSEED": "0", "LC_ALL": "C", "OMP_NUM_THREADS": "1"},
    {"PYTHONHASHSEED": "1", "LC_ALL": "C.UTF-8", "OMP_NUM_THREADS": "2", "OPENBLAS_NUM_THREADS": "2"},
    {"PYTHONHASHSEED": "271828", "LANG": "de_DE.UTF-8", "LC_NUMERIC": "de_DE.UTF-8", "PYTHONUTF8": "0"},
    {"PYTHONHASHSEED": "31", "LANG": "tr_TR.UTF-8", "OMP_NUM_THREADS": "4", "NO_COLOR": "1"},
    {"PYTHONHASHSEED": "4294967295", "PYTHONUTF8": "1", "COLUMNS": "37", "TERM": "dumb"},
)
# One a run.
RUNS = (
    {"zone": "UTC", "umask": 0o022, "folder": "farm"},
    {"zone": "Pacific/Kiritimati", "umask": 0o077, "folder": "a farm with blanks"},
    {"zone": "America/Anchorage", "umask": 0o002, "folder": "Äcker und Söhne/deep/er/farm"},
    {"zone": "Asia/Kathmandu", "umask": 0o027, "folder": "f"},
)

_WIDE = """
try:
    from numpy._core import _multiarray_umath as core
except ImportError:  # numpy 1
    from numpy.core import _multiarray_umath as core
print(*core.__cpu_dispatch__)
"""


def narrow(python: Path, around: dict[str, str]) -> dict[str, str]:
    """Give the variables with which the libraries of a Python work as on an x86 processor of 2008.

    Elsewhere than on x86 they change nothing.
    """
    asked = [str(python), "-c", _WIDE]
    wide = subprocess.run(asked, env=around, capture_output=True, text=True, check=True).stdout.strip()
    return {
        "NPY_DISABLE_CPU_FEATURES": wide,
        "OPENBLAS_CORETYPE": "Nehalem",
        "GLIBC_TUNABLES": "glibc.cpu.hwcaps=-AVX2,-FMA,-AVX512F,-AVX512VL,-FMA4,-AVX",
    }


def environment(process: dict[str, str]) -> dict[str, str]:
    """Give the environment of one of the processes; nothing else of ours that a library reads is kept."""
    ours = ("PYTHONHASHSEED", "LC_", "LANG", "OMP_", "OPENBLAS_", "TZ", "COLUMNS", "NO_COLOR", "TERM")
    kept = {name: value for name, value in os.environ.items() if not name.startswith(ours)}
    return {**kept, "PYTHONPATH": os.pathsep.join(filter(None, sys.path)), **process}


def copied(farm: Path, into: Path, seed: int) -> Path:
    """Copy a farm file by file in an order of its own, which is that of many file systems' folders."""
    files = sorted(path for path in farm.rglob("*") if path.is_file())
    random.Random(seed).shuffle(files)
    for path in files:
        target = into / path.relative_to(farm)
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(path, target)
    return into


def worked(jobs: list[dict[str, object]], process: dict[str, str]) -> None:
    """Work through runs in one process; each names its arguments, zone, umask, cwd and seed."""
    command = [sys.executable, __file__, json.dumps(jobs)]
    done = subprocess.run(command, env=environment(process), capture_output=True, check=False)
    if done.returncode:
        raise AssertionError(f"{jobs} ended with {done.returncode}: {done.stderr.decode(errors='replace')}")


class _InAnyOrder:
    """`os.scandir` as another file system gives it."""

    def __init__(self, found, rng):
        with found:
            self._entries = list(found)
        rng.shuffle(self._entries)
        self._left = iter(self._entries)

    def __enter__(self):
        return self

    def __exit__(self, *_):
        return None

    def __iter__(self):
        return self

    def __next__(self):
        return next(self._left)

    def close(self):
        """Nothing is open."""


def _work(job: dict[str, object]) -> None:
    from cli.main import main

    rng = random.Random(job["seed"])
    scandir, listdir = os.scandir, os.listdir

    def in_any_order(*given):
        names = listdir(*given)
        rng.shuffle(names)
        return names

    os.environ["TZ"] = str(job["zone"])
    time.tzset()
    os.umask(job["umask"])
    os.chdir(job["cwd"])
    with (
        mock.patch("os.scandir", lambda *given: _InAnyOrder(scandir(*given), rng)),
        mock.patch("os.listdir", in_any_order),
    ):
        try:
            main(job["arguments"])
        except SystemExit as end:
            if end.code:
                raise


if __name__ == "__main__":
    for one in json.loads(sys.argv[1]):
        _work(one)
