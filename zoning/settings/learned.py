"""learned.toml: what the farm's own strips said, a trial an entry, and how it is read and written.

The file lies beside farm.toml, of a field without a farm beside field.toml. Nothing is computed here from
what it says; which trials count, and how, is for `zoning.returns.own`.
"""

import difflib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any, get_args

from zoning.errors import SETTINGS, InputError, raise_all
from zoning.settings import toml_text
from zoning.settings.given import Given, as_toml
from zoning.settings.lines import Steps, lines_of
from zoning.settings.quantities import Pressure

FILE = "learned.toml"
SCHEMA_VERSION = 1
_TOP = ("schema_version", "trial")

_HEADER = """\
# What your own check strips said of the yield response. `sprayworth strips` writes this file after a harvest;
# the source "own trials" in [response] of farm.toml reads it. Take a [[trial]] out to forget it.
"""
_PRESSURES: tuple[Pressure, ...] = get_args(Pressure)
# What may stand in an entry: lowest and highest, as for the same things in [response] and `season`. No strips
# are surer than a hundredth of a bushel.
_RANGES = {"season": (1950, 2200), "mean_bu_ac": (-10, 20), "se_bu_ac": (0.01, 10), "pairs": (1, 1000)}
_WHOLE = ("season", "pairs")
_EXAMPLES = {
    "season": "2026",
    "field": '"north"',
    "pressure": '"unknown"',
    "mean_bu_ac": "2.4",
    "se_bu_ac": "1.1",
    "pairs": "4",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedTrial:
    """What the strips of one field said in one season, of ground in one pressure class.

    `field` is the name of its folder. A field counts once in a season and class; a season counts once however
    many fields tell of it (`returns.own`).
    """

    season: int
    field: str
    pressure: Pressure
    mean_bu_ac: float
    se_bu_ac: float
    pairs: int


_KEYS = tuple(one.name for one in fields(LearnedTrial))


def path_of(folder: Path, farm_folder: Path | None) -> Path:
    """Say where learned.toml lies: beside farm.toml, of a field without a farm beside field.toml."""
    return (farm_folder or folder) / FILE


def read(path: Path) -> tuple[LearnedTrial, ...]:
    """Read a learned.toml; without the file there is no trial.

    Raises
    ------
    InputError
        Code 2, all faults at once; code 4 without permission to read it.
    """
    if path.is_dir():
        mend = "Put it away; `sprayworth strips` writes the file in its place."
        raise InputError("this is a folder, not a file", where=path.name, mend=mend, code=SETTINGS)
    if path.exists() and not path.is_file():  # reading a pipe or a device would never end
        mend = "Put away what is there; `sprayworth strips` writes the file in its place."
        raise InputError("this is a pipe or a device, not a file", where=path.name, mend=mend, code=SETTINGS)
    return parse(toml_text.read(path), path.name) if path.exists() else ()


def parse(text: str, where: str = FILE) -> tuple[LearnedTrial, ...]:
    r"""Read the text of learned.toml.

    Parameters
    ----------
    text : str
        As `as_text` makes it; entries may have been taken out, moved or changed. Nothing at all: no trial.
    where : str
        The file's name, for messages.

    Returns
    -------
    tuple of LearnedTrial
        By season, field and pressure class.

    Raises
    ------
    InputError
        Code 2; all faults together, each as `learned.toml:12: trial[2].pairs = 0: what. mend`.

    Examples
    --------
    >>> parse('schema_version = 1\n[[trial]]\nseason = 2026\nfield = "north"\npressure = "unknown"\n'
    ...       'mean_bu_ac = 2.4\nse_bu_ac = 1.1\npairs = 4\n')[0].mean_bu_ac
    2.4
    """
    data = toml_text.parse(text, where)
    places: dict[Steps, str] = {steps: f"{where}:{line}" for steps, line in lines_of(text).items()}
    given = Given(data, places, where)
    if not data:
        return ()
    raise_all(list(_of_version(given, where)))
    listed = data.get("trial", [])
    if not isinstance(listed, list) or not all(isinstance(one, dict) for one in listed):
        mend = "Write the header of each entry as [[trial]]."
        raise InputError("a list of tables is expected", where=given.where("trial"), mend=mend, code=SETTINGS)
    found = [_unknown(given, (key,), _TOP) for key in data if key not in _TOP]
    found += [fault for number, one in enumerate(listed) for fault in _of_entry(given, number, one)]
    raise_all(found or list(_twice(given, listed)))
    return in_order(_trial(one) for one in listed)


def _trial(entry: Mapping[str, Any]) -> LearnedTrial:
    return LearnedTrial(
        season=entry["season"],
        field=entry["field"],
        pressure=entry["pressure"],
        mean_bu_ac=float(entry["mean_bu_ac"]),
        se_bu_ac=float(entry["se_bu_ac"]),
        pairs=entry["pairs"],
    )


def _of_version(given: Given, where: str) -> Iterator[InputError]:
    version = given.get("schema_version")
    if version is None:
        mend = f"Add schema_version = {SCHEMA_VERSION} above the first entry."
        yield InputError("missing", where=f"{where}: schema_version", mend=mend, code=SETTINGS)
    elif not isinstance(version, int) or isinstance(version, bool) or version < 1:
        mend = f"Write schema_version = {SCHEMA_VERSION}."
        yield _fault(given, ("schema_version",), "not a version that is known", mend)
    elif version > SCHEMA_VERSION:
        mend = "Update sprayworth, or put the file away and judge the harvests anew."
        yield _fault(given, ("schema_version",), "written by a newer sprayworth", mend)


def _of_entry(given: Given, number: int, entry: Mapping[str, Any]) -> Iterator[InputError]:
    for key in entry:
        if key not in _KEYS:
            yield _unknown(given, ("trial", number, key), _KEYS)
    for key in _KEYS:
        steps = ("trial", number, key)
        if key not in entry:
            yield _fault(given, steps, "missing", f"Add it, written like {key} = {_EXAMPLES[key]}.")
        elif key == "pressure":
            yield from _of_pressure(given, steps, entry[key])
        elif key == "field":
            if not isinstance(entry[key], str) or not entry[key].strip():
                yield _fault(given, steps, "the name of a field's folder is expected", "Put it in quotes.")
        else:
            yield from _of_number(given, steps, entry[key])


def _of_pressure(given: Given, steps: Steps, raw: object) -> Iterator[InputError]:
    if raw not in _PRESSURES:
        known = ", ".join(as_toml(one) for one in _PRESSURES)
        near = difflib.get_close_matches(str(raw).lower(), _PRESSURES, n=1)
        mend = f"Did you mean {as_toml(near[0])}? Known are {known}." if near else f"Write one of {known}."
        yield _fault(given, steps, "not one of the words known here", mend)


def _of_number(given: Given, steps: Steps, raw: object) -> Iterator[InputError]:
    key = str(steps[-1])
    is_whole = key in _WHOLE
    if isinstance(raw, bool) or not isinstance(raw, int if is_whole else int | float):
        kind = "a whole number" if is_whole else "a plain number"
        yield _fault(given, steps, f"{kind} is expected", f"Write it like {key} = {_EXAMPLES[key]}.")
        return
    low, high = _RANGES[key]
    if not low <= raw <= high:  # what is not a number is in no range
        mend = f"Give at least {low}." if raw < low else f"Give at most {high}."
        yield _fault(given, steps, "out of range", mend)


def may_stand(trial: LearnedTrial) -> bool:
    """Whether `parse` takes a trial: its figures are within what a response can be."""
    try:
        parse(as_text([trial]))
    except InputError:
        return False
    return True


def _twice(given: Given, listed: Iterable[Mapping[str, Any]]) -> Iterator[InputError]:
    seen: dict[tuple[object, ...], int] = {}
    for number, entry in enumerate(listed):
        key = entry["season"], entry["field"], entry["pressure"]
        if key in seen:
            what = f"season, field and pressure are those of trial[{seen[key] + 1}]"
            yield InputError(
                what,
                where=f"{given.place(('trial', number))}: trial[{number + 1}]",
                mend="Keep the one that holds.",
                code=SETTINGS,
            )
        seen.setdefault(key, number)


def _unknown(given: Given, steps: Steps, known: Iterable[str]) -> InputError:
    near = difflib.get_close_matches(str(steps[-1]).lower(), list(known), n=1)
    return _fault(given, steps, "unknown key", f"Did you mean {near[0]}?" if near else "Take it out.")


def _fault(given: Given, steps: Steps, what: str, mend: str) -> InputError:
    return InputError(what, where=given.where(*steps), mend=mend, code=SETTINGS)


def as_text(trials: Iterable[LearnedTrial]) -> str:
    """Write trials as the text of learned.toml; `parse` gives the same trials back.

    Examples
    --------
    >>> one = LearnedTrial(season=2026, field="north", pressure="unknown", mean_bu_ac=2.4, se_bu_ac=1.1,
    ...     pairs=4)
    >>> parse(as_text([one])) == (one,)
    True
    """
    entries = ("".join(_lines_of(one)) for one in in_order(trials))
    return "\n".join([_HEADER, f"schema_version = {SCHEMA_VERSION}\n", *entries])


def _lines_of(trial: LearnedTrial) -> Iterator[str]:
    yield "[[trial]]\n"
    for key in _KEYS:
        value = getattr(trial, key)
        yield f"{key} = {_quoted(value) if isinstance(value, str) else repr(value)}\n"


def _quoted(text: str) -> str:
    """Quote a text whole, however long; JSON leaves one control sign as it is that TOML does not allow."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def with_trial(trials: Iterable[LearnedTrial], new: Iterable[LearnedTrial]) -> tuple[LearnedTrial, ...]:
    """Put what a field's strips say of a season in the place of what was said of it before.

    Parameters
    ----------
    trials : iterable of LearnedTrial
        So far.
    new : iterable of LearnedTrial
        An entry for each pressure class; all entries of the same season and field give way.

    Returns
    -------
    tuple of LearnedTrial
        By season, field and pressure class: a season of a field counts once, however often it is judged.
    """
    new = tuple(new)
    anew = {(one.season, one.field) for one in new}
    return in_order([*(one for one in trials if (one.season, one.field) not in anew), *new])


def before(trials: Iterable[LearnedTrial], season: int) -> tuple[LearnedTrial, ...]:
    """Give the trials that a plan of a season may know: those of earlier seasons."""
    return tuple(one for one in trials if one.season < season)


def in_order(trials: Iterable[LearnedTrial]) -> tuple[LearnedTrial, ...]:
    """Sort trials by season, field and pressure class."""
    return tuple(sorted(trials, key=lambda one: (one.season, one.field, _PRESSURES.index(one.pressure))))
