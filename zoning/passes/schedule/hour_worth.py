"""What more spraying in the same days would add at most: an extra sprayer, or faster filling.

Each is what no plan with it can exceed, less what the plan in hand returns; so it is said as "at most".
"""

from dataclasses import replace

from zoning.passes.problem import FarmProblem, Machine
from zoning.passes.schedule.kinds import apart, calendar_of, kinds, offers_of
from zoning.passes.schedule.model import model
from zoning.passes.schedule.solve import relax, tighten

EXTRA = "an extra sprayer"
FASTER = "filling in half the time"


def worth_usd(farm: FarmProblem, value_usd: float) -> dict[tuple[str, str], float]:
    """Give what a copy of each machine, or filling it in half the time, would add at most.

    Parameters
    ----------
    farm : FarmProblem
        The farm.
    value_usd : float
        What its plan returns. [USD]

    Returns
    -------
    dict of (str, str) to float
        By what is changed and the name of the machine. Faster filling only where its `fill_h` is known. [USD]
    """
    found = {}
    for at, machine in enumerate(farm.machines):
        found[EXTRA, machine.name] = max(0.0, _bound(farm, extra=at) - value_usd)
        if machine.fill_h > 0:
            found[FASTER, machine.name] = max(0.0, _bound(_filled_faster(farm, at)) - value_usd)
    return found


def _bound(farm: FarmProblem, extra: int | None = None) -> float:
    """Give the bound of a farm, with one more sprayer like one of its own where asked for."""
    calendar = calendar_of(farm)
    alike = kinds(farm, calendar)
    total = 0.0
    for part in apart(offers_of(farm, alike, calendar)):
        mine = sorted({one.kind for one in part})
        place = {kind: row for row, kind in enumerate(mine)}
        sprayers = [alike[kind].sprayers(int(extra in alike[kind].machines)) for kind in mine]
        asked = model([replace(one, kind=place[one.kind]) for one in part], sprayers)
        total += tighten(asked, sprayers, relax(asked)).bound
    return total


def _filled_faster(farm: FarmProblem, at: int) -> FarmProblem:
    """Halve the filling time of one machine, everywhere."""

    def faster(machine: Machine) -> Machine:
        paces = zip(machine.acres_per_hour, machine.acres_per_load, strict=True)
        return replace(
            machine,
            fill_h=machine.fill_h / 2,
            acres_per_hour=tuple(
                # eq. hours an acre = driving + filling
                1 / (1 / pace - machine.fill_h / load_ac / 2) if pace > 0 else pace
                for pace, load_ac in paces
            ),
        )

    machines = tuple(faster(one) if place == at else one for place, one in enumerate(farm.machines))
    fields = tuple(
        replace(
            field,
            machine_here=tuple(
                faster(here) if place == at else here
                for place, here in zip(field.machines, field.machine_here, strict=True)
            ),
        )
        for field in farm.fields
    )
    return replace(farm, machines=machines, fields=fields)
