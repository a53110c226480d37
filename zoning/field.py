"""One field: from its folder to a plan and its files, readable on one screen.

offer    what the field offers: zones, windows, priced options
settle   the plan, once the passes are chosen
run      both, with the whole sprayer to itself
write    the plan as files (in field_out.py)
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import Protocol

from zoning.field_out import Run as Run
from zoning.field_out import as_object as as_object
from zoning.field_out import check_out as check_out
from zoning.field_out import write as write
from zoning.inputs import done, files, read
from zoning.inputs.decisions import Decisions, decisions_of
from zoning.inputs.given import FieldInputs
from zoning.inputs.ground import kept_zones
from zoning.inputs.planted.sown import season_of
from zoning.inputs.strips import anew, design
from zoning.offers import drawn, learned, no_spray, overruled, pictures, scouted, spots, walks
from zoning.offers.check_strips import laid as strips
from zoning.offers.choices import choices, with_choice
from zoning.offers.choose import choose, limits_of
from zoning.offers.in_time import in_time
from zoning.offers.moved_by_past import moved_by_past
from zoning.offers.offered import Offer, OfferedZone, named_in, read_in
from zoning.offers.provenance import Provenance, provenance_of, with_inputs
from zoning.offers.rigged import that_may_come
from zoning.offers.settle import settle as settle
from zoning.offers.swaths_treated import swath_ground
from zoning.offers.zoned import Zoned, zoned
from zoning.plan import Plan, Scouted
from zoning.prescription import handed
from zoning.prescription.since import changed, zones_before
from zoning.returns import reasons
from zoning.seen import SeenCounts, digest, known_of, past_seasons
from zoning.seen import beside as counts_beside
from zoning.settings.model import Settings
from zoning.settings.read import load
from zoning.stage.counted import SpotStage
from zoning.words import Said
from zoning.zones.quality import Quality
from zoning.zones.zoning import Zoning

Tell = Callable[[str], None]


class Measure(Protocol):
    """What measures the zones of a field: begins, and gives a function that waits for the figures."""

    def __call__(self, found: Zoned, /, *, seed: int) -> Callable[[], Quality]:
        """Begin; see `zoning.zones.measured.measure`."""


def measure_here(found: Zoned, /, *, seed: int) -> Callable[[], Quality]:
    """Measure in this process, once the figures are asked for."""
    # imported late: where another process measures, this one need not
    from zoning.zones.measured import measure

    return partial(measure, found.zoning, found.layers, found.checked, found.ground, found.limits, seed=seed)


def silent(_step: str) -> None:
    """Say nothing."""


def run(  # noqa: PLR0913  (keywords, each with its own default)
    folder: Path,
    *,
    today: date | None = None,
    seed: int = 0,
    clock: date | None = None,
    seen: SeenCounts | None = None,
    tell: Tell = silent,
    measured_by: Measure = measure_here,
    new_strips: bool = False,
    allow_unreachable: bool = False,
    since: Path | None = None,
    decisions: Path | None = None,
) -> Run:
    """Plan one field, with the whole sprayer to itself.

    Parameters
    ----------
    folder : Path
        With field.toml; farm.toml in it or in its parent.
    today : date, optional
        The day to plan on; else the settings' `as_of`, else `clock`.
    seed : int
        Of the draws.
    clock : date, optional
        The real day, read at the edge.
    seen : SeenCounts, optional
        The farm's table of counts; gathered from the other fields of the farm where it is not given.
    tell : callable
        Is told each step when it starts.
    measured_by : callable
        Measures the zones; another process may do it meanwhile. For `offer` None: nobody asks.
    new_strips : bool
        Pass over the check strips that are laid, so that new ones are.
    allow_unreachable : bool
        Where no sprayer holds a volume that the label allows, plan with one all the same.
    since : Path, optional
        The plan.json of an earlier run: the plan says what changed.
    decisions : Path, optional
        What the user decided for zones; else decisions.json in the folder, where it is there.

    Raises
    ------
    InputError
        Everything that is wrong with what the user gave.
    """
    before = handed.read(since, load(folder).name) if since is not None else None
    offered = offer(
        folder,
        today=today,
        seed=seed,
        clock=clock,
        seen=seen,
        tell=tell,
        measured_by=measured_by,
        new_strips=new_strips,
        allow_unreachable=allow_unreachable,
        decisions=decisions,
    )
    if before is not None:
        offered = replace(offered, provenance=with_inputs(offered.provenance, {"since": before.digest}))
    tell("choosing the passes")
    plan = replace(alone(offered), walks=walks.of_plan(offered, seed))
    if before is not None:
        plan = replace(plan, since=changed(before, plan), since_zones=zones_before(before, plan))
    return run_of(plan, offered.provenance)


def run_of(plan: Plan, made_of: Provenance) -> Run:
    """Put a plan beside what it was made of; check strips that it lays are an input from now on."""
    return Run(plan=plan, provenance=with_inputs(made_of, strips.new_inputs(plan.strips)))


def alone(offered: Offer) -> Plan:
    """Choose the passes of a field that has its sprayers to itself, and settle its plan."""
    if not offered.choices:
        return settle(offered, None)
    together = choose([offered.choices], replace(limits_of(offered), gap_frac=0.0), extras=False)
    (chosen,) = together.schedule.chosen
    (plan,) = in_time([settle(with_choice(offered, chosen.place), chosen)], together.machines)
    return plan


def offer(  # noqa: PLR0913  (as for `run`)
    folder: Path,
    *,
    today: date | None = None,
    seed: int = 0,
    clock: date | None = None,
    seen: SeenCounts | None = None,
    tell: Tell = silent,
    measured_by: Measure | None = None,
    new_strips: bool = False,
    allow_unreachable: bool = False,
    decisions: Path | None = None,
) -> Offer:
    """Read a field folder and work out everything that does not depend on the schedule; see `run`."""
    tell("reading the field")
    settings = load(folder).model_copy(update={"allow_unreachable": allow_unreachable})
    told = decisions_of(settings, decisions)
    day = day_of(settings, today=today, clock=clock)
    given = _given(settings, day, new_strips=new_strips)
    about = partial(provenance_of, settings, today=day, seed=seed)
    season, of_strips = season_of(settings, day, given.latitude_deg), learned.hashes(settings)
    settings, of_own = learned.counted(settings, season)
    settings, not_coming = that_may_come(settings, given)
    tell("forecasting the stages")
    table = seen or counts_beside(settings, today=today, clock=clock, seed=seed)
    known = _heard(known_of(settings, given, day, seed), settings, day, table)
    given = known.given  # blocks that are alike may have been joined
    tell("drawing the zones")
    found = zoned(settings, known, day, seed)
    measured = measured_by(found, seed=seed) if measured_by is not None else None
    stages, of_counts = spots.of_zones(known, found.zoning)
    zones = drawn.offered(found.zoning, given, stages)
    seen_here = scouted.scouted(given, found.zoning)
    notes = [*settings.missing, *of_own, *given.notes, *known.made.notes, *table.notes, *of_counts]
    notes += _moved(known, seen_here, found.zoning, stages, of_counts)
    stopped = _stopped(settings, zones)
    level = 1 if stopped else settings.level
    tell("pricing the options")
    priced = choices(zones, settings, known, found.zoning, (day, seed)) if level > 1 else ()
    quality = measured() if measured is not None else None
    notes += (*found.notes, *not_coming, *drawn.doubts(quality, zones, given), *stopped)
    made = Offer(
        **named_in(settings),
        **read_in(given),
        level=level,
        today=day,
        zones=zones,
        why_no_options=stopped[0] if stopped else None,
        notes=tuple(notes),
        of_field=tuple(notes),
        provenance=about({**given.files, **of_strips, **_from_others(known)}),
        scouting=seen_here,
        divisions=found.divisions,
        held_out=found.zoning.quality,
        quality=quality,
        no_spray=no_spray.beside(given.no_spray, [one.outline_m for one in zones]),
        may_lay_strips=new_strips or not design.is_laid(folder),
        season=season,
        pictures=pictures.of_layers(given),
        varieties=spots.varieties(known),
        swath_ground=swath_ground(settings, found.zoning, given) if level > 2 else None,
        settings=settings,
        choices=priced,
    )
    return with_choice(_overruled(made, given, told), 0)


def _overruled(made: Offer, given: FieldInputs, told: Decisions | None) -> Offer:
    """Put to an offer what the user decided for its zones."""
    if told is None or made.settings is None:
        return made
    is_kept = any(one.kept for one in given.given_zones)
    kept_id = kept_zones.zones_id(kept_zones.path_of(made.settings)) if is_kept else None
    return overruled.put(made, told, kept_id)


def _given(settings: Settings, day: date, *, new_strips: bool) -> FieldInputs:
    """Read what is known of the field, and what was done there; strips may be laid anew only in time."""
    with files.unchanged():
        given = done.beside(read.field(settings, day, strips=not new_strips), settings, day)
    if new_strips:
        anew.check(settings, given, day)
    return given


def _stopped(settings: Settings, zones: tuple[OfferedZone, ...]) -> tuple[Said, ...]:
    """Say what keeps returns from being reckoned, though money was given."""
    undated = drawn.undated(zones) if settings.level > 1 else ()
    of_target = reasons.stopped(settings.product.target) if settings.product else None
    return (*undated, of_target) if of_target else undated


def _moved(
    known: spots.Known,
    seen: Sequence[Scouted],
    zoning: Zoning,
    stages: Sequence[SpotStage | None],
    of_counts: Sequence[Said],
) -> tuple[Said, ...]:
    """Say how far past seasons moved the dates, and how far the counts then did."""
    before = spots.before_counts(known)
    return (*moved_by_past(known), *scouted.moved(seen, known, zoning, stages, of_counts, before))


def _heard(known: spots.Known, settings: Settings, today: date, table: SeenCounts) -> spots.Known:
    """Add what was counted in other fields, and what past seasons tell."""
    past = past_seasons(settings, known.given, today, table)
    return replace(known, elsewhere=table.beside(settings), past=past)


def _from_others(known: spots.Known) -> dict[str, str]:
    """Hash the counts of other fields, and what past seasons tell, as inputs of this one."""
    told = {"counts of other fields": spots.heard_here(known), "past seasons": spots.heard_before(known)}
    return {name: digest(heard) for name, heard in told.items() if heard}


def day_of(settings: Settings, *, today: date | None, clock: date | None) -> date:
    """Give the day that a field is planned on.

    Parameters
    ----------
    settings : Settings
        Their `as_of` stands in where nobody says a day.
    today : date, optional
        Wins over both.
    clock : date, optional
        The real day, read at the edge.
    """
    day = today or settings.as_of or clock
    if day is None:
        raise ValueError("no day to plan on: give today or clock")
    return day
