from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from zoning.errors import InputError
from zoning.inputs.given import Weather
from zoning.stage.draws import STAGES, StageDraws
from zoning.stage.forecast import MODEL, Situation, Sown, forecast, window
from zoning.stage.phenology import MODELS, weathers
from zoning.stage.sequence import all_stages
from zoning.stage.spread import errors, model_sd_d, variety_key

TODAY = date(2026, 6, 20)


def sown(name="A", planted=date(2026, 5, 6), group=2.0, **more) -> Sown:
    return Sown(name=name, planted=planted, maturity_group=group, **more)


def situation(**changed) -> Situation:
    usual = {"field": "North", "habit": "indeterminate", "latitude_deg": 43.0, "today": TODAY, "seed": 5}
    return Situation(**(usual | changed))


@pytest.fixture(scope="module")
def record(make_weather) -> Weather:
    return make_weather(date(2012, 1, 1), TODAY, mean_c=9.0, seed=3)


def without_days(weather: Weather, *days: date) -> Weather:
    rows = ~np.isin(weather.day, [day.toordinal() for day in days])
    return replace(weather, day=weather.day[rows], tmin_c=weather.tmin_c[rows], tmax_c=weather.tmax_c[rows])


def codes(told) -> list[str]:
    return [note.code for note in told.notes]


# -- draws --------------------------------------------------------------------------------------------------


def test_draws_repeat_and_have_their_shape(record):
    blocks = [sown(), sown("B", date(2026, 5, 25))]
    one, again = (forecast(blocks, record, situation()) for _ in range(2))
    assert [stage.begin_day.shape for stage in one.stages] == [(512, len(STAGES))] * 2
    assert all((a.begin_day == b.begin_day).all() for a, b in zip(one.stages, again.stages, strict=True))
    assert one.weather_years == tuple(range(2012, 2026))
    assert codes(one) == []
    other = forecast(blocks, record, situation(seed=6))
    assert (other.stages[0].begin_day != one.stages[0].begin_day).any()


def test_another_block_or_field_changes_no_draw(record):
    alone = forecast([sown("B", date(2026, 5, 25))], record, situation()).stages[0]
    with_more = forecast([sown(), sown("B", date(2026, 5, 25)), sown("C", group=3.0)], record, situation())
    assert (with_more.stages[1].begin_day == alone.begin_day).all()
    forecast([sown()], record, situation(field="South"))
    assert (
        forecast([sown("B", date(2026, 5, 25))], record, situation()).stages[0].begin_day == alone.begin_day
    ).all()


def test_draw_i_is_the_same_past_year_in_every_block_and_field(record):
    # Less its own error, draw i is the model's day under past year i modulo 14: 14 different days, in turn.
    for field, block in (("North", sown()), ("South", sown("B", date(2026, 5, 30), 2.4))):
        where = situation(field=field)
        told = forecast([block], record, where)
        model = told.stages[0].of("R3") - errors(where, block).r3_d
        years = len(told.weather_years)
        for row in range(years):
            assert np.ptp(model[row::years]) < 1e-6
            past = told.weather_years[row]
            r3_day, r5_day = of_year(record, block, past)
            assert model[row] == pytest.approx(r3_day, abs=1e-6)
            # R5 is that of the same past year
            after = told.stages[0].of("R5") - told.stages[0].of("R3")
            assert after[row::years] == pytest.approx(r5_day - r3_day, abs=1e-6)


def of_year(record: Weather, block: Sown, past: int) -> tuple[float, float]:
    """The model by itself: this season to `TODAY`, then the same month and day of one past year."""
    seen = {int(day): row for row, day in enumerate(record.day)}
    rows, when = [], block.planted
    while when <= date(2026, 9, 30):
        rows.append(seen[(when if when <= TODAY else when.replace(year=past)).toordinal()])
        when += timedelta(days=1)
    tmin, tmax = record.tmin_c[rows][None], record.tmax_c[rows][None]
    dates = MODELS[MODEL](weathers(block.planted.toordinal(), tmin, tmax, 43.0), block)
    return float(dates.r3_day[0]), float(dates.r5_day[0])


