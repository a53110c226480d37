"""How far apart two carrier volumes may lie in one pass: what the nozzle turns down to, and at which speeds.

Says what the machine can follow. Whether two volumes from one tank keep the dose is the plan's affair.
"""

import math

from zoning.settings.model import Sprayer
from zoning.sprayer.reach import lacking, reach


def most_ratio(sprayer: Sprayer) -> float | None:
    """Give the most that two carrier volumes may differ at one speed, as larger over smaller.

    Parameters
    ----------
    sprayer : Sprayer
        Its lowest and highest pressure, or duty, are used.

    Returns
    -------
    float or None
        None where no nozzle says.

    Notes
    -----
    At one speed volume goes with flow, and flow with the root of pressure or with the duty.

    Examples
    --------
    >>> rig = Sprayer.model_validate({
    ...     "name": "rig", "boom": "90 ft", "nozzle": "04", "nozzle_spacing": "20 in", "tank": "1000 gal",
    ...     "pressure": ["30 psi", "90 psi"], "speed": ["5 mph", "14 mph"], "fill_min": 15})
    >>> round(most_ratio(rig), 3)
    1.732

    References
    ----------
    T. Wolf, "Variable rate spraying", sprayers101.com/variable-rate-spraying
    """
    if lacking(sprayer) is not None:
        return None
    if sprayer.duty_frac is not None:
        return sprayer.duty_frac[1] / sprayer.duty_frac[0]
    if isinstance(sprayer.pressure_psi, tuple):
        return math.sqrt(sprayer.pressure_psi[1] / sprayer.pressure_psi[0])  # eq. q2 / q1 = sqrt(p2 / p1)
    return 1.0


def one_speed_for(sprayer: Sprayer, one_gal_ac: float, other_gal_ac: float) -> tuple[float, float] | None:
    """Give the speeds at which a sprayer can make both of two carrier volumes, None where there is none.

    Parameters
    ----------
    sprayer : Sprayer
        One machine of the settings.
    one_gal_ac, other_gal_ac : float
        In any order. [gal/ac]

    Returns
    -------
    (float, float) or None
        Slowest and fastest. [mph]

    Examples
    --------
    >>> rig = Sprayer.model_validate({
    ...     "name": "rig", "boom": "90 ft", "nozzle": "04", "nozzle_spacing": "20 in", "tank": "1000 gal",
    ...     "pressure": ["30 psi", "90 psi"], "speed": ["5 mph", "14 mph"], "fill_min": 15})
    >>> [round(mph, 1) for mph in one_speed_for(rig, 12, 20)], one_speed_for(rig, 10, 20)
    ([8.6, 8.9], None)
    """
    ranges = [
        (at.slowest_mph, at.speed_mph)
        for at in reach(sprayer, (one_gal_ac, other_gal_ac))
        if at.slowest_mph is not None and at.speed_mph is not None
    ]
    if len(ranges) < 2:
        return None
    slowest, fastest = max(low for low, _ in ranges), min(high for _, high in ranges)
    return (slowest, fastest) if slowest <= fastest else None
