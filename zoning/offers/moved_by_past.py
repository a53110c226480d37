"""What past seasons did to the dates of a field, block by block, in words; counts of this season left out."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from zoning.offers.spots import Known, block_name, heard_before
from zoning.stage.counted import Heard, place_of
from zoning.stage.likelihood import GRID, count_rules
from zoning.stage.posterior import Place, posterior
from zoning.words import Said


def moved_by_past(known: Known) -> tuple[Said, ...]:
    """Say how far past seasons alone move R3 of each block, and how many of what they are.

    Parameters
    ----------
    known : Known
        With what past seasons tell.

    Returns
    -------
    tuple of Said
        A line for blocks that are moved alike; none where no past season tells of them.
    """
    heard = heard_before(known)
    if not heard:
        return ()
    rules = replace(count_rules(), floor_d=0.0)
    logs = np.array([one.log_likelihood for one in heard]).reshape(len(heard), len(GRID))
    field = known.situation.field
    places = [
        place_of(block, made, block_name(block.name), field)
        for block, made in zip(known.given.blocks, known.made.blocks, strict=True)
        if made is not None
    ]
    blocks = [
        one.name for one, made in zip(known.given.blocks, known.made.blocks, strict=True) if made is not None
    ]
    names: dict[tuple[float, str, int], list[str]] = {}
    moved = posterior([one.place for one in heard], logs, places, rules)
    for name, place, after in zip(blocks, places, moved, strict=True):
        of, seasons = _of_what(heard, place)
        if seasons:
            names.setdefault((round(after.mean_d, 1), of, seasons), []).append(name)
    return tuple(
        Said(
            "season.r3_moved",
            blocks=f"block{'s' if len(of_blocks) > 1 else ''} {', '.join(of_blocks)}",
            days=days or 0.0,
            seasons=f"{seasons} past season{'s' if seasons > 1 else ''}",
            of=of,
        )
        for (days, of, seasons), of_blocks in names.items()
    )


def _of_what(heard: Sequence[Heard], place: Place) -> tuple[str, int]:
    """Say what the seasons that tell of a place share with it, and how many they are."""
    of_field = {one.place.season for one in heard if one.place.field == place.field}
    of_variety = {one.place.season for one in heard if one.place.variety == place.variety}
    shared = [name for name, seasons in (("field", of_field), ("variety", of_variety)) if seasons]
    return " and ".join(shared), len(of_field | of_variety)
