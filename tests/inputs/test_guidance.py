"""Guidance lines say in which direction a field is driven, and where a swath lies."""

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given
from hypothesis import settings as runs
from hypothesis import strategies as st
from made_inputs import EAST, EPSG, NORTH, SOUTH, TODAY, WEST, Folder
from shapely import LineString, MultiLineString, Point, affinity, box

from zoning.errors import CONTENT, SETTINGS, InputError
from zoning.inputs import read
from zoning.inputs.area import reproject
from zoning.inputs.given import FieldInputs

MIDDLE = ((WEST + EAST) / 2, (SOUTH + NORTH) / 2)


def found(folder: Folder, lines: list[shapely.Geometry], *texts: str) -> FieldInputs:
    folder.shapes("lines.geojson", lines)
    text = "\n".join(texts)
    folder.toml = (
        f"name = 'Field'\nmaturity_group = 1.9\n{text}\n"
        "[guidance]\nfile = 'lines.geojson'\n[planting]\ndate = 2026-05-06\n"
    )
    return read.field(folder.settings(), TODAY)


def said(one: FieldInputs) -> list[str]:
    return [note.text for note in one.notes if note.code.startswith("inputs.guidance")]


def refused(folder: Folder, lines: list[shapely.Geometry], *texts: str) -> list[str]:
    with pytest.raises(InputError) as error:
        found(folder, lines, *texts)
    assert error.value.code == CONTENT
    return [one.what for one in error.value.faults]


def line(deg: float, length_m: float = 600.0, at: tuple[float, float] = MIDDLE) -> LineString:
    """A straight line with its middle at a place."""
    half = np.array([np.sin(np.radians(deg)), np.cos(np.radians(deg))]) * length_m / 2
    return LineString([at - half, at + half])


def test_by_hand_one_line(folder: Folder) -> None:
    # 300 m east and 400 m north: atan(3 / 4) = 36.87 degrees from north; its middle is (150, 200) further on
    one = found(folder, [LineString([(WEST, SOUTH), (WEST + 300, SOUTH + 400)])]).heading
    assert one.source == "guidance"
    assert one.deg == pytest.approx(36.870, abs=0.001)
    assert one.through_m == pytest.approx((WEST + 150, SOUTH + 200), abs=0.01)


def test_by_hand_several_lines_count_by_their_length(folder: Folder) -> None:
    # (600 x 10 + 200 x 12) / 800 = 10.5; the place is on the longest
    east = (MIDDLE[0] + 40, MIDDLE[1])
    one = found(folder, [line(12, 200), line(10, 600, east)]).heading
    assert one.deg == pytest.approx(10.5, abs=0.01)
    assert one.through_m == pytest.approx(east, abs=0.01)


def test_by_hand_lines_on_both_sides_of_north(folder: Folder) -> None:
    # 2 degrees east of it over 600 m and 1 degree west over 300 m, driven south: (2 x 2 - 1) / 3 = 1
    one = found(folder, [line(2, 600), line(179, 300)]).heading
    assert one.deg == pytest.approx(1.0, abs=0.01)
    # and (2 x -2 + 1) / 3 = -1, which is 179
    assert found(folder, [line(178, 600), line(1, 300)]).heading.deg == pytest.approx(179.0, abs=0.01)


@runs(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(deg=st.floats(0, 360), aside_m=st.floats(-100, 100), zone=st.sampled_from([EPSG, 4326, 3857]))
def test_the_place_lies_on_the_line_whatever_its_end_and_its_crs(folder, deg, aside_m, zone) -> None:
    drawn = line(deg, 500, (MIDDLE[0] + aside_m, MIDDLE[1]))
    folder.shapes("lines.geojson", [drawn])
    if zone != 4326:  # the older way of GeoJSON to name a CRS
        text = shapely.to_geojson(reproject(drawn, EPSG, zone))
        crs = f'"crs":{{"type":"name","properties":{{"name":"urn:ogc:def:crs:EPSG::{zone}"}}}}'
        feature = f'{{"type":"Feature","properties":{{}},"geometry":{text}}}'
        whole = f'{{"type":"FeatureCollection",{crs},"features":[{feature}]}}'
        (folder.field / "lines.geojson").write_text(whole)
    folder.toml = "name = 'Field'\nmaturity_group = 1.9\n[guidance]\nfile = 'lines.geojson'\n"
    folder.add("[planting]\ndate = 2026-05-06")
    one = read.field(folder.settings(), TODAY).heading
    assert 0 <= one.deg < 180
    assert abs((one.deg - deg + 90) % 180 - 90) < 0.01
    assert drawn.distance(Point(one.through_m)) < 0.05


def test_lines_in_one_shape_are_lines_and_parts_without_length_are_none(folder: Folder) -> None:
    several = MultiLineString([line(50, 300), LineString([MIDDLE, MIDDLE]), line(50, 400)])
    assert found(folder, [several]).heading.deg == pytest.approx(50, abs=0.001)
    spots = MultiLineString([LineString([MIDDLE, MIDDLE]), LineString([(WEST, SOUTH), (WEST, SOUTH)])])
    assert refused(folder, [line(50), spots]) == ["shape 2 is empty or broken"]


def test_lines_go_before_the_edge_and_are_hashed(folder: Folder) -> None:
    one = found(folder, [line(35)])
    assert "lines.geojson" in one.files
    assert said(one) == []
    assert read.field(folder.settings(), TODAY, layers=False).heading == one.heading


# -- beside a heading that was typed -------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "lines_deg", "deg"),
    [(90, 90.4, 90.4), (270, 90.4, 270.4), (0, 179.6, 359.6), (180, 0.4, 180.4), (359.6, 179.8, 359.8)],
)
def test_a_typed_heading_says_which_end_is_driven_to(folder: Folder, typed, lines_deg, deg) -> None:
    one = found(folder, [line(lines_deg)], f"heading_deg = {typed}")
    assert one.heading.deg == pytest.approx(deg, abs=0.001)
    assert one.heading.source == "guidance"
    assert said(one) == []


