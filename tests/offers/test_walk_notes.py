"""Nobody is sent to count plants where no pass would pay on any day."""

from made_demo import HERON_SLOUGH, TODAY

from zoning import field

NO_MEASURE = {"measured_by": lambda *_, **__: lambda: None}


def walks(name):
    plan = field.run(HERON_SLOUGH / name, today=TODAY, seed=0, **NO_MEASURE).plan
    return plan, [note.text for note in plan.notes if note.code == "offers.walk"]


def test_a_field_where_nothing_can_pay_names_no_walk():
    # pressure low at 8.60 USD/bu: .99 bu/ac in mid R3 bring 8.5 USD/ac, the pass costs 30
    plan, found = walks("gravel_forty")
    assert found == []
    assert all(zone.provisional for zone in plan.zones)


def test_only_zones_that_could_pay_are_named():
    plan, found = walks("three_dates")
    named = {number for text in found for number in range(1, 9) if f" {number}" in text.split(":")[0]}
    low = {zone.zone for zone in plan.zones if zone.money.response_mean_bu_ac < 1.1}
    waiting = {zone.zone for zone in plan.zones if zone.provisional}
    assert low & waiting
    assert not named & low
    assert named <= waiting
    assert named
