"""Every command through its real entry point, on copies of the demo farms."""

import importlib
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from cli.main import COMMANDS, commands, main
from cli.options import terminal_width

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "demo_fields"


@pytest.fixture(scope="module")
def farm(tmp_path_factory):
    """A copy of the demo farm that tests may write into."""
    copy = tmp_path_factory.mktemp("demo") / "heron_slough"
    shutil.copytree(DEMO / "heron_slough", copy, ignore=shutil.ignore_patterns("out", "out.*", "strips"))
    return copy


def call(capsys, *arguments):
    """Exit code, stdout and stderr of one call."""
    with pytest.raises(SystemExit) as end:
        main([str(one) for one in arguments])
    said = capsys.readouterr()
    return end.value.code, said.out, said.err


def test_why_says_how_each_number_comes_about(farm, capsys):
    _, short, _ = call(capsys, "run", farm / "gravel_forty", "--quiet")
    _, long, _ = call(capsys, "run", farm / "gravel_forty", "--quiet", "--why")
    assert "published mean," not in short
    assert "1.64 published mean," in long
    assert short.splitlines()[:4] == long.splitlines()[:4]
    assert len(short) < len(long)


@pytest.mark.parametrize(
    ("is_terminal", "columns", "width"), [(True, 80, 80), (True, 20, 40), (True, 300, 120), (False, 80, 120)]
)
def test_what_is_printed_is_as_wide_as_the_terminal(monkeypatch, is_terminal, columns, width):
    monkeypatch.setattr(sys.stdout, "isatty", lambda: is_terminal, raising=False)
    monkeypatch.setattr(shutil, "get_terminal_size", lambda fallback: os.terminal_size((columns, 24)))
    assert terminal_width() == width


def test_run_writes_what_it_promises_and_prints_the_table(farm, capsys):
    code, out, err = call(capsys, "run", farm / "three_dates")
    assert code == 0
    folder = farm / "three_dates" / "out"
    for ending in ("shp", "shx", "dbf", "prj", "cpg"):
        assert (folder / f"prescription.{ending}").stat().st_size > 0
        assert len(list(folder.glob(f"passes/P1/P1_*.{ending}"))) == 1
    for name in ("plan.json", "zones.gpkg", "map.png", "run.json"):
        assert (folder / name).stat().st_size > 0
    assert not list(farm.glob("three_dates/out.*"))
    for column in (
        "zone",
        "block",
        "planted",
        "early",
        "likely",
        "late",
        "closes",
        "spray",
        "action",
        "rate",
    ):
        assert column in out.split("\n\n")[1].split("\n   1 ")[0]
    assert "needs" in out
    assert "written" in err


def test_json_is_the_object_of_plan_json_and_nothing_else(farm, capsys):
    code, out, _ = call(capsys, "run", farm / "three_dates", "--json", "--quiet")
    assert code == 0
    printed = json.loads(out)
    written = json.loads((farm / "three_dates" / "out" / "plan.json").read_text(encoding="utf-8"))
    assert printed == written


def test_the_demo_field_sprays_some_zones_skips_others_and_says_why(farm, capsys):
    _, out, _ = call(capsys, "run", farm / "three_dates", "--json", "--quiet")
    zones = json.loads(out)["zones"]
    assert {zone["action"] for zone in zones} == {"spray", "skip"}
    for zone in zones:
        assert "expect" in zone["reason"]["text"]
        assert "needs" in zone["reason"]["text"]
    sprayed = [zone["reason"]["text"] for zone in zones if zone["action"] == "spray"]
    assert all("scouting" in text for text in sprayed)


