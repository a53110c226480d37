"""Counts through the whole run: which zones move, what is said, and that other fields are heard."""

import json
import pickle
import shutil
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from zoning import farm, field
from zoning.inputs import read
from zoning.questions import stage_of_field
from zoning.seen import gather, known_of, together, told_by
from zoning.settings.read import fields_of, load
from zoning.stage.likelihood import GRID

DEMO = Path(__file__).parents[2] / "demo_fields" / "heron_slough"
TODAY = date(2026, 7, 8)
HEAD = "date,lat,lon,n,r1,r2,r3,r4\n"
EARLY_ZONE = "44.306080,-95.408371"  # in the first block of three_dates
FIELDS = ("three_dates", "level_eighty")


@pytest.fixture
def heron_slough(tmp_path) -> Path:
    """Two fields of the demo farm without any count, both of one variety."""
    folder = tmp_path / "farm"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("out", "out.*", "strips"))
    for path in folder.iterdir():
        if path.is_dir() and path.name not in FIELDS:
            shutil.rmtree(path)
    for name in FIELDS:
        settings = folder / name / "field.toml"
        text = 'variety = "P19"\n' + settings.read_text().split("[[scouting]]")[0]
        settings.write_text(text + '\n[[scouting]]\nfile = "counts.csv"\n')
        (folder / name / "counts.csv").write_text(HEAD)
    return folder


def planned(folder: Path, name: str):
    return field.run(folder / name, today=TODAY, seed=3).plan


def likely(plan) -> list[date]:
    return [zone.window.r3_likely for zone in plan.zones]


def test_a_count_pins_its_zone_and_moves_the_others(heron_slough):
    farm_toml = heron_slough / "farm.toml"  # a response that can pay, or nobody is sent to count
    farm_toml.write_text(farm_toml.read_text().replace('"pooled trials"', '"practice series"'))
    before = planned(heron_slough, "three_dates")
    assert all(zone.provisional for zone in before.zones)
    counts = heron_slough / "three_dates" / "counts.csv"
    counts.write_text(f"{HEAD}2026-07-07,{EARLY_ZONE},20,0,15,5,0\n")
    after = planned(heron_slough, "three_dates")
    (pinned,) = [zone for zone in after.zones if not zone.provisional]
    was = before.zones[pinned.zone - 1]
    # a quarter of the plants at R3: with a plant SD of 3 d the others are two days behind
    assert date(2026, 7, 8) < pinned.window.r3_likely < date(2026, 7, 13) < was.window.r3_likely
    assert pinned.window.sd_d < 2.2 < was.window.sd_d
    for zone, old in zip(after.zones, before.zones, strict=True):
        if zone.zone != pinned.zone:
            assert zone.window.r3_likely < old.window.r3_likely, "shared errors move neighbours too"
    assert before.run_id != after.run_id
    (unpinned,) = [note.text for note in after.notes if note.code == "offers.unpinned"]
    named = unpinned.split(":")[0].split("zone")[1].lstrip("s ").split(", ")
    assert str(pinned.zone) not in named
    assert set(named) <= {str(zone.zone) for zone in after.zones}


def test_a_count_moves_the_other_fields_of_the_variety(heron_slough):
    before = planned(heron_slough, "level_eighty")
    (heron_slough / "three_dates" / "counts.csv").write_text(f"{HEAD}2026-07-07,{EARLY_ZONE},20,0,15,5,0\n")
    after = planned(heron_slough, "level_eighty")
    assert before.run_id != after.run_id
    moved = [(one - other).days for one, other in zip(likely(after), likely(before), strict=True)]
    assert all(-4 <= days <= 0 for days in moved)
    assert min(moved) < 0
    assert all(zone.provisional for zone in after.zones)
    # a field of another variety hears nothing of it
    settings = heron_slough / "level_eighty" / "field.toml"
    settings.write_text(settings.read_text().replace('"P19"', '"Q21"'))
    apart = planned(heron_slough, "level_eighty")
    assert likely(apart) == likely(before)
    (heron_slough / "three_dates" / "counts.csv").write_text(HEAD)
    assert planned(heron_slough, "level_eighty").run_id == apart.run_id, "nor is it another run"


def test_farm_and_field_hear_the_same(heron_slough):
    (heron_slough / "three_dates" / "counts.csv").write_text(f"{HEAD}2026-07-07,{EARLY_ZONE},20,0,15,5,0\n")
    together = farm.run(heron_slough, today=TODAY, seed=3)
    assert {plan.field: plan.run_id for plan in together.plans} == {
        plan.field: plan.run_id for plan in (planned(heron_slough, name) for name in FIELDS)
    }


