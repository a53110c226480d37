"""What was sprayed is never planned again beyond the label, and the plan goes on from what is done."""

import json
from datetime import date
from pathlib import Path

import numpy as np
import pytest
import shapefile
import shapely
from made_inputs import reproject
from made_sprayed import LATER, PRODUCT, sprayed_farm

from zoning import field, scout, sprayed
from zoning.plan import Plan
from zoning.show.table import headline

Farm = tuple[Path, Plan]
TODAY = date(2026, 7, 8)
SPRAYED_ON = date(2026, 7, 7)
EPSG = 32615


@pytest.fixture
def farm(tmp_path: Path) -> Farm:
    """The likely R1 of block A lies before the day of the pass, those of B and C after it."""
    folder, plan = sprayed_farm(tmp_path)
    r1 = {zone.block: zone.window.r1 for zone in plan.zones if zone.window}
    assert r1["A"] <= SPRAYED_ON < min(r1["B"], r1["C"])
    return folder, plan


def record(folder: Path, zones: str = "", product: str = PRODUCT, **more: str) -> None:
    typed = sprayed.Typed(
        field="three_dates", zones=zones, end=f"{SPRAYED_ON} 18:00", product=product, **more
    )
    sprayed.record(folder, typed, today=TODAY, clock=LATER)


def planned(folder: Path) -> Plan:
    return field.run(folder / "three_dates", today=TODAY, measured_by=lambda *_, **__: lambda: None).plan


def label(folder: Path, key: str, value: str) -> None:
    path = folder / "farm.toml"
    lines = [
        f"{key} = {value}" if one.startswith(f"{key} = ") else one for one in path.read_text().splitlines()
    ]
    path.write_text("\n".join(lines) + "\n")


def test_check_strips_are_laid_where_a_pass_is_still_to_come(farm: Farm) -> None:
    folder, _ = farm
    settings = folder / "three_dates" / "field.toml"
    settings.write_text(settings.read_text() + "\n[check_strips]\npairs = 4\n")
    everywhere = planned(folder)
    record(folder, "1 2 3")
    after = planned(folder)
    of_a = {zone.zone for zone in after.zones if zone.block == "A"}
    assert of_a == {1, 2, 3}
    for plan, is_met in ((everywhere, True), (after, False)):
        on_a = [one.pair for one in plan.strips.pieces if one.kind == "strip" and one.zone in of_a]
        assert bool(on_a) is is_met
    # the swaths are the same: each strip lies a whole number of booms beside those laid before
    north_m = [
        [reproject(one.outline, 4326, EPSG).bounds[1] for one in plan.strips.strips]
        for plan in (everywhere, after)
    ]
    booms = (np.subtract.outer(*north_m) / after.strips.width_m).ravel()
    assert np.abs(booms - booms.round()).max() < 1e-3


def test_zones_sprayed_after_r1_have_had_their_pass(farm: Farm) -> None:
    folder, plan = farm
    assert [zone.action for zone in plan.zones if zone.zone in (1, 4)] == ["spray", "spray"]
    record(folder, "1 4")
    after = {zone.zone: zone for zone in planned(folder).zones}
    assert after[1].action == "skip"
    assert after[1].reason.text == "sprayed on Jul 7; a second pass is not priced here"
    assert (after[1].pass_number, after[1].spray_on, after[1].money) == (None, None, None)
    assert after[4].action == "spray", "before R1: the label allows a second application"
    assert after[2].action == "spray"


def test_by_hand_the_first_line_says_how_much_was_sprayed(farm: Farm) -> None:
    """Zones 1 to 3 have 23.3 + 5.1 + 15.2 = 43.7 acres, more than half of what is left to spray or skip."""
    folder, _ = farm
    record(folder, "1 2 3")
    first = headline(planned(folder))
    assert first.endswith("; 44 of 119 acres were sprayed already")
    assert "do not pay" not in first, "what was sprayed is no ground that does not pay"


def test_no_zone_is_sprayed_beyond_the_label_s_number(farm: Farm) -> None:
    folder, _ = farm
    record(folder, "4 5")
    label(folder, "max_applications", "1")
    after = {zone.zone: zone for zone in planned(folder).zones}
    for zone in (4, 5):
        assert after[zone].action == "skip"
        assert after[zone].reason.code == "passes.season_used"
        assert "the label as entered allows 1" in after[zone].reason.text
    assert after[1].action == "spray"


