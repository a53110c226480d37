"""The file of check strips: what is written is read back the same, and every fault of it is said at once."""

import hashlib
import json
import os
import shutil
from datetime import date

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from made_folders import MONEY, PRODUCT, RESPONSE, SPRAYER
from made_inputs import EPSG, NORTH, SOUTH, TODAY, WEST, Folder
from shapely import Polygon, affinity, box

from zoning.errors import CONTENT, SETTINGS, WORLD, InputError
from zoning.inputs import done, read
from zoning.inputs.given import Strip, StripDesign
from zoning.inputs.strips import anew, design

WIDTH_M = 27.432
ABOUT = {"field": "Field", "laid_on": "2026-07-08"}
FILE = "strips/design.geojson"


def strip(pair: int, treatment: str, west: float, south: float = SOUTH - 20, north: float = NORTH + 20):
    return Strip(pair=pair, treatment=treatment, outline=box(west, south, west + WIDTH_M, north))


def laid(season: int = 2026, pairs: int = 2, east_m: float = 0.0) -> StripDesign:
    strips = [
        strip(one, treatment, WEST + east_m + 40 + 150 * (one - 1) + WIDTH_M * place)
        for one in range(1, pairs + 1)
        for place, treatment in enumerate(("untreated", "treated"))
    ]
    return StripDesign(season=season, width_m=WIDTH_M, heading_deg=0.0, seed=3, strips=tuple(strips))


def changed(change) -> str:
    """The text of a good design, after a change to its members."""
    whole = json.loads(design.as_text(laid(), EPSG, ABOUT))
    change(whole)
    return json.dumps(whole)


def faults(text: str) -> list[str]:
    with pytest.raises(InputError) as error:
        design.parse(text, EPSG, FILE)
    assert {one.code for one in error.value.faults} == {CONTENT}
    assert all(str(one).startswith(f"{FILE}: ") and "\n" not in str(one) for one in error.value.faults)
    return [one.what for one in error.value.faults]


# -- the text ------------------------------------------------------------------------


def test_it_is_geojson_as_the_standard_has_it():
    text = design.as_text(laid(), EPSG, ABOUT)
    whole = json.loads(text)
    assert whole["type"] == "FeatureCollection"
    assert "crs" not in whole
    assert {key: whole[key] for key in ("schema_version", "field", "laid_on", "season", "seed")} == {
        "schema_version": 1,
        "field": "Field",
        "laid_on": "2026-07-08",
        "season": 2026,
        "seed": 3,
    }
    assert (whole["width_m"], whole["heading_deg"]) == (27.432, 0.0)
    assert [one["properties"] for one in whole["features"]] == [
        {"pair": 1, "treatment": "untreated"},
        {"pair": 1, "treatment": "treated"},
        {"pair": 2, "treatment": "untreated"},
        {"pair": 2, "treatment": "treated"},
    ]
    for one in whole["features"]:
        (ring,) = one["geometry"]["coordinates"]
        assert ring[0] == ring[-1]
        assert Polygon(ring).exterior.is_ccw
        for number in np.ravel(ring):
            assert len(repr(float(number)).partition(".")[2]) <= 9
        assert -95.5 < ring[0][0] < -95.3  # longitude first
        assert 44.2 < ring[0][1] < 44.4


def test_a_hole_runs_the_other_way_round():
    whole = laid()
    middle = whole.strips[0].outline.centroid.buffer(5)
    holed = Strip(pair=1, treatment="untreated", outline=whole.strips[0].outline.difference(middle))
    text = design.as_text(
        StripDesign(season=2026, width_m=1, heading_deg=0, seed=0, strips=(holed,)), EPSG, {}
    )
    outer, inner = json.loads(text)["features"][0]["geometry"]["coordinates"]
    assert Polygon(outer).exterior.is_ccw
    assert not Polygon(inner).exterior.is_ccw


def test_names_of_any_language_stay_readable():
    text = design.as_text(laid(), EPSG, {"field": 'Großer "Schlag" 北', "laid_on": "2026-07-08"})
    assert "Großer" in text
    assert json.loads(text)["field"] == 'Großer "Schlag" 北'


