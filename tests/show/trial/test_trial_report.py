"""What is printed of a trial: the answer first, the result's figures, short, in the farm's units."""

import re
from dataclasses import replace

import numpy as np
import pytest
from made_trials import CASES, MadeTrial, made_response, made_trial, with_long_names

from zoning.settings.learned import LearnedTrial
from zoning.show.trial import book, report, rows, season_rows, written
from zoning.show.trial.trial_units import TrialUnits
from zoning.stage.past_seasons import StageBias
from zoning.strips.learned.learned_terms import SeasonBook
from zoning.strips.terms import ByZone, Money, ZoneResponse

NOTHING = re.compile(r"\b(None|nan|inf|NaN)\b")


@pytest.fixture(params=CASES, scope="module")
def result(request):
    return made_trial(CASES[request.param])


@pytest.mark.parametrize("width", [80, 100, 120])
def test_the_answer_comes_first_and_all_is_short(result, width):
    lines = report.text(result, width).splitlines()
    assert (
        " ".join(lines[:2])
        .replace("  ", " ")
        .startswith(written.answer(result, TrialUnits(metric=result.units == "metric"))[:70])
    )
    assert len(lines) < 60
    assert max(map(len, lines)) <= width
    assert not NOTHING.search("\n".join(lines))
    assert not any(line.endswith(" ") for line in lines)


@pytest.mark.parametrize(
    ("case", "begins"),
    [
        ("paid", "The pass paid: it returned $"),
        ("did not pay", "The pass did not pay: it lost $"),
        ("cannot tell", "Cannot tell whether the pass paid: it returned "),
        ("no pair", "Cannot tell whether the pass paid: no pair of strips counts"),
        ("level 1", "Treated strips yielded "),
    ],
)
def test_each_answer_says_what_is_known(case, begins):
    whole_field = replace(made_trial(CASES[case]), by_zone=None)
    assert report.text(whole_field).startswith(begins)


def zone_told(zone, told, mean):
    return ZoneResponse(
        zone=zone,
        pairs=4,
        length_m=400.0,
        seen_bu_ac=mean,
        mean_bu_ac=mean,
        se_bu_ac=0.5,
        low_bu_ac=mean - 1,
        high_bu_ac=mean + 1,
        chance_pays=0.5,
        told=told,
    )


@pytest.mark.parametrize(
    ("told", "differ", "begins"),
    [
        # at 10 USD/bu with 2.5 bu/ac to pay: 6.0 leaves 35 USD/ac, 0.5 loses 20
        (
            ("paid", "did not pay"),
            True,
            "Spraying paid in zone 1 (+$35 an acre), did not pay in zone 2 (-$20",
        ),
        (
            ("paid", "cannot tell"),
            True,
            "Spraying paid in zone 1 (+$35 an acre); cannot tell in zone 2 (-$20 an acre, chance 50 %)",
        ),
        (("paid", "paid"), True, "Spraying paid in zones 1, 2"),
        (("cannot tell", "cannot tell"), True, "The pass paid: it returned $"),
        (("paid", "did not pay"), False, "The pass paid: it returned $"),
    ],
)
def test_by_hand_zones_are_told_apart_only_where_they_may_be(told, differ, begins):
    zones = tuple(
        zone_told(at, one, mean) for at, (one, mean) in enumerate(zip(told, (6.0, 0.5), strict=True), 1)
    )
    by_zone = ByZone(
        zones=zones,
        zone_sd_bu_ac=2.0,
        pair_sd_bu_ac=0.5,
        rest_sd_bu_ac=1.0,
        differ_p=0.01 if differ else 0.4,
        differ=differ,
    )
    result = answered([6.0, 5.0, 7.0, 6.0], MONEY, by_zone=by_zone)
    assert report.text(result).startswith(begins)


