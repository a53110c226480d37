"""The work of a farm on an existing Dask cluster. Its workers must see the farm's folder under the same path.

The chunks are the same as on one machine. A worker that is lost takes no field with it: the scheduler gives
its chunks to others, and a chunk that is lost again and again is done task by task.
"""

import gc
import importlib
import logging
from collections.abc import Iterator, Sequence
from concurrent.futures import CancelledError
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from zoning import __version__
from zoning.errors import WORLD, InputError
from zoning.farm import chunks
from zoning.farm.chunks import Chunk, Result, Step

_WAIT_S = 10  # for an answer of the scheduler, and for its first worker
_AHEAD = 4  # chunks that wait for each worker
_LOG = "distributed.client"  # it tells pages of what is one line here


class Cluster:
    """The workers of a Dask scheduler; used as a context.

    Parameters
    ----------
    address : str
        As "tcp://10.0.0.5:8786".
    farm : Path
        Its folder, which every worker must see.

    Raises
    ------
    InputError
        Code 4, on entering: when there is no scheduler, it has no worker, or a worker has another version or
        does not see the folder; and when the scheduler is lost.
    """

    def __init__(self, address: str, farm: Path) -> None:
        self._address, self._farm = address, farm
        self.number = 1

    def __enter__(self) -> Self:
        self._client = self._started()
        try:
            self._check_workers()
        except BaseException:
            self._client.close()
            raise
        self._log_level = logging.getLogger(_LOG).level
        logging.getLogger(_LOG).setLevel(logging.CRITICAL)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, where: TracebackType | None
    ) -> None:
        self._client.close()  # what waits is dropped; who is in the middle of a chunk finishes it
        logging.getLogger(_LOG).setLevel(self._log_level)

    def each(self, step: Step, tasks: Sequence[Any], shared: Any) -> Iterator[Result]:
        """Do a step for each task."""
        whole = chunks.chunks(step, tasks, shared, self.number)
        doubtful: list[Chunk] = []
        yield from self._each(whole, doubtful)
        lost: list[Chunk] = []
        yield from self._each([single for one in doubtful for single in chunks.singly(one)], lost)
        for chunk in lost:
            yield Result(place=chunk.places[0], fault=chunks.too_large())

    def _each(self, waiting: list[Chunk], lost: list[Chunk]) -> Iterator[Result]:
        left = iter(waiting)
        running: dict[Any, Chunk] = {}
        ready = _dask().as_completed(loop=self._client.loop)

        def fill() -> None:
            while len(running) < _AHEAD * self.number and (chunk := next(left, None)) is not None:
                future = self._client.submit(chunks.work, chunk, pure=False)
                running[future] = chunk
                ready.add(future)

        fill()
        for future in ready:
            chunk = running.pop(future)
            try:
                found = future.result()
            except _dask().KilledWorker:
                lost.append(chunk)
            except CancelledError as error:
                mend = "Start it again with its workers; then the same command goes on where it was."
                raise self._refused("the scheduler is lost", mend) from error
            else:
                yield from found
            fill()

    def _started(self) -> Any:
        try:
            return _dask().Client(self._address, timeout=_WAIT_S, set_as_default=False)
        except (OSError, TypeError, ValueError) as error:
            why = _reason(error)
        # Raised out here: a refusal that held the error would hold Dask's half-made client too. If the
        # collector took that in the thread of a next client's loop, it would wait for a lock of that start.
        gc.collect()
        raise self._refused(
            f"no scheduler answers ({why})",
            "Start one with `dask scheduler`, or leave --scheduler out to use this machine.",
        )

    def _check_workers(self) -> None:
        try:
            self._client.wait_for_workers(1, timeout=_WAIT_S)
        except TimeoutError as error:
            mend = f"Start some with `dask worker {self._address} --nthreads 1`."
            raise self._refused("the scheduler has no worker", mend) from error
        answers = self._client.run(_answer, str(self._farm), on_error="return")
        self.number = len(answers)
        for worker, answer in answers.items():
            if isinstance(answer, BaseException):
                mend = f"Install sprayworth {__version__} where the workers run."
                raise self._refused(f"worker {worker} cannot run sprayworth ({_reason(answer)})", mend)
            version, sees = answer
            if version != __version__:
                what = f"worker {worker} has sprayworth {version}, this is {__version__}"
                raise self._refused(what, "Install the same version everywhere.")
            if not sees:
                mend = "Put the farm where all workers see it under the same path."
                raise self._refused(f"worker {worker} does not see the folder {self._farm}", mend)

    def _refused(self, what: str, mend: str) -> InputError:
        return InputError(what, where=f"--scheduler {self._address}", mend=mend, code=WORLD)


def _dask() -> Any:
    """Import Dask: only who has a cluster waits for it."""
    return importlib.import_module("distributed")


def _answer(farm: str) -> tuple[str, bool]:
    """Say which version a worker has, and whether it sees the farm."""
    from zoning import __version__ as version

    return version, Path(farm).is_dir()


def _reason(error: BaseException) -> str:
    lines = str(error).strip().splitlines()
    return lines[0].rstrip(".") if lines else type(error).__name__
