"""What zones returned: the mixed model against a library, its intervals and its test in simulated trials."""

import math
import warnings

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from mixed_witness import check_sds, of_library
from scipy import stats
from statsmodels.formula.api import mixedlm, wls

from zoning.strips.answer import mixed
from zoning.strips.answer.by_zone import by_zone
from zoning.strips.answer.differ import differ_p
from zoning.strips.answer.mixed import Layout, at_shares, fit, spread, tried
from zoning.strips.answer.response import response
from zoning.strips.terms import Money, PairSeen, ZonePart

MONEY = Money(price_usd_bu=10.0, cost_usd_ac=25.0, tracks_bu_ac=0.0)


def parts_of(layout: Layout, difference, unit_m=100.0) -> list[ZonePart]:
    return [
        ZonePart(
            pair=int(pair) + 1,
            zone=int(zone) + 1,
            length_m=unit_m * float(weight),
            points=40,
            treated_bu_ac=60.0 + float(one),
            untreated_bu_ac=60.0,
        )
        for zone, pair, weight, one in zip(layout.zone, layout.pair, layout.weight, difference, strict=True)
    ]


def pairs_of(parts: list[ZonePart]) -> list[PairSeen]:
    """What the same parts say of whole pairs."""
    found = []
    for pair in sorted({one.pair for one in parts}):
        mine = [one for one in parts if one.pair == pair]
        length_m = sum(one.length_m for one in mine)
        gain = sum(one.length_m * one.difference_bu_ac for one in mine) / length_m
        found.append(
            PairSeen(
                pair=pair,
                length_m=length_m,
                points=40 * len(mine),
                treated_bu_ac=60.0 + gain,
                untreated_bu_ac=60.0,
                moisture_difference_frac=math.nan,
            )
        )
    return found


def answer(layout: Layout, difference, money=MONEY):
    parts = parts_of(layout, difference)
    whole = response(pairs_of(parts), money)
    return whole, by_zone(parts, whole, money)


def full(pairs: int, zones: int) -> Layout:
    zone, pair = np.tile(np.arange(zones), pairs), np.repeat(np.arange(pairs), zones)
    return Layout(zone=zone, pair=pair, weight=np.ones(pairs * zones))


def torn(rng, pairs: int, zones: int) -> Layout:
    """Some parts missing, lengths from 1 to 4."""
    whole = full(pairs, zones)
    keep = rng.random(pairs * zones) < 0.75
    keep[:zones] = keep[::zones] = True  # pair 1 crosses all zones, zone 1 is crossed by all pairs
    weight = rng.uniform(0.4, 1.6, keep.sum())
    return Layout(zone=whole.zone[keep], pair=whole.pair[keep], weight=weight / weight.mean())


def drawn(rng, layout: Layout, zone_sd: float, pair_sd: float, rest_sd: float):
    """Differences, and the true means of the zones."""
    truth = 2.0 + zone_sd * rng.normal(size=layout.zones)
    pair = pair_sd * rng.normal(size=layout.pairs)[layout.pair]
    return truth[layout.zone] + pair + rest_sd * rng.normal(size=len(layout.zone)) / np.sqrt(
        layout.weight
    ), truth


@pytest.mark.parametrize("seed", range(12))
def test_witness_reml_of_a_library(seed):
    rng = np.random.default_rng(seed)
    layout = torn(rng, int(rng.integers(3, 9)), int(rng.integers(2, 5)))
    difference, _ = drawn(rng, layout, 1.5, 1.2, 1.0)
    ours = fit(tried(layout), layout, difference)
    check_sds(layout, difference, (ours.zone_sd_bu_ac, ours.pair_sd_bu_ac, ours.rest_sd_bu_ac))
    if ours.zone_sd_bu_ac and ours.pair_sd_bu_ac:
        assert ours.mean_bu_ac == pytest.approx(of_library(layout, difference).fe_params[0], abs=0.001)


