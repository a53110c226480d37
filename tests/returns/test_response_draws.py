"""Shared draws: the right distribution, the right company, and nobody else's business."""

import numpy as np
import pytest

from zoning.returns.draws import response_draws
from zoning.returns.mixture import from_parts, mean, quantile, sd, sorted_draws
from zoning.returns.sources import own_trials, pooled, practice, severity
from zoning.returns.terms import Mixture

MIXTURES: dict[str, Mixture] = {
    **{pressure: pooled(pressure) for pressure in ("low", "unknown", "medium", "high", "seen")},
    "practice": practice("unknown"),
    "severity": severity(60, 20, 0.6),
    "own, good": own_trials(4.5, 0.4, 6, "unknown"),
    "own, poor": own_trials(0.2, 0.4, 6, "low"),
    "rare tail": from_parts([0.999, 0.0009, 0.0001], [[0.7, 0.6], [3.2, 1.0], [7.0, 2.0]]),
}


@pytest.mark.parametrize("name", MIXTURES)
@pytest.mark.parametrize("draws", [512, 128])
def test_draws_have_the_mixtures_mean_and_sd(name, draws):
    mixture = MIXTURES[name]
    drawn = response_draws(mixture, seed=3, field="North", zone=2, draws=draws)
    assert drawn.shape == (draws,)
    assert drawn.mean() == pytest.approx(mean(mixture), abs=0.01)
    assert drawn.std() == pytest.approx(sd(mixture), rel=0.005)


@pytest.mark.parametrize("name", MIXTURES)
def test_draws_are_mid_point_quantiles_but_for_the_two_ends(name):
    drawn = sorted_draws(MIXTURES[name], 512)
    middle = quantile(MIXTURES[name], (np.arange(512) + 0.5) / 512)
    assert drawn[1:-1] == pytest.approx(middle[1:-1], abs=1e-12)
    assert np.all(np.diff(drawn) >= 0)


def test_adding_a_field_or_a_zone_changes_no_others_draws():
    def drawn(field, zone):
        return response_draws(pooled("unknown"), seed=5, field=field, zone=zone, draws=512)

    alone = drawn("North", 1)
    others = [drawn("South", 1), drawn("North", 2), drawn("East", 9)]
    assert np.array_equal(drawn("North", 1), alone)
    assert all(not np.array_equal(other, alone) for other in others)
    assert not np.array_equal(
        response_draws(pooled("unknown"), seed=6, field="North", zone=1, draws=512), alone
    )


def test_by_hand_zones_share_the_season_and_the_field():
    # correlation = share of variance in common: .68 + .10 within a field, .68 between fields
    normal = severity(60, 20, 0.6)

    def drawn(field, zone):
        return response_draws(normal, seed=1, field=field, zone=zone, draws=8192)

    within = np.corrcoef(drawn("North", 1), drawn("North", 2))[0, 1]
    between = np.corrcoef(drawn("North", 1), drawn("South", 1))[0, 1]
    assert within == pytest.approx(0.78, abs=0.02)
    assert between == pytest.approx(0.68, abs=0.02)


def test_rank_is_the_same_under_every_source():
    ranks = [
        np.argsort(response_draws(mixture, seed=1, field="North", zone=1, draws=256))
        for mixture in (pooled("unknown"), practice("unknown"), own_trials(3.4, 0.6, 4, "unknown"))
    ]
    assert np.array_equal(ranks[0], ranks[1])
    assert np.array_equal(ranks[0], ranks[2])


def test_draws_of_a_mixture_cannot_be_changed_by_accident():
    with pytest.raises(ValueError, match="read-only"):
        sorted_draws(pooled("unknown"), 16)[0] = 0
    with pytest.raises(ValueError, match="read-only"):
        response_draws(pooled("unknown"), seed=1, field="North", zone=1, draws=16)[0] = 0
