"""Which carrier volumes a sprayer can hold, how fast, and how many acres an hour that gives.

A volume that cannot be held is refused with what would do it. The label is not known here.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from zoning.settings.model import Sprayer
from zoning.sprayer.capacity import acres_per_load, cycle_ac_h, driving_ac_h
from zoning.sprayer.nozzle import (
    flow_at,
    nozzle_gal_min,
    pressure_for,
    rated_gal_min,
    reference_psi,
    sizes_gal_min,
    speeds_mph,
)
from zoning.units import h_from_min, kmh_from_mph, l_ha_from_gal_ac
from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """What one sprayer does at one carrier volume.

    `speed_mph` is the top speed inside the machine's range at which the volume is held, `slowest_mph` the
    lowest. `pressure_psi` (pressure control) or `duty_frac` (pulsed nozzles) and `nozzle_gal_min` are those
    at `speed_mph`; None where no nozzle is given (aircraft, drone). `acres_per_hour` has filling in it.
    Not reachable: speeds and flow are None, `acres_per_hour` is 0 and `why_not` says what would do it;
    but see `nearest`.
    """

    volume_gal_ac: float
    reachable: bool
    speed_mph: float | None
    slowest_mph: float | None
    pressure_psi: float | None
    duty_frac: float | None
    nozzle_gal_min: float | None
    acres_per_hour: float
    acres_per_load: float
    why_not: Said | None


def reach(sprayer: Sprayer, volumes_gal_ac: Sequence[float]) -> tuple[Reach, ...]:
    """Say of each carrier volume whether the sprayer can hold it, and what it does then.

    Parameters
    ----------
    sprayer : Sprayer
        One machine of the settings.
    volumes_gal_ac : sequence of float
        [gal/ac]

    Returns
    -------
    tuple of Reach
        One for each volume, in the order given.

    Notes
    -----
    The speed is the highest in the machine's range that the nozzle can hold between its lowest and highest
    pressure, or duty: the fewer gallons, the faster. Aircraft and drones without a nozzle reach every
    volume at their top speed, because nothing says otherwise.

    Examples
    --------
    >>> rig = Sprayer.model_validate({
    ...     "name": "rig", "boom": "90 ft", "nozzle": "04", "nozzle_spacing": "20 in", "tank": "1000 gal",
    ...     "pressure": ["30 psi", "90 psi"], "speed": ["5 mph", "14 mph"], "fill_min": 15})
    >>> [(round(at.speed_mph, 1), round(at.acres_per_hour, 1)) for at in reach(rig, (10, 15, 20))]
    [(14.0, 98.0), (11.9, 78.0), (8.9, 58.5)]
    """
    return tuple(_reach_one(sprayer, volume) for volume in volumes_gal_ac)


def _reach_one(sprayer: Sprayer, volume_gal_ac: float) -> Reach:
    slowest, fastest = sprayer.speed_mph
    if sprayer.nozzle is None and sprayer.kind != "ground":
        return _reached(sprayer, volume_gal_ac, (slowest, fastest))
    unknown = lacking(sprayer)
    if unknown is not None:
        return _refused(sprayer, volume_gal_ac, unknown)
    holds = holds_mph(sprayer, sprayer.nozzle or "", volume_gal_ac)
    within = max(slowest, holds[0]), min(fastest, holds[1])
    if within[0] > within[1]:
        return _refused(sprayer, volume_gal_ac, _why_not(sprayer, volume_gal_ac, holds))
    return _reached(sprayer, volume_gal_ac, within)


def nearest(sprayer: Sprayer, at: Reach) -> Reach:
    """Say what a sprayer does at a volume that it cannot hold, driven as near to it as it can.

    Parameters
    ----------
    sprayer : Sprayer
    at : Reach
        What `reach` said.

    Returns
    -------
    Reach
        At the machine's own speed that is nearest to those at which the nozzle holds the volume, with the
        flow that the volume would take there, which the nozzle does not give. Still not `reachable`, and
        `why_not` stands. `at` itself where it is reachable, or where nothing is known of the nozzle.

    Examples
    --------
    >>> rig = Sprayer.model_validate({
    ...     "name": "rig", "boom": "90 ft", "nozzle": "06", "nozzle_spacing": "20 in", "tank": "1000 gal",
    ...     "pressure": ["30 psi", "90 psi"], "speed": ["5 mph", "14 mph"], "fill_min": 15})
    >>> (at,) = reach(rig, [10])  # from 15.4 mph on
    >>> found = nearest(rig, at)
    >>> at.speed_mph, found.speed_mph, found.reachable, round(found.pressure_psi, 1)  # below its 30 psi
    (None, 14.0, False, 24.7)
    """
    if at.reachable or lacking(sprayer) is not None:
        return at
    slowest, fastest = sprayer.speed_mph
    holds = holds_mph(sprayer, sprayer.nozzle or "", at.volume_gal_ac)
    driven_mph = fastest if holds[0] > fastest else slowest
    as_driven = _reached(sprayer, at.volume_gal_ac, (driven_mph, driven_mph))
    return replace(as_driven, reachable=False, why_not=at.why_not)


def lacking(sprayer: Sprayer) -> Said | None:
    """Name what is not known of the nozzle, without which nothing can be said; None where all is known."""
    if sprayer.nozzle is None or sprayer.nozzle_spacing_m is None or sprayer.pressure_psi is None:
        return Said("sprayer.nozzle_missing", sprayer=sprayer.name)
    if rated_gal_min(sprayer.nozzle) is None:
        return Said("sprayer.nozzle_unknown", nozzle=sprayer.nozzle, sizes=", ".join(sizes_gal_min()))
    if sprayer.duty_frac is not None and isinstance(sprayer.pressure_psi, tuple):
        return Said("sprayer.duty_needs_one_pressure", sprayer=sprayer.name)
    return None


def _flows_gal_min(sprayer: Sprayer, size: str) -> tuple[float, float]:
    """Least and most that one nozzle of a size gives on this sprayer."""
    rated, given = rated_gal_min(size), sprayer.pressure_psi
    if rated is None or given is None:
        raise ValueError(f"nozzle {size!r} at {given} psi: look with lacking() first")
    low, high = given if isinstance(given, tuple) else (given, given)
    least, most = flow_at(rated, low, reference_psi()), flow_at(rated, high, reference_psi())
    if sprayer.duty_frac is None:
        return least, most
    return sprayer.duty_frac[0] * least, sprayer.duty_frac[1] * most


def holds_mph(sprayer: Sprayer, size: str, volume_gal_ac: float) -> tuple[float, float]:
    """Give the speeds at which a nozzle of this size holds the volume, whatever the machine's own, in mph."""
    return speeds_mph(volume_gal_ac, sprayer.nozzle_spacing_m or 0, _flows_gal_min(sprayer, size))