def test_a_zone_that_the_plan_skipped_would_have_paid_or_not():
    # at 10 USD/bu with 2.5 bu/ac to pay: 0.5 loses 20 USD/ac, on check strips only
    zones = tuple(zone_told(at, one, mean) for at, one, mean in ((1, "paid", 6.0), (2, "did not pay", 0.5)))
    by_zone = ByZone(
        zones=zones, zone_sd_bu_ac=2.0, pair_sd_bu_ac=0.5, rest_sd_bu_ac=1.0, differ_p=0.01, differ=True
    )
    judged = tuple(
        replace(one, zone=zone, action=action, sprayed_frac=share)
        for one, zone, action, share in zip(
            made_trial().judged, (1, 2), ("spray", "skip"), (0.75, 0.26), strict=False
        )
    )
    result = answered([6.0, 5.0, 7.0, 6.0], MONEY, by_zone=by_zone, judged=judged)
    text = report.text(result)
    assert text.startswith(
        "Spraying paid in zone 1 (+$35 an acre), would not have paid in zone 2 (-$20 an acre)\n"
    )
    assert "an acre over all zones" in text, "no figure of the field passes for that of a zone"
    sprayed = replace(result, judged=(judged[0], replace(judged[1], sprayed_frac=0.9)))
    assert "did not pay in zone 2" in report.text(sprayed).splitlines()[0]


def test_many_zones_are_counted_in_the_answer():
    zones = tuple(zone_told(at, "paid", 6.0) for at in range(1, 19))
    by_zone = ByZone(
        zones=zones, zone_sd_bu_ac=2.0, pair_sd_bu_ac=0.5, rest_sd_bu_ac=1.0, differ_p=0.01, differ=True
    )
    result = answered([6.0, 5.0, 7.0, 6.0], MONEY, by_zone=by_zone)
    assert report.text(result).startswith("Spraying paid in 18 zones\n")


def test_zones_that_are_not_apart_show_the_fields_answer():
    zones = (zone_told(1, "cannot tell", 4.0), zone_told(2, "cannot tell", 3.0))
    by_zone = ByZone(
        zones=zones, zone_sd_bu_ac=0.0, pair_sd_bu_ac=0.5, rest_sd_bu_ac=1.0, differ_p=0.4, differ=False
    )
    result = answered([6.0, 5.0, 7.0, 6.0], MONEY, by_zone=by_zone)
    assert [one.told for one in rows.zone_rows(result, TrialUnits(metric=False))] == ["field: paid"] * 2


@pytest.mark.parametrize(
    ("seen_d", "shrunk_d", "says"),
    [
        (2.0, 0.5, "R3 came 2.0 d later than forecast in field n (2 seasons); 0.5 d later is expected"),
        (1.0, -0.5, "R3 came 1.0 d later than forecast in field n (2 seasons); 0.5 d earlier is expected"),
        (-1.0, 0.5, "R3 came 1.0 d earlier than forecast in field n (2 seasons); 0.5 d later is expected"),
    ],
)
def test_what_lasts_of_r3_may_point_the_other_way(seen_d, shrunk_d, says):
    bias = StageBias(kind="field", name="n", seasons=2, seen_d=seen_d, shrunk_d=shrunk_d, sd_d=1.0)
    assert season_rows.book_lines(SeasonBook(biases=(bias,))) == [f"{says} of that field next year"]


def test_strips_that_cross_two_classes_are_one_trial():
    trials = [
        LearnedTrial(season=2026, field="n", pressure=one, mean_bu_ac=1.0, se_bu_ac=1.0, pairs=4)
        for one in ("low", "seen")
    ]
    assert book.text(SeasonBook(), trials, (), "").startswith("1 season, 1 field, 1 trial with strips\n")


def answered(differences, money, **changed):
    result = made_trial(MadeTrial(zones=1, judged=False))
    return replace(result, response=made_response(differences, money), **changed)


MONEY = Money(price_usd_bu=10.0, cost_usd_ac=25.0, tracks_bu_ac=0.0)


def test_by_hand_a_pass_that_paid():
    # 6.0 on average, 2.5 pays: 10 x 3.5 = 35 USD/ac; sd 0.816, se 0.408, t(0.95, 3) = 2.353: 5.04 to 6.96
    text = report.text(answered([5.0, 6.0, 6.0, 7.0], MONEY))
    assert text.startswith("The pass paid: it returned $35 an acre above its cost\n")
    assert "6.0 bu/ac more than untreated ones" in text
    assert "between 5.0 and 7.0 bu/ac" in " ".join(text.split())
    assert "2.5 bu/ac pays for the pass: $25 an acre of cost at $10.00 a bushel" in text
    assert "net +$35 an acre, $25 to $45 with 90 % confidence" in " ".join(text.split())


