"""What a plan for whole zones keeps of the return of a plan that could treat every cell by itself.

Both use the same draws and the same days. Wheel tracks between cells, visits and hours are nobody's here.
"""

import numpy as np

from zoning.returns.terms import Floats, Priced


def kept_frac(zones: Priced, kinds: Priced, area_ac: Floats) -> float:
    """Share of the best return of the cells that one decision a zone keeps.

    Parameters
    ----------
    zones : Priced
        The options of the zones, as the plan sees them.
    kinds : Priced
        The same days and volumes, for the kinds of ground that the cells are of.
    area_ac : ndarray of float, shape (zones, kinds)
        How much ground of each kind lies in each zone. [ac]

    Returns
    -------
    float
        Sum over zones of what its cells return at the option that is best for the zone, over the sum of what
        they return when each takes its own best option; cells and zones that no option pays for are not
        sprayed. 1 where no cell is worth a pass. Below 0 where the zones' decisions lose money.

    Examples
    --------
    >>> def priced(*net):
    ...     usd_ac = np.array(net, dtype=float)[:, None, None]
    ...     return Priced(zones=(1,) * len(net), days=np.array([0]), volumes_gal_ac=(15.0,),
    ...                   net_usd_ac=usd_ac, chance_frac=usd_ac * 0 + 0.5, passes_rule=usd_ac > 0)
    >>> kept_frac(priced(4.0), priced(10.0, -2.0), np.array([[5.0, 5.0]]))  # (50 - 10) / 50
    0.8
    """
    every_ac = area_ac.sum(axis=0)
    best = np.where(kinds.passes_rule, kinds.net_usd_ac, 0.0).reshape(len(kinds.zones), -1).max(axis=1)
    by_cell_usd = float(every_ac @ np.maximum(best, 0.0))
    if by_cell_usd <= 0:
        return 1.0
    allowed = np.where(zones.passes_rule, zones.net_usd_ac, -np.inf).reshape(len(zones.zones), -1)
    option = allowed.argmax(axis=1)
    sprayed = np.isfinite(allowed.max(axis=1))
    of_kind = np.nan_to_num(kinds.net_usd_ac).reshape(len(kinds.zones), -1)
    by_zone_usd = float((area_ac * of_kind[:, option].T)[sprayed].sum())
    return by_zone_usd / by_cell_usd