@given(
    turn=st.floats(0, 360),
    seed=st.integers(0, 10**9),
    width_m=st.floats(1, 60),
    east_m=st.floats(-2000, 2000),
    zone=st.sampled_from([32601, 32615, 32660, 32720, 32733]),
)
def test_what_is_read_back_writes_the_same_text(turn, seed, width_m, east_m, zone):
    strips = tuple(
        Strip(
            pair=1 + place // 2,
            treatment=("untreated", "treated")[place % 2],
            outline=affinity.rotate(
                affinity.translate(box(0, 0, width_m, 700), 500_000 + east_m + place * width_m, 6_000_000),
                turn,
                origin=(500_000, 6_000_000),
            ),
        )
        for place in range(4)
    )
    made = StripDesign(season=2026, width_m=width_m, heading_deg=turn, seed=seed, strips=strips)
    text = design.as_text(made, zone, ABOUT)
    back = design.parse(text, zone, FILE)
    assert design.as_text(back, zone, ABOUT) == text
    assert (back.season, back.seed, back.laid_on) == (2026, seed, date(2026, 7, 8))
    assert [(one.pair, one.treatment) for one in back.strips] == [(one.pair, one.treatment) for one in strips]
    for ours, theirs in zip(strips, back.strips, strict=True):
        # 1e-9 degree is 0.11 mm; a corner is moved by half of it at most, each way
        assert ours.outline.hausdorff_distance(theirs.outline) < 1.2e-4


def test_what_a_desktop_program_saves_is_read_too():
    def like_a_program(whole):
        whole["name"] = "design"
        whole["crs"] = {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}
        for one in whole["features"]:
            one["id"] = "7"
            one["properties"] = (
                {"pair": float(one["properties"]["pair"]), "treatment": " Treated", "x": None}
                if (one["properties"]["treatment"] == "treated")
                else one["properties"]
            )
            (ring,) = one["geometry"]["coordinates"]
            one["geometry"]["coordinates"] = [[[*corner, 320.5] for corner in ring[::-1]]]

    back = design.parse(changed(like_a_program), EPSG, FILE)
    plain = design.parse(design.as_text(laid(), EPSG, ABOUT), EPSG, FILE)
    assert [(one.pair, one.treatment) for one in back.strips] == [
        (one.pair, one.treatment) for one in plain.strips
    ]
    for ours, theirs in zip(plain.strips, back.strips, strict=True):
        assert ours.outline.equals(theirs.outline)


# -- faults --------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text", ["", "{", "[1, 2]", "null", '{"type": "Feature"}', '{"type": NaN}', "[" * 100_000, "1" * 5000]
)
def test_what_is_no_design_at_all(text):
    (what,) = faults(text)
    assert what.startswith(("the file is no JSON", "the file is no FeatureCollection"))


def test_nan_and_endless_numbers_are_refused():
    text = design.as_text(laid(), EPSG, ABOUT)
    assert faults(text.replace('"width_m": 27.432', '"width_m": NaN'))[0].startswith("the file is no JSON")
    assert faults(text.replace('"width_m": 27.432', '"width_m": 1e999')) == [
        '"width_m" is Infinity, not a number above 0'
    ]
    (what,) = faults(text.replace('"width_m": 27.432', f'"width_m": {10**400}'))
    assert what.startswith('"width_m" is 1000')


def test_all_faults_are_said_at_once():
    def spoil(whole):
        del whole["season"]
        whole["seed"], whole["width_m"], whole["heading_deg"] = 1.5, -3, "north"
        whole["laid_on"] = "8 July"
        whole["crs"] = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::32615"}}
        one, two, three, four = whole["features"]
        one["properties"] = None
        two["properties"]["treatment"] = "sprayed"
        three["geometry"]["type"] = "MultiPolygon"
        four["geometry"]["coordinates"][0][1] = ["a", 2]

    assert faults(changed(spoil)) == [
        'there is no "season" beside the shapes',
        '"seed" is 1.5, not a whole number',
        '"width_m" is -3, not a number above 0',
        '"heading_deg" is "north", not a number',
        '"laid_on" is "8 July", not a day',
        'its "crs" is not longitude and latitude',
        "strip 1: pair is missing",
        "strip 1: treatment is missing",
        'strip 2: treatment is "sprayed"',
        "strip 3 is a MultiPolygon, not a polygon",
        "strip 4 has corners that are no pairs of numbers",
    ]


def test_every_pair_is_one_of_each():
    def swap(whole):
        whole["features"][1]["properties"]["treatment"] = "untreated"
        whole["features"].pop()

    assert faults(changed(swap)) == ["pair 1 has untreated, untreated", "pair 2 has untreated"]


def test_there_must_be_strips():
    assert faults(changed(lambda whole: whole.update(features=[]))) == ["the file holds no strips"]
    assert faults(changed(lambda whole: whole.update(features={"a": 1}))) == ["the file holds no strips"]


