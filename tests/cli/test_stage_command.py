"""`sprayworth stage`: plantings at a place and blocks of a field, after counts; through the entry point."""

import json
import shutil
from datetime import date
from pathlib import Path

import pytest

from cli.main import main

DEMO = Path(__file__).parents[2] / "demo_fields"
WEATHER = DEMO / "heron_slough" / "weather.csv"
PLACE = ("--lat", "44.3", "--weather", WEATHER, "--today", "2026-07-08")
TWO = ("--planted", "2026-05-06", "--planted", "2026-06-01", "--mg", "1.9")
OF_STAGE = {"r1", "r3_early", "r3_likely", "r3_late", "closes", "sd_d"}


@pytest.fixture
def stage(capsys):
    """Exit code, stdout and stderr of one call."""

    def call(*arguments: object) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as end:
            main(["stage", *map(str, arguments)])
        said = capsys.readouterr()
        return end.value.code, said.out, said.err

    return call


@pytest.fixture
def answer(stage):
    """The rows by planting day and group, and the notes, of a call that succeeds."""

    def call(*arguments: object) -> tuple[dict[tuple[str, float], dict], list[dict]]:
        code, out, err = stage(*arguments, "--json")
        assert code == 0, err
        whole = json.loads(out)
        rows = {(row["planted"], row["maturity_group"]): row for row in whole["rows"]}
        assert len(rows) == len(whole["rows"])
        return rows, whole["notes"]

    return call


@pytest.fixture
def counts(tmp_path):
    """Write a table of counts."""

    def write(*lines: str) -> Path:
        path = tmp_path / "counts.csv"
        path.write_text("\n".join([*lines, ""]), encoding="utf-8")
        return path

    return write


def likely(row: dict) -> date:
    return date.fromisoformat(row["stage"]["r3_likely"])


def codes(notes: list[dict]) -> list[str]:
    return [note["code"] for note in notes]


def test_every_planting_date_is_asked_with_every_group_in_the_order_given(answer):
    rows, notes = answer(*TWO, "--mg", "1.4", *PLACE)
    assert list(rows) == [("2026-05-06", 1.9), ("2026-05-06", 1.4), ("2026-06-01", 1.9), ("2026-06-01", 1.4)]
    for row in rows.values():
        assert set(row["stage"]) == OF_STAGE
        assert row["provisional"] is True
        assert row["state"] == "provisional"
        assert row["emerged"] is None
        assert row["stage"]["r3_early"] < row["stage"]["r3_likely"] < row["stage"]["r3_late"]
    assert likely(rows["2026-05-06", 1.4]) < likely(rows["2026-05-06", 1.9]) < likely(rows["2026-06-01", 1.9])
    assert codes(notes).count("questions.walk") == 1


def test_a_row_asked_twice_stands_once(answer):
    rows, _ = answer(
        "--planted", "2026-05-06", "--planted", "2026-05-06", "--mg", "1.9", "--mg", "1.9", *PLACE
    )
    assert len(rows) == 1


def test_the_table_reads_as_a_table(stage):
    code, out, _ = stage(*TWO, *PLACE)
    assert code == 0
    lines = out.splitlines()
    assert lines[1].split() == ["planted", "group", "R1", "early", "likely", "late", "closes", "d", "state"]
    assert lines[2].split()[:2] == ["2026-05-06", "1.9"]
    assert lines[2].split()[-1] == "provisional"
    assert max(map(len, lines[:4])) < 80
    assert all(line.startswith("- ") for line in lines[5:])
    assert "closes when R4 begins" in lines[-1]


def test_days_beyond_new_year_carry_their_year(stage):
    weather = DEMO / "ombu_bend" / "weather.csv"
    code, out, err = stage(
        "--planted",
        "2025-11-20",
        "--mg",
        "4.8",
        "--lat",
        "-33.9",
        "--weather",
        weather,
        "--today",
        "2026-01-05",
    )
    assert code == 0, err
    row = next(line for line in out.splitlines() if line.startswith("2025-11-20"))
    assert ", 2026" in row


