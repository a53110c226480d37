"""Answers when R3 is for plantings at a place without a field: every planting date with every group.

The plantings are places of one unnamed field: a count in one moves the others through the errors they share.
"""

from collections.abc import Sequence
from datetime import date

import numpy as np

from zoning.errors import CONTENT, SETTINGS, InputError
from zoning.evidence import numbers
from zoning.inputs.files import at_most
from zoning.inputs.given import Count, Weather
from zoning.inputs.scouting import unplaced
from zoning.inputs.weather_files import weather
from zoning.questions.asked import WHERE, Asked, Crop, plantings
from zoning.questions.told import Told, told
from zoning.questions.walks import Stood, walk_notes
from zoning.questions.windows import StageAnswer, StageRow
from zoning.stage.counted import Spot, SpotStage, after_counts
from zoning.stage.forecast import Forecast, window
from zoning.stage.likelihood import NOON, Visit, count_rules
from zoning.stage.spread import Situation
from zoning.words import Said


def stage_of(crop: Crop, *, today: date | None, seed: int, clock: date) -> StageAnswer:
    """Forecast R3 for every planting date and maturity group.

    A planting that does not get there, or whose weather is not known, has a row without dates and a note that
    says why; it stops no other.

    Raises
    ------
    InputError
        When the weather file or the counts cannot be read, a planting makes no sense, or no planting gets a
        date.
    """
    on = today or clock
    asked = plantings(crop, on)
    known: Weather | None = None
    doubts: tuple[Said, ...] = ()
    if crop.weather is not None:
        known, doubts = weather.with_notes(crop.weather, on)
    situation = Situation(field="", habit=crop.habit, latitude_deg=crop.latitude_deg, today=on, seed=seed)
    answer = told(asked, known, situation)
    if not any(answer.blocks):
        raise _no_date_at_all(answer, crop)
    counts: tuple[tuple[Count, ...], ...] = ((),) * len(asked)
    refused: tuple[Said, ...] = ()
    if crop.counts is not None:
        wanted = [unplaced.Planting(one.crop.planted, one.crop.maturity_group) for one in asked]
        counts, refused = unplaced.read(crop.counts, wanted, on)
    stages, heard = _after(asked, answer, counts, situation)
    stood = [
        Stood(name=one.name, planted=one.crop.planted, stage=stage)
        for one, stage in zip(asked, stages, strict=True)
    ]
    notes = (
        *doubts,
        *_place_notes(crop.latitude_deg),
        *answer.notes,
        *answer.missing,
        *refused,
        *heard,
        *_days_notes(stood),
        *walk_notes(stood, on),
    )
    return StageAnswer(rows=tuple(map(_row, asked, stages)), notes=notes)


def _no_date_at_all(answer: Told, crop: Crop) -> InputError:
    """Refuse to answer with a table without any date: a line for each planting."""
    mend = (
        "A weather file has daily temperatures (date,tmin_c,tmax_c) of this season from planting on and of "
        "ten or more past years."
        if crop.weather is None
        else "Correct what was asked, or the weather file."
    )
    code = SETTINGS if crop.weather is None else CONTENT
    faults = [InputError(said.text, where=WHERE, mend=mend, code=code) for said in answer.missing]
    return InputError.together(at_most(faults, WHERE))


def _after(
    asked: Sequence[Asked], answer: Told, counts: Sequence[Sequence[Count]], situation: Situation
) -> tuple[tuple[SpotStage | None, ...], tuple[Said, ...]]:
    spots = [
        Spot(
            block=row,
            name=one.name,
            visits=tuple(Visit(day=count.on.toordinal() + NOON, seen=count.seen) for count in counts[row]),
        )
        for row, one in enumerate(asked)
    ]
    made = Forecast(blocks=answer.blocks, weather_years=(), notes=())
    return after_counts(made, [one.crop for one in asked], spots, (), situation, count_rules())


def _place_notes(latitude_deg: float) -> tuple[Said, ...]:
    south, north = numbers("stage.latitude_meant_deg")
    far = not south <= latitude_deg <= north
    return (Said("questions.latitude_far", latitude=latitude_deg),) if far else ()


def _days_notes(stood: Sequence[Stood]) -> tuple[Said, ...]:
    """Say which plantings take so short or so long to R3 as no plot that the model was compared with."""
    least, most = numbers("stage.days_to_r3_seen_d")
    found: dict[bool, list[tuple[str, int]]] = {}
    for one in stood:
        if one.stage is not None:
            days = round(float(np.median(one.stage.draws.of("R3"))) - one.planted.toordinal())
            if not least <= days <= most:
                found.setdefault(days < least, []).append((one.name, days))
    notes = []
    for outside in found.values():
        fewest, longest = min(days for _, days in outside), max(days for _, days in outside)
        first, others = outside[0][0], len(outside) - 1
        notes.append(
            Said(
                "questions.days_unseen",
                places=f"{first} and {others} more" if others else first,
                days=f"{fewest} to {longest}" if fewest < longest else f"{fewest}",
                least=least,
                most=most,
            )
        )
    return tuple(notes)


def _row(one: Asked, stage: SpotStage | None) -> StageRow:
    return StageRow(
        block="",
        planted=one.crop.planted,
        emerged=one.crop.emerged,
        maturity_group=one.crop.maturity_group,
        window=window(stage.draws) if stage is not None else None,
        counted=stage is not None and stage.counted,
    )
