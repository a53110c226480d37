"""Every block of the how-to can be used as it stands: commands parse, settings are read, tables too."""

import csv
import importlib
import tomllib
from datetime import date
from io import StringIO
from pathlib import Path

import click
import pytest
import tomlkit
from made_folders import FIELD, MONEY, PRODUCT, RESPONSE, SPRAYER, TOP, field_folder
from page_blocks import blocks, command_lines, inline_commands

from cli.main import COMMANDS, commands
from zoning.inputs import done
from zoning.inputs.scouting import points, unplaced
from zoning.settings.read import load

DOCS = Path(__file__).parents[2] / "docs"
HOW_TO = DOCS / "how-to.md"
BLOCKS = blocks(HOW_TO)
OTHER_PROGRAMS = {"dask"}
WITH_COMMANDS = [
    DOCS.parent / "README.md",
    *(DOCS / name for name in ("how-to.md", "tutorial.md", "extend.md", "how-to-cite.md")),
    *sorted((DOCS / "explanation").glob("*.md")),
    *sorted((DOCS / "reference").glob("*.md")),
]
# What a block of settings leaves out because it speaks of one thing: it is filled in around it.
BANDS = {"red": 1, "rededge": 2, "nir": 3}
AROUND = {
    "imagery": {"file": "a.tif", "bands": BANDS, "index": "NDRE", "date": date(2026, 7, 1)},
    "layer": {"name": "x", "file": "x.tif"},
}
PLACEHOLDERS = ("FIELD", "FARM", "DIR", "PATH", "FILE", "NAME")
NO_COMMANDS = ("sprayworth decisions",)  # what decisions.json says of itself


def ids(language):
    return [pytest.param(one, id=f"line {one.line}") for one in BLOCKS if one.language == language]


# -- commands ------------------------------------------------------------------------------------------------


def parses(words):
    """Let the command's own parser take the words; nothing is run and no file is looked for."""
    if words[1:] and words[1].startswith("-"):
        assert words[1] in ("--version", "--help", "-h"), words
        return
    assert set(words[1:2]) & set(COMMANDS), words
    command = importlib.import_module(f"cli.{words[1]}").command
    if isinstance(command, click.Group) and words[2:] and not words[2].startswith("-"):
        command = command.get_command(click.Context(command), words[2])
        assert command is not None, words
        words = [words[0], f"{words[1]} {words[2]}", *words[3:]]
    # the names of help stay with the command, so they are the program's own
    around = click.Context(commands, help_option_names=["-h", "--help"])
    context = click.Context(command, info_name=words[1], parent=around, resilient_parsing=True)
    values, left, _ = command.make_parser(context).parse_args(args=list(words[2:]))
    assert not left, words
    for parameter in command.params:  # a choice that is none, or a number that is none, is found out
        given = values.get(parameter.name)
        if (
            isinstance(given, str)
            and not isinstance(parameter.type, click.Path)
            and given not in PLACEHOLDERS
        ):
            parameter.type.convert(given, parameter, context)


@pytest.mark.parametrize("block", ids("sh"))
def test_every_command_line_parses(block):
    found = command_lines(block)
    assert found
    for words in found:
        if words[0] not in OTHER_PROGRAMS:
            assert words[0] == "sprayworth", words
            parses(words)


@pytest.mark.parametrize("page", WITH_COMMANDS, ids=lambda page: page.name)
def test_every_command_in_running_text_parses(page):
    for words in inline_commands(page):
        if " ".join(words) not in NO_COMMANDS:
            parses(words)


def test_a_wrong_option_is_found_out():
    for wrong in (
        ["run", "x", "--sed", "3"],
        ["run", "x", "--seed", "many"],
        ["rnu", "x"],
        ["run", "a", "b"],
    ):
        with pytest.raises((AssertionError, click.UsageError)):
            parses(["sprayworth", *wrong])


# -- settings ------------------------------------------------------------------------------------------------


def merged(base, shown):
    """Lay shown settings over a farm that has everything; those of a list over the first of the list."""
    for key, value in shown.items():
        if isinstance(value, dict) and key in base:
            base[key] = {**base[key], **value}
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            first = base.get(key, [AROUND.get(key, {})])[0]
            base[key] = [{**first, **one} for one in value]
        else:
            base[key] = value
    return base


@pytest.mark.parametrize("block", ids("toml"))
def test_every_block_of_settings_is_accepted(block, tmp_path):
    shown = tomllib.loads(block.text)
    base = tomllib.loads(TOP + MONEY + PRODUCT + RESPONSE + SPRAYER)
    field = tomllib.loads(FIELD)
    if "planting" in shown:
        field.pop("planting", None)
    of_field = {"boundary", "planting", "imagery", "layer", "zones", "guidance", "heading_deg"}
    of_field |= {"setback", "dead_ground", "scouting"}
    if "machine" in block.text:  # an own machine has no bill
        base["money"].pop("pass", None)
    farm = merged(base, {key: value for key, value in shown.items() if key not in of_field})
    field = merged(field, {key: value for key, value in shown.items() if key in of_field})
    settings = load(field_folder(tmp_path, tomlkit.dumps(farm), tomlkit.dumps(field)), is_over=True)
    named = {
        ".".join((table, key)) for table, inner in shown.items() if isinstance(inner, dict) for key in inner
    }
    assert named <= {key.split("[")[0] for key in settings.origin} | set(settings.origin)


# -- tables --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("block", ids("csv"))
def test_every_table_is_read(block, tmp_path):
    path = tmp_path / "table.csv"
    path.write_text(block.text, encoding="utf-8")
    rows = list(csv.DictReader(StringIO(block.text)))
    if "field" in rows[0]:
        found = done.read(path, "America/Chicago", is_metric=False)
        assert [one.field for one in found] == [one["field"] for one in rows]
    elif "planted" in rows[0]:
        asked = unplaced.Planting(date(2026, 5, 6), 2.1)
        found, refused = unplaced.read(path, [asked], date(2026, 7, 8))
        assert [len(one) for one in found] == [len(rows)]
        assert not refused
    else:
        assert len(points.read(path, path.name)) == len(rows)


def test_every_kind_of_block_is_tried():
    tried = {"sh", "toml", "csv", "text", "python"}
    assert {one.language for one in BLOCKS} == tried
    assert sum(one.language == "toml" for one in BLOCKS) > 20
    assert sum(one.language == "sh" for one in BLOCKS) >= 15
