"""What takes from the response besides the stage: poor ground and too little carrier.

A factor is the share of the response that is left. Where nothing speaks for an effect it is 1.
"""

from zoning.evidence import number
from zoning.settings.model import Pressure

_WITH_DISEASE = ("medium", "high", "seen")


def yield_frac(expected_yield_bu_ac: float) -> float:
    """Share of the response left on poor ground: 1 from 30 bu/ac up, falling in a straight line to 0.

    Above, the response is the same in bu/ac at every yield (assumption).

    Parameters
    ----------
    expected_yield_bu_ac : float
        Of the zone. [bu/ac]

    Examples
    --------
    >>> yield_frac(58), yield_frac(15)
    (1.0, 0.5)
    """
    full = number("returns.full_response_yield_bu_ac")
    return min(1.0, max(0.0, expected_yield_bu_ac / full))


def volume_frac(volume_gal_ac: float | None, volume_matters: bool) -> float:
    """Share of the response left at a carrier volume.

    Parameters
    ----------
    volume_gal_ac : float or None
        Carrier volume, None where there is no sprayer. [gal/ac]
    volume_matters : bool
        From `volume_matters`; elsewhere no trial shows an effect on yield.

    Examples
    --------
    >>> volume_frac(10, True), volume_frac(20, True), volume_frac(10, False)
    (0.9, 1.0, 1.0)
    """
    if not volume_matters or volume_gal_ac is None:
        return 1.0
    short_gal_ac = max(0.0, number("returns.full_coverage_volume_gal_ac") - volume_gal_ac)
    return 1 - number("returns.volume_loss_frac_per_gal_ac") * short_gal_ac


def volume_matters(pressure: Pressure, canopy: str, kind: str) -> bool:
    """Whether the carrier volume moves the response: a ground boom over a closed canopy with disease.

    Parameters
    ----------
    pressure : {"low", "unknown", "medium", "high", "seen"}
        "medium" and more count as disease.
    canopy : str
        "closed", "open" or "".
    kind : str
        Of the sprayer: aircraft and drones work at volumes of their own.

    Examples
    --------
    >>> volume_matters("high", "closed", "ground"), volume_matters("unknown", "closed", "ground")
    (True, False)
    """
    return pressure in _WITH_DISEASE and canopy == "closed" and kind == "ground"
