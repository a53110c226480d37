"""What moved the responses of a field's zones beside scouting: said once, with how little it rests on."""

from collections.abc import Sequence

import numpy as np

from zoning.evidence import named
from zoning.offers.basis import Basis
from zoning.offers.offered import OfferedZone
from zoning.returns.favourable import weather_class
from zoning.returns.mixture import mean
from zoning.units import kg_ha_from_bu_ac
from zoning.words import Said, amounts

_LEAST_BU_AC = 0.05  # less is not seen in the figures, which are whole twentieths of a bushel


def notes(zones: Sequence[OfferedZone], basis: Basis) -> tuple[Said, ...]:
    """Say which zones canopy and wet ground moved, and whether the weather favoured disease."""
    return (*_by_contrast(zones, basis), *_by_weather(zones, basis))


def _by_contrast(zones: Sequence[OfferedZone], basis: Basis) -> tuple[Said, ...]:
    """Name the zones that differ from their block, and by how much it moves them at most."""
    moved = {
        one.zone: mean(one.case.mixture) - mean(one.plain_case.mixture)
        for one in zones
        if one.case is not None and one.plain_case is not None
    }
    moved = {zone: change for zone, change in moved.items() if abs(change) >= _LEAST_BU_AC}
    if not moved:
        return ()
    is_metric = basis.settings.units == "metric"
    most_bu_ac = max(abs(change) for change in moved.values())
    return (
        Said(
            "offers.zone_contrast",
            zones=amounts.zones(list(moved)),
            most=kg_ha_from_bu_ac(most_bu_ac) if is_metric else most_bu_ac,
            digits=0 if is_metric else 1,
            unit="kg/ha" if is_metric else "bu/ac",
        ),
    )


def _by_weather(zones: Sequence[OfferedZone], basis: Basis) -> tuple[Said, ...]:
    """Say of each block whether the weather around its R3 favoured disease, where hours are known."""
    hourly = basis.given.hourly
    if hourly is None or not basis.settings.effects.favourable_days:
        return ()
    blocks: dict[str, tuple[str, int, int]] = {}
    for one in zones:
        r3_day = float(np.median(one.dated.of("R3")))
        blocks.setdefault(one.block, weather_class(hourly, r3_day, basis.today.toordinal()))
    alike: dict[tuple[str, int, int], list[str]] = {}
    for block, found in blocks.items():
        if found[0] != "unknown":
            alike.setdefault(found, []).append(block)
    counts = named("returns.favourable_counts")
    return tuple(
        Said(
            "offers.favourable_days" if weather == "favourable" else "offers.unfavourable_days",
            blocks=f"block{'s' if len(names) > 1 else ''} {', '.join(names)}",
            days=days,
            known_days=known,
            **counts,
            unmet=counts["sites"] - counts["met"],
        )
        for (weather, days, known), names in alike.items()
    )
