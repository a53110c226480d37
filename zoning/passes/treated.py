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

from zoning import units
from zoning.inputs.given import Sprayed
from zoning.settings.model import Product
from zoning.stage.draws import StageDraws
from zoning.words import Said

_SLACK = 1e-9  # method: rounding of doses that are typed in different units
_DOSE_KINDS = ("gal_ac", "lb_ac")


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


def most_applications(product: Product) -> int:
    """Say how often a season's label limits allow the dose: by number, and by amount where both are given.

    Doses that cannot be compared, as one by volume and one by weight, leave the number alone.

    Examples
    --------
    >>> label = Product.model_validate({
    ...     "name": "A", "groups": ["3"], "dose": "8 fl oz/ac", "max_dose": "20 fl oz/ac", "re_entry_h": 12,
    ...     "min_carrier_ground": "10 gal/ac", "pre_harvest_interval_d": 30, "max_applications": 4,
    ...     "latest_stage": "R5", "max_wind": "10 mph"})
    >>> most_applications(label)  # 20 fl oz hold two doses of 8
    2
    """
    for kind in _DOSE_KINDS:
        try:
            dose, most = units.parse(product.dose, kind), units.parse(product.max_dose, kind)
        except units.UnitError:
            continue
        return min(product.max_applications, math.floor(most / dose * (1 + _SLACK)))
    return product.max_applications


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
    counted = [one for one in sprayed if _plain(one.product) == _plain(product.name) and one.on <= today]
    most = most_applications(product)
    closed = np.zeros(len(zones), dtype=np.bool_)
    applied = np.zeros(len(zones), dtype=np.int64)
    why: list[Said | None] = []
    last: list[date | None] = []
    for row, (zone, stage) in enumerate(zip(zones, stages, strict=True)):
        days = sorted(one.on for one in counted if not one.zone_numbers or zone in one.zone_numbers)
        reason = _reason(days, math.floor(np.median(stage.of("R1"))), most)
        applied[row], closed[row] = len(days), reason is not None
        why.append(reason)
        last.append(days[-1] if days else None)
    others = [one for one in sprayed if one not in counted and one.on <= today]
    notes = (*_of_other_products(others, product), *_of_unknown_zones(zones, counted))
    return Treated(closed=closed, applied=applied, last_on=tuple(last), why=tuple(why), notes=notes)


def _reason(days: Sequence[date], r1_day: int, most: int) -> Said | None:
    """Say why a zone that was sprayed on some days is closed; None where it is open."""
    if not days:
        return None
    if len(days) >= most:
        return Said(
            "passes.season_used", days=_listed(days), most=most, times="time" if most == 1 else "times"
        )
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


def _plain(name: str) -> str:
    return " ".join(name.split()).casefold()
