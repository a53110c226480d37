"""season.csv: written and read back without loss, edited by hand, and refused cell by cell."""

from dataclasses import replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.errors import InputError
from zoning.evidence import number
from zoning.inputs.season_book import COLUMNS, BookRow, as_text, read, with_rows

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "files.md"
FULL = BookRow(
    season=2025,
    field="north_40",
    zone=2,
    block="A",
    variety="P19, early",
    maturity_group=1.9,
    planted=date(2025, 5, 6),
    r3_forecast=date(2025, 7, 12),
    r3_forecast_sd_d=3.8,
    r3_seen=date(2025, 7, 9),
    r3_seen_sd_d=1.62,
    action="skip",
    sprayed=False,
    chance_pays=0.41,
    net_usd_ac=-3.25,
    response_bu_ac=1.1,
    response_se_bu_ac=1.4,
    chance_paid=0.22,
)


def book(folder: Path, text: str) -> Path:
    path = folder / "season.csv"
    path.write_text(text, encoding="utf-8")
    return path


def faults(path: Path) -> list[str]:
    with pytest.raises(InputError) as caught:
        read(path)
    return [str(one) for one in caught.value.faults]


words = st.text(st.characters(exclude_categories=("Cs", "Cc", "Zs", "Zl", "Zp")), max_size=9)
names = words.map(lambda text: f"f{text}")
chances = st.none() | st.floats(0, 1)
amounts = st.none() | st.floats(-1e6, 1e6)
sds = st.none() | st.floats(0.01, 30)


@st.composite
def rows(draw: st.DrawFn) -> BookRow:
    season = draw(st.integers(1990, 2090))
    days = st.none() | st.dates(date(season, 6, 20), date(season, 7, 25))
    return BookRow(
        season=season,
        field=draw(names),
        zone=draw(st.integers(0, 99)),
        block=draw(words),
        variety=draw(words),
        maturity_group=draw(st.none() | st.floats(-2, 10)),
        planted=draw(days),
        r3_forecast=draw(days),
        r3_forecast_sd_d=draw(sds),
        r3_seen=draw(days),
        r3_seen_sd_d=draw(sds),
        action=draw(st.sampled_from(["spray", "skip", ""])),
        sprayed=draw(st.sampled_from([True, False, None])),
        chance_pays=draw(chances),
        net_usd_ac=draw(amounts),
        response_bu_ac=draw(amounts),
        response_se_bu_ac=draw(st.none() | st.floats(0, 50)),
        chance_paid=draw(chances),
    )


def key(row: BookRow) -> tuple[object, ...]:
    return row.season, row.field.casefold(), row.zone, row.block, row.variety


@given(st.lists(rows(), max_size=6, unique_by=key))
def test_what_is_written_is_read_back(made):
    with TemporaryDirectory() as folder:
        assert read(book(Path(folder), as_text(made))) == tuple(made)


def test_a_full_row_and_none(tmp_path):
    assert read(book(tmp_path, as_text([FULL]))) == (FULL,)
    assert as_text([FULL]).splitlines()[0].split(",") == list(COLUMNS)
    assert read(book(tmp_path, as_text([]))) == ()
    assert read(tmp_path / "nobody wrote it.csv") == ()


def test_a_season_typed_by_hand_needs_few_columns(tmp_path):
    text = "season,field,r3_forecast,r3_seen\n2024,north_40,2024-07-12,2024-07-09\n\n2025,north_40,,\n"
    first, second = read(book(tmp_path, text))
    assert first == BookRow(
        season=2024, field="north_40", r3_forecast=date(2024, 7, 12), r3_seen=date(2024, 7, 9)
    )
    assert second == BookRow(season=2025, field="north_40")


