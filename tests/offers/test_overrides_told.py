"""Why a decision of the user is not followed: said as it is, with hours before all that money says."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from made_plans import Made, made_plan
from made_problems import machine, problem

from zoning.inputs.decisions import Decision
from zoning.offers.overrides import with_overrides
from zoning.passes.half_days import even
from zoning.passes.schedule.farm import alone
from zoning.words import Said

NET = [[[5.0]], [[-2.0]]]
TWO = tuple(replace(zone, action="skip") for zone in made_plan(Made(labels=[[1, 2]])).zones)


def why(action, by_rule, *, net=NET, hours=12.0, rate_gal_ac=None, closed_by=None, **changed):
    """Give the code of why the decision on zone 2 is not followed."""
    case = problem(net, [40, 10], block_of_zone=(0, 0), **changed)
    rig = replace(machine(), hours=even(0, 400, hours))
    chosen = alone(case, rig)
    wanted = Decision(zone=2, action=action, rate_gal_ac=rate_gal_ac, reason="because", decided_on=None)
    offer = SimpleNamespace(
        decisions={2: wanted},
        decisions_file="decisions.json",
        options=SimpleNamespace(problem=case, machine=rig),
        zones=(SimpleNamespace(closed_by=None), SimpleNamespace(closed_by=closed_by)),
        units="us",
    )
    zones, notes = with_overrides(TWO, ("spray", by_rule), offer, chosen)
    assert zones[0].override is None
    assert [note.code for note in notes] == ["decisions.not_followed"]
    assert zones[1].override.refused.text in notes[0].text
    assert zones[1].reason == TWO[1].reason  # what the rule says stays the reason
    return zones[1].override.refused.code


def test_a_volume_alone_sprays_no_zone_that_the_rule_skips():
    assert why(None, "skip", rate_gal_ac=15.0) == "decisions.not_sprayed"


def test_a_volume_that_the_pass_does_not_have_is_said():
    assert why(None, "spray", rate_gal_ac=15.0) == "decisions.other_volume"


def test_without_hours_it_is_the_hours():
    assert why("spray", "spray", net=[[[5.0]], [[2.0]]], hours=0.0) == "passes.no_hours"


def test_with_hours_but_no_pass_over_it_no_hours_are_left():
    assert why("spray", "skip") == "decisions.no_hours"


def test_where_the_other_pass_comes_once_that_is_why():
    assert why("spray", "skip", goes_anyway=True) == "decisions.one_pass"


@pytest.mark.parametrize(
    ("closed_by", "says"), [(None, "offers.no_day"), (Said("loads.no_overage"), "loads.no_overage")]
)
def test_a_zone_without_a_day_says_what_closed_it(closed_by, says):
    assert why("spray", None, net=[[[5.0]], [[np.nan]]], closed_by=closed_by) == says
