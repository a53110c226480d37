"""What the farm's strips taught, through whole runs: decisions move, and never by what came later."""

import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from made_demo import HERON_SLOUGH, TODAY

from cli.main import _code as code_of
from zoning import checks, farm, field
from zoning.errors import InputError
from zoning.inputs.season_book import FILE as BOOK
from zoning.offers.learned import counted
from zoning.settings.learned import FILE, LearnedTrial, as_text
from zoning.settings.read import load

PRICE_USD_BU = 10.40
# Three seasons of one field, each 5.0 with a standard error of 1.2.
TRIALS = tuple(
    LearnedTrial(season=year, field="level_eighty", pressure="unknown", mean_bu_ac=5.0, se_bu_ac=1.2, pairs=6)
    for year in (2023, 2024, 2025)
)
TYPED = 'mean = "2.0 bu/ac"\nse = "0.6 bu/ac"\ntrials = 6\nyears = 3\n'


@pytest.fixture
def heron_slough(tmp_path) -> Path:
    """Two fields of the demo farm in which nobody looked."""
    folder = tmp_path / "farm"
    shutil.copytree(HERON_SLOUGH, folder, ignore=shutil.ignore_patterns("out", "out.*", "strips", BOOK, FILE))
    for path in folder.iterdir():
        if path.is_dir() and path.name not in ("level_eighty", "wet_corner"):
            shutil.rmtree(path)
    for path in folder.glob("*/field.toml"):
        path.write_text(path.read_text().split("[[scouting]]")[0])
    return folder


def learn(folder: Path, *trials: LearnedTrial) -> None:
    (folder / FILE).write_text(as_text(trials), encoding="utf-8")


def ask_own_trials(folder: Path, more: str = "") -> None:
    settings = folder / "farm.toml"
    asked = f'source = "own trials"\n{more}#'
    settings.write_text(settings.read_text().replace('source = "pooled trials"', asked))


def planned(folder: Path, name: str = "level_eighty"):
    return field.run(folder / name, today=TODAY, seed=1)


def codes(plan) -> list[str]:
    return [note.code for note in plan.notes]


def test_by_hand_own_trials_turn_a_skip_into_a_spray(heron_slough):
    before = planned(heron_slough).plan
    (zone,) = before.zones
    assert zone.action == "skip"
    assert zone.money.by_source["own trials"] is None
    learn(heron_slough, *TRIALS)
    # pooled trials stay the source: the decision stays, and the strips are shown beside it
    beside = planned(heron_slough).plan
    assert beside.zones[0].action == "skip"
    assert beside.zones[0].money.net_mean_usd_ac == zone.money.net_mean_usd_ac
    assert beside.zones[0].money.by_source["own trials"].action == "spray"
    ask_own_trials(heron_slough)
    after = planned(heron_slough).plan
    (now,) = after.zones
    assert now.action == "spray"
    assert now.money.net_mean_usd_ac == pytest.approx(
        beside.zones[0].money.by_source["own trials"].net_usd_ac, abs=0.01
    )
    # variance 1.2^2 / 3 + 1 / 3 = .8133. Parts .7, 3.2 and 7 with SD .6, 1 and 2 and weights .70, .26, .04
    # foretell 5.0 by .00024, .07902 and .01203, so weights become .0027, .8655 and .1318; they move to 2.019,
    # 4.193 and 5.338: 4.338 is expected, 2.736 more than 1.602
    steps = {step.name: step.change_bu_ac for step in now.money.steps}
    assert steps["own_trials"] == pytest.approx(2.736, abs=0.0006)
    # what a bushel more brings is its price: cost, day and volume are the same
    was = zone.money.response_mean_bu_ac
    more_bu_ac = now.money.response_mean_bu_ac - was
    more_usd_ac = now.money.net_mean_usd_ac - zone.money.net_mean_usd_ac
    assert more_usd_ac == pytest.approx(PRICE_USD_BU * more_bu_ac, abs=0.02)
    (told,) = [note for note in after.notes if note.code == "learned.source"]
    assert "3 trials in 3 seasons, mean 5.0 bu/ac, standard error 0.7): 4.3 bu/ac expected" in told.text


def test_trials_of_one_field_speak_for_the_whole_farm(heron_slough):
    def sprayed():
        result = farm.run(heron_slough, today=TODAY, seed=1)
        assert not result.failures
        plans = (one.plan for one in result.outcomes)
        return {plan.field: sum(zone.action == "spray" for zone in plan.zones) for plan in plans}

    assert set(sprayed().values()) == {0}
    ask_own_trials(heron_slough)
    learn(heron_slough, *TRIALS)
    assert all(sprayed().values())


