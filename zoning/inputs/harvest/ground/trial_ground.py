"""The ground of a trial: where strips lie, what was really sprayed, and what of it the combine cannot tell.

Strips come from a drawn file, else from the design of the season, else from gaps in what the sprayer wrote.
What was sprayed comes from the sprayer's own file, else from done.csv, else from whoever drew the strips;
never from a plan alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import shapely

from zoning.errors import SETTINGS, InputError
from zoning.evidence import number
from zoning.inputs import done, files
from zoning.inputs.given import Area, FieldInputs, Sprayed
from zoning.inputs.ground import kept_zones
from zoning.inputs.ground.boundary import polygons_of
from zoning.inputs.harvest.given import TreatedSource, TrialGround, YieldPoints
from zoning.inputs.harvest.ground import by_done, drawn_strips, gaps, recorded
from zoning.inputs.harvest.ground.laid import Laid, by_design, season
from zoning.inputs.harvest.ground.recorded import Machine, Recorded
from zoning.inputs.strips import design
from zoning.settings.model import Settings
from zoning.units import m_s_from_mph
from zoning.words import Said, amounts


@dataclass(frozen=True, slots=True, eq=False)
class _Known:
    """What is given, and the zones as they were when the field was sprayed."""

    settings: Settings
    given: FieldInputs
    today: date
    zones: dict[int, Area]
    zones_id: str | None = None
    paths: tuple[Path, ...] = ()
    notes: tuple[Said, ...] = ()

    @property
    def is_metric(self) -> bool:
        """The farm's units."""
        return self.settings.units == "metric"


def ground_of(
    settings: Settings,
    given: FieldInputs,
    today: date,
    *,
    drawn: Path | None = None,
    applied: Path | None = None,
    rate_column: str = "",
) -> TrialGround:
    """Say where the strips of a season lie, and what was sprayed.

    Parameters
    ----------
    settings : Settings
    given : FieldInputs
        Boundary, blocks and heading of the field.
    today : date
        Of which season it is; later passes are ignored.
    drawn : Path, optional
        Strips that somebody drew; see `drawn_strips.read`.
    applied : Path, optional
        What the sprayer wrote, polygons or points with a rate.
    rate_column : str
        Of `applied`; "" for the column whose name says so.

    Returns
    -------
    TrialGround
        `step_m` is what a section needs to switch at the sprayer's top speed, and the combine's own blur;
        `headland_m` one strip's width and one header.

    Raises
    ------
    InputError
        Exit 2 without a header; exit 3 where nothing is on record as sprayed, no strips are known, or a file
        is at fault. All of it at once.
    """
    faults: list[InputError] = []
    header_m = settings.harvest.header_m
    if header_m is None:
        mend = 'Add [harvest] header to farm.toml, as header = "35 ft".'
        where = settings.where("harvest.header")
        what = "the width of the combine's header is not given"
        faults.append(InputError(what, where=where, mend=mend, code=SETTINGS))
    try:
        known = _known(settings, given, today)
        passes = recorded.recorded(settings, given, today)
        machine = recorded.by_machine(settings, given, passes, known.zones, applied, rate_column)
        laid, notes = _laid(known, drawn, machine, passes)
        sprayed = _sprayed(known, laid, machine, passes)
    except InputError as fault:
        raise InputError.together([*faults, fault]) from fault
    if header_m is None:
        raise faults[0]
    step_m, of_step = _step_m(settings, passes.rows)
    by_machine = machine.notes if machine is not None else ()
    notes = (*known.notes, *passes.notes, *by_machine, *notes, *laid.notes, *sprayed.notes, *of_step)
    paths = [*known.paths, *laid.paths, *(machine.paths if machine else ())]
    paths += [done.path_of(settings)] if passes.rows or passes.others else []
    return TrialGround(
        strips=laid.strips,
        source=laid.source,
        width_m=laid.width_m,
        heading_deg=laid.heading_deg,
        treated=sprayed.treated,
        treated_source=sprayed.source,
        treated_on=passes.days,
        zones=known.zones,
        zones_id=known.zones_id,
        crop=given.boundary,
        header_m=header_m,
        step_m=step_m,
        headland_m=laid.width_m + header_m,
        files=files.hashes(settings, paths),
        notes=(*notes, *_header_wider(known, header_m, laid)),
    )


def check_days(points: YieldPoints, ground: TrialGround, today: date) -> None:
    """Refuse points that cannot be the harvest of what was sprayed.

    Raises
    ------
    InputError
        When the first of them is not of a day after the last pass, or the last lies after today.
    """
    if not points.harvested:
        return
    first, last = points.harvested[0], points.harvested[-1]
    if last > today:
        what = f"its points reach to {last}, after {today}"
        raise InputError(what, where=points.file, mend="Check its times; --today sets the day.")
    if ground.treated_on and first <= ground.treated_on[-1]:
        what = f"its first points are of {first}, and the field was sprayed on {ground.treated_on[-1]}"
        mend = "Name the harvest of this crop, or correct the day of the pass in done.csv."
        raise InputError(what, where=points.file, mend=mend)


def _known(settings: Settings, given: FieldInputs, today: date) -> _Known:
    """Read the zones that were kept when a part was sprayed, else those of the last run."""
    out = settings.folder / "out" / "zones.gpkg"
    path = kept_zones.of_field(settings, given.blocks, today) or out
    if path.is_file():
        zones, of_plan, paths = kept_zones.outlines(path, given.grid.epsg), kept_zones.zones_id(path), (path,)
        return _Known(settings, given, today, zones, zones_id=of_plan, paths=paths)
    notes = (Said("trial_ground.one_zone"),)
    return _Known(settings, given, today, {1: given.boundary}, notes=notes)


