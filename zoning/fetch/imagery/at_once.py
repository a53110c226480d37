"""A few things asked for at a time, and what came of each, in order. Knows nothing of what they are."""

import warnings
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TypeVar

from rasterio.errors import NotGeoreferencedWarning

from zoning.errors import InputError
from zoning.evidence import number

Task = TypeVar("Task")
Done = TypeVar("Done")


def several(step: Callable[[Task], Done], tasks: Sequence[Task], faults: list[InputError]) -> Iterator[Done]:
    """Do a step for several tasks, `fetch.at_once` at a time.

    Parameters
    ----------
    step : callable
        Raises `InputError` where a task fails.
    tasks : sequence
    faults : list of InputError
        Gets the fault of each task that failed. After as many in a row as are done at a time nothing more is
        begun: then it is not the task that is at fault.

    Yields
    ------
    what `step` gave, in the order of the tasks

    Examples
    --------
    >>> faults = []
    >>> list(several(lambda one: one * one, (1, 2, 3), faults)), faults
    ([1, 4, 9], [])
    """
    most = int(number("fetch.at_once"))
    left, in_a_row = deque(tasks), 0
    pool = ThreadPoolExecutor(max_workers=most, thread_name_prefix="fetch")
    with warnings.catch_warnings():
        # The library silences this one by itself, but not when several threads do so at a time.
        warnings.simplefilter("ignore", NotGeoreferencedWarning)
        begun: deque[Future[Done]] = deque()
        try:
            while begun or (left and in_a_row < most):
                while left and len(begun) < most and in_a_row < most:
                    begun.append(pool.submit(step, left.popleft()))
                try:
                    done = begun.popleft().result()
                except InputError as fault:
                    faults.append(fault)
                    in_a_row += 1
                else:
                    in_a_row = 0
                    yield done
        finally:
            pool.shutdown(wait=False, cancel_futures=True)  # who breaks off waits for no answer
