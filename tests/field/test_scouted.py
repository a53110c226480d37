"""What scouts saw, from the field's files to the plan: which zone, in which words, and what moved."""

import json
import shutil
from datetime import date
from pathlib import Path
from types import SimpleNamespace

import fiona
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_offers import pinned
from shapely import Point
from shapely.geometry import shape

from zoning import field
from zoning.inputs.given import PLANT_STAGES, AtOrPast, Count, PodLength, Sighting, StagedNote, Tally
from zoning.inputs.grid import Grid
from zoning.offers.nearest import number_inside, numbers_nearest
from zoning.offers.scouted import moved, words_of, words_of_pressure
from zoning.plan import Scouted
from zoning.stage.draws import StageDraws
from zoning.words import Said

DEMO = Path(__file__).parents[2] / "demo_fields" / "heron_slough"
TODAY = date(2026, 7, 8)
R3 = date(2026, 7, 16)


def sighting(pressure, cause="", at=(0.0, 0.0)):
    return Sighting(on=TODAY, east_m=at[0], north_m=at[1], pressure=pressure, cause=cause)


def count(at):
    return Count(on=TODAY, east_m=at[0], north_m=at[1], seen=AtOrPast("R3", 4, 20), source="scouting.csv:2")


@pytest.mark.parametrize(
    ("seen", "text"),
    [
        (Tally((0, 0, 14, 6, 0, 0)), "20 plants: 14 R2, 6 R3"),
        (Tally((1, 0, 0, 0, 0, 2)), "3 plants: 1 before R1, 2 R5 or later"),
        (Tally((0, 1, 0, 0, 0, 0)), "1 plant: 1 R1"),
        (AtOrPast("R3", 4, 20), "4 of 20 at or past R3"),
        (PodLength(8.0), "longest pod 8 mm"),
        (PodLength(4.7625), "longest pod 4.8 mm"),  # 3/16 in
        (StagedNote("R2"), "R2 noted"),
        (StagedNote("before R1"), "before R1 noted"),
        (StagedNote("R5"), "R5 or later noted"),
    ],
)
def test_words_of_a_count(seen, text):
    assert words_of(seen) == text


@pytest.mark.parametrize(
    ("pressure", "cause", "text"),
    [
        ("low", "", "low"),
        ("low", "other", "low, other cause"),
        ("medium", "brown spot", "medium, brown spot"),
        ("seen", "frogeye", "frogeye seen"),
        ("seen", "", "lesions seen"),
        ("unknown", "", "pressure unknown"),
    ],
)
def test_words_of_pressure(pressure, cause, text):
    assert words_of_pressure(sighting(pressure, cause)) == text


@settings(max_examples=50, deadline=None)
@given(st.lists(st.integers(0, 400), min_size=6, max_size=6).filter(any))
def test_every_plant_of_a_tally_is_in_its_words(plants):
    text = words_of(Tally(tuple(plants)))
    total, _, rest = text.partition(": ")
    named = {part.split(" ", 1)[1]: int(part.split(" ")[0]) for part in rest.split(", ")}
    assert int(total.split(" ")[0]) == sum(named.values()) == sum(plants)
    wanted = dict(zip(PLANT_STAGES, plants, strict=True))
    assert {stage.removesuffix(" or later"): n for stage, n in named.items()} == {
        stage: n for stage, n in wanted.items() if n
    }


GRID = Grid(epsg=32615, left_m=270_000.0, top_m=4_900_000.0, cell_m=10.0, shape=(3, 4))
CELLS = np.array([[1, 1, 0, 2], [1, 1, 0, 2], [0, 0, 0, 2]], dtype=np.int16)


@pytest.mark.parametrize(
    ("east", "south", "inside", "nearest"),
    [
        (5, 5, 1, 1),
        (35, 25, 2, 2),
        (24, 15, 0, 1),  # by hand: 9 m from the middle of the cell at 15 east, 11 m from that at 35
        (26, 15, 0, 2),
        (-40, 5, 0, 1),  # off the grid
        (5, 29, 0, 1),
    ],
)
def test_by_hand_a_count_goes_to_the_nearest_zone_a_sighting_only_to_its_own(east, south, inside, nearest):
    at = (270_000.0 + east, 4_900_000.0 - south)
    assert number_inside(sighting("low", at=at), CELLS, GRID) == inside
    assert numbers_nearest([count(at)], CELLS, GRID) == (nearest,)


def test_a_field_without_zones_has_no_nearest_one():
    assert numbers_nearest([count((270_000.0, 4_900_000.0))] * 2, CELLS * 0, GRID) == (0, 0)
    assert numbers_nearest([], CELLS, GRID) == ()


def shifted(days, sd_d=0.0):
    """Draws with R3 around July 16 moved by some days; half of them early by the SD, half late."""
    begins = pinned().begin_day
    off = np.where(np.arange(len(begins)) % 2, sd_d, -sd_d)[:, None]
    return StageDraws(begins - np.median(begins[:, 2]) + R3.toordinal() + 0.5 + days + off)


def lines(zones, seen=(), of_counts=()):
    """Notes on made zones of one block: number -> days by which R3 moved, and whether it is counted."""
    known = SimpleNamespace(made=SimpleNamespace(stages=(shifted(0.0, 4.0), None)))
    zoning = SimpleNamespace(zones=[SimpleNamespace(number=number, block=0) for number in zones])
    stages = [SimpleNamespace(draws=shifted(days, sd_d), counted=own) for days, sd_d, own in zones.values()]
    return [said.text for said in moved(seen, known, zoning, stages, of_counts)]


