"""Clocks and dates of files that lie: the same bytes, and what changed is never taken for what was."""

import io
import os
import shutil
import time
import zipfile
from datetime import date, datetime, timedelta

import corpus_bases
import pytest
from made_kills import FIELD, state
from made_region import made_region

import cli.done
import cli.run
from cli.main import main
from zoning import farm as many
from zoning import field, once_read
from zoning.prescription.of_a_pass import bundle

TODAY = corpus_bases.TODAY["rich"]
NS = 1_000_000_000
DATES_OF_FILES = {
    "1960": -315_619_200 * NS,
    "1970": 0,
    "1979, before the first day of a zip": 283_996_800 * NS + 1,
    "2107, the last day of a zip": 4_354_819_199 * NS + 5,
    "2200": 7_258_118_400 * NS,
}
ZONES = ["UTC", "Pacific/Apia", "<+14>-14", "EST5EDT,M3.2.0,M11.1.0", "no such place!"]


@pytest.fixture(scope="module")
def rich(tmp_path_factory):
    return corpus_bases.rich(tmp_path_factory.mktemp("rich") / "farm")


@pytest.fixture
def farm(rich, tmp_path):
    return shutil.copytree(rich, tmp_path / "farm")


def bytes_of_a_run(farm, *, pictures=False):
    once_read.forget()
    field.write(field.run(farm / FIELD, today=TODAY), farm / FIELD / "out", pictures=pictures)
    return state(farm)


def date_all(farm, stamp_ns):
    for path in farm.rglob("*"):
        os.utime(path, ns=(stamp_ns, stamp_ns))


@pytest.fixture(scope="module")
def usual(rich, tmp_path_factory):
    return bytes_of_a_run(shutil.copytree(rich, tmp_path_factory.mktemp("usual") / "farm"))


@pytest.mark.parametrize("when", DATES_OF_FILES)
def test_dates_of_input_files_are_nothing_to_a_result(when, farm, usual):
    date_all(farm, DATES_OF_FILES[when])
    assert bytes_of_a_run(farm) == usual
    date_all(farm, DATES_OF_FILES[when])  # its results too
    assert bytes_of_a_run(farm) == usual


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone of a process is set as on Unix")
@pytest.mark.parametrize("zone", ZONES)
def test_the_zone_of_the_computer_is_nothing_to_a_result(zone, farm, usual, monkeypatch):
    monkeypatch.setenv("TZ", zone)
    time.tzset()
    try:
        assert bytes_of_a_run(farm) == usual
    finally:
        monkeypatch.undo()
        time.tzset()


@pytest.mark.parametrize("day", [date(1, 1, 1), date(1979, 12, 31), date(2108, 1, 1), date(9999, 12, 31)])
def test_a_day_that_no_zip_knows_makes_a_zip_all_the_same(day):
    made = zipfile.ZipFile(io.BytesIO(bundle.zipped({"a.txt": b"a"}, day)))
    assert made.read("a.txt") == b"a"
    assert made.infolist()[0].date_time[:3] == (min(max(day.year, 1980), 2107), day.month, day.day)


class Midnight(date):
    """A clock that is a day further at each look; after it was moved back it begins again."""

    looks = 0

    @classmethod
    def today(cls):
        cls.looks += 1
        return TODAY - timedelta(days=1) + timedelta(days=cls.looks)


@pytest.mark.parametrize("module", [cli.run, cli.done])
def test_a_command_looks_at_the_clock_once(module, farm, usual, monkeypatch, capsys):
    settings = farm / "farm.toml"
    settings.write_text(settings.read_text().replace("as_of = ", "# as_of = "))
    bytes_of_a_run(farm)
    monkeypatch.setattr(module, "date", Midnight)
    for _ in range(2):
        Midnight.looks = 0  # the clock was set back
        arguments = ["run", str(farm / FIELD), "--quiet"] if module is cli.run else ["done", str(farm)]
        with pytest.raises(SystemExit) as end:
            main(arguments)
        assert end.value.code == 0, capsys.readouterr().err
        assert Midnight.looks == 1
    assert f'"today": "{TODAY.isoformat()}"' in (farm / FIELD / "out" / "plan.json").read_text()


def test_what_is_kept_of_a_farm_is_judged_by_content_and_no_date(tmp_path):
    farm = made_region(tmp_path / "farm", 2, small=True).farm
    run = lambda: many.run(farm, today=TODAY)
    run()
    first = state(farm)
    date_all(farm, DATES_OF_FILES["2200"])
    run()
    assert state(farm) == first
    weather = farm / "weather.csv"
    before = weather.stat()
    lines = weather.read_text().splitlines(keepends=True)
    place = next(
        at for at, line in enumerate(lines) if line.startswith((TODAY - timedelta(days=2)).isoformat())
    )
    day, _low, _high, *more = lines[place].split(",")
    fresh = ",".join([day, "10.0", "21.0", *more])
    lines[place] = fresh
    weather.write_text("".join(lines))
    os.utime(weather, ns=(before.st_atime_ns, before.st_mtime_ns))  # the clock that wrote it stood still
    run()
    now = state(farm)
    assert {name for name in now if name.endswith("run.json") and now[name] != first[name]} == {
        "q00001/out/run.json",
        "q00002/out/run.json",
    }
    shutil.rmtree(farm / "out.kept")
    run()
    assert state(farm) == now


def test_what_was_read_once_is_read_again_when_only_the_clock_says_it_is_the_same(tmp_path):
    path = tmp_path / "file"
    path.write_text("one")
    stamp = path.stat()
    read = lambda: once_read.of_file(path, "text", path.read_text)
    assert read() == "one"
    path.write_text("two")
    os.utime(path, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))
    assert read() == "two"
    other = tmp_path / "other"
    other.write_text("six")
    os.utime(other, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))
    other.replace(path)
    assert read() == "six"


def test_a_desk_whose_clock_goes_back_keeps_every_plan_and_lets_in_whom_it_let_in(tmp_path):
    pytest.importorskip("starlette")
    pytest.importorskip("httpx")
    from made_desks import Desk

    from zoning.desk import history, last_plan

    farm = corpus_bases.plain(tmp_path / "farm")
    bytes_of_a_run(farm)
    desk = Desk(farm / FIELD)
    log, plans = desk.runner.log_of(farm / FIELD), []
    for moment in (datetime(2026, 7, 9, 23, 59, 59), datetime(1980, 1, 1), datetime(2107, 12, 31)):
        desk.clock.now = moment
        whole = desk.plan() | {"run_id": f"{moment:%Y}{'0' * 12}"}
        text = (
            (farm / FIELD / "out" / "plan.json").read_text().replace(desk.plan()["run_id"], whole["run_id"])
        )
        plans.append(history.keep(log, last_plan.of_bytes(text.encode()), moment.date()))
        assert desk.get("state").status_code == 200
    assert len({path.name for path in plans}) == 3
    assert all(path.is_file() for path in plans)
