"""What is given away holds the program and its example, nothing beside them; what it needs is stated."""

import ast
import importlib.metadata
import re
import shutil
import sys
import tarfile
import tomllib
import zipfile
from pathlib import Path

import pytest
from hatchling.builders.sdist import SdistBuilder
from hatchling.builders.wheel import WheelBuilder

ROOT = Path(__file__).parents[2]
EXAMPLE = "demo_fields/heron_slough"
# what a run of the demo leaves, as README's first command does before somebody installs anew
LEFT = (
    f"{EXAMPLE}/out/farm.html",
    f"{EXAMPLE}/out.kept/three_dates.offer.npz",
    f"{EXAMPLE}/farm.toml.bak",
    f"{EXAMPLE}/three_dates/out/plan.json",
    f"{EXAMPLE}/three_dates/out.last/plan.json",
    f"{EXAMPLE}/three_dates/strips/design.geojson",
    "zoning/__pycache__/farm.pyc",
)
BESIDE = (
    "tests/test_of_ours.py",
    "docs/page.png",
    "scratch/notes.txt",
    "demo_fields/ombu_bend/farm.toml",
    ".ci/run",
)


@pytest.fixture(scope="module")
def tree(tmp_path_factory):
    """The program as it was cloned, and what lies about in the folder of somebody who used it."""
    root = tmp_path_factory.mktemp("clone") / "clone"
    root.mkdir()
    for name in ("pyproject.toml", "README.md", "LICENSE", ".gitignore"):
        shutil.copy(ROOT / name, root)
    ignored = shutil.ignore_patterns("__pycache__", "out", "out.*", "strips", "*.bak")
    for name in ("cli", EXAMPLE):
        shutil.copytree(ROOT / name, root / name, ignore=ignored)
    shutil.copytree(ROOT / "zoning", root / "zoning", ignore=shutil.ignore_patterns("__pycache__"))
    mine = sorted(path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file())
    for name in (*LEFT, *BESIDE):
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text("left")
    return root, {name for name in mine if name.startswith(("zoning/", "cli/", EXAMPLE))}


def test_the_wheel_holds_the_program_and_its_example(tree, tmp_path):
    root, mine = tree
    (made,) = WheelBuilder(str(root)).build(directory=str(tmp_path), versions=["standard"])
    with zipfile.ZipFile(made) as packed:
        names = {name for name in packed.namelist() if ".dist-info/" not in name}
        about = {name.split(".dist-info/")[1] for name in packed.namelist() if ".dist-info/" in name}
    assert names == {name.replace(EXAMPLE, "zoning/example") for name in mine}
    assert about == {"METADATA", "WHEEL", "RECORD", "entry_points.txt", "licenses/LICENSE"}


def test_the_sdist_holds_what_makes_the_same_wheel(tree, tmp_path):
    root, mine = tree
    (made,) = SdistBuilder(str(root)).build(directory=str(tmp_path), versions=["standard"])
    with tarfile.open(made) as packed:
        packed.extractall(tmp_path, filter="data")
    unpacked = next(path for path in tmp_path.iterdir() if path.is_dir())
    names = {path.relative_to(unpacked).as_posix() for path in unpacked.rglob("*") if path.is_file()}
    assert names == {*mine, "pyproject.toml", "README.md", "LICENSE", ".gitignore", "PKG-INFO"}
    wheels = [
        Path(next(iter(WheelBuilder(str(one)).build(directory=str(into), versions=["standard"]))))
        for one, into in ((root, tmp_path / "of clone"), (unpacked, tmp_path / "of sdist"))
    ]
    held = []
    for wheel in wheels:
        with zipfile.ZipFile(wheel) as packed:
            held.append({name: packed.read(name) for name in packed.namelist()})
    assert held[0] == held[1]


def imported():
    """Names of all packages that the program imports, with one file that does."""
    found = {}
    for path in (*(ROOT / "zoning").rglob("*.py"), *(ROOT / "cli").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            names = [one.name for one in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and not node.level:
                names = [node.module]
            found.update({name.split(".")[0]: path.relative_to(ROOT) for name in names})
    return found


def test_all_that_is_imported_is_stated():
    with (ROOT / "pyproject.toml").open("rb") as file:
        project = tomllib.load(file)["project"]
    extras = project["optional-dependencies"]
    wanted = [*project["dependencies"], *extras["desk"], *extras["terrain"]]
    stated = {re.split(r"[^A-Za-z0-9_-]", one)[0].lower().replace("_", "-") for one in wanted}
    stated |= {"pydantic-core"}  # one with pydantic, which states the only version that it takes
    whose = importlib.metadata.packages_distributions()
    here = {"zoning", "cli", "_typeshed"}  # the last for a checker of types only
    missing = {
        f"{name} in {path}"
        for name, path in imported().items()
        if name not in here | sys.stdlib_module_names
        and not any(one.lower().replace("_", "-") in stated for one in whose.get(name, [name]))
    }
    assert not missing
