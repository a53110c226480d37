"""The direction in which a field is driven: given, from the planter's records, or along the longest edge."""

from datetime import datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as runs
from hypothesis import strategies as st
from made_inputs import EAST, FIELD, NORTH, SOUTH, TODAY, WEST, Folder
from made_plantings import CASES, Drive, Planter, plain
from shapely import LineString, MultiLineString, MultiPoint, MultiPolygon, Point, Polygon, affinity, box

from zoning.inputs import read
from zoning.inputs.area import reproject
from zoning.inputs.given import Heading
from zoning.inputs.ground.heading import heading, longest_edge_deg
from zoning.inputs.planted.azimuth import driven_deg

MORNING = datetime(2026, 5, 6, 8)


def apart(one_deg: float, other_deg: float) -> float:
    """Angle between two directions when it does not matter which end is driven to."""
    return abs((one_deg - other_deg + 90) % 180 - 90)


def times(count: int, step_s: float = 1.0) -> list[datetime]:
    return [MORNING + timedelta(seconds=step_s * one) for one in range(count)]


def passes(
    heading_deg: float, count: int, length_m: float = 400.0, width_m: float = 12.0
) -> list[LineString]:
    """Passes side by side, to and fro."""
    angle = np.radians(heading_deg)
    along = np.array([np.sin(angle), np.cos(angle)])
    across = np.array([np.cos(angle), -np.sin(angle)])
    ends = [
        [one * width_m * across, one * width_m * across + length_m * along][:: (-1) ** one]
        for one in range(count)
    ]
    return [LineString(one) for one in ends]


def of_case(case, order: np.ndarray | None = None, *, dates_only: bool = False) -> float | None:
    order = np.arange(len(case.drive.rows)) if order is None else order
    shapes = np.array(case.drive.shapes(), dtype=object)[order]
    stamps = [datetime.fromisoformat(case.drive.rows[one]["planted"]) for one in order]
    return driven_deg(
        shapes, [one.replace(hour=12, minute=0, second=0) for one in stamps] if dates_only else stamps
    )


# -- records of a planter ------------------------------------------------------------


@pytest.mark.parametrize(
    ("end", "deg"), [((0, 100), 0), ((100, 100), 45), ((100, 0), 90), ((100, -100), 135), ((0, -100), 0)]
)
def test_by_hand_lines(end, deg):
    # clockwise from north; south is north, west is east
    found = driven_deg(np.array([LineString([(0, 0), end])], dtype=object), [MORNING])
    assert apart(found, deg) < 1e-6
    assert 0 <= found < 180


def test_by_hand_lines_on_both_sides_of_north():
    # tan 2 degrees = 0.03492: passes that run 2 degrees to either side of north run north in the mean
    lines = np.array([LineString([(0, 0), (3.492, 100)]), LineString([(50, 0), (46.508, 100)])], dtype=object)
    assert apart(driven_deg(lines, times(2)), 0) < 0.001
    # the first one twice as long: (2 x 2 - 2) / 3 = 0.667 degrees
    lines[0] = LineString([(0, 0), (6.984, 200)])
    assert driven_deg(lines, times(2)) == pytest.approx(0.667, abs=0.002)


def test_most_of_the_way_counts_and_not_the_mean_of_two_directions():
    lines = passes(20, 30) + passes(75, 20)
    assert apart(driven_deg(np.array(lines, dtype=object), times(50)), 20) < 0.01
    lines = passes(20, 20) + passes(75, 30)
    assert apart(driven_deg(np.array(lines, dtype=object), times(50)), 75) < 0.01


def test_headland_rounds_and_turns_do_not_turn_the_field():
    rounds = [LineString(box(d, d, 800 - d, 400 - d).exterior) for d in (6, 18)]
    inner = [LineString([(24, y), (776, y)]) for y in range(30, 376, 12)]
    whole = MultiLineString([*rounds, *inner])
    found = driven_deg(np.array([affinity.rotate(whole, -17, origin=(0, 0))], dtype=object), [MORNING])
    assert apart(found, 90 + 17) < 0.01


def test_a_wobbling_line_has_the_direction_of_its_ends():
    rng = np.random.default_rng(3)
    y = np.arange(0, 400, 0.5)
    wobbling = [LineString(np.column_stack([12.0 * one + rng.normal(0, 0.2, len(y)), y])) for one in range(8)]
    assert apart(driven_deg(np.array(wobbling, dtype=object), times(8)), 0) < 0.2


def test_records_that_go_everywhere_have_no_direction():
    rng = np.random.default_rng(5)
    points = np.array([Point(place) for place in rng.uniform(0, 400, (2000, 2))], dtype=object)
    assert driven_deg(points, times(2000)) is None
    assert driven_deg(points, [MORNING] * 2000) is None
    rings = [LineString(Point(0, 0).buffer(radius).exterior) for radius in range(20, 400, 12)]
    assert driven_deg(np.array(rings, dtype=object), times(len(rings))) is None


