"""A chunk of tasks done one after the other, each with its own fault: what every kind of worker runs."""

import threading
import traceback
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from threadpoolctl import threadpool_limits

from zoning.errors import BUG, WORLD, InputError

Step = Callable[[Any, Any], Any]  # task, what is the same for all -> what came of it
_MOST = 16  # tasks of a chunk: a bar that moves, and little lost with a worker
_CHUNKS_A_WORKER = 4  # at least, so that no worker waits long for the last one
# what is read and drawn here is not made for several threads, and a cluster's worker may have some
_ONE_AT_A_TIME = threading.Lock()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Result:
    """What came of a task: `value`, or the `fault` that stopped it, and for a bug of ours the `trace`."""

    place: int  # of the task among all
    value: Any = None
    fault: InputError | None = None
    trace: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chunk:
    """Some tasks of one step, and their places among all."""

    step: Step
    places: tuple[int, ...]
    tasks: tuple[Any, ...]
    shared: Any


def chunks(step: Step, tasks: Sequence[Any], shared: Any, workers: int) -> list[Chunk]:
    """Part tasks into chunks, in their order.

    Examples
    --------
    >>> [one.places for one in chunks(print, "abcde", None, workers=1)]
    [(0, 1), (2, 3), (4,)]
    """
    size = min(_MOST, max(1, -(-len(tasks) // (_CHUNKS_A_WORKER * workers))))
    return [
        Chunk(
            step=step,
            places=tuple(range(first, min(first + size, len(tasks)))),
            tasks=tuple(tasks[first : first + size]),
            shared=shared,
        )
        for first in range(0, len(tasks), size)
    ]


def singly(chunk: Chunk) -> list[Chunk]:
    """Part a chunk into its tasks."""
    return [
        Chunk(step=chunk.step, places=(place,), tasks=(task,), shared=chunk.shared)
        for place, task in zip(chunk.places, chunk.tasks, strict=True)
    ]


def work(chunk: Chunk, stopped: Callable[[], bool] = lambda: False) -> tuple[Result, ...]:
    """Do the tasks of a chunk; a task that fails stops no other.

    Parameters
    ----------
    chunk : Chunk
    stopped : callable
        Asked before each task; when it says True the others are left, and only what is done comes back.
    """
    return tuple(one_by_one(chunk, stopped))


def one_by_one(chunk: Chunk, stopped: Callable[[], bool] = lambda: False) -> Iterator[Result]:
    """Do the tasks of a chunk as `work` does; gives each result as it comes."""
    with _ONE_AT_A_TIME, threadpool_limits(1):  # the same figures on any machine, and no waiting threads
        for place, task in zip(chunk.places, chunk.tasks, strict=True):
            if stopped():
                break
            yield _done(chunk.step, place, task, chunk.shared)


def _done(step: Step, place: int, task: Any, shared: Any) -> Result:
    try:
        return Result(place=place, value=step(task, shared))
    except InputError as fault:
        return Result(place=place, fault=_by_itself(fault))
    except MemoryError:
        return Result(place=place, fault=too_large())
    except OSError as error:
        what = f"the system refused ({error.strerror or error})"
        mend = "Free some space or get permission, and run again."
        refused = InputError(what, where=Path(str(error.filename or "disk")).name, mend=mend, code=WORLD)
        return Result(place=place, fault=refused)
    except Exception as error:  # the one place: a bug met in one field must not stop a thousand others
        what = f"sprayworth failed here by a fault of its own ({type(error).__name__}: {error})"
        mend = "Please report it, with what --log FILE says; the other fields are not touched by it."
        bug = InputError(what, where=_last_line(error), mend=mend, code=BUG)
        return Result(place=place, fault=bug, trace=traceback.format_exc())


def _by_itself(fault: InputError) -> InputError:
    """Part a fault from what it was raised from: an error of a library may not come out of a pickle again."""
    fault.__cause__ = fault.__context__ = None
    return fault.with_traceback(None)


def too_large() -> InputError:
    """Say that a field needs more memory than a worker may use."""
    what = "the process that worked on this field ran out of memory or was killed"
    mend = "Use fewer --workers, coarser images, or a machine with more memory."
    return InputError(what, where="memory", mend=mend, code=WORLD)


def _last_line(error: BaseException) -> str:
    """Say where in the program an error came from, without the folders of this machine."""
    frames = traceback.extract_tb(error.__traceback__)
    return f"{Path(frames[-1].filename).name}:{frames[-1].lineno}" if frames else "sprayworth"
