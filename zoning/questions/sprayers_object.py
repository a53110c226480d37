"""The answer to `sprayworth sprayer` as one object for JSON: every key with its unit, metric ones beside."""

from zoning import units
from zoning.plan import SCHEMA_VERSION
from zoning.prescription.as_json.twins import Json, number, with_twins
from zoning.settings.model import Sprayer
from zoning.show.sprayers import Able, AtVolume, SprayersAnswer
from zoning.sprayer.nozzle import colour, rated_l_min, sizes_gal_min
from zoning.words import Said


def sprayers_object(answer: SprayersAnswer | None, *, with_nozzles: bool = False) -> Json:
    """Give the answer as an object.

    Parameters
    ----------
    answer : SprayersAnswer or None
        None where only the nozzle sizes are asked for.
    with_nozzles : bool
        Whether the nozzle sizes are added.

    Returns
    -------
    dict
        On a metric farm a metric figure stands beside each other one; what is not known is None.
    """
    found: Json = {"schema_version": SCHEMA_VERSION}
    if answer is not None:
        found |= _answer(answer)
    if with_nozzles:
        found["nozzles"] = _nozzle_sizes()
    return found


def _answer(answer: SprayersAnswer) -> Json:
    return {
        "name": answer.name,
        "droplet": answer.droplet or None,
        **with_twins({"min_area_ac": number(answer.min_area_ac, "min_area_ac")}, answer.metric),
        "sprayers": [_able(one, answer) for one in answer.sprayers],
        "notes": [_said(said) for said in answer.notes],
    }


def _nozzle_sizes() -> list[Json]:
    """List the nozzle sizes: colour, gal/min at 40 psi, L/min at 3 bar."""
    return [
        {
            "size": size,
            "colour": colour(size) or None,
            "gal_min_at_40_psi": gal_min,
            "l_min_at_3_bar": _figure(rated_l_min(size)),
        }
        for size, gal_min in sizes_gal_min().items()
    ]


def _said(said: Said | None) -> Json | None:
    return None if said is None else {"code": said.code, "text": said.text}


def _figure(value: float | None) -> float | None:
    return None if value is None else number(value, "")


def _able(one: Able, answer: SprayersAnswer) -> Json:
    plan_ac = max(answer.min_area_ac, one.on_off_ac)
    return {
        **_machine(one.sprayer),
        "forbidden": _said(one.forbidden),
        "volumes": [_volume(at, one.sprayer, answer.metric) for at in one.volumes],
        "smallest_on_off": _zone(one.on_off_ac, one.on_off_m, one.on_off_step_m, answer.metric),
        "smallest_rate_change": _zone(one.rate_ac, one.rate_m, one.rate_step_m, answer.metric),
        **with_twins({"smallest_in_plan_ac": number(plan_ac, "smallest_in_plan_ac")}, answer.metric),
        "most_ratio_at_one_speed": _figure(one.most_ratio),
        "pairs": [
            with_twins(
                {
                    "low_gal_ac": number(pair.low.volume_gal_ac, "low_gal_ac"),
                    "high_gal_ac": number(pair.high.volume_gal_ac, "high_gal_ac"),
                    **_speeds(pair.speeds_mph, answer.metric),
                },
                answer.metric,
            )
            for pair in one.pairs
        ],
        "injection": one.sprayer.injection,
    }


def _machine(sprayer: Sprayer) -> Json:
    return {
        "sprayer": sprayer.name,
        "kind": sprayer.kind,
        "hub": sprayer.hub,
        "base": None if sprayer.base is None else list(sprayer.base),
        "nozzle": sprayer.nozzle,
        "nozzle_colour": colour(sprayer.nozzle or "") or None,
    }


def _volume(at: AtVolume, sprayer: Sprayer, metric: bool) -> Json:
    it = at.reach
    speeds = None if it.slowest_mph is None or it.speed_mph is None else (it.slowest_mph, it.speed_mph)
    plain: Json = {
        "volume_gal_ac": number(it.volume_gal_ac, "volume_gal_ac"),
        "reachable": it.reachable,
        "label_allows": at.label_allows,
        "reasons": [_said(said) for said in at.refused],
        "would_do": _said(at.would_do),
        **_speeds(speeds, metric),
        **_nozzle(at, sprayer, metric),
        "an_hour_ac": _figure(it.acres_per_hour) if it.reachable else None,
        "a_load_ac": number(it.acres_per_load, "a_load_ac"),
        "spraying_min": _figure(at.spraying_min),
        "filling_min": number(sprayer.fill_min, "filling_min"),
    }
    return with_twins(plain, metric)


def _nozzle(at: AtVolume, sprayer: Sprayer, metric: bool) -> Json:
    """Give pressure or duty at the lowest and the top speed, and the flow at the top speed."""
    pulsed = sprayer.duty_frac is not None
    ends = (at.at_slowest, at.reach.duty_frac if pulsed else at.reach.pressure_psi)
    found: Json = {
        "pressure_psi": None if pulsed else _both(ends),
        "duty_frac": _both(ends) if pulsed else None,
        "nozzle_gal_min": _figure(at.reach.nozzle_gal_min),
    }
    if metric:
        bars = tuple(None if psi is None else units.bar_from_psi(psi) for psi in ends)
        found["pressure_bar"] = None if pulsed else _both(bars)
        flow = at.reach.nozzle_gal_min
        found["nozzle_l_min"] = None if flow is None else _figure(units.l_from_gal(flow))
    return found


def _both(ends: tuple[float | None, ...]) -> list[float | None] | None:
    return None if all(end is None for end in ends) else [_figure(end) for end in ends]


def _speeds(mph: tuple[float, float] | None, metric: bool) -> Json:
    found: Json = {"speed_mph": None if mph is None else _both(mph)}
    if metric:
        found["speed_kmh"] = None if mph is None else _both(tuple(map(units.kmh_from_mph, mph)))
    return found


def _zone(area_ac: float, sides_m: tuple[float, float], step_m: float, metric: bool) -> Json:
    plain: Json = {
        "area_ac": number(area_ac, "area_ac"),
        "across_m": number(sides_m[0], "across_m"),
        "along_m": number(sides_m[1], "along_m"),
        "step_m": number(step_m, "step_m"),
    }
    return with_twins(plain, metric)