@settings(max_examples=25, deadline=None)
@given(
    st.integers(0, 90),
    st.floats(-2, 4),
    st.floats(33, 47),
    st.sampled_from(["indeterminate", "determinate"]),
    st.integers(0, 1000),
)
def test_property_stages_keep_their_order_and_r3_lasts_5_to_15_days(
    make_weather, late, group, latitude, habit, seed
):
    planted = date(2026, 4, 10) + timedelta(days=late)
    weather = make_weather(date(2014, 1, 1), TODAY, mean_c=12.0)
    told = forecast(
        [sown(planted=planted, group=group)],
        weather,
        situation(latitude_deg=latitude, habit=habit, seed=seed),
    )
    days = told.stages[0].begin_day
    assert (np.diff(days, axis=1) > 0).all()
    length = told.stages[0].of("R4") - told.stages[0].of("R3")
    assert length.min() >= 5 - 1e-6
    assert length.max() <= 15 + 1e-6
    read = window(told.stages[0])
    assert read.r1 < read.r3_likely
    assert read.r3_early <= read.r3_likely <= read.r3_late
    assert 5 <= (read.closes - read.r3_likely).days <= 15


def test_by_hand_determinate_types_flower_all_at_once(record):
    stage = forecast([sown()], record, situation(habit="determinate")).stages[0]
    assert stage.of("R2") - stage.of("R1") == pytest.approx(1.0)
    usual = forecast([sown()], record, situation()).stages[0]
    # 3/13 of the way from R1 to R3
    share = (usual.of("R2") - usual.of("R1")) / (usual.of("R3") - usual.of("R1"))
    assert share == pytest.approx(3 / 13, abs=1e-6)


def test_by_hand_a_draw_of_r1_after_r3_is_moved_forward():
    r3, r5 = np.array([200.0, 200.0]), np.array([215.0, 215.0])
    stages = all_stages(np.array([203.0, 188.0]), r3, r5, "indeterminate", 1)
    assert stages.of("R1") == pytest.approx([196.0, 188.0])  # the shortest interval seen is 4 d
    assert stages.of("R4") == pytest.approx([208.25, 208.25])  # 200 + .55 x 15


def test_by_hand_r6_and_r7_follow_by_published_means():
    # means 15 and 18 d, SD a quarter of 11-20 and 9-30: 2.25 and 5.25 d, held inside
    same = np.zeros(4000)
    stages = all_stages(same + 180, same + 195, same + 210, "indeterminate", 1)
    to_r6, to_r7 = stages.of("R6") - stages.of("R5"), stages.of("R7") - stages.of("R6")
    assert (to_r6.mean(), to_r7.mean()) == pytest.approx((15.0, 18.0), abs=0.25)
    assert (to_r6.std(), to_r7.std()) == pytest.approx((2.25, 5.25), rel=0.1)
    assert (to_r6.min(), to_r6.max()) == pytest.approx((11.0, 20.0))
    assert (to_r7.min(), to_r7.max()) == pytest.approx((9.0, 30.0))


# -- errors -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("group", "habit", "sd"),
    [
        (-2.0, "indeterminate", 3.8),
        (3.0, "indeterminate", 3.8),
        (4.0, "indeterminate", 4.7),  # half way from 3.8 at III to 5.6 at V
        (5.0, "indeterminate", 5.6),
        (8.0, "indeterminate", 5.6),
        (6.0, "determinate", 6.72),
    ],
)
def test_by_hand_error_sd(group, habit, sd):
    assert model_sd_d(group, habit) == pytest.approx(sd)
    spread = [errors(situation(seed=seed, habit=habit), sown(group=group)) for seed in range(60)]
    assert np.mean([off.r3_d.std() for off in spread]) == pytest.approx(sd, rel=0.02)
    assert np.mean([off.r3_d.mean() for off in spread]) == pytest.approx(0.0, abs=1e-9)
    r1_sd = 3.8 * (1.2 if habit == "determinate" else 1.0)
    assert np.mean([off.r1_d.std() for off in spread]) == pytest.approx(r1_sd, rel=0.02)
    together = np.mean([np.corrcoef(off.r1_d, off.r3_d)[0, 1] for off in spread])
    assert together == pytest.approx(0.75, abs=0.02)


@pytest.mark.parametrize(
    ("same_field", "same_variety", "shared"),
    [(True, True, 0.84), (True, False, 0.64), (False, True, 0.2), (False, False, 0.0)],
)
def test_by_hand_parts_are_shared_by_variety_and_field(same_field, same_variety, shared):
    # of the variance .2 are the variety's, .64 the field's, .16 the block's
    found = []
    for seed in range(60):
        one = errors(situation(seed=seed), sown("A", variety="Alpha 19"))
        field, variety = "North" if same_field else "South", "alpha  19" if same_variety else "Beta 20"
        other = errors(situation(seed=seed, field=field), sown("B", variety=variety))
        found.append(np.corrcoef(one.r3_d, other.r3_d)[0, 1])
    assert np.mean(found) == pytest.approx(shared, abs=0.02)


