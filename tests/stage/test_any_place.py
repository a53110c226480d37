"""Plantings at any place on any date: an answer or one line that says why not, and never a traceback.

The weather is made: a yearly wave about right for each latitude, with warm and cold spells.
"""

from collections.abc import Callable
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from zoning.errors import InputError
from zoning.inputs.given import Weather
from zoning.questions import Crop, StageAnswer, stage_of
from zoning.questions.asked import plantings
from zoning.questions.told import told
from zoning.stage.spread import Situation

GROUPS = (-2.0, -1.0, 0.5, 1.0, 2.5, 4.0, 5.0, 8.0, 10.0)
LATITUDES = (-55, -35, -15, 0, 15, 35, 45, 55, 60)
# Mean over the year and half the way from the coldest to the warmest day, by latitude; in C.
MEAN_C = {-60: 2.0, -55: 5.5, -35: 17.0, -15: 24.0, 0: 26.5, 15: 27.0, 35: 16.0, 45: 9.0, 55: 5.0, 60: 4.0}
WAVE_C = {-60: 5.0, -55: 4.5, -35: 7.0, -15: 3.0, 0: 0.8, 15: 3.0, 35: 11.0, 45: 15.0, 55: 14.0, 60: 13.0}
LAST = date(2026, 12, 31)


def climate(latitude_deg: float, first: date, last: date = LAST) -> Weather:
    """Daily weather of a latitude: 11 C from night to day, spells with an SD of 2.5 C."""
    day = np.arange(first.toordinal(), last.toordinal() + 1)
    shock = np.random.default_rng(7).normal(0, 2.5, len(day))
    spell = np.convolve(shock, 0.7 ** np.arange(12))[: len(day)] * np.sqrt(1 - 0.7**2)
    mean = np.interp(latitude_deg, list(MEAN_C), list(MEAN_C.values()))
    wave = np.interp(latitude_deg, list(WAVE_C), list(WAVE_C.values())) * (-1 if latitude_deg < 0 else 1)
    warmth = mean - wave * np.cos(2 * np.pi * (day - date(2001, 1, 20).toordinal()) / 365.25) + spell
    return Weather(day=day, tmin_c=warmth - 5.5, tmax_c=warmth + 5.5, rain_mm=np.full(len(day), np.nan))


@pytest.fixture(scope="module")
def file_of(tmp_path_factory) -> Callable[[float], Path]:
    """A weather file for a latitude, 2014 to 2026."""
    folder = tmp_path_factory.mktemp("weather")

    def written(latitude_deg: float) -> Path:
        path = folder / f"at_{latitude_deg:g}.csv"
        if not path.exists():
            known = climate(latitude_deg, date(2014, 1, 1))
            rows = [
                f"{date.fromordinal(int(day))},{low:.2f},{high:.2f}"
                for day, low, high in zip(known.day, known.tmin_c, known.tmax_c, strict=True)
            ]
            path.write_text("\n".join(["date,tmin_c,tmax_c", *rows, ""]), encoding="utf-8")
        return path

    return written


def every_month(year: int) -> tuple[date, ...]:
    return tuple(date(year, month, 5) for month in range(1, 13))


def asked(latitude_deg: float, weather: Path | None, **changed: object) -> Crop:
    values: dict[str, object] = {
        "planted": every_month(2026),
        "maturity_groups": GROUPS,
        "latitude_deg": latitude_deg,
        "habit": "indeterminate",
        "weather": weather,
    }
    return Crop(**(values | changed))  # type: ignore[arg-type]


def answer_of(crop: Crop, today: date) -> StageAnswer:
    return stage_of(crop, today=today, seed=0, clock=today)


def answered_or_told_why(crop: Crop, today: date) -> StageAnswer | None:
    """The answer, after a look at every row of it; None where there is one line a reason instead."""
    refused: InputError | None = None
    try:
        answer = answer_of(crop, today)
    except InputError as error:
        refused = error
    if refused is not None:
        assert all("\n" not in str(fault) and fault.what and fault.mend for fault in refused.faults)
        return None
    whys = [note.text for note in answer.notes if note.text.startswith("no dates for")]
    assert len(answer.rows) == len(crop.planted) * len(crop.maturity_groups)
    for row in answer.rows:
        if row.window is None:
            when = f"{row.planted:%b} {row.planted.day}"
            group = f"{row.maturity_group:g}"
            of_day = [why.split(":")[0] for why in whys if f"the planting of {when}," in why]
            assert any(group in why.replace(",", "").split() for why in of_day), (when, group)
            continue
        found = row.window
        assert row.planted + timedelta(days=15) < found.r1 < found.r3_likely < found.closes
        assert found.r3_early <= found.r3_likely <= found.r3_late
        assert (found.r3_likely - row.planted).days <= 190
        assert 1 < found.sd_d < 30  # in autumn and winter nobody knows
    return answer


