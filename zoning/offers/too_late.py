"""Zones that are ripe for the label before product or applicator can be there, and since when that was so."""

from dataclasses import replace
from datetime import date

import numpy as np
import numpy.typing as npt

from zoning.offers.basis import Basis
from zoning.offers.offered import OfferedZone
from zoning.passes.label import allowed_days
from zoning.returns.remarks import keeps_out
from zoning.units import date_from_day
from zoning.words import Said

Days = npt.NDArray[np.int64]


def too_late(
    zones: tuple[OfferedZone, ...], days: Days, basis: Basis, today: date
) -> tuple[OfferedZone, ...]:
    """Close the zones in which the label allows a spray only before product and applicator can be there.

    Parameters
    ----------
    zones : tuple of OfferedZone
        With what `done.csv` closed.
    days : ndarray of int
        That are priced; the first is the first on which product and applicator can be there. [day number]
    basis : Basis
        Without a sprayer there is no product, and nothing is closed.
    today : date
    """
    if basis.rig is None or keeps_out(basis.settings, basis.rig.sprayer.kind):
        return zones
    missed = np.arange(today.toordinal(), int(days[0]), dtype=np.int64)
    return tuple(_closed(one, missed, days, basis) if one.closed_by is None else one for one in zones)


def _closed(one: OfferedZone, missed: Days, days: Days, basis: Basis) -> OfferedZone:
    if basis.rig is None or not len(missed):
        return one
    product, wanted = basis.rig.product, basis.settings.schedule
    before, _ = allowed_days(one.dated, missed, product)
    if allowed_days(one.dated, days, product)[0].any() or not before.any():
        return one
    last = int(missed[before].max())
    waits_d = max(wanted.lead_time_d, wanted.notice_d)
    told = {"days": waits_d, "last": date_from_day(float(last)), "by": date_from_day(float(last - waits_d))}
    if wanted.lead_time_d == waits_d:
        return replace(one, closed_by=Said("offers.ordered_too_late", **told))
    return replace(one, closed_by=Said("offers.called_too_late", **told))