def seen_in(zone, on=TODAY, text="20 plants: 14 R2, 6 R3"):
    return Scouted(on=on, lon=0.0, lat=0.0, zone=zone, kind="count", text=text)


def test_by_hand_a_counted_zone_says_from_where_to_where_and_why():
    # half of the draws 4 d early, half 4 d late: their SD is 4
    assert lines({1: (-4.0, 1.6, True)}, [seen_in(1)]) == [
        "zone 1: R3 likely Jul 12 instead of Jul 16, ±1.6 d, was ±4.0 (counted Jul 8, 20 plants: 14 R2, 6 R3)"
    ]
    earlier = seen_in(1, date(2026, 7, 1), "20 plants: 20 R1")
    pressure = Scouted(on=TODAY, lon=0.0, lat=0.0, zone=1, kind="pressure", text="low")
    (text,) = lines({1: (0.2, 1.5, True)}, [earlier, seen_in(2), seen_in(1), pressure])
    assert text == (
        "zone 1: R3 likely Jul 16 as before the count, ±1.5 d, was ±4.0 (counted Jul 8, 20 "
        "plants: 14 R2, 6 R3; 1 other count)"
    )


@pytest.mark.parametrize(
    ("days", "said"),
    [
        ((-2.0, -3.0), "zones 1, 2: counts made elsewhere put R3 likely 2 to 3 d earlier"),
        ((2.0, 2.0), "zones 1, 2: counts made elsewhere put R3 likely 2 d later"),
        ((-2.0, 3.0), "zones 1, 2: counts made elsewhere put R3 likely 2 d earlier to 3 d later"),
        ((1.0, 4.0), "zone 2: counts made elsewhere put R3 likely 4 d later"),
    ],
)
def test_by_hand_zones_without_a_count_are_named_together(days, said):
    (text,) = lines({1: (days[0], 3.0, False), 2: (days[1], 3.0, False)})
    assert text == f"{said} than the model alone"


def test_zones_that_hardly_move_are_not_named():
    assert lines({1: (1.0, 3.0, False), 2: (-1.0, 3.0, False)}) == []


def test_a_zone_with_plants_of_two_ages_has_no_one_day():
    ages = Said("stage.two_ages", place="zone 1", on=TODAY, share=0.5, older=TODAY, younger=R3)
    zones = {1: (-4.0, 5.0, True), 2: (-4.0, 1.6, True)}
    (text,) = lines(zones, [seen_in(1), seen_in(2)], [ages])
    assert text.startswith("zone 2:")


@pytest.fixture(scope="module")
def farm(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("shown") / "farm"
    others = [path.name for path in DEMO.iterdir() if path.is_dir() and path.name != "three_dates"]
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("out", "out.*", "strips", *others))
    sheet = "date,lat,lon,pressure,cause,v,r1,r2,r3\n"
    rows = (
        "2026-07-06,44.306080,-95.408371,seen,frogeye,,,,\n"
        "2026-07-07,44.306080,-95.408371,,,0,0,14,6\n"
        "2026-07-06,44.305990,-95.402230,low,,,,,\n"
    )
    (folder / "three_dates" / "scouting.csv").write_text(sheet + rows)
    return folder / "three_dates"


def test_the_demo_from_sheet_to_plan_layer_and_notes(farm):
    made = field.run(farm, today=TODAY, seed=3)
    plan = made.plan
    assert [(one.on.day, one.kind, one.text) for one in plan.scouting] == [
        (6, "pressure", "frogeye seen"),
        (6, "pressure", "low"),
        (7, "count", "20 plants: 14 R2, 6 R3"),
    ]
    places = [(one.lat, one.lon) for one in plan.scouting]
    wanted = [(44.306080, -95.408371), (44.305990, -95.402230), (44.306080, -95.408371)]
    assert np.abs(np.array(places) - wanted).max() < 1e-8
    outline_of = {zone.zone: zone.outline for zone in plan.zones}
    assert all(outline_of[one.zone].contains(Point(one.lon, one.lat)) for one in plan.scouting)
    assert plan.scouting[2].source.startswith("scouting.csv:3")

    out = farm / "out"
    field.write(made, out)
    written = json.loads((out / "plan.json").read_text(encoding="utf-8"))["scouting"]
    with fiona.open(out / "zones.gpkg", layer="scouting") as file:
        rows = [(shape(one.geometry), dict(one.properties)) for one in file]
    for (place, row), one in zip(rows, written, strict=True):
        assert {**row, "lon": place.x, "lat": place.y} == one

    (pinned_zone,) = [zone for zone in plan.zones if not zone.provisional]
    (note,) = [one for one in plan.notes if one.code == "offers.count_moved"]
    assert note.values["zone"] == pinned_zone.zone == plan.scouting[2].zone
    assert note.values["likely"] == pinned_zone.window.r3_likely
    assert note.values["sd"] == pinned_zone.window.sd_d < note.values["sd_before"]

    without = (farm / "scouting.csv").read_text().splitlines(keepends=True)
    (farm / "scouting.csv").write_text("".join(without[:2] + without[3:]))
    before = field.run(farm, today=TODAY, seed=3).plan
    was = {zone.zone: zone.window.r3_likely for zone in before.zones}
    assert note.values["before"] == was[pinned_zone.zone]
    assert not [one for one in before.notes if one.code.startswith("offers.count")]
    far = [
        str(zone.zone)
        for zone in plan.zones
        if zone.provisional and abs((zone.window.r3_likely - was[zone.zone]).days) > 1
    ]
    assert far
    (others,) = [one for one in plan.notes if one.code == "offers.counts_elsewhere"]
    assert others.text.split(":")[0].removeprefix("zone").removeprefix("s").strip() == ", ".join(far)
