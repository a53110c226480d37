"""Hours to come from a file of their own, and hours that cannot be: another zone or unit, every third."""

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from made_inputs import TODAY, Folder

from zoning.errors import CONTENT, InputError
from zoning.inputs import read
from zoning.inputs.given import Hourly
from zoning.inputs.weather_files import hourly_doubts, hourly_files

HEADER = "time,temp_c,rh_pct,wind_m_s,rain_mm"
CHICAGO = ZoneInfo("America/Chicago")
LONGITUDE = -95.4


def swinging_c(when: datetime, warmest_h: float = 15.0, swing_c: float = 6.0) -> float:
    """A day that is warmest at a time of the day."""
    return 22 + swing_c * np.cos(2 * np.pi * (when.hour + when.minute / 60 - warmest_h) / 24)


def csv(path: Path, first: str, hours: int, step: int = 1, wind: float = 3.0, **more: float) -> Path:
    begins = datetime.fromisoformat(first)
    whens = [begins + timedelta(hours=n) for n in range(0, hours, step)]
    rows = [f"{when:%Y-%m-%d %H:%M},{swinging_c(when, **more):.1f},70,{wind},0" for when in whens]
    path.write_text("\n".join([HEADER, *rows]) + "\n")
    return path


def files(
    record: Path | None, forecast: Path | None, longitude: float | None = LONGITUDE
) -> hourly_files.Hours:
    return hourly_files.read(
        hourly_files.Asked(
            record=record, forecast=forecast, today=TODAY, clock=CHICAGO, longitude_deg=longitude
        )
    )


# -- the forecast --------------------------------------------------------------------------------------------


def test_hours_of_the_record_after_today_are_ignored_and_those_of_the_forecast_are_not(
    tmp_path: Path,
) -> None:
    today = f"{TODAY} 00:00"
    record = csv(tmp_path / "h.csv", today, 48)
    ahead = csv(tmp_path / "f.csv", today, 24 * 7, wind=4.0)
    found = files(record, ahead)
    assert found.record is not None
    assert found.forecast is not None
    assert set(found.record.day) == {TODAY.toordinal()}
    # the forecast counts only after the end of the record
    assert found.forecast.day.min() == TODAY.toordinal() + 1
    assert found.forecast.hour.size == 24 * 6
    assert found.forecast.utc_h[0] == found.record.utc_h[-1] + 1
    assert [note.code for note in found.notes] == ["inputs.hourly_later"]
    alone = files(None, ahead)
    assert alone.record is None
    assert alone.forecast is not None
    assert alone.forecast.hour.size == 24 * 7


def test_a_forecast_of_the_past_is_said(tmp_path: Path) -> None:
    old = csv(tmp_path / "f.csv", "2026-06-01 00:00", 72)
    (note,) = files(None, old).notes
    assert note.text == "f.csv holds no hour to come: it ends on 2026-06-03; give a newer one"
    record = csv(tmp_path / "h.csv", f"{TODAY} 00:00", 24)
    same = csv(tmp_path / "g.csv", f"{TODAY} 00:00", 20)
    assert [note.code for note in files(record, same).notes] == ["inputs.hourly_forecast_over"]


def test_a_field_folder_names_its_forecast(folder: Folder) -> None:
    csv(folder.path / "ahead.csv", f"{TODAY} 00:00", 24 * 3)
    folder.add("[planting]\ndate = 2026-05-06\n[weather]\nhourly_forecast = '../ahead.csv'")
    found = read.field(folder.settings(), TODAY)
    assert found.hourly is None
    assert found.hourly_forecast is not None
    assert found.hourly_forecast.hour.size == 72
    assert "../ahead.csv" in found.files


# -- another zone --------------------------------------------------------------------------------------------


def test_by_hand_times_of_utc_without_a_zone_are_refused(tmp_path: Path) -> None:
    # warmest in the hour from 15:00 in Minnesota, 20:00 in UTC; by the sun of 95.4 W (CDT less 1 h 22 min)
    # its middle, 20:30, is 19:08; usual is 14:30, so it would have to be 5 h earlier
    path = csv(tmp_path / "h.csv", "2026-06-20 00:00", 24 * 10, warmest_h=20.0)
    with pytest.raises(InputError, match=r"h\.csv: .* warmest there at about 20:00") as caught:
        files(path, None)
    assert caught.value.code == CONTENT
    assert "earlier by about 5 hours would fit" in str(caught.value)
    assert "Write the zone behind each time" in caught.value.mend
    # the same file with its zone said
    zoned = path.with_name("z.csv")
    zoned.write_text(path.read_text().replace(":00,", ":00Z,"))
    assert files(zoned, None).notes == ()


@pytest.mark.parametrize(
    ("warmest_h", "fits"), [(12, True), (14, True), (17, True), (3, False), (22, False), (9, False)]
)
def test_the_warmest_time_of_the_day(tmp_path: Path, warmest_h: float, fits: bool) -> None:
    path = csv(tmp_path / "h.csv", "2026-06-20 00:00", 24 * 10, warmest_h=warmest_h)
    if fits:
        assert files(path, None).record is not None
    else:
        with pytest.raises(InputError, match="probably in another zone"):
            files(path, None)


def test_a_wrong_time_zone_of_the_farm_is_found(tmp_path: Path) -> None:
    """Times without a zone, read by a clock on the other side of the earth."""
    path = csv(tmp_path / "h.csv", "2026-06-20 00:00", 24 * 10)
    asked = hourly_files.Asked(
        record=path, forecast=None, today=TODAY, clock=ZoneInfo("Asia/Tokyo"), longitude_deg=LONGITUDE
    )
    with pytest.raises(InputError, match="correct time_zone"):
        hourly_files.read(asked)


