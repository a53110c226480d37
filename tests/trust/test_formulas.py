"""No text that came from outside is a formula where a person opens a table that we wrote."""

import csv
import io
from datetime import date, datetime

import made_farm_plans
import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.errors import InputError
from zoning.inputs import done, season_book, spreadsheet
from zoning.inputs.scouting import appending
from zoning.prescription import failures, field_table
from zoning.prescription.as_json import farm_json

BAD = "=cmd|' /C calc'!A0"
TEXTS = st.text(st.sampled_from("=+-@'1a .e\tº"), min_size=1, max_size=8).map(str.strip).filter(bool)


def is_formula(cell):
    """Whether a spreadsheet would reckon with a cell; a number it may."""
    try:
        float(cell)
    except ValueError:
        return len(cell) > 1 and cell[0] in "=+-@"
    return False


def cells_of(text):
    """Every cell below the heading."""
    return [cell for row in list(csv.reader(io.StringIO(text)))[1:] for cell in row]


@given(TEXTS)
def test_a_guarded_text_is_no_formula_and_reads_as_meant(text):
    guarded = spreadsheet.guarded(text)
    assert not is_formula(guarded.replace(",", "."))
    assert spreadsheet.guarded(guarded) == guarded
    if not text.startswith("'"):
        assert spreadsheet.as_meant(guarded) == text


@pytest.mark.parametrize("write", [field_table.text, farm_json.schedule_csv])
def test_tables_of_a_farm(write, monkeypatch):
    farm = made_farm_plans.small_farm()
    assert not any(cell.startswith("'") for cell in cells_of(write(farm)))
    for plan in farm.plans:
        object.__setattr__(plan, "field", BAD)
    cells = cells_of(write(farm))
    assert f"'{BAD}" in cells
    assert not any(map(is_formula, cells))


def test_faults_of_fields_that_failed():
    fault = InputError(BAD, where="@home/field.toml", mend="+1 Mend it.")
    cells = cells_of(failures.text([("-north", fault)]))
    assert cells == ["'-north", f"'{BAD}", "'@home/field.toml", "'+1 Mend it.", "3"]


def test_a_book_of_seasons_holds_no_formula_and_reads_as_meant(tmp_path):
    rows = (season_book.BookRow(season=2025, field=BAD, r3_seen=date(2025, 7, 8), more=(("note", "+see"),)),)
    text = season_book.as_text(rows)
    assert not any(map(is_formula, cells_of(text)))
    (tmp_path / season_book.FILE).write_text(text, encoding="utf-8")
    assert season_book.read(tmp_path / season_book.FILE) == rows


def test_a_pass_on_record_holds_no_formula_and_reads_as_meant(tmp_path):
    row = {
        "field": BAD,
        "end": "2026-07-28 09:20",
        "applicator": "+R",
        "temperature": "-5 C",
        "product": "-x",
    }
    whole = appending.appended(b"", [row], done.FILE)
    assert not any(map(is_formula, cells_of(whole.decode())))
    (tmp_path / done.FILE).write_bytes(whole)
    (one,) = done.read(tmp_path / done.FILE)
    assert (one.field, one.applicator, one.product) == (BAD, "+R", "-x")
    assert (one.end, one.temperature) == (datetime(2026, 7, 28, 9, 20), "-5 C")
