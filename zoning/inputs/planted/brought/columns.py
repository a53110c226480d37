"""Which column of a planter's file is what: as told, by its own name, else by common words in the name.

Reads no cell. Of several columns that may be one thing none is taken.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from zoning.errors import SETTINGS, InputError, raise_all
from zoning.inputs import vector
from zoning.inputs.harvest.points.columns import BOTH, words_of
from zoning.inputs.planted.brought.asked import Asked

How = Literal["told", "format", "name", "words"]
Words = frozenset[str]

# Words that say what a column is: of each role those of the first line that any column says.
_WORDS: dict[str, tuple[Words, ...]] = {
    "emerged": (frozenset({"emerged", "emergence"}),),
    "date": (
        frozenset({"planted", "sown", "seeded", "plantdate", "plantingdate"}),
        frozenset({"date", "datetime", "timestamp"}),
        frozenset({"time", "utc"}),
    ),
    "group": (frozenset({"mg", "maturity", "maturitygroup", "rm"}),),
    "population": (
        frozenset({"population", "pop", "seeds", "plants"}),
        frozenset({"rate", "seedrate", "seedingrate"}),
    ),
    "variety": (
        frozenset({"variety", "varieties", "hybrid", "cultivar", "varietyname"}),
        frozenset({"product", "seed"}),
    ),
    "east": (frozenset({"longitude", "lon", "long", "lng"}),),
    "north": (frozenset({"latitude", "lat"}),),
}
_PLANE = frozenset({"x", "y", "east", "easting", "north", "northing"})
_PLANTING = frozenset({"plant", "planting", "sowing", "seeding"})  # with a date: that of planting
_CLOCK = frozenset({"time", "clock"})
# Words after which a column is not the thing itself.
_NOT = frozenset(
    {
        *("average", "avg", "mean", "min", "max", "minimum", "maximum", "sd", "std", "cv", "total"),
        *("cum", "cumulative", "error", "id", "code", "no", "number", "lot", "rating"),
    }
)
_NOT_OF: dict[str, Words] = {
    "date": frozenset(
        {
            *("harvest", "harvested", "export", "exported", "created", "modified", "updated", "maturity"),
            *("population", "pop", "rate", "area", "acres", "depth", "travel", "elapsed", "zone", "count"),
        }
    ),
    "group": frozenset({"date", "day", "days"}),
    "population": frozenset({"depth", "speed", "flow", "weight", "lb", "kg", "spacing", "date", "gal"}),
    "variety": frozenset({"date", "rate", "population", "depth", "spacing", "area", "cost", "price"}),
}
_WANTED = frozenset({"target", "desired", "planned", "setpoint", "control", "prescribed"})
_DONE = frozenset({"actual", "applied", "asapplied", "asplanted"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of a role: its place in the file, and how it was found.

    `beside` is the place of a column of dates that belongs to one of times.
    """

    place: int
    name: str
    how: How
    beside: int | None = None


def matched(
    names: Sequence[str], asked: Asked, known: Mapping[str, int], where: str, *, has_places: bool
) -> dict[str, Column]:
    """Match roles to columns.

    Parameters
    ----------
    names : sequence of str
        As the file has them; "" for a column in which nothing stands.
    asked : Asked
        What was typed wins; then the names of [planting].
    known : mapping of str to int
        Places of columns whose role the format itself says.
    where : str
        How the user calls the file.
    has_places : bool
        Whether the rows have places of their own, so that no column needs to.

    Raises
    ------
    InputError
        Exit 2, all at once: a column that is not there, or several that may be one thing.
    """
    found, faults = _told(names, asked.columns, where)
    for role, place in known.items():
        if role not in asked.columns:
            found[role] = _column(names, [place], "format")
    for role, name in asked.names.items():
        own = _place(names, name)
        if role not in asked.columns and role not in found and own is not None:
            found[role] = _column(names, [own], "name")
    taken = {place for one in found.values() for place in (one.place, one.beside)}
    free = [place for place, name in enumerate(names) if name and place not in taken]
    unwanted = {*asked.columns, *found, *(("east", "north") if has_places else ())}
    for role in (role for role in _WORDS if role not in unwanted):
        places = _saying(role, [names[place] for place in free], free)
        if len(places) > 1:
            listed = ", ".join(names[place] for place in places)
            mend = f"Say which with --column {role}=NAME, or --column {role}= for none."
            what = f"several columns may be the {role}: {listed}"
            faults.append(InputError(what, where=where, mend=mend, code=SETTINGS))
        elif places:
            found[role] = _column(names, places, "words")
            free.remove(places[0])
    raise_all(faults)
    return _with_clock(names, free, found)


