"""Which catalogue is asked: an entry of the table, or any address of a STAC API. Asks nobody."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources
from urllib.parse import urlsplit

from zoning.errors import SETTINGS, InputError
from zoning.evidence import KINDS
from zoning.fetch import addresses
from zoning.settings.model import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalogue:
    """Where scenes are searched: the address of a STAC API, and a collection of it."""

    name: str
    address: str
    collection: str


@cache
def table() -> dict[str, dict[str, str]]:
    """Give the entries of catalogues.toml by their names, the usual one first.

    Examples
    --------
    >>> next(iter(table()))
    'earth-search'
    """
    text = resources.files(__package__).joinpath("catalogues.toml").read_text(encoding="utf-8")
    found: dict[str, dict[str, str]] = tomllib.loads(text)
    for name, entry in found.items():
        if entry["kind"] not in KINDS or (entry["kind"] == "published") != bool(entry["source"]):
            raise ValueError(f"catalogues.toml: {name} has no passport")
    return found


def of(settings: Settings, catalog: str | None = None, collection: str | None = None) -> Catalogue:
    """Say which catalogue is asked: as asked for now, else as the settings say, else the first of the table.

    Parameters
    ----------
    settings : Settings
        Of the field.
    catalog, collection : str, optional
        The options of the command: a name of the table, or an address.

    Raises
    ------
    InputError
        For a name that is not in the table, and an address that is none or holds a password.
    """
    named = catalog or settings.get.catalog or next(iter(table()))
    where = "--catalog" if catalog else settings.where("get.catalog")
    wanted = collection or settings.get.collection
    if (entry := table().get(named)) is not None:
        return Catalogue(name=named, address=entry["address"], collection=wanted or entry["collection"])
    if "://" not in named:
        what = "it is neither a catalogue of the table nor the address of one"
        mend = f"Name {' or '.join(table())}, or an address that begins with https://."
        raise InputError(what, where=where, mend=mend, code=SETTINGS)
    address = addresses.clean(
        named, "--catalog" if catalog else settings.where("get.catalog").partition(" = ")[0]
    )
    usual = next(iter(table().values()))["collection"]
    return Catalogue(
        name=urlsplit(address).hostname or "", address=address.rstrip("/"), collection=wanted or usual
    )