def geometry(change):
    def spoil(whole):
        change(whole["features"][0]["geometry"]["coordinates"])

    return faults(changed(spoil))


def test_shapes_that_are_no_clean_polygon():
    assert geometry(lambda rings: rings[0].pop()) == [
        "strip 1 is not closed: its last corner must be its first"
    ]
    assert geometry(lambda rings: rings.clear()) == [
        "strip 1 is not closed: its last corner must be its first"
    ]
    assert geometry(lambda rings: rings[0].__setitem__(slice(1, 3), rings[0][2:0:-1])) == [
        "strip 1 crosses or touches itself"
    ]
    flat = geometry(lambda rings: rings[0].__setitem__(slice(0, 5), [rings[0][0]] * 5))
    assert flat == ["strip 1 has no area"]
    assert geometry(lambda rings: rings.append(rings[0])) == ["strip 1 has no area"]  # all of it is a hole


def test_shapes_that_lie_nowhere_near():
    away = geometry(lambda rings: rings[0].__setitem__(slice(0, 5), [[200, 1], [201, 1], [201, 2], [200, 1]]))
    assert away == ["strip 1 lies nowhere on earth"]
    turned = geometry(lambda rings: rings.__setitem__(0, [corner[::-1] for corner in rings[0]]))
    assert turned == ["strip 1 lies nowhere on earth that is farmed; GeoJSON has longitude first"]
    far = geometry(lambda rings: rings.__setitem__(0, [[5, 0], [5.1, 0], [5.1, 0.1], [5, 0]]))
    assert far == ["strip 1 lies far from the field"]


def test_by_hand_strips_overlap_by_more_than_a_hand_shakes():
    def moved(by_m):
        whole = laid()
        near = affinity.translate(whole.strips[1].outline, -by_m)
        strips = (whole.strips[0], Strip(pair=1, treatment="treated", outline=near), *whole.strips[2:])
        made = StripDesign(season=2026, width_m=WIDTH_M, heading_deg=0, seed=0, strips=strips)
        return design.as_text(made, EPSG, ABOUT)

    assert len(design.parse(moved(0.09), EPSG, FILE).strips) == 4  # 0.1 m is the limit
    assert faults(moved(0.11)) == ["strips 1 and 2 overlap"]
    # a strip over all the others
    everywhere = laid().strips[0].outline.union(laid().strips[3].outline).envelope
    strips = (*laid().strips[:3], Strip(pair=2, treatment="treated", outline=everywhere))
    made = StripDesign(season=2026, width_m=WIDTH_M, heading_deg=0, seed=0, strips=strips)
    whats = faults(design.as_text(made, EPSG, ABOUT))
    assert whats == [f"strips {one} and 4 overlap" for one in (1, 2, 3)]


# -- as an input of a field ----------------------------------------------------------


@pytest.fixture
def planned(folder: Folder) -> Folder:
    """A field for which passes are planned."""
    (folder.path / "farm.toml").write_text(
        "season = 2026\nname = 'Test'\n" + MONEY + PRODUCT + SPRAYER + RESPONSE
    )
    folder.add("heading_deg = 0\n[planting]\ndate = 2026-05-06\n[check_strips]\npairs = 2")
    return folder


def put(folder: Folder, made: StripDesign | None = None, about: dict[str, str] = ABOUT) -> str:
    text = design.as_text(made or laid(), EPSG, about)
    design.write(folder.field, text)
    return text


def test_a_design_is_read_with_its_hash(planned):
    text = put(planned)
    found = read.field(planned.settings(), TODAY)
    assert found.grid.epsg == EPSG
    assert len(found.strips.strips) == 4
    assert found.strips.laid_on == TODAY
    assert found.files[FILE] == hashlib.sha256(text.encode()).hexdigest()
    assert design.hashes(text) == {FILE: found.files[FILE]}
    assert not [note for note in found.notes if "strips" in note.code]
    assert shapely.union_all([one.outline for one in found.strips.strips]).intersects(found.boundary)


def test_without_a_design_there_is_none(planned):
    found = read.field(planned.settings(), TODAY)
    assert found.strips is None
    assert FILE not in found.files
    assert not design.is_laid(planned.field)


def test_it_is_not_read_where_no_pass_is_planned_or_new_ones_are_laid(planned):
    put(planned)
    passed_over = read.field(planned.settings(), TODAY, strips=False)
    assert (passed_over.strips, FILE in passed_over.files) == (None, False)
    (planned.path / "farm.toml").write_text("season = 2026\n")
    (planned.field / FILE).write_text("broken")
    found = read.field(planned.settings(), TODAY)
    assert (found.strips, FILE in found.files) == (None, False)


