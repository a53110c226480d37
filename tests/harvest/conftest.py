"""The demo farm after harvest, copied, with its plan of July made once."""

import shutil
from pathlib import Path

import pytest
from made_harvested import copied_farm, with_plan


@pytest.fixture(scope="session")
def planned_farm(tmp_path_factory) -> Path:
    """A copy of the farm, with the plan of its field as it stood before the pass."""
    return with_plan(copied_farm(tmp_path_factory.mktemp("farm")))


@pytest.fixture
def farm(planned_farm, tmp_path) -> Path:
    """A copy of it to write into."""
    copy = tmp_path / planned_farm.name
    shutil.copytree(planned_farm, copy)
    return copy
