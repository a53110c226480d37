"""learned.toml: written and read back, every fault in one line at its place, and how settings take it up."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_folders import FIELD, MONEY, RESPONSE, TOP, faults, field_folder, read, refused

from zoning.errors import InputError
from zoning.settings.learned import (
    FILE,
    LearnedTrial,
    as_text,
    before,
    in_order,
    may_stand,
    parse,
    with_trial,
)
from zoning.settings.read import faults_of_farm, load

OWN = RESPONSE.replace("pooled trials", "own trials")
TYPED = OWN + 'mean = "3.4 bu/ac"\nse = "0.6 bu/ac"\ntrials = 14\nyears = 4\n'
TEXT = """schema_version = 1

[[trial]]
season = 2025
field = "north"
pressure = "unknown"
mean_bu_ac = 2.4
se_bu_ac = 1.1
pairs = 4
"""
ENTRY = TEXT.partition("\n\n")[2]
NORTH = LearnedTrial(season=2025, field="north", pressure="unknown", mean_bu_ac=2.4, se_bu_ac=1.1, pairs=4)
TRIALS = st.builds(
    LearnedTrial,
    season=st.integers(1950, 2200),
    field=st.text(st.characters(exclude_categories=["Cs"]), min_size=1).filter(str.strip),
    pressure=st.sampled_from(["low", "unknown", "medium", "high", "seen"]),
    mean_bu_ac=st.floats(-10, 20),
    se_bu_ac=st.floats(0.01, 10),
    pairs=st.integers(1, 1000),
)


def key_of(trial):
    return trial.season, trial.field, trial.pressure


def lines(text):
    with pytest.raises(InputError) as caught:
        parse(text)
    assert caught.value.code == 2
    return [str(fault) for fault in caught.value.faults]


# -- text ----------------------------------------------------------------------------------------------------


@given(st.lists(TRIALS, max_size=6, unique_by=key_of))
def test_what_is_written_is_read_back_exactly(trials):
    text = as_text(trials)
    assert parse(text) == in_order(trials)
    assert as_text(parse(text)) == text
    assert parse(text.replace("\n", "\r\n")) == in_order(trials)


def test_the_text_says_who_writes_it_and_how_to_forget():
    text = as_text([NORTH])
    assert text.startswith("# ")
    assert "`sprayworth strips` writes this file" in text
    assert "Take a [[trial]] out to forget it." in text
    assert parse(text.partition("[[trial]]")[0]) == ()
    assert parse("") == parse("# nothing yet\n") == ()
    assert parse(TEXT) == (NORTH,)


def test_a_whole_number_is_a_number():
    assert parse(TEXT.replace("2.4", "2"))[0].mean_bu_ac == 2.0


@given(st.lists(TRIALS, max_size=6, unique_by=key_of), st.lists(TRIALS, min_size=1, max_size=3))
def test_a_season_of_a_field_counts_once_however_often_it_is_judged(trials, new):
    anew = {(one.season, one.field) for one in new}
    after = with_trial(trials, new)
    assert with_trial(after, new) == after == in_order(after)
    assert [one for one in after if (one.season, one.field) in anew] == list(in_order(new))
    assert [one for one in after if (one.season, one.field) not in anew] == [
        one for one in in_order(trials) if (one.season, one.field) not in anew
    ]


def test_only_earlier_seasons_come_before():
    later = LearnedTrial(season=2026, field="a", pressure="low", mean_bu_ac=1, se_bu_ac=1, pairs=2)
    assert before([NORTH, later], 2025) == ()
    assert before([NORTH, later], 2026) == (NORTH,)
    assert before([NORTH, later], 2027) == (NORTH, later)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("2.4", "34", "learned.toml:7: trial[1].mean_bu_ac = 34: out of range. Give at most 20."),
        ("2.4", "-34", "learned.toml:7: trial[1].mean_bu_ac = -34: out of range. Give at least -10."),
        ("2.4", "nan", "learned.toml:7: trial[1].mean_bu_ac = nan: out of range. Give at most 20."),
        ("2.4", "-inf", "learned.toml:7: trial[1].mean_bu_ac = -inf: out of range. Give at least -10."),
        (
            "2.4",
            '"2.4 bu/ac"',
            'learned.toml:7: trial[1].mean_bu_ac = "2.4 bu/ac": a plain number is expected. '
            "Write it like mean_bu_ac = 2.4.",
        ),
        ("1.1", "0", "learned.toml:8: trial[1].se_bu_ac = 0: out of range. Give at least 0.01."),
        ("1.1", "-1", "learned.toml:8: trial[1].se_bu_ac = -1: out of range. Give at least 0.01."),
        (
            "pairs = 4",
            "pairs = 4.0",
            "learned.toml:9: trial[1].pairs = 4.0: a whole number is expected. Write it like pairs = 4.",
        ),
        (
            "pairs = 4",
            "pairs = true",
            "learned.toml:9: trial[1].pairs = true: a whole number is expected. Write it like pairs = 4.",
        ),
        ("pairs = 4", "pairs = 0", "learned.toml:9: trial[1].pairs = 0: out of range. Give at least 1."),
        ("2025", "25", "learned.toml:4: trial[1].season = 25: out of range. Give at least 1950."),
        (
            '"unknown"',
            '"unknwon"',
            'learned.toml:6: trial[1].pressure = "unknwon": not one of the words known here. Did you mean '
            '"unknown"? Known are "low", "unknown", "medium", "high", "seen".',
        ),
        (
            '"unknown"',
            "[]",
            "learned.toml:6: trial[1].pressure = []: not one of the words known here. Write one of "
            '"low", "unknown", "medium", "high", "seen".',
        ),
        (
            '"north"',
            '" "',
            'learned.toml:5: trial[1].field = " ": the name of a field\'s folder is expected. '
            "Put it in quotes.",
        ),
        ("se_bu_ac", "se_bu", "learned.toml:8: trial[1].se_bu = 1.1: unknown key. Did you mean se_bu_ac?"),
        ("schema_version", "version", "learned.toml: schema_version: missing. Add schema_version = 1"),
        (
            "schema_version = 1",
            "schema_version = 2",
            "learned.toml:1: schema_version = 2: written by a newer sprayworth. Update sprayworth, or put "
            "the file away and judge the harvests anew.",
        ),
        (
            "schema_version = 1",
            'schema_version = "1"',
            'learned.toml:1: schema_version = "1": not a version that is known. Write schema_version = 1.',
        ),
        ("[[trial]]", "[trial]", "learned.toml:3: trial: a list of tables is expected. Write the header"),
        (
            "schema_version = 1",
            "schema_version = 1\ntrails = 3",
            "learned.toml:2: trails = 3: unknown key. Did you mean trial?",
        ),
        ("season = 2025", "season 2025", "learned.toml:4: this line cannot be read"),
    ],
)
def test_a_fault_is_one_line_at_its_place(old, new, said):
    assert lines(TEXT.replace(old, new))[0].startswith(said)


def test_a_missing_key_is_asked_for_at_its_entry():
    (line,) = lines(TEXT.replace("se_bu_ac = 1.1\n", ""))
    assert line == "learned.toml:3: trial[1].se_bu_ac: missing. Add it, written like se_bu_ac = 1.1."


def test_all_faults_are_told_at_once_by_line():
    worse = ENTRY.replace("2.4", "99").replace("pairs = 4", "pairs = 0").replace('"unknown"', '"none"')
    told = lines(TEXT.replace("2025", "1") + "\n" + worse)
    assert [line.split(" = ")[0] for line in told] == [
        "learned.toml:4: trial[1].season",
        "learned.toml:14: trial[2].pressure",
        "learned.toml:15: trial[2].mean_bu_ac",
        "learned.toml:17: trial[2].pairs",
    ]


def test_an_entry_that_stands_twice_is_refused():
    (line,) = lines(TEXT + "\n" + ENTRY.replace("2.4", "3.1"))
    said = "season, field and pressure are those of trial[1]. Keep the one that holds."
    assert line == f"learned.toml:11: trial[2]: {said}"
    assert len(parse(TEXT + "\n" + ENTRY.replace("unknown", "low"))) == 2


def test_a_figure_beyond_every_response_may_not_stand():
    assert may_stand(NORTH)
    wild = LearnedTrial(season=2025, field="a", pressure="low", mean_bu_ac=41.0, se_bu_ac=1.0, pairs=3)
    assert not may_stand(wild)


# -- in the settings -----------------------------------------------------------------------------------------


def folder_with(tmp_path, response, text=TEXT, **given):
    folder = field_folder(tmp_path, TOP + MONEY + response, **given)
    (folder.parent / FILE).write_text(text, encoding="utf-8")
    return folder


def test_trials_lie_beside_farm_toml(tmp_path):
    folder = folder_with(tmp_path, RESPONSE)
    (folder / FILE).write_text("not read", encoding="utf-8")
    settings = load(folder)
    assert settings.response.learned == (NORTH,)
    assert "learned" not in settings.model_dump()["response"]


def test_trials_of_a_field_without_a_farm_lie_beside_field_toml(tmp_path):
    folder = field_folder(tmp_path, None, FIELD + MONEY + RESPONSE)
    (folder.parent / FILE).write_text("not read", encoding="utf-8")
    assert load(folder).response.learned == ()
    (folder / FILE).write_text(TEXT, encoding="utf-8")
    assert load(folder).response.learned == (NORTH,)


def test_own_trials_need_not_be_typed_where_strips_taught_some(tmp_path):
    settings = load(folder_with(tmp_path, OWN))
    assert settings.level == 2
    assert not settings.response.is_typed


def test_without_any_trial_the_fault_names_the_strips_too(tmp_path):
    told = faults(tmp_path, TOP, MONEY, OWN)
    assert [line.split(": ")[1] for line in told] == [f"response.{name}" for name in TYPED_KEYS]
    assert "run `sprayworth strips`, which learns all four from your own strips" in told[0]
    assert not any("sprayworth strips" in line for line in told[1:])


TYPED_KEYS = ("mean", "se", "trials", "years")


@pytest.mark.parametrize("season", [2025, 2024])
def test_trials_of_the_season_that_is_planned_or_later_do_not_count(tmp_path, season):
    folder = folder_with(tmp_path, OWN, field=f"season = {season}\n" + FIELD)
    assert [fault.where.split(": ")[1] for fault in refused(folder)] == [f"response.{k}" for k in TYPED_KEYS]
    assert load(folder_with(tmp_path / "next", OWN, field="season = 2026\n" + FIELD)).response.learned


def test_what_is_typed_must_still_be_whole(tmp_path):
    folder = folder_with(tmp_path, TYPED.replace('se = "0.6 bu/ac"\n', ""))
    (fault,) = refused(folder)
    assert 'response.se: missing, which the source "own trials" needs. Add it' in str(fault)
    settings = load(folder_with(tmp_path / "whole", TYPED))
    assert settings.response.is_typed
    assert settings.response.learned == (NORTH,)


@pytest.mark.parametrize("typed", ["learned = []", 'learned = "mine"', "learned = [1]", "learned = {a = 1}"])
def test_nobody_types_what_strips_taught(tmp_path, typed):
    (line,) = faults(tmp_path, TOP, MONEY, RESPONSE + typed + "\n")
    assert line.startswith("farm.toml:")
    assert ": response.learned" in line
    assert "unknown key" in line
    (line,) = faults(tmp_path / "top", typed + "\n" + TOP, MONEY, RESPONSE)
    assert line.startswith("farm.toml:1: learned")
    assert "unknown key" in line


def test_its_faults_are_told_with_those_of_the_settings(tmp_path):
    folder = folder_with(tmp_path, OWN.replace("own", "pool"), TEXT.replace("2.4", "99"))
    told = [str(fault) for fault in refused(folder)]
    assert [line.split(":")[0] for line in told] == ["farm.toml", "learned.toml"]
    # a file that cannot be read may hold trials: nothing is said to be missing beside its own fault
    (line,) = [str(fault) for fault in refused(folder_with(tmp_path / "own", OWN, TEXT.replace("2.4", "99")))]
    assert line.startswith("learned.toml:7: ")


def test_a_file_that_is_no_text_is_one_line(tmp_path):
    folder = folder_with(tmp_path, OWN)
    (folder.parent / FILE).write_bytes(b"\xff\xfe\x00")
    (fault,) = refused(folder)
    assert str(fault).startswith("learned.toml: the file is not UTF-8 text")
    (folder.parent / FILE).unlink()
    (folder.parent / FILE).mkdir()
    (fault,) = refused(folder)
    assert str(fault).startswith("learned.toml: this is a folder, not a file")


def test_a_fault_of_the_farm_is_told_once_for_all_its_fields(tmp_path):
    folder = folder_with(tmp_path, RESPONSE, TEXT.replace("2.4", "99"))
    other = folder.parent / "other"
    other.mkdir()
    (other / "field.toml").write_text(FIELD, encoding="utf-8")
    (fault,) = faults_of_farm([folder, other])
    assert fault.where.startswith("learned.toml:7: ")


def test_a_level_1_field_takes_no_trials_up(tmp_path):
    folder = field_folder(tmp_path, TOP)
    (folder.parent / FILE).write_text(TEXT, encoding="utf-8")
    assert load(folder).response is None


def test_without_the_file_there_are_none(tmp_path):
    assert read(tmp_path, TOP, MONEY, RESPONSE).response.learned == ()
