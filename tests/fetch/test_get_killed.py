"""Kill -9 at moments spread over `get`: the same command then ends with the bytes of one undisturbed."""

import os
import random
import shutil

import pytest
from dying import KILLED, Nursery
from made_catalogue import TILE, scene
from made_kills import half_written, state
from made_weather_farm import farm
from made_weather_service import running

SEED, MOMENTS = 12, 6


@pytest.fixture(scope="module")
def nursery(tmp_path_factory):
    if not hasattr(os, "fork"):
        pytest.skip("processes are forked as on Unix")
    scratch = tmp_path_factory.mktemp("scratch")
    with Nursery(scratch) as one:
        yield one


def mended(nursery, words, folder, made_as):
    """Kill a command at several moments, each over a fresh copy of a folder; call it again each time."""
    folder.rename(made_as)
    shutil.copytree(made_as, folder)
    whole = nursery.run(words, folder)
    assert whole.code == 0, whole.told
    after = state(folder)
    assert after != state(made_as)
    moments = random.Random(SEED).sample(range(1, whole.changes + 1), MOMENTS)
    for moment in moments:
        shutil.rmtree(folder)
        shutil.copytree(made_as, folder)
        died = nursery.run(words, folder, dies_at=moment)
        assert (died.code, died.changes) == (KILLED, moment)
        again = nursery.run(words, folder)
        assert again.code == 0, again.told
        assert state(folder) == after
        assert half_written(folder) == []


def test_images(made, field, nursery, tmp_path):
    for day in ("2026-06-06", "2026-06-11", "2026-06-21"):
        scene(made, TILE, day)
    june = ["--from", "2026-06-01", "--to", "2026-06-30"]
    words = ["get", "imagery", field, *june, "--catalog", made.address, "--quiet"]
    mended(nursery, words, field, tmp_path / "made")


def test_weather(nursery, tmp_path):
    folder = farm(tmp_path, fields=("north",))
    with running() as double:
        table = double.table(tmp_path)
        more = ["--services", table, "--years", "2", "--hourly", "--today", "2026-07-08", "--quiet"]
        mended(nursery, ["get", "weather", folder, *more], folder, tmp_path / "made")
