"""Measure which lines and branches of zoning/ the tests run, processes that they start included.

    python tests/trust/measure_coverage.py                     run the whole suite, then tell (about an hour)
    python tests/trust/measure_coverage.py tests/returns       these tests; options go to pytest
    python tests/trust/measure_coverage.py --data FOLDER       tell of what was measured before into FOLDER

It ends with 0 where at least 92 % of lines and 85 % of branches were run, and every module with more than a
little left has its reason in not_covered.toml; else with 1. Lines and branches are counted apart. What is
measured is set in pyproject.toml.
"""

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
REASONS = Path(__file__).parent / "not_covered.toml"
LEAST_LINES, LEAST_BRANCHES = 0.92, 0.85
_FEW = 10  # lines and branches of a module up to which no reason is asked for


@dataclass(frozen=True, kw_only=True)
class Module:
    """One module: what there is, and what was not run."""

    name: str
    lines: int
    branches: int
    missed_lines: tuple[int, ...]
    missed_branches: tuple[tuple[int, int], ...]

    @property
    def missed(self) -> int:
        """Lines that were not run, and branches from lines that were."""
        return len(self.missed_lines) + len(self.missed_branches)


def measured(report: Mapping[str, Any]) -> list[Module]:
    """Read coverage's own report."""
    return [
        Module(
            name=name[name.index("zoning/") :],
            lines=one["summary"]["num_statements"],
            branches=one["summary"]["num_branches"],
            missed_lines=tuple(one["missing_lines"]),
            missed_branches=tuple((at, to) for at, to in one.get("missing_branches", ())),
        )
        for name, one in report["files"].items()
    ]


def told(modules: Sequence[Module], reasons: Mapping[str, str]) -> int:
    """Print what was run and what was not, with the reasons; 0 where it is enough."""
    lines, branches = sum(one.lines for one in modules), sum(one.branches for one in modules)
    missed = sum(len(one.missed_lines) for one in modules)
    missed_branches = sum(len(one.missed_branches) for one in modules)
    lines_frac, branches_frac = 1 - missed / lines, 1 - missed_branches / branches
    rest = sorted((one for one in modules if one.missed), key=lambda one: (-one.missed, one.name))
    for one in rest:
        away = ", ".join(f"{at}->{'end' if to < 0 else to}" for at, to in one.missed_branches)
        print(f"{one.name}: lines {_runs(one.missed_lines) or 'all'}; branches {away or 'all'}")
        if one.name in reasons:
            print(f"    {reasons[one.name]}")
    without = [one.name for one in rest if one.missed > _FEW and one.name not in reasons]
    print(f"\nlines    {lines - missed:6} of {lines:6}  {lines_frac:.2%}, at least {LEAST_LINES:.0%}")
    print(f"branches {branches - missed_branches:6} of {branches:6}  {branches_frac:.2%}, ", end="")
    print(f"at least {LEAST_BRANCHES:.0%}")
    if without:
        print(f"more than {_FEW} left and no reason: {', '.join(without)}")
    return 0 if lines_frac >= LEAST_LINES and branches_frac >= LEAST_BRANCHES and not without else 1


def _runs(numbers: Sequence[int]) -> str:
    """Write line numbers that follow each other as one."""
    runs: list[list[int]] = []
    for one in numbers:
        if runs and one == runs[-1][-1] + 1:
            runs[-1][1:] = [one]
        else:
            runs.append([one])
    return ", ".join("-".join(map(str, run)) for run in runs)


def run(tests: Sequence[str], data: Path) -> None:
    """Run the tests with the tracer on, in every process that they start."""
    once = {"COVERAGE_FILE": str(data / "c"), "COVERAGE_RCFILE": str(ROOT / "pyproject.toml")}
    command = [sys.executable, "-m", "coverage", "run", "-m", "pytest", "-q", *tests]
    ended = subprocess.run(command, cwd=ROOT, env={**os.environ, **once}, check=False).returncode
    if ended:
        print(f"the tests ended with {ended}: what follows is of those that ran")


def reported(data: Path) -> Mapping[str, Any]:
    """Put what every process measured together."""
    together = {**os.environ, "COVERAGE_FILE": str(data / "whole")}
    parts = [str(path) for path in data.glob("c.*")]
    coverage = [sys.executable, "-m", "coverage"]
    quiet = ["--quiet", f"--rcfile={ROOT / 'pyproject.toml'}"]
    subprocess.run([*coverage, "combine", "--keep", *quiet, *parts], cwd=ROOT, env=together, check=True)
    out = data / "report.json"
    subprocess.run([*coverage, "json", *quiet, "-o", str(out)], cwd=ROOT, env=together, check=True)
    return json.loads(out.read_text(encoding="utf-8"))


def main() -> int:
    """Do what was asked for."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--data", type=Path, help="what was measured before: a folder of files c.*")
    asked, tests = ask.parse_known_args()
    reasons = tomllib.loads(REASONS.read_text(encoding="utf-8"))
    if asked.data is not None:
        return told(measured(reported(asked.data.resolve())), reasons)
    folder = Path(tempfile.mkdtemp(prefix="sprayworth-coverage-"))
    run(tests, folder)
    try:
        code = told(measured(reported(folder)), reasons)
    except subprocess.CalledProcessError:
        print(f"what was measured is kept: --data {folder}")
        return 2
    shutil.rmtree(folder)
    return code


if __name__ == "__main__":
    sys.exit(main())
