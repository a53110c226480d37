"""What each step of `offer` costs, in CPU seconds a field of the made region; run by hand.

PYTHONPATH=tests/made python tests/benchmarks/bench_offer.py [REGION] [FIELDS]

Without REGION a region of FIELDS quarter sections is made in a temporary folder. All fields are offered three
times, one after the other as a farm does, and the least time of each step of a field counts; what fields
leave for later ones is forgotten in between. A step that calls another one has only its own time.
"""

import os

for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[threads] = "1"  # before numpy is imported: waiting threads would count as work

import sys  # noqa: E402
import tempfile  # noqa: E402
import time  # noqa: E402
from collections import defaultdict  # noqa: E402
from collections.abc import Callable, Iterator  # noqa: E402
from contextlib import ExitStack, contextmanager  # noqa: E402
from pathlib import Path  # noqa: E402
from typing import Any  # noqa: E402
from unittest.mock import patch  # noqa: E402

from made_region import TODAY, made_region  # noqa: E402

from zoning import field  # noqa: E402
from zoning.inputs import read  # noqa: E402
from zoning.offers import choices, divided, drawn, pricing, scouted, spots  # noqa: E402
from zoning.returns import draws, mixture, price, response  # noqa: E402
from zoning.seen import SeenCounts, gather  # noqa: E402
from zoning.zones import delineate, measured  # noqa: E402

RUNS, FIELDS = 3, 20
STEPS: dict[str, tuple[object, str]] = {
    "settings": (field, "load"),
    "read": (read, "field"),
    "forecast": (field, "known_of"),
    "counts": (spots, "_after"),
    "cluster": (delineate, "candidates"),
    "divide": (divided, "by_returns"),
    "draw": (delineate, "drawn"),
    "measure": (measured, "measure"),
    "places": (pricing.places, "with_cases"),
    "hours": (pricing, "spray_days"),
    "price": (choices.pricing, "priced"),
    "scouted": (scouted, "scouted"),
    "outlines": (drawn, "offered"),
}
ELSE = "else"


class Clock:
    """CPU seconds by step; inner steps are taken off outer ones."""

    def __init__(self) -> None:
        """Begin with nothing."""
        self.of: dict[str, float] = defaultdict(float)
        self._open: list[str] = []
        self._since = time.process_time()

    def _turn(self) -> None:
        now = time.process_time()
        if self._open:
            self.of[self._open[-1]] += now - self._since
        self._since = now

    @contextmanager
    def step(self, name: str) -> Iterator[None]:
        """Charge what is done meanwhile to a step."""
        self._turn()
        self._open.append(name)
        try:
            yield
        finally:
            self._turn()
            self._open.pop()

    def timed(self, name: str, work: Callable[..., Any]) -> Callable[..., Any]:
        """Give the same function, with its time taken."""

        def done(*args: object, **kwargs: object) -> object:
            with self.step(name):
                return work(*args, **kwargs)

        return done


def once(folder: Path, seen: SeenCounts) -> dict[str, float]:
    """Offer one field; CPU seconds of its steps."""
    clock = Clock()
    with ExitStack() as stack:
        for name, (module, called) in STEPS.items():
            stack.enter_context(patch.object(module, called, clock.timed(name, getattr(module, called))))
        with clock.step(ELSE):
            field.offer(folder, today=TODAY, seed=0, clock=TODAY, seen=seen, measured_by=field.measure_here)
    return clock.of


def forget() -> None:
    """Empty what is remembered of fields gone by."""
    for kept in (mixture.sorted_draws, response._mixture_for, draws.response_draws, price.shares_on):
        kept.cache_clear()


def main() -> None:
    """Print one line a step: mean and most over the fields."""
    wanted = int(sys.argv[2]) if len(sys.argv) > 2 else FIELDS
    with tempfile.TemporaryDirectory() as made:
        region = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(made)
        if len(sys.argv) < 2:
            made_region(region, wanted)
        folders = sorted(one.parent for one in region.glob("*/field.toml"))[:wanted]
        seen = gather(folders, today=TODAY, clock=None, seed=0)
        once(folders[0], seen)  # what is imported or read once for all fields is no field's
        best: list[dict[str, float]] = [{} for _ in folders]
        for _ in range(RUNS):
            forget()
            for least, folder in zip(best, folders, strict=True):
                for name, took_s in once(folder, seen).items():
                    least[name] = min(took_s, least.get(name, took_s))
    for name in (*STEPS, ELSE):
        took = [one.get(name, 0.0) for one in best]
        print(f"{name:10s} mean {sum(took) / len(took):.4f}  most {max(took):.4f} s")
    whole = [sum(one.values()) for one in best]
    print(f"{'offer':10s} mean {sum(whole) / len(whole):.4f}  most {max(whole):.4f} s, {len(folders)} fields")


if __name__ == "__main__":
    main()
