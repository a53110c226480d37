"""farm.toml and field.toml as they were typed: read, merged, and the line of every key.

Nothing is judged here except whether a file can be read at all.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache, partial
from pathlib import Path
from typing import Any

from zoning import once_read
from zoning.errors import SETTINGS, InputError
from zoning.settings import toml_text
from zoning.settings.lines import Steps, lines_of

_LONGEST_SHOWN = 60


@lru_cache(maxsize=16_384)
def in_words(steps: Steps) -> str:
    """Name a key as people do, items of a list counted from 1.

    Examples
    --------
    >>> in_words(("sprayer", 1, "speed", 0))
    'sprayer[2].speed[1]'
    """
    return "".join(f"[{step + 1}]" if isinstance(step, int) else f".{step}" for step in steps).lstrip(".")


def as_toml(value: object) -> str:
    """Write a value as it stands in a TOML file, shortened where it is long.

    Examples
    --------
    >>> as_toml(["5 mph", True, 0.5])
    '["5 mph", true, 0.5]'
    """
    if isinstance(value, str):
        # what does not show, or would turn the line around, stands as TOML has it
        text = "".join(
            one if one.isprintable() else f"\\U{ord(one):08x}"
            for one in json.dumps(value, ensure_ascii=False)
        )
    elif isinstance(value, bool):
        text = str(value).lower()
    elif isinstance(value, list | tuple):
        text = f"[{', '.join(as_toml(part) for part in value)}]"
    elif isinstance(value, Mapping):
        text = f"{{ {', '.join(f'{key} = {as_toml(part)}' for key, part in value.items())} }}"
    else:
        text = str(value)
    return shortened(text)


def shortened(text: str) -> str:
    """Cut a text to what is shown of a key or a value.

    Examples
    --------
    >>> shortened("wheat"), len(shortened("wheat" * 1000))
    ('wheat', 60)
    """
    return text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 1]}…"


@dataclass(frozen=True, slots=True)
class Given:
    """What was typed, merged, with the place of each key.

    `places` holds "farm.toml:12" for every key, table and list item. `shared` is the name of the file in
    which a farm's sections belong: farm.toml if there is one, else field.toml. `of_farm` has the text of each
    value of farm.toml in whose table, or list, field.toml has nothing.
    """

    data: dict[str, Any]
    places: dict[Steps, str] = field(default_factory=dict)
    shared: str = "field.toml"
    of_farm: Mapping[Steps, str] = field(default_factory=dict)

    def get(self, *steps: str | int) -> Any:
        """Give what was typed, None where nothing was."""
        value: Any = self.data
        for step in steps:
            try:
                value = value[step]
            except (KeyError, IndexError, TypeError):
                return None
        return value

    def texts(self) -> dict[str, str]:
        """Give what was typed as it stands in the files, for every key in words."""
        found = {}
        for steps in self.places:
            text = self.of_farm.get(steps)
            found[in_words(steps)] = as_toml(self.get(*steps)) if text is None else text
        return found

    def place(self, steps: Steps) -> str:
        """Name file and line of a key, or of the nearest table around it."""
        for depth in range(len(steps), 0, -1):
            if steps[:depth] in self.places:
                return self.places[steps[:depth]]
        return self.shared if len(steps) > 1 else "field.toml"

    def where(self, *steps: str | int) -> str:
        """Give file, line, key and value: what an `InputError` of the settings begins with."""
        value = self.get(*steps)
        first = value[0] if isinstance(value, list) and value else value
        is_table = isinstance(first, Mapping) or value is None
        shown = "name" if steps == ("farm_name",) else shortened(in_words(steps))
        named = f"{self.place(steps)}: {shown}"
        return named if is_table else f"{named} = {as_toml(value)}"

    def tables(self, name: str) -> list[tuple[int, dict[str, Any]]]:
        """Give the items of a list of tables with their numbers from 0, none where it is something else."""
        typed = self.data.get(name)
        listed = enumerate(typed) if isinstance(typed, list) else ()
        return [(number, one) for number, one in listed if isinstance(one, dict)]


def read_toml(path: Path) -> tuple[dict[str, Any], dict[Steps, int]]:
    """Read one settings file.

    Parameters
    ----------
    path : Path
        A farm.toml or field.toml; named by its last part in every message.

    Returns
    -------
    dict, dict
        What is in it, and the line of every key.

    Raises
    ------
    InputError
        Code 2: not text, not TOML (with the line), too large or too deep, or nothing in it; code 4: no
        permission to read it.
    """
    text = toml_text.read(path)
    data = toml_text.parse(text, path.name)
    if not data:
        mend = "Fill it in; `sprayworth new DIR` writes one with every key explained."
        raise InputError("the file is empty", where=path.name, mend=mend, code=SETTINGS)
    return data, lines_of(text)


def merged(field_file: Path | None, farm_file: Path | None) -> Given:
    """Read both files; the field's own value wins, tables are merged, lists are replaced whole.

    The `name` of farm.toml becomes `farm_name`. Either file may be None.

    Raises
    ------
    InputError
        Code 2; the faults of both files together.
    """
    read: dict[str, _File] = {}
    faults = []
    for path in (farm_file, field_file):
        if path is not None:
            try:
                read[path.name] = once_read.of_file(path, "settings", partial(_file, path))
            except InputError as fault:
                faults.append(fault)
    if faults:
        raise InputError.together(faults)
    of_farm: Mapping[Steps, str] = {}
    if farm_file is not None:
        own = read[field_file.name].data if field_file is not None else {}
        of_farm = {steps: text for steps, text in read[farm_file.name].texts.items() if steps[0] not in own}
    given = Given({}, {}, "farm.toml" if farm_file else "field.toml", of_farm)
    for one in read.values():
        _lay_over(given.data, one.data)
        _lay_places(given.places, one.data, one.places)
    return given


@dataclass(frozen=True, slots=True)
class _File:
    """What stands in one file, with the place and, of a farm's, the text of each key; nothing is changed."""

    data: dict[str, Any]
    places: Mapping[Steps, str]
    texts: Mapping[Steps, str]


def _file(path: Path) -> _File:
    """Read a file; the `name` of farm.toml is `farm_name` in it."""
    data, lines = read_toml(path)
    is_farm = path.name == "farm.toml"
    if is_farm and "name" in data:
        data["farm_name"] = data.pop("name")
        lines["farm_name",] = lines.pop(("name",))
    alone = Given(data)
    return _File(
        data=data,
        places={steps: f"{path.name}:{line}" for steps, line in lines.items()},
        texts={steps: as_toml(alone.get(*steps)) for steps in lines} if is_farm else {},
    )


def _lay_over(below: dict[str, Any], above: Mapping[str, Any]) -> None:
    for key, value in above.items():
        if isinstance(value, dict):
            here = below.get(key)
            below[key] = here if isinstance(here, dict) else {}
            _lay_over(below[key], value)
        else:
            below[key] = value


def _lay_places(places: dict[Steps, str], above: Mapping[str, Any], own: Mapping[Steps, str]) -> None:
    """Keep the farm's place of a table that both files have; forget what the field replaced."""
    if not places:
        places.update(own)
        return
    before: dict[str | int, list[Steps]] = {}
    for known in places:
        if known not in own:
            before.setdefault(known[0], []).append(known)
    for steps in own:
        value: Any = above
        for step in steps:
            value = value[step]
        if isinstance(value, dict) and not any(isinstance(step, int) for step in steps):
            places.setdefault(steps, own[steps])
            continue
        for old in before.get(steps[0], ()):
            if old[: len(steps)] == steps:
                places.pop(old, None)
        places[steps] = own[steps]
