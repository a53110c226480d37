"""What one row of a scout says of the stage: every form, and every fault with its line."""

from datetime import date
from pathlib import Path

import pytest
from made_inputs import EAST, EPSG, FIELD, NORTH, SOUTH, TODAY, WEST
from pyproj import Transformer

from zoning.errors import InputError
from zoning.evidence import number
from zoning.inputs.given import AtOrPast, Block, PodLength, Seen, StagedNote, Tally
from zoning.inputs.ground.boundary import Boundary
from zoning.inputs.scouting import rows

EDGE = Boundary(area=FIELD, epsg=EPSG, longitude_deg=-95.4, latitude_deg=44.3, notes=())
MIDDLE = ((WEST + EAST) / 2, (SOUTH + NORTH) / 2)


def at(east_m: float = MIDDLE[0], north_m: float = MIDDLE[1]) -> str:
    lon, lat = Transformer.from_crs(EPSG, 4326, always_xy=True).transform(east_m, north_m)
    return f"{lat:.7f},{lon:.7f}"


def read(tmp_path: Path, header: str, *rows: str, blocks: tuple[Block, ...] = ()) -> rows.Scouted:
    """Rows of the day before yesterday in the middle of the field, 20 m apart, with these further cells."""
    lines = [f"2026-07-06,{at(WEST + 15 + 20 * place)},{row}" for place, row in enumerate(rows)]
    return table(tmp_path, f"date,lat,lon,{header}", *lines, blocks=blocks)


def table(tmp_path: Path, *lines: str, blocks: tuple[Block, ...] = (), name: str = "s.csv") -> rows.Scouted:
    (tmp_path / name).write_text("\n".join(lines) + "\n")
    return rows.read(tmp_path / name, name, EDGE, TODAY, blocks=blocks)


def seen_in(found: rows.Scouted) -> list[Seen]:
    return [one.seen for one in found.counts]


@pytest.mark.parametrize(
    ("header", "row", "seen"),
    [
        ("v,r1,r2,r3,r4,r5", "1,2,3,4,5,6", Tally((1, 2, 3, 4, 5, 6))),
        ("veg,R2,R3", "2,10,8", Tally((2, 0, 10, 8, 0, 0))),
        ("Before R1,r1", "18,2", Tally((18, 2, 0, 0, 0, 0))),
        ("n,r2,r3", "20,11,4", Tally((5, 0, 11, 4, 0, 0))),  # the other 5 stood before R1
        ("n,r1", "20,0", Tally((20, 0, 0, 0, 0, 0))),
        ("r5,r6,r7,r8", "1,2,3,4", Tally((0, 0, 0, 0, 0, 10))),
        ("r2,r3", "12.0,8", Tally((0, 0, 12, 8, 0, 0))),
        ("k,stage,n", "4,r3,20", AtOrPast("R3", 4, 20)),
        ("stage,k,n", "R 1,0,20", AtOrPast("R1", 0, 20)),
        ("stage,k,n,r1,r2", "R5,20,20,,", AtOrPast("R5", 20, 20)),
        ("pod_mm", "6.5", PodLength(6.5)),
        ("pod_mm", "0", PodLength(0)),
        ("pod_in", "0.5", PodLength(12.7)),  # 0.5 x 25.4
        ("stage", "R3", StagedNote("R3")),
        ("stage,n,k", "r4,20,", StagedNote("R4")),  # a stage for all of them
        ("stage", "R7", StagedNote("R5")),  # or later
        ("stage", "V6", StagedNote("before R1")),
        ("stage", "before R1", StagedNote("before R1")),
        ("stage,node", "R3,4", StagedNote("R3")),
        ("stage,note", "R3,pod at node 2", StagedNote("R3")),
        ("stage,note", "R3,pod at node 12 from the bottom", StagedNote("R3")),
        ("stage,note", "R3,14 nodes and a pod", StagedNote("R3")),
        ("stage,pod_mm", "R3,7", PodLength(7)),  # the pod tells more
        ("stage,r2,r3", "R3,12,8", Tally((0, 0, 12, 8, 0, 0))),
    ],
)
def test_by_hand_every_form_of_a_count(tmp_path: Path, header: str, row: str, seen: Seen) -> None:
    found = read(tmp_path, header, row)
    assert seen_in(found) == [seen]
    assert found.notes == ()
    assert (found.counts[0].on, found.counts[0].source) == (date(2026, 7, 6), "s.csv:2")


