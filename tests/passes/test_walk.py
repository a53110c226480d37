"""What a count is worth: by hand, against a plain simulation, and what must hold whatever the numbers."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_offers import terms

from zoning.inputs.given import PLANT_STAGES, Tally
from zoning.passes import walk
from zoning.passes.walk import WalkZone, weigh
from zoning.returns.by_stage import ByStage
from zoning.stage.counted import SpotStage
from zoning.stage.draws import StageDraws
from zoning.stage.likelihood import GRID, Expected, Visit, count_rules, log_likelihood, stage_offsets_d
from zoning.stage.posterior import Place

DRAWS = 512
TODAY = 205
AT = Expected(r1_day=192, r2_day=195, r3_day=205, r4_day=213, r5_day=219)
RULES = count_rules()


def quantiles(sd_d, draws=DRAWS):
    """Normal draws in an order of their own, with mean 0 and the SD exactly."""
    normal = np.random.default_rng(5).permutation(np.sort(np.random.default_rng(1).normal(size=draws)))
    return sd_d * (normal - normal.mean()) / normal.std()


def spot(error_d, *, zone="zone 1", field="North", variety="v", counted=False, sd_d=3.8, expected=AT):
    days = np.array(
        [expected.r1_day, expected.r2_day, expected.r3_day, expected.r4_day, expected.r5_day, 234, 252]
    )
    return SpotStage(
        draws=StageDraws(days + np.asarray(error_d)[:, None]),
        r3_error_d=np.asarray(error_d, dtype=float),
        place=Place(variety, field, zone, sd_d),
        expected=expected,
        counted=counted,
    )


def options(net, day=None, **rule):
    """Options with these nets, shape (draws, options); without chance and loss under the rule "expected"."""
    net = np.asarray(net, dtype=float)
    return ByStage(
        day=np.full(net.shape[1], TODAY + 30) if day is None else np.asarray(day),
        net_usd_ac=net,
        chance_frac=net[:, :0] if not rule else (net > 0).astype(float),
        loss_usd_ac=net[:, :0] if not rule else np.maximum(-net, 0),
        terms=replace(terms(), **rule),
    )


def zone(of_spot, of_options=None, area_ac=40.0, first_day=TODAY):
    return WalkZone(spot=of_spot, area_ac=area_ac, options=of_options, first_day=first_day)


def only(monkeypatch, days, plants):
    """Weigh these days and numbers of plants only."""
    asked = {"passes.walk_days_ahead_d": days, "passes.walk_plants": plants}
    monkeypatch.setattr(walk, "numbers", lambda key: np.asarray(asked[key], dtype=float))


# -- by hand -----------------------------------------------------------------------------------------------

# Two seasons, equally likely and 32 d apart, so that any count today tells them apart for sure.
SEASON = np.repeat([-16.0, 16.0], DRAWS // 2) + np.tile(quantiles(1.6, DRAWS // 2), 2)
EARLY = SEASON < 0


def test_by_hand_a_sure_count_between_two_seasons():
    # one pass: +20 USD/ac in the early season, -30 in the late one. Now: 0.5 x 20 - 0.5 x 30 < 0, so skip.
    # After the count: early spray +20, late skip 0: 0.5 x 20 = 10 USD/ac, on 40 ac 400 USD
    net = np.where(EARLY, 20.0, -30.0)[:, None]
    (found,) = weigh([zone(spot(SEASON, sd_d=16.1), options(net))], seed=1)
    assert found.first_usd == pytest.approx(400, abs=0.5)
    assert found.usd == pytest.approx(400, abs=0.5)
    assert (found.day, found.plants) == (TODAY, 10)
    assert found.informs == ((0, pytest.approx(10, abs=0.01)),)


def test_by_hand_a_sure_count_between_two_days():
    # early day: 20 or 4; late day: 6 or 14. Now: means 12 and 10, so the early day, 12.
    # After: 0.5 x 20 + 0.5 x 14 = 17; gain 5 USD/ac
    net = np.where(EARLY[:, None], [20.0, 6.0], [4.0, 14.0])
    (found,) = weigh([zone(spot(SEASON, sd_d=16.1), options(net))], seed=1)
    assert found.usd == pytest.approx(5 * 40, abs=0.3)


def test_by_hand_the_rule_decides_after_the_count_as_it_does_now():
    # +20 or -4: now 8 USD/ac on average, chance 0.5. "expected" sprays anyway and would leave out the late
    # season: gain 0.5 x 4 = 2. A chance of 0.8 is asked for: now skip, after it the early season alone: 10
    net = np.where(EARLY, 20.0, -4.0)[:, None]
    here = spot(SEASON, sd_d=16.1)
    (expected,) = weigh([zone(here, options(net))], seed=1)
    (chance,) = weigh([zone(here, options(net, rule="chance", min_chance_frac=0.8))], seed=1)
    assert expected.usd == pytest.approx(2 * 40, abs=0.3)
    assert chance.usd == pytest.approx(10 * 40, abs=0.5)
    # "cautious" counts losses 6 times: now 10 - 6 x 2 < 0, skip; after it as above
    (cautious,) = weigh([zone(here, options(net, rule="cautious", loss_weight=6.0))], seed=1)
    assert cautious.usd == pytest.approx(10 * 40, abs=0.5)
    # of a net of at least 25 an acre no season tells
    (asked,) = weigh([zone(here, options(net, rule="expected", min_net_usd_ac=25.0))], seed=1)
    assert asked.usd == 0


def test_by_hand_a_day_that_is_over_when_the_count_comes_is_lost(monkeypatch):
    # the only option is on the day after today: a count today may still change it, one 2 d on may not
    net = np.where(EARLY, 20.0, -30.0)[:, None]
    here = zone(spot(SEASON, sd_d=16.1), options(net, day=[TODAY + 1]))
    only(monkeypatch, [0], [20])
    assert weigh([here], seed=1)[0].usd == pytest.approx(400, abs=0.5)
    only(monkeypatch, [2], [20])
    late = weigh([here], seed=1)[0]
    assert late.usd == 0
    assert late.day is None


def test_by_hand_no_count_where_nothing_could_change_the_decision():
    always, never = np.full((DRAWS, 1), 9.0), np.full((DRAWS, 2), -9.0)
    for net in (always, never):
        (found,) = weigh([zone(spot(quantiles(3.8)), options(net))], seed=1)
        assert found.usd == pytest.approx(0, abs=1e-9)


# -- against a plain simulation ------------------------------------------------------------------------------


def test_value_against_a_simulation_plant_by_plant(monkeypatch):
    """A second way: tallies plant by plant with random numbers, and one likelihood at a time."""
    error_d = quantiles(5.0)
    here = spot(error_d, sd_d=5.0)
    when = np.arange(TODAY - 6, TODAY + 14)
    # best two days before R3 begins, falling off to both sides
    net = 30 - 0.4 * (when - (here.draws.of("R3")[:, None] - 2)) ** 2
    day = when + 30
    chance = np.random.default_rng(11)
    gains = []
    for _ in range(500):
        true_d = chance.choice(error_d)
        begins = AT.r3_day + true_d + stage_offsets_d(AT, RULES)[:, chance.integers(64)]
        leads = chance.normal(0, RULES.plant_sd_d, 10) + chance.normal(0, RULES.staging_sd_d)
        stages = [int((TODAY - 3 + 0.5 + lead >= begins).sum()) for lead in leads]
        tally = Tally(tuple(2 * stages.count(at) for at in range(len(PLANT_STAGES))))  # alike in pairs
        logs = log_likelihood([Visit(day=TODAY - 3 + 0.5, seen=tally)], AT, GRID, RULES)
        weight = np.exp(np.interp(error_d, GRID, logs - logs.max()))
        after = weight @ net / weight.sum()
        gains.append(max(after.max(), 0) - max(after[net.mean(axis=0).argmax()], 0))
    simulated, error = np.mean(gains), np.std(gains) / np.sqrt(len(gains))
    only(monkeypatch, [0], [20])
    found = [
        weigh([zone(here, options(net, day=day), area_ac=1.0, first_day=TODAY - 3)], seed=seed)[0].usd
        for seed in range(4)
    ]
    assert np.mean(found) == pytest.approx(simulated, abs=3 * error)
    assert error < 0.05 * simulated


# -- what must hold ------------------------------------------------------------------------------------------

WHEN = np.arange(TODAY, TODAY + 30)


def timed(of_spot, best_d=-2.0):
    """A pass that is worth most a little before R3."""
    return options(15 - 0.3 * (WHEN - (of_spot.draws.of("R3")[:, None] + best_d)) ** 2, day=WHEN)


def test_more_plants_are_worth_at_least_as_much(monkeypatch):
    here = spot(quantiles(3.8))
    values = []
    for plants in (4, 10, 20, 40, 80):
        only(monkeypatch, [0], [plants])
        values.append(weigh([zone(here, timed(here), first_day=TODAY - 8)], seed=3)[0].usd)
    assert values == sorted(values)
    assert values[-1] > 1.2 * values[0]


@settings(max_examples=12, deadline=None)
@given(
    level=st.floats(-20, 20),
    slope=st.floats(-5, 5),
    rule=st.sampled_from(["expected", "chance", "cautious"]),
    min_net=st.floats(0, 5),
)
def test_no_count_is_worth_less_than_nothing_or_more_than_knowing_the_day(level, slope, rule, min_net):
    here = spot(quantiles(3.8))
    net = level + slope * here.r3_error_d[:, None] * np.array([1.0, -0.5])
    (found,) = weigh([zone(here, options(net, rule=rule, min_net_usd_ac=min_net), area_ac=1.0)], seed=2)
    assert found.usd >= 0
    assert found.first_usd >= 0
    assert found.sd_after_d <= found.sd_now_d
    # the rule may leave out what pays on average; knowing the day makes good for that too
    kept = np.maximum(net, 0).max(axis=1).mean()
    assert found.usd <= kept + 0.05 * abs(slope) + 1e-9


def test_a_zone_that_is_pinned_has_nothing_to_tell():
    pinned = spot(quantiles(RULES.floor_d), counted=True)
    (found,) = weigh([zone(pinned, timed(pinned))], seed=1)
    assert found.usd == pytest.approx(0, abs=1e-9)
    assert found.sd_after_d == pytest.approx(RULES.floor_d, abs=0.01)


def test_a_count_leaves_the_floor_under_the_sd():
    for sd_d in (1.8, 3.8, 8.0):
        here = spot(quantiles(sd_d), sd_d=sd_d)
        (found,) = weigh([zone(here)], seed=1)
        assert found.usd is None
        assert 0.9 * RULES.floor_d < found.sd_after_d < sd_d


def test_a_count_is_worth_less_the_less_the_places_share():
    error_d = quantiles(3.8)
    asked = spot(error_d)
    counted = [
        asked,
        spot(error_d, zone="zone 2"),  # of the same block: the same draws
        spot(error_d, field="South"),
        spot(error_d, field="South", variety="w"),
    ]
    values = []
    for other in counted:
        zones = [zone(asked, timed(asked))] + ([] if other is asked else [zone(other)])
        values.append(weigh(zones, seed=1)[-1].usd)
    assert values[0] > 1.2 * values[1] > 0
    assert values[1] > 2 * values[2]
    assert values[3] == 0


def test_zones_with_the_same_draws_and_options_add_up():
    error_d = quantiles(3.8)
    first = spot(error_d)
    second = replace(first, place=replace(first.place, zone="zone 2"))
    both = timed(first)
    alone = weigh([zone(first, both)], seed=1)[0].usd
    one, other = weigh([zone(first, both, 40), zone(second, both, 10)], seed=1)
    assert alone < one.usd < alone * 50 / 40  # the other's 10 ac gain less than its own would
    assert [at for at, _ in one.informs] == [0, 1]
    assert one.informs[0][1] > one.informs[1][1]
    assert other.usd < one.usd


def test_by_hand_what_knowing_the_stages_would_gain():
    # two seasons: one pass at +20 or -30, now skipped: 0.5 x 20 = 10 USD/ac on 40 ac. A second zone of 10 ac
    # with +20 or -4 is sprayed now at 8 USD/ac, and would gain 0.5 x 4 = 2 USD/ac
    here = spot(SEASON, sd_d=16.1)
    first = zone(here, options(np.where(EARLY, 20.0, -30.0)[:, None]))
    second = zone(here, options(np.where(EARLY, 20.0, -4.0)[:, None]), area_ac=10.0)
    assert walk.most_usd([first]) == pytest.approx(400)
    assert walk.most_usd([first, second, zone(here)]) == pytest.approx(420)


@settings(max_examples=15, deadline=None)
@given(
    seed=st.integers(0, 99), best_d=st.floats(-8, 8), rule=st.sampled_from(["expected", "chance", "cautious"])
)
def test_no_count_gains_more_than_knowing_the_stages(seed, best_d, rule):
    here = spot(quantiles(3.8))
    both = timed(here, best_d=best_d)
    both = options(both.net_usd_ac, both.day, rule=rule, min_chance_frac=0.4)
    zones = [zone(here, both), zone(spot(quantiles(2.9), zone="zone 2"), both, area_ac=15.0)]
    # the drawn counts are a sample of their own, which may differ by a little
    assert max(one.usd for one in weigh(zones, seed)) <= 1.05 * walk.most_usd(zones) + 1


def test_a_count_in_a_counted_zone_tells_its_block_less():
    error_d = quantiles(3.8)
    before = [zone(spot(error_d), None), zone(spot(error_d, zone="zone 2"), timed(spot(error_d)))]
    after = [
        zone(spot(quantiles(1.8), counted=True), None),
        zone(spot(quantiles(2.4), zone="zone 2"), timed(spot(quantiles(2.4)))),
    ]
    assert weigh(after, seed=1)[0].usd < 0.5 * weigh(before, seed=1)[0].usd


def test_nobody_is_sent_where_nobody_can_say_when_it_may_be_entered():
    here = spot(quantiles(3.8))
    closed, beside = weigh(
        [zone(here, timed(here), first_day=None), zone(spot(here.r3_error_d, zone="zone 2"))], seed=1
    )
    assert closed is None
    assert beside.usd > 0  # but a count beside it still speaks for it
    later = zone(here, timed(here, best_d=3.0), first_day=TODAY + 1)
    assert weigh([later], seed=1)[0].day >= TODAY + 1


def test_the_same_seed_gives_the_same_value_whoever_else_is_asked():
    here, elsewhere = spot(quantiles(3.8)), spot(quantiles(4.4), field="South", variety="w", sd_d=4.4)
    alone = weigh([zone(here, timed(here))], seed=4)[0]
    assert weigh([zone(here, timed(here)), zone(elsewhere, timed(elsewhere))], seed=4)[0] == alone
    assert weigh([zone(here, timed(here))], seed=5)[0].usd != alone.usd


@pytest.mark.parametrize(
    ("rule", "loss_weight", "taken"), [("cautious", 2, 5), ("cautious", 3, 0), ("chance", 2, 5)]
)
def test_by_hand_the_edges_of_the_rules(rule, loss_weight, taken):
    """Mean net 5 and mean loss 4 are a mean gain of 9: above 2 x 4, below 3 x 4. Half is enough."""
    terms = SimpleNamespace(rule=rule, min_net_usd_ac=0, min_chance_frac=0.5, loss_weight=loss_weight)
    figures = [np.array([[5.0]]), np.array([[0.5]]), np.array([[4.0]])]
    assert walk._decided(figures, terms).tolist() == [taken]
