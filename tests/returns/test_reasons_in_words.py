"""The reason names the input behind the decision."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from zoning.returns.costs import terms
from zoning.returns.draws import response_draws
from zoning.returns.price import settle
from zoning.returns.reasons import Driver, reason, source_note, stopped
from zoning.returns.response import Place
from zoning.returns.sources import pooled, practice
from zoning.returns.terms import ZoneCase
from zoning.settings.model import Money, Response
from zoning.stage.draws import StageDraws

MID_R3_DAY = 205
OFFSETS = np.array([-13.0, -10.0, 0.0, 9.0, 18.0, 30.0, 48.0]) + MID_R3_DAY - 4.5


# half of the draws a stage early and half a stage late: the best day is neither
UNSURE = StageDraws(np.repeat([OFFSETS - 13.0, OFFSETS + 13.0], 256, axis=0))


def of(**more):
    money = {"grain_price": "10.40 USD/bu", "product": "19 USD/ac", "pass": "9 USD/ac"} | more
    return terms(Money.model_validate(money))


def case(mixture, **more):
    made = ZoneCase(
        zone=1,
        area_ac=40.0,
        mixture=mixture,
        response_draws_bu_ac=response_draws(mixture, seed=0, field="North", zone=1, draws=512),
        curve="published",
        stage=StageDraws(np.tile(OFFSETS, (512, 1))),
        expected_yield_bu_ac=58.0,
        track_loss_bu_ac=0.0,
        volume_matters=False,
    )
    return replace(made, **more)


def said(zone_case, driver, money, day=MID_R3_DAY):
    return reason(settle(zone_case, day, 15.0, money), zone_case, driver, money)


HIGH = Driver(source="pooled trials", pressure="high", seen_on=date(2026, 7, 6))
UNKNOWN = Driver(source="pooled trials", pressure="unknown")


def test_a_sprayed_zone_names_the_scouting():
    word = said(case(pooled("high")), HIGH, of())
    assert word.code == "returns.spray"
    assert word.text == "pressure high seen by scouting on Jul 6: expect 2.9 bu/ac, needs 2.7"


def test_what_was_seen_and_open_rows_are_named():
    seen = replace(HIGH, seen_pct=4.0, disease="frogeye")
    told = said(case(pooled("high")), seen, of()).text
    assert told.startswith("4 % of the leaf area with frogeye, seen by scouting on Jul 6: ")
    other = replace(seen, cause="other")
    assert "trouble of another cause" in said(case(pooled("low")), other, of()).text
    rows = Driver(source="pooled trials", pressure="low", open_rows=True)
    told = said(case(pooled("low")), rows, of()).text
    assert told.startswith("open rows at R3, which counts as low pressure (pooled trials): needs")


def test_a_skipped_zone_names_what_is_needed():
    word = said(case(pooled("unknown")), UNKNOWN, of())
    assert word.code == "returns.skip"
    assert word.text == "pressure unknown, not scouted (pooled trials): needs 2.7 bu/ac, expect 1.6"


@pytest.mark.parametrize(
    ("driver", "begins"),
    [
        (replace(HIGH, cause="other"), "trouble of another cause seen by scouting on Jul 6, which"),
        (replace(HIGH, pressure="seen"), "lesions seen by scouting on Jul 6: "),
        (replace(UNKNOWN, pressure="seen"), "lesions seen, by your setting: "),
        (replace(UNKNOWN, pressure="medium"), "pressure medium by your setting (pooled trials): "),
        (replace(UNKNOWN, source="practice series"), "practice series: "),
        (
            replace(HIGH, source="practice series", pressure="low"),
            "pressure low seen by scouting on Jul 6: ",
        ),
        (replace(UNKNOWN, source="own trials"), "pressure unknown, not scouted (own trials): "),
        (
            replace(UNKNOWN, severity_pct=20.0, disease="frogeye"),
            "20 % of the leaf area with frogeye near R6, by your forecast: ",
        ),
        (
            replace(HIGH, pressure="seen", resisted=True),
            "lesions seen by scouting on Jul 6, of a disease that resists the product's modes of action: ",
        ),
        (replace(UNKNOWN, source="practice series", resisted=True), "practice series: "),
    ],
)
def test_the_input_behind_is_named(driver, begins):
    assert said(case(pooled("unknown")), driver, of()).text.startswith(begins)


@pytest.mark.parametrize(
    ("zone_case", "day", "names"),
    [
        (
            case(pooled("high"), track_loss_bu_ac=1.03),
            MID_R3_DAY,
            "but new wheel tracks take 1.0 bu/ac: needs 3.7",
        ),
        (
            case(practice("high"), expected_yield_bu_ac=15.0),
            MID_R3_DAY,
            "the expected yield of 15 bu/ac is low:",
        ),
        (case(practice("high")), MID_R3_DAY + 12, "it is late for R3, 4"),
        (case(practice("high")), MID_R3_DAY - 17, "it is early for R3, 5"),
        # by hand: positions 4.94 and 2.15, so about the mean of .34 and .81
        (case(practice("high"), stage=UNSURE), MID_R3_DAY, "the days of R3 are not sure, 58 %"),
        (case(pooled("low"), track_loss_bu_ac=1.0), MID_R3_DAY, "(pooled trials): needs"),
    ],
)
def test_what_alone_would_flip_a_skip_is_named(zone_case, day, names):
    word = said(zone_case, UNKNOWN, of(), day)
    assert word.code == "returns.skip"
    assert names in word.text


def test_by_hand_a_late_day_is_named_where_the_response_is_small():
    # 0.9 x .7 + .09 x 3.2 + .01 x 7 = 0.988 bu/ac in time; 5 + 3 USD/ac at 10.40 USD/bu need 0.77
    cheap = of(product="5 USD/ac", **{"pass": "3 USD/ac"})
    assert said(case(pooled("low")), UNKNOWN, cheap).code == "returns.spray"
    assert "it is late for R3" in said(case(pooled("low")), UNKNOWN, cheap, MID_R3_DAY + 12).text


def test_other_rules_say_why_they_skip():
    zone = case(pooled("high"))
    toss_up = said(zone, HIGH, of(min_net="3 USD/ac"))
    assert toss_up.code == "returns.toss_up"
    assert toss_up.text.endswith(
        "a toss-up, expect 2.9 bu/ac, needs 2.7; 2 USD/ac is not above your min_net of 3"
    )
    near = said(zone, HIGH, of(min_net="2.20 USD/ac"))
    assert near.text.endswith("2.11 USD/ac is not above your min_net of 2.20")
    chance = said(zone, HIGH, of(rule="chance", min_chance=0.9))
    assert chance.code == "returns.chance_low"
    assert "and you ask for 0.90" in chance.text
    cautious = said(zone, HIGH, of(rule="cautious"))
    assert cautious.code == "returns.cautious"
    assert "losses count 2 times" in cautious.text
    assert said(zone, HIGH, of(grain_price="1 USD/bu", haul="2 USD/bu")).code == "returns.no_value"


def test_numbers_that_would_print_alike_get_another_digit():
    # .35 x .7 + .5 x 3.2 + .15 x 7 = 2.895 expected; 30 / 10.40 = 2.885 needed
    word = said(case(pooled("high")), HIGH, of(product="21 USD/ac"))
    assert "needs 2.88" in word.text
    assert "expect 2.90" in word.text


def test_metric_farms_read_kilograms():
    word = said(case(pooled("high")), replace(HIGH, metric=True), of())
    # 2.9 x 67.25 = 195 and 2.69 x 67.25 = 181
    assert word.text.endswith(": expect 195 kg/ha, needs 181")


def test_every_source_is_held_against_the_published_mean():
    place = Place(pressure="unknown")
    assert "1.6 bu/ac" in source_note(Response(source="pooled trials"), place).text
    practice_note = source_note(Response(source="practice series"), place).text
    assert "2.6 times the published mean of 1.64" in practice_note
    own = source_note(Response(source="own trials", mean="3.4 bu/ac", se="0.6 bu/ac", years=4), place).text
    assert "3.2 bu/ac expected in the middle of R3, 1.6 without them" in own


def test_white_mold_stops_the_reckoning():
    assert "R1 to R2" in stopped("white mold").text
    assert stopped(" White Mould ").code == "returns.white_mold"
    assert stopped("frogeye, brown spot") is None
    assert stopped("") is None
