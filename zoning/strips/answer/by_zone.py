"""What each zone returned: the parts of pairs in it, drawn towards the field as far as they must be."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from zoning.strips.answer.differ import differ_p
from zoning.strips.answer.mixed import Layout, Spread, fit, is_flat, spread, tried
from zoning.strips.answer.response import CERTAINTY, chance_above, told_by
from zoning.strips.terms import ByZone, Money, Response, ZonePart, ZoneResponse

Floats = npt.NDArray[np.float64]

_ONE_IN = 0.05  # method: zones that respond alike are called different one time in twenty


def by_zone(parts: Sequence[ZonePart], response: Response | None, money: Money | None) -> ByZone | None:
    """Say what each zone returned, and whether zones may be called different at all.

    Parameters
    ----------
    parts : sequence of ZonePart
        Of the pairs that count; those without length or difference are left out.
    response : Response or None
        What the same pairs say of the whole field.
    money : Money or None
        For the break-even; None where no price is known.

    Returns
    -------
    ByZone or None
        None where no part counts. Zones in the order of their numbers.

    Notes
    -----
    Each zone's mean is a prediction from a mixed model (`mixed`) in which zones, pairs and what is left vary;
    its interval counts that none of these variances is known. No zone is taken for better known
    than the field: where its interval would be narrower than that of all pairs, it gets that width. With one
    pair, one zone, or differences all alike, nothing can be told of zones: each has the field's answer.

    Examples
    --------
    >>> from zoning.strips.answer.response import response as of_pairs
    >>> from zoning.strips.terms import PairSeen
    >>> seen = {1: (4.0, 1.0), 2: (5.0, 0.5), 3: (4.5, 1.5)}
    >>> parts = [ZonePart(pair=pair, zone=zone, length_m=150, points=80, treated_bu_ac=60 + gain,
    ...     untreated_bu_ac=60) for pair, gains in seen.items() for zone, gain in enumerate(gains, start=1)]
    >>> pairs = [PairSeen(pair=pair, length_m=300, points=160, treated_bu_ac=60 + sum(gains) / 2,
    ...     untreated_bu_ac=60, moisture_difference_frac=0.0) for pair, gains in seen.items()]
    >>> found = by_zone(parts, of_pairs(pairs, None), None)
    >>> [(one.zone, one.seen_bu_ac, round(one.mean_bu_ac, 1)) for one in found.zones], found.differ
    ([(1, 4.5, 4.2), (2, 1.0, 1.3)], True)
    """
    counted = [one for one in parts if one.length_m > 0 and np.isfinite(one.difference_bu_ac)]
    if response is None or not counted:
        return None
    numbers, zone = np.unique([one.zone for one in counted], return_inverse=True)
    _, pair = np.unique([one.pair for one in counted], return_inverse=True)
    length_m = np.array([one.length_m for one in counted])
    difference = np.array([one.difference_bu_ac for one in counted])
    layout = Layout(zone=zone, pair=pair, weight=length_m / length_m.mean())
    is_told = layout.zones > 1 and layout.pairs > 1 and not is_flat(difference)
    on = tried(layout) if is_told else None
    beliefs = None if on is None else spread(on, layout, difference)
    found = None if on is None else fit(on, layout, difference)
    p = differ_p(layout, difference) if layout.zones > 1 and layout.pairs > 1 else float("nan")
    count = np.bincount(zone)  # a pair has one part in a zone
    in_zone_m = np.bincount(zone, length_m)
    seen = np.bincount(zone, length_m * difference) / in_zone_m
    zones = _zones(layout, beliefs, response, money)
    return ByZone(
        zones=tuple(
            ZoneResponse(
                zone=int(numbers[at]),
                pairs=int(count[at]),
                length_m=float(in_zone_m[at]),
                seen_bu_ac=float(seen[at]),
                mean_bu_ac=mean,
                se_bu_ac=se,
                low_bu_ac=low,
                high_bu_ac=high,
                chance_pays=chance,
                told=told_by(low, high, None if money is None else money.break_even_bu_ac, response.pairs),
            )
            for at, (mean, se, low, high, chance) in enumerate(zones)
        ),
        zone_sd_bu_ac=float("nan") if found is None else found.zone_sd_bu_ac,
        pair_sd_bu_ac=float("nan") if found is None else found.pair_sd_bu_ac,
        rest_sd_bu_ac=float("nan") if found is None else found.rest_sd_bu_ac,
        differ_p=p,
        differ=bool(p <= _ONE_IN),
    )


_Zone = tuple[float, float, float, float, float | None]  # mean, SE, low, high, chance that it pays


def _zones(layout: Layout, beliefs: Spread | None, response: Response, money: Money | None) -> list[_Zone]:
    needs = None if money is None else money.break_even_bu_ac
    down, up = response.mean_bu_ac - response.low_bu_ac, response.high_bu_ac - response.mean_bu_ac
    free = None if response.from_pooled_sd else response.pairs - 1

    def as_field(mean: float, se: float) -> _Zone:
        """As surely as the field is known, about a mean of its own."""
        chance = None if needs is None else chance_above(needs, mean, response.se_bu_ac, free)
        return mean, se, mean - down, mean + up, chance

    if beliefs is None:
        return [as_field(response.mean_bu_ac, response.se_bu_ac)] * layout.zones
    outside = (1 - CERTAINTY) / 2
    low, high = beliefs.quantile(outside), beliefs.quantile(1 - outside)
    above = None if needs is None else 1 - beliefs.below(needs)
    found = []
    for at, mean in enumerate(beliefs.mean):
        se = max(float(beliefs.sd[at]), response.se_bu_ac)
        if high[at] - low[at] < down + up:
            found.append(as_field(float(mean), se))
        else:
            chance = None if above is None else float(above[at])
            found.append((float(mean), se, float(low[at]), float(high[at]), chance))
    return found
