"""What more spraying in the same days would add at most: an extra sprayer, or faster filling.

Each is what no plan with it can exceed, less what the plan in hand returns; so it is said as "at most". What
an acre costs stays as it is, also where the machine's hours are paid and filling takes fewer of them.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from zoning.passes.problem import FarmProblem, Machine
from zoning.passes.schedule.kinds import Kind, Known, apart, calendar_of, kinds, offers_of
from zoning.passes.schedule.model import Offers, model
from zoning.passes.schedule.solve import relax, tighten

EXTRA = "an extra sprayer"
FASTER = "filling in half the time"

_GAIN_FRAC = 5e-4  # method: fall of the bound, as a share, below which it is low enough for an "at most"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """Fields and sprayers that belong together: what could be done, and what their plan returns."""

    offers: Sequence[Offers]
    value_usd: float


def worth_usd(
    farm: FarmProblem, alike: Sequence[Kind], parts: Sequence[Part]
) -> dict[tuple[str, str], float]:
    """Give what a copy of each machine, or filling it in half the time, would add at most.

    Parameters
    ----------
    farm : FarmProblem
        The farm.
    alike : sequence of Kind
        Its sprayers; of those that are alike only one is asked.
    parts : sequence of Part
        Its fields and sprayers, with their plans.

    Returns
    -------
    dict of (str, str) to float
        By what is changed and the name of the machine. Faster filling only where its `fill_h` is known. [USD]
    """
    found = {(EXTRA, machine.name): 0.0 for machine in farm.machines}
    for part in parts:
        for kind in sorted({one.kind for one in part.offers}):
            more = max(0.0, _bound(part.offers, alike, extra=kind) - part.value_usd)
            found |= {(EXTRA, farm.machines[at].name): more for at in alike[kind].machines}
    for same in alike:
        # alike in pace, they may still differ in how fast they are filled
        first = {
            farm.machines[at].fill_h: at for at in reversed(same.machines) if farm.machines[at].fill_h > 0
        }
        for fill_h, at in first.items():
            sooner = _more_filled_faster(farm, parts, alike, at)
            names = [farm.machines[at].name for at in same.machines if farm.machines[at].fill_h == fill_h]
            found |= {(FASTER, name): sooner for name in names}
    return found


def _bound(offers: Sequence[Offers], alike: Sequence[Kind], extra: int | None = None) -> float:
    """Give the bound of what belongs together, with one more sprayer of a kind where asked for."""
    mine = sorted({one.kind for one in offers})
    place = {kind: row for row, kind in enumerate(mine)}
    sprayers = [alike[kind].sprayers(int(kind == extra)) for kind in mine]
    asked = model([replace(one, kind=place[one.kind]) for one in offers], sprayers)
    return tighten(asked, sprayers, relax(asked), roughly=True, gain_frac=_GAIN_FRAC).bound


def _more_filled_faster(
    farm: FarmProblem, parts: Sequence[Part], alike_now: Sequence[Kind], at: int
) -> float:
    """Give what one machine that is filled in half the time would add at most.

    It may reach fields that nobody can spray in time now: they are in no part, or in the part of others.
    """
    fields = {place for place, field in enumerate(farm.fields) if at in field.machines}
    touched = [part for part in parts if any(one.field in fields for one in part.offers)]
    fields |= {one.field for part in touched for one in part.offers}
    faster = _filled_faster(replace(farm, fields=tuple(farm.fields[field] for field in sorted(fields))), at)
    calendar = calendar_of(faster)
    now = calendar_of(farm)
    same_days = (calendar.first_day, calendar.days) == (now.first_day, now.days)
    known = _as_now(touched, alike_now, sorted(fields), at) if same_days else {}
    alike = kinds(faster, calendar)
    bound = sum(_bound(some, alike) for some in apart(offers_of(faster, alike, calendar, known)))
    return max(0.0, bound - sum(part.value_usd for part in touched))


def _as_now(parts: Sequence[Part], alike: Sequence[Kind], fields: Sequence[int], at: int) -> Known:
    """Give the visits of all machines but one, which are what they were, by the places among some fields."""
    place = {field: row for row, field in enumerate(fields)}
    return {
        (place[one.field], machine): one.columns
        for part in parts
        for one in part.offers
        for machine in alike[one.kind].machines
        if machine != at
    }


def _filled_faster(farm: FarmProblem, at: int) -> FarmProblem:
    """Halve the filling time of one machine in every field; only there its pace counts."""

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
    return replace(farm, fields=fields)
