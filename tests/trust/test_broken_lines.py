"""The lines that matter are where the table says, and breaking some of them for real is noticed.

All of them are broken by `python tests/trust/break_lines.py`, which takes some minutes.
"""

import subprocess
import sys
from pathlib import Path

import pytest
from broken_copy import CAUGHT, LIVED, ROOT, broken_copy, lines
from small_changes import CORE, changes

SCRIPT = Path(__file__).parent / "break_lines.py"
NOZZLE = "zoning/sprayer/nozzle.py"
TRIED = ("pressure in a straight line", "any host may ask the desk", "rings of the GeoJSON run clockwise")


@pytest.fixture(scope="module")
def copy():
    """The project, copied once."""
    with broken_copy() as made:
        yield made


def test_every_line_is_found_once_and_compiles_once_it_is_broken():
    assert {one.name: one.fault() for one in lines() if one.fault()} == {}
    assert len({one.name for one in lines()}) == len(lines()) >= 20


def test_the_command_that_breaks_them_says_so():
    ran = subprocess.run([sys.executable, SCRIPT, "--list"], capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    assert f"{len(lines())} lines" in ran.stdout


@pytest.mark.parametrize("name", TRIED)
def test_a_broken_line_is_noticed(copy, name):
    one = next(one for one in lines() if one.name == name)
    with copy.with_text(one.file, one.broken()):
        found = copy.tested(one.tests)
    assert found.what == CAUGHT, found.said
    assert found.how in ("published", "by hand", "property")
    assert (copy.root / one.file).read_bytes() == (ROOT / one.file).read_bytes()


def test_a_change_that_breaks_nothing_is_said_to_live(copy):
    with copy.with_text(NOZZLE, f"{(ROOT / NOZZLE).read_text(encoding='utf-8')}\n# nothing\n"):
        assert copy.tested(["tests/sprayer/test_nozzle.py"]).what == LIVED


def test_small_changes_touch_one_line_each_and_compile():
    drawn = changes(CORE, 200, 1)
    assert len({one.where for one in drawn}) == 200
    for one in drawn:
        was = (ROOT / one.file).read_text(encoding="utf-8").splitlines()
        now = one.text.splitlines()
        assert [at for at, pair in enumerate(zip(was, now, strict=True), 1) if len(set(pair)) > 1] == [
            one.line
        ]
        compile(one.text, one.file, "exec")
    assert [one.text for one in changes(CORE, 200, 1)] == [one.text for one in drawn]
