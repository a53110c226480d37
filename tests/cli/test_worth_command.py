"""`sprayworth worth` through its real entry point: what it answers, in words and as an object."""

import json
import re
import shlex
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cli.main import main
from zoning import units
from zoning.errors import InputError
from zoning.questions.bet import Typed, bet_of
from zoning.questions.worth import answer_of
from zoning.questions.worth_object import worth_object
from zoning.questions.worth_told import worth_text
from zoning.returns.pairs import pairs_needed

PRICE_COST = ("--price", "10.40 USD/bu", "--cost", "30 USD/ac")
OWN = ("--mean", "3.4 bu/ac", "--se", "0.6 bu/ac", "--years", "4")
FORECAST = ("--severity", "20", "--yield", "60 bu/ac")


def call(capsys, *arguments, source="pooled trials"):
    """Exit code, stdout and stderr of one call."""
    with pytest.raises(SystemExit) as end:
        main(["worth", *map(str, arguments), "--source", source])
    said = capsys.readouterr()
    return end.value.code, said.out, said.err


def answer(capsys, *arguments, source="pooled trials"):
    code, out, _ = call(capsys, *arguments, "--json", source=source)
    assert code == 0
    return json.loads(out)


def words(capsys, *arguments, source="pooled trials"):
    code, out, _ = call(capsys, *arguments, source=source)
    assert code == 0
    return out


def flips(of):
    """Figures that would turn the answer, by name."""
    return {key.partition("_")[0]: value for key, value in of["flips"].items() if value is not None}


# -- the answer ----------------------------------------------------------------------------------------------


def test_by_hand_skip_is_said_first_with_the_money_and_the_chance(capsys):
    of = answer(capsys, *PRICE_COST)
    # 30 / 10.40 = 2.885 bu/ac; pooled .70 x .7 + .26 x 3.2 + .04 x 7 = 1.602: 10.40 x 1.602 - 30 = -13.34
    assert (of["action"], of["toss_up"], of["stopped"]) == ("skip", False, None)
    assert of["break_even_response_bu_ac"] == pytest.approx(2.885, abs=0.0005)
    assert of["net_usd_ac"] == pytest.approx(-13.34, abs=0.005)
    assert of["response_bu_ac"]["mean"] == pytest.approx(1.602, abs=0.0005)
    # 30 / 1.602 = 18.73 USD/bu, 10.40 x 1.602 = 16.66 USD/ac
    assert flips(of) == pytest.approx({"price": 18.73, "cost": 16.66, "response": 2.885}, abs=0.006)
    out = words(capsys, *PRICE_COST)
    assert out.startswith("Skip: a pass is expected to lose 13 USD/ac. It pays with a chance of 20 %.\n")
    for line in (
        "Expected 1.6 bu/ac (SD 1.8), needed 2.9: pooled trials, pressure unknown, middle of R3.",
        "It would be spray,",
        "  at a price above 18.73 USD/bu (now 10.40)",
        "  at a cost below 17 USD/ac (now 30)",
        "  if more than 2.9 bu/ac were expected (now 1.6)",
        "In published trials most passes do not pay.",
    ):
        assert line in out.splitlines()
    assert "a prediction, not an instruction" in " ".join(out.split())


def test_by_hand_every_source_stands_beside_the_chosen_one(capsys):
    of = answer(capsys, *PRICE_COST, *OWN, source="own trials")
    beside = of["by_source"]
    assert {name: one["action"] for name, one in beside.items()} == {
        "pooled trials": "skip", "practice series": "spray", "own trials": "spray",
    }  # fmt: skip
    # practice: .25 x .7 + .75 x 5.56 = 4.345, 10.40 x 4.345 - 30 = 15.19; 4.345 / 1.64 = 2.649 times
    assert beside["practice series"]["net_usd_ac"] == pytest.approx(15.19, abs=0.005)
    assert of["practice_series"]["times_published"] == pytest.approx(2.649, abs=0.0006)
    assert {one["needed_response_bu_ac"] for one in beside.values()} == {of["break_even_response_bu_ac"]}
    out = words(capsys, *PRICE_COST, *OWN, source="own trials")
    rows = [line.split() for line in out.splitlines() if re.match(r"(pooled|practice|own) \w+ ", line)]
    assert [[*row[:2], row[-7]] for row in rows] == [
        ["pooled", "trials", "skip"], ["practice", "series", "spray"], ["own", "trials", "spray"],
    ]  # fmt: skip
    assert "own trials *" in out
    assert "2.6 times the published mean of 1.64" in " ".join(out.split())


