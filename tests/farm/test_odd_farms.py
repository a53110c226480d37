"""Farms as nobody should have them, and people who stop a run: one clear line each, and nothing is lost."""

import json
import os
import shutil
import signal
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from made_region import TODAY, made_region
from read_results import results

from cli.main import _code
from zoning import farm

FIELDS = 5
COMMAND = [sys.executable, "-c", "from cli.main import main; main()", "farm"]
MOST_S = 300


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    return made_region(tmp_path_factory.mktemp("region") / "farm", FIELDS, small=True).farm


@pytest.fixture
def copy(made, tmp_path):
    return shutil.copytree(made, tmp_path / "farm")


def every_byte(folder):
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize("name", ["out", "out.new", "out.last", "out.kept", "Out"])
@pytest.mark.parametrize("command", ["farm", "check", "scout"])
def test_a_field_with_the_name_of_our_folders_is_refused_and_left_alone(command, name, copy, capsys):
    (copy / "q00001").rename(copy / name)
    before = every_byte(copy)
    assert _code([command, str(copy)]) == 2
    told = capsys.readouterr().err.splitlines()
    assert [line for line in told if line.startswith("error: ")] == [
        f"error: {copy / name}: a field cannot be called so: the farm's results go there. "
        "Give its folder another name."
    ]
    assert every_byte(copy) == before


def test_a_field_in_the_place_of_a_farm_is_told_to_be_one(copy, capsys):
    assert _code(["farm", str(copy / "q00001")]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "this is a field, not a farm" in line
    assert "sprayworth run" in line


def test_what_is_wrong_with_many_fields_alike_is_not_said_of_each(copy, capsys):
    assert _code(["farm", str(copy), "--today", "2027-01-01", "--quiet", "--workers", "1"]) == 3
    told = capsys.readouterr().err.splitlines()
    assert [line.split(": ")[1] for line in told] == [
        *("q00001", "q00002", "q00003"),
        "2 more fields, named in failures.csv",
    ]
    assert len((copy / "out" / "failures.csv").read_text(encoding="utf-8").splitlines()) == 1 + FIELDS


def test_where_no_field_comes_through_the_day_is_that_of_the_settings(copy):
    for field in copy.glob("q*"):
        (field / "planting.geojson").write_text("no planting", encoding="utf-8")
    farm.run(copy, clock=date(2031, 1, 1))
    assert json.loads((copy / "out" / "farm.json").read_text())["today"] == TODAY.isoformat()


def started(folder, *options, **how):
    return subprocess.Popen(
        [*COMMAND, str(folder), *options],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        **how,
    )


def test_nobody_who_listens_is_no_fault(copy):
    process = started(copy, "--workers", "1", preexec_fn=lambda: os.close(1))
    assert "Traceback" not in process.communicate(timeout=MOST_S)[1]
    assert process.returncode == 0


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="processes are found in /proc")
@pytest.mark.parametrize("times", [1, 2])
def test_ctrl_c_while_processes_begin_leaves_none_and_tells_one_line(times, copy, made, tmp_path):
    process = started(copy, "--workers", "2", "--quiet")
    begun = Path(f"/proc/{process.pid}/task/{process.pid}/children")
    while process.poll() is None and len(begun.read_text(encoding="ascii").split()) < 2:
        pass
    for _ in range(times):
        os.killpg(process.pid, signal.SIGINT)
    told = process.communicate(timeout=MOST_S)[1]  # ends only when no process holds its stderr any more
    assert told.splitlines()[-1:] == ["interrupted"]
    assert "Traceback" not in told
    farm.run(copy, today=TODAY)
    alone = shutil.copytree(made, tmp_path / "alone")
    farm.run(alone, today=TODAY)
    assert results(copy) == results(alone)


@pytest.mark.parametrize("name", ["out", "q00002/out", "out.kept"])
def test_a_file_where_results_go_is_named_and_left_alone(name, copy, capsys):
    (copy / name).write_text("mine", encoding="utf-8")
    assert _code(["farm", str(copy), "--quiet", "--workers", "1"]) == (3 if "/" in name else 4)
    (line,) = capsys.readouterr().err.splitlines()
    assert line.split(": ")[-2].endswith(name)
    assert (copy / name).read_text(encoding="utf-8") == "mine"


def test_ground_without_prices_is_not_said_not_to_pay(copy, capsys):
    """Four of five fields have zones and dates only."""
    text = (copy / "farm.toml").read_text(encoding="utf-8")
    money, product, response, schedule = (
        text.index(f"[{name}]") for name in ("money", "product", "response", "schedule")
    )
    (copy / "farm.toml").write_text(text[:money], encoding="utf-8")
    for number, field in enumerate(sorted(copy.glob("q*/field.toml"))):
        own = field.read_text(encoding="utf-8")
        own = own[: own.index("[money]")] + own[own.index("[boundary]") :]
        own += f"\n{text[money:product]}{text[response:schedule]}" if number == 0 else ""
        field.write_text(own, encoding="utf-8")
    assert _code(["farm", str(copy), "--quiet", "--workers", "1"]) == 0
    told = capsys.readouterr().out
    assert "spray 12 of 60 acres" in told
    assert "do not pay" not in told