@pytest.mark.parametrize(
    ("lines", "moves"),
    [
        (("date,stage,k,n,planted", "2026-07-07,R3,12,20,2026-05-06"), -1),
        (("date,v,r1,r2,r3,r4,r5,n,planted", "2026-07-07,0,0,4,16,0,0,20,2026-05-06"), -1),
        (("date,pod_in,planted", "2026-07-07,0.3,2026-05-06"), -1),
        (("date,pod_mm,planted", "2026-07-07,9,2026-05-06"), -1),
        (("date,stage,planted", "2026-07-07,R3,2026-05-06"), -1),
        (("planted;day;STAGE;K;N", "2026-05-06;2026-07-07;r1;0;20"), 1),
        (("date,v,planted,group", "2026-07-07,20,2026-05-06,1.9"), 1),
    ],
)
def test_a_count_of_any_form_moves_its_planting_and_the_other_the_same_way(answer, counts, lines, moves):
    before, _ = answer(*TWO, *PLACE)
    after, notes = answer(*TWO, *PLACE, "--counts", counts(*lines))
    own, other = ("2026-05-06", 1.9), ("2026-06-01", 1.9)
    assert after[own]["state"] == "counted"
    assert after[own]["provisional"] is False
    assert after[other]["provisional"] is True
    shift_d = {key: (likely(after[key]) - likely(before[key])).days for key in (own, other)}
    assert shift_d[own] * moves > 0
    assert 0 < shift_d[other] * moves <= shift_d[own] * moves
    assert after[own]["stage"]["sd_d"] < after[other]["stage"]["sd_d"] < before[other]["stage"]["sd_d"]
    assert not [note for note in notes if note["code"].startswith("inputs.count")]


def test_one_planting_needs_no_column_that_names_it(answer, counts):
    one = ("--planted", "2026-05-06", "--mg", "1.9", *PLACE)
    rows, _ = answer(*one, "--counts", counts("date,stage,k,n", "2026-07-07,R3,2,20"))
    assert rows["2026-05-06", 1.9]["state"] == "counted"


def test_the_group_alone_says_which_planting_where_days_do_not(answer, counts):
    asked = ("--planted", "2026-05-06", "--mg", "1.4", "--mg", "1.9", *PLACE)
    rows, _ = answer(*asked, "--counts", counts("date,stage,k,n,mg", "2026-07-07,R2,5,20,1.9"))
    assert rows["2026-05-06", 1.9]["state"] == "counted"
    assert rows["2026-05-06", 1.4]["state"] == "provisional"


def test_bad_rows_are_a_line_each_and_the_good_one_is_used(answer, counts):
    good = "2026-07-07,R2,11,20,2026-05-06,,ana"
    table = counts(
        "date,stage,k,n,planted,maturity_group,observer",
        good,
        "2026-07-07,R3,21,20,2026-05-06,,",
        "2026-07-09,R3,2,20,2026-05-06,,",
        "2026-05-20,R1,2,20,2026-06-01,,",
        "2026-07-07,R9,2,20,2026-05-06,,",
        "2026-07-07,R3,2,20,,,",
        "2026-07-07,R3,2,20,2026-05-07,,",
        "2026-07-07,R3,2,20,2026-05-06,2.3,",
        "2026-07-07,R3,2,20,2026-05-06,two,",
        "2026-07-07,R3,2,20,6 May,,",
        "yesterday,R3,2,20,2026-05-06,,",
        ",,,,2026-05-06,,",
        "2026-07-07,,,,2026-05-06,,",
        good,
        "2026-07-07,R2,5,10,2026-05-06,,juan",
    )
    rows, notes = answer(*TWO, *PLACE, "--counts", table)
    told = {
        int(note["text"].split(":")[1]): note["code"]
        for note in notes
        if note["text"].startswith("counts.csv:")
    }
    assert told == {
        3: "inputs.count_k_above_n",
        4: "inputs.scouting_later",
        5: "inputs.scouting_planting",
        6: "inputs.count_stage",
        7: "inputs.count_any_planting",
        8: "inputs.count_no_planting",
        9: "inputs.count_no_planting",
        10: "inputs.count_group",
        11: "inputs.scouting_date",
        12: "inputs.scouting_date",
        13: "inputs.scouting_date",
        14: "inputs.count_no_count",
        15: "inputs.scouting_twice",
        16: "inputs.count_observers",
    }
    alone, _ = answer(
        *TWO, *PLACE, "--counts", counts("date,stage,k,n,planted", "2026-07-07,R2,11,20,2026-05-06")
    )
    assert {key: row["stage"] for key, row in rows.items()} == {
        key: row["stage"] for key, row in alone.items()
    }


