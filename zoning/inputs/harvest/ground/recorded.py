"""Which passes of a season put the product on a field, and what the sprayer's own files say of them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import shapely

from zoning.errors import InputError
from zoning.evidence import number
from zoning.inputs import applied, done
from zoning.inputs.applied import Applied
from zoning.inputs.given import Area, FieldInputs, Sprayed, as_compared
from zoning.inputs.ground.boundary import polygons_of
from zoning.settings.model import Settings, Sprayer
from zoning.words import Said

_FOLDER = "applied/"  # where `sprayworth done --as-applied` keeps a machine's file
_RATE = "rate_gal_ac"  # its column there
_WORTH_SAYING_FRAC = 0.02  # of what a file treats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Recorded:
    """The passes of the season with the product, in the order of done.csv; `others` are with another one."""

    rows: tuple[Sprayed, ...]
    others: tuple[Sprayed, ...]
    product: str  # as the settings call it, else as the rows do

    @property
    def days(self) -> tuple[date, ...]:
        """The days of the passes, sorted."""
        return tuple(sorted({row.on for row in self.rows}))

    @property
    def notes(self) -> tuple[Said, ...]:
        """Passes that do not count."""
        return tuple(
            Said("trial_ground.other_product", day=one.on, product=one.product, ours=self.product)
            for one in self.others
        )


def recorded(settings: Settings, given: FieldInputs, today: date) -> Recorded:
    """Read the passes over this crop up to today.

    Raises
    ------
    InputError
        What is wrong with done.csv; several products in it, where the settings name none.
    """
    planted = max(block.planted for block in given.blocks)
    rows = [one for one in done.of_field(settings) if planted < one.on <= today]
    if settings.product is not None:
        product = settings.product.name
    else:
        names = list({as_compared(one.product): one.product for one in rows}.values())
        if len(names) > 1:
            what = f"this crop was sprayed with {', '.join(sorted(names))}, and no product is named"
            raise InputError(what, where=done.FILE, mend="Name the one that is tried, in [product] name.")
        product = names[0] if names else ""
    mine = [one for one in rows if as_compared(one.product) == as_compared(product)]
    others = tuple(one for one in rows if one not in mine)
    return Recorded(rows=tuple(mine), others=others, product=product)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Machine:
    """What a sprayer's files treat; `rest` are the passes of which there is none."""

    treated: Area
    paths: tuple[Path, ...]
    rest: tuple[Sprayed, ...]
    notes: tuple[Said, ...]


def by_machine(
    settings: Settings,
    given: FieldInputs,
    passes: Recorded,
    zones: Mapping[int, Area],
    file: Path | None,
    rate_column: str = "",
) -> Machine | None:
    """Read what sprayers wrote down of the passes.

    Parameters
    ----------
    settings : Settings
    given : FieldInputs
    passes : Recorded
    zones : mapping of int to Polygon or MultiPolygon
        In the plane of the field's grid.
    file : Path or None
        Named by the user: it tells of all passes. None for what `sprayworth done --as-applied` kept.
    rate_column : str
        Of `file`; "" for the one whose name says so.

    Returns
    -------
    Machine or None
        None where there is no such file. Seams between swaths are closed.

    Raises
    ------
    InputError
        What `applied.read` refuses; a kept file that is not there any more.
    """
    kept = {row: _kept_as(row) for row in passes.rows}
    named = [settings.folder / one for one in dict.fromkeys(kept.values()) if one]
    lost = [path for path in named if not path.is_file()]
    if file is None and lost:
        what = f"it names {_FOLDER}{lost[0].name}, and there is no such file"
        mend = "Bring the file back, or name what the sprayer wrote with --applied."
        raise InputError(what, where=done.FILE, mend=mend)
    paths = (file,) if file is not None else tuple(named)
    if not paths:
        return None
    ground = applied.Ground(
        epsg=given.grid.epsg,
        zones={0: given.boundary},
        swath_m=boom_m(settings, passes.rows),
        is_metric=settings.units == "metric",
    )
    column = rate_column if file is not None else _RATE
    found = [(path.name, applied.read(path, path.name, ground, column)) for path in paths]
    treated = _closed([one.treated for _, one in found])
    notes = [note for name, one in found for note in _doubts(name, one)]
    with_file = [row for row in passes.rows if file is not None or kept[row]]
    notes += _against_done(with_file, zones, treated)
    if file is None:
        notes += _not_named(settings, paths, passes)
    elif not passes.rows:
        notes.append(Said("trial_ground.no_day", file=file.name))
    rest = tuple(row for row in passes.rows if row not in with_file)
    return Machine(treated=treated, paths=paths, rest=rest, notes=tuple(notes))


def boom_m(settings: Settings, rows: Sequence[Sprayed]) -> float | None:
    """Give the boom that made passes; None where machines differ and nobody says which it was. [m]."""
    booms_m = {one.boom_m for one in sprayers(settings, rows)}
    return booms_m.pop() if len(booms_m) == 1 else None


def sprayers(settings: Settings, rows: Sequence[Sprayed]) -> tuple[Sprayer, ...]:
    """Give the machines that passes name; all of the farm where they name none that it has."""
    names = {as_compared(row.sprayer) for row in rows}
    named = tuple(one for one in settings.sprayers if as_compared(one.name) in names)
    return named or settings.sprayers


def _kept_as(row: Sprayed) -> str:
    """Give the machine's file of a pass, from the field's folder; "" where it has none."""
    first = row.source.split(";")[0].strip()
    return first if first.startswith(_FOLDER) else ""


def _closed(parts: Sequence[Area]) -> Area:
    """Join what was treated, without the seams between swaths."""
    half_m = number("inputs.applied_seam_m") / 2
    whole = shapely.buffer(shapely.union_all(list(parts)), half_m, join_style="mitre")
    return polygons_of(shapely.buffer(whole, -half_m, join_style="mitre"))


def _doubts(file: str, found: Applied) -> list[Said]:
    notes = []
    if not found.is_unit_named:
        notes.append(Said("trial_ground.rate_unit", column=found.column, file=file, unit=found.unit))
    if found.is_points:
        notes.append(Said("done.from_points", file=file))
    if found.outside_frac > _WORTH_SAYING_FRAC:
        notes.append(Said("done.outside", file=file, percent=100 * found.outside_frac))
    return notes


def _against_done(rows: Sequence[Sprayed], zones: Mapping[int, Area], treated: Area) -> list[Said]:
    """Name zones that done.csv calls sprayed, and the machine's file does not."""
    least = number("inputs.done_treated_least_frac")
    notes = []
    for row in rows:
        for zone in sorted(row.zone_numbers & set(zones) or set(zones)):
            share = shapely.intersection(zones[zone], treated).area / zones[zone].area
            if share < least:
                told = {"zone": zone, "day": row.on, "percent": 100 * share}
                notes.append(Said("trial_ground.file_over_done", **told))
    return notes


def _not_named(settings: Settings, paths: Sequence[Path], passes: Recorded) -> list[Said]:
    """Name files that were kept in this season and belong to no pass that counts."""
    years = {day.year for day in passes.days}
    beside = sorted((settings.folder / _FOLDER).glob("*.geojson"))
    return [
        Said("trial_ground.not_named", file=f"{_FOLDER}{path.name}", product=passes.product)
        for path in beside
        if path not in paths and any(path.name.startswith(f"{year}-") for year in years)
    ]
