"""What a nozzle gives: flow, pressure, duty, and the speeds at which it holds a carrier volume.

It knows sizes by the table of the standard and nothing of droplets: the droplet class is a word of the
label and is never derived from size or pressure.
"""

import math

from zoning.evidence import entry, named, number
from zoning.units import PSI_PER_BAR, ac_h_from_mph, l_from_gal, per_min_from_per_h


def sizes_gal_min() -> dict[str, float]:
    """Flow of every known nozzle size at the reference pressure, in gal/min, from small to large.

    Examples
    --------
    >>> sizes_gal_min()["04"]
    0.4
    """
    return named("sprayer.nozzle_flow_gal_min") | named("sprayer.nozzle_flow_large_gal_min")


def rated_gal_min(size: str) -> float | None:
    """Flow of a size at the reference pressure, in gal/min; None for a size that is not in the table.

    Examples
    --------
    >>> rated_gal_min("07") is None
    True
    """
    return sizes_gal_min().get(size.strip())


def colour(size: str) -> str:
    """Colour of a nozzle size in the standard, "" for a size without one; it tells nothing of droplets.

    Examples
    --------
    >>> colour("04"), colour("20")
    ('red', '')
    """
    colours = entry("sprayer.nozzle_colour").value
    return str(colours.get(size.strip(), "")) if isinstance(colours, dict) else ""


def rated_l_min(size: str) -> float | None:
    """Flow of a size at the pressure of metric tables, in L/min; None for a size that is not in the table.

    Examples
    --------
    >>> round(rated_l_min("04"), 3)  # 0.40 gal/min in L/min, x sqrt(43.511 / 40)
    1.579
    """
    rated = rated_gal_min(size)
    return None if rated is None else l_from_gal(flow_at(rated, metric_reference_psi(), reference_psi()))


def flow_at(rated_flow: float, pressure: float, rated_pressure: float) -> float:
    """Flow at another pressure: it goes with the square root of pressure.

    Parameters
    ----------
    rated_flow : float
        Flow at `rated_pressure`. [any unit of flow]
    pressure, rated_pressure : float
        [any unit of pressure, both the same]

    Returns
    -------
    float
        [unit of `rated_flow`]

    Examples
    --------
    >>> round(flow_at(0.40, 90, rated_pressure=40), 3)
    0.6

    References
    ----------
    T. Wolf, "Variable rate spraying", sprayers101.com/variable-rate-spraying
    """
    return rated_flow * math.sqrt(pressure / rated_pressure)  # eq. q2 = q1 sqrt(p2 / p1)


def pressure_for(rated_flow: float, flow: float, rated_pressure: float) -> float:
    """Pressure that gives a flow: four times the pressure for twice the flow.

    Parameters
    ----------
    rated_flow, flow : float
        Flow at `rated_pressure`, and the flow that is wanted. [any unit of flow, both the same]
    rated_pressure : float
        [any unit of pressure]

    Returns
    -------
    float
        [unit of `rated_pressure`]

    Examples
    --------
    >>> pressure_for(0.40, 0.80, rated_pressure=40)
    160.0
    """
    return rated_pressure * (flow / rated_flow) ** 2  # eq. p2 = p1 (q2 / q1)^2


def nozzle_gal_min(volume_gal_ac: float, speed_mph: float, spacing_m: float) -> float:
    """Flow that one nozzle must give.

    Parameters
    ----------
    volume_gal_ac : float
        Carrier volume. [gal/ac]
    speed_mph : float
        [mph]
    spacing_m : float
        Distance between nozzles on the boom. [m]

    Returns
    -------
    float
        [gal/min]

    Notes
    -----
    In US units this is GPM = GPA x MPH x inches / 5940, where 5940 = 43,560 x 12 x 60 / 5,280; here the
    area swept in an hour does the work, so that no such constant is needed.

    Examples
    --------
    >>> round(nozzle_gal_min(20, 10, 20 * 0.0254), 4)
    0.6734

    References
    ----------
    "Calibration of herbicide applicators", WG013, UF/IFAS, edis.ifas.ufl.edu/publication/wg013
    """
    return per_min_from_per_h(volume_gal_ac * ac_h_from_mph(speed_mph, spacing_m))


def speeds_mph(
    volume_gal_ac: float, spacing_m: float, flows_gal_min: tuple[float, float]
) -> tuple[float, float]:
    """Slowest and fastest speed at which a carrier volume can be held.

    Parameters
    ----------
    volume_gal_ac : float
        [gal/ac]
    spacing_m : float
        Distance between nozzles. [m]
    flows_gal_min : (float, float)
        Least and most that one nozzle gives. [gal/min]

    Returns
    -------
    (float, float)
        [mph]

    Examples
    --------
    >>> low, high = flow_at(0.4, 30, 40), flow_at(0.4, 90, 40)
    >>> [round(speed, 1) for speed in speeds_mph(20, 20 * 0.0254, (low, high))]
    [5.1, 8.9]
    """
    at_one_mph = nozzle_gal_min(volume_gal_ac, 1, spacing_m)
    least, most = flows_gal_min
    return least / at_one_mph, most / at_one_mph


def reference_psi() -> float:
    """Pressure at which the sizes are rated, in psi."""
    return number("sprayer.nozzle_reference_psi")


def metric_reference_psi() -> float:
    """Pressure at which metric tables rate the sizes, in psi: 3 bar."""
    return number("sprayer.nozzle_metric_reference_bar") * PSI_PER_BAR
