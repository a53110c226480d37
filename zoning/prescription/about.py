"""What a file says of itself: which run made it, for which field and day, in which units.

Every format that can carry text beside its rows carries these, so that a file that was mailed on its own can
still be traced. Writes no file.
"""

from collections.abc import Mapping

from zoning import __version__
from zoning.plan import SCHEMA_VERSION, FarmPlan, Plan, PlanPass
from zoning.prescription.polygons import CRS
from zoning.prescription.rates import rate_unit
from zoning.words import Said


def about_plan(plan: Plan) -> dict[str, str]:
    """Give run, field, farm, day of the plan, CRS, units and version of the program, all as text.

    Parameters
    ----------
    plan : Plan
        One field's plan.

    Returns
    -------
    dict of str to str
        `made_on` is the plan's `today`, not the clock's.
    """
    return {"run_id": plan.run_id, "field": plan.field} | _made(plan)


def about_farm(farm: FarmPlan) -> dict[str, str]:
    """Give farm, day of the plan, CRS, units and version of the program; each row names its own run."""
    return {"schema_version": str(SCHEMA_VERSION)} | _made(farm)


def _made(plan: Plan | FarmPlan) -> dict[str, str]:
    return {
        "farm": plan.farm,
        "made_on": plan.today.isoformat(),
        "crs": CRS,
        "units": plan.units,
        "version": f"sprayworth {__version__}",
    }


def about_pass(plan: Plan, one: PlanPass) -> dict[str, str]:
    """Give the same with the pass, its day and sprayer, what its rates are, and any fault of its map."""
    known = about_plan(plan) | {
        "pass": str(one.number),
        "day": one.day.isoformat(),
        "half": one.half,
        "sprayer": one.sprayer,
        "rate_unit": rate_unit(plan.units == "metric"),
        "note": Said("prescription.total_mix", unit=rate_unit(plan.units == "metric")).text,
    }
    warning = "; ".join(said.text for said in one.map.not_followed)
    return known | {"warning": warning} if warning else known


def as_line(about: Mapping[str, str]) -> str:
    """Write it as one line, for formats that have but one text.

    Examples
    --------
    >>> as_line({"run_id": "3f9a1c27", "units": "us"})
    'run_id: 3f9a1c27; units: us'
    """
    return "; ".join(f"{key}: {value}" for key, value in about.items())
