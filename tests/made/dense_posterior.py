"""Witness of what counts say together: the whole prior covariance, solved as it stands.

Its work grows with the cube of the number of places; it shares no algebra with `zoning.stage.shared_errors`.
"""

import numpy as np

from zoning.evidence import named
from zoning.stage.likelihood import GRID


def covariance(places_a, places_b):
    """Add up the shares of the error pair by pair."""
    share, lasts = named("stage.error_variance_share"), named("stage.error_persists_frac")
    found = [[_shared(a, b, share, lasts) for b in places_b] for a in places_a]
    return np.array(found).reshape(len(places_a), len(places_b))


def _shared(a, b, share, lasts):
    of_field = a.field == b.field
    alike = {"variety": a.variety == b.variety, "field": of_field, "block": of_field and a.zone == b.zone}
    stays = {part: 1.0 if a.season == b.season else lasts[part] for part in alike}
    return a.sd_d * b.sd_d * sum(share[part] * stays[part] for part in alike if alike[part])


def after_sites(prior, precision, shift):
    """Give mean and variance of each counted place under normal sites, from the prior covariance of all."""
    solved = np.linalg.solve(np.eye(len(prior)) + prior * precision, prior)
    return solved @ shift, np.diag(solved)


def asked_after(counted, asked, precision, shift):
    """Give mean and variance of other places under normal sites at the counted ones."""
    prior, across = covariance(counted, counted), covariance(asked, counted)
    system = np.eye(len(counted)) + precision[:, None] * prior
    gain = np.linalg.solve(system, precision[:, None] * across.T)
    before = np.array([one.sd_d**2 for one in asked])
    return across @ np.linalg.solve(system, shift), before - np.einsum("ij,ji->i", across, gain)


def propagated(counted, logs, asked, rounds=60):
    """Give mean and SD of counted and of asked places by expectation propagation, in many half steps."""
    prior = covariance(counted, counted)
    precision, shift = np.zeros(len(counted)), np.zeros(len(counted))
    for _ in range(rounds):
        mean, var = after_sites(prior, precision, shift)
        left = 1 / var - precision
        cavity_mean, cavity_var = (mean / var - shift) / left, 1 / left
        told = logs - (GRID - cavity_mean[:, None]) ** 2 / (2 * cavity_var[:, None])
        weight = np.exp(told - told.max(axis=1, keepdims=True))
        weight /= weight.sum(axis=1, keepdims=True)
        told_mean = weight @ GRID
        told_var = (weight * (GRID - told_mean[:, None]) ** 2).sum(axis=1)
        found = np.maximum(1 / told_var - 1 / cavity_var, 1e-9)
        found_shift = told_mean * (found + 1 / cavity_var) - cavity_mean / cavity_var
        precision, shift = (precision + found) / 2, (shift + found_shift) / 2
    elsewhere = asked_after(counted, asked, precision, shift)
    return (told_mean, np.sqrt(told_var)), (elsewhere[0], np.sqrt(elsewhere[1]))