def test_by_hand_an_unnamed_variety_is_that_of_its_group():
    assert variety_key(sown(group=1.94)) == variety_key(sown(group=1.9)) == "group 1.9"
    assert variety_key(sown(variety=" Alpha  19 ")) == "alpha 19"


# -- weather ------------------------------------------------------------------------------------------------


def test_a_warm_forecast_file_brings_r3_forward(record):
    ahead = np.arange(TODAY.toordinal() + 1, TODAY.toordinal() + 11)
    warm = replace(
        record,
        day=np.concatenate([record.day, ahead]),
        tmin_c=np.concatenate([record.tmin_c, np.full(10, 22.0)]),
        tmax_c=np.concatenate([record.tmax_c, np.full(10, 31.0)]),
        forecast_until=date.fromordinal(int(ahead[-1])),
    )
    before = forecast([sown()], record, situation()).stages[0].of("R3").mean()
    assert forecast([sown()], warm, situation()).stages[0].of("R3").mean() < before - 1


def test_observed_emergence_moves_r3(record):
    usual = forecast([sown()], record, situation()).stages[0].of("R3").mean()
    late = sown(emerged=date(2026, 5, 26))
    assert usual + 2 < forecast([late], record, situation()).stages[0].of("R3").mean() < usual + 12


def test_few_years_are_used_and_said(make_weather):
    told = forecast([sown()], make_weather(date(2023, 1, 1), TODAY), situation())
    assert told.weather_years == (2023, 2024, 2025)
    assert codes(told) == ["stage.few_years"]
    assert "weather to come: 3 (2023, 2024, 2025)" in told.notes[0].text


def test_no_complete_year_is_as_without_weather_and_said(make_weather):
    block = sown(group=2.5)
    told = forecast([block], make_weather(date(2026, 1, 1), TODAY), situation())
    bare = forecast([block], None, situation())
    assert (told.stages[0].begin_day == bare.stages[0].begin_day).all()
    assert codes(told) == ["stage.no_complete_year"]
    assert "from Jun 21 to Sep 30" in told.notes[0].text


def test_no_complete_year_and_outside_the_calendar_asks_for_past_years(make_weather):
    told = forecast([sown(group=1.2)], make_weather(date(2026, 1, 1), TODAY), situation())
    assert told.stages == (None,)
    assert codes(told) == ["stage.no_date"]
    assert "add past years to the weather file" in told.notes[0].text


def test_a_season_that_is_over_needs_no_past_year(make_weather):
    weather = make_weather(date(2026, 4, 1), date(2026, 10, 31))
    told = forecast([sown()], weather, situation(today=date(2026, 10, 31)))
    assert told.weather_years == ()
    assert codes(told) == []
    assert window(told.stages[0]).sd_d == pytest.approx(3.8, rel=0.1)


def test_a_file_that_ends_early_is_said(make_weather):
    told = forecast([sown()], make_weather(date(2012, 1, 1), date(2026, 6, 1)), situation())
    assert "stage.weather_ends" in codes(told)
    assert "2026-06-02" in told.notes[0].text


def test_a_gap_since_planting_is_one_clear_line(record):
    holed = without_days(record, date(2026, 5, 20), date(2026, 5, 21))
    with pytest.raises(InputError) as caught:
        forecast([sown()], holed, situation())
    assert "2 days since planting have no temperature, the first of them 2026-05-20" in str(caught.value)
    assert caught.value.code == 3


def test_a_gap_before_planting_does_not_matter(record):
    holed = without_days(record, date(2026, 5, 1))
    assert forecast([sown()], holed, situation()).stages[0].begin_day.shape == (512, 7)


def test_a_crop_that_does_not_get_there_names_block_and_years(make_weather):
    cold = make_weather(date(2020, 1, 1), TODAY, mean_c=2.0)
    with pytest.raises(InputError) as caught:
        forecast([sown("A", group=5.0), sown("B", group=7.0)], cold, situation(latitude_deg=50.0))
    lines = str(caught.value).splitlines()
    assert len(lines) == 2
    assert "block A" in lines[0]
    assert "block B" in lines[1]
    assert "it does not come to R3" in lines[0]
    assert "2020, 2021, 2022, 2023, 2024, 2025" in lines[0]
    assert (
        "the unit of the temperatures (a column in Celsius is called tmin_c" in lines[0]
    )  # C read as F is cold


def test_a_group_outside_the_table_is_refused(record):
    with pytest.raises(InputError, match="maturity group 11 is outside -2"):
        forecast([sown(group=11)], record, situation())


