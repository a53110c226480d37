"""Weather and scouting tables: units, gaps, impossible values, and rows that cannot be."""

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from made_inputs import EAST, EPSG, NORTH, SOUTH, TODAY, WEST, Folder, weather_rows
from pyproj import Transformer

from zoning.errors import CONTENT, SETTINGS, InputError
from zoning.inputs import read, store
from zoning.inputs.held import held
from zoning.inputs.weather_files import weather

HEADER = "date,tmin_c,tmax_c,rain_mm"


def csv(path: Path, rows: list[str], header: str = HEADER) -> Path:
    path.write_text("\n".join([header, *rows]) + "\n")
    return path


def test_by_hand_fahrenheit_and_inches_in_any_order(tmp_path: Path) -> None:
    # 50 F = 10 C, 86 F = 30 C, 0.5 in = 12.7 mm; "T" is a trace
    path = csv(
        tmp_path / "w.csv", ["0.5,86,2026-05-02,50", "T,86,2026-05-01,50"], "Rain_in,tmax_f,Date,tmin_f"
    )
    found = weather.read(path, TODAY)
    assert found.day.tolist() == [date(2026, 5, 1).toordinal(), date(2026, 5, 2).toordinal()]
    assert found.tmin_c.tolist() == [10, 10]
    assert found.tmax_c.tolist() == [30, 30]
    assert found.rain_mm == pytest.approx([0, 12.7])
    assert found.forecast_until is None


def test_columns_may_be_mapped(tmp_path: Path) -> None:
    path = csv(tmp_path / "w.csv", ["2026-05-01,50,86"], "Datum,Low,High")
    found = weather.read(path, TODAY, columns={"date": "Datum", "tmin_f": "low", "tmax_f": "High"})
    assert (found.tmin_c[0], found.tmax_c[0]) == (10, 30)
    assert np.isnan(found.rain_mm).all()
    with pytest.raises(InputError, match='no column "Lower" for tmin_c'):
        weather.read(path, TODAY, columns={"date": "Datum", "tmin_c": "Lower", "tmax_f": "High"})
    with pytest.raises(InputError, match='"tmin" is not one of our columns') as caught:
        weather.read(path, TODAY, columns={"date": "Datum", "tmin": "Low", "tmax_f": "High"})
    assert caught.value.code == SETTINGS


def test_semicolons_with_decimal_commas(tmp_path: Path) -> None:
    path = csv(tmp_path / "w.csv", ["2026-05-01;9,5;21,25;0,0"], HEADER.replace(",", ";"))
    found = weather.read(path, TODAY)
    assert (found.tmin_c[0], found.tmax_c[0]) == (9.5, 21.25)


def test_a_file_that_changes_is_read_again_and_what_is_read_is_ones_own(tmp_path: Path) -> None:
    path = csv(tmp_path / "w.csv", ["2026-05-01,5,20,0"])
    first = weather.read(path, TODAY)
    first.tmin_c[0] = -40
    assert weather.read(path, TODAY).tmin_c.tolist() == [5]
    csv(path, ["2026-05-01,5,20,0", "2026-05-02,6,21,1"])
    assert weather.read(path, TODAY).tmin_c.tolist() == [5, 6]
    assert weather.read(path, TODAY, columns={"tmin_c": "tmax_c", "tmax_c": "tmax_c"}).tmin_c.tolist() == [
        20,
        21,
    ]


def test_rows_after_today_are_ignored_unless_a_forecast_names_them(tmp_path: Path) -> None:
    daily = csv(tmp_path / "w.csv", weather_rows(date(2026, 7, 1), date(2026, 7, 12)))
    found, notes = weather.with_notes(daily, TODAY)
    assert found.day.max() == TODAY.toordinal()
    assert notes[0].text == "rows of w.csv after 2026-07-08 were ignored: 4"
    ahead = csv(tmp_path / "f.csv", weather_rows(date(2026, 7, 5), date(2026, 7, 15), tmax=33.0))
    found = weather.read(daily, TODAY, forecast=ahead)
    assert found.day.tolist() == list(range(date(2026, 7, 1).toordinal(), date(2026, 7, 15).toordinal() + 1))
    assert found.tmax_c.tolist() == [26.0] * 8 + [33.0] * 7  # what was measured stays
    assert found.forecast_until == date(2026, 7, 15)