@pytest.mark.parametrize("seed", range(6))
def test_witness_best_linear_unbiased_prediction(seed):
    # mu + zone with their error, for given variances: the equations of Henderson, solved as they stand
    rng = np.random.default_rng(seed)
    layout = torn(rng, 5, 3)
    difference, _ = drawn(rng, layout, 1.5, 1.2, 1.0)
    zone_share, pair_share = rng.uniform(0.1, 3.0, 2)
    ours = spread(at_shares(layout, np.array([zone_share]), np.array([pair_share])), layout, difference)
    design = np.hstack(
        [np.ones((len(difference), 1)), np.eye(layout.zones)[layout.zone], np.eye(layout.pairs)[layout.pair]]
    )
    kept = np.diag([0.0, *[1 / zone_share] * layout.zones, *[1 / pair_share] * layout.pairs])
    inverse = np.linalg.inv(design.T @ (layout.weight[:, np.newaxis] * design) + kept)
    solved = inverse @ (design.T @ (layout.weight * difference))
    of_zone = np.hstack(
        [np.ones((layout.zones, 1)), np.eye(layout.zones), np.zeros((layout.zones, layout.pairs))]
    )
    assert ours.at[0] == pytest.approx(of_zone @ solved)
    var_e = (layout.weight * difference) @ (difference - design @ solved) / (len(difference) - 1)
    assert ours.scale[0] == pytest.approx(np.sqrt(np.diag(of_zone @ inverse @ of_zone.T) * var_e))
    free = len(difference) - 1  # of var_e, after the mean
    assert ours.quantile(0.95) == pytest.approx(ours.at[0] + ours.scale[0] * stats.t.ppf(0.95, free))
    assert ours.below(1.0) == pytest.approx(stats.t.cdf((1.0 - ours.at[0]) / ours.scale[0], free))


def test_witness_prediction_of_a_library():
    rng = np.random.default_rng(21)
    layout = full(6, 3)
    difference, _ = drawn(rng, layout, 2.0, 1.5, 1.0)
    theirs = of_library(layout, difference)
    share = theirs.vcomp / theirs.scale
    ours = spread(at_shares(layout, share[:1], share[1:]), layout, difference)
    zones = theirs.random_effects[1.0].to_numpy()[: layout.zones]
    assert ours.at[0] == pytest.approx(theirs.fe_params[0] + zones, abs=1e-6)


