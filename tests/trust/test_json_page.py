"""docs/reference/json.md names every key that a command prints with --json, and no other."""

import importlib
import json
import re
import shutil
from pathlib import Path

import click
import pytest

from cli.main import COMMANDS, _code
from zoning.inputs.planted.brought.asked import ROLES

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "reference" / "json.md").read_text(encoding="utf-8")
DEMO = ROOT / "demo_fields" / "heron_slough"


@pytest.fixture(scope="module")
def farm(tmp_path_factory):
    ours = shutil.ignore_patterns("out", "out.*", "strips")
    return shutil.copytree(DEMO, tmp_path_factory.mktemp("json") / "farm", ignore=ours)


def named(title):
    """Every name that a section of the page has as code."""
    section = PAGE.split(f"\n## {title}\n", 1)[1].split("\n## ", 1)[0]
    return set(re.findall(r"`([a-z]\w*)`", section))


def keys(thing, inside=True):
    """Keys of an object, and of the objects in its lists; what is named by data is left out."""
    if isinstance(thing, list):
        return set().union(*(keys(one) for one in thing)) if thing else set()
    if not isinstance(thing, dict):
        return set()
    found = set(thing)
    for name, value in thing.items():
        if inside and name not in BY_DATA:
            found |= keys(value)
    return found


BY_DATA = ("out_h", "cautions_h", "limits", "notes", "failures", "rows_added", "treated_frac")
SHARED = {"schema_version", "code", "text"}


def asked(capsys, *words):
    _code([*(str(one) for one in words), "--json"])
    return json.loads(capsys.readouterr().out)


def every_command():
    """Commands by their words; of a group its kinds, as "get planting"."""
    for name in COMMANDS:
        command = importlib.import_module(f"cli.{name}").command
        if not isinstance(command, click.Group):
            yield name, command
            continue
        for kind in command.list_commands(click.Context(command)):
            yield f"{name} {kind}", command.get_command(click.Context(command), kind)


def test_every_command_with_json_is_on_the_page():
    told = set(re.findall(r"^\| `(\w+)` \| \[", PAGE, re.MULTILINE))
    titles = set(re.findall(r"^## ([\w ]+)$", PAGE, re.MULTILINE))
    with_json = {
        name for name, command in every_command() if any(one.name == "as_json" for one in command.params)
    }
    assert told | titles == with_json


def test_the_keys_of_a_planting(farm, capsys):
    field = farm / "three_dates"
    found = keys(asked(capsys, "get", "planting", field, field / "planting.geojson", "--quiet")) - SHARED
    assert found <= named("get planting"), found - named("get planting")
    words = {"null", "told", "words", "format", "size", "farm"} | set(ROLES)
    assert named("get planting") - words <= found | {"name"}, named("get planting") - found


@pytest.mark.parametrize("name", ["check", "new", "stage", "sprayer", "hours", "done", "evidence"])
def test_the_keys_of_an_answer(name, farm, tmp_path, capsys):
    words = {
        "check": (farm / "three_dates",),
        "new": (tmp_path / "mine",),
        "stage": (farm / "three_dates",),
        "sprayer": (farm,),
        "hours": (farm,),
        "done": (farm,),
        "evidence": ("stage.model_sd_d",),
    }[name]
    found = keys(asked(capsys, name, *words)) - SHARED
    assert found
    assert found <= named(name), found - named(name)
    if name in ("new", "stage", "sprayer", "hours"):  # the others show only a part of what they may hold
        kinds = {"counted", "provisional", "null", "sprayers"}
        assert named(name) - kinds <= found | {"volumes", "rows"}, named(name) - found


def test_the_keys_of_findings_and_of_faults(farm, tmp_path, capsys):
    (tmp_path / "map.geojson").write_text('{"type": "FeatureCollection", "features": []}', encoding="utf-8")
    assert keys(asked(capsys, "check", tmp_path / "map.geojson")) - SHARED <= named("check")
    asked(capsys, "new", tmp_path / "mine")
    found = keys(asked(capsys, "check", tmp_path / "mine")) - SHARED
    assert {"what", "where", "mend"} <= found <= named("check")


def test_the_keys_of_a_recorded_pass_and_of_points(farm, tmp_path, capsys):
    words = (
        "--field",
        "three_dates",
        "--product",
        "Herbicide B",
        "--end",
        "2026-06-20",
        "--today",
        "2026-07-08",
    )
    found = keys(asked(capsys, "done", farm, *words)) - SHARED
    assert found == named("done") - {"name", "today", "not_recorded", "is_due", "failures"}
    points = tmp_path / "points.csv"
    points.write_text("date,lat,lon,n,r1\n2026-07-08,1.0,1.0,20,9\n", encoding="utf-8")
    found = keys(asked(capsys, "scout", farm, "--add", points)) - SHARED
    assert found == named("scout with `--add`")
