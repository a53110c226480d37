"""What is learned of a harvest: the plan's decisions judged, entries of learned.toml, rows of season.csv."""

import hashlib
from collections.abc import Sequence
from datetime import date

import numpy as np
import shapely

from zoning.harvest import planned
from zoning.harvest.book import book_rows
from zoning.harvest.farm import book_of
from zoning.harvest.known import Answer, Known, Learned
from zoning.harvest.pressed import pressure_of_zones
from zoning.inputs import area, season_book
from zoning.inputs.given import as_compared
from zoning.inputs.season_book import BookRow
from zoning.offers.learned import typed_wins
from zoning.plan.trial import TrialZone
from zoning.settings import learned
from zoning.settings.learned import LearnedTrial, with_trial
from zoning.settings.model import Pressure
from zoning.strips.learned.believed import beliefs, trial_of
from zoning.strips.learned.judged import PlannedZone, judge, judged_plan
from zoning.words import Said


def learned_of(known: Known, answer: Answer, seed: int) -> Learned:
    """Judge the plan's decisions, and put together what is believed and kept.

    Parameters
    ----------
    known : Known
    answer : Answer
    seed : int
        Of the draws of the stage forecast.

    Raises
    ------
    InputError
        What is wrong with learned.toml, season.csv or the plan.
    """
    settings = known.settings
    before = min((*known.ground.treated_on, *known.points.harvested), default=known.today)
    planted = min(block.planted for block in known.given.blocks)
    plan = planned.planned_of(settings.folder, before, planted)
    zones = () if plan is None else plan.zones
    judged = judge(
        zones,
        answer.by_zone,
        answer.response,
        answer.money,
        _sprayed_frac(known),
        is_metric=settings.units == "metric",
    )
    new, told = _trials(known, answer, before)
    others = _other_trials(known)
    trials = with_trial(others, new)
    book = season_book.read(season_book.path_of(settings))
    rows = season_book.with_rows(book, book_rows(settings, known.given, (known.today, seed), zones, judged))
    of_plan = judged_plan(zones, judged)
    return Learned(
        zones=_zones(known, zones),
        judged=judged,
        trials=trials,
        beliefs=beliefs(trials, known.season, answer.money, _classes(new)),
        rows=rows,
        book=book_of(rows, known.season, settings.habit),
        plan={} if plan is None else {plan.file: plan.run_id},
        others=_hash(others, [row for row in book if not _is_of(row, known)]),
        notes=(
            *told,
            *(typed_wins(settings) if new else ()),
            planned.which(plan, before),
            *planned.other_zones(plan, known.ground.zones_id),
            *(() if of_plan is None else (of_plan.said,)),
        ),
    )


def _sprayed_frac(known: Known) -> dict[int, float]:
    """Say what of each zone was sprayed, strips aside; NaN where who drew them recorded no pass."""
    ground = known.ground
    if ground.treated_source == "drawn":
        return dict.fromkeys(ground.zones, np.nan)
    strips = shapely.union_all([one.outline for one in ground.strips])
    found = {}
    for zone, outline in ground.zones.items():
        beside = shapely.difference(outline, strips)
        asked = beside if beside.area > 0 else outline  # a zone that is all strips
        found[zone] = float(shapely.intersection(asked, ground.treated).area / asked.area)
    return found


def _other_trials(known: Known) -> tuple[LearnedTrial, ...]:
    """Read the trials of other fields and seasons: where nothing counts any more, this one's goes, too."""
    settings = known.settings
    this = (known.season, known.folder)
    kept = learned.read(learned.path_of(settings.folder, settings.farm_folder))
    return tuple(one for one in kept if (one.season, one.field) != this)


def _is_of(row: BookRow, known: Known) -> bool:
    return (row.season, as_compared(row.field)) == (known.season, as_compared(known.folder))


def _hash(trials: Sequence[LearnedTrial], rows: Sequence[BookRow]) -> str:
    text = learned.as_text(trials) + season_book.as_text(rows)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


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
        field=known.folder,
    )


def _zones(known: Known, planned_zones: Sequence[PlannedZone]) -> tuple[TrialZone, ...]:
    """Give the zones of the ground, each in the block that the plan had it in."""
    blocks = {one.zone: one.block for one in planned_zones}
    found = []
    for zone, outline in known.ground.zones.items():
        lonlat = area.to_lonlat(outline, known.ground_epsg)
        found.append(
            TrialZone(zone=zone, block=blocks.get(zone, ""), outline=lonlat, area_ac=area.geodesic_ac(lonlat))
        )
    return tuple(found)
