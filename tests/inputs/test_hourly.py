"""Hourly weather: units, clocks, hours that are skipped, doubled or missing, and values that cannot be."""

import shutil
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from made_inputs import TODAY, Folder, weather_rows

from zoning.errors import CONTENT, SETTINGS, InputError
from zoning.inputs import dates, read
from zoning.inputs.given import Hourly
from zoning.inputs.weather_files import hourly
from zoning.settings.read import load
from zoning.words import Said

HEADER = "time,temp_c,rh_pct,wind_m_s,rain_mm"
CHICAGO = ZoneInfo("America/Chicago")


def csv(path: Path, rows: list[str], header: str = HEADER) -> Path:
    path.write_text("\n".join([header, *rows]) + "\n")
    return path


def hour_rows(first: str, hours: int, temp: float = 22.0, rh: float = 80.0) -> list[str]:
    begins = datetime.fromisoformat(first)
    return [f"{begins + timedelta(hours=n):%Y-%m-%d %H:%M},{temp},{rh},2,0" for n in range(hours)]


def told(path: Path, today: date = TODAY, **more: object) -> tuple[Hourly, list[str]]:
    clock = more.pop("clock", CHICAGO)
    found, notes = hourly.with_notes(path, today, clock, **more)  # type: ignore[arg-type]
    return found, [note.text for note in notes]


# -- columns and units ---------------------------------------------------------------------------------------


def test_by_hand_units_in_any_order(tmp_path: Path) -> None:
    # 68 F = 20 C; 10 mph = 4.4704 m/s; 36 km/h = 10 m/s; 0.5 in = 12.7 mm; "T" is a trace
    path = csv(
        tmp_path / "h.csv",
        ["0.5,90,2026-07-06 05:00,68,10", "T,91,2026-07-06 04:00,68,20"],
        "Rain_in,RH_pct,Time,temp_f,wind_mph",
    )
    found, notes = told(path)
    assert notes == []
    assert found.hour.tolist() == [4, 5]
    assert found.temp_c == pytest.approx([20, 20])
    assert found.rh_pct.tolist() == [91, 90]
    assert found.wind_m_s == pytest.approx([8.9408, 4.4704])
    assert found.rain_mm == pytest.approx([0, 12.7])
    path = csv(tmp_path / "k.csv", ["2026-07-06 05:00,20,90,36"], "time,temp_c,rh_pct,wind_km_h")
    found, _ = told(path)
    assert found.wind_m_s == pytest.approx([10])
    assert np.isnan(found.rain_mm).all()


def test_columns_may_be_mapped(tmp_path: Path) -> None:
    path = csv(tmp_path / "h.csv", ["2026-07-06 05:00;20,5;90"], "Zeit;Temp;RELH")
    names = {"time": "Zeit", "temp_c": "temp", "rh_pct": "RELH"}
    assert told(path, columns=names)[0].temp_c.tolist() == [20.5]
    with pytest.raises(InputError, match='no column "RH" for rh_pct'):
        told(path, columns=names | {"rh_pct": "RH"})
    with pytest.raises(InputError, match=r'hourly_columns: "humidity" is not one of our columns') as caught:
        told(path, columns=names | {"humidity": "RELH"})
    assert caught.value.code == SETTINGS


def test_wind_and_rain_need_not_be_there_but_humidity_must(tmp_path: Path) -> None:
    path = csv(tmp_path / "h.csv", ["2026-07-06 05:00,20,1"], "time,temp_c,wind_mph")
    with pytest.raises(
        InputError, match=r"no column rh_pct. Name it in \[weather\] hourly_columns"
    ) as caught:
        told(path)
    assert caught.value.code == CONTENT


# -- times ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "2026-07-06 05:00",
        "2026-07-06T05:00",
        "2026/07/06 05:53",
        "20260706T05",
        "2026-07-06T10:00Z",
        "2026-07-06T05:00-05:00",
        "2026-07-06 12:30+02:00",
    ],
)
def test_one_hour_in_many_spellings(tmp_path: Path, text: str) -> None:
    found, notes = told(csv(tmp_path / "h.csv", [f"{text},20,90,1,0"]))
    assert notes == []
    assert (found.day.tolist(), found.hour.tolist()) == ([date(2026, 7, 6).toordinal()], [5])
    assert found.utc_h.tolist() == [datetime(2026, 7, 6, 10, tzinfo=UTC).timestamp() / 3600]


def test_the_last_hour_may_be_called_24(tmp_path: Path) -> None:
    found, _ = told(csv(tmp_path / "h.csv", ["2026-06-30 24:00,20,90,1,0", "2026-06-30T23:00,19,90,1,0"]))
    assert found.day.tolist() == [date(2026, 6, 30).toordinal(), date(2026, 7, 1).toordinal()]
    assert found.hour.tolist() == [23, 0]


