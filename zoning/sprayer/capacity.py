"""Acres an hour and acres a load, from speed, boom, tank and filling.

Filling is counted here and nowhere else: `efficiency_frac` holds turning and overlap only. Hours fit for
spraying are not known here.
"""

from zoning.units import ac_h_from_mph


def driving_ac_h(speed_mph: float, boom_m: float, efficiency_frac: float) -> float:
    """Acres an hour while driving: speed x width x efficiency.

    Parameters
    ----------
    speed_mph : float
        [mph]
    boom_m : float
        Width of the boom, or the swath of an aircraft. [m]
    efficiency_frac : float
        Share of the time (and width) that is not lost in turns and overlap. [0-1]

    Returns
    -------
    float
        [ac/h]

    Examples
    --------
    >>> round(driving_ac_h(6, 40 * 0.3048, 0.70), 1)
    20.4

    References
    ----------
    "Estimating field capacity", AgDM A3-24, Iowa State University
    """
    return ac_h_from_mph(speed_mph, boom_m) * efficiency_frac


def acres_per_load(tank_gal: float, volume_gal_ac: float) -> float:
    """Acres that one tank treats, in ac.

    Examples
    --------
    >>> acres_per_load(1000, 20)
    50.0
    """
    return tank_gal / volume_gal_ac


def cycle_ac_h(driving_ac_h: float, load_ac: float, fill_h: float) -> float:
    """Acres an hour over whole cycles of spraying a load and filling the next.

    Parameters
    ----------
    driving_ac_h : float
        Acres an hour while driving. [ac/h]
    load_ac : float
        Acres that one load treats. [ac]
    fill_h : float
        Time to fill, a trip to the tender included. [h]

    Returns
    -------
    float
        [ac/h]

    Examples
    --------
    >>> drive = driving_ac_h(14, 90 * 0.3048, 0.85)
    >>> round(cycle_ac_h(drive, acres_per_load(1000, 10), 15 / 60), 1)
    98.0
    """
    return 1 / (1 / driving_ac_h + fill_h / load_ac)  # eq. hours an acre = driving + filling
