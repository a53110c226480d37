"""Which swaths a set of zones makes the machine drive, and the crop that is pressed down there.

A swath that holds any sprayed zone is driven in whole: over the skipped zones on it with the boom off.
"""

import numpy as np
import numpy.typing as npt

from zoning.passes.problem import FieldProblem

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]


def on_swaths_ac(problem: FieldProblem) -> Floats:
    """Area of each zone on each swath, scaled so that a zone's column sums to its own area.

    The swaths come from cells and the areas of zones from their outlines; after scaling a zone's crop is
    counted once, whichever of the two is used. Shape (swaths, zones), in ac.
    """
    sums = problem.swath_area_ac.sum(axis=0)
    scale = np.divide(problem.area_ac, sums, out=np.zeros_like(sums), where=sums > 0)
    return np.asarray(problem.swath_area_ac * scale)


def swath_loss_usd(problem: FieldProblem) -> Floats:
    """Worth of the crop that driving each swath presses down, shape (swaths,), in USD."""
    return np.asarray(on_swaths_ac(problem) @ problem.track_loss_usd_ac)


def driven(problem: FieldProblem, sprayed: Bools) -> Bools:
    """Swaths that are driven for each set of sprayed zones.

    Parameters
    ----------
    problem : FieldProblem
        Its swaths are used.
    sprayed : ndarray of bool, shape (sets, zones)
        One row a set of zones.

    Returns
    -------
    ndarray of bool, shape (sets, swaths)
    """
    holds = (problem.swath_area_ac > 0).astype(np.float64)
    return np.asarray(sprayed.astype(np.float64) @ holds.T > 0)


def driven_off_ac(problem: FieldProblem, sprayed: Bools) -> Floats:
    """Area of each zone that is skipped but driven with the boom off, shape (zones,), in ac.

    `sprayed`, shape (zones,), is what is sprayed in any visit of the season.
    """
    swaths = driven(problem, sprayed[np.newaxis])[0]
    return np.asarray(np.where(sprayed, 0, on_swaths_ac(problem)[swaths].sum(axis=0)))


def driven_anyway_frac(problem: FieldProblem, sprayed: Bools) -> Floats:
    """Share of each zone's area on swaths that the *other* sprayed zones make the machine drive.

    On that share the zone's own wheel tracks are no cost that leaving it out would avoid.

    Parameters
    ----------
    problem : FieldProblem
        Its swaths are used.
    sprayed : ndarray of bool, shape (zones,)
        What is sprayed in any visit of the season.

    Returns
    -------
    ndarray of float, shape (zones,)
        [0-1]

    Examples
    --------
    Zone 1 and a half of zone 2 lie on the first swath:

    >>> problem = FieldProblem(
    ...     field="home", zones=(1, 2), block_of_zone=(0, 0), area_ac=np.array([4.0, 2.0]),
    ...     days=np.array([10]), volumes_gal_ac=(15.0,), net_usd_ac=np.ones((2, 1, 1)),
    ...     worth_it=np.ones((2, 1, 1), dtype=bool), swath_area_ac=np.array([[4.0, 1.0], [0.0, 1.0]]),
    ...     track_loss_usd_ac=np.ones(2), bill_usd_ac=0, pass_usd_ac=9, per_visit_usd=0, minimum_bill_usd=0)
    >>> driven_anyway_frac(problem, np.array([True, False])).tolist()
    [0.0, 0.5]
    """
    on_swaths = on_swaths_ac(problem)
    others = np.where(np.eye(len(sprayed), dtype=np.bool_), False, sprayed)
    shared_ac = np.einsum("zs,sz->z", driven(problem, others).astype(np.float64), on_swaths)
    return np.asarray(
        np.divide(shared_ac, problem.area_ac, out=np.zeros(len(sprayed)), where=problem.area_ac > 0)
    )
