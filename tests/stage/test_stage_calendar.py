from datetime import date, timedelta

import numpy as np
import pytest

from zoning.stage.calendar import calendar_dates, refusal
from zoning.stage.forecast import Situation, Sown, forecast, window

AMES = 42.0
# Mean day of the year of R1 and R3 by planting day, groups 2.0, 2.5, 3.0; the photothermal model over eleven
# seasons of station weather at Ames, computed by an independent script.
TABLE = {
    (4, 25): ((171.4, 185.0), (175.9, 190.6), (181.5, 197.5)),
    (5, 5): ((176.6, 190.1), (181.5, 195.8), (186.8, 202.0)),
    (5, 15): ((183.6, 196.4), (188.5, 201.8), (193.6, 207.5)),
    (5, 25): ((190.4, 202.5), (194.5, 206.9), (199.6, 212.5)),
    (6, 4): ((196.8, 208.1), (201.0, 212.6), (205.4, 217.5)),
    (6, 14): ((203.9, 214.5), (207.7, 218.8), (211.7, 222.9)),
}


def sown(planted: date, group: float = 2.5, emerged: date | None = None) -> Sown:
    return Sown(name="B", planted=planted, maturity_group=group, emerged=emerged)


def situation(**changed) -> Situation:
    usual = {
        "field": "North",
        "habit": "indeterminate",
        "latitude_deg": AMES,
        "today": date(2026, 6, 1),
        "seed": 5,
    }
    return Situation(**(usual | changed))


def doy(day: float, year: int) -> float:
    return day - date(year, 1, 1).toordinal() + 1


@pytest.mark.parametrize("planted", TABLE)
@pytest.mark.parametrize(("column", "group"), [(0, 2.0), (1, 2.5), (2, 3.0)])
def test_witness_calendar_table(planted, column, group):
    dates = calendar_dates(sown(date(2026, *planted), group), AMES)
    assert (doy(dates.r1_day, 2026), doy(dates.r3_day, 2026)) == pytest.approx(
        TABLE[planted][column], abs=0.01
    )


def test_by_hand_between_rows_and_columns():
    # half way between 5 and 15 May, group 2.25: (190.1 + 195.8 + 196.4 + 201.8)/4 = 196.025
    assert doy(calendar_dates(sown(date(2026, 5, 10), 2.25), AMES).r3_day, 2026) == pytest.approx(196.025)


def test_by_hand_first_seed_and_the_window():
    # 25 April: R5 16.3 d after R3, so R4 .55 x 16.3 = 8.97 d after it; 14 June: .55 x 11.9 = 6.5 d
    early, late = (calendar_dates(sown(date(2026, *day)), AMES) for day in ((4, 25), (6, 14)))
    assert early.r5_day - early.r3_day == pytest.approx(16.3)
    assert late.r5_day - late.r3_day == pytest.approx(11.9)
    told = forecast([sown(date(2026, 4, 25)), sown(date(2026, 6, 14))], None, situation())
    lengths = [float(np.mean(stage.of("R4") - stage.of("R3"))) for stage in told.stages]
    assert lengths == pytest.approx([8.965, 6.545], abs=1e-6)


def test_by_hand_leap_year_keeps_month_and_day():
    # Days after planting are those of the table whether or not a 29 February went before.
    usual, leap = (calendar_dates(sown(date(year, 5, 15)), AMES) for year in (2027, 2028))
    after = date(2028, 5, 15).toordinal() - date(2027, 5, 15).toordinal()
    assert leap.r3_day - usual.r3_day == pytest.approx(after)


@pytest.mark.parametrize(
    "planted", [date(2026, 10, 25), date(2026, 11, 20), date(2028, 10, 25), date(2026, 12, 14)]
)
def test_by_hand_south_is_half_a_year_away(planted):
    # 25 October is 183 days after 25 April of a common year, 14 December 183 after 14 June.
    north = planted - timedelta(days=183)
    there = calendar_dates(sown(planted), -38.5)
    here = calendar_dates(sown(north), 38.5)
    assert there.r3_day - planted.toordinal() == pytest.approx(here.r3_day - north.toordinal(), abs=0.6)


def test_by_hand_observed_emergence_moves_the_dates():
    # Table: 8.0 d to emergence for 5 May. Seen on day 13, 5 d late: R1 .7 x 5 = 3.5, R3 .6 x 5 = 3.0 d later.
    usual = calendar_dates(sown(date(2026, 5, 5)), AMES)
    late = calendar_dates(sown(date(2026, 5, 5), emerged=date(2026, 5, 18)), AMES)
    assert late.r1_day - usual.r1_day == pytest.approx(3.5)
    assert late.r3_day - usual.r3_day == pytest.approx(3.0)


@pytest.mark.parametrize(
    ("planted", "group", "latitude", "said"),
    [
        (date(2026, 4, 24), 2.5, 42.0, "planting on 2026-04-24 is outside 25 April to 14 June"),
        (date(2026, 6, 15), 2.5, 42.0, "planting on 2026-06-15"),
        (date(2026, 5, 5), 1.9, 42.0, "maturity group 1.9 is outside 2 to 3"),
        (date(2026, 5, 5), 3.1, 42.0, "maturity group 3.1"),
        (date(2026, 5, 5), 2.5, 37.9, "latitude 37.9 is outside 38 to 46"),
        (date(2026, 5, 5), 2.5, -42.0, "outside 25 October to 14 December"),
    ],
)
def test_outside_the_table_there_is_no_date(planted, group, latitude, said):
    assert said in refusal(sown(planted, group), latitude)
    with pytest.raises(ValueError, match=said):
        calendar_dates(sown(planted, group), latitude)


def test_a_block_outside_has_no_date_and_the_others_have():
    blocks = [
        Sown(name="A", planted=date(2026, 4, 1), maturity_group=2.5),
        Sown(name="B", planted=date(2026, 5, 5), maturity_group=2.5),
        Sown(name="C", planted=date(2026, 5, 5), maturity_group=4.0),
    ]
    told = forecast(blocks, None, situation())
    assert [stage is None for stage in told.stages] == [True, False, True]
    assert [note.code for note in told.notes] == ["stage.calendar", "stage.no_date", "stage.no_date"]
    assert "block A" in told.notes[1].text
    assert "maturity group 4 is outside 2 to 3" in told.notes[2].text


@pytest.mark.parametrize(("latitude", "planted"), [(42.0, date(2026, 5, 5)), (-42.0, date(2026, 11, 4))])
def test_calendar_draws_have_an_sd_of_seven_days(latitude, planted):
    sds, likely = [], []
    for seed in range(40):
        told = forecast([sown(planted)], None, situation(seed=seed, latitude_deg=latitude))
        assert [note.code for note in told.notes] == ["stage.calendar"]
        sds.append(window(told.stages[0]).sd_d)
        likely.append(told.stages[0].of("R3").mean())
    assert np.mean(sds) == pytest.approx(7.0, abs=0.1)
    assert np.mean(likely) == pytest.approx(calendar_dates(sown(planted), latitude).r3_day, abs=1e-6)
    assert told.weather_years == ()


def test_calendar_seasons_are_shared_by_fields():
    one, other = (
        forecast([sown(date(2026, 5, 5))], None, situation(field=field)).stages[0].of("R3") for field in "ab"
    )
    # 49 d2 of variance; the model's are 3.8^2 = 14.44; shared are the season's 49 - 14.44 = 34.56 and the
    # variety's fifth of 14.44, 2.89: 37.45/49 = .76
    assert np.corrcoef(one, other)[0, 1] == pytest.approx(37.45 / 49, abs=0.08)
