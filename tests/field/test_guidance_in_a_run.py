"""A field with guidance lines: the plan's swaths, sections and check strips lie where the lines say."""

import re
from pathlib import Path

import numpy as np
import pytest
import shapely
from made_demo import TODAY, three_dates
from made_inputs import reproject
from section_witness import sprayed_areas_m2

from zoning import checks, field
from zoning.plan import Plan

M2_PER_AC = 4046.8564224
BOOM_M = 90 * 0.3048  # of farm.toml, with 9 sections
EPSG = 32615
DEG = 83.0


def across_m(xy: np.ndarray, deg: float = DEG) -> np.ndarray:
    """How far places lie to the right of a heading."""
    return xy @ [np.cos(np.radians(deg)), -np.sin(np.radians(deg))]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Three Dates, driven along lines instead of as its heading_deg says, with two pairs of strips."""
    made = three_dates(tmp_path)
    text = (made / "field.toml").read_text().replace("heading_deg = 90", "")
    text += "\n[check_strips]\npairs = 2\n[guidance]\nfile = 'lines.geojson'\n"
    (made / "field.toml").write_text(text)
    return made


def with_line(folder: Path, aside_m: float, ahead_m: float = 0.0) -> tuple[Plan, np.ndarray]:
    """Plan the field along a line beside a place in it; and a place on the line."""
    turn = np.radians(DEG)
    right, ahead = np.array([np.cos(turn), -np.sin(turn)]), np.array([np.sin(turn), np.cos(turn)])
    boundary = shapely.from_geojson((folder / "boundary.geojson").read_text())
    middle = np.array(reproject(boundary, 4326, EPSG).centroid.coords[0])
    place = middle + aside_m * right + ahead_m * ahead
    line = shapely.LineString([place - 200 * ahead, place + 200 * ahead])
    (folder / "lines.geojson").write_text(shapely.to_geojson(reproject(line, EPSG, 4326)))
    return field.run(folder, today=TODAY, measured_by=lambda *_, **__: lambda: None).plan, place


def in_metres(outlines: list) -> list:
    return [reproject(one, 4326, EPSG) for one in outlines]


def test_strips_lie_on_swaths_along_the_lines(folder: Path) -> None:
    plan, place = with_line(folder, 5.0)
    for strip in in_metres([one.outline for one in plan.strips.strips]):
        sides = across_m(shapely.get_coordinates(strip))
        off = (sides - across_m(place) - BOOM_M / 2) / BOOM_M
        assert np.abs(off - off.round()).max() * BOOM_M < 0.01
        assert np.ptp(sides) == pytest.approx(BOOM_M, abs=0.01)


def test_sections_lie_where_the_lines_say(folder: Path) -> None:
    text = (folder / "field.toml").read_text()
    (folder / "field.toml").write_text(text.replace("pairs = 2", "pairs = 0"))
    plan, place = with_line(folder, 5.0)
    crop = in_metres([zone.outline for zone in plan.zones])
    for one in plan.passes:
        treated = in_metres([zone.outline for zone in plan.zones if zone.zone in one.zones])
        cover = one.sheet.cover
        areas = (cover.treated_ac, cover.sprayed_ac, cover.over_ac, cover.off_crop_ac, cover.missed_ac)
        found = [area * M2_PER_AC for area in areas]
        there = sprayed_areas_m2(treated, crop, [], DEG, BOOM_M / 9, side=(place, BOOM_M / 2))
        # the direction of a line that went to degrees and back is some 1e-6 degrees off
        assert found == pytest.approx(there, abs=2.0)
        elsewhere = sprayed_areas_m2(treated, crop, [], DEG, BOOM_M / 9)
        assert abs(elsewhere[1] - there[1]) > 10  # from the edge of the field on it is another area


def test_the_next_line_gives_the_same_plan(folder: Path) -> None:
    plan, _ = with_line(folder, 5.0)
    other, _ = with_line(folder, 5.0 - 2 * BOOM_M, 60.0)
    assert [zone.action for zone in other.zones] == [zone.action for zone in plan.zones]
    assert other.totals.net_usd == pytest.approx(plan.totals.net_usd, abs=0.01)
    for one, two in zip(plan.strips.strips, other.strips.strips, strict=True):
        assert (one.pair, one.treatment) == (two.pair, two.treatment)
        here, there = in_metres([one.outline, two.outline])
        assert here.hausdorff_distance(there) < 0.02


def test_check_tells_what_lines_and_strips_were_found(folder: Path) -> None:
    plan, _ = with_line(folder, 5.0)
    strips = folder / "strips" / "design.geojson"
    strips.parent.mkdir()
    strips.write_text(plan.strips.new_design)
    told = checks.as_text(checks.check(folder, today=TODAY, clock=TODAY))
    assert "guidance lines: heading 83.0 degrees, where swaths lie" in told
    assert "strips/design.geojson: pairs of check strips: 2" in told
    assert re.search(r"doubt: .*lines\.geojson", told) is None
