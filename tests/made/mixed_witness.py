"""The mixed model of zones and pairs in statsmodels, and its restricted likelihood written out."""

import math
import warnings

import numpy as np
import pytest
from statsmodels.regression.mixed_linear_model import MixedLM, VCSpec

from zoning.strips.answer.mixed import Layout


def of_library(layout: Layout, difference):
    """The fit of the library: everything times the root of the weights, so that e has one variance."""
    root = np.sqrt(layout.weight)
    zones = np.eye(layout.zones)[layout.zone] * root[:, np.newaxis]
    pairs = np.eye(layout.pairs)[layout.pair] * root[:, np.newaxis]
    names = [[[f"z{at}" for at in range(layout.zones)]], [[f"p{at}" for at in range(layout.pairs)]]]
    effects = VCSpec(["zone", "pair"], names, [[zones], [pairs]])
    model = MixedLM(root * difference, root[:, np.newaxis], groups=np.ones(len(root)), exog_vc=effects)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of a variance that is 0
        return model.fit(reml=True, method=["lbfgs", "powell"])


def restricted_log(layout: Layout, difference, sds) -> float:
    """Log of the restricted likelihood for the SDs of zones, of pairs and of the rest."""
    zone_sd, pair_sd, rest_sd = sds
    v = np.diag(rest_sd**2 / layout.weight)
    v += zone_sd**2 * (layout.zone[:, np.newaxis] == layout.zone)
    v += pair_sd**2 * (layout.pair[:, np.newaxis] == layout.pair)
    inverse, one = np.linalg.inv(v), np.ones(len(v))
    of_mean = one @ inverse @ one
    left = difference - one @ inverse @ difference / of_mean
    return -(np.linalg.slogdet(v)[1] + math.log(of_mean) + left @ inverse @ left) / 2


def check_sds(layout: Layout, difference, sds) -> None:
    """SDs are the library's. Where one is 0 the library stops short of it: then ours must be the likelier."""
    theirs = of_library(layout, difference)
    their_sds = (*np.sqrt(theirs.vcomp), math.sqrt(theirs.scale))
    ours_log = restricted_log(layout, difference, sds)
    assert ours_log >= restricted_log(layout, difference, their_sds) - 1e-6
    if min(sds) > 0.05:
        assert sds == pytest.approx(their_sds, abs=0.003)
