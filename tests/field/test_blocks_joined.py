"""Alike neighbours are one block in every command, and it is said."""

import json
from pathlib import Path

import pytest
from made_demo import TODAY, three_dates

from zoning import field
from zoning.questions import stage_of_field


@pytest.fixture
def folder(tmp_path) -> Path:
    """The demo field, its second block planted a day after its first."""
    field_folder = three_dates(tmp_path)
    path = field_folder / "planting.geojson"
    planting = json.loads(path.read_text())
    for feature in planting["features"]:
        if feature["properties"]["planted"] == "2026-05-15":
            feature["properties"]["planted"] = "2026-04-29"
    path.write_text(json.dumps(planting))
    return field_folder


def with_key(folder: Path, value: str) -> None:
    settings = folder / "field.toml"
    settings.write_text(settings.read_text().replace("[planting]\n", f"[planting]\njoin_alike = {value}\n"))


def test_drawn_blocks_stay_apart_unless_it_is_asked_for(folder):
    plan = field.run(folder, today=TODAY, seed=3).plan
    assert [one.block for one in plan.blocks] == ["A", "B", "C"]
    with_key(folder, "true")
    plan = field.run(folder, today=TODAY, seed=3).plan
    assert [one.block for one in plan.blocks] == ["A", "B"]
    (told,) = [note.text for note in plan.notes if note.code == "offers.joined"]
    assert "Apr 28" in told or "2026-04-28" in told


def test_the_stage_command_tells_of_the_same_blocks(folder):
    with_key(folder, "true")
    plan = field.run(folder, today=TODAY, seed=3).plan
    answer = stage_of_field(folder, today=TODAY, seed=3, clock=TODAY)
    assert [row.block for row in answer.rows] == [one.block for one in plan.blocks]
    assert "offers.joined" in [note.code for note in answer.notes]
