"""docs/reference/files.md names what is written, and nothing else."""

import csv
import json
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import fiona
import pytest
from made_farm_plans import small_farm
from made_no_spray import with_no_spray
from made_plans import Made, made_plan, with_scouting
from made_strips import with_strips

from zoning.errors import InputError
from zoning.offers.provenance import Provenance
from zoning.prescription import failures, farm_layers, field_table, geopackage, shapefile
from zoning.prescription.about import about_farm
from zoning.prescription.as_json.plan_json import as_object, metric_twin
from zoning.prescription.formats import write_all
from zoning.prescription.of_a_pass import geojson, pass_geopackage
from zoning.words import Said

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "files.md"


def tables(heading=""):
    """First cells of each table below a heading of the page, by the line before it."""
    found: dict[str, list[str]] = {}
    title = ""
    page = PAGE.read_text(encoding="utf-8")
    if heading:
        page = page.split(f"\n## {heading}\n", 1)[1].split("\n## ", 1)[0]
    for line in page.splitlines():
        if line and not line.startswith("|"):
            title = line
        elif line.startswith("| `"):
            found.setdefault(title, []).append(re.findall(r"`([^`]+)`", line.split("|")[1])[0])
    return found


def starting(first, heading=""):
    """The names in the table whose first row is `first`."""
    return next(names for names in tables(heading).values() if names[0] == first)


def plan_of(**wanted):
    return made_plan(Made(labels=[[1, 2], [3, 3]], **wanted))


def test_columns_of_the_prescription_with_their_types():
    ours = {column.name: column.kind for metric in (False, True) for column in shapefile.columns(metric)}
    assert set(starting("KIND")) == set(ours)
    page = PAGE.read_text(encoding="utf-8")
    words = {"str": "text ", "float": "number ", "int32": "integer"}
    for name, kind in ours.items():
        base, width = kind.split(":")
        said = words[base] + (width if base != "int32" else "")
        assert f"| `{name}` | {said} |" in page


def test_keys_of_plan_json():
    whole = as_object(plan_of())
    assert starting("schema_version", "plan.json") == list(whole)
    assert starting("zone", "plan.json") == list(whole["zones"][0])
    assert starting("pass") == list(whole["passes"][0])
    assert starting("explained_frac") == list(whole["zoning"])
    assert starting("block") == list(whole["zoning"]["blocks"][0])
    bare = as_object(with_no_spray(plan_of(), {2: "setback"}))
    assert starting("kind") == list(bare["no_spray"][0])
    assert starting("spray_ac") == list(whole["totals"])
    assert starting("date") == list(as_object(with_scouting(plan_of(), counted=[1]))["scouting"][0])
    assert starting("name") == list(whole["zones"][0]["steps"][0])
    assert starting("from") == list(whole["zones"][0]["delay"])
    assert starting("price_usd_bu") == list(whole["zones"][0]["flips"])
    page = PAGE.read_text(encoding="utf-8")
    inner = {
        **whole["totals"]["costs"][0],
        **whole["totals"]["rests_on_frac"],
        **whole["zones"][0]["stage"],
        **whole["zones"][0]["net_usd_ac"],
        **whole["zones"][0]["response_bu_ac"],
        **whole["zones"][0]["by_source"]["pooled trials"],
        **dict.fromkeys(whole["zones"][0]["by_source"]),
    }
    assert all(f"`{key}`" in page for key in inner)


def test_endings_of_metric_twins():
    page = PAGE.read_text(encoding="utf-8")
    for ending in starting("_ac"):
        twin = metric_twin(f"x{ending}")
        assert f"| `{ending}` | `{twin.removeprefix('x')}` |" in page


def test_columns_of_the_boundary_layer_are_named():
    page = PAGE.read_text(encoding="utf-8")
    assert all(f"`{name}`" in page for name in geopackage.columns("boundary", metric=False))


def test_every_layer_of_the_geopackage_is_named(tmp_path):
    page = PAGE.read_text(encoding="utf-8")
    plan = made_plan(Made(labels=[[1, 2, 4], [3, 3, 6]]))
    plan = with_no_spray(with_scouting(plan, counted=[1]), {4: "setback", 6: "dead ground"})
    geopackage.write(plan, tmp_path)
    layers = fiona.listlayers(tmp_path / geopackage.NAME)
    assert len(layers) == 6 + 1  # the styles
    about = page.split("## zones.gpkg")[1].split("##")[0]
    assert all(f"`{layer}`" in about for layer in layers)


def below(title):
    """First cells of every table of one section."""
    section = PAGE.read_text(encoding="utf-8").split(f"\n## {title}\n")[1].split("\n## ")[0]
    rows = [line for line in section.splitlines() if line.startswith("| `")]
    return [re.findall(r"`([^`]+)`", row.split("|")[1])[0] for row in rows]


