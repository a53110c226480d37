"""The out folder is replaced whole, and one command heals it after a crash at any point."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from zoning.errors import WORLD, InputError
from zoning.prescription import folder
from zoning.prescription.formats import FORMATS


def content(place: Path) -> dict[str, str]:
    return {
        path.relative_to(place).as_posix(): path.read_text() for path in place.rglob("*") if path.is_file()
    }


def filler(text: str):
    def fill(place: Path) -> None:
        (place / "passes").mkdir()
        (place / "passes" / "a.txt").write_text(text)
        (place / "plan.json").write_text(text)

    return fill


@pytest.fixture
def out(tmp_path):
    place = tmp_path / "field" / "out"
    place.parent.mkdir()
    folder.replace(place, filler("old"))
    (place / "stale.txt").write_text("only in the old one")
    return place


def beside(out):
    return sorted(path.name for path in out.parent.iterdir())


def test_the_new_folder_takes_the_place_of_the_old_one(out):
    folder.replace(out, filler("new"))
    assert content(out) == {"plan.json": "new", "passes/a.txt": "new"}
    assert beside(out) == ["out"]


@pytest.mark.parametrize("error", [ZeroDivisionError, KeyboardInterrupt, InputError])
def test_a_failing_fill_leaves_the_old_one(out, error):
    before = content(out)

    def fail(place):
        (place / "half").write_text("written")
        raise error("x", where="y", mend="z") if error is InputError else error

    with pytest.raises(error):
        folder.replace(out, fail)
    assert content(out) == before
    assert beside(out) == ["out"]


def test_a_refusing_disk_is_one_clear_error(out):
    before = content(out)

    def full(place):
        (place / "half").write_text("written")
        raise OSError(28, os.strerror(28))

    with pytest.raises(InputError, match="No space left on device") as caught:
        folder.replace(out, full)
    assert caught.value.code == WORLD
    assert content(out) == before
    assert beside(out) == ["out"]


def test_a_missing_parent_is_one_clear_error(tmp_path):
    with pytest.raises(InputError) as caught:
        folder.replace(tmp_path / "nowhere" / "out", filler("new"))
    assert caught.value.code == WORLD


class Crash(BaseException):
    """Stands for the power cut: nothing after it runs."""


def test_another_run_that_tidies_up_is_named(out):
    folder.replace(out, filler("old"))

    def fill(place: Path) -> None:
        filler("new")(place)
        shutil.rmtree(place)  # as the other run does, which takes it for what a crash left
        (place / "more.txt").write_text("new")

    with pytest.raises(InputError, match="another run of this field goes on") as error:
        folder.replace(out, fill)
    assert error.value.code == WORLD
    assert content(out)["plan.json"] == "old"


def test_a_crash_at_any_point_heals_to_a_whole_result(out, monkeypatch):
    """Stop after the n-th change of the disk, for every n, then heal: the old result or the new one."""
    old, new = content(out), {"plan.json": "new", "passes/a.txt": "new"}
    master = out.parent.with_name("master")
    shutil.copytree(out.parent, master)
    rename, remove = folder.rename, shutil.rmtree
    ends = []
    for stop_after in range(8):
        shutil.rmtree(out.parent)
        shutil.copytree(master, out.parent)
        left = [stop_after]

        def counted(real, left=left):
            def step(*args, **kwargs):
                if left[0] == 0:
                    raise Crash
                left[0] -= 1
                return real(*args, **kwargs)

            return step

        with monkeypatch.context() as patched:
            patched.setattr(folder, "rename", counted(rename))
            patched.setattr(folder.shutil, "rmtree", counted(remove))
            try:
                folder.replace(out, filler("new"))
                finished = True
            except Crash:
                finished = False
        folder.heal(out)
        assert content(out) in (old, new)
        assert not finished or content(out) == new
        assert beside(out) == ["out"]
        ends.append(content(out) == new)
    assert ends[0] is False
    assert ends[-1] is True


@pytest.mark.parametrize(
    ("left_behind", "wanted"),
    [
        (["out.last"], "out.last"),
        (["out.last", "out.new"], "out.last"),
        (["out", "out.last"], "out"),
        (["out", "out.new"], "out"),
    ],
)
def test_heal_finds_the_last_whole_result(tmp_path, left_behind, wanted):
    for name in left_behind:
        (tmp_path / name).mkdir()
        (tmp_path / name / "who").write_text(name)
    folder.heal(tmp_path / "out")
    assert content(tmp_path / "out") == {"who": wanted}
    assert beside(tmp_path / "out") == ["out"]


def test_heal_where_there_is_nothing(tmp_path):
    folder.heal(tmp_path / "out")
    assert list(tmp_path.iterdir()) == []


WRITING = """
import os, signal, sys
from pathlib import Path
from zoning.prescription.folder import replace
def fill(new):
    (new / "plan.json").write_text("of the other run")
    print("filling", flush=True)
    signal.pause()
