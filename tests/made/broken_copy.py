"""A copy of the project in which one file at a time is broken, and tests are run to see whether they notice.

The tree itself is never touched. Compiled files of the copy are checked by the hash of their source, so that
a broken line is never overlooked because file size and second are the same.
"""

import compileall
import os
import py_compile
import re
import shutil
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
TABLE = ROOT / "tests" / "trust" / "lines_that_matter.toml"
_LEFT_OUT = shutil.ignore_patterns(".*", "__pycache__", "*.egg-info", "build", "dist")
_FAILED = re.compile(r"^(?:FAILED|ERROR) (\S+?)(?: - .*)?$", re.MULTILINE)
_LONGEST_S = 900
_NONE_FOUND = 5  # what pytest ends with where it has nothing to run
_NO_GOLDENS = ("-k", "not test_unchanged")
CAUGHT, LIVED, BROKEN = "caught", "lived", "broken"


@dataclass(frozen=True, kw_only=True)
class Line:
    """A line that matters, how it is broken, whom that would hurt, and the tests that should say so."""

    name: str
    file: str
    old: str
    new: str
    breaks: str
    tests: tuple[str, ...]

    def fault(self) -> str:
        """Say what is wrong with this row of the table; empty where the line can be broken."""
        path = ROOT / self.file
        if not path.is_file():
            return f"there is no {self.file}"
        found = path.read_text(encoding="utf-8").count(self.old) if self.old else 0
        if found != 1:
            return f"its old text stands {found} times in {self.file}"
        if self.old == self.new:
            return "old and new text are the same"
        missing = [name for name in self.tests if not _is_there(name)]
        if missing or not self.tests:
            return f"no such test: {', '.join(missing) or 'none is named'}"
        try:
            compile(self.broken(), self.file, "exec")
        except SyntaxError as error:
            return f"it does not compile once it is broken: {error.msg}"
        return ""

    def broken(self) -> str:
        """Give the file's text with the line broken."""
        return (ROOT / self.file).read_text(encoding="utf-8").replace(self.old, self.new)


def lines() -> tuple[Line, ...]:
    """Read the table."""
    rows = tomllib.loads(TABLE.read_text(encoding="utf-8"))["line"]
    return tuple(Line(**{**row, "tests": tuple(row["tests"])}) for row in rows)


def _is_there(test: str) -> bool:
    path, _, name = test.partition("::")
    if not (ROOT / path).exists():
        return False
    return not name or f"def {name}(" in (ROOT / path).read_text(encoding="utf-8")


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What tests said: `caught` with the tests that failed, `lived`, or `broken` where they could not run."""

    what: str
    by: tuple[str, ...] = ()
    said: str = ""

    @property
    def how(self) -> str:
        """Where the expected value of the test that caught it comes from."""
        name = self.by[0].rpartition("::")[2] if self.by else ""
        kinds = {"test_published": "published", "test_by_hand": "by hand", "test_witness": "witness"}
        kinds["test_unchanged"] = "golden only"
        kind = next((kind for start, kind in kinds.items() if name.startswith(start)), "property")
        return kind if name.startswith("test_") else "example" if self.by else ""


class BrokenCopy:
    """The project, copied to a folder of its own."""

    def __init__(self, root: Path) -> None:
        self.root = root

    @contextmanager
    def with_text(self, file: str, text: str) -> Iterator[None]:
        """Put a broken text in the place of a file, and the good one back."""
        path = self.root / file
        good = path.read_bytes()
        path.write_text(text, encoding="utf-8")
        try:
            yield
        finally:
            path.write_bytes(good)

    def tested(self, tests: Sequence[str], *, goldens: bool = False, first: bool = True) -> Outcome:
        """Run tests of the copy; `first` stops at the first that fails."""
        command = [sys.executable, "-m", "pytest", "-q", "--tb=no"]
        command += [*(["-x"] if first else []), *([] if goldens else _NO_GOLDENS), *tests]
        paths = os.pathsep.join([str(self.root), os.environ.get("PYTHONPATH", "")])
        of_one = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"), "1")
        # a tracer of this program would trace the copy, too, which is gone when it tells of its lines
        ours = {name: value for name, value in os.environ.items() if not name.startswith("COVERAGE_")}
        environment = {**ours, **of_one, "PYTHONPATH": paths.rstrip(os.pathsep)}
        try:
            ran = subprocess.run(
                command, cwd=self.root, env=environment, capture_output=True, text=True, timeout=_LONGEST_S
            )
        except subprocess.TimeoutExpired:
            return Outcome(what=CAUGHT, by=("(the tests hang)",))
        failed = tuple(_FAILED.findall(ran.stdout))
        if ran.returncode in (0, _NONE_FOUND):
            return Outcome(what=LIVED)
        if ran.returncode in (1, 2) and failed:
            return Outcome(what=CAUGHT, by=failed)
        return Outcome(what=BROKEN, said=(ran.stdout + ran.stderr)[-2000:])


@contextmanager
def broken_copy() -> Iterator[BrokenCopy]:
    """Copy the project, and remove the copy at the end."""
    with tempfile.TemporaryDirectory(prefix="sprayworth-broken-") as folder:
        root = Path(folder) / "copy"
        shutil.copytree(ROOT, root, ignore=_LEFT_OUT, symlinks=True)
        by_hash = py_compile.PycInvalidationMode.CHECKED_HASH
        compileall.compile_dir(root / "zoning", quiet=2, invalidation_mode=by_hash)
        yield BrokenCopy(root)
