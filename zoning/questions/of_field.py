"""Answers when R3 is in the blocks of a field folder, after past seasons and the counts of its farm."""

from datetime import date
from pathlib import Path

from zoning import seen
from zoning.errors import InputError
from zoning.inputs import read
from zoning.offers import spots
from zoning.offers.moved_by_past import moved_by_past
from zoning.questions.walks import Stood, walk_notes
from zoning.questions.windows import StageAnswer, StageRow
from zoning.settings.read import load
from zoning.stage.forecast import forecast_each, window
from zoning.words import Said


def stage_of_field(folder: Path, *, today: date | None, seed: int, clock: date) -> StageAnswer:
    """Forecast R3 for the blocks of a field folder.

    Counts of the field move its blocks; counts of the farm's other fields move those of their varieties.

    Raises
    ------
    InputError
        When the folder's inputs are bad, or no block gets a date.
    """
    settings = load(folder)
    on = today or settings.as_of or clock
    given = seen.alike_joined(settings, read.field(settings, on, layers=False), on, seed)
    situation = seen.situation_of(settings, given, on, seed)
    made, faults = forecast_each(given.blocks, given.weather, situation)
    beside = seen.beside(settings, today=today, clock=clock, seed=seed)
    known = spots.Known(
        given=given,
        made=made,
        situation=situation,
        elsewhere=beside.beside(settings),
        past=seen.past_seasons(settings, given, on, beside),
    )
    stages, heard = spots.of_blocks(known)
    notes = [*given.notes, *made.notes, *heard, *beside.notes, *moved_by_past(known)]
    for block, fault in zip(given.blocks, faults, strict=True):
        if fault is not None:
            why = f"{fault.what}; {fault.mend.rstrip('.')}"
            notes.append(Said("questions.no_dates", planting=spots.block_name(block.name), why=why))
    if not any(stages):
        raise InputError(
            "; ".join(said.text for said in notes) or "the field has no block",
            where=folder.name,
            mend="Give it a weather file with this season and past years.",
        )
    stood = [
        Stood(name=spots.block_name(block.name), planted=block.planted, stage=stage)
        for block, stage in zip(given.blocks, stages, strict=True)
    ]
    rows = tuple(
        StageRow(
            block=block.name,
            planted=block.planted,
            emerged=block.emerged,
            maturity_group=block.maturity_group,
            window=window(stage.draws) if stage is not None else None,
            counted=stage is not None and stage.counted,
        )
        for block, stage in zip(given.blocks, stages, strict=True)
    )
    return StageAnswer(rows=rows, notes=(*notes, *walk_notes(stood, on)))
