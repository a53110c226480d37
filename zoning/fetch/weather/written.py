"""The files: which may be written, who wrote those that are there, and where what is in them came from.

What the program wrote it knows again by the hash in weather_source.json; every other file is the user's own.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from zoning.errors import SETTINGS, InputError
from zoning.fetch.weather.place import Home
from zoning.inputs import files, store
from zoning.settings import edited

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

SOURCE = "weather_source.json"
HOURLY = "hourly_forecast.csv"
_BOTH = "weather_got.csv"  # beside a file of the user's own
_MOST_BYTES = 10_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """Where days or hours are written.

    `own` is the user's file whose rows are kept. `is_named` says whether the settings name the file, or
    find it without being told.
    """

    path: Path
    own: Path | None = None
    is_named: bool = True


def told(folder: Path) -> dict[str, object]:
    """Give what weather_source.json says; nothing where it is not there, or is none of ours."""
    path = folder / SOURCE
    try:
        found = json.loads(path.read_bytes()) if path.stat().st_size <= _MOST_BYTES else None
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def daily_target(home: Home, *, keep: bool) -> Target:
    """Say where the days go, before anything is asked for.

    Parameters
    ----------
    home : Home
        Whose weather it is.
    keep : bool
        A file of the user's own may stand there: its rows are kept, in a file beside it.

    Raises
    ------
    InputError
        Code 2, where a file of the user's own would have to be overwritten.
    """
    path = (
        _named(home, "weather.daily", home.settings.weather.daily)
        or home.folder / home.settings.weather.daily
    )
    _inside(home, path, "weather.daily")
    about = _part(home.folder, "daily")
    if not path.exists() or is_ours(path, about):
        own = about.get("own_file") if about.get("file") == path.name else None
        kept = home.folder / own if isinstance(own, str) else None
        if kept is not None and not kept.is_file():
            what, mend = (
                f"there is no file {own}, whose rows are kept",
                f"Put it back, or delete {path.name}.",
            )
            raise InputError(what, where=path.name, mend=mend, code=SETTINGS)
        return Target(path=path, own=kept)
    if not keep:
        mend = (
            "Take the days that it lacks with --keep (your file stays as it is, a new one holds both), or "
            "give it another name to have all of them from the service."
        )
        raise InputError(
            "this file is your own, or was changed since it was got",
            where=path.name,
            mend=mend,
            code=SETTINGS,
        )
    both = home.folder / _BOTH
    if both.exists() and not is_ours(both, about):
        mend = "Give it another name: rows of your own file and of the service go there."
        raise InputError(
            "this file was not written by `sprayworth get`", where=_BOTH, mend=mend, code=SETTINGS
        )
    return Target(path=both, own=path, is_named=False)


def hourly_target(home: Home) -> Target:
    """Say where the hours go, before anything is asked for.

    Raises
    ------
    InputError
        Code 2, where a file of the user's own would have to be overwritten.
    """
    path = home.folder / HOURLY
    named = home.settings.weather.hourly_forecast
    if path.exists() and not is_ours(path, _part(home.folder, "hourly_forecast")):
        mend = "Give it another name to have the hours from the service, or leave out --hourly."
        what = "this file is your own, or was changed since it was got"
        raise InputError(what, where=HOURLY, mend=mend, code=SETTINGS)
    at = None if named is None else _named(home, "weather.hourly_forecast", named)
    return Target(path=path, is_named=at is not None and at.resolve() == path.resolve())


def is_ours(path: Path, about: Mapping[str, object]) -> bool:
    """Tell whether a file is as the program wrote it."""
    return about.get("file") == path.name and about.get("sha256") == files.sha256(path)


def write(home: Home, target: Target, text: str, key: str, about: Mapping[str, object]) -> tuple[Path, ...]:
    """Write days or hours, where they came from, and the setting that names them: all or none.

    Parameters
    ----------
    home : Home
    target : Target
    text : str
        The table.
    key : str
        Of weather_source.json: "daily" or "hourly_forecast", which is also the key of `[weather]`.
    about : mapping
        Where the table came from.

    Returns
    -------
    tuple of Path
        What changed.

    Raises
    ------
    InputError
        Code 4, when the disk refuses; then everything is as before.
    """
    content = text.encode("utf-8")
    part = {"file": target.path.name, "sha256": hashlib.sha256(content).hexdigest(), **about}
    source = {**told(home.folder), key: part}
    contents = {
        target.path: content,
        home.folder / SOURCE: (json.dumps(source, indent=2, ensure_ascii=False) + "\n").encode("utf-8"),
    }
    if not target.is_named:
        setting = partial(_set, key=key, name=target.path.name)
        contents[home.toml] = edited.changed(home.toml.read_bytes(), setting)
    fresh = {path: made for path, made in contents.items() if _differs(path, made)}
    store.write_all(fresh)
    return tuple(fresh)


def _set(document: "TOMLDocument", *, key: str, name: str) -> None:
    import tomlkit

    if "weather" not in document:
        document["weather"] = tomlkit.table()
    document["weather"][key] = name


def _differs(path: Path, content: bytes) -> bool:
    try:
        return path.read_bytes() != content
    except OSError:
        return True


def _part(folder: Path, key: str) -> Mapping[str, object]:
    found = told(folder).get(key)
    return found if isinstance(found, dict) else {}


def _named(home: Home, key: str, name: str) -> Path | None:
    """Give the path of a file that somebody named; None where nobody did."""
    return home.settings.path(key, name) if key in home.settings.origin else None


def _inside(home: Home, path: Path, key: str) -> None:
    if not path.resolve().is_relative_to(home.folder.resolve()):
        mend = "Name a file in the farm's folder: only there is written."
        what = "weather is got into the farm's folder, and this file lies elsewhere"
        raise InputError(what, where=home.settings.where(key), mend=mend, code=SETTINGS)
