"""One field of the demo farm, planned once from Python for all tests that only look."""

import shutil

import pytest
from made_demo import HERON_SLOUGH

from zoning.service import plan_field


@pytest.fixture(scope="session")
def field(tmp_path_factory):
    """A copy of the field with three dates; its check strips are not laid yet."""
    farm = tmp_path_factory.mktemp("service") / "farm"
    farm.mkdir()
    for name in ("farm.toml", "weather.csv", "hourly.csv", "hourly_forecast.csv"):
        shutil.copy(HERON_SLOUGH / name, farm)
    ignored = shutil.ignore_patterns("out", "out.*", "strips")
    return shutil.copytree(HERON_SLOUGH / "three_dates", farm / "three_dates", ignore=ignored)


@pytest.fixture(scope="session")
def planned(field):
    return plan_field(field, today="2026-07-08")