def test_a_field_that_cannot_be_read_is_named_and_stops_no_other(heron_slough):
    (heron_slough / "three_dates" / "boundary.geojson").write_text("{}")
    seen = gather([heron_slough / name for name in FIELDS], today=TODAY, clock=None, seed=3)
    assert [note.code for note in seen.notes] == ["seen.not_read"]
    assert "boundary.geojson" in seen.notes[0].text, "file and mend are said too"
    plan = planned(heron_slough, "level_eighty")
    assert any("counts of field three_dates were not used" in note.text for note in plan.notes)


def test_many_fields_that_cannot_be_read_are_one_note_that_counts_them(heron_slough):
    for number in range(1, 6):
        shutil.copytree(heron_slough / "three_dates", heron_slough / f"broken_{number}")
        (heron_slough / f"broken_{number}" / "boundary.geojson").write_text("{}")
    (heron_slough / "broken_2" / "field.toml").write_text("no settings")
    broken = [heron_slough / f"broken_{number}" for number in range(1, 6)]
    (note,) = gather(broken, today=TODAY, clock=None, seed=3).notes
    assert "fields broken_1, broken_2, broken_3 and 2 more were not used" in note.text
    (note,) = gather(broken[1:4], today=TODAY, clock=None, seed=3).notes
    assert "fields broken_2, broken_3, broken_4 were not used" in note.text
    without = heron_slough / "broken_1" / "field.toml"
    without.write_text(without.read_text().split("[[scouting]]")[0])
    (note,) = gather(broken[:2], today=TODAY, clock=None, seed=3).notes
    assert note.code == "seen.not_read", "a field without counts has none to leave out"
    assert note.values["field"] == "broken_2", "one whose settings cannot be read may have some"


def test_fields_may_be_asked_elsewhere_and_in_any_order(heron_slough):
    shutil.copytree(heron_slough / "level_eighty", heron_slough / "rest_of_it")
    (heron_slough / "a_link").symlink_to(heron_slough / "three_dates", target_is_directory=True)
    (heron_slough / "rest_of_it" / "boundary.shp").write_text("{}")
    (heron_slough / "three_dates" / "counts.csv").write_text(f"{HEAD}2026-07-07,{EARLY_ZONE},20,0,15,5,0\n")
    folders = [heron_slough / name for name in ("level_eighty", "rest_of_it", "a_link", "three_dates")]
    whole = gather(folders, today=TODAY, clock=None, seed=3)
    backwards = [told_by(one, today=TODAY, clock=None, seed=3) for one in reversed(folders)]
    parts = together(pickle.loads(pickle.dumps(tuple(reversed(backwards)))))
    assert parts.folders == whole.folders == ((heron_slough / "three_dates").resolve(),)
    assert parts.notes == whole.notes
    assert [one.place for one in parts.heard] == [one.place for one in whole.heard]
    for one, other in zip(parts.heard, whole.heard, strict=True):
        assert np.array_equal(one.log_likelihood, other.log_likelihood)


def test_bad_rows_are_named_and_the_good_ones_used(heron_slough):
    rows = (
        f"2026-07-07,{EARLY_ZONE},20,0,15,5,0\n"
        f"2026-07-07,{EARLY_ZONE},20,0,20,16,2\n"
        f"2027-07-18,{EARLY_ZONE},20,0,15,5,0\n"
        "2026-07-07,10,10,20,0,15,5,0\n"
    )
    (heron_slough / "three_dates" / "counts.csv").write_text(HEAD + rows)
    plan = planned(heron_slough, "three_dates")
    lines = [note.text for note in plan.notes if note.text.startswith("counts.csv:")]
    assert [text.split(":")[1] for text in lines] == ["3", "4", "5"]
    assert sum(not zone.provisional for zone in plan.zones) == 1


def test_the_plan_file_says_what_is_provisional(heron_slough):
    (heron_slough / "three_dates" / "counts.csv").write_text(f"{HEAD}2026-07-07,{EARLY_ZONE},20,0,15,5,0\n")
    made = field.run(heron_slough / "three_dates", today=TODAY, seed=3)
    written = json.loads(json.dumps(field.as_object(made)))
    assert sum(not zone["provisional"] for zone in written["zones"]) == 1


def renamed(folder: Path, name: str) -> None:
    settings = folder / "field.toml"
    lines = settings.read_text().splitlines()
    settings.write_text("\n".join(f'name = "{name}"' if one.startswith("name =") else one for one in lines))


