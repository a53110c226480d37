"""Which service is asked: an entry of services.toml, or of a table of the user's own. Asks nobody."""

import tomllib
from collections.abc import Callable, Mapping
from datetime import date
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Literal

from pydantic import Field, ValidationError

from zoning import units
from zoning.errors import SETTINGS, InputError
from zoning.evidence import KINDS
from zoning.fetch import addresses
from zoning.settings import toml_text
from zoning.settings.quantities import M, Part

Gives = Literal["daily", "hourly forecast"]
DAILY, HOURLY = ("tmin_c", "tmax_c", "rain_mm"), ("temp_c", "rh_pct", "wind_m_s", "rain_mm")
_NEEDED: dict[str, tuple[str, ...]] = {"daily": ("tmin_c", "tmax_c"), "hourly forecast": ("temp_c", "rh_pct")}
_COLUMNS: dict[str, tuple[str, ...]] = {"daily": DAILY, "hourly forecast": HOURLY}
_IN_WORDS = {"daily": "daily weather", "hourly forecast": "hourly forecasts"}
_SHAPES = {"daily": ("name, day",), "hourly forecast": ("layers, intervals",)}
# What the end of our column's name measures -> how services write its units -> what makes ours of them.
_UNITS: dict[str, dict[str, Callable[[float], float]]] = {
    "c": {"C": float, "degC": float, "F": units.c_from_f, "degF": units.c_from_f},
    "mm": {"mm": float, "mm/day": float, "in": units.mm_from_in, "in/day": units.mm_from_in},
    "pct": {"%": float, "percent": float},
    "s": {"m/s": float, "m_s-1": float, "km/h": units.m_s_from_kmh, "km_h-1": units.m_s_from_kmh},
}
_WMO = "wmoUnit:"  # in front of the names of the World Meteorological Organization


class Column(Part):
    """What a service calls one of our columns, and the unit that its answers must name."""

    name: str = Field(min_length=1, max_length=80)
    unit: str = Field(min_length=1, max_length=40)


class Service(Part):
    """One service: an entry of the table, see services.toml for what each key means."""

    key: str = Field(pattern=r"^[a-z][a-z0-9_]{0,40}$")  # it is a name of files too
    gives: Gives
    shape: str
    address: str
    query: dict[str, str] = Field(default={})
    columns: dict[str, Column]
    day_form: str = "%Y-%m-%d"
    fill: float | None = None
    oldest: date = date(1900, 1, 1)
    lag_d: int = Field(default=0, ge=0, le=400)
    most_days: int = Field(ge=1, le=400)
    most_requests: int = Field(ge=1, le=1000)
    decimals: int = Field(ge=0, le=6)
    within_deg: float = Field(gt=0, le=5)
    wind_height_m: M | None = Field(alias="wind_height", default=None, gt=0, le=100)
    terms: str = Field(min_length=1)
    kind: str
    source: str
    note: str

    def ours(self, column: str) -> Callable[[float], float]:
        """Give what makes our unit of the service's."""
        return _UNITS[_measures(column)][self.columns[column].unit.removeprefix(_WMO)]


def table(own: Path | None = None) -> dict[str, Service]:
    """Give the services by their names, those of a table of the user's own first.

    Parameters
    ----------
    own : Path, optional
        A file in the form of services.toml.

    Raises
    ------
    InputError
        Code 2: what is wrong in it, all at once.

    Examples
    --------
    >>> list(table())
    ['nasa_power', 'us_nws']
    """
    return dict(_usual()) if own is None else {**_read(own), **_usual()}


def chosen(services: Mapping[str, Service], gives: Gives, named: str | None, where: str) -> Service:
    """Choose a service: by its name, else the first that gives it.

    Raises
    ------
    InputError
        Code 2, when no service that gives it has that name.

    Examples
    --------
    >>> chosen(table(), "daily", None, "--service").key
    'nasa_power'
    """
    fitting = {key: one for key, one in services.items() if one.gives == gives}
    if named is None:
        return next(iter(fitting.values()))
    if named not in fitting:
        what = f"{addresses.without_secrets(named)!r} is no service that gives {_IN_WORDS[gives]}"
        mend = f"Use {', '.join(fitting)}, or put it into a table of your own (--services)."
        raise InputError(what, where=where, mend=mend, code=SETTINGS)
    return fitting[named]


@cache
def _usual() -> Mapping[str, Service]:
    text = resources.files(__package__).joinpath("services.toml").read_text(encoding="utf-8")
    return _services(tomllib.loads(text), "services.toml")


def _read(path: Path) -> Mapping[str, Service]:
    return _services(toml_text.parse(toml_text.read(path), path.name), path.name)


def _services(raw: Mapping[str, object], file: str) -> Mapping[str, Service]:
    found, faults = dict[str, Service](), list[InputError]()
    for key, entry in raw.items():
        where = f"{file}: [{key}]"
        try:
            found[key] = Service.model_validate({**entry, "key": key} if isinstance(entry, dict) else entry)
        except ValidationError as error:
            for one in error.errors():
                at = ".".join(str(step) for step in one["loc"]) or "it"
                what, mend = f"{at}: {one['msg'].lower()}", "See services.toml for what each key means."
                faults.append(InputError(what, where=where, mend=mend, code=SETTINGS))
        else:
            faults += _wrong(found[key], where)
    if faults:
        raise InputError.together(faults)
    return found


def _wrong(service: Service, where: str) -> list[InputError]:
    """Find what contradicts itself in an entry, or may not be asked."""
    told: list[tuple[str, str]] = []
    known = _COLUMNS[service.gives]
    if service.shape not in _SHAPES[service.gives]:
        shapes = " or ".join(f'"{one}"' for one in _SHAPES[service.gives])
        told.append((f"shape {service.shape!r} is not known", f"Write {shapes}."))
    for column in service.columns:
        if column not in known:
            told.append((f"{column!r} is not one of our columns", f"Use {', '.join(known)}."))
        elif service.columns[column].unit.removeprefix(_WMO) not in _UNITS[_measures(column)]:
            of = ", ".join(_UNITS[_measures(column)])
            told.append((f"the unit {service.columns[column].unit!r} of {column} is not known", f"Use {of}."))
    missing = [one for one in _NEEDED[service.gives] if one not in service.columns]
    if missing:
        told.append((f"columns lacks {', '.join(missing)}", "Name the variables of the service for them."))
    if service.kind not in KINDS:
        told.append((f"kind {service.kind!r} is not one of a passport", f"Use {', '.join(KINDS)}."))
    elif not service.source and service.kind in ("published", "standard", "computed"):
        told.append(
            (f"kind {service.kind!r} needs a source", "Say where the address and the names are from.")
        )
    if any(addresses.has_secret(name) for name in service.query):
        mend = "Take it out: only services that are open to everybody are asked."
        told.append(("query holds a key, a token or a password", mend))
    faults = [InputError(what, where=where, mend=mend, code=SETTINGS) for what, mend in told]
    try:
        addresses.clean(service.address, where)
    except InputError as fault:
        faults.append(fault)
    return faults


def _measures(column: str) -> str:
    return column.rpartition("_")[2]
