"""What comes of a farm depends on nobody: not on who works, how many, in what chunks, in what order."""

import pickle
import random
import shutil

import pytest
from made_small_farm import BROKEN, DAY, STRIPS, small_farm
from read_results import half_written, results
from tblib import pickling_support

from zoning import farm
from zoning.errors import InputError
from zoning.farm import chunks
from zoning.farm.workers import Here, Processes, memory_limit, workers_for


class Shuffled:
    """Workers that take chunks of any size in any order, and see of everything only a copy."""

    def __init__(self, seed, size):
        self.number, self._seed, self._size = 3, seed, size

    def __enter__(self):
        return self

    def __exit__(self, *_):
        return None

    def each(self, step, tasks, shared):
        rng = random.Random(self._seed)
        places = list(range(len(tasks)))
        rng.shuffle(places)
        for first in range(0, len(places), self._size):
            mine = places[first : first + self._size]
            chunk = chunks.Chunk(
                step=step, places=tuple(mine), tasks=tuple(tasks[place] for place in mine), shared=shared
            )
            found = chunks.work(pickle.loads(pickle.dumps(chunk)))
            yield from pickle.loads(pickle.dumps(found))


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A farm that nobody has run yet."""
    return small_farm(tmp_path_factory.mktemp("farm") / "farm")


@pytest.fixture(scope="module")
def alone(made, tmp_path_factory):
    """What one process makes of it, and its results."""
    copy = shutil.copytree(made, tmp_path_factory.mktemp("alone") / "farm")
    return farm.run(copy, today=DAY, workers=1), results(copy)


def test_one_process_plans_all_but_the_broken_field(alone):
    run, made = alone
    assert [name for name, _ in run.failures] == [BROKEN]
    assert len(run.plans) == 13
    assert any(plan.passes for plan in run.plans)
    laid = [plan.field for plan in run.plans if plan.strips is not None and plan.strips.new_design]
    assert len(laid) == len(STRIPS)
    assert {f"{name}/strips/design.geojson" for name in STRIPS} <= set(made)


def test_processes_give_the_same_bytes(made, alone, tmp_path):
    copy = shutil.copytree(made, tmp_path / "farm")
    run = farm.run(copy, today=DAY, workers=3)
    assert results(copy) == alone[1]
    assert [name for name, _ in run.failures] == [BROKEN]
    assert [str(fault) for _, fault in run.failures] == [str(fault) for _, fault in alone[0].failures]
    assert not half_written(copy)


@pytest.mark.parametrize(("seed", "size"), [(0, 1), (1, 3), (2, 5), (3, 14)])
def test_no_order_and_no_chunk_changes_a_byte(made, alone, tmp_path, seed, size):
    copy = shutil.copytree(made, tmp_path / "farm")
    farm.run(copy, today=DAY, workers=Shuffled(seed, size))
    assert results(copy) == alone[1]


class UnsendableError(Exception):
    """Pickled, and never read again, as errors of some libraries."""

    def __reduce__(self):
        return str.upper, (1,)


def cannot(task, _shared):
    try:
        raise UnsendableError
    except UnsendableError as error:
        raise InputError(task, where="field.toml", mend="Mend it.") from error


def test_a_fault_travels_without_what_it_was_raised_from():
    # a cluster's library, once it is imported, pickles errors with all that led to them
    pickling_support.install(InputError, UnsendableError)
    with pytest.raises(TypeError):
        pickle.loads(pickle.dumps(UnsendableError()))
    chunk = chunks.Chunk(step=cannot, places=(0,), tasks=("it is wrong",), shared=None)
    (found,) = pickle.loads(pickle.dumps(chunks.work(chunk)))
    assert str(found.fault) == "field.toml: it is wrong. Mend it."


def test_every_task_is_in_one_chunk():
    for number in (0, 1, 5, 16, 17, 200, 1001):
        for workers in (1, 2, 8, 64):
            found = chunks.chunks(print, range(number), None, workers)
            assert [place for one in found for place in one.places] == list(range(number))
            assert all(one.tasks == one.places for one in found)


def test_few_fields_need_no_processes():
    assert isinstance(workers_for(None, 3), Here)
    assert isinstance(workers_for(1, 300), Here)
    assert isinstance(workers_for(2, 300), Processes)
    assert workers_for(50, 4).number == 4


def test_each_of_many_workers_may_use_no_less_than_it_needs():
    assert memory_limit(1) >= memory_limit(1000) >= 1.5e9