def test_farm_plans_every_field_and_names_those_that_fail(farm, capsys, tmp_path):
    copy = tmp_path / "farm"
    shutil.copytree(farm, copy, ignore=shutil.ignore_patterns("out", "out.*"))
    (copy / "wet_corner" / "boundary.gpkg").unlink()
    code, out, err = call(capsys, "farm", copy, "--quiet")
    assert code == 3
    assert "wet_corner" in err
    assert "boundary.gpkg" in err
    assert "Traceback" not in err
    whole = json.loads((copy / "out" / "farm.json").read_text(encoding="utf-8"))
    good = {path.parent.name for path in copy.glob("*/field.toml")} - {"wet_corner"}
    assert set(whole["fields"]) == good
    assert {one["field"] for one in whole["failures"]} == {"wet_corner"}
    total = sum(one["totals"]["net_usd"] for one in whole["fields"].values() if one["totals"])
    assert whole["totals"]["net_usd"] == pytest.approx(total)
    assert not (copy / "wet_corner" / "out").exists()
    for name in good:
        assert (copy / name / "out" / "plan.json").exists()
        assert whole["fields"][name]["field"] in out


def test_where_every_field_fails_the_last_plan_of_the_farm_stays(farm, capsys, tmp_path):
    copy = tmp_path / "moved"
    copy.mkdir()
    for name in ("farm.toml", "weather.csv", "hourly.csv", "hourly_forecast.csv"):
        shutil.copy(farm / name, copy)
    for name in ("gravel_forty", "level_eighty"):
        shutil.copytree(farm / name, copy / name, ignore=shutil.ignore_patterns("out", "out.*"))
    assert call(capsys, "farm", copy, "--quiet", "--today", "2026-06-20")[0] == 0
    before = {path.name: path.read_bytes() for path in (copy / "out").iterdir()}
    for name in ("gravel_forty", "level_eighty"):
        next((copy / name).glob("boundary.*")).unlink()
    code, out, err = call(capsys, "farm", copy, "--quiet", "--today", "2026-06-21")
    assert code == 3
    assert out.split("\n\n")[0].strip().startswith("Heron Slough")  # not the folder's name
    assert "no field could be planned" in out
    assert "the plan of 2026-06-20 stays there" in err
    after = {path.name: path.read_bytes() for path in (copy / "out").iterdir()}
    assert set(after) == set(before)
    assert {name for name in after if after[name] != before[name]} == {"failures.csv"}
    assert b"gravel_forty" in after["failures.csv"]
    assert b"level_eighty" in after["failures.csv"]
    # where no plan is there yet, there is nothing to keep
    shutil.rmtree(copy / "out")
    code, _, err = call(capsys, "farm", copy, "--quiet", "--today", "2026-06-21")
    assert code == 3
    assert "stays there" not in err
    assert json.loads((copy / "out" / "farm.json").read_text(encoding="utf-8"))["fields"] == {}
    assert (copy / "out" / "failures.csv").exists()


def test_a_fault_of_farm_toml_is_told_once_and_before_work(farm, capsys, tmp_path):
    copy = tmp_path / "farm"
    shutil.copytree(farm, copy, ignore=shutil.ignore_patterns("out", "out.*"))
    given = (copy / "farm.toml").read_text(encoding="utf-8")
    (copy / "farm.toml").write_text(f"no_such_key = 1\n{given}", encoding="utf-8")
    one = copy / "gravel_forty" / "field.toml"
    kept = one.read_text(encoding="utf-8")
    one.write_text(f"no_such_thing = 1\n{kept}", encoding="utf-8")
    code, out, err = call(capsys, "farm", copy, "--quiet")
    assert code == 2
    assert out == ""
    assert err.count("no_such_key") == 1
    assert "no_such_thing" not in err
    assert not (copy / "out").exists()
    code, _, err = call(capsys, "check", copy)
    assert code == 2
    assert err.count("no_such_key") == 1
    assert err.count("no_such_thing") == 1


def test_metric_farm_shows_hectares_and_keeps_the_us_figures_in_json(tmp_path, capsys):
    copy = tmp_path / "ombu"
    shutil.copytree(DEMO / "ombu_bend", copy, ignore=shutil.ignore_patterns("out", "out.*", "strips"))
    field = next(path.parent for path in sorted(copy.glob("*/field.toml")))
    code, out, _ = call(capsys, "run", field, "--quiet")
    assert code == 0
    assert "$/ha" in out
    plan = json.loads((field / "out" / "plan.json").read_text(encoding="utf-8"))
    for zone in plan["zones"]:
        assert zone["area_ha"] == pytest.approx(zone["area_ac"] * 0.40468564224, abs=1e-5)
        planted = int(zone["planted"][:4]) * 12 + int(zone["planted"][5:7])
        closes = int(zone["stage"]["closes"][:4]) * 12 + int(zone["stage"]["closes"][5:7])
        assert 1 <= closes - planted <= 5  # across New Year


