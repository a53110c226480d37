"""What the user decided for zones, put to the options of a field. Never opens what label or stage close.

The rule's own figures stay as they are: a zone that is sprayed at a loss shows that loss.
"""

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from zoning.errors import InputError, raise_all
from zoning.inputs.decisions import SAME_GAL_AC, Decision, Decisions
from zoning.offers import forced
from zoning.offers.offered import Choice, Decided, Offer, OfferedZone
from zoning.offers.overrides import volumes_of
from zoning.offers.provenance import with_inputs, zones_id
from zoning.passes.problem import FieldProblem, Machine
from zoning.words import Said, amounts

_ORDERS = 24  # orders of the parts of blocks that are tried where one block is to get several volumes


def put(offer: Offer, decisions: Decisions, kept_id: str | None) -> Offer:
    """Put the decisions of a file to the offer of a field.

    Parameters
    ----------
    offer : Offer
        With the options of every sprayer that may come.
    decisions : Decisions
        Of one file, which becomes an input of the run.
    kept_id : str or None
        What the zones were called when a part of the field was sprayed, if they are kept since then. They
        are the same ground and have the same numbers, though their outlines were written down in between.

    Raises
    ------
    InputError
        When they were made for other zones; and together: for a zone that there is not, and for a volume
        that label and sprayer do not allow.
    """
    numbers, notes = _numbers(decisions, offer.zones, kept_id)
    volumes = volumes_of(offer)
    faults: list[InputError] = []
    of_number: dict[int, Decision] = {}
    for one in decisions.made:
        where = f"{decisions.file}: zone {one.zone}"
        if one.zone not in numbers.values():
            mend = f"The field has zones 1 to {len(offer.zones)}."
            faults.append(InputError(f"there is no zone {one.zone}", where=where, mend=mend))
            continue
        near = [volume for volume in volumes if abs(volume - (one.rate_gal_ac or 0)) <= SAME_GAL_AC]
        if one.rate_gal_ac is not None and not near:
            faults.append(_no_volume(one.rate_gal_ac, volumes, where))
        of_number[one.zone] = replace(one, rate_gal_ac=near[0]) if near else one
    raise_all(faults)
    by_zone = {zone: of_number[number] for zone, number in numbers.items() if number in of_number}
    return replace(
        offer,
        decisions=by_zone,
        decisions_file=decisions.file,
        choices=tuple(overruled(one, by_zone) for one in offer.choices),
        provenance=with_inputs(offer.provenance, {decisions.file: decisions.digest}),
        notes=(*offer.notes, *notes),
        of_field=(*offer.of_field, *notes),
    )


def _numbers(
    decisions: Decisions, zones: Sequence[OfferedZone], kept_id: str | None
) -> tuple[dict[int, int], tuple[Said, ...]]:
    """Give the number by which the decisions call each zone."""
    now = zones_id([one.outline_m for one in zones])
    if decisions.zones_id == now:
        return {one.zone: one.zone for one in zones}, ()
    if decisions.zones_id == kept_id:
        note = Said("decisions.kept_numbers", file=decisions.file)
        return {one.zone: one.kept or one.zone for one in zones}, (note,)
    what = (
        f"these decisions were made for other zones ({decisions.zones_id} of {decisions.field}; the zones "
        f"now are {now})"
    )
    mend = "Open the new page and decide again, or take the file away."
    raise InputError(what, where=decisions.file, mend=mend)


def _no_volume(rate_gal_ac: float, volumes: Sequence[float], where: str) -> InputError:
    if not volumes:
        what = "a rate is decided, but there is no sprayer and label to spray it"
        return InputError(what, where=where, mend="Leave the rate out.")
    what = f"{_volume(rate_gal_ac)} is not a volume that label and sprayer allow here"
    return InputError(what, where=where, mend=f"Take one of {', '.join(map(_volume, volumes))}.")


def _volume(rate_gal_ac: float) -> str:
    return f"{amounts.rate(rate_gal_ac, is_metric=False)} ({amounts.rate(rate_gal_ac, is_metric=True)})"


