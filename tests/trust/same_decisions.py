"""Run the demo farms with several sets of versions, as on several processors: are the decisions the same?

python tests/trust/same_decisions.py [--keep FOLDER] [--sets "Python 3.11 least" ...] [--no-processors]

The sets stand in environments.py: what pyproject.toml allows at the least, and the newest of each Python. All
are installed from wheels, with no compiler. The first set is run again as if the processor were another:
BLAS for other ones, numpy without wide instructions, the C library without fused ones. Every result is
compared with the first, field by field (tests/made/compared.py); then once more with all digits, which a plan
does not write, for the size of what is left. Ends with 1 where something differs.
"""

import argparse
import json
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "made"), str(ROOT / "tests" / "trust")]

import environments  # noqa: E402
from compared import Difference, differences  # noqa: E402
from same_bytes import DEMO, inputs_of  # noqa: E402
from surroundings import narrow  # noqa: E402

TOLD = ("numpy", "scipy", "scikit-learn", "shapely", "pyproj", "rasterio", "geopandas", "pandas", "pyarrow")
# writes every digit, and no picture; the decisions are those of the command
ALL_DIGITS = """
import sys
from pathlib import Path
from zoning.prescription.as_json import plan_json, twins, zoning_json
from zoning import farm
twins._DECIMALS = zoning_json._DECIMALS = plan_json._CENTS = 17
farm.run(Path(sys.argv[1]), workers=1)
"""
HARVESTED = ("plover_rise", "long_eighty")


def processors(env: Path) -> Iterator[tuple[str, dict[str, str]]]:
    """Give other processors as variables that libraries read when they start."""
    for kernel in ("Nehalem", "Haswell", "Zen", "SkylakeX"):
        yield f"BLAS of {kernel}", {"OPENBLAS_CORETYPE": kernel}
    yield "narrow", narrow(env / "bin" / "python", environments.bare(env))


def run(env: Path, into: Path, variables: dict[str, str]) -> None:
    """Run every demo farm, and the harvest of the one that was harvested, in an environment."""
    around = environments.bare(env, **variables)
    for farm in sorted(path.parent for path in DEMO.glob("*/farm.toml")):
        place = inputs_of(farm, into / farm.name)
        environments.ran(
            [env / "bin" / "sprayworth", "farm", place, "--pictures", "--workers", 1, "--quiet"], around
        )
        place = inputs_of(farm, into / "all digits" / farm.name)
        environments.ran([env / "bin" / "python", "-c", ALL_DIGITS, place], around)
    field = into / "harvest" / HARVESTED[0] / HARVESTED[1]
    inputs_of(DEMO / HARVESTED[0], field.parent)
    environments.ran([env / "bin" / "sprayworth", "run", field, "--today", "2026-07-24", "--quiet"], around)
    environments.ran([env / "bin" / "sprayworth", "strips", field, "--quiet"], around)


def told(name: str, one: Path, other: Path) -> bool:
    """Print how two runs differ; whether they differ in what must be the same."""
    digits = other / "all digits"
    found, rest = [], []
    for difference in differences(one, other):
        (rest if difference.file.startswith(digits.name) else found).append(difference)
    wrong = [one for one in found if one.told == "differs"]
    count = Counter(one.told for one in found)
    same = (
        "decisions, dates, shapes and words the same, every figure within 1e-9; "
        f"{count['within the limit']} figures not to the last bit, {count['last digit']} in the last digit, "
        f"{count['packed']} files packed otherwise"
    )
    print(f"{name}: {f'{len(wrong)} DIFFER' if wrong else same}", flush=True)
    for one in [*wrong[:40], *(one for one in found if one.told == "last digit")]:
        print(f"    {one.line()}")
    _sizes(rest)
    return bool(wrong)


def _sizes(all_digits: list[Difference]) -> None:
    """Print the largest differences of figures with all their digits, by key."""
    largest: dict[str, float] = {}
    for one in all_digits:
        if one.file.endswith("plan.json") and one.size is not None:
            largest[one.at] = max(one.size, largest.get(one.at, 0.0))
    for at, size in sorted(largest.items(), key=lambda pair: -pair[1])[:6]:
        print(f"    with all digits: {at} {size:.1e}")


def main() -> int:
    """Install, run, compare, print."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--keep", type=Path, help="folder for environments and results, used again next time")
    asked.add_argument("--sets", nargs="+", help="names of sets; the first is what others are held against")
    asked.add_argument("--no-processors", action="store_true")
    given = asked.parse_args()
    sets = [one for one in environments.SETS if given.sets is None or one.name in given.sets]
    with tempfile.TemporaryDirectory() as scratch:
        work = (given.keep or Path(scratch)).resolve()
        work.mkdir(parents=True, exist_ok=True)
        _, wheel = environments.built(work, Path(sys.executable))
        ready = {one.name: _made(one, work, wheel) for one in sets}
        with tempfile.TemporaryDirectory(dir=work) as results:
            return _compared({name: env for name, env in ready.items() if env}, Path(results), given)


def _made(one: environments.Set, work: Path, wheel: Path) -> Path | None:
    python = environments.python_of(one.python)
    if python is None:
        print(f"{one.name}: NOT TRIED, there is no Python {one.python} here", flush=True)
        return None
    wanted = environments.least_versions() if one.least else environments.stated()
    env = environments.made(work / one.name.replace(" ", "_"), python, wanted)
    environments.ran(
        [
            env / "bin" / "python",
            "-m",
            "pip",
            "install",
            "--quiet",
            "--no-deps",
            "--force-reinstall",
            "--disable-pip-version-check",
            wheel,
        ],
        environments.bare(env),
    )
    environments.ran([env / "bin" / "python", "-m", "pip", "check"], environments.bare(env))
    got = environments.versions(env)
    print(f"{one.name}: " + ", ".join(f"{name} {got[name]}" for name in TOLD if name in got), flush=True)
    return env


def _compared(ready: dict[str, Path], results: Path, given: argparse.Namespace) -> int:
    names = list(ready)
    first = results / "first"
    run(ready[names[0]], first, {})
    wrong = 0
    for name in names[1:]:
        run(ready[name], results / name, {})
        wrong += told(name, first, results / name)
    if not given.no_processors:
        for name, variables in processors(ready[names[0]]):
            run(ready[names[0]], results / name, variables)
            wrong += told(name, first, results / name)
    print(json.dumps({"compared": len(names) - 1 + 5 * (not given.no_processors), "differ": wrong}))
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
