"""A file that somebody changes while it is read: told as that; else the hash is of what was read."""

import hashlib
import os
import shutil
import threading
from datetime import timedelta

import corpus_bases
import pytest
from made_kills import FIELD, state

from zoning import field
from zoning.errors import WORLD, InputError
from zoning.inputs import files, read
from zoning.settings.read import load

TODAY = corpus_bases.TODAY["rich"]
FILES = {
    "boundary": f"{FIELD}/boundary.geojson",
    "planting": f"{FIELD}/planting.geojson",
    "daily weather": "weather.csv",
    "hourly weather": "hourly.csv",
    "image": f"{FIELD}/{corpus_bases.IMAGE}",
    "layer": f"{FIELD}/{corpus_bases.LAYER}",
    "scouting": f"{FIELD}/{corpus_bases.SCOUTING}",
    "what was sprayed": "done.csv",
}


@pytest.fixture(scope="module")
def rich(tmp_path_factory):
    farm = corpus_bases.rich(tmp_path_factory.mktemp("rich") / "farm")
    (farm / "done.csv").write_text("field,product,end\nElsewhere,Herbicide,2026-06-20\n", encoding="utf-8")
    return farm


@pytest.fixture
def farm(rich, tmp_path):
    return shutil.copytree(rich, tmp_path / "farm")


def cut(path):
    """As somebody does who writes a file anew and has come half way."""
    content = path.read_bytes()
    path.write_bytes(content[: len(content) // 2])


def cut_and_whole(path):
    """Written anew, with the same content: who reads in between reads half of it."""
    content = path.read_bytes()
    path.write_bytes(content[: len(content) // 2])
    path.write_bytes(content)


def replaced(path):
    """Another file under its name, of the same size and date."""
    stat, other = path.stat(), path.with_name("other")
    other.write_bytes(path.read_bytes())
    os.utime(other, ns=(stat.st_atime_ns, stat.st_mtime_ns))
    other.replace(path)


@pytest.mark.parametrize("harm", [cut, cut_and_whole, replaced])
@pytest.mark.parametrize("kind", FILES)
def test_a_change_between_opening_and_hashing_is_told(kind, harm, farm, monkeypatch):
    path, hashes, harmed = farm / FILES[kind], files.hashes, []

    def late(settings, paths):
        if not harmed:
            harmed.append(path)
            harm(path)
        return hashes(settings, paths)

    monkeypatch.setattr(files, "hashes", late)
    if kind == "what was sprayed":  # its hash is the last
        monkeypatch.setattr(files, "hashes", hashes)
        watch = files.watch
        monkeypatch.setattr(
            files, "watch", lambda at, called: (watch(at, called), at.name == "done.csv" and harm(at))
        )
    with pytest.raises(InputError) as error:
        field.run(farm / FIELD, today=TODAY)
    faults = [(one.what, one.where, one.code) for one in error.value.faults]
    called = path.name if kind == "what was sprayed" else path.relative_to(farm).as_posix()
    assert faults == [("the file was changed while it was read", called.removeprefix(f"{FIELD}/"), WORLD)]


@pytest.mark.parametrize("kind", FILES)
def test_half_a_file_is_not_told_as_a_bad_one(kind, farm, monkeypatch):
    path, watch = farm / FILES[kind], files.watch

    def early(at, called):
        watch(at, called)
        if at.name == path.name:
            cut(at)

    monkeypatch.setattr(files, "watch", early)
    with pytest.raises(InputError) as error:
        field.run(farm / FIELD, today=TODAY)
    assert {(one.what, one.code) for one in error.value.faults} == {
        ("the file was changed while it was read", WORLD)
    }


def test_the_last_result_stands_and_the_next_run_takes_the_new_file(farm, monkeypatch):
    field.write(field.run(farm / FIELD, today=TODAY), farm / FIELD / "out", pictures=False)
    before, hashes = state(farm), files.hashes
    weather = farm / "weather.csv"
    new = weather.read_bytes() + b"\n"

    def late(settings, paths):
        weather.write_bytes(new)
        return hashes(settings, paths)

    with monkeypatch.context() as patched:
        patched.setattr(files, "hashes", late)
        with pytest.raises(InputError, match="changed while it was read"):
            field.run(farm / FIELD, today=TODAY)
    assert {name: one for name, one in state(farm).items() if name != "weather.csv"} == {
        name: one for name, one in before.items() if name != "weather.csv"
    }
    inputs = field.run(farm / FIELD, today=TODAY).provenance.inputs
    assert inputs["../weather.csv"] == hashlib.sha256(new).hexdigest()


def test_a_file_that_is_written_all_the_time_is_never_hashed_as_another(farm):
    """Two versions take turns under one name, in place and by renaming: each reading is of one or refused."""
    weather, settings = farm / "weather.csv", load(farm / FIELD)
    lines = weather.read_bytes().splitlines(keepends=True)
    last_but_one = (TODAY - timedelta(days=1)).isoformat()
    versions = {}
    for warmer in (0, 7):
        rows = [
            line if not line.startswith(last_but_one.encode()) else _warmer(line, warmer) for line in lines
        ]
        versions[hashlib.sha256(b"".join(rows)).hexdigest()] = (b"".join(rows), warmer)
    over = threading.Event()

    def write() -> None:
        while not over.is_set():
            for content, _ in versions.values():
                weather.write_bytes(content)
                over.wait(0.01)
                beside = weather.with_name("beside")
                beside.write_bytes(content)
                beside.replace(weather)
                over.wait(0.05)

    writer = threading.Thread(target=write)
    writer.start()
    read_well, refused = 0, []
    try:
        for _ in range(20):
            try:
                with files.unchanged():
                    found = read.field(settings, TODAY, layers=False)
            except InputError as error:
                refused.append(error)
                continue
            read_well += 1
            _, warmer = versions[found.files["../weather.csv"]]
            day = (TODAY - timedelta(days=1)).toordinal()
            assert found.weather.tmax_c[found.weather.day == day][0] == pytest.approx(20.0 + warmer)
    finally:
        over.set()
        writer.join()
    assert read_well + len(refused) == 20
    words = ("changed while it was read", "the file is empty")  # as it is for a moment, whoever looks
    assert all(any(word in str(one) for word in words) for one in refused), refused
    with files.unchanged():
        assert read.field(settings, TODAY, layers=False).files["../weather.csv"] in versions


def _warmer(line: bytes, degrees: int) -> bytes:
    day, _, _, *more = line.rstrip(b"\n").split(b",")
    return b",".join([day, b"10.0", f"{20.0 + degrees}".encode(), *more]) + b"\n"