def test_check_tells_levels_doubts_and_origins_and_writes_nothing(farm, capsys):
    before = sorted(farm.rglob("*"))
    code, out, _ = call(capsys, "check", farm)
    assert code == 0
    assert "level 3" in out
    assert "farm.toml:" in out
    assert sorted(farm.rglob("*")) == before
    code, out, _ = call(capsys, "check", farm / "three_dates", "--json")
    assert json.loads(out)["fields"][0]["level"] == 3


def test_new_makes_folders_that_check_can_read_and_never_writes_over(tmp_path, capsys):
    code, _, _ = call(capsys, "new", tmp_path / "mine")
    assert code == 0
    assert (tmp_path / "mine" / "farm.toml").exists()
    code, _, err = call(capsys, "new", tmp_path / "mine")
    assert code == 2
    assert "nothing was written" in err
    code, _, err = call(capsys, "new", tmp_path / "alone" / "field", "--field")
    assert code == 2
    assert "farm.toml" in err


def test_the_example_runs(tmp_path, capsys):
    code, out, _ = call(capsys, "new", tmp_path / "try_it", "--example")
    assert code == 0
    assert "three_dates" in out
    code, out, _ = call(capsys, "run", tmp_path / "try_it" / "three_dates", "--quiet", "--json")
    assert code == 0
    assert json.loads(out)["field"] == "Three Dates"


def test_stage_of_a_field_and_of_a_place(farm, capsys):
    code, out, _ = call(capsys, "stage", farm / "three_dates", "--json")
    assert code == 0
    rows = json.loads(out)["rows"]
    assert len(rows) == 3
    assert {"planted", "maturity_group", "stage"} < set(rows[0])
    assert set(rows[0]["stage"]) == {"r1", "r3_early", "r3_likely", "r3_late", "closes", "sd_d"}
    code, out, _ = call(
        capsys, "stage", "--planted", "2026-05-06", "--planted", "2026-06-01", "--mg", "1.9", "--lat", "44.3",
        "--weather", farm / "weather.csv", "--today", "2026-07-08",
    )  # fmt: skip
    assert code == 0
    assert len([line for line in out.splitlines() if line.startswith("2026-0")]) == 2
    code, _, err = call(capsys, "stage", "--planted", "2026-05-06")
    assert code == 2
    assert "--mg" in err


def test_evidence_prints_every_number(capsys):
    code, out, _ = call(capsys, "evidence", "--json")
    assert code == 0
    entries = json.loads(out)["entries"]
    assert len(entries) > 100
    assert {"key", "value", "unit", "kind", "source", "note"} == set(entries[0])
    code, out, _ = call(capsys, "evidence", "stage.critical")
    assert code == 0
    assert "published" in out
    code, _, err = call(capsys, "evidence", "weather.nothing")
    assert code == 2
    assert "no entry" in err


@pytest.mark.parametrize(
    ("arguments", "phrase"),
    [
        (["rnu"], "Did you mean run"),
        (["run"], "Missing argument"),
        (["run", "no_such_folder"], "does not exist"),
        (["run", str(DEMO), "--today", "8 July"], "is not a date"),
        (["run", str(DEMO), "--tody", "2026-07-08"], "--today"),
        (["run", str(DEMO)], "field.toml"),
        (["farm", str(ROOT / "docs")], "no field"),
    ],
)
def test_a_wrong_command_line_is_one_line_and_code_2(arguments, phrase, capsys):
    code, out, err = call(capsys, *arguments)
    assert code == 2
    assert phrase in err
    assert out == ""
    assert "Traceback" not in err


