"""What measure_coverage.py says of a measurement. The measurement itself takes about an hour, by hand."""

import importlib.util
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def measure():
    """The script, as a module."""
    spec = importlib.util.spec_from_file_location(
        "measure_coverage", Path(__file__).parent / "measure_coverage.py"
    )
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def report(missing_lines, missing_branches):
    return {
        "files": {
            "/somewhere/zoning/a.py": {
                "summary": {"num_statements": 100, "num_branches": 20},
                "missing_lines": missing_lines,
                "missing_branches": missing_branches,
            }
        }
    }


@pytest.mark.parametrize(
    ("lines", "branches", "reasons", "ends"),
    [
        (8, 3, {"zoning/a.py": "why"}, 0),  # 92 of 100, 17 of 20: just enough
        (9, 3, {"zoning/a.py": "why"}, 1),
        (8, 4, {"zoning/a.py": "why"}, 1),
        (8, 3, {}, 1),  # enough, but nobody says why the rest is not run
        (8, 2, {}, 0),  # ten need no reason
        (0, 0, {}, 0),
    ],
)
def test_by_hand_lines_and_branches_are_counted_apart(measure, capsys, lines, branches, reasons, ends):
    of_all = report(list(range(1, lines + 1)), [[50, 51 + at] for at in range(branches)])
    assert measure.told(measure.measured(of_all), reasons) == ends
    said = capsys.readouterr().out
    assert f"{100 - lines} of    100" in said
    assert f"{20 - branches} of     20" in said
    assert ("zoning/a.py: " in said) == bool(lines)


def test_by_hand_lines_that_follow_each_other_are_one(measure, capsys):
    measure.told(measure.measured(report([1, 2, 3, 7, 9, 10], [[12, -5], [12, 14]])), {})
    assert "zoning/a.py: lines 1-3, 7, 9-10; branches 12->end, 12->14" in capsys.readouterr().out


def test_every_reason_is_of_a_module_that_is_there():
    reasons = tomllib.loads((Path(__file__).parent / "not_covered.toml").read_text(encoding="utf-8"))
    assert not [name for name in reasons if not (ROOT / name).is_file()]
    assert all(len(why.split()) > 3 for why in reasons.values())