@pytest.mark.parametrize("count", [1, 2, 3])
def test_few_records(count):
    points = np.array([Point(0, 10 * one) for one in range(count)], dtype=object)
    found = driven_deg(points, times(count))
    assert found is None if count == 1 else apart(found, 0) < 1e-6
    same = np.array([Point(5, 5)] * count, dtype=object)
    assert driven_deg(same, times(count)) is None


@pytest.mark.parametrize("make", CASES)
@pytest.mark.parametrize("seed", [3, 8])
def test_simulated_records(make, seed):
    # noise of 0.2 m a record, wrong clocks, jumps, neighbours' rows and two planters among the cases
    case = make(seed)
    assert apart(of_case(case), case.planter.heading_deg) < 1.0
    assert apart(of_case(case, dates_only=True), case.planter.heading_deg) < 1.0


@pytest.mark.parametrize("spacing_m", [0.5, 1.0, 15.0])
def test_simulated_records_close_together_or_far_apart(spacing_m):
    rng = np.random.default_rng(11)
    planter, drive = Planter(width_m=9.0, heading_deg=63.0, spacing_m=spacing_m, rng=rng), Drive()
    drive.go(planter, list(planter.passes())[10:22], MORNING)
    shapes = np.array(drive.shapes(), dtype=object)
    stamps = [MORNING + timedelta(seconds=one) for one in range(len(shapes))]
    assert apart(driven_deg(shapes, stamps), 63.0) < 0.3


def test_the_order_of_records_and_records_that_stand_twice_do_not_matter():
    case = plain(6)
    rng = np.random.default_rng(1)
    shuffled = rng.permutation(len(case.drive.rows))
    assert of_case(case, shuffled) == of_case(case)
    assert of_case(case, shuffled, dates_only=True) == of_case(case, dates_only=True)
    assert of_case(case, np.concatenate([shuffled, shuffled[::3]])) == of_case(case)


