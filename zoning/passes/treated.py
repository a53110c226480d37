"""Which zones of a field were sprayed already, and may not or need not be sprayed again.

A later pass is no new option: the response is that of one pass. What is closed, and against how many doses of
the label a pass counts, is decided here; what was sprayed is read elsewhere.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from zoning.inputs.given import Sprayed, as_compared
from zoning.passes.loads.dose import season_allows
from zoning.settings.model import Product
from zoning.stage.draws import StageDraws
from zoning.words import Said

DONE = ("passes.treated", "passes.season_used")  # reasons of zones that have had their pass


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Treated:
    """What was sprayed in each zone with the product of the plan, in the order of the zones.

    `closed` zones are not sprayed again this season, for the reason in `why`; `applied` counts applications,
    `last_on` is the day of the last. `notes` name what was not counted.
    """

    closed: npt.NDArray[np.bool_]
    applied: npt.NDArray[np.int64]
    last_on: tuple[date | None, ...]
    why: tuple[Said | None, ...]
    notes: tuple[Said, ...]


def treated(
    zones: Sequence[int],
    stages: Sequence[StageDraws],
    sprayed: Sequence[Sprayed],
    product: Product,
    today: date,
) -> Treated:
    """Find the zones that are closed by what was sprayed in this crop.

    Parameters
    ----------
    zones : sequence of int
        The number under which each zone stands in done.csv.
    stages : sequence of StageDraws
        The forecast of each zone.
    sprayed : sequence of Sprayed
        Passes over this field in this crop; one without zones was over all of it.
    product : Product
        Passes with it count; it goes by its name, whatever the case of its letters.
    today : date
        Later passes are not known yet.

    Notes
    -----
    A zone that was sprayed on or after the likely (median) day of R1 has had its pass. One that was sprayed
    before stays open until the label's number of applications, or its amount of product, is used up.

    Examples
    --------
    >>> from datetime import datetime
    >>> stage = StageDraws(np.tile([739800.0, 739803, 739813, 739822, 739829, 739844, 739862], (8, 1)))
    >>> label = Product.model_validate({
    ...     "name": "A", "groups": ["3"], "dose": "8 fl oz/ac", "max_dose": "16 fl oz/ac", "re_entry_h": 12,
    ...     "min_carrier_ground": "10 gal/ac", "pre_harvest_interval_d": 30, "max_applications": 2,
    ...     "latest_stage": "R5", "max_wind": "10 mph"})
    >>> one = Sprayed(field="North", end=datetime(2026, 7, 14, 9), product="a", zones="2")
    >>> found = treated([1, 2], [stage, stage], [one], label, date(2026, 7, 15))
    >>> found.closed.tolist(), found.why[1].text
    ([False, True], 'sprayed on Jul 14; a second pass is not priced here')
    """
    counted = [
        one for one in sprayed if as_compared(one.product) == as_compared(product.name) and one.on <= today
    ]
    closed = np.zeros(len(zones), dtype=np.bool_)
    applied = np.zeros(len(zones), dtype=np.int64)
    why: list[Said | None] = []
    last: list[date | None] = []
    for row, (zone, stage) in enumerate(zip(zones, stages, strict=True)):
        days = sorted(one.on for one in counted if not one.zone_numbers or zone in one.zone_numbers)
        reason = _reason(days, math.floor(np.median(stage.of("R1"))), product)
        applied[row], closed[row] = len(days), reason is not None
        why.append(reason)
        last.append(days[-1] if days else None)
    others = [one for one in sprayed if one not in counted and one.on <= today]
    early = sorted({day for day, shut in zip(last, closed, strict=True) if day is not None and not shut})
    notes = (
        *([Said("passes.early_pass", product=product.name, days=_listed(early))] if early else []),
        *_of_other_products(others, product),
        *_of_unknown_zones(zones, counted),
    )
    return Treated(closed=closed, applied=applied, last_on=tuple(last), why=tuple(why), notes=notes)


def _reason(days: Sequence[date], r1_day: int, product: Product) -> Said | None:
    """Say why a zone that was sprayed on some days is closed; None where it is open."""
    if not days:
        return None
    is_allowed, why_not = season_allows(product, len(days))
    if not is_allowed and why_not is not None:
        return Said("passes.season_used", days=_listed(days), why=why_not.text)
    if days[-1].toordinal() >= r1_day:
        return Said("passes.treated", days=_listed(days[-1:]))
    return None


def _of_other_products(others: Sequence[Sprayed], product: Product) -> list[Said]:
    named: dict[str, list[date]] = {}
    for one in sorted(others, key=lambda one: one.end):
        named.setdefault(" ".join(one.product.split()) or "something that is not named", []).append(one.on)
    return [
        Said("passes.other_product", product=name, days=_listed(days), ours=product.name)
        for name, days in named.items()
    ]


def _of_unknown_zones(zones: Sequence[int], counted: Sequence[Sprayed]) -> list[Said]:
    return [
        Said("passes.zone_not_known", zones=", ".join(map(str, unknown)), days=_listed([one.on]))
        for one in counted
        if (unknown := sorted(one.zone_numbers - set(zones)))
    ]


def _listed(days: Sequence[date]) -> str:
    return " and ".join(f"{day:%b} {day.day}" for day in days)