replace(Path(sys.argv[1]), fill)
"""


@pytest.mark.skipif(os.name != "posix", reason="locks of Unix")
def test_two_runs_at_once_never_mix_and_a_reader_disturbs_none(out):
    before = content(out)
    other = subprocess.Popen([sys.executable, "-c", WRITING, str(out)], stdout=subprocess.PIPE, text=True)
    try:
        assert other.stdout.readline() == "filling\n"
        folder.heal(out)  # as a command does that only reads
        assert content(out) == before
        assert content(out.with_name("out.new")) == {"plan.json": "of the other run"}
        with pytest.raises(InputError, match="another run is writing its results here") as error:
            folder.replace(out, filler("new"))
        assert error.value.code == WORLD
        assert content(out.with_name("out.new")) == {"plan.json": "of the other run"}
    finally:
        other.kill()
        other.communicate()
    folder.replace(out, filler("new"))  # what holds nothing any more is what a crash left
    assert content(out) == {"plan.json": "new", "passes/a.txt": "new"}
    assert beside(out) == ["out"]


@pytest.mark.parametrize("name", ["out", "out.new", "out.last"])
@pytest.mark.parametrize("made", ["a link to a folder", "a link to nothing", "a file"])
def test_what_is_no_folder_of_ours_is_refused_and_stays(tmp_path, name, made):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.txt").write_text("dear")
    place = tmp_path / "field" / name
    place.parent.mkdir()
    if made == "a file":
        place.write_text("dear")
    else:
        place.symlink_to(tmp_path / ("mine" if made == "a link to a folder" else "nowhere"))
    for _ in range(2):
        with pytest.raises(InputError, match=f"{name}: this is a (link|file of yours)") as error:
            folder.replace(tmp_path / "field" / "out", filler("new"))
        assert error.value.code == WORLD
    assert (tmp_path / "mine" / "letter.txt").read_text() == "dear"
    assert [path.name for path in place.parent.iterdir()] == [name]
    assert place.is_symlink() or place.read_text() == "dear"


def test_what_stands_elsewhere_stays_where_the_folder_cannot_be_renamed(out, monkeypatch):
    before, rename = content(out), Path.replace

    def held_open(path, target):
        if path == out:
            raise PermissionError(13, "Permission denied")
        return rename(path, target)

    monkeypatch.setattr(Path, "replace", held_open)
    with pytest.raises(InputError, match="Permission denied"):
        folder.replace(out, filler("new"), lambda: (out.parent / "design").write_text("new"))
    assert content(out) == before
    assert beside(out) == ["out"]


FULL_DISK = """
import resource, signal, sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from made_farm_plans import farm_of
from made_plans import Made, made_plan
from zoning.errors import InputError
from zoning.prescription import farm_layers
from zoning.prescription.folder import replace
from zoning.prescription.formats import FORMATS
from zoning.show import map as picture
out = Path(sys.argv[2])
plan = made_plan(Made(labels=[[1, 2], [3, 3]]))
writers = [each.write for each in FORMATS] + [
    lambda plan, place: picture.write(plan, place / "map.png"),
    lambda plan, place: farm_layers.write(farm_of([plan], {}), place),
]
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
for limit in (10, 150):  # bytes that a file may have
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, resource.RLIM_INFINITY))
    for number, write in enumerate(writers):
        try:
            replace(out, lambda place: (write(plan, place), None)[1])
        except InputError as error:
            print(limit, number, error.code)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="limits of file size are a thing of Unix")
def test_no_writer_is_silent_when_the_disk_is_full(out):
    before = content(out)
    where = str(Path(__file__).parents[1] / "made")
    done = subprocess.run(
        [sys.executable, "-c", FULL_DISK, where, str(out)], capture_output=True, text=True, check=True
    )
    refused = [line.split() for line in done.stdout.splitlines()]
    # both are too few for each writer (map and files of a farm beside the table); the second is enough
    # for the small files of a set
    writers = range(len(FORMATS) + 2)
    assert refused == [[limit, str(number), "4"] for limit in ("10", "150") for number in writers]
    assert beside(out) == ["out"]
    assert content(out) == before


@pytest.mark.parametrize(
    ("held", "given"),
    [
        (b'{"schedule": "farm"}', {"schedule": "farm"}),
        (b'{"schedule": "fa', {}),  # cut short
        (b"\xff\xfe\x00", {}),  # no text
        (b"[1]", {}),
    ],
)
def test_what_the_last_result_says_of_itself(out, held, given):
    (out / "run.json").write_bytes(held)
    assert folder.last_object(out, "run.json") == given
    assert folder.last_object(out, "other.json") == {}
