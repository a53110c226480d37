"""Check strips as plan.json holds them: what they cost, what they can show, and the ground of each."""

from zoning.plan import Piece, PlanStrips
from zoning.prescription.as_json.twins import Json, number, with_twins


def strips_object(strips: PlanStrips | None, metric: bool) -> Json | None:
    """Give the check strips of a field; None where there are none."""
    if strips is None:
        return None
    plain = {
        "pairs": strips.pairs,
        "width_m": number(strips.width_m, "width_m"),
        "untreated_ac": number(strips.untreated_ac, "untreated_ac"),
        "treated_ac": number(strips.treated_ac, "treated_ac"),
        "cost_usd": number(strips.cost_usd, "cost_usd"),
        "shows_bu_ac": number(strips.shows_bu_ac, "shows_bu_ac"),
        "shows_frac": number(strips.shows_frac, "shows_frac"),
        "seed": strips.seed,
        "file": strips.file,
        "ground": [ground_object(one, metric) for one in strips.pieces if one.kind == "strip"],
    }
    return with_twins(plain, metric)


def ground_object(one: Piece, metric: bool) -> Json:
    """Give the ground that one strip has in one zone; `pass` is None where no pass sprays it."""
    plain = {
        "pair": one.pair,
        "treatment": one.treatment,
        "zone": one.zone,
        "pass": one.pass_number or None,
        "area_ac": number(one.area_ac, "area_ac"),
    }
    return with_twins(plain, metric)