def test_a_source_that_was_not_given_is_null(capsys):
    assert answer(capsys, *PRICE_COST)["by_source"]["own trials"] is None
    assert "own trials" not in words(capsys, *PRICE_COST)


def test_by_hand_own_trials_are_shown_before_and_after(capsys):
    own = answer(capsys, *PRICE_COST, *OWN, source="own trials")["own_trials"]
    assert own["before"]["mean_bu_ac"] == pytest.approx(1.602, abs=0.0005)
    # sqrt(.6^2 + 1.0^2 / 4) = .781
    assert own["trials"]["sd_bu_ac"] == pytest.approx(0.781, abs=0.0005)
    # v = .61. Weights x N(3.4; m, sqrt(s^2 + v)): .70 x .0095, .26 x .3109, .04 x .0655 (of N(.7, .985),
    # N(3.2, 1.269), N(7, 2.147)) = .0066, .0808, .0018, so .074, .906, .020; means .7 + .371 x 2.7 = 1.702,
    # 3.2 + .621 x .2 = 3.324, 7 - .868 x 3.6 = 3.877: .074 x 1.702 + .906 x 3.324 + .020 x 3.877 = 3.216
    assert own["after"]["mean_bu_ac"] == pytest.approx(3.216, abs=0.006)
    assert own["after"]["sd_bu_ac"] < own["before"]["sd_bu_ac"]
    # own trials hold the farm's own products: modes of action count neither before nor after
    assert answer(capsys, *PRICE_COST, *OWN, "--groups", "3,11")["own_trials"] == own
    out = " ".join(words(capsys, *PRICE_COST, *OWN).split())
    assert "before them 1.60 bu/ac (SD 1.75); they say 3.40 (SE 0.60, and 0.78 about the next season)" in out
    assert "with them 3.22" in out


def test_by_hand_a_forecast_of_frogeye(capsys):
    of = answer(capsys, *PRICE_COST, *FORECAST)
    # .7 + 60 x .0051 x 20 x .6 = 4.372: 10.40 x 4.372 - 30 = 15.47, chance .809; even at 11.9 %
    assert of["net_usd_ac"] == pytest.approx(15.47, abs=0.005)
    assert of["chance_pays"] == pytest.approx(0.809, abs=0.0006)
    assert flips(of)["severity"] == pytest.approx(11.9, abs=0.05)
    out = words(capsys, *PRICE_COST, *FORECAST)
    assert out.startswith("Spray: a pass is expected to bring 15 USD/ac net.")
    assert "  at a severity near R6 below 11.9 % (now 20)" in out.splitlines()
    tracks = answer(capsys, *PRICE_COST, *FORECAST, "--tracks", "1.06 bu/ac")
    assert tracks["net_usd_ac"] == pytest.approx(4.44, abs=0.01)
    assert flips(tracks)["severity"] == pytest.approx(17.7, abs=0.05)


def test_by_hand_a_population_that_resists_the_only_mode_of_action(capsys):
    of = answer(capsys, *PRICE_COST, *FORECAST, "--groups", "11", "--resistant", "11")
    # only .7 is left: 10.40 x .7 - 30 = -22.72, and no severity mends that
    assert (of["action"], of["asked"]["efficacy"]) == ("skip", 0)
    assert of["net_usd_ac"] == pytest.approx(-22.72, abs=0.005)
    assert "severity" not in flips(of)
    two = answer(capsys, *PRICE_COST, *FORECAST, "--groups", "3,11", "--resistant", "11")
    assert two["net_usd_ac"] == pytest.approx(15.47, abs=0.005)
    assert "resists the product" in words(
        capsys, *PRICE_COST, *FORECAST, "--groups", "11", "--resistant", "11"
    )


def test_by_hand_two_modes_of_action_return_a_little_more_by_pooled_trials(capsys):
    one, two = (answer(capsys, *PRICE_COST, "--groups", groups) for groups in ("11", "3, 11"))
    # 1.11 on the responding parts: (.26 x 3.2 + .04 x 7) x .11 = .122
    more = two["response_bu_ac"]["mean"] - one["response_bu_ac"]["mean"]
    assert more == pytest.approx(0.122, abs=0.0006)


