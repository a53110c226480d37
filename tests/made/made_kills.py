"""What is killed: commands over small farms, each with what stands before it and what it is called with.

Every command here ends with the same bytes when it is called again, whatever a kill left of it.
"""

import hashlib
import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import corpus_bases
from dying import ASKS, Nursery
from made_harvested import FIELD as HARVESTED
from made_harvested import copied_farm, with_plan
from made_region import made_region

BEFORE, TODAY, LATER = "2026-07-07", "2026-07-08", "2026-07-20"
FIELD = "q00001"
STRIPS = "\n[check_strips]\npairs = 1\n"
GAUGE = ("overrides.jsonl",)  # grows with each try, as it should


@dataclass(frozen=True)
class Kill:
    """A command over a farm: `before` are the commands that come first, `command` is killed."""

    make: Callable[[Path], Path]
    before: tuple[tuple[str, ...], ...]
    command: tuple[str, ...]
    changes: int  # of the disk, about, from its start to its end
    moments: int  # at which the tests look what a kill leaves; the long script kills at more
    again: int = 0  # exit code when all was done already


@dataclass(frozen=True)
class Stand:
    """A farm before a command."""

    farm: Path
    kill: Kill

    @property
    def arguments(self) -> list[str]:
        return self.filled(self.kill.command, self.farm)

    def filled(self, parts: tuple[str, ...], farm: Path) -> list[str]:
        decided = farm / "decided.json"
        asked = decided.read_text(encoding="utf-8") if decided.is_file() else ""
        return [asked if part == "{decided}" else fill(part, farm) for part in parts]


def stand(name: str, nursery: Nursery, folder: Path, made: dict[tuple, Path]) -> Stand:
    """Make the farm of a command, and do what comes before it; farms that are alike are made once."""
    kill = KILLS[name]
    farm = folder / "farm"
    shutil.rmtree(farm, ignore_errors=True)
    key = (kill.make, kill.before)
    if key not in made:
        kill.make(farm)
        for command in kill.before:
            with_plan_files(farm)
            ended = nursery.run(Stand(farm, kill).filled(command, farm), farm)
            if ended.code:
                raise AssertionError(ended.told)
        with_plan_files(farm)
        made[key] = folder / f"made_{len(made)}"
        farm.rename(made[key])
    return Stand(copied(made[key], farm), kill)


def fill(part: str, farm: Path) -> str:
    return part.format(farm=farm, field=farm / FIELD, harvested=farm / HARVESTED)


def _rich(farm: Path) -> Path:
    return corpus_bases.rich(farm)


def _with_strips(farm: Path) -> Path:
    toml = _rich(farm) / FIELD / "field.toml"
    toml.write_text(toml.read_text(encoding="utf-8") + STRIPS, encoding="utf-8")
    return farm


def _nothing(farm: Path) -> Path:
    farm.mkdir(parents=True)
    return farm


def _several(farm: Path) -> Path:
    return made_region(farm, 2, small=True).farm


def _counted(farm: Path) -> Path:
    """A consultant's points: two in the field, one in none."""
    lon, lat = corpus_bases.middle()
    rows = [f"2026-07-07,{lat:.6f},{lon:.6f},R2,8,10", f"2026-07-08,{lat:.6f},{lon:.6f},R3,2,10"]
    rows.append(f"2026-07-08,{lat + 1:.6f},{lon:.6f},R3,2,10")
    farm = corpus_bases.plain(farm)
    (farm / "consultant.csv").write_text(
        "\n".join(["date,lat,lon,stage,k,n", *rows]) + "\n", encoding="utf-8"
    )
    return farm


def _harvested(farm: Path) -> Path:
    farm.parent.mkdir(exist_ok=True)
    return with_plan(copied_farm(farm.parent).rename(farm))


def _asked(farm: Path, make: Callable[[dict], dict]) -> str:
    plan = json.loads((farm / FIELD / "out" / "plan.json").read_text(encoding="utf-8"))
    return json.dumps(make(plan))


