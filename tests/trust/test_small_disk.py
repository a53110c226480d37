"""A disk that is really full, or has no names left: one clear line, exit 4, and all stands as it was.

Filled so that the write fails at many bytes; with room again the same command gives what it always gives.
"""

import random
import shutil

import corpus_bases
import pytest
import small_disks
from made_kills import KILLS, half_written, state

from zoning import field
from zoning.errors import WORLD, InputError

SEED = 12
# how many bytes are free; a run needs about a megabyte, a table some pages
LEVELS = {
    "run": (0, 40_000, 400_000),
    "farm": (60_000, 500_000),
    "strips": (300_000,),
    "scout --add": (0, 4096, 12_288),
    "done": (0, 4096, 8192),
    "decisions saved at the desk": (0, 4096),
    "number of zones set at the desk": (0, 4096),
}


@pytest.fixture
def disk(tmp_path):
    try:
        with small_disks.disk(tmp_path / "disk", names=4000) as mounted:
            yield mounted
    except small_disks.NoMountError as error:
        pytest.skip(f"no disk can be mounted: {error}")


def refused(ended, farm, before):
    """It ended with 4 and one clear line, and left nothing."""
    lines = [line for line in ended.told.splitlines() if line.startswith("error: ") or "lines" in line]
    assert ended.code in (1, 3, 4), ended.told  # the desk's is told in its answer, a farm's by field
    assert lines, ended.told
    assert "o space left on device" in ended.told
    assert "Traceback" not in ended.told
    assert state(farm) == before
    assert half_written(farm) == []


@pytest.mark.parametrize("name", LEVELS)
def test_a_full_disk_costs_nothing(name, nursed, disk):
    standing, nursery = nursed
    stand = standing(name)
    farm = shutil.copytree(stand.farm, disk / "farm", symlinks=True)
    arguments, before = stand.filled(stand.kill.command, farm), state(farm)
    for free_bytes in LEVELS[name]:
        with small_disks.filled(disk, free_bytes):
            ended = nursery.run(arguments, farm)
        refused(ended, farm, before)
        if arguments[0] not in ("farm", "asks the desk"):
            assert (ended.code, ended.told.count("error: ")) == (WORLD, 1), ended.told
    ended = nursery.run(arguments, farm)
    assert ended.code == 0, ended.told
    assert state(farm) != before
    assert half_written(farm) == []


@pytest.mark.parametrize("name", ["run", "scout --add", "done"])
def test_a_disk_without_names_costs_nothing(name, nursed, disk):
    standing, nursery = nursed
    stand = standing(name)
    farm = shutil.copytree(stand.farm, disk / "farm", symlinks=True)
    arguments, before = stand.filled(stand.kill.command, farm), state(farm)
    for free in (0, 1, 20) if name == "run" else (0, 1):
        with small_disks.out_of_names(disk, free):
            ended = nursery.run(arguments, farm)
        refused(ended, farm, before)
    assert nursery.run(arguments, farm).code == 0


def test_wherever_the_disk_is_full_the_last_results_stand(disk):
    farm = corpus_bases.rich(disk / "farm")
    made = field.run(farm / "q00001", today=corpus_bases.TODAY["rich"])
    out = farm / "q00001" / "out"
    field.write(made, out, pictures=False)
    before = state(farm)
    needed = sum(-(-path.stat().st_size // 4096) * 4096 for path in out.rglob("*") if path.is_file())
    levels = random.Random(SEED).sample(range(0, needed, 4096), 12)
    for free_bytes in levels:
        with (
            small_disks.filled(disk, free_bytes),
            pytest.raises(InputError, match="No space left on device") as error,
        ):
            field.write(made, out, pictures=False)
        assert error.value.code == WORLD
        assert state(farm) == before
        assert half_written(farm) == []
    field.write(made, out, pictures=False)
    assert state(farm) == before


def test_a_log_on_a_full_disk_stops_the_run_before_anything_is_written(nursed, disk):
    standing, nursery = nursed
    stand = standing("run")
    before, log = state(stand.farm), disk / "run.log"
    log.write_bytes(b"." * 4090 + b"\n")  # a line more takes a part of its page, then there is no other
    arguments = [*stand.arguments, "--log", str(log)]
    with small_disks.filled(disk, 0):
        ended = nursery.run(arguments, stand.farm)
    assert (ended.code, ended.told.count("error: ")) == (WORLD, 1), ended.told
    assert "run.log: the log cannot be written (No space left on device)" in ended.told
    assert state(stand.farm) == before
    assert log.read_bytes() == b"." * 4090 + b"\n"
    assert nursery.run(arguments, stand.farm).code == 0
    assert log.read_text().splitlines()[-1].endswith("writing files")


def test_all_that_is_tried_here_writes():
    assert LEVELS.keys() <= KILLS.keys()