def _laid(
    known: _Known, drawn: Path | None, machine: Machine | None, passes: Recorded
) -> tuple[Laid, tuple[Said, ...]]:
    """Find where strips lie, and what is to be said of what was not taken.

    Raises
    ------
    InputError
        When nobody says where strips lie.
    """
    if drawn is not None:
        crop, epsg = known.given.boundary, known.given.grid.epsg
        return drawn_strips.read(drawn, epsg, crop, is_metric=known.is_metric), ()
    laid, notes = by_design(known.settings, known.given, known.today)
    if laid is not None:
        return laid, notes
    if machine is not None:
        return _in_gaps(known, machine, passes), notes
    _nothing_sprayed(passes)
    why = "".join(f"; {note.text}" for note in notes)
    year = season(known.settings, known.given, known.today)
    mend = "Draw them and name the file with --strips, or name what the sprayer wrote with --applied."
    raise InputError(f"there are no strips of {year} in the field{why}", where=design.FILE, mend=mend)


def _in_gaps(known: _Known, machine: Machine, passes: Recorded) -> Laid:
    """Take what the sprayer left dry for strips."""
    boom_m = recorded.boom_m(known.settings, passes.rows)
    where, mend = machine.paths[0].name, "Draw the strips and name the file with --strips."
    if boom_m is None:
        what = "the boom is not known, so no gap of its width can be looked for"
        raise InputError(what, where=where, mend=f"Name the sprayer in done.csv. {mend}", code=SETTINGS)
    heading_deg = known.given.heading.deg
    strips = gaps.pairs_of(machine.treated, known.given.boundary, heading_deg, boom_m)
    if not strips:
        width = amounts.length(boom_m, is_metric=known.is_metric)
        what = f"no design says where strips lie, and no gap of about {width} is left inside what it treats"
        raise InputError(what, where=where, mend=mend)
    count = len({one.pair for one in strips})
    told = "1 gap" if count == 1 else f"{count} gaps"
    return Laid(
        strips=strips,
        source="as-applied",
        width_m=boom_m,
        heading_deg=heading_deg % 360,
        notes=(Said("trial_ground.of_gaps", gaps=told, file=where),),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Sprayed:
    treated: Area
    source: TreatedSource
    notes: tuple[Said, ...] = ()


def _sprayed(known: _Known, laid: Laid, machine: Machine | None, passes: Recorded) -> _Sprayed:
    """Say what was sprayed, by the one who knows it best."""
    settings, given = known.settings, known.given
    if machine is not None:
        if not machine.rest:
            return _Sprayed(treated=machine.treated, source="as-applied")
        found = by_done.by_done(settings, given, machine.rest, known.zones, laid)
        both = polygons_of(shapely.union(machine.treated, found.treated))
        by_rows = [Said("trial_ground.rest_by_done", day=row.on) for row in machine.rest]
        return _Sprayed(treated=both, source="as-applied", notes=(*by_rows, *found.notes))
    days = ", ".join(day.isoformat() for day in passes.days)
    if passes.rows:
        found = by_done.by_done(settings, given, passes.rows, known.zones, laid)
        if laid.source == "drawn":
            said = Said("trial_ground.drawn_and_done", file=laid.paths[0].name, days=days)
            return _Sprayed(treated=found.treated, source="drawn", notes=(said, *found.notes))
        said = Said("trial_ground.by_done", days=days)
        return _Sprayed(treated=found.treated, source="done", notes=(said, *found.notes))
    if laid.source != "drawn":
        _nothing_sprayed(passes)
    outlines = [one.outline for one in laid.strips if one.treatment == "treated"]
    treated = shapely.intersection(shapely.union_all(outlines), given.boundary)
    notes = (Said("trial_ground.by_drawn", file=laid.paths[0].name),)
    return _Sprayed(treated=polygons_of(treated), source="drawn", notes=notes)


def _nothing_sprayed(passes: Recorded) -> None:
    """Refuse to take a plan for what was done."""
    if passes.rows:
        return
    product = f" with {passes.product}" if passes.others else ""
    mend = (
        "Record the pass with `sprayworth done`, name what the sprayer wrote with --applied, or draw the "
        "strips that were treated and name the file with --strips."
    )
    raise InputError(f"nothing is on record as sprayed{product}", where=done.FILE, mend=mend)


def _step_m(settings: Settings, rows: Sequence[Sprayed]) -> tuple[float, tuple[Said, ...]]:
    """Give how far a change of treatment is blurred along the track, in m."""
    blur_m = number("inputs.harvest_blur_m")
    machines = recorded.sprayers(settings, rows)
    if not machines:
        return blur_m, (Said("trial_ground.no_sprayer"),)
    return blur_m + max(m_s_from_mph(one.speed_mph[1]) * one.section_lag_s for one in machines), ()


def _header_wider(known: _Known, header_m: float, laid: Laid) -> tuple[Said, ...]:
    if header_m <= laid.width_m + 2 * number("strips.header_over_m"):
        return ()
    header, strip = (amounts.length(one, is_metric=known.is_metric) for one in (header_m, laid.width_m))
    return (Said("trial_ground.header_wider", header=header, strip=strip),)
