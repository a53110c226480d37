"""A planned copy of the demo's field, made once, and a fresh copy of it for each test."""

import shutil

import pytest
from made_desks import Desk, demo_farm, planned

FIELD = "three_dates"


@pytest.fixture(scope="session")
def planned_farm(tmp_path_factory):
    farm = demo_farm(tmp_path_factory.mktemp("desk") / "farm", FIELD)
    planned(farm / FIELD)
    return farm


@pytest.fixture
def folder(planned_farm, tmp_path):
    shutil.copytree(planned_farm, tmp_path / "farm")
    return tmp_path / "farm" / FIELD


@pytest.fixture
def desk(folder):
    pytest.importorskip("starlette", reason="the desk is an extra")
    return Desk(folder)
