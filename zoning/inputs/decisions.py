"""What the user decided for zones of a field, from decisions.json. Judges nothing by the field."""

import hashlib
import json
import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any, Literal

from zoning.errors import CONTENT, SETTINGS, WORLD, InputError, raise_all
from zoning.inputs.files import at_most, is_endless, name_in
from zoning.settings.model import Settings

FILE = "decisions.json"
KIND = "sprayworth decisions"
SCHEMA_VERSION = 1
REASON_MOST = 300  # letters
SAME_GAL_AC = 0.005  # volumes that agree so far are the same
MOST_BYTES = 2_000_000
_HIDDEN = {"Cc", "Cs", "Co", "Cn", "Zl", "Zp"}
_TURNING = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
_AROUND = "\t\n\v\f\r \u00a0\u1680\u2028\u2029\u202f\u205f\u3000\ufeff" + "".join(
    map(chr, range(0x2000, 0x200B))
)
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_MEND = "Save the decisions again from the page, or take the file away."


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """What somebody decided for one zone and why; `action` or `rate_gal_ac` is None where not decided."""

    zone: int
    action: Literal["spray", "skip"] | None
    rate_gal_ac: float | None
    reason: str
    decided_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Decisions:
    """The decisions of one file, for the zones that `zones_id` names; `digest` is its SHA-256."""

    zones_id: str
    field: str
    made: tuple[Decision, ...]
    file: str
    digest: str = ""


def decisions_of(settings: Settings, named: Path | None = None) -> Decisions | None:
    """Read the decisions of a field: the file that is named, else decisions.json in its folder.

    Parameters
    ----------
    settings : Settings
        Of the field.
    named : Path, optional
        Must be there.

    Returns
    -------
    Decisions or None
        None where nothing was decided.

    Raises
    ------
    InputError
        See `read`.
    """
    if named is not None:
        return replace(read(named, str(named)), file=name_in(settings, named))
    path = settings.folder / FILE
    try:
        there = path.exists() or path.is_symlink()
    except OSError as error:
        raise _unreadable(FILE, error) from error
    return read(path, FILE) if there else None


def read(path: Path, file: str) -> Decisions:
    """Read a file of decisions.

    Parameters
    ----------
    path : Path
    file : str
        What it is called in faults.

    Raises
    ------
    InputError
        Code 2 where there is no such file, 3 for its content (every fault in one go), 4 where it may not be
        read.

    Examples
    --------
    >>> import tempfile
    >>> path = Path(tempfile.mkdtemp()) / "decisions.json"
    >>> _ = path.write_text('{"schema_version": 1, "kind": "sprayworth decisions", "zones_id": "5e1f", '
    ...     '"field": "home", "decisions": [{"zone": 2, "action": "skip", "reason": "too wet"}]}')
    >>> [(one.zone, one.action, one.reason) for one in read(path, path.name).made]
    [(2, 'skip', 'too wet')]
    """
    return of_content(_content(path, file), file)


def of_content(content: bytes, file: str) -> Decisions:
    """Take decisions from what a file of them holds; see `read`."""
    whole = _object(content, file)
    made, faults = _made(whole, file)
    for key in ("zones_id", "field"):
        if not isinstance(whole.get(key), str) or not whole[key] or is_hidden(whole[key]):
            faults.insert(0, InputError(f"{key} is missing or no text", where=file, mend=_MEND))
    raise_all(at_most(faults, file))
    return Decisions(
        zones_id=whole["zones_id"],
        field=whole["field"],
        made=tuple(made),
        file=file,
        digest=hashlib.sha256(content).hexdigest(),
    )


def is_hidden(text: str) -> bool:
    r"""Tell whether a text holds letters that do not show: of control, a new line, another direction.

    Examples
    --------
    >>> is_hidden("wet ground, süd"), is_hidden("one\ntwo"), is_hidden("\u202eyarps")
    (False, True, True)
    """
    return any(unicodedata.category(one) in _HIDDEN or one in _TURNING for one in text)


def _content(path: Path, file: str) -> bytes:
    try:
        if is_endless(path):
            raise InputError("it is a pipe or a device, not a file", where=file, mend=_MEND)
        if path.is_file() and path.stat().st_size > MOST_BYTES:
            raise InputError("this is too large for a file of decisions", where=file, mend=_MEND)
        return path.read_bytes()
    except FileNotFoundError as error:
        mend = "Name a decisions.json that the page saved."
        raise InputError("there is no such file", where=file, mend=mend, code=SETTINGS) from error
    except (IsADirectoryError, NotADirectoryError) as error:
        mend = "Name a decisions.json that the page saved."
        raise InputError("this is no file", where=file, mend=mend, code=SETTINGS) from error
    except OSError as error:
        raise _unreadable(file, error) from error


def _unreadable(file: str, error: OSError) -> InputError:
    what = f"the file cannot be read ({error.strerror or error})"
    return InputError(what, where=file, mend="Get permission to read it, and run again.", code=WORLD)


