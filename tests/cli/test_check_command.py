"""`sprayworth check` on files for terminals: what is printed, and the exit codes."""

import json
import shutil

import pytest
from made_demo import three_dates
from made_plans import Made, made_plan, smooth_field

from cli.main import _code
from zoning.prescription.of_a_pass import operator


@pytest.fixture
def own(tmp_path):
    """The folder of a pass with its set alone."""
    labels, blocks = smooth_field(3, shape=(40, 39), hole=True)
    made = Made(labels=labels, block_of_zone=blocks, cell_m=20, pass_of_zone={1: 1, 3: 1})
    operator.write(made_plan(made), tmp_path)
    folder = tmp_path / "stick"
    folder.mkdir()
    for end in (".shp", ".shx", ".dbf", ".prj", ".cpg"):
        shutil.copy(tmp_path / "passes" / "P1" / f"P1_0706{end}", folder)
    return folder


def call(capsys, *arguments):
    code = _code([str(one) for one in arguments])
    out, err = capsys.readouterr()
    return code, out, err


def test_a_good_set_ends_with_0_and_says_that_no_terminal_was_asked(own, capsys):
    code, out, err = call(capsys, "check", own)
    assert (code, out) == (0, "5 files checked, 0 findings\n")
    assert "no terminal was at hand" in err


def test_one_member_stands_for_its_set(own, capsys):
    assert call(capsys, "check", own / "P1_0706.dbf")[1] == "5 files checked, 0 findings\n"


def test_a_doubt_ends_with_0(own, capsys):
    (own / "P1_0706.cpg").unlink()
    code, out, _ = call(capsys, "check", own)
    assert code == 0
    assert out == (
        "doubtful: P1_0706.shp: P1_0706.cpg is missing. Add it with one line, UTF-8.\n"
        "4 files checked, 1 finding\n"
    )


def test_what_may_be_refused_ends_with_3(own, capsys):
    (own / "P1_0706.prj").write_text("EPSG:4326")
    (own / "P1_0706.cpg").unlink()
    code, out, _ = call(capsys, "check", own)
    assert code == 3
    assert "\nrefused: P1_0706.prj: is no description of coordinates." in out
    assert out.endswith("4 files checked, 2 findings\n")


def test_json_is_one_object(own, capsys):
    (own / "P1_0706.prj").unlink()
    code, out, err = call(capsys, "check", own, "--json")
    whole = json.loads(out)
    assert (code, err) == (3, "")
    assert sorted(whole) == ["files", "findings", "note", "schema_version"]
    assert whole["files"] == [f"P1_0706.{end}" for end in ("shp", "shx", "dbf", "cpg")]
    (one,) = whole["findings"]
    assert one == {
        "severity": "refused",
        "code": "file_checks.missing",
        "where": "P1_0706.shp",
        "text": "P1_0706.prj is missing",
        "mend": "Put all files of the set beside each other; terminals want all of them.",
    }


def test_a_path_that_is_no_known_thing_ends_with_2_and_names_what_is_known(tmp_path, capsys):
    (tmp_path / "map.png").write_bytes(b"\x89PNG")
    for path in (tmp_path, tmp_path / "map.png"):
        code, out, err = call(capsys, "check", path)
        assert (code, out) == (2, "")
        for known in ("a farm", "a field", "shapefile set", "zip", "GeoJSON", "TASKDATA", "GeoPackage"):
            assert known in err
    assert call(capsys, "check", tmp_path / "nothing_here")[0] == 2


def test_a_field_is_checked_as_before(tmp_path, capsys):
    code, out, _ = call(capsys, "check", three_dates(tmp_path), "--today", "2026-07-08")
    assert code == 0
    assert out.startswith("three_dates: level 3")


def test_of_a_farm_each_fault_names_its_field(tmp_path, capsys):
    farm = tmp_path / "farm"
    for one in (farm, farm / "second"):
        assert call(capsys, "new", one, *(("--field",) if one != farm else ()))[0] == 0
    code, _, err = call(capsys, "check", farm)
    assert code == 2
    told = [line.split(": ")[:3] for line in err.splitlines()]
    assert told == [
        ["error", field, f"field.toml:{line}"] for field in ("first_field", "second") for line in (7, 8)
    ]
    assert call(capsys, "check", farm / "second")[2].startswith("error: field.toml:7: name")


