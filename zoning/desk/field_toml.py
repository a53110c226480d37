"""Keys of [zones] in field.toml: changed so that comments, order and everything else stay as typed."""

from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from zoning.desk.log import Log
from zoning.inputs import store
from zoning.settings import edited
from zoning.settings.read import FIELD_FILE, load

if TYPE_CHECKING:
    from tomlkit import TOMLDocument


def zones_of(folder: Path) -> dict[str, object]:
    """Give the keys of [zones] that field.toml itself has, as typed."""
    typed = edited.document((folder / FIELD_FILE).read_bytes()).get("zones")
    return dict(typed.unwrap()) if typed is not None else {}


def write_zones(log: Log, keys: Mapping[str, object]) -> None:
    """Set keys of [zones]; None takes one out.

    Parameters
    ----------
    log : Log
        Of the field. The change is written down by whoever asks for it.
    keys : mapping
        As in the reference of settings.

    Raises
    ------
    InputError
        Where the settings have faults already.
    """
    load(log.folder)
    path = log.home.inside(log.folder / FIELD_FILE)
    store.write_bytes(path, edited.changed(path.read_bytes(), partial(_set, keys=keys)))


def _set(document: "TOMLDocument", keys: Mapping[str, object]) -> None:
    import tomlkit

    if "zones" not in document:
        document["zones"] = tomlkit.table()
    zones = document["zones"]
    for key, value in keys.items():
        if value is not None:
            zones[key] = value
        elif key in zones:
            del zones[key]
