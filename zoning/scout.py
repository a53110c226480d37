"""Where to walk: every zone of a field or farm, ranked by what one count there is worth today.

Also the way in for a consultant's points. The sums are in `passes.walk`; nothing is written here.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from zoning import field as one_field
from zoning.errors import SETTINGS, InputError
from zoning.evidence import number
from zoning.inputs.scouting import add as adding
from zoning.inputs.scouting.add import Added
from zoning.offers import walks
from zoning.offers.offered import Offer, OfferedZone
from zoning.passes.walk import Walk, WalkZone, weigh
from zoning.seen import gather
from zoning.settings.model import Settings
from zoning.settings.read import fields_of, is_farm, load
from zoning.show.added import added_object as added_object
from zoning.show.added import added_text as added_text
from zoning.show.walks import ScoutAnswer, ScoutRow
from zoning.show.walks import scout_object as scout_object
from zoning.show.walks import scout_text as scout_text
from zoning.stage.forecast import window
from zoning.words import Said

# notes of an offer that matter here
_TOLD = (
    "stage.",
    "seen.",
    "season.",
    "inputs.scouting",
    "inputs.count",
    "offers.no_dates",
    "returns.white_mold",
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Known:
    """A field with its offer, and when somebody may walk into it."""

    settings: Settings
    offer: Offer
    first_day: int | None
    why: Said | None


def rank(
    folder: Path,
    *,
    today: date | None,
    seed: int,
    clock: date,
    walk_cost_usd: float | None = None,
) -> ScoutAnswer:
    """Rank the zones of a field, or of a farm, by the value of one count.

    Parameters
    ----------
    folder : Path
        A field's folder, or a farm's.
    today, seed, clock
        As for `zoning.field.run`.
    walk_cost_usd : float, optional
        What a walk costs; else the usual figure. [USD]

    Raises
    ------
    InputError
        What is wrong with a field, or with the farm's done.csv; on a farm a field's own faults are in the
        answer.
    """
    folders = _fields(folder)
    seen = gather(folders, today=today, clock=clock, seed=seed) if is_farm(folder) else None
    fields: list[_Known] = []
    failures: list[tuple[str, InputError]] = []
    for path in folders:
        try:
            settings = load(path)
            offer = one_field.offer(path, today=today, seed=seed, clock=clock, seen=seen)
        except InputError as fault:
            if seen is None:
                raise
            failures.append((path.name, fault))
            continue
        fields.append(_known(settings, offer))
    zones = [(one, zone) for one in fields for zone in one.offer.zones if zone.spot is not None]
    rows = _rows(zones, weigh(_walk_zones(fields), seed))
    cost_usd = number("passes.walk_worth_usd") if walk_cost_usd is None else walk_cost_usd
    return ScoutAnswer(
        name=_name(fields, folder),
        today=fields[0].offer.today if fields else today or clock,
        metric=bool(fields) and fields[0].offer.units == "metric",
        has_money=any(row.walk.usd is not None for row in rows),
        walk_cost_usd=cost_usd,
        rows=rows,
        notes=_notes(rows, cost_usd),
        field_notes=_field_notes(fields, failures),
        failures=tuple(failures),
    )


def add(file: Path, folder: Path, *, today: date | None, clock: date) -> Added:
    """Add a consultant's points to the field, or to the fields of the farm, that hold them."""
    folders = _fields(folder)
    return adding.add(file, folders, today or _as_of(folders) or clock)


def _as_of(folders: Sequence[Path]) -> date | None:
    """Give the day of the first field whose settings can be read."""
    for folder in folders:
        try:
            return load(folder).as_of
        except InputError:
            continue
    return None


def _fields(folder: Path) -> tuple[Path, ...]:
    if not is_farm(folder):
        return (folder,)
    folders = fields_of(folder)
    if not folders:
        mend = "Put each field into a folder of its own with a field.toml; `sprayworth new` makes one."
        raise InputError("no field in this farm", where=folder, mend=mend, code=SETTINGS)
    return folders


def _name(fields: Sequence[_Known], folder: Path) -> str:
    if not fields:
        return folder.resolve().name
    settings = fields[0].settings
    return (settings.farm_name or folder.resolve().name) if is_farm(folder) else settings.name


def _known(settings: Settings, offer: Offer) -> _Known:
    """Look up what was sprayed in a field."""
    enter, why = walks.may_enter(settings, offer.today)
    return _Known(settings=settings, offer=offer, first_day=enter, why=why)


def _walk_zones(fields: Sequence[_Known]) -> list[WalkZone]:
    """Give all dated zones of all fields."""
    found: list[WalkZone] = []
    names: set[str] = set()
    for one in fields:
        name = one.settings.name
        if name in names:  # two fields of one name share no more than their variety
            name = f"{name} ({one.settings.folder.name})"
        names.add(name)
        found += walks.walk_zones(one.offer, one.first_day, name)
    return found


def _rows(
    zones: Sequence[tuple[_Known, OfferedZone]], weighed: Sequence[Walk | None]
) -> tuple[ScoutRow, ...]:
    rows = []
    for (one, zone), walk in zip(zones, weighed, strict=True):
        if walk is None or zone.stage is None:
            continue
        told = [zones[at] for at, usd_ac in walk.informs if usd_ac >= walks.INFORMED_USD_AC]
        can_walk_today = walk.first_day == one.offer.today.toordinal()
        rows.append(
            ScoutRow(
                field=one.settings.name,
                zone=zone.zone,
                block=zone.block,
                area_ac=zone.area_ac,
                lonlat=walks.inside(zone),
                r3_likely=window(zone.stage).r3_likely,
                usd_today=walk.first_usd if can_walk_today else None,
                walk=walk,
                informs=tuple((field.settings.name, other.zone) for field, other in told),
                informed_ac=sum(other.area_ac for _, other in told),
            )
        )
    return tuple(sorted(rows, key=_order))


def _order(row: ScoutRow) -> tuple[float, float, float]:
    """Order by the value today, then by the value later, then by what it takes off the SD."""
    return -(row.usd_today or 0.0), -row.best_usd, -row.gained_d


def _notes(rows: Sequence[ScoutRow], cost_usd: float) -> tuple[Said, ...]:
    """Say when no count is worth a walk, and what a ranking without money goes by."""
    if not any(row.walk.usd is not None for row in rows):
        return (Said("scout.no_money"),) if rows else ()
    best_usd = max(row.best_usd for row in rows)
    if best_usd < cost_usd:
        return (Said("scout.none", usd=best_usd, cost=cost_usd),)
    return (Said("scout.again"),) if len(rows) > 1 else ()


def _field_notes(
    fields: Sequence[_Known], failures: Sequence[tuple[str, InputError]]
) -> tuple[tuple[str, Said], ...]:
    """List what keeps people out of fields, and what should be known of their dates and counts.

    A field that failed speaks for itself, not once more in the notes of the others.
    """
    told = [(one.settings.name, one.why) for one in fields if one.why is not None]
    once: set[Said] = set()
    for one in fields:
        for said in one.offer.notes:
            if said.code.startswith("seen.") and (failures or said in once):
                continue
            if said.code.startswith(_TOLD):
                once.add(said)
                told.append((one.settings.name, said))
    return tuple(told)
