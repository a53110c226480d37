"""Keys of [zones] in field.toml: changed so that comments, order and everything else stay as typed."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from zoning.desk.log import Log
from zoning.inputs import store
from zoning.settings.read import FIELD_FILE, load

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

_BOM = b"\xef\xbb\xbf"


def zones_of(folder: Path) -> dict[str, object]:
    """Give the keys of [zones] that field.toml itself has, as typed."""
    typed = _document(_read(folder)).get("zones")
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
    store.write_bytes(path, _changed(path.read_bytes(), keys))


def _changed(before: bytes, keys: Mapping[str, object]) -> bytes:
    import tomlkit

    document = _document(before)
    if "zones" not in document:
        document["zones"] = tomlkit.table()
    zones = document["zones"]
    for key, value in keys.items():
        if value is not None:
            zones[key] = value
        elif key in zones:
            del zones[key]
    text = tomlkit.dumps(document).encode("utf-8")
    return (_BOM if before.startswith(_BOM) else b"") + text


def _read(folder: Path) -> bytes:
    return (folder / FIELD_FILE).read_bytes()


def _document(content: bytes) -> "TOMLDocument":
    import tomlkit

    return tomlkit.parse(content.decode("utf-8-sig"))