def test_impossible_values_and_double_days_are_left_out_and_said(tmp_path: Path) -> None:
    rows = weather_rows(date(2026, 1, 1), date(2026, 7, 7))
    rows[3] = "2026-01-04,20,10,0"
    rows[5] = "2026-01-06,-98,10,-3"
    rows[7] = "2026-01-08,,NA,0.4"
    rows[9] = "2026-01-10,abc,12,0"
    rows.append("2026-01-02,1,2,3")
    found, notes = weather.with_notes(csv(tmp_path / "w.csv", rows), TODAY)
    missing = np.flatnonzero(np.isnan(found.tmin_c) | np.isnan(found.tmax_c))
    assert missing.tolist() == [3, 5, 7, 9]
    assert found.tmin_c[1] == 12  # the first row of the day
    assert np.isnan(found.rain_mm[5])
    assert "left out: 4, the first tmin_c 20 above tmax_c 10 on 2026-01-04" in notes[0].text
    assert "twice in w.csv: 1, the first 2026-01-02" in notes[1].text


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "has no rows"),
        (HEADER + "\n", "has no rows"),
        ("date,tmin_c,rain_mm\n2026-05-01,3,0\n", "no column tmax_c or tmax_f"),
        (HEADER + "\n05/01/2026,3,9,0\n05/02/2026,3,9,0\n", r"w.csv:2: 05/01/2026 is not a date"),
        (
            HEADER + "\n" + "\n".join(weather_rows(date(2026, 5, 1), date(2026, 6, 1), tmin=58, tmax=85)),
            "Fahrenheit",
        ),
        ("PK\x03\x04\0\0", "not a text table"),
    ],
)
def test_weather_that_cannot_be_read(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / "w.csv").write_text(text)
    with pytest.raises(InputError, match=words) as caught:
        weather.read(tmp_path / "w.csv", TODAY)
    assert caught.value.code == CONTENT


def test_missing_days_end_with_the_last_record(tmp_path: Path) -> None:
    rows = weather_rows(date(2026, 5, 1), date(2026, 7, 5))
    del rows[10:12]
    found = weather.read(csv(tmp_path / "w.csv", rows), TODAY)
    gap = (date(2026, 5, 11), date(2026, 5, 12))
    assert weather.missing_days(found, date(2026, 5, 1), TODAY) == gap
    assert weather.missing_days(found, date(2026, 5, 13), TODAY) == ()
    late = date(2026, 7, 20)  # 15 days after the last record: that is a gap
    assert len(weather.missing_days(found, date(2026, 5, 13), late)) == 15
    assert weather.missing_days(found, date(2026, 8, 1), TODAY) == ()


# -- through the settings ---------------------------------------------------------------------------------


def test_a_gap_in_the_season_names_its_days(folder: Folder) -> None:
    folder.add("[planting]\ndate = 2026-05-06")
    rows = weather_rows(date(2025, 1, 1), date(2026, 7, 7))
    kept = [row for row in rows if not row.startswith(("2026-06-1", "2025-07"))]
    csv(folder.path / "weather.csv", kept)  # the farm's: nobody names it, but it is there
    with pytest.raises(InputError) as caught:
        read.field(folder.settings(), TODAY)
    assert str(caught.value).startswith(
        "weather.csv: a gap in this season, no temperatures on 2026-06-10, 2026-06-11"
    )
    assert "2026-06-14 and 5 more. Add these days" in str(caught.value)
    assert caught.value.code == CONTENT
    csv(folder.path / "weather.csv", [row for row in rows if not row.startswith("2025-07")])
    found = read.field(folder.settings(), TODAY)  # a gap in a past year is no fault
    assert found.weather is not None
    assert set(found.files) == {"boundary.geojson", "../weather.csv"}
    assert found.notes == ()


def test_without_a_weather_file_there_is_no_weather_but_a_named_one_must_be(folder: Folder) -> None:
    folder.add("[planting]\ndate = 2026-05-06")
    assert read.field(folder.settings(), TODAY).weather is None
    folder.add("[weather]\ndaily = 'station.csv'")
    with pytest.raises(InputError, match=r"no file station\.csv") as caught:
        read.field(folder.settings(), TODAY)
    assert caught.value.code == SETTINGS