@pytest.mark.parametrize(
    ("header", "row", "cells", "columns"),
    [
        ("v,r1,r2,r3", "0,0,5,11,4", 8, 7),  # which of the five is too many?
        ("severity_pct,note", "2,5,lesions", 6, 5),  # 2,5 % with a decimal comma
        ("pressure,note", "seen,lesions, many,", 7, 5),
    ],
)
def test_by_hand_a_row_wider_than_the_header_is_not_used(
    tmp_path: Path, header: str, row: str, cells: int, columns: int
) -> None:
    found = read(tmp_path, header, row, "," * (columns - 4) + ",,")  # empty cells at the end are nobody's
    assert (found.sightings, found.counts, found.remarks) == ((), (), ())
    (said,) = found.notes
    assert said.text.startswith(f"s.csv:2: the row has {cells} cells, the header {columns}, so")


@pytest.mark.parametrize(
    ("header", "row", "words"),
    [
        ("stage,k,n", "R3,22,20", "22 of 20 plants cannot be at R3 or past it; correct k or n"),
        ("n,r2,r3", "20,15,8", "the plants by stage add up to 23, more than n, 20; correct one of them"),
        ("n,v,r2", "20,2,3", "the plants by stage add up to 5, fewer than n, 20; correct one, or leave v"),
        ("r2,r3", "12,-8", 'r3 "-8" is no number of plants; write a whole number that is not negative'),
        ("r2,r3", "12,8.5", 'r3 "8.5" is no number of plants'),
        ("r2,r3", "12,nan", 'r3 "nan" is no number of plants'),
        ("r2,r3", "12,1e3", 'r3 "1e3" is no number of plants'),
        ("r2,r3", "0,0", "no plant was counted; write how many stood at each stage"),
        ("n,r2", "0,0", "no plant was counted"),
        ("stage,k,n", "R3,0,0", "no plant was counted"),
        ("r2,r3", "5000,2", "r2 is 5000 plants, more than 1000 in one count"),
        ("r2,r3", "900,900", "the sum is 1800 plants, more than 1000 in one count"),
        ("stage,k,n", ",4,20", "k is given without a stage; write which one, as R3"),
        ("stage,k", "R3,4", "4 plants, but n is missing; write of how many"),
        ("stage,k,n", "V5,4,20", "plants at V5 or past it tell too little"),
        ("stage,k,n", "R6,4,20", "plants at R6 or past it tell too little"),
        ("stage,k,n,r3", "R3,4,20,4", "the row holds plants by stage and also k of n plants; keep one"),
        ("stage", "R9", 'stage "R9" is not known; write R1 to R8, or V and a number'),
        ("stage", "flowering", 'stage "flowering" is not known'),
        ("pod_mm", "-1", 'pod_mm "-1" is no length of a pod, 0 to 100 mm; correct it or its unit'),
        ("pod_in", "6", 'pod_in "6" is no length of a pod, 0 to 100 mm'),
        ("pod_mm", "nan", 'pod_mm "nan" is no length of a pod'),
        ("pod_mm,pod_in", "5,0.2", "the pod is given in mm and in inches; keep one of them"),
        ("stage,node", "R3,top", 'node "top" is no position from the top; write 1 for the uppermost'),
        ("stage,node", "R3,0", 'node "0" is no position'),
        ("pod_mm,node", "8,6", "a pod at node 6 says nothing of the stage, only one at the 4 uppermost"),
        ("stage,k,n,node", "R3,4,20,5", "pods at node 5 make no R3, only those at the 4 uppermost nodes do"),
        ("stage,node", "R5,6", "seeds at node 6 do not tell the stage"),
        ("r3,r5,node", "5,5,6", "seeds at node 6 do not tell the stage"),
    ],
)
def test_a_count_that_cannot_be_is_named_and_the_next_row_is_used(
    tmp_path: Path, header: str, row: str, words: str
) -> None:
    good = "R2" if header.startswith("stage") else ""
    names = header if "stage" in header else f"{header},stage"
    cells = [good if name == "stage" else "" for name in names.split(",")]
    cells = cells if good else [*cells[:-1], "R2"]
    found = read(tmp_path, names, row if names == header else f"{row},", ",".join(cells))
    assert found.notes[0].text.startswith(f"s.csv:2: {words}")
    assert len(found.notes) == 1
    assert seen_in(found) == [StagedNote("R2")]


