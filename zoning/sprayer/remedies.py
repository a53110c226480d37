"""What would let a sprayer hold a carrier volume that it cannot hold: another pressure.

Speed and nozzle sizes stand in the reason itself (`reach`).
"""

import math

from zoning.evidence import numbers
from zoning.settings.model import Sprayer
from zoning.sprayer.nozzle import nozzle_gal_min, pressure_for, rated_gal_min, reference_psi
from zoning.sprayer.reach import holds_mph, lacking
from zoning.units import bar_from_psi, kmh_from_mph
from zoning.words import Said

_TENTHS = 10  # method: bar are written with one decimal


def by_pressure(sprayer: Sprayer, volume_gal_ac: float) -> Said | None:
    """Say which pressure would hold a volume at the machine's own speeds.

    Parameters
    ----------
    sprayer : Sprayer
        One machine of the settings.
    volume_gal_ac : float
        [gal/ac]

    Returns
    -------
    Said or None
        None where the volume is held, where nothing is known of the nozzle, or where no nozzle sprays at such
        a pressure.

    Examples
    --------
    >>> rig = Sprayer.model_validate({
    ...     "name": "rig", "boom": "90 ft", "nozzle": "06", "nozzle_spacing": "20 in", "tank": "1000 gal",
    ...     "pressure": ["30 psi", "90 psi"], "speed": ["5 mph", "14 mph"], "fill_min": 15})
    >>> said = by_pressure(rig, 10)  # 40 x (10 x 14 x 20 / 5940 / 0.6)^2 = 24.7
    >>> said.code, said.values["psi"]
    ('sprayer.or_lower_pressure', 24)
    """
    if lacking(sprayer) is not None or sprayer.nozzle is None or sprayer.nozzle_spacing_m is None:
        return None
    slowest, fastest = sprayer.speed_mph
    needs = holds_mph(sprayer, sprayer.nozzle, volume_gal_ac)
    if needs[0] > fastest:
        code, at_mph, edge = "sprayer.or_lower_pressure", fastest, 0
    elif needs[1] < slowest:
        code, at_mph, edge = "sprayer.or_higher_pressure", slowest, 1
    else:
        return None
    open_frac = 1.0 if sprayer.duty_frac is None else sprayer.duty_frac[edge]
    flow = nozzle_gal_min(volume_gal_ac, at_mph, sprayer.nozzle_spacing_m) / open_frac
    psi = pressure_for(rated_gal_min(sprayer.nozzle) or 0, flow, reference_psi())
    least, most = numbers("sprayer.usual_pressure_psi")
    if not least <= psi <= most:
        return None
    outward = math.ceil if edge else math.floor  # so that the figure as it is written holds the volume
    bar = outward(bar_from_psi(psi) * _TENTHS) / _TENTHS
    return Said(code, psi=outward(psi), bar=bar, mph=at_mph, kmh=kmh_from_mph(at_mph))
