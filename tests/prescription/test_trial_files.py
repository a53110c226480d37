"""trial.json, points.csv and trial.gpkg: their keys stand in the docs, and another library reads the same."""

import csv
import io
import re
from dataclasses import replace
from pathlib import Path

import fiona
import numpy as np
import pytest
from made_trials import MadeTrial, made_trial
from pyproj import Transformer

from zoning.inputs import season_book
from zoning.prescription import of_a_trial
from zoning.prescription.of_a_trial import layers, points_csv
from zoning.strips.cleaned.rules import RULES
from zoning.words import SENTENCES

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "trial_files.md"


def named(text: str) -> set[str]:
    return set(re.findall(r"`([a-z][a-z0-9_]*)`", text))


def keys_of(thing: object) -> set[str]:
    if isinstance(thing, dict):
        return set(thing).union(*(keys_of(one) for one in thing.values()))
    if isinstance(thing, list):
        return set().union(*(keys_of(one) for one in thing))
    return set()


def test_every_key_of_the_object_is_named_on_its_page():
    whole = of_a_trial.as_object(made_trial())
    del whole["columns"]  # its keys are roles of columns
    rows = whole["season_book"].pop("rows")
    assert keys_of(whole) <= named(PAGE.read_text(encoding="utf-8"))
    assert all(tuple(row) == season_book.COLUMNS for row in rows)  # they stand on the page of files


def figures_of(thing: object, at: str = "") -> list[tuple[str, float]]:
    if isinstance(thing, dict):
        return [found for key, one in thing.items() for found in figures_of(one, f"{at}.{key}")]
    if isinstance(thing, list | tuple):
        return [found for one in thing for found in figures_of(one, at)]
    return [(at, thing)] if isinstance(thing, float) else []


def test_figures_of_the_object_have_six_decimals():
    figures = figures_of(of_a_trial.as_object(made_trial()))
    assert len(figures) > 100
    assert [at for at, value in figures if value != round(value, 6)] == []


def test_rows_of_the_book_come_back_as_they_stand_in_it():
    result = made_trial()
    rows = of_a_trial.as_object(result)["season_book"]["rows"]
    sheet = list(csv.DictReader(io.StringIO(season_book.as_text(result.book.rows))))
    assert len(rows) == len(sheet) > 0
    for row, cells in zip(rows, sheet, strict=True):
        for name, value in row.items():
            if isinstance(value, bool) or value is None:
                assert cells[name] == {None: "", True: "yes", False: "no"}[value]
            else:
                assert type(value)(cells[name]) == value


def test_columns_of_points_are_the_rows_of_their_table():
    part = PAGE.read_text(encoding="utf-8").split("## points.csv")[1].split("| code |")[0]
    told = [
        name for line in part.splitlines() if line.startswith("| `") for name in named(line.split("|")[1])
    ]
    assert sorted(told) == sorted(points_csv.COLUMNS)


def test_every_rule_stands_on_the_page_in_its_order():
    part = PAGE.read_text(encoding="utf-8").split("| code | takes points |")[1].split("\n## ")[0]
    told = re.findall(r"^\| `(\w+)` \| (.*) \|$", part, re.MULTILINE)
    assert told == [(code, SENTENCES[f"cleaning.{code}"]) for code in RULES]


@pytest.mark.parametrize("metric", [False, True])
def test_layers_hold_what_the_object_holds(tmp_path, metric):
    result = replace(made_trial(), units="metric" if metric else "us")
    whole = of_a_trial.as_object(result)
    path = tmp_path / layers.NAME
    path.write_bytes(of_a_trial.layers_bytes(result))
    for layer in ("strips", "zones"):
        with fiona.open(path, layer=layer) as rows:
            got = [dict(one.properties) for one in rows]
        assert len(got) == len(whole[layer])
        for mine, theirs in zip(got, whole[layer], strict=True):
            assert {key: theirs[key] for key in mine} == pytest.approx(mine, nan_ok=True)
        assert metric == any(key.endswith("_kg_ha") for key in got[0])


def test_points_come_back_where_they_were():
    result = made_trial()
    rows = list(csv.DictReader(io.StringIO(of_a_trial.points_text(result))))
    points = result.points
    back = Transformer.from_crs(4326, result.epsg, always_xy=True)
    east, north = back.transform([float(row["lon"]) for row in rows], [float(row["lat"]) for row in rows])
    assert np.allclose(east, points.east_m, atol=0.02)
    assert np.allclose(north, points.north_m, atol=0.02)
    codes = ["", *(one.code for one in result.rules)]
    assert [codes.index(row["removed_by"]) for row in rows] == points.removed_by.tolist()
    assert [int(row["pair"] or 0) for row in rows] == points.pair.tolist()
    yields = np.array([float(row["yield_bu_ac"] or "nan") for row in rows])
    assert np.allclose(yields, points.yield_bu_ac, atol=0.006, equal_nan=True)


def test_a_trial_without_a_pair_that_counts_is_written_too():
    result = made_trial(MadeTrial(pairs=2, out=(1, 2)))
    whole = of_a_trial.as_object(result)
    assert whole["response"] is None
    assert of_a_trial.layers_bytes(result)[:6] == b"SQLite"
