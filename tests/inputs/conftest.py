"""A field for the tests of this folder to start from."""

from pathlib import Path

import pytest
from made_inputs import FIELD, Folder


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    """A field with a boundary; tests add the rest."""
    made = Folder(tmp_path / "farm")
    made.shapes("boundary.geojson", [FIELD])
    return made
