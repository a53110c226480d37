"""One field after harvest: from the combine's points to what the pass returned, and what is believed now.

_read      points, strips, and what was sprayed
_answered  cleaned, placed, paired: what the pass returned
_learned   the plan's decisions judged, and what goes into learned.toml and season.csv
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import numpy as np
import shapely

from zoning.harvest import cost, planned
from zoning.harvest.asked import Asked
from zoning.harvest.book import book_rows
from zoning.harvest.farm import book_of
from zoning.harvest.known import Answer, Known
from zoning.harvest.pressed import pressure_of_zones
from zoning.harvest.result import result_of, zones_of
from zoning.inputs import done, files, read, season_book
from zoning.inputs.harvest import asked as yields_asked
from zoning.inputs.harvest import ground as trial_ground
from zoning.inputs.harvest import points as yield_points
from zoning.inputs.planted.sown import season_of
from zoning.offers.provenance import Provenance, provenance_of
from zoning.plan.trial import TrialResult
from zoning.settings import learned
from zoning.settings.learned import LearnedTrial, with_trial
from zoning.settings.model import Pressure, Settings
from zoning.settings.read import load
from zoning.strips.believed import beliefs, trial_of
from zoning.strips.by_zone import by_zone
from zoning.strips.cleaning import clean
from zoning.strips.judged import judge, judged_plan
from zoning.strips.pairs import paired
from zoning.strips.placed import place
from zoning.strips.response import response
from zoning.strips.spatial import spatial
from zoning.words import Said

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
    settings = load(folder)
    day = today or settings.as_of or clock
    if day is None:
        raise ValueError("no day to look back from: give today or clock")
    known = _read(settings, asked, day)
    tell("cleaning the points")
    answer = _answered(known)
    tell("learning")
    return _learned(known, answer, seed)


def _read(settings: Settings, asked: Asked, day: date) -> Known:
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


def _learned(known: Known, answer: Answer, seed: int) -> Trial:
    """Judge the plan's decisions, and put together what is believed and kept."""
    settings, ground = known.settings, known.ground
    # who drew strips and recorded no pass says nothing of the ground beside them
    is_known = ground.treated_source != "drawn"
    sprayed_frac = {
        zone: float(shapely.intersection(outline, ground.treated).area / outline.area) if is_known else np.nan
        for zone, outline in ground.zones.items()
    }
    before = min((*ground.treated_on, *known.points.harvested), default=known.today)
    plan = planned.planned_of(settings.folder, before)
    zones = () if plan is None else plan.zones
    found = judge(
        zones,
        answer.by_zone,
        answer.response,
        answer.money,
        sprayed_frac,
        is_metric=settings.units == "metric",
    )
    new, told = _trials(known, answer, before)
    before_it = learned.read(learned.path_of(settings.folder, settings.farm_folder))
    # where nothing counts any more, what was learned of it goes, too
    this = (known.season, settings.folder.name)
    trials = with_trial([one for one in before_it if (one.season, one.field) != this], new)
    rows = season_book.with_rows(
        season_book.read(season_book.path_of(settings)),
        book_rows(settings, known.given, (known.today, seed), zones, found),
    )
    made_of = _provenance(known, plan, seed)
    result = result_of(known, answer, made_of.run_id)
    of_plan = judged_plan(zones, found)
    result = replace(
        result,
        zones=zones_of(known, zones),
        judged=found,
        beliefs=beliefs(trials, known.season, answer.money, _classes(new)),
        trials=trials,
        book=book_of(rows, known.season, settings.habit),
        notes=(
            *result.notes,
            *told,
            planned.which(plan, before),
            *(() if of_plan is None else (of_plan.said,)),
        ),
    )
    return Trial(result=result, provenance=made_of, trials=trials, rows=rows)


def _classes(new: Sequence[LearnedTrial]) -> tuple[Pressure, ...]:
    """Give the pressure classes of which it is said what is believed: those of the trial, and unknown."""
    return tuple(dict.fromkeys((*(one.pressure for one in new), "unknown")))


def _trials(known: Known, answer: Answer, before: date) -> tuple[tuple[LearnedTrial, ...], tuple[Said, ...]]:
    if answer.response is None:
        return (), ()
    return trial_of(
        answer.response,
        answer.paired,
        pressure_of_zones(known.settings, known.given, known.ground.zones, before),
        season=known.season,
        field=known.settings.folder.name,
    )


def _provenance(known: Known, plan: planned.Planned | None, seed: int) -> Provenance:
    """Collect what the trial was made of; a plan counts by its own run_id."""
    inputs = {**known.given.files, **known.points_files, **known.ground.files}
    if plan is not None:
        inputs[plan.file] = plan.run_id
    return provenance_of(known.settings, inputs, today=known.today, seed=seed)