def _why_not(sprayer: Sprayer, volume_gal_ac: float, holds_mph: tuple[float, float]) -> Said:
    slowest, fastest = sprayer.speed_mph
    would_do = [size for size in sizes_gal_min() if _would_do(sprayer, size, volume_gal_ac)]
    too_fast = holds_mph[0] > fastest
    code = "sprayer.needs_more_speed" if too_fast else "sprayer.needs_less_speed"
    needs, has = (holds_mph[0], fastest) if too_fast else (holds_mph[1], slowest)
    return Said(
        code if would_do else f"{code}_no_size",
        volume_gal_ac=volume_gal_ac,
        volume_l_ha=l_ha_from_gal_ac(volume_gal_ac),
        nozzle=sprayer.nozzle,
        needs_mph=needs,
        needs_kmh=kmh_from_mph(needs),
        has_mph=has,
        has_kmh=kmh_from_mph(has),
        sizes=" or ".join(would_do),
    )


def _would_do(sprayer: Sprayer, size: str, volume_gal_ac: float) -> bool:
    low, high = holds_mph(sprayer, size, volume_gal_ac)
    return low <= sprayer.speed_mph[1] and high >= sprayer.speed_mph[0]


def nozzle_at(
    sprayer: Sprayer, volume_gal_ac: float, speed_mph: float
) -> tuple[float | None, float | None, float | None]:
    """Give what a nozzle does at one speed: flow in gal/min, and pressure in psi or, pulsed, duty (0-1).

    Whether nozzle and machine go so far is not asked here.

    Returns
    -------
    (float, float or None, float or None)
        Flow, pressure, duty; None for that which stays the same, and for all where no nozzle is given.

    Examples
    --------
    >>> rig = Sprayer.model_validate({
    ...     "name": "rig", "boom": "90 ft", "nozzle": "04", "nozzle_spacing": "20 in", "tank": "1000 gal",
    ...     "pressure": ["30 psi", "90 psi"], "speed": ["5 mph", "14 mph"], "fill_min": 15})
    >>> flow, psi, duty = nozzle_at(rig, 10, 14)
    >>> round(flow, 4), round(psi), duty
    (0.4714, 56, None)
    """
    if lacking(sprayer) is not None or sprayer.nozzle is None or sprayer.nozzle_spacing_m is None:
        return None, None, None
    flow = nozzle_gal_min(volume_gal_ac, speed_mph, sprayer.nozzle_spacing_m)
    if sprayer.duty_frac is None:
        return flow, pressure_for(rated_gal_min(sprayer.nozzle) or 0, flow, reference_psi()), None
    # duty_frac[1] of the full flow is the most that the nozzle gives
    return flow, None, flow / _flows_gal_min(sprayer, sprayer.nozzle)[1] * sprayer.duty_frac[1]


def _reached(sprayer: Sprayer, volume_gal_ac: float, speeds: tuple[float, float]) -> Reach:
    load_ac = acres_per_load(sprayer.tank_gal, volume_gal_ac)
    driving = driving_ac_h(speeds[1], sprayer.boom_m, sprayer.efficiency_frac)
    flow, pressure, duty = nozzle_at(sprayer, volume_gal_ac, speeds[1])
    return Reach(
        volume_gal_ac=volume_gal_ac,
        reachable=True,
        speed_mph=speeds[1],
        slowest_mph=speeds[0],
        pressure_psi=pressure,
        duty_frac=duty,
        nozzle_gal_min=flow,
        acres_per_hour=cycle_ac_h(driving, load_ac, h_from_min(sprayer.fill_min)),
        acres_per_load=load_ac,
        why_not=None,
    )


def _refused(sprayer: Sprayer, volume_gal_ac: float, why_not: Said) -> Reach:
    return Reach(
        volume_gal_ac=volume_gal_ac,
        reachable=False,
        speed_mph=None,
        slowest_mph=None,
        pressure_psi=None,
        duty_frac=None,
        nozzle_gal_min=None,
        acres_per_hour=0,
        acres_per_load=acres_per_load(sprayer.tank_gal, volume_gal_ac),
        why_not=why_not,
    )