def test_by_hand_rust_and_another_efficacy(capsys):
    of = answer(
        capsys,
        *PRICE_COST,
        "--severity",
        "30 %",
        "--disease",
        "rust",
        "--efficacy",
        "60 %",
        "--yield",
        "45 bu/ac",
    )
    # .7 + 45 x .006 x 30 x .6 = 5.56
    assert of["response_bu_ac"]["mean"] == pytest.approx(5.56, abs=0.005)


def test_the_practice_series_does_not_move_with_a_forecast_and_that_is_said(capsys):
    asked = (*PRICE_COST, *FORECAST)
    without = answer(capsys, *PRICE_COST, "--yield", "60 bu/ac", source="practice series")
    assert answer(capsys, *asked, source="practice series")["net_usd_ac"] == without["net_usd_ac"]
    assert "The practice series takes no account of the severity." in words(
        capsys, *asked, source="practice series"
    )


def test_the_how_to_page_shows_what_is_printed(capsys):
    page = (Path(__file__).parents[2] / "docs/how-to.md").read_text(encoding="utf-8")
    blocks = re.findall(r"^```\w*\n(.*?)^```", page, re.DOTALL | re.MULTILINE)
    asked = [at for at, block in enumerate(blocks) if block.startswith("sprayworth worth ")]
    assert len(asked) == 2
    for at in asked:
        with pytest.raises(SystemExit):
            main(shlex.split(blocks[at])[1:])
        assert set(blocks[at + 1].splitlines()) <= set(capsys.readouterr().out.splitlines())


def test_the_page_of_files_names_every_key(capsys):
    page = (Path(__file__).parents[2] / "docs/reference/files.md").read_text(encoding="utf-8")
    about = page.split("## What worth prints with --json")[1].split("\n## ")[0]
    of = answer(capsys, *PRICE_COST, *OWN)
    assert re.findall(r"^\| `(\w+)`", about, re.MULTILINE) == list(of)
    inner = (of["flips"], of["practice_series"], of["own_trials"], of["response_bu_ac"])
    assert all(f"`{key}`" in about for part in inner for key in part)


def test_what_would_count_as_nothing_is_refused(capsys):
    code, out, err = call(capsys, *PRICE_COST, "--groups", "QoI", "--resistant", "3,11", "--severity", "nan")
    assert (code, out) == (2, "")
    severity, lacking, groups = err.splitlines()
    assert severity == 'error: --severity "nan": not a number. Write it as --severity "20".'
    assert lacking.startswith("error: --yield: missing")
    assert groups.startswith('error: --groups "QoI": no FRAC code. ')


# -- rules ---------------------------------------------------------------------------------------------------

NEAR = ("--price", "10.40 USD/bu", "--cost", "15.50 USD/ac")  # 10.40 x 1.602 - 15.50 = 1.16 USD/ac


@pytest.mark.parametrize(
    ("rule", "action", "first"),
    [
        ((), "spray", "Spray: a pass is expected to bring 1 USD/ac net."),
        (
            ("--min-net", "3 USD/ac"),
            "skip",
            "Toss-up, so skip: a pass is expected to bring 1 USD/ac net, not more",
        ),
        (
            ("--rule", "chance"),
            "skip",
            "Skip: a pass is expected to bring 1 USD/ac net, but it pays with a chance",
        ),
        (("--rule", "chance", "--min-chance", "30 %"), "spray", "Spray: "),
        (
            ("--rule", "cautious"),
            "skip",
            "Skip: a pass is expected to bring 1 USD/ac net, but losses count 2 times",
        ),
        (("--rule", "cautious", "--loss-weight", "1.01"), "spray", "Spray: "),
    ],
)
def test_by_hand_each_rule_is_followed_and_named(capsys, rule, action, first):
    of = answer(capsys, *NEAR, *rule)
    assert of["net_usd_ac"] == pytest.approx(1.16, abs=0.005)
    assert of["action"] == action
    assert of["toss_up"] == ("--min-net" in rule)
    assert words(capsys, *NEAR, *rule).startswith(first)