def test_a_result_of_the_farm_schedule_is_not_replaced_unless_asked(farm, capsys):
    call(capsys, "run", farm / "three_dates", "--quiet")
    run_json = farm / "three_dates" / "out" / "run.json"
    made = json.loads(run_json.read_text(encoding="utf-8"))
    run_json.write_text(json.dumps(made | {"schedule": "farm"}), encoding="utf-8")
    code, _, err = call(capsys, "run", farm / "three_dates", "--quiet")
    assert code == 2
    assert "--alone" in err
    code, _, _ = call(capsys, "run", farm / "three_dates", "--quiet", "--alone")
    assert code == 0


def test_the_log_keeps_what_was_done(farm, capsys, tmp_path):
    log = tmp_path / "log.txt"
    call(capsys, "run", farm / "three_dates", "--quiet", "--log", log)
    assert "reading the field" in log.read_text(encoding="utf-8")


def test_the_same_inputs_give_the_same_bytes(farm, capsys, tmp_path):
    results = []
    for name in ("one", "two"):
        copy = tmp_path / name / "heron_slough"
        shutil.copytree(farm, copy, ignore=shutil.ignore_patterns("out", "out.*"))
        code, _, _ = call(capsys, "run", copy / "three_dates", "--quiet")
        assert code == 0
        out = copy / "three_dates" / "out"
        results.append(
            {str(path.relative_to(out)): path.read_bytes() for path in out.rglob("*") if path.is_file()}
        )
    assert results[0].keys() == results[1].keys()
    assert [name for name in results[0] if results[0][name] != results[1][name]] == []


def test_nothing_written_names_a_path_of_the_machine(farm, capsys):
    call(capsys, "run", farm / "three_dates", "--quiet")
    for path in (farm / "three_dates" / "out").rglob("*"):
        if path.is_file():
            assert str(farm.parent).encode() not in path.read_bytes(), path.name


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_help_imports_nothing_heavy(command):
    heavy = {"numpy", "pandas", "geopandas", "rasterio", "fiona", "sklearn", "matplotlib", "scipy", "shapely"}
    code = (
        "import sys\n"
        "from cli.main import main\n"
        "try:\n    main(sys.argv[1:])\nexcept SystemExit:\n    pass\n"
        f"print(sorted(set(sys.modules) & {heavy!r}), file=sys.stderr)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code, *([command] if command else []), "--help"],
        capture_output=True,
        text=True,
        check=True,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )
    assert ran.stderr.strip() == "[]"
    assert "Usage: sprayworth" in ran.stdout
    assert not command or "sprayworth" in ran.stdout.split("\n\n", 2)[2]


def test_an_interrupted_import_is_no_broken_installation(tmp_path, monkeypatch, capsys):
    """A numeric library that is interrupted while it loads says that it could not be imported."""
    (tmp_path / "slow_to_load.py").write_text(
        "import signal\n"
        "try:\n    signal.raise_signal(signal.SIGINT)\n    len('here it is heard')\n"
        "except KeyboardInterrupt:\n    raise ImportError('failed to import')\n"
    )
    monkeypatch.syspath_prepend(tmp_path)

    def command(**_):
        importlib.import_module("slow_to_load")
        for _ in range(1000):
            time.sleep(0.01)

    monkeypatch.setattr(commands, "main", command)
    before = signal.getsignal(signal.SIGINT)
    try:
        assert call(capsys, "run") == (130, "", "interrupted\n")
    finally:
        signal.signal(signal.SIGINT, before)


@pytest.mark.parametrize(
    "command", [["evidence"], ["stage", "--planted", "2026-05-06", "--mg", "2.4", "--lat", "44.3", "--json"]]
)
def test_a_reader_that_goes_away_is_no_fault(command):
    began = [sys.executable, "-c", "from cli.main import main; main()", *command]
    process = subprocess.Popen(began, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    process.stdout.close()
    assert process.stderr.read() == b""
    process.stderr.close()
    assert process.wait() == 0


def test_a_name_that_is_no_utf_8_is_told_in_one_line(tmp_path, capsys):
    file = "points\udce4.csv"  # as Python gives the byte E4 of an old archive
    code, out, err = call(capsys, "scout", tmp_path, "--add", file)
    assert (code, out) == (2, "")
    assert err.startswith("error: points\\udce4.csv: its letters are not UTF-8. Rename it, or ")
    assert err.count("\n") == 1
