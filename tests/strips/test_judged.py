"""The plan's decisions by what strips say: by hand, and what must hold of any answer."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.strips.learned.judged import PlannedZone, judge, judged_plan
from zoning.strips.terms import ByZone, Money, Response, ZoneResponse

MONEY = Money(price_usd_bu=10.0, cost_usd_ac=25.0, tracks_bu_ac=0.5)  # break-even 3 bu/ac
FIELD = Response(
    pairs=4,
    mean_bu_ac=3.4,
    sd_bu_ac=2.0,
    se_bu_ac=1.0,
    low_bu_ac=1.0,
    high_bu_ac=5.8,
    p_two_sided=0.04,
    relabelled_p=0.125,
    from_pooled_sd=False,
    money=MONEY,
    chance_pays=0.64,
    told="cannot tell",
    pairs_needed=20,
    se_to_learn_bu_ac=1.2,
)


def of_zone(zone, mean, half, pairs=4):
    low, high = mean - half, mean + half
    told = "paid" if low > 3 else "did not pay" if high < 3 else "cannot tell"
    return ZoneResponse(
        zone=zone, pairs=pairs, length_m=300.0, seen_bu_ac=mean, mean_bu_ac=mean, se_bu_ac=half / 2,
        low_bu_ac=low, high_bu_ac=high, chance_pays=0.5, told=told,
    )  # fmt: skip


def by_zone(*zones, differ=True):
    return ByZone(
        zones=zones, zone_sd_bu_ac=1.0, pair_sd_bu_ac=1.0, rest_sd_bu_ac=1.0, differ_p=0.01, differ=differ
    )


def planned(zone, action, area_ac=None):
    return PlannedZone(zone=zone, block="A", action=action, area_ac=area_ac, forecast_net_usd_ac=4.0)


def test_by_hand_zones_that_may_be_told_apart():
    # net = 10 x (response - 3): zone 1 6 +- 2 bu/ac: 30, 10 to 50; zone 2 1 +- 1.5: -20, -35 to -5;
    # zone 3 1.8 +- 1.3: -12, -25 to 1
    told = by_zone(of_zone(1, 6.0, 2.0), of_zone(2, 1.0, 1.5), of_zone(3, 1.8, 1.3))
    plan = [planned(1, "spray"), planned(2, "spray"), planned(3, "skip")]
    one, two, three = judge(plan, told, FIELD, MONEY, {1: 0.97, 2: 0.8})
    assert (one.net_usd_ac, one.net_low_usd_ac, one.net_high_usd_ac) == pytest.approx((30, 10, 50))
    assert (two.net_usd_ac, two.net_low_usd_ac, two.net_high_usd_ac) == pytest.approx((-20, -35, -5))
    assert [each.judgement for each in (one, two, three)] == ["right", "wrong", "cannot tell"]
    assert three.said.text == (
        "zone 3 was skipped: the strips say a pass would have lost 12 USD/ac there (90 % -25 to +1): "
        "cannot tell"
    )
    assert one.said.text == (
        "zone 1 was sprayed: the strips say a pass gained 30 USD/ac there (90 % +10 to +50): that was right"
    )
    assert one.forecast_net_usd_ac == 4.0
    assert (one.response_bu_ac, one.sprayed_frac, three.sprayed_frac) == (6.0, 0.97, 0.0)


def test_by_hand_zones_that_may_not_be_told_apart_take_the_fields_answer():
    # 10 x (3.4 - 3) = 4, 10 x (1 - 3) = -20, 10 x (5.8 - 3) = 28
    told = by_zone(of_zone(1, 6.0, 2.0), of_zone(2, 1.0, 1.5), differ=False)
    found = judge([planned(1, "spray"), planned(2, "skip")], told, FIELD, MONEY, {})
    for one in found:
        assert (one.net_usd_ac, one.net_low_usd_ac, one.net_high_usd_ac) == pytest.approx((4, -20, 28))
        assert (one.judgement, one.chance_pays) == ("cannot tell", 0.64)
        assert "on the whole field" in one.said.text


def test_no_strip_no_answer():
    told = by_zone(of_zone(1, 6.0, 2.0), of_zone(2, 6.0, 2.0, pairs=0))
    plan = [planned(zone, "skip") for zone in (1, 2, 3)]
    assert [one.judgement for one in judge(plan, told, FIELD, MONEY, {})] == [
        "wrong",
        "not tested",
        "not tested",
    ]
    for found in (judge(plan, None, FIELD, MONEY, {}), judge(plan, None, None, MONEY, {})):
        assert {one.judgement for one in found} == {"not tested"}
        assert {one.net_usd_ac for one in found} == {None}
    (alone,) = judge(plan[:1], None, FIELD, MONEY, {})
    assert alone.judgement == "cannot tell", "a field that is one zone has the field's answer"


def test_what_was_done_against_the_plan_is_said():
    told = by_zone(of_zone(1, 6.0, 2.0), of_zone(2, 1.0, 1.5))
    plan = [planned(1, "spray"), planned(2, "skip"), replace(planned(3, "skip"), action="")]
    not_sprayed, sprayed = judge(plan, told, FIELD, MONEY, {1: 0.0, 2: 0.9})
    assert "was to be sprayed and was not: the strips say a pass would have gained" in not_sprayed.said.text
    assert "was to be skipped and was sprayed: the strips say a pass lost" in sprayed.said.text
    assert [not_sprayed.judgement, sprayed.judgement] == ["right", "right"], "the plan is judged"


def test_without_money_nothing_is_right_or_wrong():
    told = by_zone(of_zone(1, 6.0, 2.0))
    (one,) = judge([planned(1, "spray")], told, FIELD, None, {1: 1.0})
    assert (one.judgement, one.net_usd_ac, one.response_bu_ac) == ("cannot tell", None, 6.0)
    assert "without price and costs" in one.said.text


def test_by_hand_metric_sentences():
    # 30 USD/ac x 2.471 ac/ha = 74.13 USD/ha, 10 -> 24.71, 50 -> 123.55
    told = by_zone(of_zone(1, 6.0, 2.0))
    (one,) = judge([planned(1, "spray")], told, FIELD, MONEY, {1: 1.0}, is_metric=True)
    assert "74 USD/ha there (90 % +25 to +124)" in one.said.text
    assert one.net_usd_ac == pytest.approx(30)


def test_by_hand_the_whole_plan():
    # zone 1 30 x 40 ac = 1200 (400 to 2000), zone 2 skipped -20 x 10 ac = -200 (-350 to -50): the plan 1200,
    # a pass on both 1000, the plan over that 200 (50 to 350); zone 3 has no strip and is left out
    told = by_zone(of_zone(1, 6.0, 2.0), of_zone(2, 1.0, 1.5))
    plan = [planned(1, "spray", 40.0), planned(2, "skip", 10.0), planned(3, "spray", 30.0)]
    whole = judged_plan(plan, judge(plan, told, FIELD, MONEY, {}))
    assert (whole.zones, whole.area_ac) == ((1, 2), 50.0)
    assert (whole.plan_usd, whole.blanket_usd) == pytest.approx((1200, 1000))
    assert whole.over_none_usd == pytest.approx((400, 2000))
    assert whole.over_blanket_usd == pytest.approx((50, 350))
    assert (
        "the plan is worth +1,200 USD; a pass on all of zones 1, 2 would be worth +1,000" in whole.said.text
    )
    assert "+200 USD (90 % +50 to +350)" in whole.said.text


def test_a_plan_that_does_the_same_everywhere_has_one_comparison():
    told = by_zone(of_zone(1, 6.0, 2.0), of_zone(2, 1.0, 1.5))
    for action, code in (("spray", "season.plan_sprays_all"), ("skip", "season.plan_skips_all")):
        plan = [planned(1, action, 40.0), planned(2, action, 10.0)]
        assert judged_plan(plan, judge(plan, told, FIELD, MONEY, {})).said.code == code


def test_no_whole_without_areas_or_answers():
    told = by_zone(of_zone(1, 6.0, 2.0))
    plan = [planned(1, "spray")]
    assert judged_plan(plan, judge(plan, told, FIELD, MONEY, {})) is None
    plan = [planned(1, "spray", 40.0)]
    assert judged_plan(plan, judge(plan, told, FIELD, None, {})) is None
    assert judged_plan(plan, judge(plan, None, None, MONEY, {})) is None
    assert judged_plan([], ()) is None


answers = st.tuples(
    st.floats(-8, 14), st.floats(0.01, 9), st.sampled_from(["spray", "skip"]), st.floats(0.1, 90)
)


@given(st.lists(answers, min_size=1, max_size=6))
def test_any_plan(told):
    zones = by_zone(*(of_zone(at, mean, half) for at, (mean, half, _, _) in enumerate(told, 1)))
    plan = [planned(at, action, ac) for at, (_, _, action, ac) in enumerate(told, 1)]
    turned = [replace(one, action="skip" if one.action == "spray" else "spray") for one in plan]
    found, other = (judge(each, zones, FIELD, MONEY, {}) for each in (plan, turned))
    opposite = {"right": "wrong", "wrong": "right", "cannot tell": "cannot tell"}
    for one, against in zip(found, other, strict=True):
        assert against.judgement == opposite[one.judgement]
        if one.judgement != "cannot tell":
            assert one.net_low_usd_ac * one.net_high_usd_ac > 0
    whole = judged_plan(plan, found)
    low, high = whole.over_blanket_usd
    assert low - 1e-6 <= whole.plan_usd - whole.blanket_usd <= high + 1e-6
    low, high = whole.over_none_usd
    assert low - 1e-6 <= whole.plan_usd <= high + 1e-6
    back = judged_plan(turned, other)
    assert back.plan_usd + whole.plan_usd == pytest.approx(whole.blanket_usd, abs=1e-6)
