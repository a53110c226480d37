"""Kill commands at random times, many times, and see that one command mends each: by hand, never collected.

`python tests/trust/kill_many.py --times 300 --seed 1` kills by the clock, wherever the command is just then,
with all of its processes; then the same command again must end with the bytes of one undisturbed. Prints a
line for each command, and ends with 1 where any was not mended.
"""

import argparse
import random
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "made"))

import made_kills
from dying import KILLED, Nursery
from made_kills import KILLS, Stand, half_written, state

LATEST = 1.1  # of the time of a whole command


def tried(standing: Callable[[], Stand], times: int, nursery: Nursery, chance: random.Random) -> list[str]:
    """Kill one command some times; what was not mended."""
    first = standing()
    nursery.run(first.arguments, first.farm)  # it waits for what is imported
    stand = standing()
    began = time.monotonic()
    whole = nursery.run(stand.arguments, stand.farm)
    takes_s = time.monotonic() - began
    assert whole.code == 0, whole.told
    after, wrong, died = state(stand.farm), [], 0
    for number in range(times):
        stand = standing()
        moment_s = chance.uniform(0.02, LATEST * takes_s)
        died += nursery.run(stand.arguments, stand.farm, dies_after_s=moment_s).code == KILLED
        again = nursery.run(stand.arguments, stand.farm)
        left = half_written(stand.farm)
        is_mended = again.code in (0, stand.kill.again) and state(stand.farm) == after and not left
        if not is_mended:
            wrong.append(f"time {number}, {moment_s:.3f} s: exit {again.code}, left {left}")
            print(wrong[-1], again.told[-300:], flush=True)
    print(f"{times} times, died {died} times, {len(wrong)} not mended ({takes_s:.1f} s)", flush=True)
    return wrong


def main() -> int:
    """Share the times among the commands."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--times", type=int, default=300)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--commands", nargs="*", choices=KILLS, default=list(KILLS))
    given = asked.parse_args()
    made: dict[tuple, Path] = {}
    chance, wrong = random.Random(given.seed), []
    names = given.commands
    share = [len(range(at, given.times, len(names))) for at in range(len(names))]
    with tempfile.TemporaryDirectory(prefix="kill_many_") as place:
        scratch = Path(place) / "scratch"
        scratch.mkdir()
        with Nursery(scratch) as nursery:
            for name, times in zip(names, share, strict=True):
                standing = partial(made_kills.stand, name, nursery, Path(place), made)
                print(name, end=": ", flush=True)
                wrong += tried(standing, times, nursery, chance)
    print(f"killed {given.times} times: {len(wrong)} not mended by the same command")
    return bool(wrong)


if __name__ == "__main__":
    sys.exit(main())
