"""The page about inputs: its scouting examples are read as they say, its names and limits are the code's."""

import re
from pathlib import Path

import pytest
from made_inputs import EPSG, TODAY
from shapely import box

from zoning.evidence import number
from zoning.inputs.area import reproject
from zoning.inputs.given import AtOrPast, PodLength, Seen, StagedNote, Tally
from zoning.inputs.ground.boundary import Boundary
from zoning.inputs.scouting import points, refusals, rows

WHOLE = (Path(__file__).parents[2] / "docs" / "reference" / "inputs.md").read_text(encoding="utf-8")
PAGE = WHOLE[WHOLE.index("## Scouting") : WHOLE.index("## What was sprayed")]
EXAMPLES = re.findall(r"```(csv|json|xml)\n(.*?)```", PAGE, re.DOTALL)
AREA = reproject(box(-95.42, 44.30, -95.40, 44.31), 4326, EPSG)
EDGE = Boundary(area=AREA, epsg=EPSG, longitude_deg=-95.41, latitude_deg=44.305, notes=())
SHOWN: list[list[Seen]] = [
    [Tally((0, 0, 12, 8, 0, 0)), Tally((4, 3, 11, 2, 0, 0))],
    [AtOrPast("R3", 4, 20)],
    [PodLength(6.5)],
    [StagedNote("R2")],
    [AtOrPast("R3", 4, 20)],
    [Tally((0, 0, 12, 8, 0, 0)), AtOrPast("R3", 4, 20), StagedNote("R2")],
]


def test_there_is_an_expectation_for_each_example() -> None:
    assert len(EXAMPLES) == len(SHOWN)


@pytest.mark.parametrize("place", range(len(SHOWN)))
def test_each_example_is_read_as_the_page_says(tmp_path: Path, place: int) -> None:
    kind, text = EXAMPLES[place]
    path = tmp_path / {"csv": "s.csv", "json": "s.geojson", "xml": "s.gpx"}[kind]
    path.write_text(text, encoding="utf-8")
    found = rows.read(path, path.name, EDGE, TODAY, "America/Chicago")
    assert found.notes == ()
    assert [one.seen for one in found.counts] == SHOWN[place]


@pytest.mark.parametrize("name", [name for names in points.ROLES.values() for name in names])
def test_every_name_of_a_column_is_on_the_page(name: str) -> None:
    assert f"`{name}`" in PAGE


def test_the_limits_on_the_page_are_those_of_the_evidence() -> None:
    assert f"more than {number('inputs.earlier_season_d'):g} days" in PAGE
    assert f"above {number('inputs.count_most_plants'):,.0f};" in PAGE
    assert f"above {number('inputs.pod_longest_mm'):g} mm" in PAGE
    assert f"within {number('inputs.same_plot_m'):g} m)" in PAGE
    assert number("inputs.pod_top_nodes") == 4
    assert "the four uppermost nodes" in PAGE
    assert refusals.FILE in PAGE
