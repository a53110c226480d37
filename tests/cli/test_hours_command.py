"""`sprayworth hours`: of a file by itself and of the files of a farm; through the entry point."""

import json
import shutil
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from cli.main import main
from zoning.passes.hours.rules import CAUTIONS, RULES
from zoning.words import SENTENCES

DEMO = Path(__file__).parents[2] / "demo_fields"
HERON = DEMO / "heron_slough"
PLACE = ("--lat", "44.3", "--lon", "-95.4", "--time-zone", "America/Chicago")
LABEL = ("--max-wind", "10 mph", "--droplet", "medium", "--rainfast", "1")


@pytest.fixture
def hours(capsys):
    """Exit code, stdout and stderr of one call."""

    def call(*arguments: object) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as end:
            main(["hours", *map(str, arguments)])
        said = capsys.readouterr()
        return end.value.code, said.out, said.err

    return call


@pytest.fixture
def answer(hours):
    """The object of a call that succeeds."""

    def call(*arguments: object) -> dict:
        code, out, err = hours(*arguments, "--json")
        assert (code, err) == (0, "")
        return json.loads(out)

    return call


def made(path: Path, first: str, count: int, wind: float = 3.0, rain: float = 0.0) -> Path:
    """Hours of a fair day, one after the other."""
    begins = datetime.fromisoformat(first)
    rows = [f"{begins + timedelta(hours=n):%Y-%m-%d %H:%M},22,60,{wind},{rain}" for n in range(count)]
    path.write_text("\n".join(["time,temp_c,rh_pct,wind_m_s,rain_mm", *rows]) + "\n")
    return path


def test_by_hand_a_fair_day_of_a_file(answer, tmp_path):
    # 44.3 N, 95.4 W on 8 July: 5 hours before noon, 7 after (tests/passes/test_spray_hours.py); a wind of
    # 3 m/s at 10 m is 5 mph at the boom; the day before has none, as nobody knows the rain before it
    path = made(tmp_path / "station.csv", "2026-07-07 00:00", 72)
    found = answer(path, *PLACE, *LABEL)
    assert [(day["am_h"], day["pm_h"]) for day in found["days"]] == [(0, 0), (5, 7), (5, 7)]
    assert found["first"] == "2026-07-07"
    assert {one["rule"]: one["out_h"] for one in found["rules"]}["inversion"] == 36
    assert found["limits"]["rainfast_h"] == 1
    assert found["schema_version"] == 1


def test_options_of_the_label_count(answer, tmp_path):
    path = made(tmp_path / "s.csv", "2026-07-07 00:00", 72, wind=7.0)  # 11.7 mph at the boom
    strict = answer(path, *PLACE, *LABEL)
    assert sum(day["am_h"] + day["pm_h"] for day in strict["days"]) == 0
    allowed = answer(path, *PLACE, "--max-wind", "15 mph", "--droplet", "coarse")
    assert sum(day["am_h"] + day["pm_h"] for day in allowed["days"]) == 24
    assert allowed["cautions_h"] == {"strong_wind": 24}
    without = answer(path, *PLACE, "--max-wind", "24 km/h")  # no droplet class
    assert sum(day["am_h"] + day["pm_h"] for day in without["days"]) == 0
    low = answer(path, *PLACE, "--wind-height", "2 m", "--max-wind", "20 mph", "--droplet", "coarse")
    assert low["limits"]["wind_most_mph"] == 15
    assert sum(day["am_h"] + day["pm_h"] for day in low["days"]) == 0  # 15.7 mph where it was measured at 2 m


def test_the_farm_and_its_field_give_the_week_of_the_forecast(answer):
    farm, field = answer(HERON), answer(HERON / "three_dates")
    assert (farm["first"], farm["last"]) == ("2026-07-08", "2026-07-14")
    assert [day["am_h"] + day["pm_h"] for day in farm["days"]] == [
        day["am_h"] + day["pm_h"] for day in field["days"]
    ]
    # the week is there to show good, windy, wet and calm half-days
    by_day = {day["day"]: day for day in farm["days"]}
    assert by_day["2026-07-08"]["am_h"] >= 4
    assert by_day["2026-07-09"]["pm_h"] == 0
    assert by_day["2026-07-09"]["out_h"]["windy"] >= 5
    assert by_day["2026-07-10"]["am_h"] + by_day["2026-07-10"]["pm_h"] == 0
    assert "wet_ground" in by_day["2026-07-10"]["out_h"]
    assert all(rule in RULES for day in farm["days"] for rule in day["out_h"])
    assert 40 <= sum(day["am_h"] + day["pm_h"] for day in farm["days"]) <= 60


def test_days_are_chosen(answer, hours):
    found = answer(HERON, "--from", "2026-06-20", "--to", "2026-06-21")
    assert [day["day"] for day in found["days"]] == ["2026-06-20", "2026-06-21"]
    code, _, err = hours(HERON, "--from", "2027-01-01")
    assert code == 2
    assert "the file holds 2026-06-08 to 2026-07-14" in err


def test_text_says_what_it_rests_on_and_never_promises(hours):
    code, out, err = hours(HERON, "--reasons")
    assert (code, err) == (0, "")
    one_line = " ".join(out.split())
    assert out.splitlines()[0] == "51 spray hours in 7 days, 7.3 a day"
    assert (
        "by hourly.csv and hourly_forecast.csv: wind 3 mph to 10 mph at the boom, measured at 10 m"
        in one_line
    )
    assert "limits of the label as entered" in one_line
    assert "a count, not a permission: the label" in one_line
    assert "bees fly in the warm hours" in one_line
    assert "2026-07-09 14:00" in out
    assert "too windy" in out
    assert "safe" not in out.lower()
    assert not [
        text for code, text in SENTENCES.items() if code.startswith("hours.") and "safe" in text.lower()
    ]


