"""Faults of the settings in plain words: what is wrong, where it stands, how to mend it.

Translates what the models refuse; the rules between keys stand in rules.py.
"""

import difflib
import re
from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from zoning import units
from zoning.errors import SETTINGS, InputError
from zoning.settings import guesses
from zoning.settings.given import Given, as_toml, in_words
from zoning.settings.keys import FILLED_IN, Key, key_of, keys, tables
from zoning.settings.lines import Steps

_LIMITS = {
    "greater_than": ("gt", "more than"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "less than"),
    "less_than_equal": ("le", "at most"),
}
_MOST_FAULTS = 100  # that are told one by one
_TIMES = {"_min": "minutes", "_s": "seconds", "_h": "hours", "_d": "days", "_deg": "degrees"}
_EXPECTED = {
    "bool": ("true or false is expected", "Write true or false, without quotes."),
    "int": ("a whole number is expected", "Write a whole number, without quotes."),
    "float": ("a plain number is expected", "Write a number, without quotes."),
    "finite": ("a plain number is expected", "Write a number, without quotes."),
    "date": ("a date is expected", "Write it as 2026-05-06, without quotes."),
    "string": ("a text is expected", "Put it in quotes."),
    "dict": ("a table is expected", "Write it as { name = value }."),
}


def fault(given: Given, steps: Steps, what: str, mend: str) -> InputError:
    """Make one fault of the settings, at the line of its key."""
    return InputError(what, where=given.where(*steps), mend=mend, code=SETTINGS)


def missing_fault(given: Given, steps: Steps, why: str = "", instead: str = "") -> InputError:
    """Say that a key is missing, and how it is written, or what else would do."""
    return fault(given, steps, f"missing{why}", f"Add it{_how(steps)}{instead}.")


def typed_number(given: Given, *steps: str | int) -> float | None:
    """Read a quantity or a number; None where it is missing or faulty, which is told elsewhere."""
    raw, key = given.get(*steps), key_of(steps)
    if key is not None and key.quantity is not None:
        try:
            return units.parse(raw, key.quantity)
        except units.UnitError:
            return None
    return float(raw) if isinstance(raw, int | float) and not isinstance(raw, bool) else None


def _how(steps: Steps) -> str:
    """Say how a key is written; a label's number is only ever an example."""
    key = key_of(steps)
    source = " from the label in hand" if steps[0] == "product" else ""
    return f"{source}, written like {key.name} = {key.example}" if key and key.example else source


def faults(error: ValidationError, given: Given) -> list[InputError]:
    """Translate everything that the models refused.

    Parameters
    ----------
    error : ValidationError
        From `Settings.model_validate`.
    given : Given
        What was typed, with its lines.
    """
    details = error.errors(include_url=False)
    lists = {one["loc"][:-1] for one in details}
    # Of a list with a faulty item the model also says that it is too short; the item's own fault is enough.
    told = [one for one in details if one["type"] != "too_short" or one["loc"] not in lists]
    found = {str(one): one for one in (_translate(one, given) for one in told[:_MOST_FAULTS])}
    if len(told) > _MOST_FAULTS:
        next_one = _typed_steps(told[_MOST_FAULTS]["loc"], given)
        what = f"this and {len(told) - _MOST_FAULTS - 1:,} more faults"
        more = fault(given, next_one, what, "Mend the others and run again.")
        found[str(more)] = more
    return list(found.values())


def unknown_fault(given: Given, steps: Steps) -> InputError:
    """Say that a key is not known, with the nearest that is."""
    return fault(given, steps, "unknown key", _near(steps))


def filled_in(given: Given) -> list[InputError]:
    """Refuse keys that only the reader itself fills in."""
    typed = [name for name in FILLED_IN if name in given.data and name != "farm_name"]
    if given.places.get(("farm_name",), "").startswith("field.toml"):
        typed.append("farm_name")
    found = [unknown_fault(given, (name,)) for name in typed]
    inside = (("money", "adjuvant_frac"), ("response", "learned"))
    return found + [unknown_fault(given, steps) for steps in inside if given.get(*steps) is not None]


def _translate(one: ErrorDetails, given: Given) -> InputError:
    steps, kind = _typed_steps(one["loc"], given), one["type"]
    raw = given.get(*steps)
    key = key_of(steps)
    if kind == "missing" and steps == one["loc"] and isinstance(steps[-1], str):
        return missing_fault(given, steps)
    if kind == "extra_forbidden":
        return unknown_fault(given, steps)
    if raw == [] or (isinstance(raw, str) and not raw.strip()):
        choice = "" if key and key.kind == "asked" else ", or take the line out"
        return fault(given, steps, "nothing is filled in", f"Fill it in{_how(steps)}{choice}.")
    said = of_one_value(one, raw, key)
    if said is not None:
        return fault(given, steps, *said)
    return _of_wrong_shape(kind, steps, given)