def overruled(choice: Choice, decisions: Mapping[int, Decision]) -> Choice:
    """Put decisions to the options of a field with one sprayer.

    Parameters
    ----------
    choice : Choice
    decisions : mapping of int to Decision
        By zone, with volumes of the field.

    Returns
    -------
    Choice
        A zone to be skipped has no option left in the problem of the passes; one with a volume has those of
        that volume; one to be sprayed is worth it wherever label and stage leave an option.

    Notes
    -----
    A block is in one visit. Where zones of a block are to get different volumes, it takes part as one block
    for each volume and one for the rest, in the order in which a plan for this field alone returns most.
    """
    if not decisions:
        return choice
    problem = choice.options.problem
    closed = np.zeros(problem.net_usd_ac.shape, dtype=np.bool_)
    worth_it = problem.worth_it.copy()
    must: set[int] = set()
    for row, zone in enumerate(problem.zones):
        one = decisions.get(zone)
        if one is None:
            continue
        if one.action == "skip":
            closed[row] = True
        elif one.rate_gal_ac is not None:
            closed[row][:, [volume != one.rate_gal_ac for volume in problem.volumes_gal_ac]] = True
        is_open = np.isfinite(problem.net_usd_ac[row]) & ~closed[row]
        if one.action == "spray" and is_open.any():
            must.add(zone)
            worth_it[row] = is_open
    decided = Decided(closed=closed, forced=frozenset(must))
    problem = replace(problem, worth_it=worth_it & ~closed)
    made = replace(choice, options=replace(choice.options, problem=problem, decided=decided))
    parted = _parted(made, decisions)
    return replace(made, options=replace(made.options, problem=parted))


def _parted(choice: Choice, decisions: Mapping[int, Decision]) -> FieldProblem:
    """Divide blocks in which several volumes are decided, so that each may have a visit of its own."""
    problem = choice.options.problem
    rates = [decisions[zone].rate_gal_ac if zone in decisions else None for zone in problem.zones]
    groups = _groups(problem.block_of_zone, rates)
    if problem.goes_anyway or all(len(one) == 1 for one in groups):
        return problem
    orders = itertools.product(*(itertools.permutations(one) for one in groups))
    tried = [
        _in_order(problem, rates, [group for of_block in order for group in of_block])
        for order in itertools.islice(orders, _ORDERS)
    ]
    return max(tried, key=lambda one: _alone_usd(replace(one, net_usd_ac=_open(choice)), choice))


_Group = tuple[int, float | None]  # block, and the volume that is decided


def _groups(blocks: Sequence[int], rates: Sequence[float | None]) -> list[list[_Group]]:
    """Give the parts of each block: one where not more than one volume is decided in it."""
    found: list[list[_Group]] = []
    for block in sorted(set(blocks)):
        mine = [rate for of_block, rate in zip(blocks, rates, strict=True) if of_block == block]
        several = len({rate for rate in mine if rate is not None}) > 1
        found.append([(block, rate) for rate in dict.fromkeys(mine)] if several else [(block, None)])
    return found


def _in_order(problem: FieldProblem, rates: Sequence[float | None], order: Sequence[_Group]) -> FieldProblem:
    place = {group: at for at, group in enumerate(order)}
    blocks = zip(problem.block_of_zone, rates, strict=True)
    return replace(
        problem,
        block_of_zone=tuple(place.get((block, rate), place.get((block, None), 0)) for block, rate in blocks),
    )


def _open(choice: Choice) -> forced.Floats:
    return forced.of_choice(choice).net_usd_ac


def _alone_usd(problem: FieldProblem, choice: Choice) -> float:
    """Say what the best passes return where the sprayer comes to this field only, decided zones first."""
    from zoning.passes.schedule.farm import alone

    machine: Machine = choice.options.machine
    must = forced.forced_of(choice)
    bonus_usd = 1.0 + forced.most_gained_usd(problem) + forced.most_lost_usd(problem, must)
    return alone(forced.with_bonus(problem, must, bonus_usd), machine).value_usd
