"""What the report says of money: ranges, what would turn a decision, the bill, how a number comes about."""

import ast
from dataclasses import replace
from pathlib import Path

import pytest
from made_plans import Made, made_plan, smooth_field

from zoning.plan import NO_PRICE_PAYS, SOURCES
from zoning.returns.steps import KINDS as KINDS_OF_STEPS
from zoning.returns.terms import CostLine, Delay, Flip, Step
from zoning.show import money
from zoning.show.figures import Units
from zoning.show.panels import panels
from zoning.show.report import report
from zoning.show.table import table
from zoning.show.turns import turns
from zoning.words import Said
from zoning.words.money import KINDS, STEPS

LABELS, BLOCKS = smooth_field(3, shape=(20, 20))
US, METRIC = Units(metric=False), Units(metric=True)
ROOT = Path(__file__).parents[2]


def plan_of(**wanted):
    given_ = {"labels": LABELS, "block_of_zone": BLOCKS, "cell_m": 30, "pass_of_zone": {1: 1, 3: 1, 4: 2}}
    return made_plan(Made(**(given_ | wanted)))


def with_zone(plan, at=0, **changes):
    zone = plan.zones[at]
    changed = replace(zone, money=replace(zone.money, **changes))
    return replace(plan, zones=(*plan.zones[:at], changed, *plan.zones[at + 1 :]))


def with_totals(plan, **changes):
    return replace(plan, totals=replace(plan.totals, **changes))


def words(plan, **wanted):
    return " ".join(report(plan, **wanted).split())


def test_money_at_stake_stands_at_the_top_with_its_range():
    lines = report(plan_of(), 200).splitlines()
    assert lines[1].startswith("spray 48 of 88 acres in 2 passes, expected net $")
    assert lines[2] == (
        "8 seasons of 10 bring -$412 to $3,050; it pays with a chance of 71 %; knowing the season "
        "first: worth $209 at most"
    )
    assert lines[3] == (
        "the expected response rests 63 % on publications, 25 % on your own figures, 12 % on assumptions"
    )


def test_where_nothing_pays_it_is_said_what_would_have_to_be_true():
    lines = report(plan_of(pass_of_zone={}), 200).splitlines()
    assert lines[1].endswith("no pass is worth it; one would be worth it from 18.47 $/bu or with 2.9 bu/ac")
    also = "a pass would also be worth it at a cost below 11 $/ac or if 17 % of the leaf area is diseased"
    assert lines[2] == f"{also} near R6"
    assert lines[3].startswith("the pass that comes nearest to it: 8 seasons of 10 bring -$412 to $3,050;")
    assert lines[3].endswith("knowing the season first: worth $209 at most")
    known = with_totals(plan_of(pass_of_zone={}), nearest_net_usd=-374.2)
    assert "no pass is worth it, the nearest is expected to net -$374; one would" in report(known, 200)


def test_two_prices_of_a_zone_are_told_apart_only_where_they_differ():
    told = '"needs": there the net is 0; "worth it": by your rule and least net return'
    plan = plan_of()
    skipped = next(at for at, zone in enumerate(plan.zones) if zone.action == "skip")
    even = plan.zones[skipped].money.break_even_price_usd_bu
    alike = {"flips": (Flip(name="price", value=even),)}
    for at, zone in enumerate(plan.zones):
        if zone.action == "skip":
            plan = with_zone(plan, at, break_even_price_usd_bu=even, **alike)
    assert told not in words(plan)
    dearer = with_zone(plan, skipped, flips=(Flip(name="price", value=even + 0.8),))
    assert told in words(dearer)


def test_where_nothing_alone_would_make_it_pay_that_is_said():
    plan = with_totals(plan_of(pass_of_zone={}), flips=())
    assert "no price, cost or response alone would make a pass worth it" in words(plan)
    barred = with_totals(plan_of(pass_of_zone={}), flips=(), nearest_net_usd=7412.0)
    assert "alone would make a pass worth it" not in words(barred)  # it would pay, but none can be made
    nothing = with_totals(
        plan_of(pass_of_zone={}), flips=(), rests_on_frac={}, break_even_price_usd_bu=NO_PRICE_PAYS
    )
    assert money.field_lines(nothing) == []  # no day is left: there is no pass that could come near