def test_a_zone_moves_an_hour_to_the_farms_day(tmp_path: Path) -> None:
    path = csv(tmp_path / "h.csv", ["2026-07-06T02:00Z,20,90,1,0"])
    found, _ = told(path)
    assert (date.fromordinal(int(found.day[0])), found.hour[0]) == (date(2026, 7, 5), 21)
    found, _ = told(path, clock=dates.clock("", -95.4))  # no zone named: whole hours by longitude
    assert (date.fromordinal(int(found.day[0])), found.hour[0]) == (date(2026, 7, 5), 20)


def test_the_skipped_hour_is_no_time(tmp_path: Path) -> None:
    rows = hour_rows("2026-03-08 00:00", 5)
    found, notes = told(csv(tmp_path / "h.csv", rows))
    assert found.hour.tolist() == [0, 1, 3, 4]
    assert np.diff(found.utc_h).tolist() == [1, 1, 1]  # nothing is missing between 1 and 3
    assert notes == [
        "rows of h.csv at hours that the farm's clock skips are not used: 1, the first 2026-03-08 02:00; if "
        "the station keeps one time all year, write its zone behind each time, as 2026-07-06T05:00-06:00"
    ]


@pytest.mark.parametrize("backwards", [False, True])
def test_the_doubled_hour_is_two(tmp_path: Path, backwards: bool) -> None:
    rows = hour_rows("2025-11-02 00:00", 4)
    rows.insert(2, "2025-11-02 01:00,9,80,2,0")
    found, notes = told(csv(tmp_path / "h.csv", rows[::-1] if backwards else rows))
    assert notes == []
    assert found.hour.tolist() == [0, 1, 1, 2, 3]
    assert np.diff(found.utc_h).tolist() == [1, 1, 1, 1]
    assert found.temp_c.tolist() == [22, 22, 9, 22, 22]


@given(st.integers(0, 8759), st.randoms(use_true_random=False))
@example(24 * 67, Random(1))  # 9 March: an hour is skipped
@example(24 * 304, Random(1))  # 2 November: an hour is doubled
def test_every_hour_of_a_year_is_one_whatever_the_clock_does(tmp_path_factory, first, random) -> None:  # type: ignore[no-untyped-def]
    begins = datetime(2025, 1, 1, 6, tzinfo=UTC) + timedelta(hours=first)
    moments = [begins + timedelta(hours=n) for n in range(48)]
    aware = [f"{one:%Y-%m-%dT%H:%M}Z,{n},80,1,0" for n, one in enumerate(moments)]
    plain = [f"{one.astimezone(CHICAGO):%Y-%m-%d %H:%M},{n},80,1,0" for n, one in enumerate(moments)]
    random.shuffle(aware)
    folder = tmp_path_factory.mktemp("hours")
    for name, rows in (("aware.csv", aware), ("plain.csv", plain)):
        found, notes = told(csv(folder / name, rows))
        assert notes == []
        assert found.utc_h.tolist() == [one.timestamp() / 3600 for one in moments]
        assert found.temp_c.tolist() == list(range(48))


def test_rows_after_today_are_ignored_and_said(tmp_path: Path) -> None:
    found, notes = told(csv(tmp_path / "h.csv", hour_rows("2026-07-08 20:00", 8)))
    assert found.hour.tolist() == [20, 21, 22, 23]
    assert notes == ["hours of h.csv after 2026-07-08 were ignored: 4"]


# -- several rows of an hour ---------------------------------------------------------------------------------


def test_by_hand_rows_of_one_hour_are_averaged_and_their_rain_is_added(tmp_path: Path) -> None:
    rows = ["2026-07-06 05:00,20,90,1,0.4", "2026-07-06 05:20,22,,2,0.2", "2026-07-06 05:40,24,96,3,0.6"]
    found, notes = told(csv(tmp_path / "h.csv", rows))
    assert found.hour.tolist() == [5]
    assert [found.temp_c[0], found.rh_pct[0], found.wind_m_s[0]] == [22, 93, 2]
    assert found.rain_mm == pytest.approx([1.2])
    assert notes == ["hours of h.csv with several rows were averaged, their rain was added: 1"]
    rows[1] = "2026-07-06 05:20,22,92,2,"  # a part of the rain that nobody knows
    found, _ = told(csv(tmp_path / "h.csv", rows))
    assert np.isnan(found.rain_mm[0])


def test_of_a_time_that_stands_twice_the_first_row_counts(tmp_path: Path) -> None:
    rows = ["2026-07-06 05:00,20,90,1,0", "2026-07-06 04:00,19,90,1,0", "2026-07-06 05:00,30,50,1,0"]
    found, notes = told(csv(tmp_path / "h.csv", rows))
    assert found.temp_c.tolist() == [19, 20]
    assert notes == ["times twice in h.csv: 1, the first 2026-07-06 05:00; the first row counts"]


