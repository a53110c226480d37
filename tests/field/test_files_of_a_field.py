"""The files of a field: with pictures or without, and run.json tells whether all of them are there."""

import hashlib
import json
import shutil
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from zoning import field

DEMO = Path(__file__).parents[2] / "demo_fields" / "heron_slough"
PICTURES = ["map.png", "page.html", "sheet.pdf"]
WITHOUT_PICTURES = """
import sys
from datetime import date
from pathlib import Path
from zoning import field
folder = Path(sys.argv[1])
made = field.run(folder, today=date(2026, 7, 8))
field.write(made, folder / "out", pictures=False)
print(*(name for name in ("matplotlib", "PIL", "jinja2", "typst") if name in sys.modules))
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    farm = tmp_path_factory.mktemp("farm") / "farm"
    shutil.copytree(DEMO, farm, ignore=shutil.ignore_patterns("out", "out.*", "strips"))
    return farm / "three_dates"


@pytest.fixture(scope="module")
def made(folder: Path) -> field.Run:
    return field.run(folder, today=date(2026, 7, 8))


def content(out: Path) -> dict[str, bytes]:
    return {path.relative_to(out).as_posix(): path.read_bytes() for path in out.rglob("*") if path.is_file()}


def test_run_json_has_the_hash_of_every_other_file(folder, made):
    names = field.write(made, folder / "out")
    written = content(folder / "out")
    assert sorted(names) == sorted(written)
    told = json.loads(written.pop("run.json"))["files"]
    assert told == {name: hashlib.sha256(bytes_).hexdigest() for name, bytes_ in written.items()}


def test_without_pictures_all_other_files_are_the_same(folder, made):
    field.write(made, folder / "out")
    whole = content(folder / "out")
    names = field.write(made, folder / "out", pictures=False)
    bare = content(folder / "out")
    assert sorted(names) == sorted(bare) == sorted(set(whole) - set(PICTURES))
    plan, bare_plan = json.loads(whole.pop("plan.json")), json.loads(bare.pop("plan.json"))
    assert [name for name in plan["files"] if name not in PICTURES] == bare_plan["files"]
    assert plan | {"files": []} == bare_plan | {"files": []}
    whole.pop("run.json")
    bare.pop("run.json")
    assert bare == {name: whole[name] for name in bare}


def test_more_can_stand_in_run_json(folder, made):
    field.write(made, folder / "out", pictures=False)
    plain = json.loads((folder / "out" / "run.json").read_text(encoding="utf-8"))
    field.write(made, folder / "out", pictures=False, about={"plan": {"id": "a1"}})
    more = json.loads((folder / "out" / "run.json").read_text(encoding="utf-8"))
    assert more == plain | {"plan": {"id": "a1"}}


def test_without_pictures_nothing_that_draws_is_loaded(folder):
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT_PICTURES, str(folder)], capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == []
