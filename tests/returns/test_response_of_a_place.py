"""What is known of a place moves its response link by link; each effect has a switch."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.evidence import number
from zoning.returns.favourable import odds_of_response
from zoning.returns.mixture import mean, sd
from zoning.returns.outlook import from_severity, severity_near_r6
from zoning.returns.response import Place, chain, mixture_for
from zoning.returns.sources import own_trials, pooled, practice, severity
from zoning.settings.model import Effects, Response

POOLED = Response(source="pooled trials")
PRACTICE = Response(source="practice series")
OWN = Response(source="own trials", mean="3.4 bu/ac", se="0.6 bu/ac", trials=14, years=4)
OFF = Effects(
    modes_of_action=False,
    rain=False,
    favourable_days=False,
    variety=False,
    previous_crop=False,
    open_rows=False,
    zone_contrast=False,
)


def response(place: Place, settings: Response = POOLED) -> float:
    return mean(mixture_for(settings.source, settings, place))


def names(place: Place, settings: Response = POOLED) -> list[str]:
    return [link.name for link in chain(settings.source, settings, place)]


@given(
    settings=st.sampled_from([POOLED, PRACTICE, OWN]),
    yields_bu_ac=st.lists(st.floats(0, 90), min_size=2, max_size=4),
    severity_pct=st.sampled_from([None, 0.0, 20.0]),
    seen_pct=st.sampled_from([None, 2.0]),
    cause=st.sampled_from(["", "other"]),
    falls=st.sampled_from(["constant", "falling"]),
)
def test_the_response_is_the_end_of_the_chain_at_every_yield(
    settings, yields_bu_ac, severity_pct, seen_pct, cause, falls
):
    for expected_bu_ac in (*yields_bu_ac, yields_bu_ac[0]):
        place = Place(
            pressure="medium",
            cause=cause,
            seen_pct=seen_pct,
            severity_pct=severity_pct,
            efficacy_frac=0.6,
            canopy_sd=0.5,
            expected_yield_bu_ac=expected_bu_ac,
            effects=Effects(yield_potential=falls),
        )
        found = mixture_for(settings.source, settings, place)
        assert found == chain(settings.source, settings, place)[-1].mixture


@given(
    settings=st.sampled_from([POOLED, PRACTICE, OWN]),
    source=st.sampled_from(["pooled trials", "practice series"]),
    pressure=st.sampled_from(["unknown", "low", "high"]),
    cause=st.sampled_from(["", "other"]),
    groups=st.sampled_from([0, 2]),
    rain=st.sampled_from(["below", "normal", "above"]),
    late=st.sampled_from([(False, "more"), (True, "neutral"), (True, "more")]),
    canopy_sd=st.sampled_from([0.0, -0.5]),
)
def test_what_moves_one_source_alone_is_kept_for_it(
    settings, source, pressure, cause, groups, rain, late, canopy_sd
):
    is_late, says = late
    place = Place(
        pressure=pressure,
        cause=cause,
        groups=groups,
        rain=rain,
        is_late=is_late,
        canopy_sd=canopy_sd,
        effects=Effects(late_planting=says),
    )
    for asked in {source, settings.source}:
        assert mixture_for(asked, settings, place) == chain(asked, settings, place)[-1].mixture


# -- by hand: weights .70 .26 .04 of parts .7 3.2 7.0 where nobody scouted -----------------------------------


def test_by_hand_a_denser_canopy_by_one_sd():
    # odds of a response x 1.25: weights .70 .325 .05, sum 1.075; (.49 + 1.04 + .35)/1.075 = 1.7488
    assert response(Place(pressure="unknown", canopy_sd=1.0)) == pytest.approx(1.7488, abs=5e-5)


def test_by_hand_a_thinner_canopy_and_wet_ground():
    # odds x 1.15/1.25 = .92: weights .70 .2392 .0368, sum .976; (.49 + .76544 + .2576)/.976 = 1.5502
    assert response(Place(pressure="unknown", canopy_sd=-1.0, wet_sd=1.0)) == pytest.approx(1.5502, abs=5e-5)


def test_contrast_beyond_two_sd_counts_as_two():
    assert response(Place(pressure="unknown", canopy_sd=9.0)) == response(
        Place(pressure="unknown", canopy_sd=2)
    )


def test_by_hand_variety_acts_on_frogeye_only():
    # resistant: .04 x .1 = .004, sum .964; (.49 + .832 + .028)/.964 = 1.4004
    assert response(Place(pressure="unknown", rating="resistant")) == pytest.approx(1.4004, abs=5e-5)
    # susceptible: .04 x 1.5 = .06, sum 1.02; (.49 + .832 + .42)/1.02 = 1.7078
    assert response(Place(pressure="unknown", rating="susceptible")) == pytest.approx(1.7078, abs=5e-5)
    assert response(Place(pressure="unknown", rating="moderate")) == response(Place(pressure="unknown"))


def test_by_hand_soybean_after_soybean():
    # odds x 1.2: weights .70 .312 .048, sum 1.06; (.49 + .9984 + .336)/1.06 = 1.7211
    assert response(Place(pressure="unknown", after_soybean=True)) == pytest.approx(1.7211, abs=5e-5)


def test_favourable_days_move_the_odds_by_their_entry():
    for weather in ("favourable", "unfavourable"):
        odds = odds_of_response(weather)
        total = 0.70 + 0.30 * odds
        expected = (0.49 + odds * (0.26 * 3.2 + 0.04 * 7)) / total
        assert response(Place(pressure="unknown", weather=weather)) == pytest.approx(expected)


def test_by_hand_a_product_that_the_disease_resists():
    # the frogeye part answers like a crop without disease: .49 + .26 x 3.2 + .04 x .7 = 1.35; where lesions
    # are seen both parts are .7
    assert response(Place(pressure="unknown", resisted=True)) == pytest.approx(1.35)
    assert response(Place(pressure="seen", scouted=True, resisted=True)) == pytest.approx(0.7)


def test_by_hand_a_forecast_of_severity():
    # .7 + 60 x .0051 x 20 x .6 = 4.372; resisted: .7
    stated = Place(
        pressure="unknown",
        severity_pct=20,
        efficacy_frac=0.6,
        expected_yield_bu_ac=60,
        groups=2,
        rain="above",
    )
    assert mixture_for("pooled trials", POOLED, stated) == severity(60, 20, 0.6)
    assert response(stated) == pytest.approx(4.372)
    resisted = Place(
        pressure="unknown", severity_pct=20, efficacy_frac=0.6, expected_yield_bu_ac=60, resisted=True
    )
    assert response(resisted) == pytest.approx(0.7)


def test_what_was_seen_becomes_a_distribution_near_r6():
    place = Place(
        pressure="seen",
        scouted=True,
        seen_pct=2.0,
        efficacy_frac=0.6,
        rating="susceptible",
        weather="favourable",
        expected_yield_bu_ac=60,
    )
    points = severity_near_r6(2.0, "susceptible", "favourable")
    assert mixture_for("pooled trials", POOLED, place) == from_severity(60, points, 0.6, "frogeye")
    # never the severity of the day itself: .7 + 60 x .0051 x 2 x .6 = 1.07
    assert response(place) > 1.5


def test_by_hand_late_planting_is_neutral_unless_asked():
    late = {
        which: response(Place(pressure="unknown", is_late=True, effects=Effects(late_planting=which)))
        for which in ("neutral", "less", "more")
    }
    # .49 + .9 x 1.112 = 1.4908; .49 + 1.1 x 1.112 = 1.7132
    assert late == pytest.approx({"neutral": 1.602, "less": 1.4908, "more": 1.7132})
    early = Place(pressure="unknown", effects=Effects(late_planting="less"))
    assert response(early) == pytest.approx(1.602)


def test_by_hand_falling_with_yield_only_where_asked():
    at = {
        asked: response(
            Place(pressure="unknown", expected_yield_bu_ac=49, effects=Effects(yield_potential=asked))
        )
        for asked in ("constant", "falling")
    }
    # .49 + 1.112 x 2.32/1.64 = 2.0631
    assert at == pytest.approx({"constant": 1.602, "falling": 2.0631}, abs=5e-5)


def test_by_hand_half_a_bushel_in_the_morning_under_every_source():
    for settings in (POOLED, PRACTICE, OWN):
        before, after = (
            response(Place(pressure="unknown", effects=Effects(morning=morning)), settings)
            for morning in (False, True)
        )
        assert after - before == pytest.approx(0.5)


def test_by_hand_open_rows_are_low_where_nothing_else_is_known():
    # .90 x .7 + .09 x 3.2 + .01 x 7 = .988
    assert response(Place(pressure="unknown", open_rows=True)) == pytest.approx(0.988)
    assert response(Place(pressure="medium", open_rows=True)) == response(Place(pressure="medium"))
    seen = Place(pressure="seen", scouted=True, open_rows=True)
    assert response(seen) == response(Place(pressure="seen", scouted=True))


# -- who has a say -------------------------------------------------------------------------------------------


MOVES = {
    "canopy_sd": 1.0,
    "wet_sd": -1.0,
    "weather": "unfavourable",
    "rating": "susceptible",
    "after_soybean": True,
    "open_rows": True,
}


@pytest.mark.parametrize("what", MOVES)
def test_scouting_overrides_what_nobody_saw(what):
    for pressure in ("low", "medium", "high", "seen"):
        plain = Place(pressure=pressure, scouted=True)
        moved = Place(pressure=pressure, scouted=True, **{what: MOVES[what]})
        assert mixture_for("pooled trials", POOLED, moved) == mixture_for("pooled trials", POOLED, plain)


@pytest.mark.parametrize("what", ["weather", "rating", "after_soybean", "open_rows"])
def test_a_class_that_the_user_gave_holds_what_the_user_knows_of_the_field(what):
    moved = Place(pressure="medium", **{what: MOVES[what]})
    assert response(moved) == response(Place(pressure="medium"))


def test_another_cause_is_low_whatever_else_is_known():
    for settings in (POOLED, PRACTICE):
        place = Place(pressure="seen", cause="other", scouted=True, severity_pct=30, seen_pct=5, canopy_sd=2)
        assert mixture_for(settings.source, settings, place) == pooled("low")


def test_nothing_but_low_pressure_moves_the_practice_series():
    place = Place(
        pressure="unknown", canopy_sd=2, rating="susceptible", after_soybean=True, groups=2, rain="above"
    )
    assert mixture_for("practice series", PRACTICE, place) == practice("unknown")
    assert names(place, PRACTICE) == ["practice"]


def test_own_trials_hold_the_product_and_the_season_already():
    place = Place(pressure="medium", groups=3, rain="above", is_late=True)
    assert mixture_for("own trials", OWN, place) == own_trials(3.4, 0.6, 4, "medium")


@pytest.mark.parametrize("settings", [POOLED, OWN])
def test_every_effect_can_be_switched_off(settings):
    everything = Place(
        pressure="unknown",
        groups=2,
        rain="above",
        is_late=True,
        expected_yield_bu_ac=58,
        **MOVES,
        effects=OFF,
    )
    plain = mixture_for(settings.source, settings, Place(pressure="unknown"))
    assert mixture_for(settings.source, settings, everything) == plain


@given(
    canopy_sd=st.floats(-2, 2),
    pressure=st.sampled_from(["low", "unknown", "medium", "high"]),
    se=st.floats(0.2, 3),
    seen=st.floats(-2, 8),
)
def test_contrast_moves_own_trials_as_it_moves_the_prior(canopy_sd, pressure, se, seen):
    # odds and likelihood both multiply the weights, so their order does not count
    own = Response(source="own trials", mean=f"{seen} bu/ac", se=f"{se} bu/ac", trials=5, years=3)
    moved = mixture_for("own trials", own, Place(pressure=pressure, canopy_sd=canopy_sd))
    even = own_trials(seen, se, 3, pressure)
    odds = number("returns.contrast_canopy_odds") ** canopy_sd
    before = sum(part.weight for part in even.parts[1:]) / even.parts[0].weight
    after = sum(part.weight for part in moved.parts[1:]) / moved.parts[0].weight
    assert after == pytest.approx(before * odds, rel=1e-6)


@given(
    low=st.floats(-2, 2),
    more=st.floats(0, 2),
    pressure=st.sampled_from(["low", "unknown", "medium", "high", "seen"]),
)
def test_a_denser_canopy_never_lowers_the_response(low, more, pressure):
    thin, dense = (response(Place(pressure=pressure, canopy_sd=by)) for by in (low, low + more))
    assert dense >= thin - 1e-12


def test_zone_contrast_is_small_beside_what_a_scout_sees():
    one_sd = response(Place(pressure="unknown", canopy_sd=1)) - response(Place(pressure="unknown"))
    scouted = response(Place(pressure="high", scouted=True)) - response(Place(pressure="unknown"))
    assert 0 < one_sd < scouted / 5
    assert sd(mixture_for("pooled trials", POOLED, Place(pressure="unknown", canopy_sd=1))) < 2


def test_the_chain_names_what_moved_in_order_and_nothing_else():
    place = Place(
        pressure="unknown", canopy_sd=1, weather="favourable", rating="moderate", groups=2, rain="normal"
    )
    assert names(place) == ["parts", "favourable_days", "canopy", "modes_of_action"]
    assert names(Place(pressure="high"), OWN) == ["parts", "pressure", "own_trials"]