def test_columns_of_your_own_stay_with_their_zone(tmp_path):
    text = "Season,Field,zone,rain,who said\n2024,north,1,wet,Ann\n2024,north,2,,Bo\n"
    old = read(book(tmp_path, text))
    assert old[0].more == (("rain", "wet"), ("who said", "Ann"))
    fresh = [BookRow(season=2024, field="north", zone=zone, chance_paid=0.5) for zone in (1, 2, 3)]
    whole = with_rows(old, fresh)
    assert read(book(tmp_path, as_text(whole)))[0].more == old[0].more
    assert [dict(one.more).get("who said") for one in whole] == ["Ann", "Bo", None]
    # where no plan made zones, with their block
    blocks = [BookRow(season=2024, field="north", block=block, more=(("rain", block),)) for block in "AB"]
    again = with_rows(blocks, [replace(one, more=()) for one in (*blocks, replace(blocks[0], block="C"))])
    assert [one.more for one in again] == [(("rain", "A"),), (("rain", "B"),), ()]


def test_a_table_with_semicolons_and_decimal_commas(tmp_path):
    text = "season;field;zone;chance_pays;maturity_group;sprayed\n2024;north;1;0,62;II;Yes\n"
    (row,) = read(book(tmp_path, text))
    assert (row.chance_pays, row.maturity_group, row.sprayed) == (0.62, 2.0, True)


def test_all_faults_are_said_by_their_lines(tmp_path):
    text = (
        "season,field,zone,r3_forecast,r3_seen,chance_pays,action,sprayed,r3_seen_sd_d\n"
        "24,north,1,2024-07-12,2024-07-09,,,,\n"
        ",,1,,,,,,\n"
        "2024,north,x,07/12/2024,2024-07-09,62,maybe,perhaps,0\n"
        "2024,north,2,2024-07-12,2025-07-09,,,,\n"
        "2024,north,3,2024-07-12,2024-09-09,,,,\n"
        "2024,north,4,,,nan,,,\n"
        "2024,North,5,,,,,,\n"
        "2024,north,5,,,,,,\n"
    )
    told = faults(book(tmp_path, text))
    lines = [one.split(":")[1] for one in told]
    assert lines[:-1] == ["2", "3", "3", "4", "4", "4", "4", "4", "4", "5", "5", "6", "7"]
    assert "stands twice" in told[-1]
    for part in ("no year", "is empty", "not a date", "neither spray nor skip", "neither yes nor no"):
        assert any(part in one for one in told)
    assert any("another season" in one for one in told)
    assert any("days from r3_forecast" in one for one in told)


def test_a_table_without_season_or_field_is_refused(tmp_path):
    (told,) = faults(book(tmp_path, "year,zone\n2024,1\n"))
    assert "no column season or field" in told


def test_one_mistake_in_every_row_stays_readable(tmp_path):
    text = "season,field\n" + "24,north\n" * 90
    told = faults(book(tmp_path, text))
    assert len(told) < 30
    assert "more faults" in told[-1]


def test_a_season_is_replaced_whole_and_others_stay():
    other_field = replace(FULL, field="south")
    earlier = replace(FULL, season=2023)
    old = [FULL, replace(FULL, zone=3), other_field, earlier]
    new = [replace(FULL, field="North_40", zone=1)]
    assert with_rows(old, new) == (earlier, new[0], other_field)
    assert with_rows(old, []) == (earlier, FULL, replace(FULL, zone=3), other_field)
    assert with_rows(with_rows(old, new), new) == with_rows(old, new)
    assert old[0] is FULL, "the old book is not changed"


@given(st.lists(rows(), max_size=6, unique_by=key), st.lists(rows(), max_size=4, unique_by=key))
def test_every_other_season_and_field_stays(old, new):
    replaced = {(row.season, row.field.casefold()) for row in new}
    made = with_rows(old, new)
    kept = [row for row in old if (row.season, row.field.casefold()) not in replaced]
    assert sorted(made, key=repr) == sorted([*kept, *new], key=repr)
    assert [row.season for row in made] == sorted(row.season for row in made)


def test_the_page_names_every_column_and_limit():
    section = PAGE.read_text(encoding="utf-8").split("\n## season.csv\n")[1].split("\n## ")[0]
    rows = [line.split("`")[1] for line in section.splitlines() if line.startswith("| `")]
    assert rows == list(COLUMNS)
    assert f"more than {number('inputs.r3_off_most_d'):.0f} days from" in section
    assert f"then {number('stage.r3_noted_sd_d'):.0f} days are taken" in section
