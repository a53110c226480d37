"""A consultant's file into the fields' own: nothing lost, nothing twice, every refusal with its reason."""

import json
import shutil
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_inputs import EAST, EPSG, FARM, NORTH, SOUTH, TODAY, WEST
from pyproj import Transformer
from shapely import box, to_geojson

from zoning.errors import SETTINGS, WORLD, InputError
from zoning.inputs import read
from zoning.inputs.area import reproject
from zoning.inputs.given import AtOrPast, Count, FieldInputs, StagedNote, Tally
from zoning.inputs.ground import boundary
from zoning.inputs.scouting import appending
from zoning.inputs.scouting.add import Added, add
from zoning.inputs.scouting.rows import read as read_rows
from zoning.settings.read import load

MILE = 1609.0


def at(east_m: float = WEST + 200, north_m: float = SOUTH + 150) -> str:
    lon, lat = Transformer.from_crs(EPSG, 4326, always_xy=True).transform(east_m, north_m)
    return f"{lat:.7f},{lon:.7f}"


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    """Two fields side by side, a mile apart."""
    whole = tmp_path / "farm"
    for place, name in enumerate(("home", "far")):
        folder = whole / name
        folder.mkdir(parents=True)
        shape = box(WEST + MILE * place, SOUTH, EAST + MILE * place, NORTH)
        geometry = json.loads(to_geojson(reproject(shape, EPSG, 4326)))
        feature = {"type": "Feature", "properties": {}, "geometry": geometry}
        (folder / "boundary.geojson").write_text(
            json.dumps({"type": "FeatureCollection", "features": [feature]})
        )
        toml = f'name = "{name.title()}"\nmaturity_group = 1.9\n[planting]\ndate = 2026-05-06\n'
        (folder / "field.toml").write_text(toml)
    (whole / "farm.toml").write_text(FARM)
    return whole


def folders(farm: Path) -> list[Path]:
    return [farm / "home", farm / "far"]


def given_of(folder: Path) -> FieldInputs:
    return read.field(load(folder), TODAY)


def snapshot(farm: Path) -> dict[str, bytes]:
    return {str(at.relative_to(farm)): at.read_bytes() for at in sorted(farm.rglob("*")) if at.is_file()}


def write(farm: Path, *lines: str, name: str = "consultant.csv") -> Path:
    path = farm.parent / name
    path.write_text("\n".join(lines) + "\n")
    return path


def twice(file: Path, farm: Path) -> Added:
    """Add, and see that a second time changes nothing."""
    first = add(file, folders(farm), TODAY)
    before = snapshot(farm)
    second = add(file, folders(farm), TODAY)
    assert snapshot(farm) == before
    assert second.rows_added == {}
    assert second.files_written == ()
    assert second.already_there == first.already_there + sum(first.rows_added.values())
    assert second.refused == first.refused
    return first


def test_points_go_to_the_field_that_holds_them_and_are_read_there(farm: Path) -> None:
    file = write(
        farm,
        "Day,Longitude,Latitude,R2,R3,lesions,Notes",
        *[
            f"2026-07-06,{','.join(reversed(at(east).split(',')))},{cells}"
            for east, cells in (
                (WEST + 50, '12,8,3,"low, wet"'),
                (WEST + MILE + 50, "20,0,,"),
                (WEST + 99, ",,2,clean"),
            )
        ],
    )
    added = twice(file, farm)
    assert added.rows_added == {"Home": 2, "Far": 1}
    assert (added.already_there, added.refused) == (0, ())
    names = {str(path.relative_to(farm.resolve())) for path in added.files_written}
    assert names == {f"{one}/{two}" for one in ("home", "far") for two in ("scouting.csv", "field.toml")}
    lat, lon = at(WEST + 50).split(",")
    assert (farm / "home" / "scouting.csv").read_text().splitlines()[:2] == [
        "date,lat,lon,r2,r3,note,lesions",
        f'2026-07-06,{lat},{lon},12,8,"low, wet",3',
    ]
    found = given_of(farm / "home")
    assert [one.seen for one in found.counts] == [Tally((0, 0, 12, 8, 0, 0))]
    assert found.notes == ()
    assert [one.seen for one in given_of(farm / "far").counts] == [Tally((0, 0, 20, 0, 0, 0))]
    assert (farm / "home" / "field.toml").read_text().endswith('\n\n[[scouting]]\nfile = "scouting.csv"\n')


