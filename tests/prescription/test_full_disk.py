"""Whatever the disk refuses while a plan is written: `out` stays as it was, and nothing half-written is left.

Everything that makes or renames a file passes Python's audit events, so each of them is refused in turn.
"""

import errno
import os
import sys
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from made_farm_plans import small_farm
from made_laid_strips import with_laid_strips
from made_plans import Made, made_plan

from zoning import farm, field
from zoning.errors import WORLD, InputError
from zoning.farm.written import write as write_farm
from zoning.offers.provenance import Provenance
from zoning.prescription import folder
from zoning.show import calendar_picture
from zoning.show import map as picture

_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT


class Disk:
    """Counts what changes the disk below a folder; `refuses` says of a number and a path what is refused."""

    def __init__(self) -> None:
        self.let()

    def let(self) -> None:
        self.below, self.count, self.refuses = "", 0, lambda _number, _path: False

    def watch(self, folder: Path, refuses=lambda _number, _path: False) -> None:
        self.below, self.count, self.refuses = str(folder), 0, refuses

    def __call__(self, event: str, arguments: tuple) -> None:
        if not self.below or event not in ("open", "os.mkdir", "os.rename"):
            return
        path = str(arguments[1] if event == "os.rename" else arguments[0])
        writes = (
            not Path(path).is_dir() if event == "os.mkdir" else event != "open" or arguments[2] & _WRITING
        )
        if writes and path.startswith(self.below):
            self.count += 1
            if self.refuses(self.count, path):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


DISK = Disk()
sys.addaudithook(DISK)  # stays for the whole process, and looks away where `below` is empty


@pytest.fixture
def disk():
    yield DISK
    DISK.let()


@pytest.fixture
def quick_pictures(monkeypatch):
    def drawn(_plan, path: Path) -> None:
        path.write_bytes(b"a picture takes long to draw")

    monkeypatch.setattr(picture, "write", drawn)
    monkeypatch.setattr(calendar_picture, "write", drawn)


def content(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


def refused_each(disk, out: Path, write) -> int:
    """Refuse each single change of the disk, then it and all after it; how many changes there were."""
    write()  # the last results
    disk.watch(out.parent)
    write()
    many = disk.count
    disk.let()
    before = content(out.parent)
    for number in range(1, many + 1):
        for refuses in (lambda at, _, it=number: at == it, lambda at, _, it=number: at >= it):
            disk.watch(out.parent, refuses)
            with pytest.raises(InputError, match="No space left on device") as refused:
                write()
            disk.let()
            assert refused.value.code == WORLD, number
            folder.heal(out)  # as the next command does, where even names could not be changed back
            assert content(out.parent) == before, number
    return many


def plan_of(**more):
    labels = [[1, 1, 2, 2], [1, 1, 2, 2], [3, 3, 4, 4], [3, 3, 4, 4]]
    return replace(made_plan(Made(labels=labels, pass_of_zone={1: 1, 4: 2})), **more)


def run_of(plan) -> field.Run:
    made_of = Provenance(version="0", today=date(2026, 7, 1), seed=0, settings={}, inputs={}, evidence={})
    return field.Run(plan=plan, provenance=made_of)


def test_whatever_is_refused_the_last_results_of_a_field_stand(disk, tmp_path, quick_pictures):
    out = tmp_path / "field" / "out"
    out.parent.mkdir()
    (out.parent / "field.toml").write_text("mine")
    many = refused_each(disk, out, lambda: field.write(run_of(plan_of()), out))
    # two passes of twelve files each, those of the field, and their folders
    assert many > 30


def test_without_results_before_nothing_is_left(disk, tmp_path, quick_pictures):
    out = tmp_path / "out"
    disk.watch(tmp_path, lambda _, path: path.endswith("TASKDATA.XML"))
    with pytest.raises(InputError, match="No space left on device"):
        field.write(run_of(plan_of()), out)
    disk.let()
    assert list(tmp_path.iterdir()) == []


def test_the_map_is_no_exception(disk, tmp_path):
    out = tmp_path / "out"
    field.write(run_of(plan_of()), out)
    before = content(out)
    disk.watch(tmp_path, lambda _, path: path.endswith("map.png"))
    with pytest.raises(InputError, match="No space left on device"):
        field.write(run_of(plan_of(run_id="another")), out)
    disk.let()
    assert content(tmp_path) == {f"out/{name}": made for name, made in before.items()}


def test_check_strips_are_laid_with_the_results_or_not_at_all(disk, tmp_path, quick_pictures, monkeypatch):
    out = tmp_path / "field" / "out"
    out.parent.mkdir()
    design_file = out.parent / "strips" / "design.geojson"
    plan = with_laid_strips(Made(labels=[[1] * 8, [2] * 8], cell_m=100.0), pairs=1)
    result = run_of(replace(plan, strips=replace(plan.strips, new_design='{"made": "here"}')))

    def refused(_folder: Path) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patched:  # bytes that a disk takes at first and then has no room for
        patched.setattr(folder, "_to_disk", refused)
        with pytest.raises(InputError, match="No space left on device"):
            field.write(result, out)
        assert not design_file.exists()
    disk.watch(tmp_path, lambda _, path: "design.geojson" in path)
    with pytest.raises(InputError, match="no space left on device"):
        field.write(result, out)
    disk.let()
    assert not [path for path in out.parent.rglob("*") if path.is_file()]
    field.write(result, out)
    assert design_file.read_text(encoding="utf-8") == result.plan.strips.new_design


def test_whatever_is_refused_the_last_results_of_a_farm_stand(disk, tmp_path, quick_pictures):
    out = tmp_path / "farm" / "out"
    out.parent.mkdir()
    plan = small_farm()
    outcomes = tuple(
        farm.Outcome(field=name, plan=one) for name, one in zip(plan.folders, plan.plans, strict=True)
    )
    result = farm.FarmRun(outcomes=outcomes, plan=plan)
    many = refused_each(disk, out, lambda: write_farm(result, out.parent, with_pages=False))
    assert many > 8


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_may_not_be_written_is_one_clear_error(tmp_path):
    place = tmp_path / "field"
    place.mkdir(mode=0o500)
    with pytest.raises(InputError, match="Permission denied") as refused:
        field.write(run_of(plan_of()), place / "out")
    assert refused.value.code == WORLD
    assert list(place.iterdir()) == []