def test_fields_of_one_name_are_not_taken_for_one(heron_slough):
    """Both call their first block A: the count in one is no count in the other, but is heard there."""
    level_eighty = heron_slough / "level_eighty"
    renamed(level_eighty, "Three Dates")
    (before,) = planned(heron_slough, "level_eighty").zones
    counts = heron_slough / "three_dates" / "counts.csv"
    counts.write_text(f"{HEAD}2026-07-07,{EARLY_ZONE},20,0,5,15,0\n")
    (after,) = planned(heron_slough, "level_eighty").zones
    assert after.window.r3_likely < before.window.r3_likely, "the variety is shared"
    assert after.window.sd_d > 3, "and nothing else"
    (asked,) = stage_of_field(level_eighty, today=TODAY, seed=3, clock=TODAY).rows
    assert asked.window.r3_likely == after.window.r3_likely
    by_farm = {one.field: one.plan for one in farm.run(heron_slough, today=TODAY, seed=3).outcomes}
    assert by_farm["level_eighty"].zones[0].window == after.window


def test_of_two_other_fields_of_one_name_each_is_heard_apart(heron_slough):
    shutil.copytree(heron_slough / "level_eighty", heron_slough / "rest_of_it")
    row = "2026-07-07,44.302780,-95.374240,20,0,5,15,0\n"
    for name in ("level_eighty", "rest_of_it"):
        (heron_slough / name / "counts.csv").write_text(HEAD + row)
    seen = gather(
        [heron_slough / name for name in ("level_eighty", "rest_of_it")], today=TODAY, clock=None, seed=3
    )
    assert [one.place.field for one in seen.heard] == ["Level Eighty", "Level Eighty (rest_of_it)"]


def test_a_link_to_a_field_is_no_second_field(heron_slough):
    counts = heron_slough / "three_dates" / "counts.csv"
    counts.write_text(f"{HEAD}2026-07-07,{EARLY_ZONE},20,0,5,15,0\n")
    before = planned(heron_slough, "level_eighty")
    (heron_slough / "a_link").symlink_to(heron_slough / "three_dates", target_is_directory=True)
    after = planned(heron_slough, "level_eighty")
    assert likely(after) == likely(before)
    assert after.run_id == before.run_id
    assert [one.name for one in fields_of(heron_slough)] == ["level_eighty", "three_dates"]
    folders = [heron_slough / name for name in ("a_link", "three_dates")]
    assert len(gather(folders, today=TODAY, clock=None, seed=3).heard) == 1


def test_plants_of_two_ages_tell_other_fields_nothing(heron_slough):
    before = planned(heron_slough, "level_eighty")
    counts = heron_slough / "three_dates" / "counts.csv"
    counts.write_text(f"{HEAD}2026-07-07,{EARLY_ZONE},20,10,0,0,10\n")
    assert any(note.code == "stage.two_ages" for note in planned(heron_slough, "three_dates").notes)
    after = planned(heron_slough, "level_eighty")
    assert [zone.window for zone in after.zones] == [zone.window for zone in before.zones]


def test_by_hand_a_count_is_taken_as_made_at_noon(heron_slough):
    """Half of many plants at R3: the count is likeliest where R3 begins at that noon."""
    folder = heron_slough / "three_dates"
    (folder / "counts.csv").write_text(f"{HEAD}2026-07-07,{EARLY_ZONE},1000,0,500,500,0\n")
    (one,) = gather([folder], today=TODAY, clock=None, seed=3).heard
    settings = load(folder)
    given = read.field(settings, TODAY, layers=False)
    model_day = known_of(settings, given, TODAY, 3).made.blocks[0].expected().r3_day
    likeliest_day = model_day + float(GRID[np.argmax(one.log_likelihood)])
    assert likeliest_day == pytest.approx(date(2026, 7, 7).toordinal() + 0.5, abs=0.2)


def test_no_pass_where_plants_were_seen_past_the_labels_latest_stage(heron_slough):
    settings = heron_slough / "farm.toml"
    text = settings.read_text()
    assert 'latest_stage = "R5"' in text
    settings.write_text(text.replace('latest_stage = "R5"', 'latest_stage = "R4"'))
    folder = heron_slough / "three_dates"
    with (folder / "field.toml").open("a") as file:
        file.write('\n[response]\npressure = "seen"\n')
    (folder / "counts.csv").write_text(f"{HEAD.replace('r4', 'r5')}2026-07-07,{EARLY_ZONE},20,0,0,0,20\n")
    plan = planned(heron_slough, "three_dates")
    (pinned,) = [zone for zone in plan.zones if not zone.provisional]
    assert pinned.action == "skip"
    assert any(zone.action == "spray" for zone in plan.zones), "the others are still open"