def test_a_table_that_is_there_keeps_every_line_and_gets_the_new_columns(farm: Path) -> None:
    own = farm / "home" / "seen.csv"
    kept = [
        "# our own walk",
        "time;y;x;pressure;beetles",
        '2026-07-01;44,3015;-95,3920;seen;"3; or 4"',
        "",
        "2026-07-02;44,3016;-95,3921;low",
    ]
    own.write_bytes("\r\n".join(kept).encode("cp1252"))
    with (farm / "home" / "field.toml").open("a") as toml:
        toml.write("[[scouting]]\nfile = 'seen.csv'\n")
    lat, lon = at().split(",")
    file = write(farm, "date,lat,lon,time,pod_mm,beetles", f"2026-07-06,{lat},{lon},14:30,6.5,7")
    added = twice(file, farm)
    assert added.rows_added == {"Home": 1}
    assert [path.name for path in added.files_written] == ["seen.csv"]
    whole = own.read_bytes().decode()
    assert whole.count("\r\n") == whole.count("\n") == 6
    lat, lon = lat.replace(".", ","), lon.replace(".", ",")
    assert whole.splitlines() == [
        kept[0],
        kept[1] + ";pod_mm;time_2",
        kept[2] + ";;",
        "",
        kept[4] + ";;;",
        f"2026-07-06;{lat};{lon};;7;6,5;14:30",
    ]
    found = given_of(farm / "home")
    assert [one.pressure for one in found.sightings] == ["seen", "low"]
    assert [one.source for one in found.counts] == ["seen.csv:6"]
    assert (farm / "home" / "seen.csv.bak").read_bytes() == "\r\n".join(kept).encode("cp1252")


def test_what_is_there_already_is_passed_over_whatever_the_format(farm: Path) -> None:
    lat, lon = at().split(",")
    add(write(farm, "date,lat,lon,stage,k,n", f"2026-07-06,{lat},{lon},R3,4,20"), folders(farm), TODAY)
    feature = {
        "type": "Feature",
        "properties": {"date": "2026-07-06T10:00", "n": 20, "K": 4, "stage": "r3"},
        "geometry": {"type": "Point", "coordinates": [float(lon), float(lat)]},
    }
    path = farm.parent / "consultant.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": [feature, feature]}))
    waypoint = f'<wpt lat="{lat}" lon="{lon}"><time>2026-07-06T15:00:00Z</time><name>R3 4/20</name></wpt>'
    (farm.parent / "consultant.gpx").write_text(f"<gpx>{waypoint}</gpx>")
    before = snapshot(farm)
    assert add(path, folders(farm), TODAY).already_there == 2
    assert add(farm.parent / "consultant.gpx", folders(farm), TODAY).already_there == 1
    assert snapshot(farm) == before
    assert [one.seen for one in given_of(farm / "home").counts] == [AtOrPast("R3", 4, 20)]


def test_waypoints_are_written_with_the_farms_clock_and_their_words(farm: Path) -> None:
    (farm / "farm.toml").write_text(FARM + 'time_zone = "America/Chicago"\n')
    lat, lon = at().split(",")
    file = write(
        farm,
        f'<gpx><wpt lat="{lat}" lon="{lon}"><time>2026-07-07T02:30:00Z</time><name>R3</name>'
        "<desc>pod at node 6</desc></wpt></gpx>",
        name="walk.gpx",
    )
    assert twice(file, farm).rows_added == {"Home": 1}
    text = (farm / "home" / "scouting.csv").read_text()
    assert text == f"date,lat,lon,stage,note\n2026-07-06 21:30,{lat},{lon},R3,pod at node 6\n"
    found = given_of(farm / "home")
    assert [(one.on, one.seen) for one in found.counts] == [(date(2026, 7, 6), StagedNote("R2"))]


def test_a_row_wider_than_the_header_is_kept_whole_among_the_refused(farm: Path) -> None:
    file = write(farm, "date,lat,lon,note", f"2026-07-06,{at()},lesions, =many")
    added = twice(file, farm)
    assert added.rows_added == {}
    assert [line for line, _ in added.refused] == [2]
    header, row = (farm / "scouting_refused.csv").read_text().splitlines()
    assert header == "file,line,reason,date,lat,lon,note,further_cells"
    assert row.endswith(f",2026-07-06,{at()},lesions,'=many")