@pytest.mark.parametrize("latitude_deg", LATITUDES)
@pytest.mark.parametrize(
    ("year", "today"), [(2025, LAST), (2026, date(2026, 7, 8)), (2027, date(2026, 7, 8))]
)
def test_every_month_and_group_is_answered_or_told_why(file_of, latitude_deg, year, today):
    crop = asked(latitude_deg, file_of(latitude_deg), planted=every_month(year))
    answer = answered_or_told_why(crop, today)
    if answer is None:
        assert abs(latitude_deg) >= 55  # elsewhere something grows
        return
    codes = {note.code for note in answer.notes}
    assert "stage.group_unseen" in codes
    assert ("stage.latitude_unseen" in codes) == (not 29.6 <= abs(latitude_deg) <= 45.6)
    if abs(latitude_deg) <= 15:
        assert all(row.window is not None for row in answer.rows)


@pytest.mark.parametrize("latitude_deg", LATITUDES[1:])
def test_a_later_planting_never_comes_to_r3_earlier_in_the_same_weather(file_of, latitude_deg):
    planted = tuple(date(2025, 1, 3) + timedelta(days=15 * step) for step in range(24))
    crop = asked(latitude_deg, file_of(latitude_deg), planted=planted, maturity_groups=(-1.0, 2.5, 6.0))
    answer = answer_of(crop, LAST)
    compared = 0
    for group in crop.maturity_groups:
        windows = [row.window for row in answer.rows if row.maturity_group == group and row.window]
        for before, after in pairwise(windows):
            compared += 1
            for name in ("r1", "r3_early", "r3_likely", "r3_late", "closes"):
                assert getattr(before, name) <= getattr(after, name)
    assert compared >= (1 if latitude_deg >= 55 else 15)


def test_what_grows_where_people_grow_it(file_of):
    # spring plantings of the groups of each latitude all get dates, in July and August in the north, in
    # January to March in the south, across New Year
    north = answer_of(
        asked(45, file_of(45), planted=(date(2026, 5, 5),), maturity_groups=(0.0, 1.0, 2.0)), LAST
    )
    assert {row.window.r3_likely.month for row in north.rows} <= {7, 8}
    south = answer_of(
        asked(-35, file_of(-35), planted=(date(2025, 11, 5), date(2025, 12, 5)), maturity_groups=(4.0, 5.0)),
        LAST,
    )
    assert {row.window.r3_likely.year for row in south.rows} == {2026}
    assert {row.window.r3_likely.month for row in south.rows} <= {1, 2, 3}


def test_a_planting_that_would_lie_through_a_winter_gets_no_date_and_stops_no_other(file_of):
    crop = asked(45, file_of(45), planted=(date(2025, 5, 5), date(2025, 12, 5)), maturity_groups=(1.0,))
    answer = answer_of(crop, LAST)
    assert [row.window is not None for row in answer.rows] == [True, False]
    said = [note.text for note in answer.notes if note.code == "questions.too_long"]
    assert len(said) == 1
    assert "the planting of Dec 5" in said[0]


def test_a_group_that_does_not_get_there_stops_no_other(file_of):
    crop = asked(45, file_of(45), planted=(date(2026, 5, 5), date(2026, 7, 20)), maturity_groups=(0.0, 9.0))
    answer = answer_of(crop, date(2026, 7, 25))
    assert answer.rows[0].window is not None
    assert answer.rows[3].window is None
    said = [note.text for note in answer.notes if note.code == "questions.no_dates"]
    assert any("Jul 20" in text and "9" in text and "it does not come to R" in text for text in said)


def test_the_other_rows_stay_as_they_are_without_the_one_that_fails(file_of):
    alone = answer_of(
        asked(45, file_of(45), planted=(date(2026, 5, 5),), maturity_groups=(1.0,)), date(2026, 7, 8)
    )
    beside = answer_of(asked(45, file_of(45), maturity_groups=(1.0, 9.0)), date(2026, 7, 8))
    of_may = [row for row in beside.rows if row.planted == date(2026, 5, 5) and row.maturity_group == 1.0]
    assert of_may[0].window == alone.rows[0].window


