"""`sprayworth get weather`: what is printed, how it ends, and that a run uses what came."""

import json
import re
import time
from datetime import date

import pytest
from made_weather_farm import everything, farm, lone_field
from made_weather_service import Reply, running

from cli.main import _code
from zoning.fetch import session
from zoning.settings.read import load

DAY = ("--today", "2026-07-08")


@pytest.fixture
def double(monkeypatch):
    monkeypatch.setattr(time, "sleep", lambda _s: None)
    with running() as made:
        yield made


@pytest.fixture
def get(double, tmp_path, capsys):
    """Run the command against the double; gives its code and what it said."""
    table = str(double.table(tmp_path))

    def run(folder, *words):
        code = _code(["get", "weather", str(folder), "--services", table, *DAY, *words])
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def test_a_farm_with_boundaries_and_planting_dates_gets_its_weather_and_runs(get, tmp_path, capsys):
    home = farm(tmp_path, fields=("north", "south"))
    code, out, err = get(home)
    assert code == 0
    lines = out.splitlines()
    assert lines[0] == "weather.csv: 3,839 days from 2016-01-01 to 2026-07-05, from made_daily"
    assert lines[1] == "place: 44.31, -95.4, the middle of 2 fields; the farthest lies 0.7 mi away"
    assert lines[2] == "requests: 11; answers that lay here from before: 0 of 11"
    assert lines[3] == "written: weather.csv, weather_source.json"
    assert err.splitlines()[0] == "asking made_daily for 2016 (1 of 11)"
    assert len(err.splitlines()) == 11
    assert _code(["check", str(home), *DAY]) == 0
    assert "weather" in capsys.readouterr().out
    assert _code(["run", str(home / "north"), *DAY, "--quiet"]) == 0
    plan = json.loads((home / "north" / "out" / "plan.json").read_bytes())
    told = {note["code"] for note in plan["notes"]}
    assert "stage.calendar" not in told, "R3 comes from the weather that was got, not from a table"
    assert "stage.few_years" not in told
    assert any(
        name.endswith("weather.csv")
        for name in json.loads((home / "north" / "out" / "run.json").read_bytes())["inputs"]
    )


def test_a_run_with_hours_to_come_reads_them(get, tmp_path):
    home = farm(tmp_path)
    code, out, _ = get(home, "--hourly", "--quiet")
    assert code == 0
    assert "hourly forecast: 96 hours from 2026-07-08 09:00 to 2026-07-12 08:00 UTC, from made_hourly" in out
    assert load(home / "north").weather.hourly_forecast == "hourly_forecast.csv"
    assert _code(["hours", str(home), *DAY]) == 0


def test_one_object_says_the_same(get, tmp_path):
    home = farm(tmp_path, settings='name = "F"\nunits = "metric"\n')
    code, out, err = get(home, "--json", "--quiet", "--hourly", "--years", "2", "--fill")
    told = json.loads(out)
    assert (code, err) == (0, "")
    assert told["daily"]["first"] == "2024-01-01"
    assert told["daily"]["last"] == "2026-07-05"
    assert told["hourly"]["hours"] == 96
    assert told["requests"] == 3 + 2
    assert told["files_written"] == ["weather.csv", "weather_source.json", "hourly_forecast.csv", "farm.toml"]
    assert json.loads(get(home, "--json", "--quiet", "--years", "2", "--fill")[1])["hourly"] is None


def test_every_key_of_the_object_stands_in_the_reference(get, tmp_path):
    from pathlib import Path

    page = (Path(__file__).parents[2] / "docs" / "reference" / "json.md").read_text(encoding="utf-8")
    section = page.split("\n## get weather\n", 1)[1].split("\n## ", 1)[0]
    named = set(re.findall(r"`([a-z]\w*)`", section))
    told = json.loads(get(farm(tmp_path), "--json", "--quiet", "--hourly")[1])
    keys = set(told) | set(told["daily"]) | set(told["hourly"])
    assert keys - {"schema_version", "notes"} == named


def test_a_metric_farm_is_told_metres(get, tmp_path):
    home = farm(tmp_path, settings='units = "metric"\n', fields=("a", "b"))
    assert "the farthest lies 1,111 m away" in get(home, "--years", "0")[1]


def test_a_second_run_says_that_nothing_is_new(get, tmp_path):
    home = farm(tmp_path)
    get(home)
    code, out, err = get(home)
    assert (code, err) == (0, "")
    assert "answers that lay here from before: 11 of 11" in out
    assert "nothing new to write" in out


TROUBLES = {
    "too many requests": (Reply(status=429), "has had enough requests for now (429)"),
    "a long wait": (Reply(status=429, headers={"Retry-After": "900"}), "asks to wait 900 s"),
    "out of order": (Reply(status=500), "is out of order (500)"),
    "a gateway that has no service": (
        Reply(status=502, kind="text/html", body=b"<html>"),
        "out of order (502)",
    ),
    "half an answer": (Reply(body=b'{"type": "Feat', told=900), "broke off in the middle"),
    "half an answer of no told length": (Reply(body=b'{"type": "Feat', told=-1), "breaks off"),
    "a page": (Reply(body=b"<!doctype html>", kind="text/html"), "a page in place of data (text/html)"),
    "text": (Reply(body=b"see our new address", kind="text/plain"), "no JSON object (text/plain)"),
    "nothing": (Reply(body=b""), "no JSON object"),
    "a list": (Reply(body=b"[]"), "no JSON object"),
    "an empty object": (Reply(body=b"{}"), "no properties.parameter"),
    "a refusal": (Reply(status=422, body=b'{"messages": ["No such community"]}'), "(422), and says: No such"),
    "a place that moved": (Reply(status=301, headers={"Location": "https://x.example.org/"}), "another host"),
}