def test_published_a_pod_below_the_four_uppermost_nodes_makes_no_r3(tmp_path: Path) -> None:
    # Michigan State University, "Determining R3 growth stage in soybean": at one of the four uppermost nodes
    assert number("inputs.pod_top_nodes") == 4
    found = read(
        tmp_path,
        "stage,node,note,r2,r3,pod_mm",
        "R3,6,,,,",
        "R4,,pod at node 5,,,",
        "R3,,pods on the 6th node,,,",
        ",,pods at nodes 5 and 6,12,8,",
        "R3,7,,,,9",
        "R3,,pods at nodes 3 and 6,,,",
        "R2,6,,,,",
    )
    assert seen_in(found) == [
        StagedNote("R2"),
        StagedNote("R2"),
        StagedNote("R2"),
        Tally((0, 0, 20, 0, 0, 0)),
        StagedNote("R2"),
        StagedNote("R3"),
        StagedNote("R2"),
    ]
    texts = [note.text for note in found.notes]
    assert texts[0] == (
        "s.csv:2: a pod at node 6 makes no R3, only one at the 4 uppermost nodes does; taken as R2, look at "
        "the top nodes"
    )
    assert [text.split(":")[1] for text in texts] == ["2", "3", "4", "5", "6", "6"]
    assert "8 plants taken as R2" in texts[3]
    assert "a pod at node 7 says nothing of the stage" in texts[4]


def test_columns_in_any_order_and_case_with_other_names(tmp_path: Path) -> None:
    lat, lon = at().split(",")
    for header in (
        "N,X,R3,Day,Latitude,Observer",
        "n,LNG,r3,Time,y,OBSERVER",
        "n,long,R3,timestamp,LAT,observer",
    ):
        found = table(tmp_path, header, f"20,{lon},8,2026-07-06,{lat},AB")
        assert seen_in(found) == [Tally((12, 0, 0, 8, 0, 0))]
        assert found.counts[0].observer == "AB"
        assert (found.counts[0].east_m, found.counts[0].north_m) == pytest.approx(MIDDLE, abs=0.05)


def test_the_first_of_two_names_wins(tmp_path: Path) -> None:
    found = table(tmp_path, "time,date,lat,lon,x,stage", f"14:30,2026-07-06,{at()},7,R2")
    assert found.counts[0].on == date(2026, 7, 6)


def test_semicolons_with_decimal_commas(tmp_path: Path) -> None:
    place = at().replace(",", ";").replace(".", ",")
    found = table(tmp_path, "date;lat;lon;pod_mm", f"2026-07-06;{place};6,5")
    assert seen_in(found) == [PodLength(6.5)]


def test_pressure_and_count_in_one_row_and_each_without_the_other(tmp_path: Path) -> None:
    found = read(tmp_path, "pressure,cause,r2,r3", "seen,frogeye,12,8", "low,,,", ",,20,", "severe,,20,")
    assert [one.pressure for one in found.sightings] == ["seen", "low"]
    assert [one.source for one in found.counts] == ["s.csv:2", "s.csv:4", "s.csv:5"]
    assert [note.code for note in found.notes] == ["inputs.scouting_pressure"]
    faulty = read(tmp_path, "pressure,r2,n", "seen,30,20")
    assert [one.pressure for one in faulty.sightings] == ["seen"]
    assert (faulty.counts, len(faulty.notes)) == ((), 1)


