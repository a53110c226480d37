"""Label limits: days against the stages, volumes against minimum, permission and reach."""

import numpy as np
import pytest

from zoning.passes.label import allowed_days, allowed_volumes
from zoning.passes.loads.dose import season_allows
from zoning.settings.model import Product, Sprayer
from zoning.sprayer.reach import reach
from zoning.stage.draws import StageDraws


def label(**changes):
    keys = {
        "name": "Invented Fungicide A", "groups": ["3", "11"],
        "dose": "8 fl oz/ac", "max_dose": "16 fl oz/ac",
        "min_carrier_ground": "15 gal/ac", "pre_harvest_interval_d": 30, "re_entry_h": 12,
        "max_applications": 2, "latest_stage": "R5", "max_wind": "10 mph",
    }  # fmt: skip
    return Product.model_validate(keys | changes)


def sprayer(**changes):
    keys = {
        "name": "rig", "boom": "90 ft", "nozzle": "04", "nozzle_spacing": "20 in", "tank": "1000 gal",
        "pressure": ["30 psi", "90 psi"], "speed": ["5 mph", "14 mph"], "fill_min": 15,
    }  # fmt: skip
    return Sprayer.model_validate(keys | changes)


def flying(kind):
    return Sprayer.model_validate(
        {
            "name": kind,
            "kind": kind,
            "boom": "60 ft",
            "tank": "500 gal",
            "speed": ["100 mph", "140 mph"],
            "fill_min": 15,
        }
    )


def draws(r6=244.0, r7=262.0, spread=0.0, count=101):
    """Stages with R6 and R7 spread evenly over +- spread days."""
    begin = np.tile([200.0, 203, 213, 222, 229, r6, r7], (count, 1))
    begin[:, 5:] += np.linspace(-spread, spread, count)[:, np.newaxis]
    return StageDraws(begin)


def test_by_hand_days_of_stage_and_interval():
    days = np.arange(225, 250)
    # latest R5: before R6 on 244, so up to 243; interval 10 d: up to 262 - 10 = 252, no limit here
    allowed, reasons = allowed_days(draws(), days, label(pre_harvest_interval_d=10))
    assert days[allowed].tolist() == list(range(225, 244))
    assert [reason.code for reason in reasons] == ["passes.past_latest_stage"]
    # interval 30 d: up to 232
    allowed, reasons = allowed_days(draws(), days, label(latest_stage="R6"))
    assert days[allowed].tolist() == list(range(225, 233))
    assert [reason.code for reason in reasons] == ["passes.past_pre_harvest"]
    assert reasons[0].values["interval_d"] == 30


def test_by_hand_the_early_draws_count():
    # R6 evenly over 234..254: 10 % quantile 236, so up to 235 although the likely day is 244
    days = np.arange(225, 250)
    allowed, _ = allowed_days(draws(spread=10.0), days, label(pre_harvest_interval_d=0))
    assert days[allowed].max() == 235
    # R7 evenly over 252..272: 10 % quantile 254, less 30 = 224: none of these days
    allowed, reasons = allowed_days(draws(spread=10.0), days, label())
    assert not allowed.any()
    assert len(reasons) == 2


def test_by_hand_the_day_itself_ends_before_the_stage():
    # R6 begins on day 244.6: that day is not before it, and day 243 is
    days = np.array([243, 244, 245])
    allowed, _ = allowed_days(draws(r6=244.6, r7=300.0), days, label())
    assert allowed.tolist() == [True, False, False]


def test_after_r7_no_stage_is_known():
    days = np.arange(200, 300)
    allowed, reasons = allowed_days(draws(), days, label(latest_stage="R7", pre_harvest_interval_d=0))
    assert days[allowed].max() == 262
    assert [reason.code for reason in reasons] == ["passes.past_pre_harvest"]


def test_the_reason_names_the_first_day_that_is_refused():
    days = np.arange(739_800, 739_860)
    begin = draws().begin_day + 739_600
    allowed, [late] = allowed_days(StageDraws(begin), days, label(pre_harvest_interval_d=0))
    assert late.values["first"].toordinal() == days[~allowed][0]
    assert "R6 may have begun" in late.text
    assert "up to R5" in late.text


