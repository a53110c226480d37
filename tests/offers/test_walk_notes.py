"""Nobody is sent to count plants where no pass would pay on any day."""

import shutil

from made_demo import HERON_SLOUGH, TODAY

from zoning import field

NO_MEASURE = {"measured_by": lambda *_, **__: lambda: None}


def walks(name):
    plan = field.run(HERON_SLOUGH / name, today=TODAY, seed=0, **NO_MEASURE).plan
    return plan, [note.text for note in plan.notes if note.code == "offers.unpinned"]


def test_a_field_where_nothing_can_pay_names_no_walk():
    # pressure low at 8.60 USD/bu: .99 bu/ac in mid R3 bring 8.5 USD/ac, the pass costs 30
    plan, found = walks("gravel_forty")
    assert found == []
    assert all(zone.provisional for zone in plan.zones)


def test_only_zones_that_could_pay_are_named():
    plan, found = walks("three_dates")
    named = {number for text in found for number in range(1, 9) if f" {number}" in text.split(":")[0]}
    low = {zone.zone for zone in plan.zones if zone.money.response_mean_bu_ac < 1.1}
    waiting = {zone.zone for zone in plan.zones if zone.provisional}
    assert low & waiting
    assert not named & low
    assert named <= waiting
    assert named


def test_where_money_is_known_only_the_walks_name_a_day_and_a_number_of_plants():
    plan, found = walks("three_dates")
    assert len(found) == 1
    assert "plants" not in found[0]
    assert not [note for note in plan.notes if note.code == "offers.walk"]
    assert plan.walks, "they say where to go"


def test_without_money_the_note_says_when_to_walk(tmp_path):
    shutil.copytree(HERON_SLOUGH, tmp_path / "farm", ignore=shutil.ignore_patterns("out"))
    farm_toml = tmp_path / "farm" / "farm.toml"
    before, _, after = farm_toml.read_text().partition("[money]")
    farm_toml.write_text(f"{before}[product]{after.partition('[product]')[2].partition('[carrier]')[0]}")
    plan = field.run(tmp_path / "farm" / "three_dates", today=TODAY, seed=0, **NO_MEASURE).plan
    walk = [note.text for note in plan.notes if note.code == "offers.walk"]
    assert plan.totals is None
    assert walk
    assert all("plants" in text for text in walk)
    assert not [note for note in plan.notes if note.code == "offers.unpinned"]
