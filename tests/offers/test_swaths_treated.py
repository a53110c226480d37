"""From a decided field to a map of whole swath cells: sizes from the machine, worth from the plan."""

import math
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from made_inputs import EAST, EPSG, FIELD, NORTH, SOUTH, TODAY, WEST, Folder
from made_swaths import zoning_of
from shapely import LineString, affinity, box
from shapely.ops import split

from zoning.inputs import area, read
from zoning.inputs.given import FieldInputs, Heading
from zoning.inputs.grid import Grid
from zoning.offers.swaths_treated import is_wanted, layout, swath_treatment
from zoning.settings.model import Sprayer
from zoning.zones.swath_cells import Treatment

FT_M = 0.3048
MIDDLE = (WEST + EAST) / 2


def rig(**changes: object) -> Sprayer:
    keys: dict[str, object] = {
        "name": "rig", "boom": "90 ft", "sections": 9, "speed": ["5 mph", "14 mph"], "tank": "1000 gal",
        "fill_min": 15, "section_lag_s": 0.5,
    }  # fmt: skip
    return Sprayer.model_validate(keys | changes)


def inputs(path: Path, heading: str = "heading_deg = 0") -> FieldInputs:
    folder = Folder(path / f"farm{len(list(path.iterdir()))}")
    folder.shapes("boundary.geojson", [FIELD])
    folder.add(f"{heading}\n[planting]\ndate = 2026-05-06")
    return read.field(folder.settings(), TODAY)


def halves(given: FieldInputs, angle_deg: float, count: int = 2):
    """Cut the field by parallel lines into zones 1, 2, ... from one side to the other."""
    pieces = [given.boundary]
    for place in range(1, count):
        middle = (WEST + (EAST - WEST) * place / count, (SOUTH + NORTH) / 2)
        line = LineString([(middle[0], SOUTH - 900), (middle[0], NORTH + 900)])
        cut = affinity.rotate(line, angle_deg, origin=middle)
        pieces = [part for piece in pieces for part in split(piece, cut).geoms]
    pieces.sort(key=lambda piece: piece.centroid.x)
    clean = shapely.coverage_clean(pieces)
    zoning, grid = zoning_of(list(clean))
    assert grid == given.grid
    return zoning


def treated_of(found: Treatment):
    return shapely.union_all([part.outline for part in found.parts if part.label])


# -- how large the cells are --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sections", "lag_s", "cell_m", "swath_ft", "step_m", "run_m"),
    [
        # 90 ft; a 14-mph machine drives 6.2585 m/s, so 3 v t is 9.388 m in half a second
        (
            9,
            0.5,
            10.0,
            30,
            10.0,
            9.388,
        ),  # 3 of 10 ft are nearest to 10 m; a cell along is longer than the run
        (9, 1.0, 10.0, 30, 9.388, 18.776),  # two steps to the run
        (1, 0.5, 10.0, 90, 90 * FT_M / 3, 90 * FT_M),  # the boom: 27.4 m, along it three steps of 9.1 m
        (54, 0.5, 10.0, 30, 10.0, 9.388),  # single nozzles: 18 of them
        (7, 0.5, 10.0, 90 / 7, 10.0, 9.388),  # 3.9 m: one, as only all seven would divide the boom too
        (9, 0.5, 4.0, 10, 9.388 / 2, 9.388),
    ],
)
def test_by_hand_size_of_the_cells(sections, lag_s, cell_m, swath_ft, step_m, run_m):
    grid = Grid(EPSG, 0.0, 0.0, cell_m, (2, 2))
    swaths, least_run_m = layout(rig(sections=sections, section_lag_s=lag_s), grid, Heading(33.0, "edge"))
    assert swaths.swath_m == pytest.approx(swath_ft * FT_M)
    assert swaths.step_m == pytest.approx(step_m, abs=0.002)
    assert least_run_m == pytest.approx(run_m, abs=0.002)
    assert swaths.heading_deg == 33.0


@given(
    sections=st.integers(1, 80),
    lag_s=st.floats(0.1, 4),
    top_mph=st.floats(6, 140),
    boom_ft=st.floats(20, 135),
    cell_m=st.floats(2, 20),
)
def test_cells_fit_the_boom_and_the_run(sections, lag_s, top_mph, boom_ft, cell_m):
    one = rig(sections=sections, section_lag_s=lag_s, speed=["5 mph", f"{top_mph} mph"], boom=f"{boom_ft} ft")
    swaths, least_run_m = layout(one, Grid(EPSG, 0.0, 0.0, cell_m, (2, 2)), Heading(0.0, "edge"))
    of_boom = one.boom_m / swaths.swath_m
    assert of_boom == pytest.approx(round(of_boom))
    assert sections % round(of_boom) == 0
    assert swaths.step_m >= 0.66 * cell_m
    steps = least_run_m / swaths.step_m
    assert steps <= 1 or steps == pytest.approx(round(steps))


