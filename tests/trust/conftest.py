"""A process that runs commands apart from the tests, and farms as they stand before a command."""

import os

import made_kills
import pytest
from dying import Nursery


@pytest.fixture(scope="session")
def nursed(tmp_path_factory):
    """Give `stand(name)`: a farm before a command of `KILLS`, always in the same folder; and the nursery."""
    if not hasattr(os, "fork"):
        pytest.skip("processes are forked as on Unix")
    folder = tmp_path_factory.mktemp("nursed")
    scratch = folder / "scratch"
    scratch.mkdir()
    made = {}
    with Nursery(scratch) as nursery:
        yield lambda name: made_kills.stand(name, nursery, folder, made), nursery