def test_by_hand_turns_in_both_units():
    # 18.472 USD/bu x 36.7437 = 678.7 USD/t; 11.3 USD/ac x 2.47105 = 27.9; 2.94 bu/ac x 67.251 = 197.7 kg/ha
    flips = (
        Flip(name="price", value=18.472),
        Flip(name="cost", value=11.3),
        Flip(name="response", value=2.94),
        Flip(name="day", value=739812.0),  # date.fromordinal: 15 July 2026
        Flip(name="tracks", value=1.06),
        Flip(name="severity", value=17.2),
    )
    assert turns(flips, US, is_sprayed=False) == (
        "from 18.47 $/bu, at a cost below 11 $/ac, with 2.9 bu/ac, on Jul 15, without new wheel tracks or "
        "if 17 % of the leaf area is diseased near R6"
    )
    assert turns(flips[:4], METRIC, is_sprayed=True) == (
        "below 679 $/t, at a cost above 28 $/ha, with less than 198 kg/ha or if the pass were on Jul 15"
    )
    assert turns((), US, is_sprayed=True) == ""


def test_a_price_that_nobody_will_see_is_not_printed():
    flip = (Flip(name="price", value=57.31),)
    assert turns(flip, US, is_sprayed=False) == "at no price below 40.00 $/bu"
    assert turns(flip, METRIC, is_sprayed=False) == "at no price below 1,470 $/t"  # 40 x 36.7437
    plan = with_zone(plan_of(), break_even_price_usd_bu=57.31)
    shown = table(plan)
    assert shown.rows[0][shown.head.index("break-even $/bu")] == ">40.00"


def test_each_skipped_zone_says_what_would_turn_it_and_a_sprayed_one_only_when_asked():
    plan = plan_of()
    reasons = [row[-1] for row in table(plan).rows]
    actions = [zone.action for zone in plan.zones]
    assert {
        "a spray would be worth it" in one
        for one, does in zip(reasons, actions, strict=True)
        if does == "spray"
    } == {False}
    skipped = [one for one, does in zip(reasons, actions, strict=True) if does == "skip"]
    assert any("a spray would be worth it from" in one for one in skipped)
    assert all("a spray would be worth it from" in one or one.startswith("as zone") for one in skipped)
    assert "it would be skipped below" not in words(plan)
    assert "it would be skipped below" in words(plan, why=True)


def test_a_reason_is_said_once_in_a_block():
    plan = made_plan(Made(labels=[[1, 2], [3, 4]], pass_of_zone={1: 1, 2: 1}))
    assert [row[-1] for row in table(plan).rows][1] == "as zone 1"
    assert [row[-1] for row in table(plan).rows][3] == "as zone 3"  # another decision
    other = replace(plan.zones[1], reason=Said("offers.no_day"))
    plan = replace(plan, zones=(plan.zones[0], other, *plan.zones[2:]))
    assert [row[-1] for row in table(plan).rows][1].startswith("no day is left")


def test_sources_stand_side_by_side_with_what_is_needed():
    plan = plan_of()
    shown, below = money.source_lines(plan)
    assert shown.head == ("zone", "pooled trials *", "practice series", "net without contrast", "needs bu/ac")
    assert shown.rows[0] == ("1", "skip  -11", "spray  +17", "+18", "2.7")  # by hand: 21.4 + 1 - 4.5
    assert shown.rows[1][3] == "-"
    assert below == [
        "own trials: no figures given; no trial has measured how the response differs within a field"
    ]
    metric, _ = money.source_lines(plan_of(units="metric"))
    assert metric.rows[0][-1] == "181"  # 2.69 x 67.251
    assert metric.rows[0][1] == "skip  -27"  # -11 x 2.47105


