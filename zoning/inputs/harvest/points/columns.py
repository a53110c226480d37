"""Which column of a combine's file is what, and in which unit: as told, else by common words in its name.

Reads no cell. Of several columns that may be one thing none is taken.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from zoning.errors import SETTINGS, InputError, raise_all
from zoning.inputs import vector
from zoning.settings.harvest import QUANTITY_OF, ROLES, unit_fault

BOTH = " + "  # between the names of a column of dates and one of times

# Words that say what a column is. A column is the first of these that its name says.
_WORDS: dict[str, frozenset[str]] = {
    "interval": frozenset({"interval", "duration", "cycle"}),
    "swath": frozenset({"swath", "swaths", "swth", "width"}),
    "yield": frozenset({"yield", "yields", "yld"}),
    "flow": frozenset({"flow", "massflow", "flowrate"}),
    "moisture": frozenset({"moisture", "moist", "mst", "water"}),
    "speed": frozenset({"speed", "velocity", "spd"}),
    "distance": frozenset({"distance", "dist"}),
    "header": frozenset({"header", "head", "hdr"}),
    "track": frozenset({"pass", "track", "passnum", "passno", "passnumber", "run"}),
    "time": frozenset({"time", "date", "datetime", "timestamp", "utc", "clock"}),
    "east": frozenset({"longitude", "lon", "long", "lng"}),
    "north": frozenset({"latitude", "lat"}),
    "field": frozenset({"field", "paddock", "parcel"}),
    "crop": frozenset({"crop", "commodity"}),
}
_PLANE = {"east": frozenset({"x", "east", "easting"}), "north": frozenset({"y", "north", "northing"})}
# Words after which a column is not the thing itself.
_NOT = frozenset(
    {
        *("target", "expected", "goal", "average", "avg", "mean", "min", "max", "minimum", "maximum", "sd"),
        *("std", "cv", "total", "accumulated", "cum", "cumulative", "offset", "delay", "lag", "factor"),
        *("limit", "error", "calibration", "zone", "loss"),
    }
)
_NOT_OF = {
    "swath": frozenset({"number", "no", "num", "nr", "id"}),
    "header": frozenset({"height", "heading"}),
    "track": frozenset({"deg", "degree", "degrees", "heading", "width"}),
    "field": frozenset({"id", "number", "no", "area", "size", "acres", "speed"}),
    "crop": frozenset({"id", "number", "no", "year", "height"}),
    "yield": frozenset({"moisture", "class", "rank", "index", "revenue", "profit"}),
}
_SHORT = {
    **{"buac": "bu/ac", "bpa": "bu/ac", "tha": "t/ha", "kgha": "kg/ha", "lbac": "lb/ac", "lbsec": "lb/s"},
    **{"lbssec": "lb/s", "kgsec": "kg/s", "kgs": "kg/s", "lbps": "lb/s", "tph": "t/h", "kmph": "km/h"},
    **{"percent": "%", "pct": "%", "perc": "%", "prc": "%", "fraction": "share", "frac": "share"},
}
_SHORT_OF = {"flow": {"lbs": "lb/s"}, "speed": {"ms": "m/s"}}  # in other places these are other units
_IN_BRACKETS = re.compile(r"\s*[(\[{]\s*([^()\[\]{}]*?)\s*[)\]}]\s*")
_WORD = re.compile(r"[A-Z]{2,}(?![a-z])|[A-Z]?[a-z]+|[A-Z]|\d+|%")


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """One column of a role: its place in the file, and the unit that its name says, or "".

    `beside` is the place of a column of dates that belongs to one of times.
    """

    place: int
    name: str
    unit: str
    beside: int | None = None


def understood(role: str, text: str) -> str:
    """Give a unit as it is typed in settings; "" where it is none of that role.

    Examples
    --------
    >>> understood("yield", "bu_ac"), understood("flow", "lbs"), understood("speed", "lb/s")
    ('bu/ac', 'lb/s', '')
    """
    plain = re.sub(r"\s*(/|_| per |\.)\s*", "/", text.strip().lower())
    plain = _SHORT_OF.get(role, {}).get(plain) or _SHORT.get(plain, plain)
    return plain if (role in QUANTITY_OF or role == "moisture") and unit_fault(role, plain) is None else ""


def parted(name: str, role: str) -> tuple[frozenset[str], str]:
    """Part the name of a column into its words and its unit, if it were that role.

    Examples
    --------
    >>> parted("Yld Mass (t/ha)", "yield")[1], parted("SwathWidth_ft", "swath")[1]
    ('t/ha', 'ft')
    """
    bracket = _IN_BRACKETS.search(name)
    if bracket is not None:
        unit = understood(role, bracket[1])
        if unit:
            return words_of(_IN_BRACKETS.sub(" ", name)), unit
    listed = [word.lower() for word in _WORD.findall(name)]
    for length in (3, 2, 1):
        tail = listed[-length:]
        if len(listed) <= length or (length == 3 and tail[1] not in ("per", "a")):
            continue
        unit = understood(role, f"{tail[0]}/{tail[-1]}" if length > 1 else tail[0])
        if unit:
            return frozenset(listed[:-length]), unit
    return frozenset(listed), ""


def words_of(name: str) -> frozenset[str]:
    """Part the name of a column into its words, in small letters.

    Examples
    --------
    >>> sorted(words_of("PlantDate_2026"))
    ['2026', 'date', 'plant']
    """
    return frozenset(word.lower() for word in _WORD.findall(name))


def may_be(name: str, *, has_places: bool) -> str:
    """Say what a column is by the words in its name, or "".

    Examples
    --------
    >>> [may_be(name, has_places=False) for name in ("Grain Flow (lb/s)", "Header width", "Elevation")]
    ['flow', 'swath', '']
    """
    for role, words in _WORDS.items():
        if has_places and role in _PLANE:
            continue
        said, _ = parted(name, role)
        if said & words and not said & (_NOT | _NOT_OF.get(role, frozenset())):
            return role
    plain = words_of(name)
    for role, words in _PLANE.items():
        if not has_places and plain & words and plain <= words | {"m", "coordinate", "coord", "utm"}:
            return f"plane {role}"
    return ""


def matched(
    names: Sequence[str], typed: Mapping[str, str], where: str, yields: str = "", *, has_places: bool
) -> dict[str, Found]:
    """Match roles to columns.

    Parameters
    ----------
    names : sequence of str
        As the file has them.
    typed : mapping of str to str
        Role -> name of its column, "" for none; these win.
    where : str
        How the user calls the file.
    yields : str
        "dry" or "wet", where that was told: then it chooses between columns that say so.
    has_places : bool
        Whether the rows have places of their own, so that no column needs to.

    Returns
    -------
    dict of str to Found

    Raises
    ------
    InputError
        Exit 2, all at once: a column that is not there, or several that may be one thing.
    """
    faults: list[InputError] = []
    found: dict[str, Found] = {}
    for role, name in typed.items():
        parts = name.split(BOTH) if name else []
        known = [place for part in parts if (place := _place(names, part)) is not None]
        if len(known) < len(parts):
            what, mend = f'there is no column "{name}" for {role}', _has(names)
            faults.append(InputError(what, where=where, mend=mend, code=SETTINGS))
        elif known:
            found[role] = _found(role, names, known)
    taken = {place for one in found.values() for place in (one.place, one.beside)}
    guessed: dict[str, list[int]] = {}
    for place, name in enumerate(names):
        if place not in taken:
            guessed.setdefault(may_be(name, has_places=has_places), []).append(place)
    for role in ROLES:
        places = guessed.get(role, [])
        if role in typed or not places:
            continue
        places = _chosen(role, places, names, yields)
        if len(places) > 1 and not (role == "time" and _date_and_time(names, places)):
            listed = ", ".join(names[place] for place in places)
            mend = f'Say which with --column {role}=NAME or in [harvest.columns], {role} = "" for none.'
            what = f"several columns may be the {role}: {listed}"
            faults.append(InputError(what, where=where, mend=mend, code=SETTINGS))
        else:
            found[role] = _found(role, names, places)
    raise_all(faults)
    return found | _planes(guessed, names, found)


def _has(names: Sequence[str]) -> str:
    return f"The file has {', '.join(names) or 'no columns'}."


def _place(names: Sequence[str], name: str) -> int | None:
    column = vector.column(list(names), name.strip())
    return None if column is None else list(names).index(column)


def _chosen(role: str, places: list[int], names: Sequence[str], yields: str) -> list[int]:
    """Keep the columns that say "dry" or "wet" where one of these was told."""
    saying = [place for place in places if yields and yields in words_of(names[place])]
    return saying if role == "yield" and saying else places


def _is_date(name: str) -> bool:
    words = words_of(name)
    return "date" in words and "time" not in words


def _date_and_time(names: Sequence[str], places: list[int]) -> bool:
    return len(places) == 2 and sum(_is_date(names[place]) for place in places) == 1


def _found(role: str, names: Sequence[str], places: list[int]) -> Found:
    """Give the column, of a date and a time the time with the date beside it."""
    first, beside = places[0], None
    if len(places) > 1:
        beside, first = sorted(places[:2], key=lambda place: not _is_date(names[place]))
    name = names[first] if beside is None else f"{names[beside]}{BOTH}{names[first]}"
    return Found(place=first, name=name, unit=parted(names[first], role)[1], beside=beside)


def _planes(
    guessed: Mapping[str, list[int]], names: Sequence[str], found: Mapping[str, Found]
) -> dict[str, Found]:
    """Give columns of a plane under names of their own, so that the reader can say why it refuses them."""
    if "east" in found and "north" in found:
        return {}
    return {
        role: Found(place=guessed[role][0], name=names[guessed[role][0]], unit="")
        for role in ("plane east", "plane north")
        if guessed.get(role)
    }
