"""What check strips cost: the value of a field without them less that with them, reckoned cell by cell."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from hypothesis import event, given
from hypothesis import strategies as st
from made_offers import made_rig, terms
from made_problems import problem

from zoning.offers.check_strips.cost import cost_usd, grounds, net_usd_ac, pass_for
from zoning.offers.offered import Options
from zoning.passes.problem import Chosen, Visit
from zoning.plan import Piece
from zoning.returns.costs import cost_usd_ac

OPEN = SimpleNamespace(closed_by=None)


def options_of(made, of) -> Options:
    """Options of which only the problem and the terms count here."""
    return Options(priced=None, terms=of, problem=made, machine=made_rig())


def visit(number, zones, area_ac, day=200, last_day=None, half="AM", volume_gal_ac=10.0):
    return Visit(
        number=number,
        sprayer="rig",
        day=day,
        last_day=day if last_day is None else last_day,
        half=half,
        volume_gal_ac=volume_gal_ac,
        zones=zones,
        area_ac=area_ac,
        loads=1,
        visit_costs_usd=0.0,
    )


def chosen_of(*visits) -> Chosen:
    return Chosen(field="home", visits=visits, value_usd=0, estimate_usd=0, driven_off_ac=0, driven_off_usd=0)


def piece(zone, area_ac, pair=1, treatment="untreated", pass_number=0):
    """A piece of a strip; where it lies does not matter here."""
    return Piece(
        kind="strip",
        outline=shapely.box(0, 0, 1, 1),
        area_ac=area_ac,
        zone=zone,
        pair=pair,
        treatment=treatment,
        pass_number=pass_number,
    )


# ---- by hand

# Zone 1 nets 12 USD/ac, zone 2 -8 USD/ac at a cost of 19 + 2 + 9 = 30 USD/ac; tracks press down 5 USD/ac.
BY_HAND = problem([[[12.0]], [[-8.0]]], [40, 60], track_loss_usd_ac=np.array([5.0, 5.0]), pass_usd_ac=9.0)


def test_by_hand_a_pair_through_both_zones():
    # 1 ac of zone 1 left out: 12 USD; 1.5 ac of zone 2 treated: 12 USD. Zone 1 lies on both strips, so their
    # swaths are driven anyway and press down nothing more: 24 USD
    one = visit(1, (1,), 40.0)
    pieces = [piece(1, 1.0), piece(2, 1.5), piece(1, 1.0, 1, "treated", 1), piece(2, 1.5, 1, "treated", 1)]
    on = grounds(pieces, chosen_of(one), {1: one, 2: one})
    assert (on.untreated_ac, on.treated_ac, on.driven_ac) == ({1: 1.0}, {2: 1.5}, {})
    assert cost_usd(options_of(BY_HAND, (terms(),)), chosen_of(one), on) == pytest.approx(24)


def test_by_hand_a_pair_in_the_skipped_zone_presses_down_crop():
    # 1.5 ac of zone 2 treated: 12 USD; 3 ac of it driven for both strips: 15 USD
    one = visit(1, (1,), 40.0)
    pieces = [piece(2, 1.5), piece(2, 1.5, 1, "treated", 1)]
    on = grounds(pieces, chosen_of(one), {1: one, 2: one})
    assert on.driven_ac == {2: 3.0}
    assert cost_usd(options_of(BY_HAND, (terms(),)), chosen_of(one), on) == pytest.approx(27)


def test_by_hand_nobody_drives_where_no_pass_may_treat():
    # zone 2 is closed: neither strip is sprayed there, and none is driven
    one = visit(1, (1,), 40.0)
    on = grounds([piece(2, 1.5), piece(2, 1.5, 1, "treated")], chosen_of(one), {1: one})
    assert cost_usd(options_of(BY_HAND, (terms(),)), chosen_of(one), on) == 0


def test_by_hand_the_own_machine_is_driven_all_the_same():
    # 1 ac left out loses the net of 12 USD and the 9 USD of the machine, but for 2 USD of filling: 19 USD
    own = replace(terms(), own_machine=True, filling_usd_ac=2.0)
    one = visit(1, (1,), 40.0)
    on = grounds([piece(1, 1.0)], chosen_of(one), {1: one})
    assert cost_usd(options_of(BY_HAND, (own,)), chosen_of(one), on) == pytest.approx(19)


def test_by_hand_a_minimum_bill_is_topped_up_for_what_is_left_out():
    # 40 ac x 9 USD = 360 USD, the minimum: 1 ac less is topped up with 9 USD. With one of 355 USD: 4 USD
    one = visit(1, (1,), 40.0)
    on = grounds([piece(1, 1.0)], chosen_of(one), {1: one})
    for least_usd, top_up_usd in ((360, 9), (355, 4), (300, 0)):
        billed = replace(BY_HAND, minimum_bill_usd=float(least_usd))
        cost = cost_usd(options_of(billed, (terms(),)), chosen_of(one), on)
        assert cost == pytest.approx(12 + top_up_usd)


def test_by_hand_the_pass_that_suits_a_skipped_zone_best_treats_it():
    # days 200 to 202; a pass over two days counts their mean; closed days are NaN
    nan = float("nan")
    nets = [[[12.0], [12.0], [12.0]], [[-8.0], [-6.0], [-9.0]], [[nan], [-1.0], [nan]], [[nan]] * 3]
    options = options_of(problem(nets, [40, 60, 5, 5]), (terms(),))
    early, late = visit(1, (1,), 40.0, 200), visit(2, (1,), 40.0, 201, 202)
    at_noon = visit(3, (1,), 40.0, 201)
    assert net_usd_ac(1, early, options) == -8
    assert net_usd_ac(1, late, options) == -7.5
    assert pass_for(1, OPEN, chosen_of(early, late), options) is late
    assert pass_for(2, OPEN, chosen_of(early, late), options) is None
    assert pass_for(2, OPEN, chosen_of(early, late, at_noon), options) is at_noon
    assert pass_for(3, OPEN, chosen_of(early, late, at_noon), options) is None
    assert pass_for(1, SimpleNamespace(closed_by="twice"), chosen_of(early), options) is None
    assert pass_for(1, OPEN, chosen_of(), options) is None
    assert np.isnan(net_usd_ac(1, visit(1, (1,), 40.0, 199), options))  # a day that is not priced


def test_a_pass_after_noon_brings_less():
    less = np.array([[[3.0]], [[0.5]]])
    options = options_of(replace(BY_HAND, afternoon_less_usd_ac=less), (terms(),))
    assert net_usd_ac(0, visit(1, (1,), 40.0, half="PM"), options) == 9
    assert net_usd_ac(0, visit(1, (1,), 40.0, half="AM"), options) == 12


# ---- by the value of the whole field


@st.composite
def strip_fields(draw):
    """Swaths and zones, up to two passes at two volumes, pairs on neighbouring swaths."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    swaths, zones = draw(st.integers(4, 9)), draw(st.integers(1, 4))
    area = rng.uniform(0.2, 2, (swaths, zones)) * (rng.random((swaths, zones)) < 0.5)
    area[:, 0] += (area.sum(axis=0) == 0)[0] + (area.sum(axis=1) == 0)
    area[0] += (area.sum(axis=0) == 0) * 0.3
    own = draw(st.booleans())
    pass_usd = float(rng.uniform(3, 12))
    of = tuple(
        replace(
            terms(pass_usd * factor if own else pass_usd),
            own_machine=own,
            filling_usd_ac=pass_usd / 4 if own else 0.0,
            water_usd_gal=float(rng.uniform(0, 0.1)),
        )
        for factor in (1.0, 1.3)
    )
    volumes = (10.0, 15.0)
    response = rng.normal(3, 2, (zones, 2, 2))
    net = 10.40 * response - np.array([cost_usd_ac(one, gal) for one, gal in zip(of, volumes, strict=True)])
    action = rng.integers(0, 3, zones) if zones > 1 else np.array([1])
    action[0] = max(action[0], 1)  # somebody comes
    places, at = [], draw(st.integers(0, 2))
    while at + 1 < swaths:
        places.append(at)
        at += draw(st.integers(2, 4))
    made = problem(
        net,
        area.sum(axis=0),
        swath_area_ac=area,
        track_loss_usd_ac=rng.uniform(0, 8, zones),
        pass_usd_ac=max(one.pass_usd_ac for one in of),
        minimum_bill_usd=float(rng.uniform(0, 300)) * draw(st.booleans()) * (not own),
        per_visit_usd=20.0,
    )
    turned = rng.integers(0, 2, len(places))
    return (
        made,
        of,
        action,
        [(place + turn, place + 1 - turn) for place, turn in zip(places, turned, strict=True)],
    )


