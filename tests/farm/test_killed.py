"""A run that is killed or interrupted: the same command again gives the bytes of one undisturbed."""

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from made_small_farm import BROKEN, DAY, small_farm
from read_results import half_written, results

from zoning import farm
from zoning.farm.workers import Processes

pytestmark = pytest.mark.skipif(
    not hasattr(os, "killpg"), reason="a group of processes cannot be killed here"
)
COMMAND = [sys.executable, "-c", "from cli.main import main; main()", "farm"]
MOST_S = 300  # a run that hangs fails its test


RUNNING = []


@pytest.fixture(autouse=True)
def nothing_left():
    """Leave no command running, however its test ends."""
    yield
    while RUNNING:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(RUNNING.pop().pid, signal.SIGKILL)


def started(folder, *options):
    """Start the command in a process group of its own, as a shell does."""
    process = subprocess.Popen(
        [*COMMAND, str(folder), "--today", DAY.isoformat(), *options],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    RUNNING.append(process)
    return process


def until(process, happened):
    """Wait until something happened; whether it did before the process ended."""
    first = time.monotonic()
    while process.poll() is None and time.monotonic() - first < MOST_S:
        if happened():
            return True
        time.sleep(0.005)
    return False


def kept(folder, number, ending):
    return lambda: len(list(folder.glob(f"out.kept/*{ending}"))) >= number


def written(folder, number):
    return lambda: len(list(folder.glob("*/out/run.json"))) >= number


MOMENTS = {
    "some offers are kept": lambda folder: kept(folder, 5, ".offer.npz"),
    "some plans are kept": lambda folder: kept(folder, 3, ".plan.npz"),
    "a field is being written": lambda folder: lambda: any(folder.glob("*/out.new")),
    "some fields are written": lambda folder: written(folder, 6),
    "the farm's files are being written": lambda folder: lambda: (folder / "out.new").exists(),
}


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    return small_farm(tmp_path_factory.mktemp("farm") / "farm")


@pytest.fixture(scope="module")
def undisturbed(made, tmp_path_factory):
    copy = shutil.copytree(made, tmp_path_factory.mktemp("undisturbed") / "farm")
    farm.run(copy, today=DAY)
    return results(copy)


@pytest.mark.parametrize("moment", MOMENTS)
@pytest.mark.parametrize("workers", ["1", "2"])
def test_after_kill_9_the_same_command_ends_with_the_same_bytes(moment, workers, made, undisturbed, tmp_path):
    copy = shutil.copytree(made, tmp_path / "farm")
    process = started(copy, "--workers", workers)
    came = until(process, MOMENTS[moment](copy))
    os.killpg(process.pid, signal.SIGKILL)
    process.communicate()
    assert came or workers == "2"  # between two looks of a loaded machine a moment may pass
    again = started(copy, "--workers", workers)
    again.communicate(timeout=MOST_S)
    assert again.returncode == 3  # of the broken field
    assert results(copy) == undisturbed
    assert not half_written(copy)


def test_workers_go_when_the_command_is_killed_alone(made, undisturbed, tmp_path):
    copy = shutil.copytree(made, tmp_path / "farm")
    process = started(copy, "--workers", "2")
    assert until(process, kept(copy, 2, ".offer.npz"))
    process.kill()  # the command only: its workers hear nothing of it
    process.communicate()
    assert until_gone(process.pid)
    stands = results(copy)
    time.sleep(1)
    assert results(copy) == stands
    farm.run(copy, today=DAY)
    assert results(copy) == undisturbed


def until_gone(session):
    """Wait until no process of a session is left."""
    first = time.monotonic()
    while time.monotonic() - first < MOST_S:
        try:
            os.killpg(session, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.05)
    return False


@pytest.mark.parametrize("workers", ["1", "2"])
def test_ctrl_c_ends_with_130_and_leaves_finished_fields_finished(workers, made, undisturbed, tmp_path):
    copy = shutil.copytree(made, tmp_path / "farm")
    process = started(copy, "--workers", workers)
    assert until(process, written(copy, 3))
    os.killpg(process.pid, signal.SIGINT)  # as a terminal does: to all of its processes
    _, told = process.communicate(timeout=MOST_S)
    assert process.returncode == 130
    assert "Traceback" not in told
    assert told.strip().endswith("interrupted")
    assert until_gone(process.pid)
    assert not half_written(copy)
    finished = results(copy)
    assert finished.items() <= undisturbed.items()
    assert sum(name.endswith("/out/run.json") for name in finished) >= 3
    again = started(copy, "--workers", workers)
    again.communicate(timeout=MOST_S)
    assert results(copy) == undisturbed


def double_or_die(task, shared):
    """Double a number; one kills its process each time, another only the first time."""
    if task == 13 or (task == 7 and not shared.exists()):
        shared.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return 2 * task


def test_a_task_that_kills_its_worker_fails_alone(tmp_path):
    with Processes(2) as hired:
        found = {one.place: one for one in hired.each(double_or_die, range(40), tmp_path / "died")}
    assert sorted(found) == list(range(40))
    assert {place: one.value for place, one in found.items() if place != 13} == {
        place: 2 * place for place in range(40) if place != 13
    }
    assert found[13].fault.code == 4
    assert "memory" in str(found[13].fault)


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="processes are found in /proc")
def test_a_worker_that_is_killed_costs_nothing(made, undisturbed, tmp_path):
    copy = shutil.copytree(made, tmp_path / "farm")
    process = started(copy, "--workers", "2")
    assert until(process, kept(copy, 4, ".offer.npz"))
    victims = [pid for pid in children(process.pid) if is_worker(pid)]
    os.kill(victims[-1], signal.SIGKILL)
    out, told = process.communicate(timeout=MOST_S)
    assert process.returncode == 3, told
    assert [line for line in told.splitlines() if line.startswith("error: ")] == [
        line for line in told.splitlines() if BROKEN in line
    ]
    assert results(copy) == undisturbed
    assert out


def children(pid):
    """All that came of a process, from /proc."""
    try:
        listed = Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii")
    except OSError:
        return []
    return [each for one in listed.split() for each in (int(one), *children(int(one)))]


def is_worker(pid):
    """Whether a process works on fields: it has no child of its own and is not the one that watches."""
    try:
        return b"forkserver" in Path(f"/proc/{pid}/cmdline").read_bytes() and not children(pid)
    except OSError:
        return False
