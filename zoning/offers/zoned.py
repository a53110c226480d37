"""From layers and forecasts to the zones of a field: which divisions there are, and which one is taken."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from zoning.inputs.given import FieldInputs
from zoning.inputs.ground import kept_zones
from zoning.offers import divided, drawn, scouted, spots
from zoning.offers.basis import basis_of
from zoning.passes.division import BlockDivision
from zoning.returns import reasons
from zoning.settings.model import Settings
from zoning.stage.draws import StageDraws
from zoning.words import Said
from zoning.zones.why import why_whole
from zoning.zones.zoning import BlockCandidates, Floats, Ground, Limits, Zoning

_Found = tuple[Zoning, tuple[BlockDivision, ...], tuple[Said, ...]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Zoned:
    """The zones of a field, what they were drawn on, and what each number of zones would have kept.

    `divisions` has one entry for each block; `checked` holds the layers that were not clustered, on which
    zones are judged.
    """

    zoning: Zoning
    divisions: tuple[BlockDivision, ...]
    layers: dict[str, Floats]
    checked: dict[str, Floats]
    ground: Ground
    limits: Limits
    notes: tuple[Said, ...]


def zoned(settings: Settings, known: spots.Known, today: date, seed: int) -> Zoned:
    """Draw the zones of a field.

    Parameters
    ----------
    settings : Settings
    known : Known
        Inputs, the forecast of each block, and counts elsewhere.
    today : date
        Days before it are no option.
    seed : int

    Notes
    -----
    Zones that somebody else drew are taken as they are. Where the blocks have dates and money is known, a
    block gets the fewest zones that keep nearly all of what a plan for every cell would return; else the most
    that its layers support.
    """
    given = known.given
    layers = {layer.name: layer.values for layer in given.layers}
    checked = {layer.name: layer.values for layer in given.check_layers}
    if given.yield_bu_ac is not None:
        checked[_free("yield", {*layers, *checked})] = given.yield_bu_ac
    ground, limits = drawn.ground_of(given), drawn.limits_of(settings, given)
    if given.given_zones:
        zoning, divisions, notes = _as_given(settings, given, layers, (ground, limits))
    else:
        zoning, divisions, notes = _clustered(settings, known, layers, (ground, limits), (today, seed))
    return Zoned(
        zoning=zoning,
        divisions=divisions,
        layers=layers,
        checked=checked,
        ground=ground,
        limits=limits,
        notes=(*notes, *scouted.of_no_zone(given, zoning)),
    )


def _free(name: str, taken: Collection[str]) -> str:
    """Give a name that no layer has yet: the name, or with a number behind it."""
    numbered = (f"{name} ({count})" for count in range(2, len(taken) + 3))
    return name if name not in taken else next(one for one in numbered if one not in taken)


def _clustered(
    settings: Settings,
    known: spots.Known,
    layers: Mapping[str, Floats],
    on: tuple[Ground, Limits],
    when: tuple[date, int],
) -> _Found:
    # imported late: whoever only wants dates need not wait for it
    from zoning.zones import delineate

    of_blocks = delineate.candidates(layers, *on, seed=when[1])
    divisions = _divisions(of_blocks, settings, known, *when)
    places = [division.chosen for division in divisions]
    zoning = delineate.drawn(of_blocks, layers, *on, places)
    return zoning, divisions, _notes(zoning, divisions)


def _as_given(
    settings: Settings, given: FieldInputs, layers: Mapping[str, Floats], on: tuple[Ground, Limits]
) -> _Found:
    """Take the zones that somebody else drew, cut at the edges of the planting blocks."""
    from zoning.zones.given import from_given, said

    drawn_zones = given.given_zones
    kept = [one.kept for one in drawn_zones]
    names = [one.name or str(one.kept) for one in drawn_zones]
    outlines = [one.outline for one in drawn_zones]
    zoning, cuts = from_given(outlines, names, on[0], layers, on[1], kept if any(kept) else ())
    if any(kept):
        kept_zones.check(sorted({zone.kept for zone in zoning.zones if zone.kept}), max(kept))
        own_name = {one.kept: one.name for one in drawn_zones}  # a number is no name
        zones = tuple(replace(zone, name=own_name[zone.kept]) for zone in zoning.zones)
        zoning = replace(zoning, zones=zones)
    divisions = tuple(
        BlockDivision(block=block.name, zones=(of_block.chosen,), kept_frac=(), chosen=0)
        for block, of_block in zip(given.blocks, zoning.quality, strict=True)
    )
    block_names = [block.name for block in given.blocks]
    return zoning, divisions, said(cuts, block_names, is_metric=settings.units == "metric")


def _divisions(
    of_blocks: Sequence[BlockCandidates], settings: Settings, known: spots.Known, today: date, seed: int
) -> tuple[BlockDivision, ...]:
    names = [block.name for block in known.given.blocks]
    choice = any(len(one.divisions) > 1 for one in of_blocks)
    if not choice or not _is_priced(settings):
        return divided.by_layers(of_blocks, names)
    stages, _ = spots.of_blocks(known)
    dated: list[StageDraws] = [one.draws for one in stages if one is not None]
    if len(dated) < len(names):
        return divided.by_layers(of_blocks, names)
    return divided.by_returns(of_blocks, dated, basis_of(settings, known.given, today, seed), today)


def _is_priced(settings: Settings) -> bool:
    if settings.level == 1 or settings.zones.divide_by == "layers":
        return False
    return not (settings.product and reasons.stopped(settings.product.target))


def _notes(zoning: Zoning, divisions: Sequence[BlockDivision]) -> tuple[Said, ...]:
    """Say of each block why it has no more zones, where that is not plain."""
    notes = [
        divided.said(division) or why_whole(quality, division.block)
        for quality, division in zip(zoning.quality, divisions, strict=True)
    ]
    return tuple(note for note in notes if note is not None)