def test_without_contrast_there_is_no_column_for_it():
    plan = plan_of()
    plan = replace(
        plan,
        zones=tuple(replace(z, money=replace(z.money, no_contrast_usd_ac=None)) for z in plan.zones),
    )
    assert len(money.source_lines(plan)[0].head) == 4
    assert "without the assumed contrast" not in words(plan, why=True)
    assert "without the assumed contrast" in words(plan_of(), why=True)


def test_needs_that_differ_between_sources_are_a_range():
    plan = plan_of()
    by_source = dict(plan.zones[0].money.by_source)
    by_source["practice series"] = replace(by_source["practice series"], needed_response_bu_ac=3.1)
    assert money.source_lines(with_zone(plan, by_source=by_source))[0].rows[0][-1] == "2.7-3.1"
    by_source = {
        one: by_source[one] and replace(by_source[one], needed_response_bu_ac=float("inf")) for one in SOURCES
    }
    assert money.source_lines(with_zone(plan, by_source=by_source))[0].rows[0][-1] == "-"


def test_the_bill_lists_every_line_and_its_sum():
    costs = (
        CostLine(name="product", usd_ac=19.0, usd=1024.4, counted=True),
        CostLine(name="machine", usd_ac=4.255, usd=229.4, counted=True),
        CostLine(name="per_visit", usd_ac=float("nan"), usd=60.0, counted=True),
        CostLine(name="adjuvant", usd_ac=2.0, usd=107.8, counted=False),
    )
    counted, spent = money.bill_lines(with_totals(plan_of(), costs=costs))
    assert counted == (
        "the bill, to hold against paper: product 19 $/ac = $1,024, own machine, driving 4.25 $/ac = $229, "
        "coming to the field $60; together $1,314"
    )
    assert spent == "spent whatever is decided, not counted: adjuvant 2 $/ac = $108"
    skipped = with_totals(plan_of(pass_of_zone={}), costs=tuple(replace(one, usd=0.0) for one in costs[:2]))
    assert money.bill_lines(skipped) == [
        "a treated acre would cost: product 19 $/ac, own machine, driving 4.25 $/ac; together 23.25 $/ac; "
        "what is billed by the visit or for the whole field comes on top"
    ]
    assert money.bill_lines(plan_of(level=1)) == []


def test_what_waiting_costs():
    visit = plan_of().passes[0]
    assert money.later_line(visit) == "begun later, against the plan: 1 day -$12, 3 days -$120"
    assert money.later_line(replace(visit, later_usd=())) == ""
    longer = replace(visit, later_usd=(2.4, *(-1.0,) * 5, -300.2))
    assert money.later_line(longer).endswith("1 day $2, 3 days -$1, 7 days -$300")
    zone = plan_of().zones[0]
    assert "waiting, $/ac: 1 day -2; worth it until Jul 7" in money.zone_lines(zone, US)  # day 739804
    one_day = replace(
        zone, money=replace(zone.money, delay=Delay(days=(739803,), net_usd_ac=(3.0,), pays_until=None))
    )
    assert not any("waiting" in line for line in money.zone_lines(one_day, US))


def test_by_hand_how_a_number_comes_about():
    steps = (
        Step(name="published_mean", evidence=(), kind="published", change_bu_ac=1.64),
        Step(name="pressure", evidence=(), kind="assumption", change_bu_ac=2.94),
        Step(name="tracks", evidence=(), kind="published", change_bu_ac=-0.88),
    )
    plan = with_zone(plan_of(), steps=steps)
    assert money.zone_lines(plan.zones[0], US)[0] == (
        "expected: 1.64 published mean, +2.94 disease pressure = 4.58 bu/ac; -0.88 wheel tracks leave 3.70"
    )
    # x 67.251: 110.3, 197.7, -59.2, in all 248.8 kg/ha
    assert money.zone_lines(plan.zones[0], METRIC)[0] == (
        "expected: 110 published mean, +198 disease pressure = 308 kg/ha; -59 wheel tracks leave 249"
    )


