"""A broken field, whatever broke it, ends with one clear line and its exit code, and nothing is written."""

import os
import shutil

import pytest
from made_broken import DOUBTS, WAYS, broken, doubtful, ways
from made_region import TODAY, made_region

from cli.main import main
from zoning import field as one_field
from zoning.errors import InputError
from zoning.settings.read import fields_of

HINTS = ("Traceback", "Errno", "Exception", "Error:", "NoneType", "<class", "0x")


@pytest.fixture(scope="module")
def region(tmp_path_factory):
    return made_region(tmp_path_factory.mktemp("broken") / "region", 1, small=True).farm


@pytest.fixture
def field(region, tmp_path):
    """A field of a farm of its own."""
    return shutil.copytree(region, tmp_path / "farm") / "q00001"


def tree(folder):
    """Every path below a folder, and the bytes of each file."""
    paths = list(folder.rglob("*"))
    return {path: path.read_bytes() if path.is_file() and os.access(path, os.R_OK) else b"" for path in paths}


@pytest.mark.parametrize("way", ways())
@pytest.mark.filterwarnings("ignore::rasterio.errors.NotGeoreferencedWarning")  # of the image that is made
def test_a_broken_field_is_told_in_one_line_and_leaves_nothing(field, capsys, way):
    how = broken(field, way)
    before = tree(field.parent)
    with pytest.raises(InputError) as caught:
        one_field.offer(field, today=TODAY)
    fault = caught.value
    assert fault.code == how.code
    assert all(word in str(fault) for word in how.words)
    with pytest.raises(SystemExit) as end:
        main(["run", str(field), "--today", TODAY.isoformat(), "--quiet"])
    said = capsys.readouterr()
    assert end.value.code == how.code
    assert said.out == ""
    lines = said.err.splitlines()
    assert lines == [f"error: {one}" for one in fault.faults]
    for one in fault.faults:
        assert "\n" not in str(one)
        assert len(str(one)) < 300
        assert one.mend.endswith((".", "?"))
        assert not any(hint in str(one) for hint in HINTS)
        assert str(field.parent.parent) not in str(one)
    assert tree(field.parent) == before


@pytest.mark.parametrize("way", ["settings a folder", "settings a link to itself", "settings a pipe"])
def test_a_farm_does_not_pass_over_a_field_whose_settings_are_no_file(field, way):
    broken(field, way)
    (field.parent / "photos").mkdir()
    (field.parent / "loop").symlink_to("loop")
    (field.parent / "notes.txt").write_text("", encoding="utf-8")
    assert fields_of(field.parent) == (field,)


@pytest.mark.parametrize("doubt", DOUBTS)
def test_a_row_of_scouting_that_cannot_be_is_left_out_and_told(field, doubt):
    word = doubtful(field, doubt)
    (note,) = [one.text for one in one_field.offer(field, today=TODAY).notes if "walked.csv" in one.text]
    assert note.startswith("walked.csv:2: ")
    assert word in note


@pytest.mark.parametrize("name", ["season.csv", "done.csv", "learned.toml"])
def test_a_folder_in_the_place_of_a_file_of_the_farm_is_told(field, name):
    (field.parent / name).mkdir()
    with pytest.raises(InputError, match=f"{name}: this is a folder, not a file") as caught:
        one_field.offer(field, today=TODAY)
    assert caught.value.code == 2


def test_there_are_at_least_twenty_ways_of_every_kind():
    assert len(WAYS) >= 20
    assert {way.code for way in WAYS.values()} == {2, 3, 4}
    assert {name.split()[0] for name in WAYS} >= {
        "boundary",
        "planting",
        "settings",
        "weather",
        "image",
        "scouting",
    }
