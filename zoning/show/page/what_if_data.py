"""What may be reckoned again, as plain data for the page's script; draws packed into few bits."""

from base64 import b64encode
from dataclasses import asdict
from typing import Any

import numpy as np
import numpy.typing as npt

from zoning.passes.what_if import Steps, WhatIf, WhatIfVisit, WhatIfVolume, WhatIfZone
from zoning.returns.rounded import STEPS_PER_BU
from zoning.units import date_from_day

_PLAIN = (
    "share_of_grain_frac",
    "haul_usd_bu",
    "share_of_cost_frac",
    "loss_weight",
    "product_counts",
    "pass_counts",
    "field_ac",
    "per_visit_usd",
    "minimum_bill_usd",
    "goes_anyway",
    "split_load_usd",
)


def what_if_data(what_if: WhatIf) -> dict[str, Any]:
    """Give what `what_if.js` reads.

    Parameters
    ----------
    what_if : WhatIf
        Of a plan.

    Returns
    -------
    dict
        For `json.dumps`. The steps of a zone by a source, day after day, are whole numbers of 16 bits. They
        are given as [count, middle, bits, text] in Rice's code: how far each is from the middle one, folded
        (0, -1, 1, -2, ... become 0, 1, 2, 3, ...), its high part as so many zeros and a one, its low part in
        so many bits (the highest first); one after another, as base64.

    Raises
    ------
    ValueError
        When a response is no whole number of 16 bits.
    """
    return {
        "base": asdict(what_if.base),
        "steps_per_bu": STEPS_PER_BU,
        **{name: getattr(what_if, name) for name in _PLAIN},
        "volumes": [_volume(one) for one in what_if.volumes],
        "visits": [_visit(one) for one in what_if.visits],
        "zones": [_zone(one) for one in what_if.zones],
        "swaths": [[list(part) for part in group] for group in what_if.swaths],
    }


def _volume(one: WhatIfVolume) -> dict[str, Any]:
    return {
        "volume_gal_ac": one.volume_gal_ac,
        "product_usd_ac": one.terms.product_usd_ac,
        "others_usd_ac": list(one.others_usd_ac),
        "pass_usd_ac": one.terms.pass_usd_ac,
        "pass_more_usd_ac": one.pass_more_usd_ac,
    }


def _visit(one: WhatIfVisit) -> dict[str, Any]:
    return {
        "number": one.number,
        "day": date_from_day(float(one.day)).isoformat(),
        "last_day": date_from_day(float(one.last_day)).isoformat(),
        "rate_gal_ac": one.rate_gal_ac,
        "zones": list(one.zones),
        "volume": one.volume,
    }


def _zone(one: WhatIfZone) -> dict[str, Any]:
    return {
        "zone": one.zone,
        "area_ac": one.area_ac,
        "visit": one.visit,
        "visit_days": one.visit_days,
        "judged_on": one.judged_on,
        "volume": one.volume,
        "track_loss_bu_ac": one.track_loss_bu_ac,
        "stands": one.stands,
        "steps": {source: _packed(steps) for source, steps in one.steps.items()},
    }


def _packed(steps: Steps) -> tuple[int, int, int, str]:
    fits = np.iinfo(np.int16)
    whole = np.asarray(steps, dtype=np.int64).reshape(-1)
    if not np.array_equal(whole, steps.reshape(-1)) or whole.min() < fits.min or whole.max() > fits.max:
        raise ValueError("a response is no whole number of 16 bits")
    middle = int(np.median(whole))
    away = whole - middle
    folded = np.where(away >= 0, 2 * away, -2 * away - 1)
    about = int(folded.mean()).bit_length()
    bits = min(
        range(max(about - 2, 0), about + 1), key=lambda low: int((folded >> low).sum()) + low * folded.size
    )
    text = b64encode(np.packbits(_rice(folded, bits)).tobytes()).decode("ascii")
    return whole.size, middle, bits, text


def _rice(numbers: npt.NDArray[np.int64], bits: int) -> npt.NDArray[np.uint8]:
    """Give numbers as a row of bits: the high part as so many zeros and a one, the low part as it is."""
    ends = np.cumsum((numbers >> bits) + 1 + bits)
    row = np.zeros(ends[-1], dtype=np.uint8)
    row[ends - bits - 1] = 1
    low = np.arange(bits)
    row[ends[:, np.newaxis] - bits + low] = numbers[:, np.newaxis] >> (bits - 1 - low) & 1
    return row
