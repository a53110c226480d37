"""`sprayworth get`: what is printed where, and how it ends. What is got is asked in tests/fetch."""

import json

import pytest
from click.testing import CliRunner
from made_catalogue import TILE, scene

from cli.main import _code

JUNE = ("--from", "2026-06-01", "--to", "2026-06-30")


def run(capsys, *words):
    code = _code([str(one) for one in words])
    told = capsys.readouterr()
    return code, told.out, told.err


def test_images_are_told_and_the_steps_on_stderr(made, field, capsys):
    scene(made, TILE, "2026-06-11")
    code, out, err = run(capsys, "get", "imagery", field, *JUNE, "--catalog", made.address)
    assert code == 0
    assert "imagery/2026-06-11_sentinel-2-l2a.tif" in out
    assert "looking at 1 of 1 days" in err
    code, out, err = run(capsys, "get", "imagery", field, *JUNE, "--catalog", made.address, "--quiet")
    assert (code, err) == (0, "")


def test_one_object_for_programs(made, field, capsys):
    scene(made, TILE, "2026-06-11")
    words = ("get", "imagery", field, *JUNE, "--catalog", made.address, "--quiet", "--json")
    code, out, err = run(capsys, *words)
    told = json.loads(out)
    assert (code, err) == (0, "")
    assert told["named"] == ["imagery/2026-06-11_sentinel-2-l2a.tif"]
    assert told["days"][0]["seen_frac"] == 1.0


def test_a_file_that_fails_ends_with_4_and_the_rest_is_there(made, field, capsys):
    scene(made, TILE, "2026-06-11")
    scene(made, TILE, "2026-06-21")
    made.ways["/files/S2_15TUL_20260611_0_L2A/nir.tif"] = 404
    code, out, err = run(capsys, "get", "imagery", field, *JUNE, "--catalog", made.address, "--quiet")
    assert code == 4
    assert "imagery/2026-06-21_sentinel-2-l2a.tif" in out
    assert err == (
        "error: 127.0.0.1: nir.tif: there is nothing at this address (404). Check catalogue and collection.\n"
    )


def test_the_catalogue_may_stand_in_the_settings(made, field, capsys):
    scene(made, TILE, "2026-06-11")
    path = field / "field.toml"
    path.write_text(path.read_text() + f'[get]\ncatalog = "{made.address}"\n', encoding="utf-8")
    code, out, _ = run(capsys, "get", "imagery", field, *JUNE, "--quiet")
    assert code == 0
    assert "1 new [[imagery]]" in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("get", "images"), "Did you mean imagery?"),
        (("get", "soil"), "Choose from imagery, weather, planting."),
        (("get", "imagery", "FIELD", "--from", "June"), "'June' is not a date; write it as 2026-07-08"),
        (("get", "imagery", "FIELD", "--from", "2026-06-01"), "Missing option '--to'"),
        (("get", "imagery", "FIELD", *JUNE, "--keep", "0"), "--keep"),
    ],
)
def test_a_wrong_command_line_is_told(field, capsys, words, said):
    code, _, err = run(capsys, *(field if one == "FIELD" else one for one in words))
    assert code == 2
    assert said in err


def test_help_names_the_kinds():
    from cli.main import commands

    told = CliRunner().invoke(commands, ["get", "--help"]).output
    for kind in ("imagery", "weather", "planting"):
        assert kind in told
