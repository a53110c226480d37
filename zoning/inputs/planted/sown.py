"""What the rows of a planting file say: day, emergence, maturity group, variety, expected yield.

Checks each value and the season; knows no geometry.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from zoning import units
from zoning.errors import SETTINGS, InputError, raise_all
from zoning.evidence import named, number, numbers
from zoning.inputs import dates, files, vector
from zoning.inputs.ground.boundary import Boundary
from zoning.settings.model import GROUPS_IN_WORDS, Settings


@dataclass(frozen=True, slots=True)
class Sown:
    """What one row says; rows that say the same belong to one block."""

    planted: date
    emerged: date | None
    maturity_group: float
    variety: str
    expected_yield_bu_ac: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Place:
    """Where and when we are: what a row is judged by."""

    settings: Settings
    boundary: Boundary
    today: date


def season_bounds(season: int, latitude_deg: float) -> tuple[date, date]:
    """Give the first and last planting day that can belong to a season, named by its year of harvest.

    Examples
    --------
    >>> season_bounds(2026, 44.3)
    (datetime.date(2025, 10, 1), datetime.date(2026, 12, 31))
    >>> season_bounds(2026, -32.0)  # planted in the year before
    (datetime.date(2025, 4, 1), datetime.date(2026, 6, 30))
    """
    after = season * 12 + _last_month(latitude_deg)  # months since the year 0
    first = after - int(number("inputs.season_reach_months"))
    end = date(after // 12, after % 12 + 1, 1) - timedelta(days=1)
    return date(first // 12, first % 12 + 1, 1), end


def season_of(settings: Settings, today: date, latitude_deg: float) -> int:
    """Give the year of harvest: as set, or else that of the season in which `today` lies."""
    if settings.season is not None:
        return settings.season
    return today.year + (today.month > _last_month(latitude_deg))


def _last_month(latitude_deg: float) -> int:
    return int(named("inputs.season_last_month")["north" if latitude_deg >= 0 else "south"])


def one_date(place: Place) -> Sown:
    """Take the one planting date of the settings, for the whole field.

    Raises
    ------
    InputError
        Without a date (exit 2), or with one of another season.
    """
    settings = place.settings
    if settings.planting.on is None:
        mend = "Add a planting file, or date = 2026-05-06 for the whole field."
        raise InputError("no planting is given", where=settings.where("planting"), mend=mend, code=SETTINGS)
    sown = Sown(
        settings.planting.on, None, settings.maturity_group, settings.variety, settings.expected_yield_bu_ac
    )
    where = settings.where("planting.date")
    raise_all([InputError(what, where=where, mend=mend) for what, mend in _doubts(place, sown)])
    return sown


def rows_of(place: Place, found: vector.Vector) -> list[tuple[Sown, datetime]]:
    """Read every row of a planting file, with the time of its record on the farm's clock.

    Raises
    ------
    InputError
        For all rows together: a date that cannot be read or is of another season, a maturity group out of
        range, a yield without its unit.
    """
    columns = _columns(place.settings, found)
    faults: list[InputError] = []
    rows: list[tuple[Sown, datetime]] = []
    known = _Known()
    for feature in found.features:
        cells = {ours: feature.columns[theirs] for ours, theirs in columns.items()}
        try:
            rows.append(_row(place, cells, known))
        except _RowError as error:
            where = f"{found.file}: row {feature.number}"
            faults += [InputError(what, where=where, mend=mend) for what, mend in error.faults]
    raise_all(files.at_most(faults, found.file))
    return rows


@dataclass(slots=True)
class _Known:
    """What cells say that were met already: of many records few differ in more than their time."""

    cells: dict[tuple[str, ...], "_Cells"] = field(default_factory=dict)
    faults: dict[Sown, list[tuple[str, str]]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Cells:
    """What a row says but for its time, and what is wrong with it."""

    emerged: date | None
    maturity_group: float
    variety: str
    expected_yield_bu_ac: float | None
    faults: tuple[tuple[str, str], ...]


class _RowError(ValueError):
    def __init__(self, faults: list[tuple[str, str]]) -> None:
        super().__init__(str(faults))
        self.faults = faults


def _columns(settings: Settings, found: vector.Vector) -> dict[str, str]:
    """Match our names to the file's columns: exactly, without case, or cut as a shapefile cuts them."""
    wanted = {
        "planted": settings.planting.date_column,
        "emerged": settings.planting.emerged_column,
        "maturity_group": settings.planting.group_column,
        "variety": settings.planting.variety_column,
        "expected_yield": settings.planting.yield_column,
    }
    theirs = list(found.features[0].columns)
    found_there = {ours: vector.column(theirs, name) for ours, name in wanted.items()}
    matched = {ours: column for ours, column in found_there.items() if column is not None}
    if "planted" not in matched:
        mend = f"Name it in [planting] date_column; the file has {', '.join(theirs) or 'no columns'}."
        raise InputError(f'there is no column "{wanted["planted"]}"', where=found.file, mend=mend)
    return matched


