"""One field after harvest: from the combine's points to what the pass returned, and what is believed now.

_read       points, strips, and what was sprayed
_answered   cleaned, placed, paired: what the pass returned
learned_of  the plan's decisions judged, and what goes into learned.toml and season.csv
result_of   all of it as one result
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np

from zoning.harvest import cost
from zoning.harvest.asked import Asked
from zoning.harvest.known import Answer, Known, Learned
from zoning.harvest.learning import learned_of
from zoning.harvest.result import result_of
from zoning.inputs import done, files, read, season_book
from zoning.inputs.harvest.ground import trial_ground
from zoning.inputs.harvest.points import asked as yields_asked
from zoning.inputs.harvest.points import read as yield_points
from zoning.inputs.planted.sown import season_of
from zoning.offers.provenance import Provenance, provenance_of
from zoning.plan.trial import TrialResult
from zoning.prescription import folder as out_folder
from zoning.settings.learned import LearnedTrial
from zoning.settings.model import Settings
from zoning.settings.read import load
from zoning.strips.answer.by_zone import by_zone
from zoning.strips.answer.response import response
from zoning.strips.answer.spatial import spatial
from zoning.strips.cleaned.cleaning import clean
from zoning.strips.paired.pairs import paired
from zoning.strips.paired.placed import place

Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trial:
    """The result of a field, and what the farm keeps of it."""

    result: TrialResult
    provenance: Provenance
    trials: tuple[LearnedTrial, ...]
    rows: tuple[season_book.BookRow, ...]


def trial(
    folder: Path,
    asked: Asked,
    *,
    today: date | None = None,
    clock: date | None = None,
    seed: int = 0,
    tell: Tell = lambda _step: None,
) -> Trial:
    """Say what the strips of one field returned.

    Parameters
    ----------
    folder : Path
        Of the field.
    asked : Asked
        Files and columns, as typed.
    today, clock, seed
        As for `zoning.field.run`.
    tell : callable
        Is told each step when it starts.

    Returns
    -------
    Trial
        Nothing is written.

    Raises
    ------
    InputError
        Everything that is wrong with a file, at once.
    """
    tell("reading the harvest")
    settings = load(folder, is_over=True)
    day = today or settings.as_of or clock
    if day is None:
        raise ValueError("no day to look back from: give today or clock")
    known = _read(settings, asked, day)
    tell("cleaning the points")
    answer = _answered(known)
    tell("learning")
    learned = learned_of(known, answer, seed)
    made_of = _provenance(known, learned, asked.typed, seed)
    result = result_of(known, answer, learned, made_of.run_id)
    return Trial(result=result, provenance=made_of, trials=learned.trials, rows=learned.rows)


def _read(settings: Settings, asked: Asked, day: date) -> Known:
    out_folder.heal(settings.folder / "out")  # zones and the plan are read there
    with files.unchanged():
        return _known(settings, asked, day)


def _known(settings: Settings, asked: Asked, day: date) -> Known:
    given = done.beside(read.field(settings, day, layers=False, is_over=True), settings, day)
    path, name = yields_asked.find(settings, asked.yields)
    wanted = yields_asked.asked_of(settings, given.grid.epsg, given.boundary, asked.columns, asked.units)
    ground = trial_ground.ground_of(
        settings,
        given,
        day,
        drawn=asked.drawn,
        applied=asked.applied,
        rate_column=asked.rate_column,
    )
    files.watch(path, name)
    points = yield_points.read(path, name, wanted)
    trial_ground.check_days(points, ground, day)
    return Known(
        settings=settings,
        today=day,
        season=season_of(settings, day, given.latitude_deg),
        given=given,
        points=points,
        points_files=files.hashes(settings, [path]),
        ground=ground,
    )


def _answered(known: Known) -> Answer:
    points, ground = known.points, known.ground
    cleaned = clean(points, ground.header_m)
    kept = cleaned.yield_bu_ac[cleaned.kept]
    mean_bu_ac = float(np.nanmean(kept)) if np.isfinite(kept).any() else float("nan")
    placed = place(points, cleaned, ground)
    pairs = paired(points, cleaned, placed, ground)
    money, costs = cost.cost_of_trial(known.settings, known.given, ground.treated_on, mean_bu_ac)
    found = response(pairs.counted, money)
    return Answer(
        cleaned=cleaned,
        placed=placed,
        paired=pairs,
        money=money,
        costs=costs,
        response=found,
        by_zone=None if found is None else by_zone(pairs.parts, found, money),
        spatial=spatial(points, cleaned, placed),
        mean_yield_bu_ac=mean_bu_ac,
    )


def _provenance(known: Known, learned: Learned, typed: str, seed: int) -> Provenance:
    """Collect what the trial was made of; a plan counts by its own run_id, options as they were typed."""
    inputs = {**known.given.files, **known.points_files, **known.ground.files, **learned.plan}
    inputs["other trials and seasons"] = learned.others
    inputs |= {"options": typed} if typed else {}
    return provenance_of(known.settings, inputs, today=known.today, seed=seed)
