"""A name holds a whole value or none, whatever happens while it is written."""

import threading
from pathlib import Path

import numpy as np
import pytest

from zoning.errors import WORLD, InputError
from zoning.farm.kept import files

ABOUT = {"made_of": "abc", "varieties": ["P1"]}


def names_in(folder):
    return sorted(path.name for path in folder.iterdir())


def test_a_kept_value_is_there_with_what_is_said_of_it(tmp_path):
    path = tmp_path / "out.kept" / "north.offer.npz"
    files.keep(path, ABOUT, ("a", 1.5))
    assert files.kept(path) == ("a", 1.5)
    assert files.about(path) == ABOUT
    files.keep(path, {"made_of": "def"}, ("b",))
    assert files.kept(path) == ("b",)
    assert files.about(path) == {"made_of": "def"}
    assert names_in(path.parent) == ["north.offer.npz"]


def test_where_nothing_is_kept_nothing_comes(tmp_path):
    assert files.kept(tmp_path / "none.npz") is None
    assert files.about(tmp_path / "none.npz") is None
    assert files.kept(tmp_path) is None
    assert files.about(tmp_path) is None


@pytest.mark.parametrize("length", [0, 10, 100, 2000, -1])
def test_a_file_that_is_cut_is_as_if_it_were_not_there(tmp_path, length):
    path = tmp_path / "north.npz"
    files.keep(path, ABOUT, np.random.default_rng(0).normal(size=999))
    path.write_bytes(path.read_bytes()[:length])
    assert files.kept(path) is None
    assert files.about(path) in (None, ABOUT)
    files.keep(path, ABOUT, 5)
    assert files.kept(path) == 5


def test_what_is_said_is_read_without_the_rest(tmp_path):
    path = tmp_path / "north.npz"
    files.keep(path, ABOUT, np.random.default_rng(0).normal(size=99_999))
    path.write_bytes(path.read_bytes()[:5000])
    assert files.about(path) == ABOUT


def test_a_disk_that_refuses_is_told_and_the_old_value_stays(tmp_path, monkeypatch):
    path = tmp_path / "north.npz"
    files.keep(path, ABOUT, "old")

    def full(self, content):
        with self.open("wb") as stream:
            stream.write(content[: len(content) // 2])
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(InputError, match="No space left") as caught:
        files.keep(path, {}, "new")
    assert caught.value.code == WORLD
    assert "\n" not in str(caught.value)
    assert files.kept(path) == "old"
    assert names_in(tmp_path) == ["north.npz"]


def test_a_folder_in_the_place_of_a_file_is_told(tmp_path):
    (tmp_path / "north.npz").mkdir()
    (tmp_path / "north.npz" / "thing").touch()
    with pytest.raises(InputError) as caught:
        files.keep(tmp_path / "north.npz", {}, 1)
    assert caught.value.code == WORLD
    assert names_in(tmp_path) == ["north.npz"]


def test_readers_find_a_whole_value_while_others_are_written(tmp_path):
    path = tmp_path / "north.npz"
    values = [np.full(20_000, float(number)) for number in range(4)]
    files.keep(path, {"n": 0}, values[0])
    writers = [
        threading.Thread(target=lambda n=n: [files.keep(path, {"n": n}, values[n]) for _ in range(15)])
        for n in range(4)
    ]
    for one in writers:
        one.start()
    while any(one.is_alive() for one in writers):
        found = files.kept(path)
        assert found is not None
        assert len(set(found.tolist())) == 1
        assert files.about(path) is not None
    assert names_in(tmp_path) == ["north.npz"]


def test_what_belongs_to_no_field_any_more_is_removed(tmp_path):
    for name in ("north.offer.npz", "north.plan.npz", "south.offer.npz", "a.b.offer.npz", "a.npz"):
        files.keep(tmp_path / name, {}, 1)
    (tmp_path / ".north.offer.npz.new.0123").write_bytes(b"half")
    (tmp_path / "note.txt").write_text("mine")
    (tmp_path / "south.npz").mkdir()
    files.prune(tmp_path, {"north", "a.b"})
    assert names_in(tmp_path) == [
        "a.b.offer.npz",
        "a.npz",  # it says not what it is: somebody else's
        "north.offer.npz",
        "north.plan.npz",
        "note.txt",
        "south.npz",
    ]
    files.prune(tmp_path / "none", {"north"})