def _row(place: Place, cells: Mapping[str, object], known: _Known) -> tuple[Sown, datetime]:
    faults: list[tuple[str, str]] = []
    when = None
    try:
        when = _local(place, cells["planted"])
    except ValueError as error:
        faults.append((str(error), dates.HOW))
    key = tuple(repr(value) for name, value in cells.items() if name != "planted")
    if key not in known.cells:
        known.cells[key] = _rest(place, cells)
    said = known.cells[key]
    if when is not None:
        sown = Sown(when.date(), said.emerged, said.maturity_group, said.variety, said.expected_yield_bu_ac)
        if sown not in known.faults:
            known.faults[sown] = list(_doubts(place, sown))
        faults += [*said.faults, *known.faults[sown]]
        if not faults:
            return sown, when
    else:
        faults += said.faults
    raise _RowError(faults)


def _rest(place: Place, cells: Mapping[str, object]) -> _Cells:
    """Read the cells of a row but for its time."""
    settings, faults = place.settings, list[tuple[str, str]]()
    emerged = None
    group, yield_bu_ac = settings.maturity_group, settings.expected_yield_bu_ac
    try:
        if _given(cells, "emerged"):
            emerged = _local(place, cells["emerged"]).date()
    except ValueError as error:
        faults.append((str(error), dates.HOW))
    try:
        group = _group(cells["maturity_group"]) if _given(cells, "maturity_group") else group
    except ValueError:
        faults.append((f'maturity group "{cells["maturity_group"]}" is not a number', "Write it as 2.1."))
    try:
        if _given(cells, "expected_yield"):
            yield_bu_ac = units.parse(cells["expected_yield"], "bu_ac")
    except units.UnitError as error:
        faults.append((f"expected yield {cells['expected_yield']}: {error.what}", error.mend))
    variety = str(cells["variety"]).strip() if _given(cells, "variety") else settings.variety
    return _Cells(emerged, group, variety, yield_bu_ac, tuple(faults))


def _given(cells: Mapping[str, object], name: str) -> bool:
    value = cells.get(name)
    return value is not None and str(value).strip() != ""


def _local(place: Place, value: object) -> datetime:
    if value is None or not str(value).strip():
        raise ValueError("the date is empty")
    return dates.local(dates.stamp(value), place.settings.time_zone, place.boundary.longitude_deg)


def _group(value: object) -> float:
    text = str(value).strip().upper()
    return GROUPS_IN_WORDS[text] if text in GROUPS_IN_WORDS else float(text)


def _doubts(place: Place, sown: Sown) -> Iterator[tuple[str, str]]:
    """Name what cannot be, with how to mend it."""
    latitude_deg = place.boundary.latitude_deg
    season = season_of(place.settings, place.today, latitude_deg)
    first, last = season_bounds(season, latitude_deg)
    if not first <= sown.planted <= last:
        mend = f"The season {season} takes {first} to {last}; correct the date, or season in farm.toml."
        yield f"planted {sown.planted} is in another season", mend
    low, high = numbers("inputs.maturity_group_range")
    if not low <= sown.maturity_group <= high:
        yield (
            f"maturity group {sown.maturity_group:g} is out of range",
            f"It lies within {low:g} to {high:g}.",
        )
    if sown.emerged is not None:
        days = (sown.emerged - sown.planted).days
        if not 0 <= days <= number("inputs.emergence_longest_d"):
            yield f"emerged {sown.emerged} does not follow planted {sown.planted}", "Correct one of the two."
    highest = number("inputs.yield_highest_bu_ac")
    if sown.expected_yield_bu_ac is not None and not 0 < sown.expected_yield_bu_ac <= highest:
        yield f"expected yield {sown.expected_yield_bu_ac:g} bu/ac is out of range", "Check its unit."
