"""Where a sprayer goes after a pass, and whether it goes there with the same mix. Decides nothing."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from zoning.offers.in_time import in_order
from zoning.passes.loads.sheet import LoadSheet
from zoning.plan import Plan, PlanPass


def next_field(plans: Sequence[Plan]) -> tuple[Plan, ...]:
    """Name on each load sheet the field to which its sprayer goes next.

    Parameters
    ----------
    plans : sequence of Plan
        Fields that share sprayers.

    Returns
    -------
    tuple of Plan
        The same plans; the sheet of a sprayer's last pass names no field.
    """
    sheets: dict[tuple[int, int], LoadSheet] = {}
    for passes in in_order(plans).values():
        for (key, one), ((next_place, _), after) in pairwise(passes):
            if one.sheet is not None:
                sheets[key] = replace(
                    one.sheet, next_field=plans[next_place].field, next_same_mix=_alike(one, after)
                )
    return tuple(
        replace(
            plan,
            passes=tuple(
                replace(one, sheet=sheets.get((place, one.number), one.sheet)) for one in plan.passes
            ),
        )
        for place, plan in enumerate(plans)
    )


def _alike(one: PlanPass, after: PlanPass) -> bool:
    """Tell whether two passes have one product, dose, additives and volume."""
    if one.sheet is None or after.sheet is None:
        return False
    mixes = [
        (it.product, it.dose, it.adjuvant, it.foliar_feed, it.rate_gal_ac, it.other_pass)
        for it in (one.sheet, after.sheet)
    ]
    return mixes[0] == mixes[1]
