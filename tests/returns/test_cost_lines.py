"""The lines of a treated acre: by hand, and that they are the cost that the decision counts."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from zoning.returns.costs import by_visit, cost_usd_ac, lines, spent_by_visit, terms
from zoning.settings.model import Money, Sprayer

KEYS = {
    "grain_price": "10.40 USD/bu",
    "product": "19 USD/ac",
    "adjuvant": "2 USD/ac",
    "foliar_feed": "4 USD/ac",
    "pass": "9 USD/ac",
    "water": "0.02 USD/gal",
}
RIG = {"name": "rig", "boom": "90 ft", "speed": ["5 mph", "14 mph"], "tank": "1000 gal", "fill_min": 15}


def money(**more):
    return Money.model_validate({key: value for key, value in (KEYS | more).items() if value is not None})


def rows(of, volume=15.0):
    return [(line.name, round(line.usd_ac, 6), line.counted) for line in lines(of, volume)]


def test_by_hand_lines_of_a_treated_acre():
    # 15 gal x .02 = .30; 19 + 2 + 4 + 9 + .30 = 34.30
    of = terms(money())
    assert rows(of) == [
        ("product", 19, True),
        ("adjuvant", 2, True),
        ("foliar_feed", 4, True),
        ("pass", 9, True),
        ("water", 0.3, True),
    ]
    assert cost_usd_ac(of, 15) == pytest.approx(34.30)
    assert rows(of, None)[-1][0] == "pass"  # the volume is not known: no water


def test_by_hand_the_lines_are_your_share():
    assert rows(terms(money(share_of_cost=0.5)))[:2] == [("product", 9.5, True), ("adjuvant", 1, True)]


def test_by_hand_a_share_of_the_tank_costs_more_at_more_volume():
    # .0025 x 20 USD/gal = .05 USD/gal: .50 at 10, 1.00 at 20 gal/ac
    of = terms(money(adjuvant=None, adjuvant_price="20 USD/gal", adjuvant_frac=0.0025))
    assert [rows(of, gal)[1] for gal in (10, 20)] == [("adjuvant", 0.5, True), ("adjuvant", 1.0, True)]


def test_by_hand_the_bill_of_a_sprayer_wins_then_money_then_its_hours():
    own = {"pass_usd_ac": 6.5, "filling_usd_ac": 1.5}
    assert ("pass", 15, True) in rows(terms(money(), bill_usd_ac=15, **own))
    assert ("pass", 9, True) in rows(terms(money(), **own))
    by_hours = rows(terms(money(**{"pass": None}), **own))
    assert ("machine", 5, True) in by_hours
    assert ("filling", 1.5, True) in by_hours
    assert "pass" not in [name for name, _, _ in by_hours]


def test_by_hand_a_pass_billed_for_the_field_is_no_line_of_an_acre():
    assert "pass" not in [name for name, _, _ in rows(terms(money(billed="field")))]
    own = terms(money(billed="field", **{"pass": None}), 6.5)  # hours of one's own machine are no bill
    assert ("machine", 6.5, True) in rows(own)
    assert by_visit(money(billed="field"), None).bill_usd_ac == 9
    assert (
        by_visit(money(billed="field"), Sprayer.model_validate(RIG | {"pass": "15 USD/ac"})).bill_usd_ac == 15
    )
    assert by_visit(money(), None).bill_usd_ac == 0


def test_by_hand_beside_another_pass_only_the_tank_counts():
    of = terms(money(other_pass="insecticide", product_already_bought=True))
    assert rows(of) == [
        ("adjuvant", 2, True),
        ("foliar_feed", 4, True),
        ("product", 19, False),
        ("pass", 9, False),
        ("water", 0.3, False),
    ]
    rig = Sprayer.model_validate(RIG | {"ferry": "25 USD", "minimum_bill": "500 USD"})
    anyway = money(other_pass="insecticide", per_visit="40 USD", split_load="60 USD", share_of_cost=0.5)
    billed = by_visit(anyway, rig)
    assert (billed.per_visit_usd, billed.minimum_bill_usd, billed.split_load_usd) == (0, 0, 30)
    spent = spent_by_visit(anyway, rig)
    assert [(line.name, line.usd, line.counted) for line in spent] == [
        ("per_visit", 20, False),
        ("ferry", 12.5, False),
    ]
    assert all(math.isnan(line.usd_ac) for line in spent)
    assert spent_by_visit(money(per_visit="40 USD"), rig) == ()


def test_a_blank_other_pass_is_none():
    assert not money(other_pass="  ").goes_anyway


@given(
    volume=st.one_of(st.none(), st.floats(1, 40)),
    bought=st.tuples(st.booleans(), st.booleans(), st.booleans()),
    other=st.sampled_from(["", "insecticide"]),
    billed=st.sampled_from(["treated", "field"]),
    with_bill=st.booleans(),
    frac=st.sampled_from([0.0, 0.0025]),
)
@settings(max_examples=100, deadline=None)
def test_counted_lines_are_the_avoidable_cost_and_none_is_lost(
    volume, bought, other, billed, with_bill, frac
):
    names = ("product_already_bought", "adjuvant_already_bought", "foliar_feed_already_bought")
    keys = {"billed": billed, "adjuvant_price": "20 USD/gal", "adjuvant_frac": frac}
    if not with_bill:
        keys["pass"] = None
    of = terms(money(other_pass=other, **keys, **dict(zip(names, bought, strict=True))), 6.5)
    found = lines(of, volume)
    assert sum(line.usd_ac for line in found if line.counted) == pytest.approx(cost_usd_ac(of, volume))
    assert len({line.name for line in found}) == len(found)
    # whatever is bought or goes anyway, the same money is on the page: but for a bill for the whole field
    plain = lines(terms(money(**keys | {"billed": "treated"}), 6.5), volume)
    by_field = billed == "field" and with_bill and not other
    expected = sum(line.usd_ac for line in plain) - (9 if by_field else 0)
    assert sum(line.usd_ac for line in found) == pytest.approx(expected)