def test_two_counts_on_one_plot_are_one_and_apart_are_two(answer, counts):
    one = ("--planted", "2026-05-06", "--mg", "1.9", *PLACE)
    header, first = "date,stage,k,n,lat,lon", "2026-07-07,R2,11,20,44.3000,-95.4000"
    _, notes = answer(*one, "--counts", counts(header, first, "2026-07-07,R2,4,10,44.30001,-95.4000"))
    assert "inputs.count_plot" in codes(notes)
    near, _ = answer(*one, "--counts", counts(header, first))
    apart, notes = answer(*one, "--counts", counts(header, first, "2026-07-07,R2,11,20,44.3040,-95.4000"))
    assert "inputs.count_plot" not in codes(notes)
    key = ("2026-05-06", 1.9)
    assert apart[key]["stage"]["sd_d"] < near[key]["stage"]["sd_d"]


def test_a_count_far_from_the_model_and_plants_of_two_ages_are_said(answer, counts):
    one = ("--planted", "2026-05-06", "--mg", "1.9", *PLACE)
    _, notes = answer(*one, "--counts", counts("date,stage,k,n", "2026-06-25,R3,18,20"))
    said = [note["text"] for note in notes if note["code"] == "stage.count_contradicts"]
    assert len(said) == 1
    assert "the planting of May 6" in said[0]
    _, notes = answer(*one, "--counts", counts("date,v,r1,r2,r3,r4,r5", "2026-07-07,15,0,0,0,0,15"))
    assert "stage.two_ages" in codes(notes)


def test_a_table_without_dates_or_without_rows_is_refused(stage, counts):
    code, _, err = stage(*TWO, *PLACE, "--counts", counts("stage,k,n", "R3,2,20"))
    assert code == 3
    assert "no column date" in err
    code, _, err = stage(*TWO, *PLACE, "--counts", counts("date,stage,k,n"))
    assert code == 0  # waits for the first walk
    code, _, err = stage(*TWO, *PLACE, "--counts", "no_such.csv")
    assert code == 2
    assert "no_such.csv" in err


def test_an_observed_emergence_takes_the_place_of_the_model_s(answer):
    modelled, _ = answer(*TWO, *PLACE)
    late, _ = answer(*TWO, "--emerged", "2026-05-30", "--emerged", "2026-06-20", *PLACE)
    for key, row in late.items():
        assert row["emerged"] is not None
        assert likely(row) > likely(modelled[key])
    all_at_once, _ = answer(*TWO, "--emerged", "2026-06-10", *PLACE)
    assert {row["emerged"] for row in all_at_once.values()} == {"2026-06-10"}
    assert len({row["stage"]["r3_likely"] for row in all_at_once.values()}) == 1


def test_the_table_shows_emergence_where_it_is_given(stage):
    _, out, _ = stage(*TWO, "--emerged", "2026-05-14", "--emerged", "2026-06-08", *PLACE)
    assert out.splitlines()[1].split()[:3] == ["planted", "emerged", "group"]
    assert "2026-06-08" in out.splitlines()[3]


@pytest.mark.parametrize(
    ("arguments", "phrase"),
    [
        (("--emerged", "2026-05-05"), "emergence on 2026-05-05 is before the planting on 2026-05-06"),
        (("--emerged", "2026-07-09"), "emergence on 2026-07-09 lies after today, 2026-07-08"),
        (
            ("--emerged", "2026-06-08", "--emerged", "2026-06-09", "--emerged", "2026-06-10"),
            "3 emergence dates",
        ),
        (("--planted", "9999-12-31"), "lies too far from today"),
        (("--planted", "0026-05-06"), "lies too far from today"),
        (("--lat", "66.5"), "not in the range"),
        (("--lat", "nan"), "not a number"),
        (("--mg", "nan"), "not a number"),
        (("--mg", "11"), "not in the range"),
        (("--planted", "6 May"), "is not a date"),
    ],
)
def test_what_cannot_be_is_refused_in_words(stage, arguments, phrase):
    code, out, err = stage(*TWO, *PLACE, *arguments)
    assert code == 2
    assert phrase in err
    assert out == ""
    assert "Traceback" not in err