def test_settings_that_nobody_typed_are_counted_and_listed_when_asked_for(tmp_path, capsys):
    field = three_dates(tmp_path)
    short = call(capsys, "check", field, "--today", "2026-07-08")[1]
    whole = call(capsys, "check", field, "--today", "2026-07-08", "--settings")[1]
    rows = [line for line in whole.splitlines() if line.endswith("]") and "  [" in line]
    defaults = [line for line in rows if "  [default (" in line]
    assert len(defaults) > 20
    assert f"  {len(defaults)} more settings have their defaults; add --settings to see them" in short
    named = [line.split()[0] for line in short.splitlines() if line in rows or "  [field.toml:" in line]
    assert "zones.cell" not in named
    assert "maturity_group" in named


# -- pictures ------------------------------------------------------------------------------------------------


def test_a_preview_is_written_into_the_field_and_named(tmp_path, capsys):
    field = three_dates(tmp_path)
    before = set(field.rglob("*"))
    plain = call(capsys, "check", field)
    assert set(field.rglob("*")) == before
    code, out, err = call(capsys, "check", field, "--preview")
    assert (code, err) == (plain[0], plain[2])
    assert out.startswith(plain[1])
    listed = [line.removeprefix("picture: ") for line in out[len(plain[1]) :].splitlines()]
    assert listed[:2] == [str(field / "preview" / name) for name in ("index.html", "01_boundary.png")]
    assert sorted(listed) == sorted(str(path) for path in (field / "preview").iterdir())
    assert set(field.rglob("*")) - before == {field / "preview", *(field / "preview").iterdir()}


def test_a_preview_may_go_into_a_folder_of_its_own_and_json_names_it(tmp_path, capsys):
    field = three_dates(tmp_path)
    code, out, _ = call(capsys, "check", field, "--preview", tmp_path / "pictures", "--json")
    told = json.loads(out)
    assert code == 0
    assert set(told) == {"schema_version", "fields", "previews"}
    (one,) = told["previews"]
    assert (one["field"], one["folder"]) == (field.name, (tmp_path / "pictures").as_posix())
    assert sorted(one["files"]) == sorted(path.name for path in (tmp_path / "pictures").iterdir())
    assert not (field / "preview").exists()


def test_the_field_may_stand_behind_the_option(tmp_path, capsys):
    field = three_dates(tmp_path)
    code, out, _ = call(capsys, "check", "--preview", field)
    assert code == 0
    assert f"picture: {field / 'preview' / '01_boundary.png'}" in out
    assert call(capsys, "check", "--preview")[::2] == call(capsys, "check")[::2]
    code, _, err = call(capsys, "check", "--preview", tmp_path / "nowhere")
    assert code == 2
    assert "does not exist" in err


def test_a_preview_ends_with_the_code_of_the_check(tmp_path, capsys):
    field = three_dates(tmp_path)
    (field / "layers" / "past_yield.tif").write_bytes(b"no image")
    code, out, err = call(capsys, "check", field, "--preview")
    assert code == 3
    assert "layers/past_yield.tif: it cannot be read as a GeoTIFF" in err
    assert "01_boundary.png" in out
    assert "04_layer" not in out


def test_a_preview_where_a_file_stands_is_one_line(tmp_path, capsys):
    field = three_dates(tmp_path)
    (field / "preview").write_text("a file of mine")
    code, _, err = call(capsys, "check", field, "--preview")
    assert code == 2
    assert err.startswith("error: ")
    assert err.count("\n") == 1
    assert "a file" in err
    assert (field / "preview").read_text() == "a file of mine"


def test_files_for_terminals_have_no_preview(own, capsys):
    code, out, err = call(capsys, "check", own, "--preview")
    assert (code, out) == (2, "")
    assert "--preview is for a field or a farm" in err