def test_nor_beyond_its_amount(farm: Farm) -> None:
    folder, _ = farm
    record(folder, "4")
    label(folder, "max_dose", '"12 fl oz/ac"')
    after = {zone.zone: zone for zone in planned(folder).zones}
    assert after[4].action == "skip"
    assert "12 fl oz/ac" in after[4].reason.text
    assert after[6].action == "spray"


def test_a_field_that_is_done_has_no_pass_and_every_file_is_written(farm: Farm) -> None:
    folder, _ = farm
    record(folder)
    label(folder, "max_applications", "1")
    made = field.run(folder / "three_dates", today=TODAY, measured_by=lambda *_, **__: lambda: None)
    assert made.plan.passes == ()
    assert {zone.action for zone in made.plan.zones} == {"skip"}
    assert headline(made.plan) == "skip all 119 acres: sprayed already"
    out = folder / "three_dates" / "out"
    field.write(made, out)
    with shapefile.Reader(str(out / "prescription.shp")) as source:
        rows = [row for row in source.records() if row["KIND"] == "ZONE"]
    assert {(row["ACTION"], row["RATE_GPA"], row["PASS"]) for row in rows} == {("SKIP", 0.0, 0)}
    assert json.loads((out / "plan.json").read_text())["passes"] == []


def test_another_product_closes_nothing_and_is_named(farm: Farm) -> None:
    folder, plan = farm
    record(folder, product="Herbicide B")
    after = planned(folder)
    assert [zone.action for zone in after.zones] == [zone.action for zone in plan.zones]
    assert [note.text for note in after.notes if note.code == "passes.other_product"] == [
        "Herbicide B was sprayed here on Jul 7: it does not count against the season's limits of Invented "
        "Fungicide A"
    ]


def test_by_hand_re_entry_is_counted_from_the_recorded_end(farm: Farm) -> None:
    """Over on 7 July at 18:00, 12 h to 8 July 06:00: the first whole day is the 9th."""
    folder, plan = farm
    one = plan.passes[0]
    record(folder, rate=f"{one.rate_gal_ac} gal/ac", wind="6 mph SW", applicator="Me", loads="2")
    answer = scout.rank(folder / "three_dates", today=TODAY, seed=0, clock=TODAY)
    told = [said.text for _, said in answer.field_notes if said.code == "passes.walk_re_entry"]
    assert told == [
        "nobody walks in before Jul 9: the re-entry interval of the pass of 2026-07-07 runs to "
        "2026-07-08 06:00"
    ]
    assert all(row.usd_today is None for row in answer.rows)


def test_tracks_of_a_recorded_pass_are_used_again(farm: Farm) -> None:
    folder, _ = farm
    label(folder, "tracks_exist", "false")
    assert not any(note.code == "offers.tracks_there" for note in planned(folder).notes)
    record(folder, product="Herbicide B", sprayer="ground rig")
    assert any(note.code == "offers.tracks_there" for note in planned(folder).notes)


def test_both_parts_of_a_sprayed_zone_that_a_new_planting_edge_cuts_are_closed(farm: Farm) -> None:
    """The east of block A turns out to be planted later: zone 1 is cut, and the label closes both parts."""
    folder, plan = farm
    record(folder, "1")
    label(folder, "max_applications", "1")
    path = folder / "three_dates" / "planting.geojson"
    whole = json.loads(path.read_text())
    (block,) = (one for one in whole["features"] if one["properties"]["planted"] == "2026-04-28")
    outline = shapely.geometry.shape(block["geometry"])
    first = next(zone for zone in plan.zones if zone.zone == 1)
    middle = first.outline.representative_point().x
    west, south, east, north = outline.bounds
    halves = [
        outline.intersection(shapely.box(*corners))
        for corners in ((west, south, middle, north), (middle, south, east, north))
    ]
    days = ("2026-04-28", "2026-05-10")
    whole["features"].remove(block)
    whole["features"] += [
        {
            "type": "Feature",
            "properties": {**block["properties"], "planted": day},
            "geometry": shapely.geometry.mapping(half),
        }
        for half, day in zip(halves, days, strict=True)
    ]
    path.write_text(json.dumps(whole))
    after = planned(folder)
    parts = [
        zone
        for zone in after.zones
        if zone.outline.intersection(first.outline).area > 1e-3 * zone.outline.area
    ]
    assert len(parts) == 2
    assert {zone.reason.code for zone in parts} == {"passes.season_used"}
    assert sum(zone.area_ac for zone in parts) == pytest.approx(first.area_ac, rel=1e-4)
    assert max(parts, key=lambda zone: zone.area_ac).zone == 1
