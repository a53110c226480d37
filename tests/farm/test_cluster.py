"""A real Dask cluster on this machine: the same bytes, though a worker is killed in the middle."""

import contextlib
import gc
import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import time

import pytest
from made_region import TODAY, made_region
from read_results import half_written, results

from cli.main import _code
from zoning import farm
from zoning.errors import WORLD, InputError
from zoning.farm.cluster import Cluster

distributed = pytest.importorskip("distributed", reason="Dask is not installed")
FIELDS = 40
MOST_S = 300


def dask(*arguments, folder):
    """Start one of Dask's commands; what it says stands in a file."""
    with (folder / f"{arguments[0]}_{time.monotonic_ns()}.txt").open("w") as told:
        return subprocess.Popen(
            [sys.executable, "-m", "dask", *arguments], stdout=told, stderr=told, start_new_session=True
        )


def free_port():
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


@contextlib.contextmanager
def scheduler(folder, *, workers):
    """Run a scheduler and some workers; gives its address and all of them, and ends them."""
    address = f"tcp://127.0.0.1:{free_port()}"
    asked = ("--host", "127.0.0.1", "--port", address.rpartition(":")[2], "--no-dashboard", "--no-show")
    running = [dask("scheduler", *asked, folder=folder)]
    try:
        each = ("--nthreads", "1", "--no-nanny", "--no-dashboard", "--local-directory", str(folder))
        running += [dask("worker", address, *each, folder=folder) for _ in range(workers)]
        with distributed.Client(address, timeout=MOST_S, set_as_default=False) as client:
            if workers:
                client.wait_for_workers(workers, timeout=MOST_S)
        yield address, running
    finally:
        for one in running:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(one.pid, signal.SIGKILL)
            one.wait()


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    return made_region(tmp_path_factory.mktemp("region") / "farm", FIELDS, small=True).farm


def test_a_cluster_gives_the_same_bytes_though_a_worker_is_killed(made, tmp_path):
    alone = shutil.copytree(made, tmp_path / "alone")
    farm.run(alone, today=TODAY)
    copy = shutil.copytree(made, tmp_path / "farm")
    killed = []

    with scheduler(tmp_path, workers=2) as (address, (_, *workers)):

        def watch(done, of):
            if of == FIELDS and 0 < done < of and len(list(copy.glob("out.kept/*"))) > 4 and not killed:
                workers[1].send_signal(signal.SIGKILL)
                killed.append(done)

        run = farm.run(copy, today=TODAY, scheduler=address, watch=farm.Watch(done=watch))
    assert killed, "the worker should have been killed in the middle"
    assert 0 < killed[0] < FIELDS
    assert not run.failures
    assert len(run.plans) == FIELDS
    assert results(copy) == results(alone)
    assert not half_written(copy)


def test_a_scheduler_that_is_lost_is_one_clear_line(made, tmp_path, capfd):
    copy = shutil.copytree(made, tmp_path / "farm")
    with scheduler(tmp_path, workers=1) as (address, running):

        def lose(_done, _of):
            if list(copy.glob("out.kept/*.offer.npz")):
                running[0].kill()

        with pytest.raises(InputError, match="the scheduler is lost") as refused:
            farm.run(copy, today=TODAY, scheduler=address, watch=farm.Watch(done=lose))
    assert refused.value.code == WORLD
    assert capfd.readouterr() == ("", "")


def test_where_no_scheduler_answers_a_clear_line_says_so(made, capsys):
    address = f"tcp://127.0.0.1:{free_port()}"
    assert _code(["farm", str(made), "--scheduler", address, "--quiet"]) == WORLD
    told = capsys.readouterr()
    assert told.out == ""
    (line,) = told.err.strip().splitlines()
    assert line.startswith(f"error: --scheduler {address}: no scheduler answers")
    assert "dask scheduler" in line
    assert not (made / "out").exists()


@pytest.mark.parametrize(
    "address", ["nowhere at all", "tcp://127.0.0.1", "tls://127.0.0.1:1", "tcq://127.0.0.1:1"]
)
def test_an_address_that_is_none_is_one_clear_line(made, capsys, address):
    assert _code(["farm", str(made), "--scheduler", address, "--quiet"]) == WORLD
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert line.startswith(f"error: --scheduler {address}: no scheduler answers (")


def test_a_refused_client_is_not_left_to_the_collector(made, tmp_path, monkeypatch):
    """Were it, the collector could close it in the thread of the next one's loop, which then never starts."""
    with pytest.raises(InputError) as refused, Cluster("nowhere at all", made):
        pass
    loop_of = distributed.utils.get_loop_factory

    def collected_first():
        gc.collect()
        return loop_of()

    monkeypatch.setattr("distributed.utils.get_loop_factory", collected_first)
    with scheduler(tmp_path, workers=1) as (address, _), Cluster(address, made) as cluster:
        assert cluster.number == 1
    assert refused.value.code == WORLD


def test_workers_and_scheduler_together_are_refused(made, capsys):
    assert _code(["farm", str(made), "--scheduler", "tcp://127.0.0.1:1", "--workers", "2"]) == 2
    assert "one of them" in capsys.readouterr().err


def test_a_scheduler_without_workers_is_one_clear_line(made, tmp_path, monkeypatch):
    monkeypatch.setattr("zoning.farm.cluster._WAIT_S", 5)
    with (
        scheduler(tmp_path, workers=0) as (address, _),
        pytest.raises(InputError, match="has no worker") as refused,
        Cluster(address, made),
    ):
        pass
    assert refused.value.code == WORLD


def test_workers_that_do_not_see_the_farm_are_told_before_work(tmp_path):
    with (
        scheduler(tmp_path, workers=1) as (address, _),
        pytest.raises(InputError, match="does not see the folder") as refused,
        Cluster(address, tmp_path / "not_there"),
    ):
        pass
    assert refused.value.code == WORLD
    assert json.dumps(str(refused.value))  # one line of plain text
    assert "\n" not in str(refused.value)