def test_refused_rows_are_reported_and_kept_where_they_belong(farm: Path) -> None:
    file = write(
        farm,
        "date,lat,lon,stage,k,n,reason",
        f"2026-07-06,{at()},R3,22,20,wet",
        f"2026-07-06,{at(WEST - 30)},R3,2,20,",
        f"2026-07-20,{at(WEST + MILE + 50)},R3,2,20,",
        "2026-07-06,44.3,here,R3,2,20,",
        f"2026-07-06,{at()},R3,5,20,=HYPERLINK(1)",
        f"2026-07-06,{at(WEST - 30)},R3,2,20,",  # the second line again
    )
    added = twice(file, farm)
    assert added.rows_added == {"Home": 1}
    nowhere = "the point lies in no field, 30 m from Home, the nearest; check lat and lon"
    assert added.refused == (
        (2, "22 of 20 plants cannot be at R3 or past it; correct k or n"),
        (3, nowhere),
        (4, "2026-07-20 lies after 2026-07-08 and is not used; correct the date"),
        (5, 'lon "here" is no place; write decimal degrees, as 44.305 and -95.38'),
        (7, nowhere),
    )
    home = (farm / "home" / "scouting_refused.csv").read_text().splitlines()
    assert home[0] == "file,line,reason,date,lat,lon,stage,k,n,reason_2"
    assert home[1].endswith(f",{at()},R3,22,20,wet")
    assert home[1].startswith("consultant.csv,2,22 of 20 plants")
    assert len((farm / "far" / "scouting_refused.csv").read_text().splitlines()) == 2
    assert [one.split(",")[1] for one in (farm / "scouting_refused.csv").read_text().splitlines()] == [
        "line",
        "3",
        "5",
    ]
    assert "'=HYPERLINK(1)" in (farm / "home" / "scouting.csv").read_text()
    # a day later the reasons are others, and nothing is kept twice
    before = snapshot(farm)
    add(file, folders(farm), date(2026, 7, 9))
    assert snapshot(farm) == before