def test_weather_that_ends_early_is_said(folder: Folder) -> None:
    folder.add("[planting]\ndate = 2026-05-06")
    csv(folder.path / "weather.csv", weather_rows(date(2026, 4, 1), date(2026, 7, 4)))
    found = read.field(folder.settings(), TODAY)
    assert [note.text for note in found.notes] == [
        "the weather in weather.csv ends on 2026-07-04: the days since are taken from other years"
    ]


def at(east_m: float, north_m: float) -> str:
    lon, lat = Transformer.from_crs(EPSG, 4326, always_xy=True).transform(east_m, north_m)
    return f"{lat:.7f},{lon:.7f}"


def test_scouting_rows_in_any_order_with_other_columns(folder: Folder) -> None:
    middle, outside = at((WEST + EAST) / 2, (SOUTH + NORTH) / 2), at(EAST + 100, NORTH)
    rows = [
        f"seen,2026-07-06,{middle},Frogeye,20",
        f"HIGH,2026-07-06,{middle},other,20",
        f",2026-07-06,{middle},,20",  # counts only
        f"low,2026-07-06,{outside},,",
        f"low,2026-07-20,{middle},,",
    ]
    csv(folder.field / "scouting.csv", rows, "pressure,date,lat,lon,cause,n")
    folder.add("[planting]\ndate = 2026-05-06\n[[scouting]]\nfile = 'scouting.csv'")
    found = read.field(folder.settings(), TODAY)
    first, second = found.sightings
    assert (first.pressure, first.cause, first.on) == ("seen", "frogeye", date(2026, 7, 6))
    assert (first.east_m, first.north_m) == pytest.approx(((WEST + EAST) / 2, (SOUTH + NORTH) / 2), abs=0.05)
    assert (second.pressure, second.cause) == ("low", "other")  # a fungicide does not reach it
    assert [note.text for note in found.notes] == [
        "scouting.csv:5: the point lies 100 m outside the boundary and is not used; check lat and lon",
        "scouting.csv:6: 2026-07-20 lies after 2026-07-08 and is not used; correct the date",
    ]
    assert found.counts == ()  # n alone says nothing of the stage


def test_every_bad_scouting_row_has_its_line_and_the_good_ones_are_used(folder: Folder) -> None:
    middle = at((WEST + EAST) / 2, (SOUTH + NORTH) / 2)
    rows = [
        f"7/6/2026,{middle},seen",
        "2026-07-06,44.3,-195,seen",
        f"2026-07-06,{middle},severe",
        f"2026-07-06,{middle},medium",
    ]
    csv(folder.field / "scouting.csv", rows, "date,lat,lon,pressure")
    folder.add("[planting]\ndate = 2026-05-06\n[[scouting]]\nfile = 'scouting.csv'")
    found = read.field(folder.settings(), TODAY)
    assert [note.text for note in found.notes] == [
        'scouting.csv:2: the date "7/6/2026" cannot be read; write it as 2026-07-06',
        'scouting.csv:3: lon "-195" is no place; write decimal degrees, as 44.305 and -95.38',
        'scouting.csv:4: pressure "severe" is not known; use low, unknown, medium, high, seen',
    ]
    assert [one.pressure for one in found.sightings] == ["medium"]


def test_a_scouting_table_without_its_columns_is_refused(folder: Folder) -> None:
    csv(folder.field / "scouting.csv", ["2026-07-06,1"], "date,n")
    folder.add("[planting]\ndate = 2026-05-06\n[[scouting]]\nfile = 'scouting.csv'")
    with pytest.raises(InputError, match="no column lat or lon") as caught:
        read.field(folder.settings(), TODAY)
    assert caught.value.code == CONTENT


def test_faults_of_all_files_come_together(folder: Folder) -> None:
    folder.add(
        "[planting]\ndate = 2021-05-06\n[[scouting]]\nfile = 's.csv'\n"
        "[[imagery]]\nfile = 'i.tif'\nbands = { red = 1, nir = 2 }\nindex = 'NDVI'\n"
        "[[layer]]\nname = 'e'\nfile = 'e.tif'"
    )
    csv(folder.path / "weather.csv", ["yesterday,1,2,3"])
    (folder.field / "e.tif").write_text("x")
    with pytest.raises(InputError) as caught:
        read.field(folder.settings(), TODAY)
    assert [fault.code for fault in caught.value.faults] == [3, 3, 2, 2, 3]
    assert caught.value.code == SETTINGS  # the lowest wins
    (folder.field / "boundary.geojson").unlink()
    with pytest.raises(InputError) as caught:
        read.field(folder.settings(), TODAY)
    text = str(caught.value)
    assert all(name in text for name in ("boundary.geojson", "weather.csv", "s.csv", "i.tif"))


