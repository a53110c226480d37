"""Break lines that matter, one by one in a copy of the project, and see whether the tests notice.

    python tests/trust/break_lines.py                      the lines of lines_that_matter.toml
    python tests/trust/break_lines.py --only pressure      those whose name or file holds a word
    python tests/trust/break_lines.py --list               only look whether the table still fits the code
    python tests/trust/break_lines.py --random 80 --seed 1 small changes to lines of the rooms that compute

It ends with 0 where every break was caught, 1 where one lived, 2 where the table does not fit the code any
more. Tests that compare with our own earlier output (`test_unchanged_...`) are not asked: what only they
notice counts as lived, and `--goldens` asks them too.
"""

import argparse
import sys
import time
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "made"))

from broken_copy import BROKEN, CAUGHT, LIVED, BrokenCopy, Line, Outcome, broken_copy, lines
from small_changes import CORE, Change, changes, tests_of

_ENDS = {CAUGHT: 0, LIVED: 1, BROKEN: 2}


def check(chosen: Sequence[Line]) -> int:
    """Look whether the table fits the code."""
    faults = [f"{one.name}: {fault}" for one in chosen if (fault := one.fault())]
    print("\n".join(faults) or f"{len(chosen)} lines, each found once and broken so that it compiles")
    return 2 if faults else 0


def break_named(chosen: Sequence[Line], asked: argparse.Namespace) -> int:
    """Break the lines of the table."""
    if check(chosen):
        return 2
    with broken_copy() as copy:
        named = sorted({test for one in chosen for test in one.tests})
        good = Outcome(what=LIVED) if asked.trust else copy.tested(named)
        if good.what != LIVED:
            print(f"tests fail before anything is broken: {', '.join(good.by)}{good.said}")
            return 2
        worst, caught = 0, 0
        for one in chosen:
            began = time.monotonic()
            with copy.with_text(one.file, one.broken()):
                found = copy.tested(one.tests, goldens=asked.goldens, first=not asked.every)
                if found.what == LIVED and asked.whole:
                    found = copy.tested(["tests", "zoning"], goldens=asked.goldens)
            caught += found.what == CAUGHT
            worst = max(worst, _ENDS[found.what])
            by = "\n        ".join(found.by)
            print(
                f"{found.what:6} {one.name:52} {found.how:10} {time.monotonic() - began:5.1f} s\n        {by}"
            )
            print(found.said, end="", flush=True)
    print(f"{caught} of {len(chosen)} breaks caught")
    return worst


def break_at_random(asked: argparse.Namespace) -> int:
    """Change lines of the rooms that compute, drawn by a seed."""
    drawn = changes(asked.rooms, asked.random, asked.seed)
    caught = 0
    good: set[str] = set()
    with broken_copy() as copy:
        for number, one in enumerate(drawn, start=1):
            began = time.monotonic()
            by = caught_by(copy, one, good)
            caught += bool(by)
            state = CAUGHT if by else LIVED
            print(f"{number:3} {state:6} {one.where} {one.what:14} {time.monotonic() - began:5.1f} s {by}")
            if not by:
                print(f"        - {one.before.strip()}\n        + {one.after.strip()}")
            sys.stdout.flush()
    print(f"{caught} of {len(drawn)} changes caught: {caught / max(1, len(drawn)):.0%}")
    return 0 if caught == len(drawn) else 1


def caught_by(copy: BrokenCopy, one: Change, good: set[str]) -> str:
    """Name the test of the room that notices; those that speak of the module are asked first.

    A test that fails without the change, too, notices nothing; `good` keeps those that do not.
    """
    for some in tests_of(one.file):
        with copy.with_text(one.file, one.text):
            found = copy.tested(some)
        if found.what == LIVED:
            continue
        test = found.by[0].partition("[")[0] if found.by else some[0]
        if test not in good and copy.tested([test]).what != LIVED:
            raise SystemExit(f"{test} fails before anything is changed")
        good.add(test)
        return test
    return ""


def main() -> int:
    """Do what was asked for."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--only", nargs="*", default=[], help="words; lines whose name or file holds one")
    ask.add_argument("--list", action="store_true", help="only look whether the table fits the code")
    ask.add_argument("--whole", action="store_true", help="where the named tests notice nothing, ask all")
    ask.add_argument("--every", action="store_true", help="name every test that fails, not only the first")
    ask.add_argument("--trust", action="store_true", help="do not try first that the tests pass unbroken")
    ask.add_argument("--goldens", action="store_true", help="ask test_unchanged_... too")
    ask.add_argument("--random", type=int, metavar="N", help="change N lines drawn by the seed instead")
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--rooms", nargs="*", default=list(CORE), help="folders and files to draw from")
    asked = ask.parse_args()
    if asked.random:
        return break_at_random(asked)
    chosen = [
        one
        for one in lines()
        if not asked.only or any(word in one.name or word in one.file for word in asked.only)
    ]
    if not chosen:
        print("no line of the table is called that")
        return 2
    return check(chosen) if asked.list else break_named(chosen, asked)


if __name__ == "__main__":
    sys.exit(main())