# -- what is treated ----------------------------------------------------------------------------------------


def test_by_hand_two_halves_driven_north(tmp_path: Path):
    # 400 m x 300 m; cells of 9.144 m from the western edge. The edge of the zones, at 200 m, lies in swath 21
    # (192.0 to 201.2 m), which is for 8 m in the sprayed west, for 1.1 m in the skipped east
    given_inputs = inputs(tmp_path)
    zoning = halves(given_inputs, 0)
    found = swath_treatment(zoning, given_inputs, rig(), {1: 10.0, 2: -10.0}, {1})
    rest, part = found.parts
    assert (rest.label, part.label) == (0, 1)
    expected = box(WEST, SOUTH, WEST + 22 * 9.144, NORTH)
    assert shapely.symmetric_difference(part.outline, expected).area < 60  # reading the file moves it by dm
    assert found.differs_frac == pytest.approx(1.168 * 300 / 120_000, abs=0.0002)
    assert found.treated_ac == pytest.approx(area.geodesic_ac(area.to_lonlat(part.outline, EPSG)))
    assert (found.heading_source, found.swaths.heading_deg) == ("given", 0.0)
    assert (found.swaths.step_m, round(found.least_run_m, 2)) == (10.0, 9.39)
    # where the east loses ten times what the west returns, 8 m x 10 < 1.1 m x 100: the swath is left out
    careful = swath_treatment(zoning, given_inputs, rig(), {1: 10.0, 2: -100.0}, {1})
    assert treated_of(careful).bounds[2] == pytest.approx(WEST + 21 * 9.144, abs=0.2)


def test_a_zone_is_not_decided_anew(tmp_path: Path):
    given_inputs = inputs(tmp_path)
    zoning = halves(given_inputs, 20)
    total_ac = given_inputs.area_ac
    # both return: but the plan skips the second, as its label closed or the visit would not pay
    one = swath_treatment(zoning, given_inputs, rig(), {1: 10.0, 2: 50.0}, {1})
    assert one.treated_ac < 0.6 * total_ac
    assert one.differs_frac < 0.02
    # neither returns by itself: but the plan sprays the first, as the pass returns more with it
    other = swath_treatment(zoning, given_inputs, rig(), {1: -5.0, 2: -10.0}, {1})
    assert 0.4 * total_ac < other.treated_ac < 0.55 * total_ac
    # nothing is known
    unknown = swath_treatment(zoning, given_inputs, rig(), {1: float("nan")}, {1})
    assert unknown.treated_ac == pytest.approx(0.5 * total_ac, rel=0.05)


def test_all_or_nothing(tmp_path: Path):
    given_inputs = inputs(tmp_path)
    zoning = halves(given_inputs, 20, 3)
    every = swath_treatment(zoning, given_inputs, rig(), {1: 1.0, 2: 2.0, 3: 3.0}, {1, 2, 3})
    assert [part.label for part in every.parts] == [1]
    assert every.treated_ac == pytest.approx(given_inputs.area_ac, rel=1e-9)
    assert every.differs_frac == 0
    none = swath_treatment(zoning, given_inputs, rig(), {1: 1.0, 2: 2.0, 3: 3.0}, set())
    assert [part.label for part in none.parts] == [0]
    assert (none.treated_ac, none.differs_frac) == (0, 0)


def test_by_hand_two_passes(tmp_path: Path):
    # thirds of 133.3 m; the first by pass 2, the second by pass 1, the third by none
    given_inputs = inputs(tmp_path)
    zoning = halves(given_inputs, 0, 3)
    net = {1: 10.0, 2: 10.0, 3: -10.0}
    found = swath_treatment(zoning, given_inputs, rig(), net, {1, 2}, {1: 2, 2: 1})
    assert [part.label for part in found.parts] == [0, 1, 2]
    west = {part.label: part.outline.bounds[0] - WEST for part in found.parts}
    # 133.3 m lies in swath 14 (128.0 to 137.2 m), 5.3 m of it in the first third; 266.7 m in swath 29
    # (265.2 to 274.3 m), 1.5 m of it in the second
    assert west[2] == pytest.approx(0, abs=0.2)
    assert west[1] == pytest.approx(15 * 9.144, abs=0.2)
    assert west[0] == pytest.approx(29 * 9.144, abs=0.2)
    whole = swath_treatment(zoning, given_inputs, rig(), net, {1, 2})
    assert treated_of(whole).symmetric_difference(treated_of(found)).area < 1e-3


