"""A run starts at once: what only some steps need is not imported before the zones are drawn."""

import subprocess
import sys

import pytest

SLOW = {"scipy", "sklearn", "pandas", "geopandas", "matplotlib"}
NUMERIC = {"numpy", "shapely", "rasterio", "pydantic"}


def imported_by(statement: str) -> set[str]:
    """Top-level packages that a fresh interpreter has after a statement."""
    code = f"import sys\n{statement}\nprint(*{{name.split('.')[0] for name in sys.modules}})"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


def test_planning_a_field_imports_no_slow_library_beforehand():
    names = imported_by("import zoning.field, zoning.show.report")
    assert names >= NUMERIC
    assert not names & SLOW


@pytest.mark.parametrize("module", ["cli.main", "cli.run", "zoning.ahead", "zoning.service"])
def test_help_the_process_ahead_and_a_service_wait_for_no_numbers(module):
    assert not imported_by(f"import {module}") & (SLOW | NUMERIC)
