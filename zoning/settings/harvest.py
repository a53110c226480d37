"""Rules of [harvest]: what a column of a combine's file may be, and in which units.

The same rules hold for the options of the command. Reads no file of the user's.
"""

import difflib
from collections.abc import Iterator

from zoning import units
from zoning.errors import InputError
from zoning.settings.given import Given
from zoning.settings.plain import fault

ROLES = (
    *("time", "yield", "flow", "moisture", "speed", "distance", "swath", "track", "header", "interval"),
    *("east", "north", "field", "crop"),
)
# The unit that each role has inside, for `zoning.units.factor`.
QUANTITY_OF = {
    **{"yield": "bu_ac", "flow": "kg_s", "speed": "m_s", "distance": "m", "swath": "m"},
    "interval": "s",
}
SHARES = ("%", "share")
CLOCKS = ("s", "ms", "month first", "day first")  # how numbers, and dates such as 05/06, are meant
_WORDS = {"moisture": SHARES, "time": CLOCKS}


def role_fault(role: str) -> tuple[str, str] | None:
    """Say what is wrong with the name of a role, and how to mend it; None where nothing is.

    Examples
    --------
    >>> role_fault("moist")
    ('"moist" is nothing that a column can be', 'Did you mean moisture?')
    """
    if role in ROLES:
        return None
    near = difflib.get_close_matches(role.lower(), ROLES, n=1)
    mend = f"Did you mean {near[0]}?" if near else f"Known are {', '.join(ROLES)}."
    return f'"{role}" is nothing that a column can be', mend


def unit_fault(role: str, unit: str) -> tuple[str, str] | None:
    """Say what is wrong with the unit of a role, and how to mend it; None where nothing is.

    Examples
    --------
    >>> unit_fault("flow", "lb/s") is None, unit_fault("flow", "ft")
    (True, ('"ft" is the wrong kind of unit', 'Use lb/s, kg/s or t/h.'))
    """
    if role in _WORDS:
        words = ", ".join(f'"{word}"' for word in _WORDS[role])
        return None if unit in _WORDS[role] else (f'"{unit}" is no unit of {role}', f"Use {words}.")
    if role not in QUANTITY_OF:
        return f"{role} has no unit", "Take it out."
    try:
        units.factor(unit, QUANTITY_OF[role])
    except units.UnitError as error:
        return error.what, error.mend
    return None


def _table(given: Given, name: str) -> dict[str, object]:
    typed = given.get("harvest", name)
    return typed if isinstance(typed, dict) else {}


def _columns(given: Given) -> Iterator[InputError]:
    columns = _table(given, "columns")
    for role in columns:
        said = role_fault(role)
        if said is not None:
            yield fault(given, ("harvest", "columns", role), *said)
    if columns.get("yield") and columns.get("flow"):
        mend = "Keep the one that the yields are to be taken from."
        yield fault(given, ("harvest", "columns", "flow"), "a yield and a flow are both named", mend)
    if columns.get("moisture") and given.get("harvest", "moisture") is not None:
        mend = "Keep the column, or the one moisture for all points."
        yield fault(given, ("harvest", "moisture"), "a column of moistures is named too", mend)


def _units(given: Given) -> Iterator[InputError]:
    for role, unit in _table(given, "units").items():
        said = role_fault(role) or (unit_fault(role, unit) if isinstance(unit, str) else None)
        if said is not None:
            yield fault(given, ("harvest", "units", role), *said)


RULES = (_columns, _units)