def test_by_hand_a_toss_up_turns_where_min_net_is_met(capsys):
    # (15.50 + 3) / 1.602 = 11.55 USD/bu; 10.40 x 1.602 - 3 = 13.66 USD/ac; 1.490 + 3 / 10.40 = 1.779 bu/ac
    of = answer(capsys, *NEAR, "--min-net", "3 USD/ac")
    assert flips(of) == pytest.approx({"price": 11.55, "cost": 13.66, "response": 1.779}, abs=0.006)


# -- units, shares, the table --------------------------------------------------------------------------------


def test_by_hand_a_share_of_the_grain(capsys):
    of = answer(capsys, *PRICE_COST, "--share-of-grain", "50 %")
    # a bushel brings 5.20: 30 / 5.20 = 5.769 bu/ac; even at 30 / 1.602 / .5 = 37.45 USD/bu at the elevator
    assert of["break_even_response_bu_ac"] == pytest.approx(5.769, abs=0.0005)
    assert of["break_even_price_usd_bu"] == pytest.approx(37.45, abs=0.01)
    assert flips(of)["price"] == pytest.approx(37.45, abs=0.01)
    assert of["table"][4]["price_usd_bu"] == pytest.approx(10.40)
    assert "With 50 % of the grain the price brings you 5.20 USD/bu." in words(
        capsys, *PRICE_COST, "--share-of-grain", "0.5"
    )


def test_by_hand_the_table_of_cost_price_and_response(capsys):
    cube = answer(capsys, *PRICE_COST, "--tracks", "0.5 bu/ac")["cube"]
    assert cube["price_usd_bu"] == pytest.approx([8.84, 10.40, 11.96])
    assert cube["cost_usd_ac"] == pytest.approx([24, 30, 36])
    assert cube["response_bu_ac"] == [1, 2, 3, 4, 5, 6]
    # 8.84 x (3 - .5) - 36 = -13.90; 11.96 x (6 - .5) - 24 = 41.78
    assert cube["net_usd_ac"][0][2][2] == pytest.approx(-13.90, abs=0.005)
    assert cube["net_usd_ac"][2][0][5] == pytest.approx(41.78, abs=0.005)
    table = answer(capsys, *PRICE_COST, "--tracks", "0.5 bu/ac")["table"]
    assert len(table) == 9
    # 36 / 8.84 + .5 = 4.572
    assert table[2]["break_even_response_bu_ac"] == pytest.approx(4.572, abs=0.0005)
    out = words(capsys, *PRICE_COST, "--tracks", "0.5 bu/ac")
    row = next(line.split() for line in out.splitlines() if line.startswith("    36    8.84"))
    assert row[2] == "4.57"
    assert row[-6:] == ["-32", "-23", "-14", "-5", "+4", "+13"]


METRIC = ("--price", "382.1346 USD/t", "--cost", "74.13161 USD/ha")  # the same 10.40 USD/bu and 30 USD/ac


def test_units_change_no_answer_and_metric_inputs_are_answered_in_metric(capsys):
    ours, theirs = answer(capsys, *PRICE_COST, *OWN), answer(capsys, *METRIC, *OWN)
    for key in ("net_usd_ac", "chance_pays", "break_even_price_usd_bu", "perfect_information_usd_ac"):
        assert theirs[key] == pytest.approx(ours[key], rel=1e-6)
    assert theirs["net_usd_ha"] == pytest.approx(units.usd_ha_from_usd_ac(ours["net_usd_ac"]), rel=1e-6)
    assert theirs["cube"]["response_kg_ha"] == pytest.approx([50, 100, 150, 200, 300, 400])
    assert "net_usd_ha" not in ours
    out = words(capsys, *METRIC, *OWN)
    assert not re.search(r"bu/ac|USD/ac|USD/bu", out)
    # 2.885 bu/ac x 67.251 = 194 kg/ha, -13.34 USD/ac x 2.471 = -33 USD/ha, 18.73 USD/bu x 36.743 = 688 USD/t
    assert "lose 33 USD/ha" in out
    assert "needed 194" in out
    assert "at a price above 688 USD/t (now 382)" in out
    assert words(capsys, *PRICE_COST, *OWN, "--metric").splitlines()[0] == out.splitlines()[0]


def test_a_mixed_price_and_cost_is_answered_in_us_units(capsys):
    assert "USD/ac" in words(capsys, "--price", "386 USD/t", "--cost", "30 USD/ac")


