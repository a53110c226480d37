"""Who does the work of a farm: this process, or several of this machine. A cluster is in `cluster`.

All of them take tasks and give results in any order; results say to which task they belong.
"""

import multiprocessing
import os
import pickle
import signal
import sys
import tempfile
import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import AbstractContextManager, contextmanager
from multiprocessing import connection
from multiprocessing.synchronize import Event
from pathlib import Path
from types import TracebackType
from typing import Any, Protocol, Self

from zoning.errors import WORLD, InputError
from zoning.farm import chunks
from zoning.farm.chunks import Chunk, Result, Step

_FEWEST_FIELDS = 6  # for which starting processes is worth the wait
_GB = 1024**3
_LEAST_MEMORY = 1.5 * _GB  # a worker may use so much, at least
_SHARE_OF_MEMORY = 0.8  # of the machine's, for all workers
_OF_CONTAINER = Path("/sys/fs/cgroup/memory.max")
_AHEAD = 2  # chunks that wait for each worker: none is idle, and few are lost when one dies
_READY = ("zoning.farm.of_fields", "zoning.field_out", "sklearn.cluster", "sklearn.metrics")  # imported once


class Workers(AbstractContextManager["Workers"], Protocol):
    """Who does the work; used as a context."""

    number: int

    def each(self, step: Step, tasks: Sequence[Any], shared: Any) -> Iterator[Result]:
        """Do a step for each task; gives results as they come."""


class Here:
    """Nobody but this process: one task after the other, in their order."""

    number = 1

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        return None

    def each(self, step: Step, tasks: Sequence[Any], shared: Any) -> Iterator[Result]:
        """Do a step for each task."""
        places = tuple(range(len(tasks)))
        yield from chunks.one_by_one(Chunk(step=step, places=places, tasks=tuple(tasks), shared=shared))


class Processes:
    """Processes of this machine, each with one thread and a limit of memory.

    A process that dies takes no field with it: what it worked on is done again, task by task, and only a task
    that kills its process twice by itself is at fault.
    """

    def __init__(self, number: int) -> None:
        self.number = number
        self._context = _context()
        self._stop: Event = self._context.Event()
        self._begun: Event = self._context.Event()
        self._pool: ProcessPoolExecutor | None = None

    def __enter__(self) -> Self:
        self._results = tempfile.TemporaryDirectory(prefix="sprayworth_")
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, where: TracebackType | None
    ) -> None:
        with _undisturbed():
            self._stop.set()  # who is in the middle of a field finishes it
            self._drop()
            self._results.cleanup()

    def each(self, step: Step, tasks: Sequence[Any], shared: Any) -> Iterator[Result]:
        """Do a step for each task.

        Raises
        ------
        InputError
            Code 4, when no process can be started.
        """
        doubtful: list[Chunk] = []
        yield from self._each(chunks.chunks(step, tasks, shared, self.number), doubtful)
        for chunk in (single for one in doubtful for single in chunks.singly(one)):
            yield from self._alone(chunk)

    def _each(self, waiting: list[Chunk], doubtful: list[Chunk]) -> Iterator[Result]:
        """Do chunks; those that were under way when a process died are put aside."""
        left = list(reversed(waiting))
        running: dict[Future[str], Chunk] = {}
        while left or running:
            try:
                while left and len(running) < _AHEAD * self.number:
                    running[self._submit(left[-1])] = left[-1]
                    left.pop()
                ready, _ = wait(running, return_when=FIRST_COMPLETED)
                for future in ready:
                    found = _taken(future.result())
                    del running[future]
                    yield from found
            except BrokenProcessPool:
                doubtful.extend(running.values())
                running.clear()
                self._drop()
                if not self._begun.is_set():
                    raise _none_began() from None

    def _alone(self, chunk: Chunk) -> Iterator[Result]:
        """Do one task with nothing beside it, twice if its process dies."""
        for _ in range(2):
            try:
                yield from _taken(self._submit(chunk).result())
                return
            except BrokenProcessPool:
                self._drop()
        yield Result(place=chunk.places[0], fault=chunks.too_large())

    def _drop(self) -> None:
        """Wait until no process of a broken pool is left: two must never write one folder."""
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)
        self._pool = None

    def _submit(self, chunk: Chunk) -> Future[str]:
        with _undisturbed():  # a process of which the pool does not know would be waited for without end
            if self._pool is None:
                _begin_server(self._context)
                self._pool = ProcessPoolExecutor(
                    self.number,
                    mp_context=self._context,
                    initializer=_begin,
                    initargs=(self._stop, self._begun, memory_limit(self.number)),
                )
            return self._pool.submit(_work, chunk, self._results.name)


