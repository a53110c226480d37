"""The shipped model on 506 environments of the uniform soybean tests (Krause et al. 2022).

Only planting and maturity were observed there, so R3 is bounded, not checked. Gridded daily weather.
"""

import os

import numpy as np
import pytest
from made_plots import Trial, uniform_trials

from zoning.stage.forecast import MODEL
from zoning.stage.phenology import MODELS

FOLDER = os.environ.get("SPRAYWORTH_REFERENCE", "")
pytestmark = pytest.mark.skipif(
    not FOLDER, reason="SPRAYWORTH_REFERENCE is unset: it names the folder with the uniform tests"
)


@pytest.fixture(scope="module")
def trials() -> tuple[Trial, ...]:
    return uniform_trials(FOLDER)


@pytest.fixture(scope="module")
def r3_d(trials) -> np.ndarray:
    return np.array([trial.days_after_planting(MODELS[MODEL])["R3"] for trial in trials])


def test_506_rows_are_usable(trials):
    # of 687, 529 have both dates; of 23 of them the weather begins 4 to 10 days after planting
    assert len(trials) == 506


def test_r3_lies_between_35_days_after_planting_and_25_before_maturity(trials, r3_d):
    maturity_d = np.array([trial.maturity_d for trial in trials])
    assert r3_d.min() >= 35
    assert (maturity_d - r3_d).min() >= 25


def test_days_to_r3_fall_with_later_planting_between_environments(trials, r3_d):
    # least squares with latitude and group. Days to maturity fall there by about 0.6 d a day; R3 takes a part
    # of that, never more than a day a day.
    planted = np.array([float(trial.crop.planted.timetuple().tm_yday) for trial in trials])
    others = [[trial.latitude_deg for trial in trials], [trial.crop.maturity_group for trial in trials]]
    table = np.stack([np.ones(len(trials)), planted, *np.array(others)], axis=1)
    slope = np.linalg.lstsq(table, r3_d, rcond=None)[0][1]
    assert -0.65 <= slope <= -0.15


def test_days_to_r3_fall_with_later_planting_in_the_same_weather(trials, r3_d):
    # Ten days later in the same field: fewer days on average, and R3 itself is never earlier. In a single
    # year a cool spell may turn the first round.
    model = MODELS[MODEL]
    later_d = np.array([trial.days_after_planting(model, later_d=10)["R3"] for trial in trials])
    reached = np.isfinite(later_d)
    assert reached.mean() > 0.97
    fewer_d = (r3_d - later_d)[reached]
    assert fewer_d.mean() > 1.5
    assert (fewer_d > 0).mean() > 0.9
    assert (fewer_d <= 10).all()


def test_group_3_comes_after_group_2_at_the_same_place_and_year(trials):
    model = MODELS[MODEL]
    by_group = {
        its: np.array([trial.days_after_planting(model, group=its)["R3"] for trial in trials])
        for its in (2.0, 3.0)
    }
    both = np.isfinite(by_group[3.0])
    assert both.mean() > 0.97
    assert (by_group[3.0] > by_group[2.0])[both].all()


def test_group_3_comes_after_group_2_where_both_stood(trials, r3_d):
    # the same place and year, each group on its own planting days: group 3 went in up to a week earlier
    found: dict[tuple[str, int], dict[float, list[float]]] = {}
    for trial, days in zip(trials, r3_d, strict=True):
        here = found.setdefault((trial.place, trial.crop.planted.year), {})
        here.setdefault(trial.crop.maturity_group, []).append(trial.crop.planted.toordinal() + days)
    pairs = [here for here in found.values() if len(here) == 2]
    assert len(pairs) == 40
    assert all(min(here[3.0]) > max(here[2.0]) for here in pairs)