def of_one_value(one: ErrorDetails, raw: object, key: Key | None) -> tuple[str, str] | None:
    """Say what is wrong with a value that can be judged alone, and how to mend it; None where it cannot.

    Parameters
    ----------
    one : ErrorDetails
        What the model says.
    raw : object
        As it was typed.
    key : Key or None
        Where it was typed.
    """
    kind, context = one["type"], one.get("ctx", {})
    if kind == "value_error" and isinstance(context.get("error"), units.UnitError):
        return context["error"].what, context["error"].mend
    if kind == "finite_number" and key and key.quantity is not None:
        return "out of range", "Write a smaller number."
    if kind in _LIMITS:
        return "out of range", _limit(kind, context, raw, key)
    if kind == "literal_error":
        return "not one of the words known here", _choice(context["expected"], raw)
    return None


def _typed_steps(steps: Steps, given: Given) -> Steps:
    """Leave out what was not typed: a value that a list lacks, and the model's own names of types."""
    while len(steps) > 1 and not isinstance(given.get(*steps[:-1]), dict | list):
        steps = steps[:-1]
    around = given.get(*steps[:-1])
    return steps[:-1] if isinstance(around, list) and given.get(*steps) is None else steps


def _of_wrong_shape(kind: str, steps: Steps, given: Given) -> InputError:
    named = in_words(steps)
    raw, key = given.get(*steps), key_of(steps)
    is_table = named in tables()
    if kind in ("missing", "too_long", "too_short", "tuple_type"):
        if is_table:
            return fault(given, steps, "a list of tables is expected", f"Write its header as [[{named}]].")
        count = "one or more values are" if kind == "too_short" else "a list of values is"
        if key and key.example.count(",") == 1 and key.name != "groups":
            count = "two values are"
        mend = f"Write it as {key.example}." if key and key.example else "Write them in [ ], a comma between."
        return fault(given, steps, f"{count} expected", mend)
    if kind == "model_type":
        header = named.partition("[")[0]
        mend = f"Write its header as [{header}]." if isinstance(raw, list) else f"Write it under [{header}]."
        return fault(given, steps, "one table is expected", mend)
    family = kind.partition("_")[0]
    what, mend = _EXPECTED.get(family, ("this value is not understood", "Compare it with the reference."))
    if family in ("int", "float") and key:
        ending = next((words for end, words in _TIMES.items() if key.attribute.endswith(end)), None)
        mend = f"Write the number of {ending} alone, without quotes." if ending else mend
    return fault(given, steps, what, mend)


def _limit(kind: str, context: Mapping[str, Any], raw: object, key: Key | None) -> str:
    name, words = _LIMITS[kind]
    limit = float(context[name])
    if key is not None and key.quantity is not None and isinstance(raw, str):
        give = f"Give {words} {like(limit, raw, key.quantity)}"
        guess = guesses.meant(raw, key.quantity, key.pattern)
    else:
        give = f"Give {words} {limit:g}"
        guess = guesses.share_meant(raw) if key is not None and key.attribute.endswith("_frac") else ""
    about = guesses.hint(key.pattern) if key is not None else ""
    return f"{give}{f' ({about})' if about else ''}.{f' {guess}' if guess else ''}"


def like(value: float, text: str, quantity: str) -> str:
    """Say a value [the unit that `quantity` names] in the unit in which the user typed another one.

    Examples
    --------
    >>> like(60.0, "900 ft", "m")
    '197 ft'
    """
    unit = guesses.unit_of(text)
    rounded = f"{value / units.parse(f'1 {unit}', quantity):.3g}"
    return f"{float(rounded):g} {unit}"


def _choice(expected: str, raw: object) -> str:
    words = [word for word in re.findall(r"'([^']*)'", expected) if word]
    listed = ", ".join(as_toml(word) for word in words) or expected
    near = difflib.get_close_matches(str(raw).lower(), [word.lower() for word in words], n=1)
    if near:
        meant = next(word for word in words if word.lower() == near[0])
        return f"Did you mean {as_toml(meant)}? Known are {listed}."
    return f"Write {listed}." if len(words) == 1 else f"Write one of {listed}."


def _near(steps: Steps) -> str:
    names = [step for step in steps if isinstance(step, str)]
    table, name = ".".join(names[:-1]), names[-1]
    here = [key.name for key in keys().values() if key.table == table]
    if not table:
        here += list(tables())
    near = difflib.get_close_matches(name.lower(), here, n=1)
    if near:
        header = tables().get(near[0]) if not table else None
        shown = near[0] if header is None else f"[[{near[0]}]]" if header else f"[{near[0]}]"
        return f"Did you mean {shown}?"
    elsewhere = [key for key in keys().values() if key.name == name]
    if elsewhere:
        home = elsewhere[0]
        header_text = f"[[{home.table}]]" if home.is_list else f"[{home.table}]"
        return f"It belongs under {header_text}." if home.table else "It belongs above the first table."
    far = difflib.get_close_matches(name.lower(), [key.name for key in keys().values()], n=1, cutoff=0.8)
    if far:
        home = next(key for key in keys().values() if key.name == far[0])
        return f"Did you mean {home.pattern}?"
    return "Take it out, or look it up in docs/reference/settings.md."