def test_points_in_one_shape_are_points():
    points = [Point(12 * (one // 50), 5 * (one % 50)) for one in range(300)]
    single = driven_deg(np.array(points, dtype=object), times(300))
    assert single == driven_deg(np.array([MultiPoint(points)], dtype=object), [MORNING])
    assert apart(single, 0) < 1e-6


@runs(max_examples=25, deadline=None)
@given(turn=st.floats(0, 360), seed=st.integers(0, 50))
def test_turning_the_records_turns_the_direction(turn, seed):
    rng = np.random.default_rng(seed)
    planter, drive = Planter(width_m=12.0, heading_deg=30.0, spacing_m=8.0, rng=rng), Drive()
    drive.go(planter, list(planter.passes())[12:18], MORNING)
    shapes = np.array(drive.shapes(), dtype=object)
    stamps = times(len(shapes))
    turned = np.array([affinity.rotate(one, -turn, origin=(WEST, SOUTH)) for one in shapes], dtype=object)
    # the histogram is one of whole degrees; its peak may take in a step more or less at the rim
    assert apart(driven_deg(turned, stamps), driven_deg(shapes, stamps) + turn) < 0.3


# -- the longest edge ------------------------------------------------------------


def test_by_hand_longest_edge():
    assert longest_edge_deg(box(0, 0, 300, 100)) == pytest.approx(90)
    assert longest_edge_deg(box(0, 0, 100, 300)) == pytest.approx(0)
    # a right triangle with legs 300 east and 400 north; its hypotenuse runs atan(300 / -400) from north
    assert longest_edge_deg(Polygon([(0, 0), (300, 0), (0, 400)])) == pytest.approx(180 - 36.8699, abs=1e-4)


def test_an_edge_with_many_vertices_is_one_edge():
    # the southern edge, 300 m, in steps of 1 m that stray 2 m; the western one, 280 m, in one piece
    rng = np.random.default_rng(2)
    south = np.column_stack([np.arange(1, 300), rng.uniform(-2, 2, 299)])
    drawn = Polygon([(0, 0), *south, (300, 0), (300, 280), (0, 280)])
    assert apart(longest_edge_deg(drawn), 90) < 0.5


@pytest.mark.parametrize("first", [0, 40, 137, 250, 333])
def test_it_does_not_matter_where_the_outline_begins(first):
    ring = np.vstack(
        [
            np.column_stack([np.arange(0, 200), np.zeros(200)]),
            np.column_stack([np.full(120, 200), np.arange(0, 120)]),
            np.column_stack([np.arange(200, 0, -1), np.full(200, 120)]),
            np.column_stack([np.zeros(120), np.arange(120, 0, -1)]),
        ]
    )
    assert longest_edge_deg(Polygon(np.roll(ring, first, axis=0))) == pytest.approx(90)
    assert longest_edge_deg(Polygon(np.roll(ring, first, axis=0)[::-1])) == pytest.approx(90)


def test_a_square_is_driven_north_and_south_however_it_was_measured():
    for seed in range(10):
        rng = np.random.default_rng(seed)
        corners = np.array([(0, 0), (400, 0), (400, 400), (0, 400)]) + rng.uniform(-2, 2, (4, 2))
        assert apart(longest_edge_deg(Polygon(corners)), 0) < 1
    # two edges as near to north: 45 before 135
    diamond = Polygon([(0, 0), (100, 100), (0, 200), (-100, 100)])
    assert longest_edge_deg(diamond) == pytest.approx(45)


def test_the_longest_edge_of_all_parts_and_of_no_hole():
    holed = Polygon(box(0, 0, 300, 200).exterior, [box(20, 20, 30, 190).exterior])
    tall = box(500, 0, 600, 350)
    assert longest_edge_deg(holed) == pytest.approx(90)
    assert longest_edge_deg(MultiPolygon([holed, tall])) == pytest.approx(0)


@runs(max_examples=40, deadline=None)
@given(turn=st.floats(0, 180), long=st.floats(1.1, 4))
def test_turning_the_field_turns_the_direction(turn, long):
    field = affinity.rotate(box(0, 0, 200 * long, 200), -turn, origin=(0, 0))
    assert apart(longest_edge_deg(field), 90 + turn) < 1e-6


def test_a_field_smaller_than_the_tolerance_has_a_direction():
    assert longest_edge_deg(box(0, 0, 3, 2)) == pytest.approx(90)


# -- whose word counts, and the whole way from files -------------------------------------------------------


def test_what_is_given_counts_most_then_the_planter_then_the_edge(folder: Folder):
    folder.add("heading_deg = 270")
    assert heading(folder.settings(), 10.0, FIELD) == Heading(270.0, "given")
    folder.toml = folder.toml.replace("heading_deg = 270", "")
    assert heading(folder.settings(), 10.0, FIELD) == Heading(10.0, "planting")
    assert heading(folder.settings(), None, FIELD) == Heading(90.0, "edge")


def test_heading_of_a_field_with_one_date(folder: Folder):
    folder.shapes("boundary.geojson", [affinity.rotate(FIELD, -25)])
    folder.add("[planting]\ndate = 2026-05-06")
    found = read.field(folder.settings(), TODAY).heading
    assert found.source == "edge"
    assert apart(found.deg, 90 + 25) < 0.01


def test_polygons_say_nothing_of_the_direction(folder: Folder):
    halves = [box(WEST, SOUTH, WEST + 30, NORTH), box(WEST + 30, SOUTH, EAST, NORTH)]
    folder.shapes("boundary.geojson", [FIELD])
    folder.shapes("planting.geojson", halves, [{"planted": "2026-05-06"}, {"planted": "2026-05-20"}])
    assert read.field(folder.settings(), TODAY).heading.source == "edge"


@pytest.mark.parametrize("as_lines", [False, True])
def test_heading_of_a_field_with_records(folder: Folder, as_lines):
    planter, drive = Planter(width_m=12.0, heading_deg=52.0, spacing_m=8.0), Drive()
    ends = []
    for number in planter.passes():
        before = len(drive.at_m)
        drive.go(planter, [number], MORNING + timedelta(minutes=5 * number))
        if len(drive.at_m) > before + 1:
            ends.append((LineString(drive.at_m[before:]), drive.rows[before]))
    folder.shapes("boundary.geojson", [FIELD])
    if as_lines:
        folder.shapes("planting.geojson", [one for one, _ in ends], [row for _, row in ends])
    else:
        folder.shapes("planting.geojson", drive.shapes(), drive.rows)
    found = read.field(folder.settings(), TODAY).heading
    assert found.source == "planting"
    assert apart(found.deg, 52.0) < 0.2
    assert read.field(folder.settings(), TODAY, layers=False).heading == found


def test_heading_in_the_south_and_in_metric_units(folder: Folder):
    # near Rosario, UTM zone 20 south: the same geometry gives the same direction from grid north
    south = affinity.rotate(box(300_000, 6_300_000, 300_900, 6_300_400), -35)
    lonlat = reproject(south, 32720, 4326)
    folder.shapes("boundary.geojson", [reproject(lonlat, 4326, 32615)])
    folder.add("[planting]\ndate = 2025-11-06")
    (folder.path / "farm.toml").write_text("season = 2026\nname = 'Test'\nunits = 'metric'\n")
    found = read.field(folder.settings(), TODAY)
    assert found.grid.epsg == 32720
    assert found.heading.source == "edge"
    assert apart(found.heading.deg, 90 + 35) < 0.01


def test_two_records_that_nearly_touch_show_no_direction():
    # 4 m apart is less than a step that shows one; nothing is left to take the middle of
    at_m = np.array([Point(WEST, SOUTH), Point(WEST, SOUTH + 4)], dtype=object)
    assert driven_deg(at_m, times(2)) is None
