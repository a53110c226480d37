"""Can it be had without a compiler, and without a network? What do the files that are given away hold?

python tests/trust/without_compiler.py [--keep FOLDER] [--pythons 3.11 3.12 3.13]

Builds sdist and wheel and compares what they hold with what git has. Then, for each Python: wheels of
everything are fetched into one folder; from it alone, with no registry, no compiler and no program on the
path but those of the new environment, it is installed, and the demo of README is run. Ends with 1 if not.
"""

import argparse
import shutil
import subprocess
import sys
import tarfile
import tempfile
import zipfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "made"), str(ROOT / "tests" / "trust")]

import environments  # noqa: E402
from same_bytes import DEMO, inputs_of  # noqa: E402

EXAMPLE = "demo_fields/heron_slough/"
BESIDE = {"README.md", "LICENSE", "pyproject.toml", ".gitignore", "PKG-INFO"}


def kept() -> set[str]:
    """Name what git has of the program and of its example."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "zoning", "cli", EXAMPLE],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return set(filter(None, listed.stdout.split("\0")))


def held(sdist: Path, wheel: Path) -> list[str]:
    """Say what is in the two files and should not be, or the other way about."""
    with zipfile.ZipFile(wheel) as packed:
        in_wheel = {name for name in packed.namelist() if ".dist-info/" not in name}
    with tarfile.open(sdist) as packed:
        in_sdist = {one.name.split("/", 1)[1] for one in packed.getmembers() if one.isfile()}
    wanted = {name.replace(EXAMPLE, "zoning/example/") for name in kept()}
    return [
        *(f"the wheel and git differ in {name}" for name in sorted(in_wheel ^ wanted)),
        *(f"the sdist and git differ in {name}" for name in sorted(in_sdist ^ (kept() | BESIDE))),
    ]


def installed(version: str, work: Path, wheel: Path) -> str:
    """Install from a folder of wheels alone and run the demo; say how it went."""
    python = environments.python_of(version)
    if python is None:
        return "NOT TRIED, it is not here"
    house = work / f"wheels of {version}"
    fetcher = environments.made(work / f"fetcher_{version}", python, [])
    fetch = [fetcher / "bin" / "python", "-m", "pip", "download", "--quiet", "--disable-pip-version-check"]
    environments.ran([*fetch, "--only-binary", ":all:", "--dest", house, wheel], environments.bare(fetcher))
    target = work / f"installed_{version}"
    shutil.rmtree(target, ignore_errors=True)
    from_house = ("--no-index", "--find-links", str(house))
    env = environments.made(target, python, [str(house / wheel.name)], *from_house)
    around = environments.bare(env)
    with tempfile.TemporaryDirectory(dir=work) as scratch:
        farm = inputs_of(DEMO / "heron_slough", Path(scratch) / "heron_slough")
        said = environments.ran(
            [env / "bin" / "sprayworth", "farm", farm, "--pictures"], around, Path(scratch)
        )
        pages = sorted(path.parent.parent.name for path in farm.glob("*/out/page.html"))
        example = Path(scratch) / "example"
        environments.ran([env / "bin" / "sprayworth", "new", example, "--example"], around, Path(scratch))
        environments.ran([env / "bin" / "sprayworth", "check", example], around, Path(scratch))
    if len(pages) != len(list((DEMO / "heron_slough").glob("*/field.toml"))) or not said:
        raise RuntimeError(f"only {pages} have a page")
    files = len(list(house.glob("*.whl")))
    size = sum(path.stat().st_size for path in house.glob("*.whl")) / 1e6
    return f"installed from {files} wheels ({size:.0f} MB), no compiler, no registry; {len(pages)} fields"


def main() -> int:
    """Build, look, install, run, print."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--keep", type=Path)
    asked.add_argument("--pythons", nargs="+", default=["3.11", "3.12", "3.13"])
    given = asked.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        work = (given.keep or Path(scratch)).resolve()
        work.mkdir(parents=True, exist_ok=True)
        sdist, wheel = environments.built(work, Path(sys.executable))
        wrong = held(sdist, wheel)
        for file in (sdist, wheel):
            print(f"{file.name}: {file.stat().st_size / 1e6:.1f} MB", flush=True)
        print(
            "\n".join(wrong) or "wheel and sdist hold the program and its example, and nothing else",
            flush=True,
        )
        for version in given.pythons:
            print(f"Python {version}: {installed(version, work, wheel)}", flush=True)
    return int(bool(wrong))


if __name__ == "__main__":
    sys.exit(main())