def test_without_weather_the_message_says_what_is_missing(stage):
    code, out, _ = stage(*TWO, "--mg", "2.4", "--lat", "44.3", "--today", "2026-07-08")
    assert code == 0  # the calendar knows group 2.4
    assert "no weather file: stage dates come from a calendar table" in out
    assert "no dates for the planting of May 6, group 1.9: without daily weather" in out
    rows = [line.split() for line in out.splitlines() if line.startswith("2026-")]
    assert {cells[1]: cells[2] == "-" for cells in rows} == {"1.9": True, "2.4": False}
    code, out, err = stage(*TWO, "--lat", "31", "--today", "2026-07-08")
    assert code == 2
    assert out == ""
    assert len(err.splitlines()) == 2
    for line in err.splitlines():
        assert "latitude 31.0 is outside 38 to 46" in line
        assert "add --weather FILE" in line
        assert "date,tmin_c,tmax_c" in line


@pytest.mark.parametrize(("latitude_deg", "beyond"), [(50, False), (59.5, False), (63, True)])
def test_latitudes_without_plots_and_beyond_all_soybean_are_said(answer, latitude_deg, beyond):
    place = ("--lat", latitude_deg, "--weather", WEATHER, "--today", "2026-07-08")
    _, notes = answer("--planted", "2026-05-06", "--mg", "-2", *place)
    assert ("questions.latitude_far" in codes(notes)) == beyond
    assert "stage.latitude_unseen" in codes(notes)


def test_where_nothing_comes_to_r3_each_planting_is_one_line(stage):
    # late groups under the long days of 60 N, in the weather of 44 N: they do not flower in time
    place = ("--lat", 60, "--weather", WEATHER, "--today", "2026-07-08")
    code, out, err = stage("--planted", "2026-05-06", "--planted", "2026-06-20", "--mg", 8, "--mg", 9, *place)
    assert code == 3
    assert out == ""
    assert len(err.splitlines()) == 2
    assert "no dates for the planting of May 6, groups 8, 9: it does not come to R" in err


def test_a_planting_to_come_is_answered_and_not_walked_yet(answer):
    rows, notes = answer("--planted", "2027-05-06", "--mg", "1.9", *PLACE)
    assert likely(rows["2027-05-06", 1.9]).year == 2027
    assert not [code for code in codes(notes) if code.startswith("questions.walk")]


def test_walks_on_many_days_are_one_line(answer):
    planted = [part for day in range(5, 30, 4) for part in ("--planted", f"2026-05-{day:02d}")]
    _, notes = answer(*planted, "--mg", "1.9", *PLACE)
    assert codes(notes).count("questions.walk_each") == 1


def test_a_field_says_which_blocks_are_counted_and_when_to_walk_the_others(tmp_path, stage):
    farm = tmp_path / "heron_slough"
    shutil.copytree(DEMO / "heron_slough", farm, ignore=shutil.ignore_patterns("out", "out.*", "strips"))
    code, out, err = stage(farm / "three_dates", "--json")
    assert code == 0, err
    whole = json.loads(out)
    states = {row["block"]: row["state"] for row in whole["rows"]}
    assert set(states.values()) == {"counted", "provisional"}
    walks = [note["text"] for note in whole["notes"] if note["code"] == "questions.walk"]
    assert len(walks) == 1
    for block, state in states.items():
        assert (f"block {block}" in walks[0]) == (state == "provisional")
    (farm / "three_dates" / "scouting.csv").write_text("date,lat,lon,pressure,cause\n", encoding="utf-8")
    code, out, err = stage(farm / "three_dates", "--json")
    assert code == 0, err
    without = {row["block"]: row for row in json.loads(out)["rows"]}
    assert {row["state"] for row in without.values()} == {"provisional"}
    for row in whole["rows"]:
        assert row["stage"]["sd_d"] < without[row["block"]]["stage"]["sd_d"]


def test_a_field_and_a_planting_at_once_are_refused(stage):
    code, _, err = stage(DEMO / "heron_slough" / "three_dates", "--mg", "2", "--lat", "0")
    assert code == 2
    assert "--mg, --lat" in err


def test_the_same_question_gives_the_same_answer_and_another_seed_another(stage):
    asked = (*TWO, *PLACE, "--json")
    assert stage(*asked)[1] == stage(*asked)[1]
    assert stage(*asked)[1] != stage(*asked, "--seed", "5")[1]