def test_no_blocks_no_forecast(record):
    assert forecast([], record, situation()).stages == ()


@pytest.mark.parametrize(
    ("group", "latitude", "expected"),
    [
        (2.0, 43.0, []),
        (1.2, 43.0, ["stage.group_unseen"]),
        (4.0, 43.0, ["stage.group_unseen"]),
        (0.0, 48.0, ["stage.latitude_unseen"]),
        (1.0, 28.0, ["stage.latitude_unseen", "stage.group_unseen"]),
    ],
)
def test_groups_and_latitudes_without_plots_are_said(record, group, latitude, expected):
    assert codes(forecast([sown(group=group)], record, situation(latitude_deg=latitude))) == expected


# -- the window ---------------------------------------------------------------------------------------------


def test_by_hand_what_is_read_of_the_draws():
    # R3 begins on one of 101 days in a row: 10, 50 and 90 % of them are 10, 50 and 90 days after the first;
    # R1 12 d before, R4 8 d after; SD of 0 ... 100 = sqrt((101^2 - 1) / 12) = 29.15
    first = date(2026, 7, 1).toordinal()
    offsets = np.array([-12.0, -9.0, 0.0, 8.0, 17.0, 32.0, 50.0])
    read = window(StageDraws(first + np.arange(101.0)[::-1, None] + offsets))
    days = [
        (when - date(2026, 7, 1)).days for when in (read.r3_early, read.r3_likely, read.r3_late, read.closes)
    ]
    assert days == [10, 50, 90, 58]
    assert (read.r1 - date(2026, 7, 1)).days == 38
    assert read.sd_d == pytest.approx(29.15, abs=0.005)


@pytest.mark.parametrize(
    ("latitude", "mean_c", "group"), [(40.0, 11.0, 3.0), (42.0, 9.5, 2.5), (45.0, 7.0, 1.5)]
)
def test_by_hand_the_window_lasts_7_to_10_days_and_is_shorter_when_late(
    make_weather, latitude, mean_c, group
):
    # Common practice, without a source: 7-10 days for plantings to mid May at 40-45 N, shorter when late,
    # never outside 5-15.
    where = situation(latitude_deg=latitude, today=date(2026, 4, 19))
    weather = make_weather(date(2010, 1, 1), date(2026, 4, 19), mean_c=mean_c)
    plantings = [date(2026, 4, 20), date(2026, 5, 1), date(2026, 5, 15), date(2026, 6, 5), date(2026, 6, 25)]
    blocks = [sown(str(index), planted, group) for index, planted in enumerate(plantings)]
    told = forecast(blocks, weather, where)
    lengths = [(stage.of("R4") - stage.of("R3")) for stage in told.stages]
    means = [float(length.mean()) for length in lengths]
    assert all(7 <= mean <= 10 for mean in means[:3])
    assert means == sorted(means, reverse=True)
    assert means[-1] < 7
    assert min(length.min() for length in lengths) >= 5 - 1e-6
    assert max(length.max() for length in lengths) <= 15 + 1e-6
    # later planting, later window
    likely = [window(stage).r3_likely for stage in told.stages]
    assert likely == sorted(likely)


def test_property_the_south_is_half_a_year_later(make_weather):
    # The same weather 183 days later: what people read moves by 183 days, within a day or so.
    half = timedelta(days=183)
    weather = make_weather(date(2012, 1, 1), TODAY, mean_c=12.0)
    mirrored = replace(weather, day=weather.day + half.days)
    north = window(forecast([sown()], weather, situation()).stages[0])
    there = situation(latitude_deg=-43.0, today=TODAY + half)
    told = forecast([sown(planted=date(2026, 5, 6) + half)], mirrored, there)
    south = window(told.stages[0])
    for name in ("r1", "r3_early", "r3_likely", "r3_late", "closes"):
        assert abs((getattr(south, name) - getattr(north, name)).days - half.days) <= 2
    assert south.sd_d == pytest.approx(north.sd_d, abs=0.5)
    assert len(told.weather_years) >= 13


def test_a_season_across_new_year_in_entre_rios(make_weather):
    today = date(2026, 12, 28)
    weather = make_weather(date(2012, 7, 1), today, mean_c=18.5, south=True)
    told = forecast(
        [sown(planted=date(2026, 11, 8), group=4.8)], weather, situation(latitude_deg=-31.9, today=today)
    )
    read = window(told.stages[0])
    assert date(2026, 12, 25) < read.r3_likely < date(2027, 2, 10)
    assert told.weather_years == tuple(range(2013, 2027))