def test_a_pressure_or_severity_without_a_date_is_one_line_and_not_used(tmp_path: Path) -> None:
    found = table(
        tmp_path,
        "date,lat,lon,pressure,severity_pct",
        f",{at()},high,",
        f" ,{at()},,4 %",
        f"soon,{at()},seen,",
        f"2026-07-06,{at()},medium,",
    )
    assert [one.pressure for one in found.sightings] == ["medium"]
    assert [note.text for note in found.notes] == [
        's.csv:2: "high" without a date is not used, as nobody knows how old it is; add it, as 2026-07-06',
        's.csv:3: "4 %" without a date is not used, as nobody knows how old it is; add it, as 2026-07-06',
        's.csv:4: the date "soon" cannot be read; write it as 2026-07-06',
    ]


def block(planted: date, west_m: float, east_m: float) -> Block:
    from shapely import box

    return Block(
        name="A",
        planted=planted,
        emerged=None,
        maturity_group=2,
        variety="",
        expected_yield_bu_ac=None,
        outline=box(west_m, SOUTH, east_m, NORTH),
        area_ac=1,
    )


def test_rows_that_are_of_another_day_or_place_are_named(tmp_path: Path) -> None:
    half = (WEST + EAST) / 2
    blocks = (block(date(2026, 4, 28), WEST, half), block(date(2026, 6, 8), half, EAST))
    found = table(
        tmp_path,
        "date,lat,lon,r2",
        f"2026-07-20,{at()},20",
        f"2026-07-06,{at(EAST + 12)},20",
        f"2026-06-01,{at(EAST - 9)},20",  # before its own block
        f"2026-06-01,{at(WEST + 9)},20",  # after its own block
        f"2026-04-27,{at(WEST + 40)},20",
        f"2025-07-06,{at()},20",  # an earlier season
        f"2025-07-07,{at()},20",
        f"7/6/2026,{at()},20",
        "2026-07-06,,-95,20",
        "2026-07-06,95,-195,20",
        f",{at()},20",
        blocks=blocks,
    )
    assert [note.text for note in found.notes] == [
        "s.csv:2: 2026-07-20 lies after 2026-07-08 and is not used; correct the date",
        "s.csv:3: the point lies 12 m outside the boundary and is not used; check lat and lon",
        "s.csv:4: 2026-06-01 is before the planting there on 2026-06-08 and is not used; correct the date",
        "s.csv:6: 2026-04-27 is before the planting there on 2026-04-28 and is not used; correct the date",
        's.csv:9: the date "7/6/2026" cannot be read; write it as 2026-07-06',
        "s.csv:10: lat (empty) is no place; write decimal degrees, as 44.305 and -95.38",
        's.csv:11: lon "-195" is no place; write decimal degrees, as 44.305 and -95.38',
        's.csv:11: lat "95" is no place; write decimal degrees, as 44.305 and -95.38',
        "s.csv:12: the date (empty) cannot be read; write it as 2026-07-06",
        "rows of s.csv from an earlier season are not used: 2",
    ]
    assert [one.source for one in found.counts] == ["s.csv:5"]


def test_a_place_on_the_other_side_of_the_world(tmp_path: Path) -> None:
    found = table(
        tmp_path, "date,lat,lon,r2", "2026-07-06,-44,85,20", "2026-07-06,0,-5,20", "2026-07-06,90,0,3"
    )
    assert [note.code for note in found.notes] == ["inputs.scouting_outside"] * 3


def test_the_larger_of_two_counts_on_one_plot_stays(tmp_path: Path) -> None:
    reach_m = number("inputs.same_plot_m")
    near, beyond = at(MIDDLE[0] + reach_m - 1), at(MIDDLE[0] + reach_m + 1)
    rows = [
        f"2026-07-06,{at()},AB,6,4",
        f"2026-07-06,{near},CD,12,8",
        f"2026-07-07,{at()},AB,6,4",  # another day
        f"2026-07-06,{at(MIDDLE[0], MIDDLE[1] + 50)},AB,6,4",
    ]
    found = table(tmp_path, "date,lat,lon,observer,r2,r3", *rows)
    assert [one.source for one in found.counts] == ["s.csv:3", "s.csv:4", "s.csv:5"]
    assert [note.text for note in found.notes] == [
        "s.csv:2: within 10 m of s.csv:3 on the same day, 2026-07-06; "
        "the larger one, or one of two alike, stays: s.csv:3"
    ]
    rows[1] = f"2026-07-06,{beyond},CD,12,8"
    assert len(table(tmp_path, "date,lat,lon,observer,r2,r3", *rows).counts) == 4