def decided(plan: dict) -> dict:
    one = {"zone": 1, "action": "skip", "rate_gal_ac": None, "reason": "too wet", "decided_on": TODAY}
    about = {name: plan[name] for name in ("zones_id", "run_id", "field")}
    return {"schema_version": 1, "kind": "sprayworth decisions", **about, "decisions": [one]}


def with_plan_files(farm: Path) -> None:
    """Write what is asked of a plan that stands: decisions to follow, and what the desk is sent."""
    if (farm / FIELD / "out" / "plan.json").is_file():
        (farm / "decided.json").write_text(_asked(farm, decided), encoding="utf-8")


_RUN = ("run", "{field}", "--quiet", "--today")
_FARM = ("farm", "{farm}", "--quiet", "--today")
KILLS = {
    "new": Kill(_nothing, (), ("new", "{farm}", "--example"), changes=180, moments=2, again=2),
    "run": Kill(_rich, ((*_RUN, BEFORE),), (*_RUN, TODAY), changes=219, moments=6),
    "the first run": Kill(_with_strips, (), (*_RUN, TODAY), changes=175, moments=2),
    "run --new-strips": Kill(
        _with_strips,
        ((*_RUN, BEFORE),),
        (*_RUN, TODAY, "--new-strips", "--seed", "2"),
        changes=229,
        moments=3,
    ),
    "run --decisions": Kill(
        _rich,
        ((*_RUN, BEFORE),),
        (*_RUN, TODAY, "--decisions", "{farm}/decided.json"),
        changes=170,
        moments=1,
    ),
    "farm": Kill(
        _several,
        ((*_FARM, BEFORE, "--workers", "1"),),
        (*_FARM, TODAY, "--workers", "1"),
        changes=480,
        moments=2,
    ),
    "farm of 2 workers": Kill(
        _several,
        ((*_FARM, BEFORE, "--workers", "1"),),
        (*_FARM, TODAY, "--workers", "2"),
        changes=50,
        moments=1,
    ),
    "strips": Kill(
        _harvested, (), ("strips", "{harvested}", "--quiet", "--today", "2026-10-20"), changes=43, moments=2
    ),
    "scout --add": Kill(
        _counted,
        (),
        ("scout", "{farm}", "--add", "{farm}/consultant.csv", "--today", TODAY),
        changes=22,
        moments=5,
    ),
    "done": Kill(
        _rich,
        ((*_RUN, TODAY),),
        ("done", "{farm}", "--pass", "1", "--end", "2026-07-16", "--today", LATER),
        changes=12,
        moments=4,
        again=2,
    ),
    "decisions saved at the desk": Kill(
        _rich, ((*_RUN, TODAY),), (ASKS, "{field}", "decisions", "{decided}"), changes=8, moments=3
    ),
    "number of zones set at the desk": Kill(
        _rich,
        ((*_RUN, TODAY), (ASKS, "{field}", "decisions", "{decided}")),
        (ASKS, "{field}", "zones/number", '{{"most": 1, "reason": "one is enough"}}'),
        changes=13,
        moments=4,
        again=1,
    ),
}


def state(farm: Path) -> dict[str, str]:
    """Hash every file of a farm that a command may change, but what is kept for speed and what grows."""
    found = {}
    for path in sorted(farm.rglob("*")):
        inside = path.relative_to(farm)
        if path.is_file() and inside.parts[0] != "out.kept" and not inside.name.endswith((".bak", *GAUGE)):
            found[inside.as_posix()] = hashlib.sha256(path.read_bytes()).hexdigest()
    return found


def copied(farm: Path, to: Path) -> Path:
    """Copy a farm to where it then always is: a run on another path may be another one."""
    shutil.rmtree(to, ignore_errors=True)
    return Path(shutil.copytree(farm, to, symlinks=True))


def half_written(farm: Path) -> list[str]:
    """Names of what only a command that is at work has."""
    return sorted(
        path.relative_to(farm).as_posix()
        for path in farm.rglob("*")
        if path.name in ("out.new", "out.last", "2026.new", "2026.last") or path.name.endswith(".new")
    )
