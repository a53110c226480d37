"""A bad file for a terminal is told in clear words, whatever it is, and is left as it was."""

import corpus
import corpus_bases
import corpus_checked
import pytest

from cli.main import main


@pytest.fixture(scope="module")
def base(tmp_path_factory):
    """The farm in which the files lie."""
    return corpus_bases.plain(tmp_path_factory.mktemp("checked") / "plain")


@pytest.mark.parametrize("case", corpus_checked.CASES, ids=lambda case: case.name)
def test_a_bad_file_for_a_terminal_is_told(base, tmp_path, capsys, case):
    field = corpus.made(case, tmp_path / "farm", base)
    before = {path: path.read_bytes() for path in field.rglob("*") if path.is_file()}
    with pytest.raises(SystemExit) as end:
        main(corpus.arguments(case, field))
    said = "".join(capsys.readouterr())
    assert end.value.code == case.code, said
    assert not [word for word in case.words if word not in said], said
    assert "Traceback" not in said
    assert all(len(line) < 300 for line in said.replace(str(tmp_path), "").splitlines())
    assert {path: path.read_bytes() for path in field.rglob("*") if path.is_file()} == before