def test_trials_of_its_own_season_and_later_never_move_a_plan(heron_slough):
    ask_own_trials(heron_slough)
    learn(heron_slough, *TRIALS)
    without = planned(heron_slough).plan
    hindsight = LearnedTrial(
        season=2026, field="wet_corner", pressure="unknown", mean_bu_ac=-4.0, se_bu_ac=0.5, pairs=8
    )
    next_year = LearnedTrial(
        season=2027, field="wet_corner", pressure="low", mean_bu_ac=-4.0, se_bu_ac=0.5, pairs=8
    )
    learn(heron_slough, *TRIALS, hindsight, next_year)
    with_later = planned(heron_slough).plan
    assert with_later.zones[0].money == without.zones[0].money
    assert with_later.totals.net_usd == without.totals.net_usd
    (left_out,) = [note for note in with_later.notes if note.code == "learned.later"]
    assert left_out.text.startswith("learned.toml: trials of 2026, 2027 do not count here, a plan for 2026")
    assert "learned.later" not in codes(without)


def test_where_nothing_earlier_is_left_it_is_one_clear_line(heron_slough):
    ask_own_trials(heron_slough)
    settings = heron_slough / "farm.toml"
    text = settings.read_text()
    # the season is not typed: only the field's day and latitude tell that it is 2026
    settings.write_text(text.replace("season = 2026", "#"))
    later = [LearnedTrial(season=2026, field="a", pressure="low", mean_bu_ac=1.0, se_bu_ac=1.0, pairs=4)]
    learn(heron_slough, *later)
    with pytest.raises(InputError, match="no trial of strips before season 2026") as no:
        planned(heron_slough)
    assert no.value.code == 2
    assert no.value.where.startswith("farm.toml:")
    assert 'response.source = "own trials"' in no.value.where
    # check says the same
    found = checks.check(heron_slough / "level_eighty", today=TODAY, clock=TODAY)
    assert [str(fault) for fault in found.faults] == [str(no.value)]


def test_what_is_typed_wins_and_it_is_said(heron_slough):
    ask_own_trials(heron_slough, TYPED)
    typed = planned(heron_slough).plan
    learn(heron_slough, *TRIALS)
    both = planned(heron_slough).plan
    assert both.zones[0].money == typed.zones[0].money
    assert set(codes(both)) - set(codes(typed)) == {"learned.typed_wins"}
    (note,) = [one for one in both.notes if one.code == "learned.typed_wins"]
    assert note.text.startswith("mean and se in farm.toml win over the trials of strips in learned.toml")


def test_learned_toml_is_a_part_of_what_a_run_is_made_of(heron_slough):
    without = planned(heron_slough).provenance
    learn(heron_slough, *TRIALS)
    with_trials = planned(heron_slough).provenance
    assert set(with_trials.inputs) - set(without.inputs) == {"../learned.toml"}
    assert with_trials.run_id != without.run_id
    learn(heron_slough, *TRIALS[:2])
    assert planned(heron_slough).provenance.run_id not in (without.run_id, with_trials.run_id)
    assert planned(heron_slough).provenance.settings == without.settings


def test_a_field_without_prices_is_made_of_none(heron_slough):
    settings = heron_slough / "farm.toml"
    settings.write_text(settings.read_text().split("[money]")[0])
    learn(heron_slough, *TRIALS)
    result = planned(heron_slough)
    assert "../learned.toml" not in result.provenance.inputs
    assert not [code for code in codes(result.plan) if code.startswith("learned.")]


def test_check_says_where_the_response_comes_from(heron_slough, capsys):
    at = str(heron_slough / "level_eighty")
    assert code_of(["check", at]) == 0
    assert "  response from pooled trials: 1.6 bu/ac expected" in capsys.readouterr().out
    learn(heron_slough, *TRIALS)
    ask_own_trials(heron_slough)
    assert code_of(["check", at]) == 0
    assert "  response from your own strips (learned.toml: 3 trials in 3 seasons" in capsys.readouterr().out
    learn(heron_slough, *TRIALS, replace(TRIALS[0], season=2026))
    assert code_of(["check", at, "--json"]) == 0
    (one,) = json.loads(capsys.readouterr().out)["fields"]
    assert any(doubt.startswith("learned.toml: trials of 2026 do not count") for doubt in one["doubts"])


def test_a_fault_in_it_is_the_farm_s_and_told_once(heron_slough, capsys):
    learn(heron_slough, *TRIALS)
    path = heron_slough / FILE
    path.write_text(path.read_text().replace("se_bu_ac = 1.2", "se_bu_ac = 120", 1))
    assert code_of(["check", str(heron_slough)]) == 2
    errors = capsys.readouterr().err.strip().splitlines()
    assert errors == ["error: learned.toml:11: trial[1].se_bu_ac = 120: out of range. Give at most 10."]


def test_a_year_later_the_same_trials_count(heron_slough):
    newest = LearnedTrial(season=2026, field="a", pressure="low", mean_bu_ac=1.0, se_bu_ac=1.0, pairs=4)
    learn(heron_slough, newest, *TRIALS)
    settings = load(heron_slough / "level_eighty")
    this_year, next_year = (counted(settings, season) for season in (2026, 2027))
    assert this_year[0].response.learned == TRIALS
    assert next_year[0].response.learned == (*TRIALS, newest)
    assert [note.code for note in this_year[1]] == ["learned.later"]
    assert next_year[1] == ()