@pytest.mark.parametrize("is_broken", [False, True])
def test_the_strips_of_another_season_are_not_used(planned, is_broken):
    text = put(planned, laid(season=2025))
    if is_broken:  # whatever else is wrong with it
        (planned.field / FILE).write_text(text.replace('"untreated"', '"u"'))
    found = read.field(planned.settings(), TODAY)
    assert found.strips is None
    (note,) = [note for note in found.notes if "strips" in note.code]
    assert note.text == (
        "the check strips of strips/design.geojson are those of 2025, not of 2026, and are not used: lay new "
        "ones with --new-strips"
    )


def test_a_broken_design_stops_the_run_with_the_other_faults(planned):
    put(planned)
    (planned.field / FILE).write_text("broken")
    planned.add("[[scouting]]\nfile = 'missing.csv'")
    with pytest.raises(InputError) as error:
        read.field(planned.settings(), TODAY)
    assert {one.where.partition(":")[0] for one in error.value.faults} == {FILE, "field.toml"}


def test_text_that_is_none_and_a_folder_of_that_name(planned):
    put(planned)
    (planned.field / FILE).write_bytes(b"\xff\xfe{}")
    with pytest.raises(InputError, match="no text in UTF-8"):
        read.field(planned.settings(), TODAY)
    (planned.field / FILE).unlink()
    (planned.field / FILE).mkdir()
    with pytest.raises(InputError, match="cannot be read") as error:
        read.field(planned.settings(), TODAY)
    assert error.value.code == WORLD


def test_a_file_where_the_folder_should_be(planned):
    (planned.field / "strips").write_text("x")
    with pytest.raises(InputError, match="this is a file, not a folder") as error:
        read.field(planned.settings(), TODAY)
    assert error.value.where == "strips"
    assert error.value.code == WORLD


def test_a_link_to_nothing_is_no_field_without_strips(planned):
    path = planned.field / FILE
    path.parent.mkdir()
    path.symlink_to(planned.field / "gone.geojson")
    with pytest.raises(InputError, match="leads to nothing") as error:
        read.field(planned.settings(), TODAY)
    assert error.value.code == WORLD


def test_a_pipe_is_not_waited_for(planned):
    path = planned.field / FILE
    path.parent.mkdir()
    os.mkfifo(path)
    with pytest.raises(InputError, match="pipe"):
        read.field(planned.settings(), TODAY)


def test_no_pairs_leave_what_is_laid(planned):
    put(planned)
    planned.toml = planned.toml.replace("pairs = 2", "pairs = 0")
    found = read.field(planned.settings(), TODAY)
    assert len(found.strips.strips) == 4
    (note,) = [note for note in found.notes if "strips" in note.code]
    assert "2 pairs of strips/design.geojson are used; delete the file to have none" in note.text


def test_pairs_without_crop_are_left_out(planned):
    # the second pair lies 350 m to 405 m east of the field's western edge, which is 400 m wide
    moved = laid(east_m=230)
    put(planned, moved)
    whole = read.field(planned.settings(), TODAY)
    assert {one.pair for one in whole.strips.strips} == {1}
    (note,) = [note for note in whole.notes if "strips" in note.code]
    assert "these pairs are left out: 2" in note.text
    put(planned, laid(east_m=5000))
    none = read.field(planned.settings(), TODAY)
    assert none.strips is None
    assert "left out: 1, 2" in next(note for note in none.notes if "strips" in note.code).text


def test_the_previous_design_stays_beside_the_new_one(planned):
    first, second = put(planned), put(planned, laid(pairs=1))
    assert (planned.field / FILE).read_text() == second
    assert (planned.field / f"{FILE}.bak").read_text() == first


# -- new ones ------------------------------------------------------------------------


def refused(folder: Folder, rows: str = "", today: date = date(2026, 7, 20)) -> InputError | None:
    (folder.path / "done.csv").write_text("field,end,product\n" + rows)
    wanted = folder.settings()
    known = done.beside(read.field(wanted, today, strips=False), wanted, today)
    try:
        anew.check(wanted, known, today)
    except InputError as fault:
        return fault
    return None


