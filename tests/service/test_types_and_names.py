"""What is promised to whoever writes programs: names, columns, types, and examples that run."""

import ast
import inspect
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

import zoning
from zoning import service
from zoning.prescription import geopackage

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "reference" / "python.md"
README = ROOT / "README.md"


def rows(first):
    """Rows of the table whose head begins so: the names in the first cell, and the second cell."""
    table = PAGE.read_text(encoding="utf-8").split(f"\n| {first} |")[1].split("\n\n")[0]
    cells = [line.split(" | ") for line in table.splitlines() if line.startswith("| `")]
    return [(re.findall(r"`([^`]+)`", one[0]), one[1]) for one in cells]


def names(first):
    return [name for found, _ in rows(first) for name in found]


def blocks(path):
    return re.findall(r"```python\n(.*?)```", path.read_text(encoding="utf-8"), flags=re.DOTALL)


def public(kind):
    """Public names of a class, its fields among them."""
    return {name for name in [*vars(kind), *getattr(kind, "__annotations__", ())] if not name.startswith("_")}


def test_the_page_lists_every_public_name():
    assert sorted(names("name")) == sorted(service.__all__)
    seen = {name for name, it in vars(service).items() if not (name.startswith("_") or inspect.ismodule(it))}
    assert seen == set(service.__all__)
    for kind in (service.PlannedField, service.PlannedFarm):
        assert set(names(f"of a `{kind.__name__}`")) == public(kind)
    for call in (service.plan_field, service.plan_farm):
        assert names(f"argument of `{call.__name__}`") == list(inspect.signature(call).parameters)


@pytest.mark.parametrize("layer", ["zones", "passes"])
def test_the_page_lists_every_column_with_its_type(layer):
    words = {"int32": "whole number", "float": "number", "str": "text", "bool": "yes or no", "date": "date"}
    kinds = geopackage.columns(layer, metric=True)
    told = {name: kind for found, kind in rows(f"column of `{layer}`") for name in found}
    assert told == {name: words[kind] for name, kind in kinds.items()}


def test_every_public_name_says_what_it_is():
    for name in service.__all__:
        it = getattr(service, name)
        assert len(inspect.getdoc(it)) > 20
        if inspect.isclass(it):
            members = [one for one in public(it) if one not in getattr(it, "__annotations__", ())]
            assert all(inspect.getdoc(getattr(it, one)) for one in members if callable(getattr(it, one)))
    for kind in (service.PlannedField, service.PlannedFarm):
        for name in public(kind) - set(kind.__annotations__):
            assert inspect.getdoc(getattr(kind, name))


def test_the_examples_run_as_they_stand(monkeypatch, capsys):
    monkeypatch.chdir(ROOT)
    here = {}
    for block in blocks(PAGE):
        if "plan_farm" not in block:  # that one writes; see test_plan_farm
            exec(compile(ast.parse(block), str(PAGE), "exec"), here)
    assert here["pdf"].startswith(b"%PDF")
    assert here["png"].startswith(b"\x89PNG")
    assert "no_such_field" in capsys.readouterr().out
    (first, *_) = blocks(PAGE)
    assert first in blocks(README)
    assert len([line for line in first.splitlines() if line]) == 3


SCRATCH = """\
from datetime import date
from pathlib import Path
from typing import Any, assert_type

from zoning.service import InputError, PlannedFarm, PlannedField, plan_farm, plan_field

planned = plan_field("my_farm/north_forty", today="2026-07-08")
planned.zones

assert_type(planned, PlannedField)
assert_type(planned.map_png(), bytes)
assert_type(planned.page_html(), str)
assert_type(planned.sheet_pdf(), bytes)
assert_type(planned.as_dict(), dict[str, Any])
assert_type(planned.write(Path("out")), tuple[str, ...])
assert_type(planned.plan.today, date)
assert_type([note.code for note in planned.plan.notes], list[str])
net = planned.plan.totals
assert_type(net.net_usd if net else 0.0, float)
assert_type(plan_farm("my_farm", today="2026-07-08", workers=None), PlannedFarm)
assert_type(plan_farm("my_farm").plan.farm, str)
plan_field(Path("x"), today=date(2026, 7, 8), seed=3)
plan_field("x", today=3)  # type: ignore[arg-type]
planned.run = None  # type: ignore[misc, assignment]
try:
    plan_field("x")
except InputError as error:
    assert_type(error.code, int)
"""


def test_the_types_are_seen_by_a_strict_type_checker_from_outside(tmp_path):
    pytest.importorskip("mypy")
    assert (Path(zoning.__file__).parent / "py.typed").is_file()
    (tmp_path / "scratch.py").write_text(SCRATCH, encoding="utf-8")
    cache = os.environ.get("MYPY_CACHE_DIR", str(tmp_path / "cache"))
    asked = [sys.executable, "-m", "mypy", "--strict", "--cache-dir", cache, "scratch.py"]
    done = subprocess.run(asked, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "no issues found" in done.stdout
