"""The bill of a plan: gains less the counted lines are what the passes return, whatever was chosen."""

import math

import numpy as np
import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from zoning.offers.bill import bill
from zoning.offers.offered import Options
from zoning.passes.half_days import even
from zoning.passes.problem import FieldProblem, Machine
from zoning.passes.schedule.farm import alone
from zoning.returns import costs
from zoning.returns.terms import Priced
from zoning.settings.model import Money, Sprayer
from zoning.words.bill import COST_LINES

VOLUMES = (10.0, 15.0, 20.0)
RIG = {"name": "rig", "boom": "90 ft", "speed": ["5 mph", "14 mph"], "tank": "1000 gal", "fill_min": 15}


def options_of(response_bu_ac, area_ac, money: Money, sprayer: Sprayer, **changes):
    """Options as they are priced from settings, the response of every option given."""
    response = np.asarray(response_bu_ac, dtype=float)
    zones, days, volumes = response.shape
    level_2 = changes.pop("level_2", False)
    dear = changes.pop("own_usd_ac", 5.0) * np.arange(1, volumes + 1)
    terms = tuple(
        costs.terms(money, float(usd), bill_usd_ac=sprayer.pass_usd_ac, filling_usd_ac=float(usd) / 4)
        for usd in dear
    )
    known = () if level_2 else VOLUMES[:volumes]
    cost = [costs.cost_usd_ac(of, gal) for of, gal in zip(terms, known or (None,), strict=True)]
    net = terms[0].price_usd_bu * response - np.array(cost)
    by_visit = costs.by_visit(money, sprayer)
    swaths = np.diag(np.asarray(area_ac, dtype=float))
    problem = FieldProblem(
        field="f",
        zones=tuple(range(1, zones + 1)),
        block_of_zone=changes.pop("block_of_zone", (0,) * zones),
        area_ac=np.asarray(area_ac, dtype=float),
        days=np.arange(200, 200 + days),
        volumes_gal_ac=known or (0.0,),
        net_usd_ac=net,
        worth_it=net > money.min_net_usd_ac,
        swath_area_ac=changes.pop("swath_area_ac", swaths),
        track_loss_usd_ac=changes.pop("track_loss_usd_ac", np.zeros(zones)),
        bill_usd_ac=by_visit.bill_usd_ac,
        pass_usd_ac=max(of.pass_usd_ac for of in terms),
        per_visit_usd=by_visit.per_visit_usd,
        minimum_bill_usd=by_visit.minimum_bill_usd,
        min_net_usd_ac=money.min_net_usd_ac,
        ferry_usd=by_visit.ferry_usd,
        goes_anyway=money.goes_anyway,
        split_load_usd=by_visit.split_load_usd,
        may_fill_up=True,
    )
    priced = Priced(
        zones=problem.zones,
        days=problem.days,
        volumes_gal_ac=known,
        net_usd_ac=net,
        chance_frac=np.zeros_like(net),
        passes_rule=problem.worth_it,
    )
    machine = Machine(
        name="rig",
        acres_per_hour=(98.0, 78.0, 58.5)[:volumes],
        acres_per_load=(100.0, 66.7, 50.0)[:volumes],
        set_up_h=0.0,
        hours=even(0, 400, changes.pop("hours_per_day", 12.0)),
    )
    spent = costs.spent_by_visit(money, sprayer)
    return Options(priced=priced, terms=terms, problem=problem, machine=machine, spent_by_visit=spent)


def gain_usd(options, response, chosen):
    """Price x response on every sprayed acre, the mean over the days of its visit."""
    gain = 0.0
    for visit in chosen.visits:
        volume = options.problem.volumes_gal_ac.index(visit.volume_gal_ac)
        first = list(options.problem.days).index(visit.day)
        days = range(first, first + visit.last_day - visit.day + 1)
        for zone in visit.zones:
            mean = sum(response[zone - 1, day, volume] for day in days) / len(days)
            gain += options.terms[0].price_usd_bu * mean * options.problem.area_ac[zone - 1]
    return gain


def usd(amount: float) -> str:
    return f"{amount:.2f} USD"


@st.composite
def farms(draw):
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))

    def perhaps(most: float) -> float:
        return float(rng.uniform(0, most)) * draw(st.booleans())

    zones, days = draw(st.integers(1, 5)), draw(st.integers(1, 6))
    level_2 = draw(st.booleans()) and draw(st.booleans())
    response = rng.normal(3.5, 2.0, (zones, days, 1 if level_2 else draw(st.integers(1, 3))))
    area = rng.uniform(5, 80, zones)
    keys = {
        "grain_price": "10.40 USD/bu",
        "haul": f"{perhaps(1.0)} USD/bu",
        "product": f"{rng.uniform(5, 25)} USD/ac",
        "adjuvant": f"{perhaps(4.0)} USD/ac",
        "foliar_feed": f"{perhaps(6.0)} USD/ac",
        "water": f"{perhaps(0.2)} USD/gal",
        "billed": draw(st.sampled_from(["treated", "field"])),
        "per_visit": usd(perhaps(100)),
        "minimum_bill": usd(perhaps(900)),
        "share_of_cost": draw(st.sampled_from([1.0, 0.5])),
        "share_of_grain": draw(st.sampled_from([1.0, 0.6])),
        "product_already_bought": draw(st.booleans()),
        "adjuvant_already_bought": draw(st.booleans()),
        "other_pass": draw(st.sampled_from(["", "", "insecticide"])),
        "split_load": usd(perhaps(200)),
    }
    if draw(st.booleans()):
        keys |= {"pass": f"{rng.uniform(2, 12)} USD/ac"}
    if draw(st.booleans()):
        keys |= {"adjuvant": "0 USD/ac", "adjuvant_price": "20 USD/gal", "adjuvant_frac": 0.0025}
    machine = RIG | {"ferry": usd(perhaps(60))}
    if draw(st.booleans()):
        machine |= {"pass": f"{rng.uniform(2, 12)} USD/ac", "minimum_bill": usd(perhaps(900))}
    # swaths that cross several zones, or none at level 2
    swaths = rng.uniform(0, 10, (6, zones)) * (rng.random((6, zones)) < 0.5) + 0.01 * np.eye(6, zones)
    anyway = keys["other_pass"] != ""
    tracks = rng.uniform(0, 6, zones) * draw(st.booleans())
    options = options_of(
        response,
        area,
        Money.model_validate(keys),
        Sprayer.model_validate(machine),
        level_2=level_2,
        block_of_zone=tuple(sorted([0, *rng.integers(0, 2, zones - 1)])),
        swath_area_ac=np.zeros((1, zones)) if level_2 else swaths,
        track_loss_usd_ac=np.zeros(zones) if level_2 or anyway else tracks,
        hours_per_day=draw(st.sampled_from([0.8, 3.0])),
    )
    return options, response


