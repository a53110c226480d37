"""From layers and forecasts to the zones of a field: which divisions there are, and which one is taken."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from zoning.offers import divided, drawn, spots
from zoning.offers.basis import basis_of
from zoning.passes.division import BlockDivision
from zoning.returns import reasons
from zoning.settings.model import Settings
from zoning.stage.draws import StageDraws
from zoning.words import Said
from zoning.zones.why import why_whole
from zoning.zones.zoning import BlockCandidates, Floats, Ground, Limits, Zoning


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
    Where the blocks have dates and money is known, a block gets the fewest zones that keep nearly all of what
    a plan for every cell would return; else the most that its layers support.
    """
    # imported late: whoever only wants dates need not wait for it
    from zoning.zones import delineate

    given = known.given
    layers = {layer.name: layer.values for layer in given.layers}
    checked = {layer.name: layer.values for layer in given.check_layers}
    if given.yield_bu_ac is not None:
        checked["yield"] = given.yield_bu_ac
    ground, limits = drawn.ground_of(given), drawn.limits_of(settings, given)
    of_blocks = delineate.candidates(layers, ground, limits, seed=seed)
    divisions = _divisions(of_blocks, settings, known, today, seed)
    places = [division.chosen for division in divisions]
    zoning = delineate.drawn(of_blocks, layers, ground, limits, places)
    return Zoned(
        zoning=zoning,
        divisions=divisions,
        layers=layers,
        checked=checked,
        ground=ground,
        limits=limits,
        notes=_notes(zoning, divisions),
    )


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
    return divided.by_returns(of_blocks, dated, basis_of(settings, known.given, seed), today)


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
