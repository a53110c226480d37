"""Makes `made_inputs` importable for the tests of this folder, and gives them a field to start from."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from made_inputs import FIELD, Folder


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    """A field with a boundary; tests add the rest."""
    made = Folder(tmp_path / "farm")
    made.shapes("boundary.geojson", [FIELD])
    return made