def test_by_hand_the_same_in_hectares_and_kilograms():
    # 1 bu/ac = 60 lb/ac = 27.2155 kg / 0.404686 ha = 67.251 kg/ha: 6.0 -> 404, 2.5 -> 168;
    # 35 USD/ac / 0.404686 = 86.5 USD/ha; 10 USD/bu / 0.0272155 t = 367 USD/t
    text = report.text(answered([5.0, 6.0, 6.0, 7.0], MONEY, units="metric", lessons=()))
    assert text.startswith("The pass paid: it returned $86 a hectare above its cost\n")
    assert "404 kg/ha more" in text
    assert "168 kg/ha pays for the pass: $61.78 a hectare of cost at $367 a tonne" in text
    assert "bu/ac" not in text
    assert "$/ac" not in text


def test_by_hand_a_pass_that_lost():
    # 0.5 on average, 2.5 pays: 10 x -2.0 = -20 USD/ac
    text = report.text(answered([0.4, 0.5, 0.5, 0.6], MONEY))
    assert text.startswith("The pass did not pay: it lost $20 an acre\n")


def test_pairs_that_do_not_count_say_why():
    result = made_trial(MadeTrial(out=(2, 5)))
    text = " ".join(report.text(result).split())
    for pair in (2, 5):
        assert f"S{pair} does not count: its untreated strip was sprayed on 38 % of its ground" in text
    assert "4 of 6 pairs of strips count" in text
    assert not re.search(r"S2 +1,", text)


def test_every_zone_stands_beside_what_the_plan_did_there():
    result = made_trial()
    text = report.text(result)
    for zone, judged in zip(result.by_zone.zones, result.judged, strict=True):
        row = next(line for line in text.splitlines() if line.split()[:2] == [str(zone.zone), judged.action])
        assert f"{zone.mean_bu_ac:+.1f}" in row
        assert row.endswith(judged.judgement)


def test_what_has_no_room_is_counted():
    result = made_trial(CASES["12 pairs, 30 zones"])
    text = report.text(result, 80)
    pairs = len(re.findall(r"^ +S\d+ ", text, re.MULTILINE))
    left = [int(count) for count in re.findall(r"^(\d+) more on trial.html", text, re.MULTILINE)]
    assert pairs < len(result.pairs)
    assert len(result.pairs) - pairs in left


def test_names_cannot_command_the_terminal():
    result = replace(made_trial(), field="North\x1b[31m", file="a\x07b", product="\x1b]0;x\x07")
    assert "\x1b" not in report.text(result)
    assert "\x07" not in report.text(result)
    assert max(map(len, report.text(with_long_names(result), 80).splitlines())) <= 80


def test_moisture_is_only_told_where_it_is_known():
    assert "0.4 points wetter" in report.text(made_trial())
    assert "wetter" not in report.text(made_trial(CASES["no moisture, no time"]))
    assert "season 2026" in report.text(made_trial(CASES["no moisture, no time"]))


# ---- the book of a farm ----


@pytest.mark.parametrize("metric", [False, True])
def test_the_book_lists_each_trial_and_what_is_believed(metric):
    result = made_trial()
    text = book.text(result.book, result.trials, result.beliefs, "Slough Farm", metric=metric, width=90)
    says = TrialUnits(metric=metric)
    assert text.startswith("Slough Farm: 3 seasons, 2 fields, 3 trials with strips\n")
    for trial in result.trials:
        row = next(line for line in text.splitlines() if line.split()[:2] == [str(trial.season), trial.field])
        assert says.more(trial.mean_bu_ac) in row
    for belief in result.beliefs:
        assert f"{belief.pressure} pressure: next season {says.more(belief.after_mean_bu_ac)}" in text
    assert "R3 came 2.7 d earlier than forecast in field heron_slough" in text
    assert max(map(len, text.splitlines())) <= 90


def test_an_empty_book_says_so():
    assert "no strip was harvested yet" in book.text(SeasonBook(), (), (), "")


# ---- figures ----


@pytest.mark.parametrize("value", [-0.04, 0.0, 0.04])
def test_nothing_has_no_sign(value):
    assert TrialUnits(metric=False, minus="−").more(value) == "0.0"
    assert TrialUnits(metric=False).usd(value, sign=True) == "$0"


@pytest.mark.parametrize("value", np.linspace(-20, 20, 41))
def test_signs_are_those_of_the_figures(value):
    text = TrialUnits(metric=False).more(value)
    assert float(text) == pytest.approx(value, abs=0.05)
    assert text.startswith(("+", "-")) == (abs(value) >= 0.05)