def _told(
    names: Sequence[str], columns: Mapping[str, str], where: str
) -> tuple[dict[str, Column], list[InputError]]:
    """Find the columns that were named for roles, and say which are not there."""
    found: dict[str, Column] = {}
    faults: list[InputError] = []
    for role, name in columns.items():
        parts = name.split(BOTH) if name else []
        places = [place for part in parts if (place := _place(names, part)) is not None]
        if len(places) < len(parts) or len(parts) > 2:
            has = ", ".join(name for name in names if name) or "no columns"
            what, mend = f'there is no column "{name}" for {role}', f"The file has {has}."
            faults.append(InputError(what, where=where, mend=mend, code=SETTINGS))
        elif places:
            found[role] = _column(names, places, "told")
    return found, faults


def is_plane(names: Sequence[str]) -> bool:
    """Tell whether places of a plane stand in the file, as east and north in metres."""
    return any(words_of(name) & _PLANE for name in names)


def _place(names: Sequence[str], name: str) -> int | None:
    column = vector.column([one for one in names if one], name.strip())
    return None if column is None else list(names).index(column)


def _column(names: Sequence[str], places: Sequence[int], how: How) -> Column:
    """Give the column; of a date and a time the time with the date beside it."""
    if len(places) == 1:
        return Column(place=places[0], name=names[places[0]], how=how)
    date, time = sorted(places, key=lambda place: "time" in words_of(names[place]))
    return Column(place=time, name=f"{names[date]}{BOTH}{names[time]}", how=how, beside=date)


def _saying(role: str, names: Sequence[str], places: Sequence[int]) -> list[int]:
    """List the columns that may be a role, by the strongest words that any of them says."""
    said = {place: words_of(name) for name, place in zip(names, places, strict=True)}
    fits = {place: words for place, words in said.items() if not words & (_NOT | _NOT_OF.get(role, _NOT))}
    if role == "date":
        dated = [place for place, words in fits.items() if words & _PLANTING and "date" in words]
        if dated:
            return dated
    for line in _WORDS[role]:
        saying = [place for place, words in fits.items() if words & line]
        if saying:
            return _as_done(saying, said) if role == "population" else saying
    return []


def _as_done(places: list[int], said: Mapping[int, Words]) -> list[int]:
    """Of several populations keep what was planted, not what was wanted."""
    done = [place for place in places if said[place] & _DONE]
    not_wanted = [place for place in places if not said[place] & _WANTED]
    return done or not_wanted or places


def _with_clock(names: Sequence[str], free: Sequence[int], found: dict[str, Column]) -> dict[str, Column]:
    """Put a column of times of day to one of dates, where one stands there that was not told."""
    date = found.get("date")
    if date is None or date.how == "told" or date.beside is not None or words_of(date.name) & _CLOCK:
        return found
    clocks = _saying_time(names, free)
    if len(clocks) != 1:
        return found
    both = f"{date.name}{BOTH}{names[clocks[0]]}"
    return found | {"date": Column(place=clocks[0], name=both, how=date.how, beside=date.place)}


def _saying_time(names: Sequence[str], free: Sequence[int]) -> list[int]:
    return [
        place
        for place in free
        if words_of(names[place]) & _CLOCK
        and not words_of(names[place]) & (_NOT | _NOT_OF["date"] | {"date"})
    ]