def test_a_boundary_that_needs_too_many_cells(folder: Folder) -> None:
    folder.add("[planting]\ndate = 2026-05-06\n[zones]\ncell = '1 m'")
    from shapely import box

    folder.shapes(
        "boundary.geojson", [box(WEST, SOUTH, EAST, NORTH), box(WEST + 9000, SOUTH, WEST + 9100, NORTH + 900)]
    )
    with pytest.raises(InputError, match=r"the boundary needs [0-9,]+ cells of 1 m. Choose a larger cell"):
        read.field(folder.settings(), TODAY)


# -- the writer of inputs ---------------------------------------------------------------------------------


def test_the_previous_file_stays_and_nothing_is_left_over(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "scouting.csv"
    for text in ("one", "two", "three"):
        store.write_text(path, text)
    assert path.read_text() == "three"
    assert (path.parent / "scouting.csv.bak").read_text() == "two"
    assert sorted(one.name for one in path.parent.iterdir()) == ["scouting.csv", "scouting.csv.bak"]


def test_a_write_that_fails_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "done.csv"
    store.write_text(path, "old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("zoning.inputs.store.os.fsync", full)
    with pytest.raises(
        InputError, match=r"done\.csv: cannot be written \(no space left on device\)"
    ) as caught:
        store.write_text(path, "new")
    assert caught.value.code == 4
    assert path.read_text() == "old"
    assert [one.name for one in tmp_path.iterdir()] == ["done.csv"]


def test_whoever_reads_while_it_is_written_reads_the_old_file_to_its_end(tmp_path: Path) -> None:
    path = tmp_path / "done.csv"
    store.write_bytes(path, b"old " * 9)
    with path.open("rb", buffering=0) as reader:
        half = reader.read(8)
        store.write_bytes(path, b"new")
        assert half + reader.read() == b"old " * 9
    assert path.read_bytes() == b"new"


@pytest.mark.parametrize("refused_at", [1, 2, 3])
def test_files_that_belong_together_are_written_all_or_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, refused_at: int
) -> None:
    table, zones = tmp_path / "done.csv", tmp_path / "[applied]" / "zones.gpkg"
    for text in (b"first", b"old"):
        store.write_bytes(table, text)
    real, calls = Path.replace, []

    def refuse(path: Path, target: Path) -> Path:
        calls.append(target)
        if len(calls) == refused_at:
            raise OSError(30, "Read-only file system")
        return real(path, target)

    with monkeypatch.context() as patch:
        patch.setattr(Path, "replace", refuse)
        with pytest.raises(InputError, match="read-only file system"):
            store.write_all({zones: b"new", table: b"new"})
    assert table.read_bytes() == b"old"
    assert sorted(one.name for one in tmp_path.rglob("*")) == ["done.csv", "done.csv.bak"]
    store.write_all({zones: b"new", table: b"new"})
    assert (zones.read_bytes(), table.read_bytes()) == (b"new", b"new")
    assert (tmp_path / "done.csv.bak").read_bytes() == b"old"


def test_what_a_crash_left_goes_and_what_somebody_writes_stays(tmp_path: Path) -> None:
    path = tmp_path / "[north] done.csv"
    left, being_written = (tmp_path / f".{path.name}.{name}.new" for name in ("left", "held"))
    for one in (left, being_written):
        one.write_text("half")
    with held(being_written):
        store.write_text(path, "new")
    assert sorted(one.name for one in tmp_path.iterdir()) == sorted([path.name, being_written.name])


def test_a_link_stays_a_link_and_permissions_stay(tmp_path: Path) -> None:
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    real.write_text("a")
    real.chmod(0o640)
    link.symlink_to(real)
    store.write_bytes(link, b"b")
    assert link.is_symlink()
    assert real.read_text() == "b"
    assert real.stat().st_mode & 0o777 == 0o640


def test_days_after_planting_only(tmp_path: Path) -> None:
    rows = weather_rows(TODAY - timedelta(days=3), TODAY)
    found = weather.read(csv(tmp_path / "w.csv", rows), TODAY)
    assert weather.missing_days(found, TODAY - timedelta(days=3), TODAY) == ()