def test_steps_are_fine_enough(monkeypatch):
    rng = np.random.default_rng(4)
    for zone_sd in (0.0, 1.0, 3.0):
        layout = torn(rng, 5, 3)
        difference, _ = drawn(rng, layout, zone_sd, 1.5, 2.0)
        coarse = spread(tried(layout), layout, difference)
        with monkeypatch.context() as patch:
            patch.setattr(mixed, "_STEPS", 120)
            fine = spread(tried(layout), layout, difference)
        assert coarse.mean == pytest.approx(fine.mean, abs=0.02)
        for chance in (0.05, 0.5, 0.95):
            assert coarse.quantile(chance) == pytest.approx(fine.quantile(chance), abs=0.06)
            assert coarse.below(coarse.quantile(chance)) == pytest.approx(chance, abs=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_witness_strip_means_with_blocks_and_strips(seed):
    # y ~ treatment x zone + (1 | block) + (1 | strip) on the means of strips in zones, with a block's zone as
    # an effect too: the differences within blocks hold all that it says of treatment x zone.
    rng = np.random.default_rng(seed)
    pairs, zones = 8, 3
    layout = full(pairs, zones)
    rows = []
    block, soil = 4 * rng.normal(size=pairs), 5 * rng.normal(size=(pairs, zones))
    strip = 3.0 * rng.normal(size=(pairs, 2))
    for pair in range(pairs):
        for treated in (0, 1):
            for zone in range(zones):
                lift = treated * (2.0 + 1.2 * zone)
                grown = 60 + block[pair] + soil[pair, zone] + strip[pair, treated] + lift + rng.normal()
                rows.append({"block": pair, "treated": treated, "zone": zone, "grown": grown})
    table = pd.DataFrame(rows)
    wide = table.pivot(index=["block", "zone"], columns="treated", values="grown")
    difference = (wide[1] - wide[0]).to_numpy()
    effects = {
        "strip": "0 + C(block):C(treated)",
        "ground": "0 + C(block):C(zone)",
    }
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = mixedlm(
            "grown ~ C(treated) * C(zone)", table, groups="block", vc_formula=effects, re_formula="1"
        ).fit(reml=True, method=["lbfgs", "powell"])
    names = ["C(treated)[T.1]:C(zone)[T.1]", "C(treated)[T.1]:C(zone)[T.2]"]
    means = difference.reshape(pairs, zones).mean(axis=0)
    assert theirs.fe_params[names].to_numpy() == pytest.approx(means[1:] - means[0], abs=0.001)
    among = theirs.cov_params().loc[names, names].to_numpy()
    contrast = theirs.fe_params[names].to_numpy()
    wald = contrast @ np.linalg.solve(among, contrast) / 2
    ours = differ_p(layout, difference)
    assert ours == pytest.approx(stats.f.sf(wald, 2, (pairs - 1) * (zones - 1)), rel=0.02, abs=1e-4)


@pytest.mark.parametrize("seed", range(5))
def test_witness_f_test_of_a_library(seed):
    rng = np.random.default_rng(seed)
    layout = torn(rng, 6, 3)
    difference, _ = drawn(rng, layout, 1.0, 1.5, 1.0)
    table = pd.DataFrame({"d": difference, "zone": layout.zone, "pair": layout.pair, "w": layout.weight})
    both = wls("d ~ C(pair) + C(zone)", table, weights=table.w).fit()
    _, p, _ = both.compare_f_test(wls("d ~ C(pair)", table, weights=table.w).fit())
    assert differ_p(layout, difference) == pytest.approx(p)


def test_two_zones_in_all_pairs_are_a_paired_t_test():
    rng = np.random.default_rng(0)
    layout = full(6, 2)
    difference, _ = drawn(rng, layout, 1.0, 1.0, 1.0)
    theirs = stats.ttest_rel(difference[0::2], difference[1::2])
    assert differ_p(layout, difference) == pytest.approx(theirs.pvalue)


@pytest.mark.parametrize(("pairs", "zones"), [(3, 2), (4, 3), (6, 4)])
@pytest.mark.parametrize("lengths", ["alike", "by length", "length tells nothing"])
def test_simulated_zones_that_respond_alike_are_called_different_one_time_in_twenty(pairs, zones, lengths):
    # 3,000 trials: chance alone moves .05 by .004. Lengths from 1 to 4, also where short parts err no more
    # than long ones, which is not what the test takes for granted.
    rng = np.random.default_rng([pairs, zones, len(lengths)])
    found = []
    for _ in range(3_000):
        layout = full(pairs, zones)
        if lengths != "alike":
            weight = rng.uniform(0.4, 1.6, pairs * zones)
            layout = Layout(zone=layout.zone, pair=layout.pair, weight=weight / weight.mean())
        difference, _ = drawn(rng, layout, 0.0, 2.0, 1.5)
        if lengths == "length tells nothing":
            difference = 2.0 * rng.normal(size=pairs)[layout.pair] + 1.5 * rng.normal(size=pairs * zones)
        found.append(differ_p(layout, difference) <= 0.05)
    print(f"{pairs} pairs, {zones} zones, {lengths}: called different in {np.mean(found):.3f}")
    assert 0.03 <= np.mean(found) <= 0.08


@pytest.mark.parametrize("zone_sd", [0.0, 1.0, 2.0])
@pytest.mark.parametrize(("pairs", "zones", "is_torn"), [(3, 3, False), (4, 2, True), (8, 4, True)])
def test_simulated_intervals_of_zones_hold(pairs, zones, is_torn, zone_sd):
    # 90 % intervals of 120 trials, each with the true means of its zones; SD of pairs 1.5, of the rest 2.
    rng = np.random.default_rng([pairs, zones, int(zone_sd)])
    held, se_ratio, error, raw_error = [], [], [], []
    for _ in range(120):
        layout = torn(rng, pairs, zones) if is_torn else full(pairs, zones)
        difference, truth = drawn(rng, layout, zone_sd, 1.5, 2.0)
        whole, found = answer(layout, difference)
        for one, true in zip(found.zones, truth, strict=True):
            held.append(one.low_bu_ac < true < one.high_bu_ac)
            error.append((one.mean_bu_ac - true) ** 2)
            raw_error.append((one.seen_bu_ac - true) ** 2)
            se_ratio.append(one.se_bu_ac / whole.se_bu_ac)
    print(
        f"{pairs} pairs, {zones} zones{', torn' if is_torn else ''}, zone SD {zone_sd:g}: intervals hold in "
        f"{np.mean(held):.3f}; error {np.sqrt(np.mean(error)):.2f}, as seen {np.sqrt(np.mean(raw_error)):.2f}"
    )
    assert 0.85 <= np.mean(held) <= 0.965
    assert min(se_ratio) >= 1 - 1e-12
    assert np.mean(error) < 1.05 * np.mean(raw_error)


def test_simulated_intervals_hold_where_pairs_differ_more_than_zones():
    rng = np.random.default_rng(9)
    held = []
    for _ in range(120):
        layout = full(4, 3)
        difference, truth = drawn(rng, layout, 1.0, 3.0, 1.0)
        found = answer(layout, difference)[1]
        held += [one.low_bu_ac < true < one.high_bu_ac for one, true in zip(found.zones, truth, strict=True)]
    assert 0.85 <= np.mean(held) <= 0.965


def test_by_hand_what_was_seen_is_weighed_by_length():
    # zone 1: (100 x 2 + 300 x 6) / 400 = 5, zone 2: (300 x 1 + 100 x 3) / 400 = 1.5
    zone, pair = np.array([0, 1, 0, 1]), np.array([0, 0, 1, 1])
    layout = Layout(zone=zone, pair=pair, weight=np.array([1.0, 3.0, 3.0, 1.0]))
    _, found = answer(layout, [2.0, 1.0, 6.0, 3.0])
    assert [one.seen_bu_ac for one in found.zones] == pytest.approx([5.0, 1.5])
    assert [one.length_m for one in found.zones] == pytest.approx([400.0, 400.0])


def test_nothing_to_tell():
    whole = response(pairs_of(parts_of(full(2, 1), [1.0, 2.0])), MONEY)
    assert by_zone([], whole, MONEY) is None
    assert by_zone(parts_of(full(2, 1), [1.0, 2.0]), None, MONEY) is None
    assert by_zone(parts_of(full(2, 1), [math.nan, math.nan]), whole, MONEY) is None


def test_a_single_zone_has_the_answer_of_the_field():
    whole, found = answer(full(4, 1), [3.0, 5.0, 4.0, 4.0])
    (only,) = found.zones
    assert (only.mean_bu_ac, only.se_bu_ac) == (whole.mean_bu_ac, whole.se_bu_ac)
    assert (only.low_bu_ac, only.high_bu_ac) == pytest.approx((whole.low_bu_ac, whole.high_bu_ac))
    assert (only.chance_pays, only.told) == (pytest.approx(whole.chance_pays), whole.told)
    assert math.isnan(found.differ_p)
    assert not found.differ


def test_one_pair_tells_nothing_of_zones():
    whole, found = answer(full(1, 3), [0.0, 4.0, 8.0])
    assert {one.mean_bu_ac for one in found.zones} == {whole.mean_bu_ac}
    assert all(one.se_bu_ac == pytest.approx(3.5) for one in found.zones)
    assert [one.seen_bu_ac for one in found.zones] == [0.0, 4.0, 8.0]
    assert math.isnan(found.differ_p)
    assert not found.differ


def test_pairs_that_each_lie_in_one_zone_do_not_compare_zones():
    layout = Layout(zone=np.array([0, 1, 0, 1]), pair=np.arange(4), weight=np.ones(4))
    whole, found = answer(layout, [1.0, 5.0, 1.5, 6.0])
    assert math.isnan(found.differ_p)
    assert not found.differ
    assert math.isnan(found.pair_sd_bu_ac)
    assert found.zones[0].mean_bu_ac < whole.mean_bu_ac < found.zones[1].mean_bu_ac


def test_zones_of_one_part_each_are_not_told_from_what_is_left():
    layout = Layout(zone=np.array([0, 1, 2]), pair=np.array([0, 0, 1]), weight=np.ones(3))
    _, found = answer(layout, [3.0, 5.0, 6.0])
    assert math.isnan(found.zone_sd_bu_ac)
    assert found.rest_sd_bu_ac > 0


@pytest.mark.parametrize("differences", [[3.0, 5.0, 3.0, 5.0], [3.0, 5.0, 4.0, 6.0]])
def test_differences_of_which_nothing_is_left_after_zones_and_pairs(differences):
    # the likelihood then has no top: the search must end, and nothing be surer for it
    whole, found = answer(full(2, 2), differences)
    assert 0.5 < found.zone_sd_bu_ac < 2.0
    assert 0 <= found.pair_sd_bu_ac < 2.0
    assert 0 <= found.rest_sd_bu_ac < 0.01
    assert math.isnan(found.differ_p)
    assert not found.differ
    for one in found.zones:
        assert one.high_bu_ac - one.low_bu_ac >= (whole.high_bu_ac - whole.low_bu_ac) * (1 - 1e-9)


def test_a_zone_of_one_pair_is_less_sure_than_the_others():
    zone, pair = np.array([0, 1, 0, 1, 0, 1, 0, 2]), np.array([0, 0, 1, 1, 2, 2, 3, 3])
    layout = Layout(zone=zone, pair=pair, weight=np.ones(8))
    _, found = answer(layout, [2.0, 4.1, 2.5, 4.0, 1.4, 4.4, 2.2, 7.0])
    widths = [one.high_bu_ac - one.low_bu_ac for one in found.zones]
    assert [one.pairs for one in found.zones] == [4, 3, 1]
    assert widths[2] > max(widths[:2])


@pytest.mark.parametrize("value", [4.0, 0.0])
def test_differences_all_alike_are_no_certainty(value):
    whole, found = answer(full(3, 2), [value] * 6)
    assert all(one.mean_bu_ac == pytest.approx(value) for one in found.zones)
    assert all(one.se_bu_ac == pytest.approx(whole.se_bu_ac) for one in found.zones)
    assert math.isnan(found.differ_p)


def test_without_money_nothing_is_told():
    _, found = answer(full(3, 2), [1.0, 3.0, 2.0, 3.5, 1.2, 2.8], None)
    assert {(one.chance_pays, one.told) for one in found.zones} == {(None, None)}
    assert found.differ


@given(
    pairs=st.integers(2, 6),
    zones=st.integers(2, 4),
    seed=st.integers(0, 10_000),
    up=st.floats(-20, 20),
    factor=st.floats(0.2, 5),
)
@settings(max_examples=25, deadline=None)
def test_zones_follow_shift_and_unit_and_lie_between_field_and_seen(pairs, zones, seed, up, factor):
    rng = np.random.default_rng(seed)
    layout = torn(rng, pairs, zones)
    difference, _ = drawn(rng, layout, 1.0, 1.0, 1.0)
    whole, found = answer(layout, difference, None)
    moved = answer(layout, factor * difference + up, None)[1]
    for one, other in zip(found.zones, moved.zones, strict=True):
        assert other.mean_bu_ac == pytest.approx(factor * one.mean_bu_ac + up, abs=1e-5)
        assert other.high_bu_ac - other.low_bu_ac == pytest.approx(
            factor * (one.high_bu_ac - one.low_bu_ac), rel=1e-4, abs=1e-6
        )
        assert one.low_bu_ac < one.mean_bu_ac < one.high_bu_ac
        assert one.high_bu_ac - one.low_bu_ac >= (whole.high_bu_ac - whole.low_bu_ac) * (1 - 1e-9)
        assert one.se_bu_ac >= whole.se_bu_ac * (1 - 1e-12)
    assert found.differ == (found.differ_p <= 0.05)
    order = rng.permutation(len(layout.zone))
    mixed_up = Layout(zone=layout.zone[order], pair=layout.pair[order], weight=layout.weight[order])
    again = answer(mixed_up, difference[order], None)[1]
    assert [one.mean_bu_ac for one in again.zones] == pytest.approx([one.mean_bu_ac for one in found.zones])
