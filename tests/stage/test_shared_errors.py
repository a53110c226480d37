"""Shared parts of the error, taken apart from what is each unit's own: the whole covariance says the same."""

from dataclasses import replace

import dense_posterior as dense
import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from zoning.evidence import named
from zoning.inputs.given import Tally
from zoning.stage import shared_errors
from zoning.stage.likelihood import GRID, Expected, Visit, count_rules, log_likelihood
from zoning.stage.posterior import Place, posterior
from zoning.stage.shared_errors import after_sites, asked_after, covariance, structure

RULES = replace(count_rules(), floor_d=0.0)
AT = Expected(r1_day=192.0, r2_day=195.0, r3_day=205.0, r4_day=213.0, r5_day=219.0)
SEASONS = ("", "2023", "2024", "2025")


def gaussian(mean_d, sd_d):
    return -(((GRID - mean_d) / sd_d) ** 2) / 2


def seen(day, *plants):
    return log_likelihood([Visit(day=day, seen=Tally(plants))], AT, GRID, count_rules())


def made(number, *, fields, varieties, zones, seasons, chance):
    """Places of fields with blocks of several varieties, each zone of a season once, of several SDs."""
    keys = {
        (f"f{chance.integers(fields)}", f"z{chance.integers(zones)}", SEASONS[chance.integers(seasons)])
        for _ in range(number)
    }
    return [
        Place(f"v{chance.integers(varieties)}", field, zone, (5.0, 3.8, 5.6)[chance.integers(3)], season)
        for field, zone, season in sorted(keys)
    ]


def agree(counted, asked, precision, shift):
    of = structure(counted, asked)
    now, elsewhere = after_sites(of, precision, shift), asked_after(of, precision, shift)
    mean, var = dense.after_sites(dense.covariance(counted, counted), precision, shift)
    assert now.mean_d == pytest.approx(mean, abs=1e-9)
    assert now.var_d2 == pytest.approx(var, abs=1e-9)
    mean, var = dense.asked_after(counted, asked, precision, shift)
    assert elsewhere.mean_d == pytest.approx(mean, abs=1e-9)
    assert elsewhere.var_d2 == pytest.approx(var, abs=1e-9)


@given(
    seed=st.integers(0, 2**31),
    number=st.integers(0, 60),
    fields=st.integers(1, 12),
    varieties=st.integers(1, 8),
    zones=st.integers(1, 8),
    seasons=st.integers(1, 4),
    large=st.sampled_from([0, 3, 120]),
)
@example(seed=1, number=40, fields=1, varieties=1, zones=8, seasons=4, large=3)
@example(seed=1, number=40, fields=12, varieties=1, zones=1, seasons=4, large=0)
@example(seed=1, number=0, fields=1, varieties=1, zones=1, seasons=1, large=120)
def test_witness_the_whole_covariance(seed, number, fields, varieties, zones, seasons, large):
    chance = np.random.default_rng(seed)
    shape = {"fields": fields, "varieties": varieties, "zones": zones, "seasons": seasons, "chance": chance}
    counted = made(number, **shape)
    asked = [
        *made(5, **shape),
        Place("v0", "f0", "of its own", 5.0),
        Place("v0", "elsewhere", "z0", 4.0),
        Place("nobody's", "f0", "z0", 4.0, "2020"),
        Place("nobody's", "nobody's", "z0", 4.0),
    ]
    precision = 10.0 ** chance.uniform(-9, 1, len(counted))
    shift = precision * chance.normal(0, 8, len(counted))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(shared_errors, "_LARGE", large)
        agree(counted, asked, precision, shift)
        agree(counted, asked, 0 * precision, 0 * shift)


def test_witness_where_parts_last_otherwise(monkeypatch):
    """Nothing in the algebra may lean on a block being drawn anew each year, or a variety never quite."""
    values = {
        "stage.error_variance_share": named("stage.error_variance_share"),
        "stage.error_persists_frac": {"variety": 1.0, "field": 0.0, "block": 0.6},
    }
    for module in (shared_errors, dense):
        monkeypatch.setattr(module, "named", values.__getitem__)
    chance = np.random.default_rng(5)
    counted = made(80, fields=6, varieties=4, zones=5, seasons=4, chance=chance)
    precision = chance.uniform(0, 1, len(counted))
    shift = precision * chance.normal(0, 8, len(counted))
    asked = [Place("v0", "f0", "z0", 5.0, "2019"), Place("v1", "f1", "z9", 5.0)]
    agree(counted, asked, precision, shift)
    monkeypatch.setattr(shared_errors, "_LARGE", 3)
    agree(counted, asked, precision, shift)


@pytest.mark.parametrize(
    ("fields", "varieties", "zones", "seasons"), [(12, 3, 4, 1), (1, 2, 40, 4), (2, 1, 40, 4), (30, 1, 2, 3)]
)
def test_witness_dense_expectation_propagation(fields, varieties, zones, seasons):
    chance = np.random.default_rng(7)
    shape = {"fields": fields, "varieties": varieties, "zones": zones, "seasons": seasons}
    counted = made(160, chance=chance, **shape)
    logs = np.stack([gaussian(m, 2.0) for m in chance.normal(0, 8, len(counted))])
    for at in range(0, len(counted), 3):
        logs[at] = seen(196.0 + at % 9, 0, 1, 12 - at % 7, at % 8, 0, 0)
    asked = [Place("v0", "f0", "of its own", 5.0), Place("v0", "elsewhere", "z", 4.0)]
    told = posterior(counted, logs, [*counted, *asked], RULES)
    (mean, sd), (asked_mean, asked_sd) = dense.propagated(counted, logs, asked)
    # the rounds end when nothing moves by more than 1e-7 d
    assert [one.mean_d for one in told] == pytest.approx([*mean, *asked_mean], abs=1e-6)
    assert [one.sd_d for one in told] == pytest.approx([*sd, *asked_sd], abs=1e-6)


def test_witness_the_covariance_pair_by_pair():
    chance = np.random.default_rng(3)
    shape = {"fields": 4, "varieties": 3, "zones": 3, "seasons": 3, "chance": chance}
    a, b = made(30, **shape), made(20, **shape)
    assert covariance(a, b) == pytest.approx(dense.covariance(a, b), abs=1e-12)
    assert covariance(a, []).shape == (len(a), 0)


def test_sites_that_say_nothing_leave_the_prior():
    places = [Place("v", f"f{at % 7}", str(at), 5.0) for at in range(30)]
    told = posterior(places, np.zeros((30, len(GRID))), [Place("v", "elsewhere", "z", 4.0)], RULES)
    assert told[0].mean_d == pytest.approx(0, abs=1e-6)
    assert told[0].sd_d == pytest.approx(4, abs=1e-6)