def test_of_two_counts_as_large_the_order_of_rows_decides_nothing(tmp_path: Path) -> None:
    rows = [f"2026-07-06,{at()},AB,15,5", f"2026-07-06,{at()},CD,5,15"]
    head = "date,lat,lon,observer,r2,r3"
    one, other = table(tmp_path, head, *rows), table(tmp_path, head, *reversed(rows))
    assert seen_in(one) == seen_in(other)
    assert len(one.counts) == 1


def test_of_counts_with_equal_plants_the_more_telling_form_stays(tmp_path: Path) -> None:
    rows = ["R3,,,,", ",,,,7", "R3,8,20,,", ",,20,8,"]
    lines = [f"2026-07-06,{at()},{row}" for row in rows]
    found = table(tmp_path, "date,lat,lon,stage,k,n,r3,pod_mm", *lines)
    assert seen_in(found) == [Tally((12, 0, 0, 8, 0, 0))]
    assert len(found.notes) == 3


def test_a_row_that_stands_twice_counts_once(tmp_path: Path) -> None:
    row = f"2026-07-06,{at()},seen,12,8"
    found = table(tmp_path, "date,lat,lon,pressure,r2,r3", row, row, row)
    assert (len(found.counts), len(found.sightings)) == (1, 1)
    assert [note.text for note in found.notes] == [
        f"s.csv:{line}: the row says the same as s.csv:2 and counts once; delete one of them"
        for line in (3, 4)
    ]


def test_what_two_files_hold_counts_once(tmp_path: Path) -> None:
    lines = ("date,lat,lon,pressure,r2,r3", f"2026-07-06,{at()},seen,12,8")
    parts = [table(tmp_path, *lines, name=name) for name in ("a.csv", "b.csv")]
    whole = rows.together(parts)
    assert (len(whole.counts), len(whole.sightings)) == (1, 1)
    assert [note.code for note in whole.notes] == ["inputs.count_plot"]
    assert rows.together(parts[:1]).counts == parts[0].counts
    assert rows.together(()).counts == ()


def test_a_table_with_a_fault_in_every_row_stays_readable(tmp_path: Path) -> None:
    found = read(tmp_path, "r2", *["-1"] * 18)
    assert len(found.notes) == 18
    many = table(tmp_path, "date,lat,lon,r2", *[f"2026-07-06,{at()},-{count}" for count in range(1, 51)])
    assert len(many.notes) == 21
    assert many.notes[-1].text == "further rows of s.csv with a fault of such a kind: 30; mend the first ones"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "has no rows"),
        ("date,lat,r2\n2026-07-06,44.3,20\n", "s.csv: there is no column lon"),
        ("lat,lon\n44.3,-95\n", "s.csv: there is no column date"),
        ("PK\x03\x04\0\0", "not a text table"),
    ],
)
def test_a_file_that_is_no_table_of_points(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / "s.csv").write_text(text)
    with pytest.raises(InputError, match=words) as caught:
        rows.read(tmp_path / "s.csv", "s.csv", EDGE, TODAY)
    assert caught.value.code == 3


def test_a_time_with_a_zone_is_brought_to_the_farms_clock(tmp_path: Path) -> None:
    (tmp_path / "s.csv").write_text(f"time,lat,lon,r2\n2026-07-09T02:30:00Z,{at()},20\n")
    for zone in ("America/Chicago", ""):  # 21:30 on 8 July; by longitude 20:30
        found = rows.read(tmp_path / "s.csv", "s.csv", EDGE, TODAY, zone)
        assert found.counts[0].on == date(2026, 7, 8)
    with pytest.raises(InputError, match="Chicagoo"):
        rows.read(tmp_path / "s.csv", "s.csv", EDGE, TODAY, "America/Chicagoo")
