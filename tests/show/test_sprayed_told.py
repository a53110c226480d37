"""What `done` prints for people: what is recorded, what should be by now, what is still to come."""

from datetime import date, datetime

from zoning.errors import InputError
from zoning.inputs.given import Sprayed
from zoning.show.sprayed import DoneAnswer, OpenPass, listed_text
from zoning.words import Said

TODAY = date(2026, 7, 20)


def open_pass(number, day, zones):
    rig = {"sprayer": "rig", "rate_gal_ac": 15.0, "area_ac": 40.0, "loads": 1}
    return OpenPass(field="North", number=number, day=day, half="AM", zones=zones, **rig)


def answer(**more):
    keys = {"recorded": (), "still_open": (), "notes": (), "failures": (), "metric": False} | more
    return DoneAnswer(name="Heron Slough", today=TODAY, **keys)


def test_what_should_be_recorded_by_now_is_told_apart_from_what_comes():
    late, due = open_pass(1, date(2026, 7, 17), (1, 3)), open_pass(2, TODAY, (2,))
    coming = open_pass(3, date(2026, 7, 24), (4,))
    text = listed_text(answer(still_open=(late, due, coming)))
    waiting, later = text.split("still to come:")
    assert "no pass is recorded" in waiting
    assert "not recorded yet:" in waiting
    assert "pass 1, zones 1, 3: planned for Jul 17 AM, 3 days ago" in " ".join(waiting.split())
    assert "pass 2, zone 2: planned for Jul 20 AM, due today" in " ".join(waiting.split())
    assert "sprayworth done FARM --field FIELD --pass NUMBER" in " ".join(waiting.split())
    assert "pass 3, zone 4: planned for Jul 24 AM" in " ".join(later.split())
    assert "ago" not in later
    yesterday = listed_text(answer(still_open=(open_pass(1, date(2026, 7, 19), (1,)),)))
    assert "1 day ago" in yesterday
    assert "still to come" not in yesterday


def test_a_row_has_a_dash_where_nobody_wrote_anything():
    bare = Sprayed(field="North", end=datetime(2026, 7, 15), product="")  # with the end of 14 July
    written = {"pass_number": 1, "rate_gal_ac": 15.0, "sprayer": "rig", "zones": "3 1", "product": "A"}
    times = {"start": datetime(2026, 7, 16, 9), "end": datetime(2026, 7, 16, 11, 30)}
    text = listed_text(answer(recorded=(bare, Sprayed(field="North", **times, **written)), metric=True))
    first, second = (line.split() for line in text.splitlines() if "North" in line)
    assert first == ["Jul", "14", "North", "-", "all", "-", "-", "-"]
    # 15 gal/ac = 140.3 L/ha
    assert second == ["Jul", "16", "09:00–11:30", "North", "1", "1,", "3", "A", "140", "rig"]
    assert "still to come" not in text


def test_what_is_doubtful_stands_with_its_field():
    text = listed_text(answer(notes=(("North", Said("done.record_planned")),)))
    assert "- North: what stands here was planned" in text


def test_failures_are_no_part_of_the_list():
    fault = InputError("it cannot be read", where="plan.json", mend="Run again.")
    assert "plan.json" not in listed_text(answer(failures=(("South", fault),)))