@settings(max_examples=200, deadline=None)
@given(farms())
def test_gains_less_the_counted_lines_are_what_the_passes_return(farm):
    options, response = farm
    chosen = alone(options.problem, options.machine)
    lines = bill(options, chosen)
    event(f"{len(chosen.visits)} visits")
    assert len({(line.name, line.counted) for line in lines}) == len(lines)
    assert {line.name for line in lines} <= set(COST_LINES)
    if not chosen.visits:
        assert all(line.usd == 0 for line in lines)
        return
    assert all(line.usd > 0 for line in lines)
    counted = sum(line.usd for line in lines if line.counted)
    assert gain_usd(options, response, chosen) - counted == pytest.approx(chosen.value_usd, abs=0.01)
    # the line that is found as a remainder
    problem = options.problem
    billed = [problem.pass_usd_ac * visit.area_ac for visit in chosen.visits]
    field_usd = problem.bill_usd_ac * problem.area_ac.sum()
    top_up = sum(max(0.0, problem.minimum_bill_usd - field_usd - one) for one in billed)
    shown = sum(line.usd for line in lines if line.name == "minimum_bill")
    assert shown == pytest.approx(top_up, abs=1e-6)


def test_by_hand_two_visits_share_the_lines_by_the_acre():
    # 60 ac on the first day at 15 gal/ac, 40 ac on the last at 10: water (60 x 15 + 40 x 10) x .1 = 130 USD
    response = np.full((2, 3, 2), -9.0)
    response[0, 0, 1], response[1, 2, 0] = 9.0, 9.0
    money = Money.model_validate(
        {"grain_price": "10 USD/bu", "product": "20 USD/ac", "pass": "8 USD/ac", "water": "0.1 USD/gal"}
        | {"per_visit": "30 USD", "minimum_bill": "400 USD"}
    )
    options = options_of(
        response, [60.0, 40.0], money, Sprayer.model_validate(RIG | {"ferry": "20 USD"}), block_of_zone=(0, 1)
    )
    chosen = alone(options.problem, options.machine)
    lines = {line.name: line for line in bill(options, chosen)}
    assert {name: round(line.usd, 6) for name, line in lines.items()} == {
        "product": 2000,
        "pass": 800,
        "water": 130,
        # visits of 60 x 8 = 480 and 40 x 8 = 320: 80 up to 400
        "minimum_bill": 80,
        "per_visit": 60,
        "ferry": 40,
    }
    assert lines["water"].usd_ac == pytest.approx(1.30)  # of a sprayed acre
    assert math.isnan(lines["minimum_bill"].usd_ac)
    # 100 ac x 90 USD - 3110
    assert chosen.value_usd == pytest.approx(9000 - 3110)


def test_by_hand_tracks_on_skipped_ground_are_a_line_of_their_own():
    # one swath through both zones: 5 USD/ac on 40 sprayed and 3 USD/ac on 20 skipped acres
    money = Money.model_validate(
        {"grain_price": "10 USD/bu", "product": "20 USD/ac", "pass": "8 USD/ac"},
    )
    options = options_of(
        [[[9.0]], [[-9.0]]],
        [40.0, 20.0],
        money,
        Sprayer.model_validate(RIG),
        swath_area_ac=np.array([[40.0, 20.0]]),
        track_loss_usd_ac=np.array([5.0, 3.0]),
    )
    chosen = alone(options.problem, options.machine)
    lines = {line.name: line for line in bill(options, chosen)}
    assert lines["tracks_sprayed"].usd == pytest.approx(200)
    assert lines["tracks_sprayed"].usd_ac == pytest.approx(5)
    assert lines["tracks_off"].usd == pytest.approx(60)
    # 40 x (90 - 28) - 260
    assert chosen.value_usd == pytest.approx(2220)


def test_where_nothing_is_sprayed_the_lines_of_a_treated_acre_stand():
    money = Money.model_validate(
        {"grain_price": "10 USD/bu", "product": "20 USD/ac", "pass": "8 USD/ac", "water": "0.1 USD/gal"}
        | {"product_already_bought": True}
    )
    options = options_of([[[-9.0, -9.0]]], [40.0], money, Sprayer.model_validate(RIG))
    chosen = alone(options.problem, options.machine)
    found = [(line.name, line.usd_ac, line.usd, line.counted) for line in bill(options, chosen)]
    assert found == [("pass", 8, 0, True), ("water", 1.5, 0, True), ("product", 20, 0, False)]