def _object(content: bytes, file: str) -> Mapping[str, Any]:
    """Take the whole of a file that is one of decisions, and of a version that is known."""
    try:
        whole = json.loads(content.decode("utf-8-sig"), parse_constant=_no_number)
    except UnicodeDecodeError as error:
        what = "this is no file of decisions: it holds no text, perhaps a picture"
        raise InputError(what, where=file, mend=_MEND, code=CONTENT) from error
    except json.JSONDecodeError as error:
        what = f"this is no file of decisions: line {error.lineno} is no JSON"
        raise InputError(what, where=file, mend=_MEND, code=CONTENT) from error
    except (RecursionError, ValueError) as error:
        raise InputError("this is no file of decisions", where=file, mend=_MEND) from error
    if not isinstance(whole, dict) or whole.get("kind") != KIND:
        what = f'this is another kind of file: it does not say "kind": "{KIND}"'
        raise InputError(what, where=file, mend=_MEND)
    version = _whole(whole.get("schema_version"))
    if version is None or version < 1:
        raise InputError("schema_version is missing or no whole number", where=file, mend=_MEND)
    if version > SCHEMA_VERSION:
        what = f"a newer version made this file (schema_version {version})"
        raise InputError(what, where=file, mend="Bring sprayworth up to date, or decide again on its page.")
    if not isinstance(whole.get("decisions"), list):
        raise InputError("decisions is missing or no list", where=file, mend=_MEND)
    return whole


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is no number")


def _made(whole: Mapping[str, Any], file: str) -> tuple[list[Decision], list[InputError]]:
    """Read every decision; what is wrong with any of them is told together."""
    made: list[Decision] = []
    faults: list[InputError] = []
    seen: dict[int, int] = {}
    for place, told in enumerate(whole["decisions"], start=1):
        where = f"{file}: decision {place}"
        if not isinstance(told, dict):
            faults.append(InputError("it is no object", where=where, mend=_MEND))
            continue
        wrong = _wrong(told)
        zone = _whole(told.get("zone"))
        if zone is None or zone < 1:
            wrong.append(("zone is missing or no whole number", "Give the number of a zone."))
        elif zone in seen:
            what = f"zone {zone} is decided twice, in decision {seen[zone]} as well"
            wrong.append((what, "Keep one of the two."))
        else:
            seen[zone] = place
            where = f"{file}: zone {zone}"
        faults += [InputError(what, where=where, mend=mend) for what, mend in wrong]
        if not wrong:
            made.append(_decision({**told, "zone": zone}))
    return made, faults


def _decision(told: Mapping[str, Any]) -> Decision:
    rate, on = told.get("rate_gal_ac"), told.get("decided_on")
    return Decision(
        zone=told["zone"],
        action=told.get("action"),
        rate_gal_ac=None if rate is None else float(rate),
        reason=_stripped(told["reason"]),
        decided_on=None if on is None else date.fromisoformat(on),
    )


def _wrong(told: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Say what is wrong with one decision besides its zone: what, and how to mend it."""
    action, rate = told.get("action"), told.get("rate_gal_ac")
    wrong = []
    if action not in ("spray", "skip", None):
        wrong.append((f"action is {_short(action)}", "Say spray or skip, or leave it out."))
    if rate is not None and not _is_rate(rate):
        wrong.append((f"rate_gal_ac is {_short(rate)}", "Give a number above 0 in gal/ac, or leave it out."))
    if action is None and rate is None:
        wrong.append(("neither action nor rate is decided", "Say spray or skip, or give a rate."))
    if action == "skip" and rate is not None:
        wrong.append(("a zone that is skipped has no rate", "Leave the rate out, or say spray."))
    return wrong + _wrong_reason(told.get("reason")) + _wrong_day(told.get("decided_on"))


def _stripped(reason: str) -> str:
    """Take off what the page takes off a text too, which is not quite what Python would."""
    return reason.strip(_AROUND)


def _wrong_reason(reason: object) -> list[tuple[str, str]]:
    text = _stripped(reason) if isinstance(reason, str) else ""
    if not text:
        return [("the reason is missing", "Write down why; it goes with the map.")]
    if len(text) > REASON_MOST:
        return [(f"the reason has {len(text):,} letters", f"Use {REASON_MOST} at most.")]
    if is_hidden(text):
        return [("the reason holds letters that do not show", "Write it on one line, with plain letters.")]
    return []


def _wrong_day(day: object) -> list[tuple[str, str]]:
    try:
        if day is None or (isinstance(day, str) and _DAY.fullmatch(day) and date.fromisoformat(day)):
            return []
    except ValueError:
        pass
    return [(f"decided_on is {_short(day)}", "Write the day as 2026-07-09, or leave it out.")]


def _whole(value: object) -> int | None:
    """Give a whole number, however it is written: JSON does not tell 1.0 from 1; None where it is none."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return int(value) if isinstance(value, int) or value.is_integer() else None


def _is_rate(value: object) -> bool:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    try:
        return math.isfinite(value) and value > 0
    except OverflowError:  # a whole number of hundreds of digits
        return False


def _short(value: object) -> str:
    """Write a value of the user so that it stays harmless and short."""
    text = json.dumps(value)
    return text if len(text) <= 30 else f"{text[:30]}..."