def test_new_strips_may_be_laid_until_the_field_is_sprayed(planned):
    put(planned)
    assert refused(planned) is None
    assert refused(planned, "Field,2026-07-07,Herbicide\n") is None  # before they were laid
    assert refused(planned, "Other,2026-07-14,Invented Fungicide\n") is None
    assert refused(planned, "Field,2026-07-21,Invented Fungicide\n") is None  # not yet
    fault = refused(planned, "Field,2026-07-16,B\nField,2026-07-14,Invented Fungicide\n")
    assert fault.code == SETTINGS
    assert str(fault) == (
        "--new-strips: the field was sprayed on 2026-07-14, after its strips were laid on 2026-07-08: new "
        "strips would not be what was driven. Keep these strips to the harvest; correct done.csv where that "
        "pass is a mistake."
    )
    assert refused(planned, "Field,2026-07-08,\n") is not None  # on that very day, whatever it was


def test_strips_of_another_season_were_not_driven_in_this_one(planned):
    put(planned, laid(season=2025), {"field": "Field", "laid_on": "2025-07-08"})
    assert refused(planned, "Field,2026-07-14,Invented Fungicide\n") is None


def test_where_the_day_is_not_known_any_pass_in_the_crop_counts(planned):
    put(planned, about={})
    assert refused(planned, "Field,2025-07-14,A\n") is None
    assert "sprayed on 2026-06-01:" in str(refused(planned, "Field,2026-06-01,A\n"))
    (planned.field / FILE).write_text("broken")
    assert refused(planned) is None
    assert refused(planned, "Field,2026-06-01,A\n") is not None
    shutil.rmtree(planned.field / "strips")
    assert refused(planned, "Field,2026-06-01,A\n") is None  # nothing was laid


def test_new_strips_where_none_can_be_laid(planned):
    planned.toml = planned.toml.replace("pairs = 2", "pairs = 0")
    fault = refused(planned)
    assert (fault.code, fault.where) == (SETTINGS, "field.toml:7: check_strips.pairs = 0")
    (planned.path / "farm.toml").write_text("season = 2026\n")
    fault = refused(planned)
    assert (fault.code, fault.where) == (SETTINGS, "--new-strips")


# -- beside what is driven now --------------------------------------------------------


def doubts(folder: Folder) -> list[str]:
    found = read.field(folder.settings(), TODAY)
    assert len(found.strips.strips) == 4  # they stay as they lie
    return [note.text for note in found.notes if "strips" in note.code]


@pytest.fixture
def driven(planned: Folder) -> Folder:
    """The strips of a 90-ft boom, driven north."""
    put(planned)
    return planned


def test_strips_of_the_boom_and_the_heading_are_in_no_doubt(driven: Folder) -> None:
    assert doubts(driven) == []
    driven.toml = driven.toml.replace("heading_deg = 0\n", "heading_deg = 180.9\n")
    assert doubts(driven) == []


def test_strips_of_another_boom_are_said(driven: Folder) -> None:
    farm = driven.path / "farm.toml"
    farm.write_text(farm.read_text().replace('boom = "90 ft"', 'boom = "120 ft"'))
    assert doubts(driven) == [
        "the check strips of strips/design.geojson are 90 ft (27.4 m) wide, and no boom here is: it cannot "
        "keep to their edges; lay new ones with --new-strips"
    ]


def test_strips_of_another_heading_are_said(driven: Folder) -> None:
    driven.toml = driven.toml.replace("heading_deg = 0\n", "heading_deg = 1.2\n")
    assert doubts(driven) == [
        "the check strips of strips/design.geojson lie along 0.0 degrees, and the field is driven along "
        "1.2: the boom cannot keep to their edges; lay new ones with --new-strips"
    ]


@pytest.mark.parametrize(
    ("booms", "off_m", "told"), [(0, 0.9, ""), (7, -0.9, ""), (3, 1.2, "1.2"), (-2, 13, "13.0")]
)
def test_by_hand_strips_beside_guidance_lines_are_said(driven: Folder, booms, off_m, told) -> None:
    # the second pair lies five booms east of the first; the line is so many booms and metres off the first
    strips = [
        strip(pair, treatment, WEST + 40 + WIDTH_M * (5 * (pair - 1) + place))
        for pair in (1, 2)
        for place, treatment in enumerate(("untreated", "treated"))
    ]
    put(driven, StripDesign(season=2026, width_m=WIDTH_M, heading_deg=0.0, seed=3, strips=tuple(strips)))
    at = WEST + 40 + WIDTH_M / 2 + booms * WIDTH_M + off_m
    driven.shapes("lines.geojson", [shapely.LineString([(at, SOUTH), (at, NORTH)])])
    driven.toml += "[guidance]\nfile = 'lines.geojson'\n"
    text = f"lie up to {told} m beside the swaths of your guidance lines"
    assert [text in one for one in doubts(driven)] == ([True] if told else [])
