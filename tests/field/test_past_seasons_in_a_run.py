"""season.csv through the whole run: it moves the dates, is said, and is part of what a run is made of."""

import json
import shutil
from datetime import date
from pathlib import Path

import pytest

from zoning import farm, field, scout
from zoning.checks import check
from zoning.errors import InputError
from zoning.questions import stage_of_field

DEMO = Path(__file__).parents[2] / "demo_fields" / "heron_slough"
TODAY = date(2026, 7, 8)
HEAD = "season,field,variety,r3_forecast,r3_seen\n"
FIELDS = ("three_dates", "level_eighty")
COUNT = "date,lat,lon,n,r1,r2,r3,r4\n2026-07-07,44.306080,-95.408371,20,0,15,5,0\n"


@pytest.fixture
def heron_slough(tmp_path) -> Path:
    """Two fields of the demo farm without any count, both of one variety."""
    folder = tmp_path / "farm"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("out", "out.*", "strips", "harvest*"))
    for path in folder.iterdir():
        if path.is_dir() and path.name not in FIELDS:
            shutil.rmtree(path)
    for name in FIELDS:
        settings = folder / name / "field.toml"
        text = 'variety = "P19"\n' + settings.read_text().split("[[scouting]]")[0]
        settings.write_text(text)
    return folder


def book(farm_folder: Path, *rows: str) -> None:
    (farm_folder / "season.csv").write_text(HEAD + "".join(f"{row}\n" for row in rows))


def earlier(season: int, name: str, variety: str = "P19") -> str:
    """R3 came eight days before the forecast."""
    return f"{season},{name},{variety},{season}-07-16,{season}-07-08"


def planned(folder: Path, name: str):
    return field.run(folder / name, today=TODAY, seed=3)


def moved_d(after, before) -> list[int]:
    both = zip(after.plan.zones, before.plan.zones, strict=True)
    return [(one.window.r3_likely - other.window.r3_likely).days for one, other in both]


def notes(made, code: str) -> list[str]:
    return [one.text for one in made.plan.notes if one.code == code]


def test_without_a_book_and_with_one_that_tells_nothing_a_run_is_the_same(heron_slough):
    before = planned(heron_slough, "three_dates")
    book(heron_slough)
    empty = planned(heron_slough, "three_dates")
    book(
        heron_slough,
        earlier(2026, "three_dates"),
        earlier(2025, "level_eighty", "Q21"),
        "2025,three_dates,,,",
    )
    silent = planned(heron_slough, "three_dates")
    assert field.as_object(before) == field.as_object(empty) == field.as_object(silent)
    assert json.dumps(before.provenance.as_object()) == json.dumps(silent.provenance.as_object())


def test_past_seasons_move_the_dates_and_it_is_said(heron_slough):
    before = planned(heron_slough, "three_dates")
    book(heron_slough, *(earlier(season, "three_dates") for season in (2023, 2024, 2025)))
    after = planned(heron_slough, "three_dates")
    assert all(-5 <= days <= -2 for days in moved_d(after, before))
    for zone, old in zip(after.plan.zones, before.plan.zones, strict=True):
        assert zone.window.sd_d < old.window.sd_d
        assert zone.provisional, "no past season stands for a count"
    (said,) = notes(after, "season.r3_moved")
    assert "3 past seasons of this field and variety" in said
    assert before.plan.run_id != after.plan.run_id
    assert set(after.provenance.inputs) - set(before.provenance.inputs) == {"past seasons"}
    # what was seen in another season is another input
    book(heron_slough, *(earlier(season, "three_dates") for season in (2023, 2024)))
    assert planned(heron_slough, "three_dates").plan.run_id not in (before.plan.run_id, after.plan.run_id)


def test_the_other_field_of_the_variety_moves_less(heron_slough):
    names = ("three_dates", "level_eighty")
    before = {name: planned(heron_slough, name) for name in names}
    book(heron_slough, *(earlier(season, "three_dates") for season in (2022, 2023, 2024, 2025)))
    own, other = (moved_d(planned(heron_slough, name), before[name]) for name in names)
    assert max(own) < max(other) <= 0
    assert min(other) < 0
    (said,) = notes(planned(heron_slough, "level_eighty"), "season.r3_moved")
    assert "4 past seasons of this variety" in said


def test_a_count_is_held_against_what_past_seasons_made_of_the_date(heron_slough):
    book(heron_slough, *(earlier(season, "three_dates") for season in (2023, 2024, 2025)))
    learned = planned(heron_slough, "three_dates")
    settings = heron_slough / "three_dates" / "field.toml"
    settings.write_text(settings.read_text() + '\n[[scouting]]\nfile = "counts.csv"\n')
    (heron_slough / "three_dates" / "counts.csv").write_text(COUNT)
    counted = planned(heron_slough, "three_dates")
    (zone,) = [one for one in counted.plan.zones if not one.provisional]
    was = learned.plan.zones[zone.zone - 1].window.r3_likely
    (said,) = notes(counted, "offers.count_moved") + notes(counted, "offers.count_kept")
    assert f"{was:%b} {was.day}" in said
    assert zone.window.sd_d < 2.2
    assert not notes(counted, "offers.counts_elsewhere"), "the model alone is not what the others moved from"


def test_stage_scout_and_farm_hear_the_same_past(heron_slough):
    folder = heron_slough / "three_dates"
    before = stage_of_field(folder, today=TODAY, seed=3, clock=TODAY)
    book(heron_slough, *(earlier(season, "Three Dates") for season in (2023, 2024, 2025)))
    asked = stage_of_field(folder, today=TODAY, seed=3, clock=TODAY)
    for row, old in zip(asked.rows, before.rows, strict=True):
        assert row.window.r3_likely < old.window.r3_likely
        assert not row.counted
    said = [one.text for one in asked.notes if one.code == "season.r3_moved"]
    assert said == notes(planned(heron_slough, "three_dates"), "season.r3_moved")
    ranked = scout.rank(folder, today=TODAY, seed=3, clock=TODAY)
    assert [one.text for name, one in ranked.field_notes if one.code == "season.r3_moved"] == said
    together = farm.run(heron_slough, today=TODAY, seed=3)
    by_field = {one.field: one.plan.run_id for one in together.outcomes}
    assert by_field == {name: planned(heron_slough, name).plan.run_id for name in FIELDS}


def test_what_is_wrong_in_the_book_is_said_by_its_lines(heron_slough):
    book(heron_slough, "2025,three_dates,P19,07/16/2025,2025-07-08", "25,three_dates,P19,,")
    with pytest.raises(InputError) as caught:
        planned(heron_slough, "three_dates")
    assert [str(one).split(": ")[0] for one in caught.value.faults] == ["season.csv:2", "season.csv:3"]
    assert caught.value.code == 3
    with pytest.raises(InputError) as of_farm:
        farm.run(heron_slough, today=TODAY, seed=3)
    assert str(of_farm.value) == str(caught.value), "they are the farm's, and told once"
    found = check(heron_slough, today=TODAY, clock=TODAY)
    assert [str(one) for one in found.faults] == str(caught.value).splitlines()


def test_check_names_the_seasons_of_a_field(heron_slough):
    book(heron_slough, *(earlier(season, "three_dates") for season in (2025, 2023)))
    lines = {one.field: one.found for one in check(heron_slough, today=TODAY, clock=TODAY).fields}
    assert "season.csv: seasons of this field: 2023, 2025" in lines["three_dates"]
    assert not any("season.csv" in line for line in lines["level_eighty"])
