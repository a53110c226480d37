"""Zones measured by a process that is started ahead: the same figures, whoever measures, whatever happens."""

import os
import select
import signal
from dataclasses import asdict

import pytest
from made_zoned import zoned_survey

from zoning.ahead import MeasuredAhead
from zoning.field import measure_here


@pytest.fixture(scope="module")
def found():
    return zoned_survey(2)


@pytest.fixture(scope="module")
def here(found):
    return measure_here(found, seed=4)()


def test_the_figures_are_those_measured_here(found, here):
    with MeasuredAhead() as ahead:
        assert asdict(ahead.begin(found, seed=4)()) == asdict(here)


def test_an_answer_that_nobody_fetched_is_not_taken_for_the_next_one(found, here):
    with MeasuredAhead() as ahead:
        ahead.begin(found, seed=99)  # its field failed afterwards
        assert asdict(ahead.begin(found, seed=4)()) == asdict(here)


def test_without_the_process_they_are_measured_here(found, here):
    with MeasuredAhead() as ahead:
        waiting = ahead.begin(found, seed=4)
        ahead._process.kill()
        assert asdict(waiting()) == asdict(here)
        assert asdict(ahead.begin(found, seed=4)()) == asdict(here)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="a process is killed as Unix does")
def test_the_process_goes_when_its_owner_is_killed():
    end, mine = os.pipe()  # open as long as either of the two processes is there
    pid = os.fork()
    if pid == 0:
        os.close(end)
        with MeasuredAhead():
            os.kill(os.getpid(), signal.SIGKILL)
    os.close(mine)
    os.waitpid(pid, 0)
    assert select.select([end], [], [], 120.0)[0], "the process waits for an owner that is gone"
    assert os.read(end, 1) == b""
    os.close(end)