def value_usd(made, of, treats, driven, boom_off):
    """The value of a field by cells (swath, zone), of the pass that treats each, 0 where none does."""
    area = made.swath_area_ac
    total = 0.0
    for number in (1, 2):
        on = treats == number
        if not on.any():
            continue
        acres = float(area[on].sum())
        total += float((area * on * made.net_usd_ac[:, number - 1, number - 1]).sum())
        total -= made.per_visit_usd + max(0.0, made.minimum_bill_usd - made.pass_usd_ac * acres)
        if of[number - 1].own_machine:
            left = float(area[boom_off == number].sum())
            total -= left * (of[number - 1].pass_usd_ac - of[number - 1].filling_usd_ac)
    return total - float((area[driven] * made.track_loss_usd_ac).sum())


@given(strip_fields())
def test_the_cost_is_what_the_field_is_worth_less(made_field):
    made, of, action, pairs = made_field
    area, zones = made.swath_area_ac, range(1, len(action) + 1)
    visits = [
        visit(
            number,
            tuple(zone for zone in zones if action[zone - 1] == number),
            float(made.area_ac[action == number].sum()),
            day=199 + number,
            volume_gal_ac=(10.0, 15.0)[number - 1],
        )
        for number in (1, 2)
        if (action == number).any()
    ]
    chosen, options = chosen_of(*visits), options_of(made, of)
    visit_of = {zone: one for one in visits for zone in one.zones}
    visit_of |= {zone: pass_for(zone - 1, OPEN, chosen, options) for zone in zones if zone not in visit_of}
    before = np.tile(action, (len(area), 1))
    after, boom_off = before.copy(), np.zeros_like(before)
    driven_before = (area[:, action > 0] > 0).any(axis=1)
    driven_after = driven_before.copy()
    pieces = []
    for pair, (untreated, treated) in enumerate(pairs, start=1):
        after[untreated] = 0
        boom_off[untreated] = action
        after[treated] = [visit_of[zone].number for zone in zones]
        if area[treated].any():
            driven_after[[untreated, treated]] = True
        for zone in zones:
            if area[untreated, zone - 1]:
                pieces.append(piece(zone, float(area[untreated, zone - 1]), pair))
            if area[treated, zone - 1]:
                number = visit_of[zone].number
                pieces.append(piece(zone, float(area[treated, zone - 1]), pair, "treated", number))
    whole = [visit for visit in visits if (area * (after == visit.number)).sum() > 0]
    if len(whole) < len(visits):
        event("strips leave a pass nothing")
        return  # the pass is made all the same, and its costs stay; the value above would drop them
    on = grounds(pieces, chosen, visit_of)
    without = value_usd(made, of, before, driven_before, np.zeros_like(before))
    having = value_usd(made, of, after, driven_after, boom_off)
    event(f"driven for strips: {bool(on.driven_ac)}")
    assert cost_usd(options, chosen, on) == pytest.approx(without - having, abs=1e-6)