def test_members_and_properties_of_the_geojson(tmp_path):
    members, rows = {}, {}
    for units in ("us", "metric"):
        plan = plan_of(units=units)
        one = plan.passes[0]
        doubt = replace(one.map, not_followed=(Said("zones.one_response", block="A"),))
        (name,) = geojson.write(replace(plan, passes=(replace(one, map=doubt),)), tmp_path)
        whole = json.loads((tmp_path / name).read_text(encoding="utf-8"))
        members |= {key: None for key in whole if key not in ("type", "features")}
        rows |= whole["features"][0]["properties"]
    assert set(below("passes/P1/P1_0714.geojson")) == {*members, *rows}


def test_columns_of_the_geopackage_of_a_pass(tmp_path):
    page = PAGE.read_text(encoding="utf-8")
    words = {"str": "text", "float": "number"}
    found = {}
    for units in ("us", "metric"):
        (name,) = pass_geopackage.write(plan_of(units=units), tmp_path)
        with fiona.open(tmp_path / name) as file:
            found |= {column: kind.partition(":")[0] for column, kind in file.schema["properties"].items()}
    assert set(below("passes/P1/P1_0714.gpkg")) == set(found)
    about = page.split("\n## passes/P1/P1_0714.gpkg\n")[1].split("\n## ")[0]
    assert all(f"| `{column}` | {words[kind]} |" in about for column, kind in found.items())


def decomposed(column, known):
    """Whether a column is a key of the page, or such keys joined with `_`."""
    return column in known or any(
        column.startswith(f"{key}_") and decomposed(column.removeprefix(f"{key}_"), known) for key in known
    )


@pytest.mark.parametrize("units", ["us", "metric"])
def test_columns_of_every_layer_are_keys_of_the_page(tmp_path, units):
    page = PAGE.read_text(encoding="utf-8")
    section = page.split("\n## zones.gpkg\n")[1].split("\n## ")[0]
    section += page.split("\n## plan.json\n")[1].split("\n## ")[0]
    known = {key.replace(" ", "_") for key in re.findall(r"`([^`\n]+)`", section)}
    twins = {twin for key in known if (twin := metric_twin(key)) is not None}
    inner = {f"{twin}_{part}" for twin in twins for part in ("mean", "p10", "p90", "sd")}
    plan = with_strips(Made(labels=[[1, 2, 2], [3, 3, 3]], units=units), {1: ([1], [2])})
    plan = replace(plan, scouting=with_scouting(plan, counted=[1]).scouting)
    four = made_plan(Made(labels=[[1, 2], [3, 4]], units=units))
    bare = with_no_spray(four, {2: "setback", 4: "dead ground"})
    layers = {}
    for one in (plan, bare):
        geopackage.write(one, tmp_path)
        for layer in fiona.listlayers(tmp_path / geopackage.NAME):
            if layer == "layer_styles":
                continue
            with fiona.open(tmp_path / geopackage.NAME, layer=layer) as file:
                layers[layer] = list(file.schema["properties"])
    assert set(layers) == {layer.name for layer in geopackage.layers(plan)}
    for layer, columns in layers.items():
        unknown = [c for c in columns if not decomposed(c, known | twins | inner)]
        assert not unknown, (layer, unknown)


def test_columns_of_the_files_of_a_farm():
    title = "farm.parquet, farm.gpkg"
    assert {"farm", "field", "run_id"} == set(below(title))
    about = PAGE.read_text(encoding="utf-8").split(f"\n## {title}\n")[1].split("\n## ")[0]
    own = set(farm_layers.columns(metric=False)) - set(geopackage.columns("zones", metric=False))
    assert own == set(below(title))
    assert all(f"`{name}`" in about for name in about_farm(small_farm()))


def test_columns_of_the_table_of_fields():
    assert below("farm.csv") == field_table.columns(metric=False)


def test_keys_of_run_json():
    made = Provenance(
        version="0", today=date(2026, 7, 1), seed=0, settings={}, inputs={"a": "b"}, evidence={"c": "d"}
    )
    assert below("run.json") == [*made.as_object(), "schedule", "plan_hash", "files"]


def test_columns_of_failures(tmp_path):
    failures.write([("north", InputError("what is wrong", where="field.toml", mend="Mend it."))], tmp_path)
    with (tmp_path / "failures.csv").open(encoding="utf-8", newline="") as file:
        assert csv.DictReader(file).fieldnames == below("failures.csv")


def test_files_are_named(tmp_path):
    page = PAGE.read_text(encoding="utf-8")
    beside = {".shx", ".dbf", ".prj", ".cpg", ".qml", ".sld"}  # named once for all sets
    for name in write_all(plan_of(), tmp_path):
        shown = name.replace("0706", "0714").replace("Three_Dates", "<field>")
        assert f"`{Path(name).suffix if Path(name).suffix in beside else shown}`" in page, shown
