"""Whatever goes wrong in one field becomes its own line, and the fields after it are done all the same."""

import pytest

from zoning.errors import BUG, CONTENT, WORLD, InputError
from zoning.farm.chunks import Chunk, singly, work


def step(task, shared):
    if isinstance(task, BaseException):
        raise task
    return task * shared


def done(*tasks, **more):
    return work(Chunk(step=step, places=tuple(range(len(tasks))), tasks=tasks, shared=10), **more)


@pytest.mark.parametrize(
    ("raised", "code", "says"),
    [
        (InputError("no shapes", where="boundary.gpkg", mend="Save it.", code=CONTENT), CONTENT, "no shapes"),
        (MemoryError(), WORLD, "ran out of memory"),
        (OSError(28, "No space left on device", "/somewhere/secret/map.png"), WORLD, "map.png: the system"),
        (OSError("odd"), WORLD, "disk: the system refused (odd)"),
        (ZeroDivisionError("division by zero"), BUG, "a fault of its own (ZeroDivisionError: division by"),
    ],
    ids=["fault", "memory", "disk", "odd", "bug"],
)
def test_a_task_that_fails_is_a_line_and_the_next_is_done(raised, code, says):
    before, failed, after = done(1, raised, 2)
    assert (before.value, after.value) == (10, 20)
    assert (before.fault, after.fault) == (None, None)
    assert failed.value is None
    assert failed.fault.code == code
    assert says in str(failed.fault)
    assert "secret" not in str(failed.fault)
    assert failed.fault.__cause__ is None
    assert ("Traceback" in failed.trace) == (code == BUG)  # for the log only


def test_a_bug_is_named_by_its_line_and_not_by_a_folder():
    [failed] = done(KeyError("x"))
    assert failed.fault.where.startswith("test_faults_of_a_task.py:")


def test_what_is_stopped_leaves_the_rest():
    asked = iter([False, False, True])
    assert [one.value for one in done(1, 2, 3, 4, stopped=lambda: next(asked))] == [10, 20]


def test_a_chunk_falls_into_its_tasks():
    whole = Chunk(step=step, places=(4, 7), tasks=(1, 2), shared=10)
    assert [(one.places, one.tasks) for one in singly(whole)] == [((4,), (1,)), ((7,), (2,))]
