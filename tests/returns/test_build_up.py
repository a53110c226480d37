"""Steps from the published mean to what a zone is expected to gain, and what they rest on."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from zoning.evidence import KINDS as EVIDENCE_KINDS
from zoning.evidence import entry
from zoning.returns.costs import terms
from zoning.returns.draws import response_draws
from zoning.returns.price import settle
from zoning.returns.response import Place, chain
from zoning.returns.steps import KINDS, YOURS, build_up, rests_on
from zoning.returns.terms import Step, ZoneCase
from zoning.settings.model import Effects, Money, Response
from zoning.stage.draws import StageDraws

MONEY = terms(Money.model_validate({"grain_price": "10 USD/bu", "product": "20 USD/ac", "pass": "9 USD/ac"}))
SOURCES = {
    "pooled trials": Response(source="pooled trials"),
    "practice series": Response(source="practice series", stage_curve="practice"),
    "own trials": Response(source="own trials", mean="3.4 bu/ac", se="0.6 bu/ac", trials=9, years=4),
}
TRACKS = ("returns.track_losses",)


def case_of(source: str, place: Place, **other) -> tuple[tuple, ZoneCase]:
    response = SOURCES[source]
    links = chain(response.source, response, place)
    shift = np.random.default_rng(4).normal(0, 4, 512)
    given_ = {"track_loss_bu_ac": 0.0, "volume_matters": False, "expected_yield_bu_ac": 58.0} | other
    case = ZoneCase(
        zone=1,
        area_ac=40.0,
        mixture=links[-1].mixture,
        response_draws_bu_ac=response_draws(links[-1].mixture, seed=1, field="a", zone=1, draws=512),
        curve=response.stage_curve,
        stage=StageDraws(shift[:, None] + np.array([0.0, 3, 13, 22, 29, 44, 62])),
        **given_,
    )
    return links, case


@settings(max_examples=60, deadline=None)
@given(
    source=st.sampled_from(sorted(SOURCES)),
    pressure=st.sampled_from(["low", "unknown", "medium", "high", "seen"]),
    canopy_sd=st.floats(-3, 3),
    yield_bu_ac=st.floats(5, 90),
    tracks=st.floats(0, 2),
    volume=st.sampled_from([10.0, 15.0, 20.0, None]),
    day=st.integers(3, 40),
    matters=st.booleans(),
    morning=st.booleans(),
)
def test_changes_sum_to_the_response_less_the_tracks(
    source, pressure, canopy_sd, yield_bu_ac, tracks, volume, day, matters, morning
):
    place = Place(
        pressure=pressure, canopy_sd=canopy_sd, groups=2, rain="below", effects=Effects(morning=morning)
    )
    links, case = case_of(
        source,
        place,
        track_loss_bu_ac=tracks,
        volume_matters=matters,
        expected_yield_bu_ac=yield_bu_ac,
    )
    returned = settle(case, day, volume, MONEY)
    steps = build_up(links, case, returned, TRACKS)
    total = sum(step.change_bu_ac for step in steps)
    assert total == pytest.approx(returned.response_mean_bu_ac - tracks, abs=1e-9)
    assert sum(rests_on(steps).values()) == pytest.approx(1)


def test_by_hand_poor_ground_carrier_and_tracks():
    # seen: .2 x .7 + .8 x 5.5 = 4.54 at best; half of 30 bu/ac leaves 2.27; 10 gal/ac leaves .9 of that
    links, case = case_of(
        "pooled trials",
        Place(pressure="seen"),
        expected_yield_bu_ac=15.0,
        volume_matters=True,
        track_loss_bu_ac=0.3,
    )
    steps = {step.name: step for step in build_up(links, case, settle(case, 13, 10.0, MONEY), TRACKS)}
    assert steps["published_mean"].change_bu_ac == pytest.approx(1.64)
    assert steps["poor_ground"].change_bu_ac == pytest.approx(-2.27)
    assert steps["carrier"].change_bu_ac == pytest.approx(-0.227)
    assert steps["tracks"].change_bu_ac == pytest.approx(-0.3)
    assert steps["stage"].change_bu_ac < 0


def test_a_step_is_as_weak_as_its_weakest_entry():
    links, case = case_of("practice series", Place(pressure="unknown"), track_loss_bu_ac=0.3)
    for step in build_up(links, case, settle(case, 17, 15.0, MONEY), TRACKS):
        kinds = [entry(one).kind for one in step.evidence]
        assert step.kind in kinds
        assert all(KINDS.index(step.kind) <= KINDS.index(kind) for kind in kinds)


def test_own_trials_are_the_users_own():
    links, case = case_of("own trials", Place(pressure="unknown"))
    steps = {step.name: step.kind for step in build_up(links, case, settle(case, 17, 15.0, MONEY))}
    assert steps["own_trials"] == YOURS
    assert steps["published_mean"] == "published"


def test_every_kind_of_evidence_has_its_place():
    assert set(KINDS) == {*EVIDENCE_KINDS, YOURS}


def test_by_hand_what_a_number_rests_on():
    # 1.6 + |-.4| + .8 + |-1.2| = 4.0: published 1.6 + 1.2 = 70 %, assumption .4 = 10 %, practice .8 = 20 %
    steps = [
        Step(name=name, evidence=(), kind=kind, change_bu_ac=change)
        for name, kind, change in (
            ("published_mean", "published", 1.6),
            ("pressure", "assumption", -0.4),
            ("practice", "common practice", 0.8),
            ("tracks", "published", -1.2),
        )
    ]
    assert rests_on(steps) == pytest.approx({"published": 0.7, "assumption": 0.1, "common practice": 0.2})
