"""The house itself: whose packages are imported, sizes, what the rooms may do, names that say nothing."""

import ast
from pathlib import Path

import pytest

import cli
import zoning

ROOT = Path(__file__).parents[2]
SOURCES = sorted([*(ROOT / "zoning").glob("**/*.py"), *(ROOT / "cli").glob("**/*.py")])
PURE_ROOMS = ("sprayer", "zones", "stage", "returns", "passes", "strips")
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "pyproject.toml",
    "zoning",
    "cli",
    "tests",
    "demo_fields",
    "docs",
}


def test_the_imported_packages_are_ours():
    assert Path(cli.__file__).parent == ROOT / "cli"
    assert Path(zoning.__file__).parent == ROOT / "zoning"


def test_the_top_level_holds_what_it_should():
    seen = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    built = {"build", "dist", "sprayworth.egg-info"}
    assert seen - built == TOP_LEVEL


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_modules_are_small_and_functions_fit_a_screen(path):
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 320, "a module of about 300 lines at most"
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            body = [one for one in node.body if not isinstance(one, ast.Expr)] or node.body
            lines = body[-1].end_lineno - body[0].lineno + 1
            assert lines <= 50, f"{node.name} has {lines} lines of code"


def test_no_module_has_a_name_that_says_nothing():
    empty = ("utils", "helpers", "common", "base", "manager", "misc")
    assert not [path for path in SOURCES if path.stem in empty]


@pytest.mark.parametrize("room", PURE_ROOMS)
def test_pure_rooms_open_no_files(room):
    banned = {
        "open",
        "read_file",
        "to_file",
        "read_text",
        "write_text",
        "read_csv",
        "to_csv",
        "print",
        "input",
    }
    for path in (ROOT / "zoning" / room).glob("**/*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                name = getattr(node.func, "id", getattr(node.func, "attr", ""))
                assert name not in banned, f"{path.relative_to(ROOT)}:{node.lineno}: {name}()"


def test_nothing_reads_the_clock_but_the_edge():
    for path in (ROOT / "zoning").glob("**/*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Attribute) and node.attr in ("today", "now", "utcnow", "time_ns"):
                value = node.value
                is_date = isinstance(value, ast.Name) and value.id in ("date", "datetime", "time")
                assert not is_date, f"{path.relative_to(ROOT)}:{node.lineno} reads the clock"