@pytest.mark.parametrize(
    ("text", "cell"),
    [
        ("-95.38", "-95.38"),
        ("+4", "+4"),
        ("-3,5", "-3,5"),
        ("-", "-"),
        ("=1+1", "'=1+1"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("-1+cmd|' /C calc'!A0", "'-1+cmd|' /C calc'!A0"),
        ("R3", "R3"),
    ],
)
def test_cells_that_a_spreadsheet_would_reckon_with(text: str, cell: str) -> None:
    assert appending.plain(text) == cell
    assert appending.plain(cell) == cell


def test_a_first_cell_with_a_hash_is_no_comment() -> None:
    whole = appending.appended(b"note,date,lat,lon\n", [{"note": '#5 "tile"', "date": "2026-07-06"}], "s.csv")
    assert whole.decode().splitlines()[1] == '"#5 ""tile""",2026-07-06,,'


def test_a_table_without_rows_and_one_that_nobody_names(farm: Path) -> None:
    (farm / "home" / "scouting.csv").write_text("date,lat,lon,r3,r2\n")
    added = twice(write(farm, "date,lat,lon,r2,r3", f"2026-07-06,{at()},12,8"), farm)
    assert {path.name for path in added.files_written} == {"scouting.csv", "field.toml"}
    assert (farm / "home" / "scouting.csv").read_text().splitlines()[1] == f"2026-07-06,{at()},8,12"


def test_a_field_whose_only_list_is_waypoints_gets_a_table_beside_it(farm: Path) -> None:
    with (farm / "home" / "field.toml").open("a") as toml:
        toml.write("[[scouting]]\nfile = 'walk.gpx'\n")
    lat, lon = at(WEST + 20).split(",")
    waypoint = f'<wpt lat="{lat}" lon="{lon}"><time>2026-07-06T17:00:00Z</time><name>R2</name></wpt>'
    (farm / "home" / "walk.gpx").write_text(f"<gpx>{waypoint}</gpx>")
    file = write(farm, "date,lat,lon,stage", f"2026-07-06,{lat},{lon},R2", f"2026-07-06,{at()},R3")
    added = twice(file, farm)
    assert (added.rows_added, added.already_there) == ({"Home": 1}, 1)
    assert [one.source for one in given_of(farm / "home").counts] == ["walk.gpx:1", "scouting.csv:2"]
    text = (farm / "home" / "field.toml").read_text().split("[[scouting]]")[0]
    (farm / "home" / "field.toml").write_text("scouting = [{ file = 'walk.gpx' }]\n" + text)
    with pytest.raises(InputError, match="none of the scouting files is a CSV") as caught:
        add(write(farm, "date,lat,lon,stage", f"2026-07-05,{at()},R3"), folders(farm), TODAY)
    assert caught.value.code == SETTINGS


def test_nothing_is_written_when_something_cannot_be_read(farm: Path) -> None:
    good = write(farm, "date,lat,lon,r2", f"2026-07-06,{at()},20")
    before = snapshot(farm)
    with pytest.raises(InputError, match="there is no such file") as caught:
        add(farm / "nobody.csv", folders(farm), TODAY)
    assert caught.value.code == SETTINGS
    with pytest.raises(InputError, match="no column lon"):
        add(write(farm, "date,lat,r2", "2026-07-06,44,3", name="bad.csv"), folders(farm), TODAY)
    with pytest.raises(InputError, match="no field to add to"):
        add(good, [], TODAY)
    assert snapshot(farm) == before
    for name in ("home", "far"):
        (farm / name / "boundary.geojson").unlink()
    with pytest.raises(InputError, match=r"no file boundary\.geojson"):
        add(good, folders(farm), TODAY)
    assert not (farm / "home" / "scouting.csv").exists()


def test_a_field_that_is_not_filled_in_yet_stops_no_other(farm: Path) -> None:
    (farm / "far" / "field.toml").write_text('name = ""\nmaturity_group = ""\n', encoding="utf-8")
    file = write(farm, "date,lat,lon,r2", f"2026-07-06,{at()},20", "2026-07-06,40.0,-90.0,20")
    added = add(file, folders(farm), TODAY)
    assert added.rows_added == {"Home": 1}
    ((name, fault),) = added.failures
    assert name == "far"
    assert len(fault.faults) == 2
    ((line, reason),) = added.refused  # kept, for it may lie in the field that cannot be read
    assert line == 3
    assert reason.endswith("; or it lies in far, which cannot be read; mend that and add it again")
    assert (farm / "scouting_refused.csv").exists()


def test_a_disk_that_refuses(farm: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = write(farm, "date,lat,lon,r2", f"2026-07-06,{at()},20")
    before = snapshot(farm)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("zoning.inputs.store.os.fsync", full)
        with pytest.raises(InputError, match="no space left") as caught:
            add(file, folders(farm), TODAY)
    assert caught.value.code == WORLD
    assert snapshot(farm) == before
    assert twice(file, farm).rows_added == {"Home": 1}


def test_a_stop_between_two_files_is_mended_by_the_next_call(farm: Path) -> None:
    file = write(farm, "date,lat,lon,r2", f"2026-07-06,{at()},20")
    toml = (farm / "home" / "field.toml").read_bytes()
    add(file, folders(farm), TODAY)
    (farm / "home" / "field.toml").write_bytes(toml)  # as if stopped before it was written
    added = add(file, folders(farm), TODAY)
    assert (added.rows_added, added.already_there) == ({}, 1)
    assert [path.name for path in added.files_written] == ["field.toml"]
    assert len(given_of(farm / "home").counts) == 1


CELL = st.one_of(
    st.sampled_from(
        ["", "R3", "20", "4", "seen", "low", "-", "=A1", "#x", "'=x", "6.5", "AB", "x;y", 'a"b', "1,5"]
    ),
    st.text("abcR3 =+-@#;,'\".\t", max_size=6),
)
USUAL = {
    "pressure": ["", "seen", "low", "severe"],
    "v": ["", "0", "2"],
    "r2": ["", "0", "4", "12"],
    "r3": ["", "8", "-1"],
    "stage": ["", "R3", "r2", "V6", "late"],
    "k": ["", "", "4"],
    "n": ["", "20", "30"],
    "pod_mm": ["", "6.5", "0"],
    "node": ["", "2", "6"],
}
COLUMNS = (*USUAL, "cause", "observer", "note", "time", "more")
ROW = st.fixed_dictionaries(
    {name: st.sampled_from(USUAL[name]) if name in USUAL else CELL for name in COLUMNS}
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    names=st.lists(st.sampled_from(COLUMNS), unique=True, min_size=1, max_size=6),
    rows=st.lists(ROW, min_size=1, max_size=6),
    old=st.sampled_from(
        ["", "time;y;x;stage;more\n2026-07-01;44,3015;-95,392;R1;a\n", "date,lat,lon,note\n"]
    ),
)
def test_what_is_added_is_what_a_direct_reading_gives(
    farm: Path, names: list[str], rows: list[dict[str, str]], old: str
) -> None:
    import csv

    work = farm.parent / "work"
    shutil.rmtree(work, ignore_errors=True)
    shutil.copytree(farm, work)
    if old:
        (work / "home" / "scouting.csv").write_text(old)
    path = farm.parent / "random.csv"
    with path.open("w", newline="") as stream:
        table = csv.writer(stream)
        table.writerow(["date", "lat", "lon", *names])
        for place, row in enumerate(rows):
            table.writerow(
                ["2026-07-06", *at(WEST + 20 + 40 * place).split(","), *(row[name] for name in names)]
            )
    edge = boundary.read(work / "home" / "boundary.geojson", "boundary.geojson")
    direct = read_rows(path, "random.csv", edge, TODAY)
    added = twice(path, work)
    lost = {line for line, _ in added.refused}
    wanted = [one for one in direct.counts if int(one.source.split(":")[1]) not in lost]
    assert sum(added.rows_added.values()) + added.already_there + len(added.refused) == len(rows)
    if not added.rows_added:
        return
    stored = read_rows(work / "home" / "scouting.csv", "scouting.csv", edge, TODAY)

    def values(counts: tuple[Count, ...] | list[Count]) -> list[tuple[object, ...]]:
        return [(one.on, round(one.east_m), one.seen, one.observer) for one in counts if one.on.day == 6]

    assert values(stored.counts) == values(wanted)