def test_metric_figures(hours, tmp_path):
    path = made(tmp_path / "s.csv", "2026-07-07 00:00", 48)
    _, out, _ = hours(path, *PLACE, "--metric", "--reasons")
    assert "5 km/h to 16 km/h" in out
    assert "22 C" in out
    assert "12 mm of rain" in out
    assert "mph" not in out.replace("--", "")


def test_every_rule_and_caution_has_its_words(hours):
    for rule in RULES:
        assert {f"hours.short_{rule}", f"hours.out_{rule}"} <= set(SENTENCES)
    assert {f"hours.mind_{one}" for one in CAUTIONS} <= set(SENTENCES)


def test_each_hour_with_all_its_reasons(answer):
    found = answer(HERON, "--reasons", "--to", "2026-07-10")
    assert len(found["hours"]) == 72
    for hour in found["hours"]:
        assert hour["usable"] == (not hour["out"])
    at_dawn = next(one for one in found["hours"] if (one["day"], one["hour"]) == ("2026-07-10", 5))
    assert {"inversion", "rain", "rain_after"} <= set(at_dawn["out"])
    usable = sum(one["usable"] for one in found["hours"])
    assert usable == sum(day["am_h"] + day["pm_h"] for day in found["days"])


def test_gaps_are_counted(answer, tmp_path):
    path = made(tmp_path / "s.csv", "2026-07-07 00:00", 72)
    lines = path.read_text().splitlines()
    path.write_text("\n".join(lines[:34] + lines[37:]) + "\n")  # 9, 10 and 11 o'clock of the second day
    found = answer(path, *PLACE, *LABEL)
    assert [day["unknown_h"] for day in found["days"]] == [0, 3, 0]
    assert found["days"][1]["am_h"] == 1  # at 8 nobody knows the rain after it


def test_a_long_file_is_shown_by_its_last_days(answer, tmp_path):
    path = made(tmp_path / "s.csv", "2026-05-01 00:00", 24 * 60)
    found = answer(path, *PLACE)
    assert len(found["days"]) == 14
    assert "hours.last_days" in {note["code"] for note in found["notes"]}
    assert len(answer(path, *PLACE, "--from", "2026-05-01")["days"]) == 60


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (("FILE",), 2, "Give --lat and --lon"),
        ((HERON, "--lat", "44"), 2, "a folder is given and also --lat"),
        (("FILE", *PLACE, "--max-wind", "10"), 2, "--max-wind"),
        (("FILE", *PLACE, "--max-wind", "0 mph"), 2, "is not above 0"),
        (("FILE", "--lat", "44", "--lon", "-95", "--time-zone", "Mars"), 2, "not a known time zone"),
        ((DEMO / "ombu_bend",), 2, "no hourly file is named"),
        ((DEMO,), 2, "field"),
        (("nowhere.csv",), 2, "nowhere.csv"),
    ],
)
def test_faults_in_one_line(hours, tmp_path, arguments, code, said):
    path = made(tmp_path / "s.csv", "2026-07-07 00:00", 72)
    found, out, err = hours(*(path if one == "FILE" else one for one in arguments))
    assert (found, out) == (code, "")
    assert said in err


def test_a_file_of_another_zone_or_unit_is_refused(hours, tmp_path):
    path = tmp_path / "utc.csv"
    lines = (HERON / "hourly.csv").read_text().splitlines()
    begins = datetime(2026, 6, 8)
    moved = [
        f"{begins + timedelta(hours=n + 5):%Y-%m-%d %H:%M},{line.split(',', 1)[1]}"
        for n, line in enumerate(lines[1:])
    ]
    path.write_text("\n".join([lines[0], *moved]) + "\n")
    code, _, err = hours(path, *PLACE)
    assert code == 3
    assert "probably in another zone; earlier by about" in err
    code, _, err = hours(made(tmp_path / "k.csv", "2026-06-01 00:00", 24 * 20, wind=13.0), *PLACE)
    assert code == 3
    assert "wind_km_h or wind_mph" in err


def test_a_field_with_a_label_of_its_own_is_named(answer, tmp_path):
    farm = tmp_path / "heron_slough"
    farm.mkdir()
    for name in ("farm.toml", "weather.csv", "hourly.csv", "hourly_forecast.csv"):
        shutil.copy(HERON / name, farm / name)
    for name in ("level_eighty", "three_dates"):
        shutil.copytree(HERON / name, farm / name, ignore=shutil.ignore_patterns("out", "strips"))
    assert "hours.fields_apart" not in {note["code"] for note in answer(farm)["notes"]}
    text = (farm / "farm.toml").read_text()
    product = text[text.index("[product]") : text.index("[carrier]")]
    own = product.replace('max_wind = "10 mph"', 'max_wind = "8 mph"')
    with (farm / "three_dates" / "field.toml").open("a") as file:
        file.write(f"\n{own}")
    notes = {note["code"]: note["text"] for note in answer(farm)["notes"]}
    assert "three_dates" in notes["hours.fields_apart"] or "Three Dates" in notes["hours.fields_apart"]
    assert answer(farm / "three_dates")["limits"]["wind_most_mph"] == 8


def test_the_day_of_the_clock_change_has_its_hours(answer, tmp_path):
    path = made(tmp_path / "s.csv", "2026-10-31 00:00", 24 * 3)
    text = path.read_text().replace("2026-11-01 01:00,", "2026-11-01 01:00,22,60,3,0\n2026-11-01 01:00,", 1)
    path.write_text(text)
    found = answer(path, *PLACE, "--from", "2026-10-31")
    assert [day["hours_h"] for day in found["days"]] == [24, 25, 24]
    assert date.fromisoformat(found["last"]) == date(2026, 11, 2)
