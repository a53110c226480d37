"""How the zones came about and how good they are, as the object `zoning` of plan.json.

Shares are written as they are, from 0 to 1; below 0 where something misleads. Writes no file.
"""

from collections.abc import Sequence
from typing import Any

from zoning.plan import BlockZones, Plan, PlanTreatment
from zoning.zones.quality import Agreement, LayerQuality, ZonePatches

_DECIMALS = 4

Json = dict[str, Any]


def zoning_object(plan: Plan) -> Json:
    """Give the figures of a plan's zones; those that nobody measured are None or empty."""
    quality = plan.quality
    return {
        "explained_frac": _share(quality.explained_frac) if quality else None,
        "uncleaned_frac": _share(quality.uncleaned_frac) if quality else None,
        "unconstrained_frac": _share(quality.unconstrained_frac) if quality else None,
        "layers": [_layer(one) for one in quality.layers] if quality else [],
        "zones": [_zone(one) for one in quality.zones] if quality else [],
        "blocks": [_block(one) for one in plan.blocks],
        "treatment": _treatment(plan.treatment),
    }


def _treatment(one: PlanTreatment | None) -> Json | None:
    if one is None:
        return None
    return {
        "heading_deg": round(one.heading_deg, _DECIMALS),
        "heading_source": one.heading_source,
        "swath_m": round(one.swath_m, _DECIMALS),
        "step_m": round(one.step_m, _DECIMALS),
        "least_run_m": round(one.least_run_m, _DECIMALS),
        "treated_ac": round(one.treated_ac, _DECIMALS),
        "differs_frac": _share(one.differs_frac),
    }


def _share(value: float | None) -> float | None:
    return None if value is None else round(value, _DECIMALS) + 0.0


def _layer(one: LayerQuality) -> Json:
    return {
        "layer": one.name,
        "used": one.used,
        "explained_frac": _share(one.explained_frac),
        "within_blocks_frac": _share(one.within_blocks_frac),
    }


def _zone(one: ZonePatches) -> Json:
    return {"zone": one.zone, "patches": one.patches, "purity_frac": _share(one.purity_frac)}


def _block(one: BlockZones) -> Json:
    return {
        "block": one.block,
        "zones": one.zones,
        "supported_zones": one.supported,
        "held_out_explained": _curve(one.held_out),
        "kept_return": _curve(one.kept),
        "agreement": _agreement(one.agreement),
    }


def _curve(pairs: Sequence[tuple[int, float]]) -> list[Json]:
    return [{"zones": number, "frac": _share(share)} for number, share in pairs]


def _agreement(one: Agreement | None) -> Json | None:
    if one is None:
        return None
    return {"mean": _share(one.mean), "least": _share(one.least), "resamples": one.resamples}
