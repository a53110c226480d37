"""Each bad input of the corpus ends with its exit code and clear lines, and leaves the folder as it was."""

import os
import re

import corpus
import corpus_bases
import pytest

from cli.main import main
from zoning.file_checks.told import LIMITS

# File and place, what is wrong, what mends it.
TOLD = re.compile(r"(error|refused): (?P<file>[^:]+)(:\d+)?: (?P<what>.+)\. (?P<mend>[A-Z`].+[.?])")
KINDS = ("boundary", "planting", "imagery", "layer", "weather", "hourly", "scouting", "yield", "settings")
KINDS += ("decisions", "zones", "design", "planter")
HINTS = ("Traceback", "Errno", "Exception", "Error:", "NoneType", "<class", "0x")


@pytest.fixture(scope="module")
def bases(tmp_path_factory):
    """Each base, made once."""
    folder = tmp_path_factory.mktemp("corpus")
    return {name: make(folder / name) for name, make in corpus_bases.BASES.items()}


def tree(folder):
    """Every path below a folder, and the bytes of each file."""
    paths = [path for path in folder.rglob("*") if not path.is_symlink()]
    return {path: path.read_bytes() if path.is_file() and os.access(path, os.R_OK) else b"" for path in paths}


@pytest.mark.parametrize("case", corpus.cases(), ids=lambda case: f"{case.kind}: {case.name}")
@pytest.mark.filterwarnings("ignore::rasterio.errors.NotGeoreferencedWarning")  # of images that are made
def test_a_bad_input_is_told_in_clear_lines_and_leaves_nothing(bases, tmp_path, capsys, case):
    field = corpus.made(case, tmp_path / "farm", bases[case.base])
    before = tree(field.parent)
    with pytest.raises(SystemExit) as end:
        main(corpus.arguments(case, field))
    out, err = (text.replace(f"{field}{os.sep}", "") for text in capsys.readouterr())  # as it was typed
    assert end.value.code == case.code, err
    assert not [word for word in case.words if word not in err + out], err + out
    assert not [hint for hint in HINTS if hint in err]
    assert str(tmp_path) not in err
    if case.code:
        refused = [line for line in out.splitlines() if line.startswith("refused: ")]
        lines = [line for line in err.splitlines() if line != LIMITS] + refused
        assert lines
        assert refused or not out
        for line in lines:
            told = TOLD.fullmatch(line)
            assert told, line
            folders = (field, field.parent, field / "TASKDATA")
            assert any(os.path.lexists(folder / told["file"]) for folder in folders), line
            assert line.isprintable()  # what stood in the file moves nothing on the screen
            assert len(line) < 300
        assert tree(field.parent) == before
    else:
        assert not list(field.parent.rglob("out.new*"))
        assert not list(field.parent.rglob("out.last"))


def test_the_corpus_is_of_every_kind_and_no_case_says_nothing():
    cases = corpus.cases()
    assert len(cases) >= 150
    assert {case.kind for case in cases} >= set(KINDS)
    assert len({(case.kind, case.name) for case in cases}) == len(cases)
    assert all(case.words and all(case.words) for case in cases)
    assert {case.code for case in cases} >= {0, 2, 3}