def test_by_hand_what_is_printed_adds_up():
    # running sums 1.644, 2.088, 2.532 print as 1.64, 2.09, 2.53: steps of .45 and .44, though both are .444
    steps = [("published_mean", 1.644), ("pressure", 0.444), ("rain", 0.444)]
    steps = tuple(Step(name=a, evidence=(), kind="published", change_bu_ac=b) for a, b in steps)
    plan = with_zone(plan_of(), steps=steps)
    assert money.zone_lines(plan.zones[0], US)[0] == (
        "expected: 1.64 published mean, +0.45 disease pressure, +0.44 rain = 2.53 bu/ac"
    )
    # 62.7, 28.8 and 8.5 %: 62 + 28 + 8 leave 2, for the largest rests .8 and .7
    plan = with_totals(plan_of(), rests_on_frac={"assumption": 0.627, "published": 0.288, "computed": 0.085})
    assert "rests 63 % on assumptions, 29 % on publications, 8 % on sums made from" in words(plan)


def test_crop_under_the_wheels_stands_on_no_bill():
    costs = (
        CostLine(name="product", usd_ac=19.0, usd=1000.0, counted=True),
        CostLine(name="tracks_sprayed", usd_ac=7.67, usd=586.3, counted=True),
        CostLine(name="tracks_off", usd_ac=float("nan"), usd=64.4, counted=True),
    )
    bill, tracks = money.bill_lines(with_totals(plan_of(), costs=costs))
    assert bill == "the bill, to hold against paper: product 19 $/ac = $1,000; together $1,000"
    assert tracks == (
        "crop that the wheels take, on no bill: new wheel tracks, sprayed ground 8 $/ac = $586, new wheel "
        "tracks, skipped ground driven with the boom off $64; together $651"
    )


def test_details_come_only_when_asked_and_it_is_said_how():
    background = (
        Said("zones.one_response", block="A"),
        Said("offers.no_day"),
    )
    plan = replace(plan_of(), notes=background)
    short, long = words(plan), words(plan, why=True)
    assert "add --why to see how each number comes about, and 1 further notes" in short
    assert "no day is left" in short
    assert "- the zones of block A respond alike" not in short
    assert "- the zones of block A respond alike" in long
    assert "--why" not in long
    assert "expected: 1.64 published mean" in long
    assert "expected: 1.64 published mean" not in short
    assert "--why" not in words(plan_of(level=1))


def test_every_step_and_kind_has_a_word():
    assert set(KINDS) == set(KINDS_OF_STEPS)
    names = set()
    for name in ("response", "steps"):
        tree = ast.parse((ROOT / "zoning" / "returns" / f"{name}.py").read_text(encoding="utf-8"))
        names |= {node.value for node in ast.walk(tree) if isinstance(node, ast.Constant)}
    assert set(STEPS) <= names  # a word for nothing would be dead
    from zoning.returns.response import Place, chain
    from zoning.settings.model import Effects, Response

    places = [
        Place(
            pressure=pressure, groups=2, rain="above", weather="favourable", rating="susceptible",
            after_soybean=True, is_late=True, canopy_sd=1.0, wet_sd=1.0, expected_yield_bu_ac=50.0,
            resisted=resisted, severity_pct=severity, seen_pct=seen, efficacy_frac=0.6,
            effects=Effects(late_planting="less", yield_potential="falling", morning=True),
        )
        for pressure in ("unknown", "high")
        for resisted in (False, True)
        for severity, seen in ((None, None), (20.0, None), (None, 3.0))
    ]  # fmt: skip
    said = set()
    for source in SOURCES:
        response = Response.model_validate({"source": source, "mean": "3 bu/ac", "se": "1 bu/ac"})
        said |= {link.name for place in places for link in chain(source, response, place)}
    assert said | {"published_mean", "poor_ground", "carrier", "stage", "tracks"} == set(STEPS)


@pytest.mark.parametrize("units", ["us", "metric"])
def test_beside_the_map_it_says_that_no_trial_has_measured_differences(units):
    net = panels(plan_of(units=units))[-1]
    assert "no trial has measured how the response differs within a field" in " ".join(net.notes)
    assert net.patches[0].more.endswith("without contrast")
    assert net.patches[1].more == ""
    alone = panels(made_plan(Made(labels=[[1]], units=units)))[-1]
    assert "no trial" not in " ".join(alone.notes)
