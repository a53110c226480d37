"""What the label in hand allows: days and carrier volumes, with the reason for each that is refused.

Every limit comes from the user's `[product]`; this room has none of its own. Wind and rain are counted with
the spray hours, the season's applications and dose in `zoning.passes.loads.dose`, re-entry in
`zoning.passes.entering`; what is left to the operator stands on the load sheet.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.settings.model import Product, Sprayer
from zoning.sprayer.reach import Reach
from zoning.stage.draws import STAGES, StageDraws
from zoning.units import date_from_day, l_ha_from_gal_ac
from zoning.words import Said

Bools = npt.NDArray[np.bool_]


def allowed_days(
    stage: StageDraws, days: npt.NDArray[np.int64], product: Product
) -> tuple[Bools, tuple[Said, ...]]:
    """Days on which the label allows a spray here, held against an early season.

    Parameters
    ----------
    stage : StageDraws
        The zone's (or block's) forecast.
    days : ndarray of int, shape (n,)
        Day numbers. [day]
    product : Product
        Its `latest_stage` and `pre_harvest_interval_d` are used.

    Returns
    -------
    ndarray of bool, shape (n,)
        True where allowed.
    tuple of Said
        One for each rule that refuses a day, with the first day that it refuses.

    Notes
    -----
    The spray day comes before the 10 % quantile of the day on which the stage after `latest_stage` begins,
    and the spray day + interval does not pass the 10 % quantile of R7; days are whole days. Harvest comes
    after R7, so the second rule is on the early side.

    Examples
    --------
    >>> stage = StageDraws(np.tile([200.0, 203, 213, 222, 229, 244, 262], (8, 1)))
    >>> label = Product.model_validate({
    ...     "name": "A", "groups": ["3"], "dose": "8 fl oz/ac", "max_dose": "16 fl oz/ac", "re_entry_h": 12,
    ...     "min_carrier_ground": "10 gal/ac", "pre_harvest_interval_d": 30, "max_applications": 2,
    ...     "latest_stage": "R5", "max_wind": "10 mph"})
    >>> allowed, reasons = allowed_days(stage, np.arange(230, 235), label)
    >>> allowed.tolist(), [reason.code for reason in reasons]
    ([True, True, True, False, False], ['passes.past_pre_harvest'])
    """
    early = number("passes.label_quantile_frac")
    # the last day whose evening still lies before the quantile, and the last day on which the interval fits
    before_maturity = np.floor(np.quantile(stage.of(STAGES[-1]), early)) - product.pre_harvest_interval_d
    in_interval = days <= before_maturity
    next_stage = STAGES.index(product.latest_stage) + 1
    in_stage = np.ones(len(days), dtype=np.bool_)
    reasons = []
    if next_stage < len(STAGES):
        begins = np.floor(np.quantile(stage.of(STAGES[next_stage]), early))
        in_stage = days < begins
        if not in_stage.all():
            reasons.append(
                Said(
                    "passes.past_latest_stage",
                    first=date_from_day(float(begins)),
                    after=STAGES[next_stage],
                    latest=product.latest_stage,
                )
            )
    if not in_interval.all():
        reasons.append(
            Said(
                "passes.past_pre_harvest",
                first=date_from_day(float(before_maturity) + 1),
                interval_d=product.pre_harvest_interval_d,
            )
        )
    return np.asarray(in_stage & in_interval), tuple(reasons)


def allowed_volumes(
    product: Product, sprayer: Sprayer, reaches: Sequence[Reach]
) -> tuple[Bools, tuple[Said, ...]]:
    """Carrier volumes that the label allows from this kind of sprayer and that the machine reaches.

    Parameters
    ----------
    product : Product
        Its minimum carrier volumes and permissions are used.
    sprayer : Sprayer
        Its kind is used.
    reaches : sequence of Reach
        What `zoning.sprayer.reach.reach` said, one for each volume.

    Returns
    -------
    ndarray of bool, shape (volumes,)
        True where allowed and reachable.
    tuple of Said
        One for each reason that refuses a volume.

    Notes
    -----
    Aircraft and drones are held to the label's minimum by air.
    """
    forbidden = _forbidden(product, sprayer)
    if forbidden is not None:
        return np.zeros(len(reaches), dtype=np.bool_), (forbidden,)
    by_air = sprayer.kind != "ground"
    least = (product.min_carrier_air_gal_ac if by_air else product.min_carrier_ground_gal_ac) or 0
    reasons = [_too_little(at.volume_gal_ac, least, at.why_not) for at in reaches]
    return np.array([reason is None for reason in reasons]), tuple(filter(None, reasons))


def _forbidden(product: Product, sprayer: Sprayer) -> Said | None:
    """Say why the label does not allow this kind of sprayer at all."""
    if sprayer.kind == "aerial" and not product.aerial_allowed:
        return Said("passes.not_by_air")
    if sprayer.kind == "drone" and not product.drone_allowed:
        return Said("passes.not_by_drone")
    if sprayer.kind != "ground" and product.min_carrier_air_gal_ac is None:
        return Said("passes.no_air_minimum")
    return None


_SLACK = 1e-9  # method: rounding, so that a volume typed in L/ha equals the same minimum in gal/ac


def _too_little(volume_gal_ac: float, least_gal_ac: float, why_not: Said | None) -> Said | None:
    """Say why a volume is refused: below the label's minimum first, then out of the machine's reach."""
    if volume_gal_ac < least_gal_ac * (1 - _SLACK):
        return Said(
            "passes.below_label_minimum",
            volume_gal_ac=volume_gal_ac,
            volume_l_ha=l_ha_from_gal_ac(volume_gal_ac),
            least_gal_ac=least_gal_ac,
            least_l_ha=l_ha_from_gal_ac(least_gal_ac),
        )
    return why_not