def test_pairs_of_strips_are_those_for_the_needed_response(capsys):
    of = answer(capsys, *PRICE_COST)
    assert of["strip_pairs"] == pairs_needed(of["break_even_response_bu_ac"], 3.5)
    free = answer(capsys, "--price", "10.40 USD/bu", "--cost", "0 USD/ac")
    assert free["strip_pairs"] is None
    tiny = ("--price", "40 USD/bu", "--cost", "1 USD/ac")
    assert answer(capsys, *tiny)["strip_pairs"] is None
    assert "too small for any farm's own strips" in words(capsys, *tiny)


def test_the_stage_curve_is_that_of_the_source_unless_chosen(capsys):
    asked = (*PRICE_COST, "--at", "R2")
    own = answer(capsys, *asked, source="practice series")
    assert own["asked"]["curve"] == "practice"
    # a stage off: 5.75 / 11 of 4.345 = 2.271
    assert own["response_bu_ac"]["mean"] == pytest.approx(2.271, abs=0.0006)
    other = answer(capsys, *asked, "--curve", "published", source="practice series")
    assert other["response_bu_ac"]["mean"] > own["response_bu_ac"]["mean"]
    assert answer(capsys, *asked)["asked"]["curve"] == "published"


def test_after_r3_it_is_said_that_sources_disagree(capsys):
    said = "How much of a response is left after R3 is not settled: sources disagree."
    assert said in words(capsys, *PRICE_COST, "--at", "R4")
    assert said not in words(capsys, *PRICE_COST)


def test_white_mold_stops_with_the_reason(capsys):
    out = words(capsys, *PRICE_COST, "--target", "White mold")
    assert out == (
        "The target is white mold: best sprayed at R1 to R2, so R3 is late for it and no return is "
        "reckoned.\n"
    )
    of = answer(capsys, *PRICE_COST, "--target", "White mold")
    assert set(of) == {"schema_version", "stopped"}
    assert of["stopped"]["code"] == "returns.white_mold"


# -- what cannot be ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (
            ("--price", "1040 USD/bu"),
            'error: --price "1040 USD/bu": out of range. Give at most 60 USD/bu. Did you mean 10.40 USD/bu, '
            "as 1040 looks like cents?",
        ),
        (
            ("--price", "386 USD/bu"),
            'error: --price "386 USD/bu": out of range. Give at most 60 USD/bu. Did you mean 386 USD/t, '
            "which is 10.51 USD/bu?",
        ),
        (("--price", "10.40"), 'error: --price "10.40": a unit is missing. Write it as "10.40 USD/bu".'),
        (
            ("--price", "10.40 EUR/bu"),
            'error: --price "10.40 EUR/bu": money is in USD here, not EUR. Convert it to USD yourself.',
        ),
        (
            ("--cost", "-30 USD/ac"),
            'error: --cost "-30 USD/ac": out of range. Give at least 0 USD/ac. Did you mean 30 USD/ac, '
            "without the minus?",
        ),
        (
            ("--efficacy", "60", *FORECAST),
            'error: --efficacy "60": out of range. Give at most 1. Did you mean 0.6, which is 60 %?',
        ),
        (
            ("--efficacy", "0.6"),
            'error: --efficacy "0.6": given without --severity. Add the forecast near R6, written like '
            '--severity "20", or take --efficacy out.',
        ),
        (
            ("--severity", "20"),
            "error: --yield: missing, which --severity needs. Add what the crop would yield without the "
            'disease, written like --yield "58 bu/ac".',
        ),
        (
            ("--share-of-grain", "half"),
            'error: --share-of-grain "half": not a number. Write it as --share-of-grain',
        ),
        (("--tracks", "-1 bu/ac"), 'error: --tracks "-1 bu/ac": out of range. Give more than 0 bu/ac.'),
        (
            ("--tracks", "60 bu/ac", "--yield", "58 bu/ac"),
            'error: --tracks "60 bu/ac": more than the yield. Compare it with --yield.',
        ),
        (
            ("--mean", "3.4 bu/ac", "--years", "4"),
            'error: --se: missing, though --mean is given. Add it, written like --se "0.6 bu/ac".',
        ),
    ],
)
def test_bad_input_is_one_line_and_code_2(capsys, arguments, line):
    named = {"--price": "10.40 USD/bu", "--cost": "30 USD/ac"} | dict(
        zip(arguments[::2], arguments[1::2], strict=True)
    )
    code, out, err = call(capsys, *(part for pair in named.items() for part in pair))
    assert (code, out) == (2, "")
    assert len(err.splitlines()) == 1
    assert err.startswith(line)