@pytest.mark.parametrize(
    "more",
    [
        {"hours": 24 * 4},  # too few days
        {"hours": 24 * 10, "swing_c": 1.0},  # days and nights alike
    ],
)
def test_what_cannot_be_told_is_let_through(tmp_path: Path, more: dict[str, float]) -> None:
    path = csv(tmp_path / "h.csv", "2026-06-20 00:00", warmest_h=3.0, **more)  # type: ignore[arg-type]
    assert files(path, None).record is not None
    far = csv(tmp_path / "f.csv", "2026-06-20 00:00", 24 * 10, warmest_h=3.0)
    assert files(far, None, longitude=None).record is not None  # nobody knows where the sun stands


def test_both_files_are_judged_and_all_faults_come_at_once(tmp_path: Path) -> None:
    record = csv(tmp_path / "h.csv", "2026-06-20 00:00", 24 * 10, warmest_h=3.0, wind=14.0)
    ahead = csv(tmp_path / "f.csv", f"{TODAY} 00:00", 24 * 7, warmest_h=3.0)
    with pytest.raises(InputError) as caught:
        files(record, ahead)
    assert sorted(str(fault).split(":")[0] for fault in caught.value.faults) == ["f.csv", "h.csv", "h.csv"]


def test_a_front_does_not_move_the_warmest_time() -> None:
    """A fall of 15 degrees over six days, as behind a front, beside a swing of 4."""
    first_h = datetime(2026, 6, 20, 5, tzinfo=UTC).timestamp() / 3600
    at = np.arange(24 * 7)
    local = [datetime.fromtimestamp(3600 * (first_h + n), CHICAGO) for n in at]
    swing = np.array([swinging_c(when, swing_c=4.0) for when in local])
    hours = Hourly(
        utc_h=first_h + at,
        day=np.array([when.toordinal() for when in local]),
        hour=np.array([when.hour for when in local]),
        temp_c=swing - 15 / (1 + np.exp(-(at - 80) / 10)),
        rh_pct=np.full(at.size, 70.0),
        wind_m_s=np.full(at.size, 3.0),
        rain_mm=np.zeros(at.size),
    )
    assert hourly_doubts.of_clock(hours, "h.csv", LONGITUDE) is None


def test_a_real_year_in_its_own_zone_fits_and_in_others_does_not() -> None:
    """Every week of April to September of Greensboro's typical year, as a witness."""
    pvlib = pytest.importorskip("pvlib", reason="pvlib, which carries the hours, is not installed")
    source = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
    frame, _ = pvlib.iotools.read_tmy3(source, map_variables=True, coerce_year=2001)
    begins = frame.index - timedelta(hours=1)
    first = date(2001, 4, 1).toordinal()
    verdicts: dict[int, list[bool]] = {shift: [] for shift in (0, -1, 1, -5, 5, 12)}
    for week in range(first, first + 180, 7):
        mine = np.array([week <= one.toordinal() < week + 7 for one in begins])
        stamps = np.array([one.timestamp() / 3600 for one in begins[mine]])
        for shift, seen in verdicts.items():
            hours = Hourly(
                utc_h=stamps + shift,
                day=np.array([one.toordinal() for one in begins[mine]]),
                hour=np.array([one.hour for one in begins[mine]]),
                temp_c=frame["temp_air"].to_numpy(dtype=float)[mine],
                rh_pct=frame["relative_humidity"].to_numpy(dtype=float)[mine],
                wind_m_s=frame["wind_speed"].to_numpy(dtype=float)[mine],
                rain_mm=np.zeros(stamps.size),
            )
            seen.append(hourly_doubts.of_clock(hours, "h.csv", -79.95) is None)
    assert all(verdicts[0])
    assert all(verdicts[1])
    assert all(verdicts[-1])
    assert not any(verdicts[-5] + verdicts[5] + verdicts[12])


# -- another unit, and rare hours ----------------------------------------------------------------------------


def test_wind_of_another_unit_is_refused(tmp_path: Path) -> None:
    path = csv(tmp_path / "h.csv", "2026-06-20 00:00", 24 * 6, wind=14.0)
    with pytest.raises(InputError, match=r"h\.csv: its wind is 14 m/s on average") as caught:
        files(path, None)
    assert caught.value.code == CONTENT
    assert "wind_km_h or wind_mph" in caught.value.mend
    path.write_text(path.read_text().replace("wind_m_s", "wind_km_h"))
    assert files(path, None).record is not None
    stormy = csv(tmp_path / "s.csv", "2026-06-20 00:00", 24 * 2, wind=14.0)
    assert files(stormy, None).record is not None  # two days may be stormy


@pytest.mark.parametrize(
    ("step", "told"), [(1, None), (2, "1 of 2 hours"), (3, "2 of 3 hours"), (6, "5 of 6 hours")]
)
def test_rare_hours_are_said(tmp_path: Path, step: int, told: str | None) -> None:
    found = files(csv(tmp_path / "h.csv", "2026-06-20 00:00", 24 * 8, step=step), None)
    texts = [note.text for note in found.notes]
    assert texts == [] if told is None else f"{told} are not known in h.csv" in texts[0]


def test_rare_hours_of_another_zone_are_refused_too(tmp_path: Path) -> None:
    path = csv(tmp_path / "h.csv", "2026-06-20 00:00", 24 * 8, step=3, warmest_h=3.0)
    with pytest.raises(InputError, match="probably in another zone"):
        files(path, None)


def test_a_file_with_gaps_is_not_called_rare(tmp_path: Path) -> None:
    path = csv(tmp_path / "h.csv", "2026-06-20 00:00", 24 * 8)
    lines = path.read_text().splitlines()
    path.write_text("\n".join(lines[:20] + lines[40:60] + lines[61:]) + "\n")
    assert files(path, None).notes == ()
