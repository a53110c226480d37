"""Kill -9 at moments spread over each command: one command then gives the last good result or the new one.

What a kill leaves is found in two ways: a process that kills itself at a change of the disk, and copies of
the folder as it is at others, which is what a kill would leave there. Nothing is timed.
"""

import json
import random

import made_kills
import pytest
from dying import KILLED
from made_kills import KILLS, half_written, state

SEED = 11
QUICK = sorted(set(KILLS) - {"farm of 2 workers"})  # see tests/farm/test_killed.py and kill_many.py


def in_results(files):
    """Of the files of a farm those in `out`, by folder."""
    found = {}
    for name, digest in files.items():
        around, is_out, inside = (
            name.rpartition("out/") if name.startswith("out/") else name.partition("/out/")
        )
        if is_out:
            found.setdefault(around, {})[inside] = digest
    return found


def test_there_are_thirty_moments_over_all_commands_that_write():
    assert sum(KILLS[name].moments + 1 for name in QUICK) >= 30


@pytest.mark.parametrize("name", QUICK)
def test_one_command_mends_whatever_a_kill_left(name, nursed, tmp_path):
    standing, nursery = nursed
    stand = standing(name)
    farm, before = stand.farm, state(stand.farm)
    changes = range(1, stand.kill.changes + 1)
    moments = random.Random(f"{SEED} {name}").sample(changes, stand.kill.moments + 1)
    whole = nursery.run(stand.arguments, farm, keeps=moments[1:])
    assert whole.code == 0, whole.told
    assert whole.changes >= stand.kill.changes, "say in made_kills how many there are"
    after = state(farm)
    assert after != before
    copies = [nursery.kept(one).rename(tmp_path / f"at_{one}") for one in moments[1:]]

    stand = standing(name)
    died = nursery.run(stand.arguments, farm, dies_at=moments[0])
    assert (died.code, died.changes) == (KILLED, moments[0])
    mended_by_the_same(nursery, stand, farm, after)

    for number, copy in enumerate(copies):
        made_kills.copied(copy, farm)
        if number % 2 and stand.kill.command[0] == "run":
            mended_by_a_look(nursery, farm, before, after)
        else:
            mended_by_the_same(nursery, stand, farm, after)


def mended_by_the_same(nursery, stand, farm, after):
    """The same command again ends with the bytes of one undisturbed, or says that all is done."""
    again = nursery.run(stand.arguments, farm)
    assert again.code in (0, stand.kill.again), again.told
    assert "Traceback" not in again.told
    assert state(farm) == after
    assert half_written(farm) == []


def mended_by_a_look(nursery, farm, before, after):
    """A command that writes no result brings back the old one or finds the new one, each to the byte."""
    look = nursery.run(["done", farm, "--today", made_kills.TODAY], farm)
    assert look.code == 0, look.told
    now = in_results(state(farm))
    assert in_results(before).keys() <= now.keys() <= in_results(after).keys()
    for place, files in now.items():
        assert files in (in_results(before).get(place), in_results(after).get(place))
        page = (farm / place / "out" / "page.html").read_text(encoding="utf-8")
        plan = json.loads((farm / place / "out" / "plan.json").read_text(encoding="utf-8"))
        day = {made_kills.BEFORE: "Jul 7, 2026", made_kills.TODAY: "Jul 8, 2026"}[plan["today"]]
        assert day in page
    assert half_written(farm) == []
