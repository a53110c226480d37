"""Files as they should not be: `sprayworth strips` says what is wrong, or bears with it; it never breaks."""

import csv
import json
import shutil
import tomllib
from datetime import datetime
from pathlib import Path

import pytest
from made_harvested import FIELD, copied_farm

from cli.main import main
from zoning import harvest


@pytest.fixture(scope="module")
def kept(tmp_path_factory) -> Path:
    return copied_farm(tmp_path_factory.mktemp("farm"))


@pytest.fixture
def field(kept, tmp_path) -> Path:
    copy = tmp_path / kept.name
    shutil.copytree(kept, copy)
    return copy / FIELD


def rows_of(field) -> list[list[str]]:
    return list(csv.reader((field / "harvest" / "yield.csv").read_text(encoding="utf-8").splitlines()))


def put(field, rows) -> None:
    text = "\n".join(",".join(row) for row in rows) + "\n"
    (field / "harvest" / "yield.csv").write_text(text, encoding="utf-8")


def call(capsys, field, *arguments):
    """Give the code and the object, or the lines that say why there is none."""
    with pytest.raises(SystemExit) as end:
        main(["strips", str(field), "--json", "--quiet", *(str(one) for one in arguments)])
    said = capsys.readouterr()
    if end.value.code:
        assert not said.out
        return end.value.code, said.err.strip().splitlines()
    assert not said.err
    return 0, json.loads(said.out)


@pytest.fixture
def plain(field, capsys) -> dict:
    return call(capsys, field, "--no-learning")[1]["response"]


def test_a_file_of_one_point_is_no_answer_and_no_fault(field, capsys):
    rows = rows_of(field)
    put(field, [rows[0], rows[2500]])
    code, whole = call(capsys, field)
    assert code == 0
    assert whole["response"] is None
    assert not any(one["counts"] for one in whole["pairs"])


def test_points_without_a_place_are_counted_and_left_out(field, capsys, plain):
    head, *rows = rows_of(field)
    put(field, [head, *([row[0], "", "", *row[3:]] if at % 10 == 0 else row for at, row in enumerate(rows))])
    code, whole = call(capsys, field)
    assert code == 0
    assert "harvest.no_place" in [one["code"] for one in whole["notes"]]
    assert whole["response"]["mean_bu_ac"] == pytest.approx(plain["mean_bu_ac"], abs=0.5)


def test_impossibly_large_amounts_count_as_empty(field, capsys, plain):
    head, *rows = rows_of(field)
    put(
        field,
        [head, *([*row[:3], "1e308", *row[4:]] if at % 20 == 0 else row for at, row in enumerate(rows))],
    )
    code, whole = call(capsys, field)
    assert code == 0
    assert "harvest.impossible" in [one["code"] for one in whole["notes"]]
    assert whole["response"]["mean_bu_ac"] == pytest.approx(plain["mean_bu_ac"], abs=0.5)


def test_a_file_that_was_exported_twice_says_the_same(field, capsys, plain):
    head, *rows = rows_of(field)
    put(field, [head, *rows, *rows])
    code, whole = call(capsys, field)
    assert code == 0
    assert "harvest.twice" in [one["code"] for one in whole["notes"]]
    assert whole["response"] == plain


def test_drawn_strips_with_numbers_beyond_reason_are_refused(field, capsys):
    drawn = json.loads((field / "strips" / "design.geojson").read_text(encoding="utf-8"))
    for one in drawn["features"]:
        one["properties"]["pair"] *= 10**25
    (field / "drawn.geojson").write_text(json.dumps(drawn), encoding="utf-8")
    code, lines = call(capsys, field, "--strips", field / "drawn.geojson")
    assert code == 3
    assert all("is no number of a pair" in line for line in lines)


def test_what_another_harvest_taught_meanwhile_stays(field):
    found = harvest.trial(field, harvest.Asked())
    learned, book = field.parent / "learned.toml", field.parent / "season.csv"
    entry = '[[trial]]\nseason = 2026\nfield = "other"\npressure = "low"\n'
    entry += "mean_bu_ac = 1.0\nse_bu_ac = 1.0\npairs = 4\n"
    learned.write_text(learned.read_text(encoding="utf-8") + entry, encoding="utf-8")
    row = "2026,other" + "," * (book.read_text(encoding="utf-8").splitlines()[0].count(",") - 1)
    book.write_text(book.read_text(encoding="utf-8").rstrip("\n") + f"\n{row}\n", encoding="utf-8")
    harvest.write(found, field)
    fields = [one["field"] for one in tomllib.loads(learned.read_text(encoding="utf-8"))["trial"]]
    assert {"other", FIELD} <= set(fields)
    fields = [line.split(",")[:2] for line in book.read_text(encoding="utf-8").splitlines()]
    assert ["2026", "other"] in fields
    assert ["2026", FIELD] in fields


@pytest.mark.parametrize("per_s", [1 / 86_400, 1000.0])
def test_times_in_days_or_milliseconds_are_no_seconds(field, capsys, per_s):
    head, *rows = rows_of(field)
    start = datetime.fromisoformat(rows[0][0])
    after_s = [(datetime.fromisoformat(row[0]) - start).total_seconds() for row in rows]
    put(field, [head, *([f"{at * per_s:.6f}", *row[1:]] for at, row in zip(after_s, rows, strict=True))])
    code, lines = call(capsys, field)
    assert code == 3
    assert len(lines) == 1
    assert "by its times and places the combine drove at" in lines[0]


def test_the_first_trial_is_learned_where_own_trials_are_the_source_already(field, capsys):
    (field.parent / "learned.toml").unlink()
    assert call(capsys, field)[0] == 0
    learned = tomllib.loads((field.parent / "learned.toml").read_text(encoding="utf-8"))["trial"]
    assert {(one["season"], one["field"]) for one in learned} == {(2026, FIELD)}
