"""The smallest zone that a machine can follow, and its sides across and along the track.

A pass holds one carrier volume and zones are switched on or off, so the plan needs the on/off form; the
rate-change form is here for machines that will change the rate inside a pass.
"""

from zoning.evidence import number
from zoning.settings.model import Sprayer
from zoning.units import ac_from_m2, m_s_from_mph


def footprint(sprayer: Sprayer, speed_mph: float | None = None) -> tuple[float, float]:
    """Sides of the smallest zone for switching on and off: across the track and along it, in m.

    Parameters
    ----------
    sprayer : Sprayer
        Its boom, sections, top speed and `section_lag_s` are used.
    speed_mph : float, optional
        At which it drives, in place of its top speed. [mph]

    Returns
    -------
    across_m : float
        One section; a machine without sections has one, as wide as its boom. [m]
    along_m : float
        The larger of a section and three times the distance driven while it opens or closes. [m]

    Examples
    --------
    >>> rig = Sprayer.model_validate({"name": "rig", "boom": "90 ft", "sections": 9, "tank": "1000 gal",
    ...     "speed": ["5 mph", "14 mph"], "fill_min": 15, "section_lag_s": 0.5})
    >>> [round(side_m, 2) for side_m in footprint(rig)]  # 10 ft; 3 x 20.53 ft/s x 0.5 s = 30.8 ft
    [3.05, 9.39]
    """
    at_mph = sprayer.speed_mph[1] if speed_mph is None else speed_mph
    return _sides_m(sprayer.boom_m / sprayer.sections, sprayer.section_lag_s, at_mph)


def smallest_zone_ac(sprayer: Sprayer) -> float:
    """Smallest zone for switching on and off, one section wide, in ac.

    Parameters
    ----------
    sprayer : Sprayer
        Its boom, sections, top speed and `section_lag_s` are used.

    Returns
    -------
    float
        [ac]

    Notes
    -----
    section x max(section, 3 v t): across the track one section, along it three times the distance driven
    while a section opens or closes, at the machine's top speed. The plan uses the larger of this and the
    field's `min_area`. A machine without sections has one, as wide as its boom.

    Examples
    --------
    >>> rig = Sprayer.model_validate({"name": "rig", "boom": "90 ft", "sections": 9, "tank": "1000 gal",
    ...     "speed": ["5 mph", "14 mph"], "fill_min": 15, "section_lag_s": 0.5})
    >>> round(smallest_zone_ac(rig), 4)  # 10 ft x 30.8 ft
    0.0071
    """
    return _ac(footprint(sprayer))


def rate_footprint(sprayer: Sprayer) -> tuple[float, float]:
    """Sides of the smallest zone for a change of rate: the boom across the track, and along it, in m.

    Examples
    --------
    >>> rig = Sprayer.model_validate({"name": "rig", "boom": "90 ft", "tank": "1000 gal",
    ...     "speed": ["5 mph", "14 mph"], "fill_min": 15, "rate_lag_s": 4})
    >>> [round(side_m, 1) for side_m in rate_footprint(rig)]  # 90 ft; 3 x 82.1 ft = 246.4 ft
    [27.4, 75.1]
    """
    return _sides_m(sprayer.boom_m, sprayer.rate_lag_s, sprayer.speed_mph[1])


def step_m(speed_mph: float, lag_s: float) -> float:
    """Distance driven while a rate or a section changes, in m.

    Examples
    --------
    >>> round(step_m(14, 4) / 0.3048)  # 14 mph is 20.53 ft/s
    82
    """
    return m_s_from_mph(speed_mph) * lag_s


def smallest_rate_zone_ac(sprayer: Sprayer) -> float:
    """Smallest zone for a change of rate, the whole boom wide, in ac.

    Examples
    --------
    >>> rig = Sprayer.model_validate({"name": "rig", "boom": "90 ft", "tank": "1000 gal",
    ...     "speed": ["5 mph", "14 mph"], "fill_min": 15, "rate_lag_s": 4})
    >>> round(smallest_rate_zone_ac(rig), 2)
    0.51
    """
    return _ac(rate_footprint(sprayer))


def _sides_m(width_m: float, lag_s: float, speed_mph: float) -> tuple[float, float]:
    return width_m, max(width_m, number("sprayer.steps_in_a_zone") * step_m(speed_mph, lag_s))


def _ac(sides_m: tuple[float, float]) -> float:
    return ac_from_m2(sides_m[0] * sides_m[1])