@pytest.mark.parametrize("name", TROUBLES)
def test_every_trouble_is_one_line_and_the_next_run_goes_on(name, get, double, tmp_path):
    reply, words = TROUBLES[name]
    home = farm(tmp_path)
    before = everything(home)
    double.always = lambda _path, query: reply if query["start"] >= "20250101" else None
    code, out, err = get(home, "--quiet")
    assert (code, out) == (4, "")
    assert err.startswith("error: made_daily: ")
    assert words in err
    assert err.count("\n") == 1
    assert "Traceback" not in err
    assert everything(home) == before
    double.always = None
    double.asked.clear()
    code, out, err = get(home, "--quiet")
    assert (code, err) == (0, "")
    assert len(double.asked) == 2, "2025 and 2026: what came before is not asked for again"


def test_a_slow_service_is_one_line(get, double, tmp_path, monkeypatch):
    from dataclasses import replace

    quick = replace(session.Bounds.usual(), silent_s=0.2, whole_s=0.5, tries=2)
    monkeypatch.setattr(session.Bounds, "usual", staticmethod(lambda: quick))
    for reply in (Reply(silent=True), Reply(body=b"x" * 500, drip_s=0.05)):
        double.always = lambda _path, _query, reply=reply: reply
        code, _, err = get(farm(tmp_path / str(reply.silent)), "--quiet")
        assert code == 4
        assert err.splitlines() == [
            "error: made_daily: the service did not answer in time. What came before is kept: run again "
            "later, and only the rest is asked for."
        ]


def test_without_a_network_one_line_and_what_is_there_keeps_working(tmp_path, capsys, monkeypatch):
    import socket

    def nobody(*_args, **_more):
        raise socket.gaierror(-2, "Name or service not known")

    home = farm(tmp_path)
    monkeypatch.setattr(socket, "getaddrinfo", nobody)
    assert _code(["get", "weather", str(home), *DAY, "--quiet"]) == 4
    assert capsys.readouterr().err == (
        "error: nasa_power: there is no network here, or no host power.larc.nasa.gov. Nothing was changed, "
        "and what is there is still used: run again when there is a network.\n"
    )
    assert set(everything(home)) == {"farm.toml", "north/field.toml", "north/boundary.geojson"}
    assert _code(["run", str(home / "north"), *DAY, "--quiet"]) == 0


def test_what_came_once_is_enough_without_a_service(get, double, tmp_path):
    home = farm(tmp_path)
    get(home)
    (home / "weather.csv").unlink()
    double.always = lambda _path, _query: Reply(status=503)
    code, out, _ = get(home)
    assert code == 0
    assert "requests: 0" in out
    assert (home / "weather.csv").exists()


def test_a_file_of_the_users_own_ends_with_two_and_keep_goes_on(get, tmp_path):
    home = farm(tmp_path)
    (home / "weather.csv").write_text("date,tmin_c,tmax_c\n2026-07-07,11,22\n", encoding="utf-8")
    code, _, err = get(home)
    assert code == 2
    assert err.count("\n") == 1
    assert "--keep" in err
    code, out, _ = get(home, "--keep")
    assert code == 0
    assert "note: days of your own weather.csv, which stays as it is: 1; days of made_daily:" in " ".join(
        out.split()
    )


def test_services_by_their_names_and_from_the_settings(get, tmp_path):
    home = farm(tmp_path, settings='[get]\nweather = "made_daily"\nhourly_forecast = "made_hourly"\n')
    assert get(home, "--hourly", "--years", "0")[0] == 0
    code, _, err = get(home, "--service", "made_hourly")
    assert code == 2
    assert err.startswith("error: --service: 'made_hourly' is no service that gives daily weather")
    code, _, err = get(home, "--years", "-1")
    assert code == 2


def test_a_table_of_services_that_is_none_ends_with_two(tmp_path, capsys):
    table = tmp_path / "mine.toml"
    table.write_text("[a]\n", encoding="utf-8")
    assert _code(["get", "weather", str(farm(tmp_path)), "--services", str(table)]) == 2
    assert "mine.toml: [a]: gives: field required" in capsys.readouterr().err


def test_the_log_keeps_the_steps_and_what_stopped_it(get, double, tmp_path):
    home, log = farm(tmp_path), tmp_path / "get.log"
    double.always = lambda _path, query: Reply(status=500) if query["start"] >= "20170101" else None
    get(home, "--log", str(log))
    kept = [line.partition(" ")[2] for line in log.read_text(encoding="utf-8").splitlines()]
    assert kept[1:3] == ["asking made_daily for 2016 (1 of 11)", "asking made_daily for 2017 (2 of 11)"]
    assert kept[3].startswith("error: made_daily: the service is out of order (500)")


def test_a_field_by_itself_gets_its_weather_and_runs(get, tmp_path):
    folder = lone_field(tmp_path / "alone")
    assert get(folder)[0] == 0
    assert _code(["run", str(folder), *DAY, "--quiet"]) == 0


def test_the_day_of_the_clock_counts_where_no_other_is_told(double, tmp_path, capsys):
    table = str(double.table(tmp_path))
    assert _code(["get", "weather", str(farm(tmp_path)), "--services", table, "--years", "0", "--json"]) in (
        0,
        4,
    )
    told = capsys.readouterr().out
    assert not told or json.loads(told)["today"] == str(date.today())