def test_all_faults_are_told_at_once(capsys):
    code, _, err = call(
        capsys, "--price", "1040 USD/bu", "--cost", "30", "--mean", "58 bu/ac", source="own trials"
    )
    assert code == 2
    assert [line.split(":")[1].split()[0] for line in err.splitlines()] == [
        "--price", "--cost", "--mean", "--se", "--years",
    ]  # fmt: skip


def test_a_missing_cost_is_named(capsys):
    code, _, err = call(capsys, "--price", "10.40 USD/bu")
    assert code == 2
    assert "--cost" in err


# -- whatever is asked ---------------------------------------------------------------------------------------

ASKED = st.builds(
    Typed,
    price=st.sampled_from(["0.60 USD/bu", "8 USD/bu", "10.40 USD/bu", "386 USD/t", "55 USD/bu"]),
    cost=st.sampled_from(["0 USD/ac", "12.5 USD/ac", "30 USD/ac", "74 USD/ha", "480 USD/ac"]),
    source=st.sampled_from(["pooled trials", "practice series"]),
    pressure=st.sampled_from(["low", "unknown", "medium", "high", "seen"]),
    severity=st.sampled_from([None, "0", "5", "100"]),
    expected_yield=st.sampled_from(["12 bu/ac", "58 bu/ac", "4 t/ha"]),
    tracks=st.sampled_from([None, "0 bu/ac", "1.1 bu/ac", "7 bu/ac"]),
    stage=st.sampled_from(["R1", "R2", "R3", "R4", "R5"]),
    curve=st.sampled_from([None, "published", "practice"]),
    groups=st.sampled_from([None, "11", "3,11"]),
    resistant=st.sampled_from([None, "11"]),
    share_of_grain=st.sampled_from([None, "0.5"]),
    rule=st.sampled_from(["expected", "chance", "cautious"]),
    min_net=st.sampled_from([None, "3 USD/ac"]),
    metric=st.booleans(),
)


@settings(max_examples=60, deadline=None)
@given(ASKED)
def test_whatever_is_asked_is_answered_within_100_letters_and_as_an_object(typed):
    bet = bet_of(typed)
    of = answer_of(bet)
    text = worth_text(bet, of)
    assert re.match(r"(Spray|Skip|Toss-up, so skip): a pass is expected to ", text)
    assert max(map(len, text.splitlines())) <= 100
    assert not re.search(r"nan|\binf\b|-0\b(?!\.)", text)
    whole = worth_object(bet, of)
    json.dumps(whole, allow_nan=False)
    assert (whole["action"] == "spray") == text.startswith("Spray")


@settings(max_examples=40, deadline=None)
@given(ASKED, st.floats(1.02, 1.5))
def test_what_would_turn_the_answer_turns_it(typed, by):
    bet = bet_of(typed)
    answer = answer_of(bet).chosen
    turning = {flip.name: flip.value for flip in answer.flips}
    sprayed = answer.verdict == "spray"
    toward = 1 / by if sprayed else by
    if "price" in turning and 0.5 < turning["price"] * toward < 60:
        other = f"{turning['price'] * toward!r} USD/bu"
        assert _sprays(typed, price=other) != sprayed
    if "cost" in turning and 0 < turning["cost"] / toward < 500:
        assert _sprays(typed, cost=f"{turning['cost'] / toward!r} USD/ac") != sprayed


@settings(max_examples=40, deadline=None)
@given(ASKED)
def test_a_higher_price_never_turns_spray_into_skip_nor_a_higher_cost_skip_into_spray(typed):
    assert not _sprays(typed) or _sprays(typed, price="59 USD/bu")
    assert _sprays(typed) or not _sprays(typed, cost="490 USD/ac")


def _sprays(typed, **changed):
    values = {name: getattr(typed, name) for name in Typed.__dataclass_fields__}
    return answer_of(bet_of(Typed(**(values | changed)))).chosen.verdict == "spray"


def test_own_trials_without_their_figures_are_refused_before_anything_is_worked_out():
    with pytest.raises(InputError, match="--mean: missing"):
        bet_of(Typed(price="10.40 USD/bu", cost="30 USD/ac", source="own trials"))