# -- what cannot be, and what is not there -------------------------------------------------------------------


def test_what_is_not_there_is_unknown_and_what_cannot_be_is_left_out(tmp_path: Path) -> None:
    rows = hour_rows("2026-07-01 00:00", 100)
    rows[3] = "2026-07-01 03:00,,NA,-99,M"
    rows[5] = "2026-07-01 05:00,20,0,-1,-2"  # a dead sensor
    rows[7] = "2026-07-01 07:00,20,104,999,999"  # a wet one
    rows[9] = "2026-07-01 09:00,20,abc,1,0"
    found, notes = told(csv(tmp_path / "h.csv", rows))
    assert np.flatnonzero(np.isnan(found.temp_c)).tolist() == [3]
    assert np.flatnonzero(np.isnan(found.rh_pct)).tolist() == [3, 5, 9]
    assert np.flatnonzero(np.isnan(found.wind_m_s)).tolist() == [3, 5, 7]
    assert np.flatnonzero(np.isnan(found.rain_mm)).tolist() == [3, 5, 7]
    assert found.rh_pct[7] == 100
    assert notes == ["impossible values of h.csv were left out: 6, the first rh_pct 0 at 2026-07-01 05:00"]


@pytest.mark.parametrize(
    ("rows", "header", "words"),
    [
        ([], HEADER, "has no rows"),
        (["2026-07-06,20,90,1,0"], HEADER, "h.csv:2: 2026-07-06 is no day with its hour"),
        ([",20,90,1,0"], HEADER, "h.csv:2: an empty cell is no day with its hour"),
        (["7/6/2026 05:00,20,90,1,0"], HEADER, "h.csv:2: 7/6/2026 05:00 is no day with its hour"),
        (["9999-12-31 24:00,20,90,1,0"], HEADER, "is no day with its hour"),
        (hour_rows("2026-07-01 00:00", 60, temp=72), HEADER, "one in Fahrenheit is called temp_f"),
        (hour_rows("2026-07-01 00:00", 60, rh=0.93), HEADER, "in percent, as 95 and not 0.95"),
    ],
)
def test_a_file_that_cannot_be_read(tmp_path: Path, rows: list[str], header: str, words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        told(csv(tmp_path / "h.csv", rows, header))
    assert caught.value.code == CONTENT


def test_all_faults_of_the_file_come_at_once(tmp_path: Path) -> None:
    rows = hour_rows("2026-07-01 00:00", 60, temp=72, rh=0.9)
    rows[2], rows[4] = "yesterday,20,90,1,0", "2026-07-01,20,90,1,0"
    with pytest.raises(InputError) as caught:
        told(csv(tmp_path / "h.csv", rows))
    assert len(caught.value.faults) == 4
    assert [str(fault).split(": ")[0] for fault in caught.value.faults] == [
        "h.csv:4", "h.csv:6", "h.csv", "h.csv",
    ]  # fmt: skip


def of_season(path: Path, first: date = date(2026, 5, 6)) -> list[str]:
    found, _ = hourly.with_notes(path, TODAY, CHICAGO)
    return [note.text for note in hourly.of_season(found, "h.csv", first, TODAY)]


def test_by_hand_gaps_of_the_season_are_counted_and_named(tmp_path: Path) -> None:
    rows = hour_rows("2026-07-01 00:00", 7 * 24)
    whole = csv(tmp_path / "h.csv", rows)
    assert of_season(whole) == []
    # gone: 3 July 22:00 to 4 July 02:00, five hours; and one humidity on 6 July
    kept = [row for n, row in enumerate(rows) if not 70 <= n < 75]
    kept[-20] = kept[-20].replace(",80.0,", ",,")
    assert of_season(csv(tmp_path / "h.csv", kept)) == [
        "6 of 168 hours of this season are not known in h.csv, most in a row 5 on 2026-07-03; they count as "
        "unknown, not as dry or calm"
    ]
    # from midnight on: the gap is of the day that it begins on
    kept = [row for n, row in enumerate(rows) if not 72 <= n < 75]
    assert "most in a row 3 on 2026-07-04" in of_season(csv(tmp_path / "h.csv", kept))[0]
    assert of_season(csv(tmp_path / "h.csv", kept), date(2026, 7, 5)) == []  # before this season


def test_a_gap_at_the_beginning_is_one_too(tmp_path: Path) -> None:
    rows = hour_rows("2026-07-06 00:00", 48)
    rows[0], rows[1] = "2026-07-06 00:00,,80,2,0", "2026-07-06 01:00,,80,2,0"
    assert "2 of 48 hours" in of_season(csv(tmp_path / "h.csv", rows))[0]
    assert "most in a row 2 on 2026-07-06" in of_season(csv(tmp_path / "h.csv", rows))[0]


def test_hours_that_end_early_or_belong_to_another_season(tmp_path: Path) -> None:
    path = csv(tmp_path / "h.csv", hour_rows("2026-07-01 00:00", 48))
    assert of_season(path) == ["the hourly weather in h.csv ends on 2026-07-02: what came after is not known"]
    path = csv(tmp_path / "h.csv", hour_rows("2025-07-01 00:00", 48))
    assert of_season(path) == ["h.csv has no hour since 2026-05-06, so it says nothing of this season"]


# -- once for a farm, and through the settings ---------------------------------------------------------------


def test_a_file_that_changes_is_read_again_and_what_is_read_is_ones_own(tmp_path: Path) -> None:
    path = csv(tmp_path / "h.csv", hour_rows("2026-07-06 05:00", 1))
    found, _ = told(path)
    found.temp_c[0] = -40
    assert told(path)[0].temp_c.tolist() == [22]
    assert told(path, clock=ZoneInfo("UTC"))[0].utc_h[0] == found.utc_h[0] - 5
    csv(path, hour_rows("2026-07-06 05:00", 2))
    assert told(path)[0].temp_c.tolist() == [22, 22]


def test_a_field_has_the_hours_of_its_file(folder: Folder) -> None:
    folder.add("[planting]\ndate = 2026-05-06")
    csv(folder.path / "hourly.csv", hour_rows("2026-07-01 00:00", 24 * 7))
    assert read.field(folder.settings(), TODAY).hourly is None  # there, but nobody named it
    folder.add("[weather]\nhourly = '../hourly.csv'")
    found = read.field(folder.settings(), TODAY, layers=False)
    assert found.hourly is not None
    assert found.hourly.day.size == 24 * 7
    assert "../hourly.csv" in found.files
    assert found.notes == ()


def test_a_named_file_must_be_there_and_its_faults_come_with_the_others(folder: Folder) -> None:
    folder.add("[planting]\ndate = 2026-05-06\n[weather]\nhourly = 'hourly.csv'")
    with pytest.raises(InputError, match=r"no file hourly\.csv") as caught:
        read.field(folder.settings(), TODAY)
    assert caught.value.code == SETTINGS
    csv(folder.field / "hourly.csv", ["yesterday,1,2,3,4"])
    csv(folder.path / "weather.csv", ["yesterday,1,2,3"], "date,tmin_c,tmax_c,rain_mm")
    with pytest.raises(InputError) as caught:
        read.field(folder.settings(), TODAY)
    assert caught.value.code == CONTENT
    assert [str(fault).split(":")[0] for fault in caught.value.faults] == ["weather.csv", "hourly.csv"]


def test_what_is_said_of_hours_is_said_once_a_field(folder: Folder) -> None:
    folder.add("[planting]\ndate = 2026-05-06\n[weather]\nhourly = 'hourly.csv'")
    csv(folder.field / "hourly.csv", hour_rows("2026-07-01 00:00", 48))
    notes = read.field(folder.settings(), TODAY).notes
    assert notes == (Said("inputs.hourly_ends", file="hourly.csv", last=date(2026, 7, 2)),)


def test_fields_of_a_farm_share_what_they_read_of_its_weather(folder: Folder) -> None:
    folder.add("[planting]\ndate = 2026-05-06\n[weather]\nhourly = '../hourly.csv'")
    folder.add("hourly_forecast = '../ahead.csv'")
    csv(folder.path / "hourly.csv", hour_rows("2026-07-01 00:00", 24 * 7 + 12))
    csv(folder.path / "ahead.csv", hour_rows("2026-07-08 00:00", 24 * 3))
    days = weather_rows(date(2026, 5, 6), date(2026, 7, 7))
    csv(folder.path / "weather.csv", days, "date,tmin_c,tmax_c,rain_mm")
    folder.settings()
    other = folder.path / "other"
    shutil.copytree(folder.field, other)
    here, there = (read.field(load(one), date(2026, 7, 8), layers=False) for one in (folder.field, other))
    assert here.hourly is not None
    assert here.hourly is there.hourly
    assert here.hourly_forecast is there.hourly_forecast
    assert here.weather is there.weather
    with pytest.raises(ValueError, match="read-only"):
        here.hourly.temp_c[0] = 0
    csv(folder.path / "hourly.csv", hour_rows("2026-07-01 00:00", 24 * 7 + 6))
    again = read.field(load(other), date(2026, 7, 8), layers=False)
    assert again.hourly is not None
    assert again.hourly.day.size == 24 * 7 + 6
