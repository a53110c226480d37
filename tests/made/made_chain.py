"""The whole way from a made harvest to what its strips say, and the way from points that are clean."""

from dataclasses import dataclass

import numpy as np
from made_harvests import Harvest

from zoning.strips.answer.by_zone import by_zone
from zoning.strips.answer.response import response
from zoning.strips.cleaned.cleaning import clean
from zoning.strips.paired.pairs import paired
from zoning.strips.paired.placed import place
from zoning.strips.terms import ByZone, Cleaned, Lag, Money, Paired, Placed, Response, Tracks


@dataclass(frozen=True, eq=False)
class Seen:
    """What each step gave; without a pair that counts there is no response."""

    cleaned: Cleaned
    placed: Placed
    paired: Paired
    response: Response | None
    by_zone: ByZone | None


def break_even(response_bu_ac: float) -> Money:
    """Money of which a response of so much just pays."""
    return Money(price_usd_bu=10.0, cost_usd_ac=10.0 * response_bu_ac, tracks_bu_ac=0.0)


def seen(harvest: Harvest, money: Money | None = None, zones: bool = True) -> Seen:
    """Clean, place, pair and judge, as the command does; zones are left out where nobody asks for them."""
    return _judged(harvest, clean(harvest.points, harvest.ground.header_m), money, zones)


def seen_when_clean(harvest: Harvest, money: Money | None = None, zones: bool = True) -> Seen:
    """The same from points that are clean: noise of point and pass, no lag, nothing wrong left."""
    truth, count = harvest.truth, harvest.points.count
    rng = np.random.default_rng([int(harvest.points.east_m.sum()), 7])
    noise = 1 + rng.normal(0, 0.008, truth.pass_number.max() + 1)[truth.pass_number]
    noise = noise * (1 + rng.normal(0, 0.04, count))
    good = truth.is_cutting & ~truth.is_wrong
    nothing = np.zeros(count)
    cleaned = Cleaned(
        yield_bu_ac=np.where(good, truth.yield_bu_ac * noise, np.nan),
        moisture_frac=harvest.points.moisture_frac,
        removed_by=np.where(good, 0, 1),
        rules=(),
        tracks=Tracks(number=truth.pass_number, along_m=nothing, heading_deg=nothing),
        lag=Lag(amount=0.0, unit="s", likeness=1.0, likeness_before=1.0),
    )
    return _judged(harvest, cleaned, money, zones)


def _judged(harvest: Harvest, cleaned: Cleaned, money: Money | None, zones: bool) -> Seen:
    placed = place(harvest.points, cleaned, harvest.ground)
    pairs = paired(harvest.points, cleaned, placed, harvest.ground)
    found = response(pairs.counted, money)
    of_zones = by_zone(pairs.parts, found, money) if found is not None and zones else None
    return Seen(cleaned=cleaned, placed=placed, paired=pairs, response=found, by_zone=of_zones)