@settings(max_examples=15, deadline=None)
@given(
    seed=st.integers(0, 1000),
    heading=st.floats(0, 359.9),
    sections=st.sampled_from([1, 3, 9, 18]),
    count=st.integers(2, 5),
)
def test_every_map_is_a_coverage_that_the_machine_can_follow(
    tmp_path_factory, seed, heading, sections, count
):
    rng = np.random.default_rng(seed)
    given_inputs = inputs(tmp_path_factory.mktemp("field"), f"heading_deg = {heading}")
    zoning = halves(given_inputs, rng.uniform(-80, 80), count)
    net = {zone.number: float(rng.normal(0, 10)) for zone in zoning.zones}
    sprayed = {zone for zone, usd_ac in net.items() if usd_ac > 0}
    passes = {zone: int(rng.integers(1, 3)) for zone in sprayed}
    machine = rig(sections=sections)
    found = swath_treatment(zoning, given_inputs, machine, net, sprayed, passes)
    shapes = [part.outline for part in found.parts]
    assert shapely.coverage_is_valid(shapes)
    assert shapely.area(shapes).sum() == pytest.approx(given_inputs.boundary.area, rel=1e-9)
    assert {part.label for part in found.parts} <= {0, *passes.values()}
    assert (found.treated_ac > 0) == bool(sprayed)
    # by polygons: the share that is not treated as its zone
    treated = treated_of(found)
    other = sum(
        zone.outline.difference(treated).area
        if zone.number in sprayed
        else zone.outline.intersection(treated).area
        for zone in zoning.zones
    )
    assert found.differs_frac == pytest.approx(other / given_inputs.boundary.area, abs=0.0005)
    assert found.differs_frac < 0.08
    # by hand: only runs that an edge between two treatments crosses can differ; along L metres of edge they
    # cover at most L x (w |cos| + l |sin|) <= L x the run's diagonal
    edge_m = sum(
        shapely.length(shapely.intersection(one.outline.boundary, two.outline.boundary))
        for one, two in combinations(zoning.zones, 2)
        if passes.get(one.number, 0) != passes.get(two.number, 0)
    )
    run_m = max(found.swaths.step_m, found.least_run_m)
    assert other <= edge_m * math.hypot(found.swaths.swath_m, run_m) + 1e-6


@pytest.mark.parametrize(("text", "wanted"), [("", False), ('treatment = "zones"', False),
                                              ('treatment = "swath cells"', True)])  # fmt: skip
def test_the_setting(tmp_path: Path, text: str, wanted: bool):
    folder = Folder(tmp_path / "farm")
    folder.add(f"[zones]\n{text}")
    assert is_wanted(folder.settings()) == wanted


def test_another_word_is_refused(tmp_path: Path):
    folder = Folder(tmp_path / "farm")
    folder.add('[zones]\ntreatment = "cells"')
    with pytest.raises(ValueError, match="treatment"):
        folder.settings()


@settings(max_examples=10, deadline=None)
@given(aside_m=st.floats(-60, 60), sections=st.sampled_from([1, 5, 9, 18]))
def test_cells_lie_along_guidance_lines(tmp_path_factory, aside_m, sections):
    path = tmp_path_factory.mktemp("field")
    folder = Folder(path / "farm")
    folder.shapes("boundary.geojson", [FIELD])
    folder.shapes("lines.geojson", [LineString([(MIDDLE + aside_m, SOUTH), (MIDDLE + aside_m, NORTH)])])
    folder.add("[planting]\ndate = 2026-05-06\n[guidance]\nfile = 'lines.geojson'")
    known = read.field(folder.settings(), TODAY)
    boom_m = 90 * FT_M
    found = swath_treatment(halves(known, 12), known, rig(sections=sections), {1: 30.0, 2: -30.0}, [1])
    assert found.heading_source == "guidance"
    # sides of cells inside the field: those of the boom, which is driven over the line, and of its parts
    xy = shapely.get_coordinates(treated_of(found))
    inside = xy[
        (xy[:, 0] > WEST + 1) & (xy[:, 0] < EAST - 1) & (xy[:, 1] > SOUTH + 1) & (xy[:, 1] < NORTH - 1)
    ]
    parts = boom_m / found.swaths.swath_m
    assert parts == pytest.approx(round(parts))
    off = (inside[:, 0] - (MIDDLE + aside_m + boom_m / 2)) / found.swaths.swath_m
    assert len(off) > 4
    assert np.abs(off - off.round()).max() * found.swaths.swath_m < 0.02
