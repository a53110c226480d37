"""What the farm's own strips tell of the response in a pressure class: many trials become one observation.

Few seasons say less about the next one than many, and ground that differs says less than ground alike. How an
observation moves what is believed is the update of `mixture`.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from zoning.evidence import named, number
from zoning.returns.mixture import mean, sd, update
from zoning.returns.sources import pooled, updated
from zoning.returns.terms import Mixture
from zoning.settings.learned import LearnedTrial, in_order
from zoning.settings.model import Pressure, Response

Move = Callable[[Mixture], Mixture]


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """What all trials together tell of the next season's response in one pressure class.

    `se_bu_ac` is what is unsure of the mean of the seasons that were seen, `variance` about a season to come.
    A field counts as one trial in a season. `other` is how many trials lie in ground of other classes only.
    """

    pressure: Pressure
    mean_bu_ac: float
    se_bu_ac: float
    variance: float
    trials: int
    seasons: int
    other: int


def observation(trials: Sequence[LearnedTrial], pressure: Pressure) -> Observation:
    """Put trials together to one observation of the response in a pressure class.

    Parameters
    ----------
    trials : sequence of LearnedTrial
        At least one; in whatever order.
    pressure : {"low", "unknown", "medium", "high", "seen"}
        The class that is asked for.

    Returns
    -------
    Observation

    Raises
    ------
    ValueError
        Without a trial.

    Notes
    -----
    The mean by generalised least squares, whose errors have three parts: a trial's own standard error; the
    season's own part, which all trials of a season share (SD `returns.own_trials_year_sd_bu_ac`); and, for a
    trial in ground of another class, the doubt whether the classes differ as expected, which all trials of
    that class share. Where all trials lie in the class that is asked for, this is the inverse-variance mean
    of the fields within a season, whose variance is 1 / sum(1 / se^2) + year SD^2, and the inverse-variance
    mean of the seasons; with n seasons that are equally sure it is se^2 + year SD^2 / n, as for the mean of
    trials that was typed.

    A trial in another class is first moved by the difference of the two classes' expected responses, so that
    one that went as expected there changes nothing here. The doubt is that difference, and half of what both
    classes vary by themselves (`returns.own_trials_other_class`, an assumption).

    Examples
    --------
    >>> one = LearnedTrial(season=2025, field="north", pressure="unknown", mean_bu_ac=3.0, se_bu_ac=1.2,
    ...     pairs=8)
    >>> seen = observation([one], "unknown")
    >>> seen.mean_bu_ac, round(seen.variance, 2)
    (3.0, 2.44)
    >>> round(observation([one], "seen").mean_bu_ac, 2)
    5.94
    """
    if not trials:
        raise ValueError("there is no trial")
    return _observation(in_order(trials), pressure)


@lru_cache(maxsize=256)  # method: every zone of a class asks for the same
def _observation(trials: tuple[LearnedTrial, ...], pressure: Pressure) -> Observation:
    share = named("returns.own_trials_other_class")
    season = np.array([one.season for one in trials])
    kind = np.array([one.pressure for one in trials])
    apart_bu_ac = np.array([mean(pooled(pressure)) - mean(pooled(one.pressure)) for one in trials])
    varies = np.array([sd(pooled(pressure)) ** 2 + sd(pooled(one.pressure)) ** 2 for one in trials])
    seen_bu_ac = np.array([one.mean_bu_ac for one in trials]) + share["moved_frac"] * apart_bu_ac
    # eq. V = diag(se^2) + [same season] year SD^2 + [same class, another than asked] doubt
    own = np.diag([one.se_bu_ac**2 for one in trials])
    doubt = (share["doubt_frac"] * apart_bu_ac) ** 2 + share["apart_frac"] * varies
    of_class = np.where((kind[:, None] == kind) & (kind != pressure), doubt, 0.0)
    of_year = np.where(season[:, None] == season, number("returns.own_trials_year_sd_bu_ac") ** 2, 0.0)
    # eq. mean = 1' V^-1 y / (1' V^-1 1), variance = 1 / (1' V^-1 1)
    solved = np.linalg.solve(own + of_class + of_year, np.ones(len(trials)))
    weight = solved / solved.sum()
    everywhere = {(one.season, one.field) for one in trials}
    here = {(one.season, one.field) for one in trials if one.pressure == pressure}
    return Observation(
        pressure=pressure,
        mean_bu_ac=float(weight @ seen_bu_ac),
        se_bu_ac=float(np.sqrt(weight @ (own + of_class) @ weight)),
        variance=float(1 / solved.sum()),
        trials=len(everywhere),
        seasons=len(set(season.tolist())),
        other=len(everywhere - here),
    )


def moved(prior: Mixture, trials: Sequence[LearnedTrial], pressure: Pressure) -> Mixture:
    """Move what is believed of ground in a pressure class by the farm's own trials.

    Parameters
    ----------
    prior : Mixture
        What is believed without them.
    trials : sequence of LearnedTrial
        Without any nothing moves.
    pressure : {"low", "unknown", "medium", "high", "seen"}
        The class of the ground.
    """
    if not trials:
        return prior
    seen = observation(trials, pressure)
    return update(prior, seen.mean_bu_ac, seen.variance)


def move_of(response: Response, pressure: Pressure) -> tuple[tuple[str, ...], Move]:
    """Say how the own trials of the settings move what is believed of ground, and on which evidence.

    A mean and a standard error that were typed win over what was learned; they hold for every class alike.

    Parameters
    ----------
    response : Response
        With own trials: `"own trials" in sources(response)`.
    pressure : {"low", "unknown", "medium", "high", "seen"}
        The class of the ground.

    Returns
    -------
    tuple of str, callable
        Entries of evidence beside the user's own figures, and the update.
    """
    if response.is_typed:
        typed = float(response.mean_bu_ac or 0), float(response.se_bu_ac or 0), response.years or 1
        return (), lambda mixture: updated(mixture, *typed)
    is_elsewhere = any(one.pressure != pressure for one in response.learned)
    entries = ("returns.own_trials_other_class",) if is_elsewhere else ()
    return entries, lambda mixture: moved(mixture, response.learned, pressure)
