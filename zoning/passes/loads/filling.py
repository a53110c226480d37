"""The load sheet of a pass: what goes into each tank load, how it is driven, and what the label limits.

One pass has one mix and one carrier volume. Nothing here is decided; everything is worked out or handed on.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from zoning.evidence import number
from zoning.passes.loads import notes
from zoning.passes.loads.dose import Amount, Dose, dose_of
from zoning.passes.loads.sheet import Load, LoadSheet, SheetZone
from zoning.settings.adjuvant import tank_share
from zoning.settings.model import Settings, Sprayer
from zoning.sprayer.reach import Reach

_SLACK = 1e-9  # method: rounding, so that a tank that fits just so is one load


@dataclass(frozen=True, slots=True, kw_only=True)
class _Mix:
    """What is in the tank at one carrier volume."""

    rate_gal_ac: float
    dose: Dose
    injected: bool
    adjuvant: Dose | float | None  # on the ground, or a share of the mix
    foliar_feed: Dose | float | None


def load_sheet(
    zones: Mapping[int, float],
    at: Reach,
    sprayer: Sprayer,
    settings: Settings,
    *,
    treated_ac: float | None = None,
    applied: int = 0,
) -> LoadSheet:
    """Work out the load sheet of one pass.

    Parameters
    ----------
    zones : mapping of int to float
        The zones that the pass sprays, and the area of each. [ac]
    at : Reach
        What this sprayer does at the pass's carrier volume.
    sprayer : Sprayer
        Its tank, overage, nozzle and whether it injects the product.
    settings : Settings
        Of the field; its product is used, and what was typed of the place.
    treated_ac : float, optional
        What the operator's file treats, where it does not follow the zones; left out: the zones. [ac]
    applied : int
        Applications of the product on this ground before this one, this season.

    Returns
    -------
    LoadSheet

    Raises
    ------
    ValueError
        Without a product, at no speed, or where no water would be left: a fault of ours.

    Notes
    -----
    Mix = area x volume + overage. All loads but the last fill the tank. The overage is of the same mix, in
    the last load; where that would be less than the overage, or next to nothing, all loads are alike.
    """
    product = settings.product
    if product is None or at.speed_mph is None:
        raise ValueError(f"no load sheet without a product, or at {at.volume_gal_ac} gal/ac out of reach")
    area_ac = math.fsum(zones.values()) if treated_ac is None else treated_ac
    adjuvant = product.adjuvant or _share_in_money(settings)
    mix = _Mix(
        rate_gal_ac=at.volume_gal_ac,
        dose=dose_of(product.dose),
        injected=sprayer.injection,
        adjuvant=_additive(adjuvant),
        foliar_feed=_additive(product.foliar_feed),
    )
    mix_gal = area_ac * mix.rate_gal_ac + sprayer.overage_gal
    full_gal, last_gal, full_loads = _sizes_gal(mix_gal, sprayer.tank_gal, sprayer.overage_gal)
    full = _load(mix, full_gal, full_gal / mix.rate_gal_ac)
    last_ac = max(area_ac - full_loads * full.area_ac, 0.0)
    return LoadSheet(
        product=product.name,
        dose=mix.dose,
        injected=mix.injected,
        adjuvant=adjuvant,
        foliar_feed=product.foliar_feed,
        zones=tuple(SheetZone(zone=zone, area_ac=ac, speed_mph=_top(at)) for zone, ac in zones.items()),
        area_ac=area_ac,
        rate_gal_ac=mix.rate_gal_ac,
        overage_gal=sprayer.overage_gal,
        mix_gal=mix_gal,
        full_loads=full_loads,
        full=full if full_loads else None,
        last=_load(mix, last_gal, last_ac),
        nozzle=sprayer.nozzle or "",
        pressure_psi=_pressure_psi(at, sprayer),
        duty_frac=at.duty_frac,
        slowest_mph=at.slowest_mph or _top(at),
        label=notes.label_limits(product, settings),
        site=notes.site(settings),
        notes=notes.notes(product, sprayer, settings, rate_gal_ac=mix.rate_gal_ac, applied=applied),
        other_pass=settings.money.other_pass.strip() if settings.money is not None else "",
    )


def _sizes_gal(mix_gal: float, tank_gal: float, overage_gal: float) -> tuple[float, float, int]:
    """Mix in each load but the last, mix in the last, and how many there are before it."""
    loads = max(1, math.ceil(mix_gal / tank_gal - _SLACK))
    last_gal = mix_gal - (loads - 1) * tank_gal
    if loads > 1 and last_gal < max(overage_gal, number("passes.least_load_frac") * tank_gal):
        return mix_gal / loads, mix_gal / loads, loads - 1
    return tank_gal, last_gal, loads - 1


def _load(mix: _Mix, mix_gal: float, area_ac: float) -> Load:
    """Fill one load; overage is of the same mix, but what is injected goes onto the ground only."""
    mixed_ac = mix_gal / mix.rate_gal_ac
    product = mix.dose.on(area_ac if mix.injected else mixed_ac)
    adjuvant, feed = (_added(what, mix_gal, mixed_ac) for what in (mix.adjuvant, mix.foliar_feed))
    in_tank = [one.gal for one in (adjuvant, feed) if one is not None]
    in_tank += [] if mix.injected else [product.gal]
    water_gal = mix_gal - math.fsum(in_tank)
    if mix_gal > 0 >= water_gal:
        raise ValueError(f"no water is left in a load of {mix_gal} gal: the settings should have refused it")
    return Load(
        mix_gal=mix_gal,
        area_ac=area_ac,
        product=product,
        adjuvant=adjuvant,
        foliar_feed=feed,
        water_gal=water_gal,
    )


def _additive(text: str) -> Dose | float | None:
    if not text.strip():
        return None
    share = tank_share(text)
    return dose_of(text) if share is None else share


def _added(what: Dose | float | None, mix_gal: float, mixed_ac: float) -> Amount | None:
    if what is None or isinstance(what, Dose):
        return what.on(mixed_ac) if what is not None else None
    return Amount(value=what * mix_gal, unit="", gal=what * mix_gal, lb=0.0)


def _share_in_money(settings: Settings) -> str:
    """Give the adjuvant's share of the tank where it was typed with the money, else nothing."""
    if settings.money is None or settings.money.adjuvant_frac == 0:
        return ""
    return f"{100 * settings.money.adjuvant_frac:g} % v/v"  # eq. percent


def _top(at: Reach) -> float:
    if at.speed_mph is None:
        raise ValueError(f"no speed at {at.volume_gal_ac} gal/ac")
    return at.speed_mph


def _pressure_psi(at: Reach, sprayer: Sprayer) -> float | None:
    """Pressure at the speed of the zones; that which pulsed nozzles hold."""
    held = sprayer.pressure_psi
    return held if isinstance(held, float) and at.duty_frac is not None else at.pressure_psi
