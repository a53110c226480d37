"""Which counts belong to which zone, and the stage of every zone after all of them.

Weighs no count itself.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from zoning.inputs.given import Count, FieldInputs
from zoning.inputs.grid import Grid
from zoning.offers.nearest import Numbers, numbers_nearest
from zoning.stage.counted import Heard, Spot, SpotStage, after_counts, heard, place_of
from zoning.stage.draws import StageDraws
from zoning.stage.forecast import Forecast
from zoning.stage.likelihood import NOON, Visit, count_rules
from zoning.stage.spread import Situation, variety_key
from zoning.stage.two_peaks import two_peaks
from zoning.words import Said
from zoning.zones.zoning import Zoning


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Known:
    """What is known of a field's stages: its inputs, the model's forecast, what else was seen.

    `elsewhere` are counts in other fields, `past` what past seasons tell.
    """

    given: FieldInputs
    made: Forecast
    situation: Situation
    elsewhere: tuple[Heard, ...] = ()
    past: tuple[Heard, ...] = ()


def zone_name(number: int) -> str:
    """Name a zone as a place of counts."""
    return f"zone {number}"


def block_name(name: str) -> str:
    """Name a whole block as a place of counts."""
    return f"block {name}"


def of_zones(known: Known, zoning: Zoning) -> tuple[tuple[SpotStage | None, ...], tuple[Said, ...]]:
    """Forecast the stages of every zone, after all counts; None where its block has no date."""
    visits = _by_place(known.given.counts, zoning.number_of_cell, known.given.grid)
    wanted = [
        Spot(block=zone.block, name=zone_name(zone.number), visits=visits.get(zone.number, ()))
        for zone in zoning.zones
    ]
    return _after(known, wanted)


def of_blocks(known: Known) -> tuple[tuple[SpotStage | None, ...], tuple[Said, ...]]:
    """Forecast the stages of every whole block, after all counts; None where it has no date."""
    return _after(known, _whole_blocks(known.given))


def before_counts(known: Known) -> tuple[StageDraws | None, ...]:
    """Forecast every whole block before any count of this season; nothing where no past season moves it."""
    if not heard_before(known):
        return ()
    stages, _ = of_blocks(replace(known, given=replace(known.given, counts=()), elsewhere=()))
    return tuple(None if one is None else one.draws for one in stages)


def heard_in(known: Known) -> tuple[Heard, ...]:
    """Say what the counts of this field tell other fields, block by block; two ages tell nothing."""
    told = []
    rules = count_rules()
    for spot in _whole_blocks(known.given):
        of_block = known.made.blocks[spot.block]
        if of_block is None:
            continue
        expected = of_block.expected()
        visits = [one for one in spot.visits if two_peaks(one, expected, rules) is None]
        if visits:
            place = place_of(known.given.blocks[spot.block], of_block, spot.name, known.situation.field)
            told.append(heard(place, visits, expected, rules))
    return tuple(told)


def varieties(known: Known) -> frozenset[str]:
    """Name the varieties that grow here, those of blocks without a date too."""
    return frozenset(variety_key(block) for block in known.given.blocks)


def heard_here(known: Known) -> tuple[Heard, ...]:
    """List the counts of other fields that matter here: those of a variety that grows here too."""
    mine = varieties(known)
    return tuple(one for one in known.elsewhere if one.place.variety in mine)


def heard_before(known: Known) -> tuple[Heard, ...]:
    """List the past seasons that matter here: those of this field, and of a variety that grows here."""
    mine = varieties(known)
    return tuple(
        one for one in known.past if one.place.variety in mine or one.place.field == known.situation.field
    )


def _after(known: Known, wanted: Sequence[Spot]) -> tuple[tuple[SpotStage | None, ...], tuple[Said, ...]]:
    blocks, rules = known.given.blocks, count_rules()
    told = (*heard_here(known), *heard_before(known))
    return after_counts(known.made, blocks, wanted, told, known.situation, rules)


def _whole_blocks(given: FieldInputs) -> list[Spot]:
    visits = _by_place(given.counts, given.block_of_cell + 1, given.grid)
    return [
        Spot(block=index, name=block_name(block.name), visits=visits.get(index + 1, ()))
        for index, block in enumerate(given.blocks)
    ]


def _by_place(
    counts: Sequence[Count], number_of_cell: Numbers, grid: Grid
) -> Mapping[int, tuple[Visit, ...]]:
    """Give each count to the zone or block it was made in, or to the nearest one where it lies in none."""
    found: dict[int, tuple[Visit, ...]] = {}
    for one, number in zip(counts, numbers_nearest(counts, number_of_cell, grid), strict=True):
        visit = Visit(day=one.on.toordinal() + NOON, seen=one.seen)
        found[number] = (*found.get(number, ()), visit)
    return found