def test_by_hand_the_south_half_a_year_later_is_the_north():
    # the same sun and the same wave half a year away, no spells: days to R3 agree but for a day or two of
    # the year's own asymmetry
    def days_to_r3(latitude_deg: float, planted: date) -> float:
        day = np.arange(date(2023, 1, 1).toordinal(), LAST.toordinal() + 1)
        turn = 2 * np.pi * (day - date(2001, 1, 20).toordinal()) / 365.25
        warmth = 16 - 10 * (-1 if latitude_deg < 0 else 1) * np.cos(turn)
        known = Weather(day=day, tmin_c=warmth - 5, tmax_c=warmth + 6, rain_mm=day * np.nan)
        of_place = Situation(
            field="", habit="indeterminate", latitude_deg=latitude_deg, today=LAST, seed=0, draws=8
        )
        crop = asked(latitude_deg, None, planted=(planted,), maturity_groups=(3.0,))
        made = told(plantings(crop, LAST), known, of_place).blocks[0]
        assert made is not None
        return float(made.r3_day.mean()) - planted.toordinal()

    for latitude_deg in (20, 30, 40):
        north = days_to_r3(latitude_deg, date(2025, 5, 10))
        south = days_to_r3(-latitude_deg, date(2025, 5, 10) + timedelta(days=183))
        assert south == pytest.approx(north, abs=2.5)


def no_row_of(known: Weather, *gone: date) -> Weather:
    keep = ~np.isin(known.day, [day.toordinal() for day in gone])
    return Weather(
        day=known.day[keep], tmin_c=known.tmin_c[keep], tmax_c=known.tmax_c[keep], rain_mm=known.rain_mm[keep]
    )


@pytest.mark.parametrize(
    ("known", "said"),
    [
        (
            climate(52, date(2026, 6, 1)),
            "the weather file begins on 2026-06-01; give one that begins by 2026-05-05",
        ),
        (
            no_row_of(climate(52, date(2014, 1, 1)), date(2026, 5, 20), date(2026, 5, 22)),
            "2 days since planting have no temperature, the first of them 2026-05-20",
        ),
        (climate(52, date(2026, 1, 1)), "add past years to the weather file"),
        (climate(52, date(2030, 1, 1), date(2030, 1, 1)), "the weather file begins on 2030-01-01"),
        (None, "latitude 52.0 is outside 38 to 46, maturity group 0 is outside 2 to 3; add --weather FILE"),
    ],
)
def test_weather_that_does_not_reach_is_one_clear_line(known, said):
    today = date(2026, 7, 8)
    crop = asked(52, None, planted=(date(2026, 5, 5),), maturity_groups=(0.0,))
    place = Situation(field="", habit="indeterminate", latitude_deg=52, today=today, seed=0)
    found = told(plantings(crop, today), known, place)
    assert found.blocks == (None,)
    assert len(found.missing) == 1
    assert said in found.missing[0].text
    assert "the planting of May 5" in found.missing[0].text


@settings(max_examples=40, deadline=None)
@given(
    latitude_deg=st.floats(-60, 66),
    day=st.dates(date(2024, 6, 1), date(2027, 6, 30)),
    later_d=st.integers(1, 60),
    group=st.floats(-2, 10),
    today=st.dates(date(2025, 10, 1), LAST),
    emerged_d=st.none() | st.integers(0, 30),
)
def test_no_place_and_no_day_ends_in_a_traceback(latitude_deg, day, later_d, group, today, emerged_d):
    planted = (day, day + timedelta(days=later_d))
    emerged = () if emerged_d is None else tuple(one + timedelta(days=emerged_d) for one in planted)
    if emerged and max(emerged) > today:
        return
    known = climate(latitude_deg, date(2018, 1, 1), today)
    crop = asked(latitude_deg, None, planted=planted, emerged=emerged, maturity_groups=(group,))
    place = Situation(
        field="", habit="indeterminate", latitude_deg=latitude_deg, today=today, seed=1, draws=32
    )
    found = told(plantings(crop, today), known, place)
    assert sum(block is None for block in found.blocks) == len(found.missing)
    over = today > planted[1] + timedelta(days=400)
    if over and all(found.blocks):  # all of it was seen: the very same weather
        first, second = (block.stages() for block in found.blocks)
        assert (first.of("R3") <= second.of("R3")).all()
