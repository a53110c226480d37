"""What a plan says of its hours also where they are too few for any pass."""

from dataclasses import replace

import numpy as np
from made_offers import choose_alone, made_offer
from made_whole import DAYS, options_of, zone_of

from zoning.offers.notes import money_notes
from zoning.passes.half_days import even
from zoning.returns.mixture import from_parts
from zoning.words import Said

OF_HOURS = (
    Said("hours.forecast", first=np.datetime64("2026-07-08").item(), last=np.datetime64("2026-07-10").item()),
    Said(
        "hours.past_years", first=np.datetime64("2026-07-11").item(), count=2, years="2024, 2025", percent=70
    ),
)


ONE_YEAR = (Said("hours.one_past_year", first=np.datetime64("2026-07-11").item(), year=2025),)


def codes(bu_ac, hours_per_day, of_hours=OF_HOURS):
    """Codes of what is said of the hours of a field of 78 ac that takes an hour."""
    zone = zone_of(1, from_parts([1.0], [[bu_ac, 0.0]]), 78.0)
    options = options_of((zone,))
    hours = even(int(DAYS[0]), len(DAYS), hours_per_day, "past years")
    options = replace(options, machine=replace(options.machine, hours=hours), of_hours=of_hours)
    chosen = choose_alone((zone,), options)
    said = money_notes(made_offer((zone,), options), options, chosen, 0.0, 0.0)
    return len(chosen.visits), [one.code for one in said if one.code.startswith("hours.")]


def test_hours_that_are_too_few_for_a_pass_are_told_with_their_source():
    assert codes(4.0, 0.0) == (0, ["hours.past_years"])


def test_hours_of_a_pass_are_told_and_of_a_field_that_does_not_pay_they_are_not():
    assert codes(4.0, 5.0) == (1, ["hours.past_years"])
    assert codes(0.1, 5.0) == (0, [])
    assert codes(4.0, 5.0, ONE_YEAR) == (1, ["hours.one_past_year"])
    assert codes(0.1, 5.0, ONE_YEAR) == (0, [])