def test_a_volume_below_the_label_minimum_is_refused():
    rig = sprayer()
    allowed, [reason] = allowed_volumes(label(), rig, reach(rig, (10, 15, 20)))
    assert allowed.tolist() == [False, True, True]
    assert reason.code == "passes.below_label_minimum"
    assert "10 gal/ac" in reason.text
    assert "of 15 gal/ac" in reason.text


def test_by_hand_a_minimum_and_a_volume_typed_in_two_units_are_equal():
    # 10 gal/ac = 10 x 9.353956229 L/ha
    rig = sprayer()
    metric = label(min_carrier_ground="93.53956229 L/ha")
    assert allowed_volumes(metric, rig, reach(rig, (10.0,)))[0].all()
    assert not allowed_volumes(metric, rig, reach(rig, (9.99,)))[0].any()


def test_a_volume_out_of_reach_is_refused_with_what_would_do_it():
    rig = sprayer(nozzle="06")
    allowed, [reason] = allowed_volumes(label(min_carrier_ground="10 gal/ac"), rig, reach(rig, (10, 15)))
    assert allowed.tolist() == [False, True]
    assert reason.code == "sprayer.needs_more_speed"
    assert "05" in reason.text


@pytest.mark.parametrize(
    ("kind", "changes", "code"),
    [
        ("aerial", {}, "passes.not_by_air"),
        ("drone", {}, "passes.not_by_drone"),
        ("drone", {"aerial_allowed": True}, "passes.not_by_drone"),
        ("aerial", {"aerial_allowed": True}, "passes.no_air_minimum"),
        ("drone", {"drone_allowed": True}, "passes.no_air_minimum"),
    ],
)
def test_flying_needs_the_label(kind, changes, code):
    machine = flying(kind)
    allowed, [reason] = allowed_volumes(label(**changes), machine, reach(machine, (5, 15)))
    assert not allowed.any()
    assert reason.code == code


def test_flying_has_its_own_minimum():
    plane = flying("aerial")
    allows = label(aerial_allowed=True, min_carrier_air="5 gal/ac")
    allowed, reasons = allowed_volumes(allows, plane, reach(plane, (2, 5, 10)))
    assert allowed.tolist() == [False, True, True]
    assert reasons[0].values["volume_gal_ac"] == 2


def refusals(product, machine, applied=0):
    """Every reason that the limits of a label give on a day, at 15 gal/ac, after some applications."""
    reasons = [*allowed_days(draws(), np.array([225]), product)[1]]
    reasons += allowed_volumes(product, machine, reach(machine, (15.0,)))[1]
    _, why_not = season_allows(product, applied)
    return {reason.code for reason in (*reasons, why_not) if reason is not None}


@pytest.mark.parametrize(
    ("limit", "kind", "code"),
    [
        ({"min_carrier_ground": "16 gal/ac"}, "ground", "passes.below_label_minimum"),
        ({"min_carrier_air": "16 gal/ac"}, "aerial", "passes.below_label_minimum"),
        ({"min_carrier_air": "16 gal/ac"}, "drone", "passes.below_label_minimum"),
        ({"aerial_allowed": False}, "aerial", "passes.not_by_air"),
        ({"drone_allowed": False}, "drone", "passes.not_by_drone"),
        ({"latest_stage": "R3"}, "ground", "passes.past_latest_stage"),
        ({"pre_harvest_interval_d": 40}, "ground", "passes.past_pre_harvest"),
        ({"max_applications": 1}, "ground", "loads.season_applications"),
        ({"max_dose": "15 fl oz/ac"}, "ground", "loads.season_dose"),
    ],
)
def test_every_limit_of_the_label_refuses_by_itself_and_says_why(limit, kind, code):
    # R4 begins on day 222, R6 on 244, R7 on 262; the spray is on day 225, the second of the season
    machine = sprayer() if kind == "ground" else flying(kind)
    mild = {"aerial_allowed": True, "drone_allowed": True, "min_carrier_air": "5 gal/ac"}
    assert refusals(label(**mild), machine, applied=1) == set()
    assert refusals(label(**mild | limit), machine, applied=1) == {code}
