"""Results that cannot be written where they belong: one clear line, exit 4, and nothing is touched."""

import os
import shutil
import subprocess
import sys

import pytest
import small_disks
from made_kills import FIELD, half_written, state

pytestmark = pytest.mark.skipif(os.name != "posix", reason="permissions, links and mounts of Unix")


@pytest.fixture
def standing(nursed):
    return nursed[0]


@pytest.fixture
def nursery(nursed):
    return nursed[1]


def refused(ended, farm, before, words):
    errors = [line for line in ended.told.splitlines() if line.startswith("error: ")]
    assert (ended.code, len(errors)) == (4, 1), ended.told
    assert words in errors[0]
    assert "Traceback" not in ended.told
    assert state(farm) == before
    assert half_written(farm) == []


@pytest.mark.parametrize("name", ["run", "strips", "scout --add", "done", "decisions saved at the desk"])
def test_a_disk_that_nobody_may_write_to(name, standing, nursery, tmp_path):
    stand = standing(name)
    try:
        with small_disks.disk(tmp_path / "disk") as disk:
            farm = shutil.copytree(stand.farm, disk / "farm", symlinks=True)
            arguments, before = stand.filled(stand.kill.command, farm), state(farm)
            with small_disks.read_only(disk):
                ended = nursery.run(arguments, farm)
                if "desk" in name:
                    assert (ended.code, ended.told[:3]) == (1, "503"), ended.told
                    assert "read-only file system" in ended.told
                    assert state(farm) == before
                else:
                    refused(ended, farm, before, "ead-only file system")
            assert nursery.run(arguments, farm).code == 0
    except small_disks.NoMountError as error:
        pytest.skip(f"no disk can be mounted: {error}")


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root may give files away")
@pytest.mark.parametrize("name", ["run", "scout --add"])
def test_a_folder_of_somebody_else(name, standing):
    """Root that has given up to write where others may not: it still reads the program, wherever it lies."""
    stand, setpriv = standing(name), shutil.which("setpriv")
    if setpriv is None:
        pytest.skip("nothing here gives up what root may do")
    for path in (stand.farm, *stand.farm.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)
        os.chown(path, 65534, 65534)
    before = state(stand.farm)
    gives_up = [setpriv, "--bounding-set", "-dac_override,-dac_read_search,-fowner"]
    program = [sys.executable, "-c", "from cli.main import main; main()"]
    done = subprocess.run(
        [*gives_up, *program, *stand.arguments], capture_output=True, text=True, check=False
    )
    errors = [line for line in done.stderr.splitlines() if line.startswith("error: ")]
    assert (done.returncode, len(errors)) == (4, 1), done.stderr
    assert "ermission denied" in errors[0]
    assert state(stand.farm) == before


def test_results_that_nobody_may_rename(standing, nursery):
    stand = standing("run --new-strips")
    farm, out, before = stand.farm, stand.farm / FIELD / "out", state(stand.farm)
    chattr = shutil.which("chattr")
    if chattr is None or subprocess.run([chattr, "+i", out], capture_output=True, check=False).returncode:
        pytest.skip("no file can be made immutable here")
    try:
        refused(nursery.run(stand.arguments, farm), farm, before, "Operation not permitted")
    finally:
        subprocess.run([chattr, "-i", out], check=True)
    assert nursery.run(stand.arguments, farm).code == 0


def test_a_link_in_the_place_of_the_results_is_not_followed(standing, nursery, tmp_path):
    stand = standing("run")
    out = stand.farm / FIELD / "out"
    out.rename(tmp_path / "mine")
    (tmp_path / "mine" / "letter.txt").write_text("dear")
    out.symlink_to(tmp_path / "mine")
    before, mine = state(stand.farm), state(tmp_path / "mine")
    refused(nursery.run(stand.arguments, stand.farm), stand.farm, before, "this is a link")
    assert state(tmp_path / "mine") == mine
    assert out.is_symlink()
    out.unlink()
    assert nursery.run(stand.arguments, stand.farm).code == 0
    assert state(tmp_path / "mine") == mine


def test_a_disk_mounted_in_the_place_of_the_results_is_told(standing, nursery):
    stand = standing("run --new-strips")
    out = stand.farm / FIELD / "out"
    shutil.rmtree(out)
    try:
        with small_disks.disk(out):
            (out / "letter.txt").write_text("dear")
            before = state(stand.farm)
            refused(
                nursery.run(stand.arguments, stand.farm), stand.farm, before, "another disk is mounted here"
            )
    except small_disks.NoMountError as error:
        pytest.skip(f"no disk can be mounted: {error}")


def test_somebody_who_stands_in_the_results_stops_nobody(standing, nursery):
    stand = standing("run")
    out, before = stand.farm / FIELD / "out", state(stand.farm)
    sleeper = subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE, cwd=out)
    try:
        with (out / "plan.json").open("rb"):
            ended = nursery.run(stand.arguments, stand.farm)
    finally:
        sleeper.communicate(b"\n")
    assert ended.code == 0, ended.told
    assert state(stand.farm) != before
    assert half_written(stand.farm) == []
