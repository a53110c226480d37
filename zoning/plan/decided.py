"""Which zones of a plan are as the user decided, and how that is told beside a pass."""

from collections.abc import Iterable

from zoning.plan.field import Plan
from zoning.plan.passes import PlanPass
from zoning.plan.zones import PlanZone
from zoning.words import Said, amounts

MARK = "!"  # behind the action of such a zone


def followed(zones: Iterable[PlanZone]) -> tuple[PlanZone, ...]:
    """Give the zones with a decision of the user that the plan follows."""
    return tuple(one for one in zones if one.override is not None and one.override.refused is None)


def numbers(zones: Iterable[PlanZone]) -> str:
    """Name such zones, "" where there is none.

    Parameters
    ----------
    zones : iterable of PlanZone
        All zones of a plan.
    """
    decided = [one.zone for one in followed(zones)]
    return amounts.zones(decided) if decided else ""


def on_map(plan: Plan) -> str:
    """Say what the mark on a map means; "" where there is none."""
    zones = numbers(plan.zones)
    return Said("decisions.map_mark", zones=zones).text if zones else ""


def on_farm(plans: Iterable[Plan]) -> list[str]:
    """Name such zones of each field of a farm that has any."""
    return [f"{plan.field}, {zones}" for plan in plans if (zones := numbers(plan.zones))]


def in_a_word(plan: Plan) -> str:
    """Say what is done with a field: spray, part (of its zones), skip, or none where no return decides.

    Parameters
    ----------
    plan : Plan
    """
    done = {zone.action for zone in plan.zones} - {None}
    if not done:
        return "none"
    return "part" if len(done) > 1 else "spray" if done == {"spray"} else "skip"


def of_pass(plan: Plan, one: PlanPass) -> str:
    """Say which zones a pass sprays or leaves out because the user decided so; "" where there is none.

    Parameters
    ----------
    plan : Plan
    one : PlanPass
        One of its passes.
    """
    decided = followed(plan.zones)
    sprayed = [zone.zone for zone in decided if zone.zone in one.zones]
    skipped = [zone.zone for zone in decided if zone.action == "skip"]
    told = [f"spray {amounts.zones(sprayed)}"] if sprayed else []
    told += [f"skip {amounts.zones(skipped)}"] if skipped else []
    return Said("decisions.of_pass", what=", ".join(told)).text if told else ""