def workers_for(number: int | None, fields: int) -> Here | Processes:
    """Choose who does the work on this machine.

    Parameters
    ----------
    number : int or None
        Processes; None: one for each core that has memory enough, and this process alone for few fields.
    fields : int
        How many there are: more processes than fields are of no use.
    """
    wanted = number
    if wanted is None:
        enough = int(_SHARE_OF_MEMORY * _memory() // _LEAST_MEMORY)
        wanted = 1 if fields < _FEWEST_FIELDS else max(1, min(_cores(), enough))
    wanted = min(wanted, fields)
    return Here() if wanted < 2 else Processes(wanted)


def memory_limit(number: int) -> int:
    """Give the memory that each of so many workers may use, in bytes."""
    return int(max(_LEAST_MEMORY, _SHARE_OF_MEMORY * _memory() / number))


def _cores() -> int:
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _memory() -> float:
    """Give the memory of this machine, or of the container it is, in bytes; much where nobody says."""
    try:
        machine = float(os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES"))
    except (AttributeError, ValueError, OSError):
        machine = 64.0 * _GB
    try:
        return min(machine, float(_OF_CONTAINER.read_text(encoding="ascii")))
    except (OSError, ValueError):  # none, or no limit: "max"
        return machine


def _context() -> Any:
    # a server that has imported everything once and forks: quick, and no thread of ours is forked
    how = "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"
    context = multiprocessing.get_context(how)
    if how == "forkserver":
        context.set_forkserver_preload([*_READY])
    return context


def _begin_server(context: Any) -> None:
    """Start the server, to which Ctrl-C is nothing: while it imports, it would tell where it was."""
    if context.get_start_method() != "forkserver":
        return
    from multiprocessing import forkserver  # only where there is one

    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        forkserver.ensure_running()
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


@contextmanager
def _undisturbed() -> Iterator[None]:
    """Let Ctrl-C wait for the end of a few lines. It comes to the main thread only."""
    before = signal.getsignal(signal.SIGINT)
    if before is None or threading.current_thread() is not threading.main_thread():
        yield
        return
    heard: list[int] = []
    signal.signal(signal.SIGINT, lambda number, _frame: heard.append(number))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    if heard:
        signal.raise_signal(signal.SIGINT)


_stopped: Event | None = None


def _none_began() -> InputError:
    what = "no process that was to share the work could begin"
    mend = 'Use 1, this process alone; in a script of yours call from below if __name__ == "__main__".'
    return InputError(what, where="workers", mend=mend, code=WORLD)


def _begin(stop: Event, begun: Event, limit: int) -> None:
    """Get a process ready: Ctrl-C is for its parent, memory has a limit, and it goes when its parent goes."""
    global _stopped
    _stopped = stop
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if sys.platform == "linux":
        import resource

        hard = resource.getrlimit(resource.RLIMIT_DATA)[1]
        least = limit if hard == resource.RLIM_INFINITY else min(limit, hard)
        resource.setrlimit(resource.RLIMIT_DATA, (least, hard))
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_go_with, args=(parent.sentinel,), daemon=True).start()
    begun.set()


def _go_with(sentinel: int) -> None:
    """End this process when its parent is gone: whoever runs the command again must have the folder alone."""
    connection.wait([sentinel])
    os._exit(1)


def _work(chunk: Chunk, folder: str) -> str:
    """Do a chunk; gives the name of a file in which the results stand.

    A process that is killed while it sends much leaves half a message in the pool's pipe, and the pool would
    wait for the other half without end. A name goes through the pipe at once.
    """
    results = chunks.work(chunk, _stopped.is_set if _stopped is not None else lambda: False)
    descriptor, name = tempfile.mkstemp(dir=folder)
    with os.fdopen(descriptor, "wb") as file:
        pickle.dump(results, file)
    return name


def _taken(name: str) -> tuple[Result, ...]:
    """Read the results of a chunk, and remove their file."""
    path = Path(name)
    results: tuple[Result, ...] = pickle.loads(path.read_bytes())  # a moment old, and our own
    path.unlink()
    return results
