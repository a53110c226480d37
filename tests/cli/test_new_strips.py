"""`sprayworth run --new-strips` through its entry point: who lays strips anew, and who is told not to."""

from pathlib import Path

import pytest
from made_sprayed import sprayed_farm

from cli.main import main


def call(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as end:
        main([str(one) for one in arguments])
    said = capsys.readouterr()
    return end.value.code, said.out, said.err


def test_new_strips_by_seed_until_the_field_is_sprayed(tmp_path: Path, capsys) -> None:
    farm, _ = sprayed_farm(tmp_path)
    folder = farm / "three_dates"
    run = ("run", folder, "--quiet", "--today", "2026-07-08")
    with (folder / "field.toml").open("a") as settings:
        settings.write("\n[check_strips]\npairs = 2\n")
    file = folder / "strips" / "design.geojson"
    told = "check strips are laid in Three Dates: strips/design.geojson in its folder says from now on where"
    aloud = tuple(one for one in run if one != "--quiet")
    code, _, err = call(capsys, *aloud)
    assert code == 0
    assert told in err
    first = file.read_bytes()
    code, _, err = call(capsys, *aloud, "--seed", "1")
    assert code == 0
    assert told not in err
    assert file.read_bytes() == first  # an input by now
    assert call(capsys, *run, "--new-strips")[0] == 0
    assert file.read_bytes() == first  # the same seed
    assert call(capsys, *run, "--seed", "1", "--new-strips")[0] == 0
    second = file.read_bytes()
    assert second != first
    assert file.with_name("design.geojson.bak").read_bytes() == first
    (farm / "done.csv").write_text("field,end,product\nThree Dates,2026-07-08,Some Insecticide\n")
    before = (folder / "out" / "plan.json").read_bytes()
    code, out, err = call(capsys, *run, "--new-strips")
    assert (code, out) == (2, "")
    assert (
        "--new-strips: the field was sprayed on 2026-07-08, after its strips were laid on 2026-07-08" in err
    )
    assert "Traceback" not in err
    assert file.read_bytes() == second
    assert (folder / "out" / "plan.json").read_bytes() == before
