"""The map of a pass is fitted to old terminals, but never sprays ground that the pass must not spray."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
import shapely
from made_no_spray import with_no_spray
from made_plans import Made, acres, made_plan

from zoning.offers.pass_maps import with_maps

BOARD = 1 + np.add.outer(np.arange(15), np.arange(15)) % 2  # zones 1 and 2, each in a good hundred pieces


def treated(one):
    return shapely.union_all([part.outline for part in one.map.parts if part.rate_gal_ac > 0])


def in_common(area, plan, zone):
    [outline] = [each.outline for each in plan.zones if each.zone == zone]
    return treated(area).intersection(outline).area / outline.area


def test_a_map_with_too_many_polygons_is_fitted_and_it_is_said():
    plan = made_plan(Made(labels=BOARD))
    [one] = plan.passes
    assert one.map.fitted.polygons == 225
    assert len(one.map.parts) <= 100
    assert one.map.treated_ac == pytest.approx(acres(treated(one)), rel=1e-9)
    [note] = [note for note in plan.notes if note.code == "passes.map_simpler"]
    assert f"{len(one.map.parts)} polygons instead of 225" in note.text
    assert f"{one.map.fitted.joined_ac:.1f} ac" in note.text
    assert in_common(one, plan, 2) > 0  # so the tests below can fail
    assert sum(note.code == "passes.map_simpler" for note in with_maps(plan).notes) == 1


def test_a_map_that_fits_is_not_touched_and_nothing_is_said():
    plan = made_plan(Made(labels=BOARD[:10, :10]))
    assert plan.passes[0].map.fitted is None
    assert not [note for note in plan.notes if note.code.startswith("passes.map")]
    [own] = [zone.outline for zone in plan.zones if zone.zone == 1]
    assert treated(plan.passes[0]).symmetric_difference(own).area < 1e-15


def of_zone_2(plan, **changes):
    return replace(plan, zones=tuple(replace(z, **changes) if z.zone == 2 else z for z in plan.zones))


def label_closed(plan):
    money = next(zone.money for zone in plan.zones if zone.zone == 2)
    day_before = plan.passes[0].day.toordinal() - 1
    return of_zone_2(plan, money=replace(money, delay=replace(money.delay, days=(day_before,))))


@pytest.mark.parametrize(
    "closed",
    [
        lambda plan: of_zone_2(plan, sprayed_on=date(2026, 6, 20)),
        lambda plan: of_zone_2(plan, money=None),
        label_closed,
        lambda plan: with_no_spray(plan, {2: "setback"}),
    ],
    ids=["sprayed before", "no day left", "label closed by then", "setback"],
)
def test_ground_that_is_closed_to_a_pass_stays_dry(closed):
    plan = made_plan(Made(labels=BOARD))
    fitted = with_maps(closed(plan))
    assert fitted.passes[0].map.fitted.fits
    assert in_common(fitted.passes[0], plan, 2) == 0


def test_ground_of_another_pass_gets_no_second_spray():
    plan = made_plan(Made(labels=BOARD, pass_of_zone={1: 1, 2: 2}))
    first, second = plan.passes
    assert in_common(first, plan, 2) == 0
    assert in_common(second, plan, 1) == 0
    assert first.map.fitted.fits
    assert second.map.fitted.fits
