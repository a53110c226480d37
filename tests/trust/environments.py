"""Virtual environments with named sets of versions, made of wheels only and with no compiler at hand."""

import os
import re
import shutil
import subprocess
import tomllib
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
_LEAST = re.compile(r"([A-Za-z0-9_.-]+)>=([0-9.]+)$")


@dataclass(frozen=True, slots=True)
class Set:
    """Versions that belong together: of Python, and of libraries where they are not the newest."""

    name: str
    python: str
    least: bool = False


SETS = (
    Set("Python 3.11 newest", "3.11"),
    Set("Python 3.11 least", "3.11", least=True),
    Set("Python 3.12 newest", "3.12"),
    Set("Python 3.13 newest", "3.13"),
)


def stated() -> list[str]:
    """Give the requirements of pyproject.toml that hold on every system."""
    with (ROOT / "pyproject.toml").open("rb") as file:
        everything = tomllib.load(file)["project"]["dependencies"]
    return [one for one in everything if ";" not in one]


def least_versions() -> list[str]:
    """Give what pyproject.toml allows at the least, as pins.

    Raises
    ------
    ValueError
        Where a requirement has no least version, so that nobody knows whether it is true.
    """
    found = [_LEAST.match(one) for one in stated()]
    if None in found:
        raise ValueError(f"a requirement without a least version: {stated()[found.index(None)]}")
    return [f"{one[1]}=={one[2]}" for one in found if one is not None]


def python_of(version: str) -> Path | None:
    """Find a Python: on the path, or among those that pyenv keeps."""
    there = shutil.which(f"python{version}")
    if there is not None and (_says(Path(there)) or "").startswith(version):
        return Path(there)
    kept = Path(os.environ.get("PYENV_ROOT", Path.home() / ".pyenv")) / "versions"
    found = sorted(kept.glob(f"{version}.*/bin/python"))
    return found[-1] if found else None


def _says(python: Path) -> str | None:
    done = subprocess.run(
        [python, "-c", "import sys; print(*sys.version_info[:3], sep='.')"],
        capture_output=True,
        text=True,
        check=False,
    )
    return done.stdout.strip() or None


def bare(folder: Path, **more: str) -> dict[str, str]:
    """Give an environment in which only the programs of a virtual environment are found, and no compiler."""
    kept = {
        name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "VIRTUAL_ENV"))
    }
    refused = dict.fromkeys(("CC", "CXX", "FC", "CARGO", "RUSTC"), "/bin/false")
    return {**kept, "PATH": str(folder / "bin"), **refused, "PYTHONDONTWRITEBYTECODE": "1", **more}


def made(folder: Path, python: Path, install: list[str], *options: str) -> Path:
    """Make an environment and install into it from wheels only.

    Parameters
    ----------
    folder : Path
        Where; one that stands there with the same wish is kept.
    python : Path
        Whose.
    install : list of str
        Requirements and paths of wheels.
    *options : str
        More for pip.

    Returns
    -------
    Path
        The environment's folder.
    """
    wish = "\n".join((str(python), *install, *options))
    stamp = folder / "made_of.txt"
    if stamp.exists() and stamp.read_text() == wish:
        return folder
    subprocess.run([python, "-m", "venv", "--clear", folder], check=True, env=bare(folder))
    command = [folder / "bin" / "python", "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    around = bare(folder)
    if "--no-index" in options:  # nor what this machine's own settings of pip would find
        around = {name: value for name, value in around.items() if not name.startswith("PIP_")}
        around["PIP_CONFIG_FILE"] = os.devnull
    if install:
        ran([*command, "--only-binary", ":all:", *options, *install], around)
    stamp.write_text(wish)
    return folder


def versions(folder: Path) -> dict[str, str]:
    """Give what is installed in an environment."""
    command = [
        folder / "bin" / "python",
        "-m",
        "pip",
        "list",
        "--format",
        "freeze",
        "--disable-pip-version-check",
    ]
    lines = ran(command, bare(folder)).splitlines()
    return dict(line.split("==", 1) for line in lines if "==" in line)


def ran(command: list[object], environment: dict[str, str], cwd: Path | None = None) -> str:
    """Run a command to its end and give what it printed; its errors are raised with what they said."""
    words = [str(word) for word in command]
    done = subprocess.run(words, env=environment, cwd=cwd, capture_output=True, text=True, check=False)
    if done.returncode:
        raise RuntimeError(
            f"{' '.join(words)}\nended with {done.returncode}:\n{done.stdout[-2000:]}{done.stderr[-4000:]}"
        )
    return done.stdout


def built(into: Path, python: Path) -> tuple[Path, Path]:
    """Build sdist and wheel of what lies here; give both.

    The builder comes from the registry, or is taken from `python` where it has one.
    """
    tools = made(into / "builder", python, ["hatchling"])
    target = into / "dist"
    shutil.rmtree(target, ignore_errors=True)
    ran([tools / "bin" / "python", "-m", "hatchling", "build", "-d", target], bare(tools), cwd=ROOT)
    (sdist,), (wheel,) = target.glob("*.tar.gz"), target.glob("*.whl")
    return sdist, wheel
