"""A field's stages after counts: what moves, by how much, and what is said."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from zoning.inputs.given import AtOrPast, Tally
from zoning.stage.counted import Spot, after_counts, heard, place_of
from zoning.stage.forecast import Situation, Sown, forecast, window
from zoning.stage.likelihood import Visit, count_rules

TODAY = date(2026, 7, 10)
EARLY = Sown(name="A", planted=date(2026, 5, 2), maturity_group=2.0, variety="P20")
LATE = Sown(name="B", planted=date(2026, 5, 30), maturity_group=2.0, variety="P20")


def situation(field="North", **changed) -> Situation:
    usual = {"habit": "indeterminate", "latitude_deg": 43.0, "today": TODAY, "seed": 5}
    return Situation(field=field, **(usual | changed))


@pytest.fixture(scope="module")
def record(make_weather):
    return make_weather(date(2012, 1, 1), TODAY, mean_c=9.0, seed=3)


def listen(record, visits, *, elsewhere=(), blocks=(EARLY, LATE), where=None):
    """Two zones in the early block, one in the late; the visits are in the first zone."""
    where = where or situation()
    made = forecast(blocks, record, where)
    spots = [Spot(block=0, name="zone 1", visits=visits), Spot(block=0, name="zone 2")]
    spots.append(Spot(block=1, name="zone 3"))
    return made, *after_counts(made, blocks, spots, elsewhere, where, count_rules())


def r3(stage) -> np.ndarray:
    return stage.draws.of("R3")


def visit(day: float, seen) -> Visit:
    return Visit(day=day, seen=seen)


def noon(when: date) -> float:
    return when.toordinal() + 0.5


def test_without_counts_nothing_moves(record):
    made, stages, notes = listen(record, ())
    for stage, block in zip(stages, (0, 0, 1), strict=True):
        assert (stage.draws.begin_day == made.stages[block].begin_day).all()
        assert not stage.counted
    assert notes == ()


def test_a_count_moves_its_zone_its_neighbours_and_the_other_block(record):
    made, stages, notes = listen(record, (visit(noon(TODAY), AtOrPast("R3", 10, 20)),))
    before = [made.stages[block].of("R3").mean() for block in (0, 0, 1)]
    moved = [float(r3(stage).mean() - was) for stage, was in zip(stages, before, strict=True)]
    # half of the plants at R3: the count's variance is 1.0^2 for the staging and, with plant SD 3 d and
    # 20 / 2 plants, 3^2 x .25 / 10 / .3989^2 = 1.41; the model's 3.8^2 = 14.4 pulls with 2.41 / 16.85 = .143
    assert r3(stages[0]).mean() == pytest.approx(noon(TODAY) + 0.143 * (before[0] - noon(TODAY)), abs=0.2)
    assert [stage.counted for stage in stages] == [True, False, False]
    # shared are variety .2 and field .64 of the variance; both blocks have the same group, so the same SD
    assert moved[1] == pytest.approx(0.84 * moved[0], rel=0.03)
    assert moved[2] == pytest.approx(0.84 * moved[0], rel=0.03)
    sds = [r3(stage).std() for stage in stages]
    assert sds[0] < 2 < sds[1] < made.stages[0].of("R3").std()
    assert all(note.code == "stage.count_contradicts" for note in notes)


def test_draws_keep_their_weather_and_their_order(record):
    made, stages, _ = listen(record, (visit(noon(TODAY), AtOrPast("R3", 4, 20)),))
    before = made.blocks[0].errors.r3_d
    after = stages[0].r3_error_d
    assert (np.argsort(before, kind="stable") == np.argsort(after, kind="stable")).all()
    assert r3(stages[0]) - after == pytest.approx(made.blocks[0].r3_day, abs=1e-6)


def test_the_order_of_visits_does_not_matter(record):
    visits = (
        visit(noon(date(2026, 7, 6)), Tally((0, 6, 12, 2, 0, 0))),
        visit(noon(TODAY), AtOrPast("R3", 9, 20)),
    )
    (_, one, _), (_, other, _) = listen(record, visits), listen(record, visits[::-1])
    assert one[0].r3_error_d == pytest.approx(other[0].r3_error_d)


def test_a_count_that_contradicts_the_model_is_used_and_said(record):
    made, _, _ = listen(record, ())
    likely = window(made.stages[0]).r3_likely
    early = date.fromordinal(likely.toordinal() - 16)
    _, stages, notes = listen(record, (visit(noon(early), AtOrPast("R3", 15, 20)),))
    assert [note.code for note in notes] == ["stage.count_contradicts"]
    assert "zone 1" in notes[0].text
    assert window(stages[0].draws).r3_likely < date.fromordinal(likely.toordinal() - 10)


def test_plants_of_two_ages_are_not_averaged_to_one_date(record):
    # ten plants at R1, ten at R4: none is near the middle, and no other zone is moved
    _, stages, notes = listen(record, (visit(noon(TODAY), Tally((0, 10, 0, 0, 10, 0))),))
    _, alone, _ = listen(record, ())
    assert [note.code for note in notes] == ["stage.two_ages"]
    days = r3(stages[0])
    older, younger = np.quantile(days, [0.25, 0.75])
    assert younger - older > 8
    middle = (older + younger) / 2
    assert np.mean(np.abs(days - middle) < 1.5) < 0.1
    assert (r3(stages[1]) == r3(alone[1])).all()


def test_a_count_in_another_field_moves_only_fields_of_its_variety(record):
    there = situation(field="South")
    made = forecast([LATE], record, there)
    place = place_of(LATE, made.blocks[0], "block A", "South")
    likely = made.blocks[0].expected().r3_day
    told = heard(
        place, (visit(likely - 8, AtOrPast("R3", 10, 20)),), made.blocks[0].expected(), count_rules()
    )
    _, before, _ = listen(record, ())
    _, same, _ = listen(record, (), elsewhere=(told,))
    other_blocks = tuple(replace(block, variety="Q21") for block in (EARLY, LATE))
    _, other_before, _ = listen(record, (), blocks=other_blocks)
    _, other, _ = listen(record, (), elsewhere=(told,), blocks=other_blocks)
    moved = float(np.mean(r3(same[2]) - r3(before[2])))
    assert -3 < moved < -0.8  # a fifth of some 7 d
    assert (r3(other[2]) == r3(other_before[2])).all()
    assert not same[2].counted


def test_r1_follows_as_far_as_the_two_go_together(record):
    made, stages, _ = listen(record, (visit(noon(TODAY), AtOrPast("R3", 10, 20)),))
    moved_r3 = float(np.mean(r3(stages[0]) - made.stages[0].of("R3")))
    moved_r1 = float(np.mean(stages[0].draws.of("R1") - made.stages[0].of("R1")))
    # correlation .75, SD 3.8 d at both stages
    assert moved_r1 == pytest.approx(0.75 * moved_r3, rel=0.15)


def said_of(notes, code):
    (found,) = [note for note in notes if note.code == code]
    return found.values


def two_ages_on(day: date):
    return visit(noon(day), Tally((0, 10, 0, 0, 0, 10)))


def test_what_is_said_of_a_contradiction_are_the_dates_of_the_table(record):
    made, stages, notes = listen(record, (visit(noon(TODAY), Tally((0, 0, 0, 0, 0, 20))),))
    said = said_of(notes, "stage.count_contradicts")
    assert said["before"] == window(made.stages[0]).r3_likely
    assert said["after"] == window(stages[0].draws).r3_likely


def test_of_two_visits_to_plants_of_two_ages_the_last_is_used(record):
    days = (date(2026, 7, 1), TODAY)
    for order in (days, days[::-1]):
        _, _, notes = listen(record, tuple(two_ages_on(day) for day in order))
        assert said_of(notes, "stage.two_ages")["on"] == TODAY


def test_the_dates_of_two_ages_lean_on_the_model(record):
    """Many plants before R1 only say "not yet": the day of the younger ones is pulled to the model's."""
    made, _, notes = listen(record, (visit(noon(TODAY), Tally((10, 0, 0, 0, 0, 10))),))
    said = said_of(notes, "stage.two_ages")
    r3_day = made.blocks[0].expected().r3_day
    # plants before R1 have their R3 some 13 d or more away; the model alone would have it nearer
    assert TODAY < said["younger"] <= date.fromordinal(int(r3_day) + 10)


def test_each_zone_keeps_a_place_of_its_own(record):
    made = forecast((EARLY,), record, situation())
    spots = [Spot(block=0, name=f"zone {number}") for number in (1, 2, 3)]
    stages, _ = after_counts(made, (EARLY,), spots, (), situation(), count_rules())
    assert [stage.place.zone for stage in stages] == ["zone 1", "zone 2", "zone 3"]
    assert stages[0].draws is stages[1].draws, "the draws are shared all the same"