def test_lines_that_run_otherwise_are_followed_and_it_is_said(folder: Folder) -> None:
    one = found(folder, [line(88.8)], "heading_deg = 90")
    assert one.heading.deg == pytest.approx(88.8, abs=0.001)
    assert said(one) == [
        "the heading given is 90 degrees (setting: heading_deg), but the lines of lines.geojson run at "
        "88.8: the lines are followed, as the machine does"
    ]
    assert said(found(folder, [line(89.2)], "heading_deg = 90")) == []  # within a degree


# -- curved lines --------------------------------------------------------------------


def bow(rise_m: float, deg: float = 90.0) -> LineString:
    """A line of 400 m that strays by a rise in its middle, as a parabola."""
    share = np.linspace(-1, 1, 41)
    drawn = LineString(np.column_stack([200 * share, rise_m * (1 - share**2)]))
    return affinity.translate(affinity.rotate(drawn, 90 - deg, origin=(0, 0)), *MIDDLE)


def test_by_hand_a_curve_is_what_strays_by_more_than_a_metre(folder: Folder) -> None:
    straight = found(folder, [bow(0.9, 70)])
    assert straight.heading.through_m is not None
    assert said(straight) == []
    curved = found(folder, [bow(20, 70)])
    assert curved.heading.source == "guidance"
    assert curved.heading.deg == pytest.approx(70, abs=0.01)
    assert curved.heading.through_m is None
    assert said(curved) == [
        "the lines of lines.geojson are curved, the longest strays 20 m from the straight way between its "
        "ends: swaths are taken straight along that way, 70 degrees, and where they lie is not known"
    ]
    assert found(folder, [bow(1.1, 70)]).heading.through_m is None


def test_straight_lines_go_before_curved_ones(folder: Folder) -> None:
    one = found(folder, [bow(60, 20), line(75, 100), bow(30, 20)])
    assert one.heading.deg == pytest.approx(75, abs=0.01)
    assert said(one) == ["curved lines of lines.geojson are not used, only the straight ones: 2"]


def test_a_round_shows_no_direction(folder: Folder) -> None:
    lap = box(WEST + 10, SOUTH + 10, EAST - 10, NORTH - 10).exterior
    assert refused(folder, [LineString(lap.coords)]) == [
        "its lines come back to where they begin, so they show no direction"
    ]
    one = found(folder, [LineString(lap.coords), line(40)])  # beside a straight line it does no harm
    assert one.heading.deg == pytest.approx(40, abs=0.01)


# -- refused -------------------------------------------------------------------------


def test_by_hand_lines_of_two_directions(folder: Folder) -> None:
    assert refused(folder, [line(90, 600), line(2, 300)]) == [
        "its lines run at 90 and at 2 degrees from north"
    ]
    assert found(folder, [line(90, 600), line(94.9, 300)]).heading.deg == pytest.approx(91.63, abs=0.01)
    assert refused(folder, [line(90, 600), line(95.1, 300)]) == [
        "its lines run at 90 and at 95 degrees from north"
    ]


def test_lines_of_other_fields(folder: Folder) -> None:
    near, far = (WEST - 99, MIDDLE[1]), (WEST - 101, MIDDLE[1])
    one = found(folder, [line(0, 200, near), line(60, 900, (WEST - 2000, SOUTH))])
    assert one.heading.deg == pytest.approx(0, abs=0.01) or one.heading.deg == pytest.approx(180, abs=0.01)
    assert said(one) == ["lines of lines.geojson more than 100 m from the field are not used: 1"]
    assert refused(folder, [line(0, 200, far)]) == ["no line lies within 100 m of the field"]


def test_lines_too_short_for_a_direction(folder: Folder) -> None:
    one = found(folder, [line(10), line(70, 19.0)])  # 19 of 20 m
    assert one.heading.deg == pytest.approx(10, abs=0.01)
    assert said(one) == ["lines of lines.geojson shorter than 20 m give no direction and are not used: 1"]
    (what,) = refused(folder, [line(10, 1.0)])
    assert what == "its lines are shorter than 20 m and give no direction"


def test_shapes_that_are_no_lines(folder: Folder) -> None:
    assert refused(folder, [line(0), Point(MIDDLE), box(WEST, SOUTH, EAST, NORTH)]) == [
        "shape 2 is a Point, not a line",
        "shape 3 is a Polygon, not a line",
    ]


def test_a_file_that_is_not_there(folder: Folder) -> None:
    folder.add("[guidance]\nfile = 'lines.geojson'\n[planting]\ndate = 2026-05-06")
    with pytest.raises(InputError, match=r"guidance\.file = .lines\.geojson.: there is no file") as error:
        read.field(folder.settings(), TODAY)
    assert error.value.code == SETTINGS
    (folder.field / "boundary.geojson").unlink()
    with pytest.raises(InputError, match="there is no file") as both:
        read.field(folder.settings(), TODAY)
    assert len(both.value.faults) == 2
