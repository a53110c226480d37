"""Rules of [[sprayer]]: what a machine needs, and values of it that cannot be.

Which volumes it reaches is not a fault and is not judged here.
"""

from collections.abc import Iterator
from functools import partial
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from zoning import evidence, once_read, units
from zoning.errors import InputError
from zoning.settings import guesses, plain
from zoning.settings.given import Given, merged
from zoning.settings.lines import Steps
from zoning.settings.plain import fault, missing_fault, typed_number
from zoning.settings.shared import Sprayer

_HOME = Sprayer.model_fields["hub"].default


def _sprayers(given: Given) -> Iterator[InputError]:
    seen: list[object] = []
    for number, sprayer in given.tables("sprayer"):
        at: Steps = ("sprayer", number)
        if isinstance(sprayer.get("name"), str) and sprayer["name"] in seen:
            yield fault(given, (*at, "name"), "two sprayers have this name", "Give each its own name.")
        seen.append(sprayer.get("name"))
        for name in ("speed", "pressure", "duty"):
            yield from _ascending(given, (*at, name))
        if sprayer.get("kind", "ground") == "ground":
            yield from _ground(given, at)
        yield from _nozzle(given, (*at, "nozzle"))
        yield from _pressure(given, (*at, "pressure"))
        for name in ("latitude", "longitude") if "base" in sprayer else ():
            yield from _base(given, at, name)
    yield from _hubs(given)


def _ground(given: Given, at: Steps) -> Iterator[InputError]:
    for name in ("nozzle", "nozzle_spacing", "tracks_exist"):
        if given.get(*at, name) is None:
            yield missing_fault(given, (*at, name), ", which a ground sprayer needs")
    pressure, duty = given.get(*at, "pressure"), given.get(*at, "duty")
    if pressure is None:
        yield missing_fault(given, (*at, "pressure"), ", which a ground sprayer needs")
    elif duty is None and not isinstance(pressure, list):
        mend = 'Write the lowest and highest as ["30 psi", "90 psi"], or add duty = [0.3, 1.0].'
        yield fault(given, (*at, "pressure"), "one pressure only, and no duty", mend)
    elif duty is not None and isinstance(pressure, list) and pressure:
        mend = 'Write the one pressure that the pulsed nozzles hold, as "50 psi", or take duty out.'
        yield fault(given, (*at, "pressure"), "a range of pressures, and duty too", mend)


def _nozzle(given: Given, steps: Steps) -> Iterator[InputError]:
    nozzle, sizes = given.get(*steps), _nozzle_sizes()
    if isinstance(nozzle, str) and nozzle.strip() and nozzle.strip() not in sizes:
        mend = f"Write the size that stands on the nozzle, one of {', '.join(sizes)}."
        yield fault(given, steps, "not a nozzle size of ISO 10625", mend)


def _nozzle_sizes() -> tuple[str, ...]:
    return (
        *evidence.named("sprayer.nozzle_flow_gal_min"),
        *evidence.named("sprayer.nozzle_flow_large_gal_min"),
    )


def _ascending(given: Given, steps: Steps) -> Iterator[InputError]:
    pair = given.get(*steps)
    if not isinstance(pair, list) or len(pair) != 2:
        return
    low, high = (typed_number(given, *steps, item) for item in (0, 1))
    if low is not None and high is not None and low > high:
        yield fault(given, steps, "the first value is above the second", "Write the lower one first.")


def _pressure(given: Given, steps: Steps) -> Iterator[InputError]:
    """Refuse a pressure at which no nozzle sprays, and guess at psi and bar."""
    typed, (least, most) = given.get(*steps), evidence.numbers("sprayer.usual_pressure_psi")
    values = typed if isinstance(typed, list) else [typed]
    read = [_psi(value) for value in values]
    if all(psi is None or least <= psi <= most for psi in read):
        return
    if any(psi is not None and psi <= 0 for psi in read):
        yield fault(given, steps, "out of range", "Give pressures above 0.")
        return
    at = next(place for place, psi in enumerate(read) if psi is not None and not least <= psi <= most)
    unit = guesses.unit_of(values[at])
    limits = f"{plain.like(least, values[at], 'psi')} to {plain.like(most, values[at], 'psi')}"
    meant = [value.replace(unit, "bar" if unit.lower() == "psi" else "psi") for value in values if value]
    in_other = [_psi(value) for value in meant]
    fits = all(psi is not None and least <= psi <= most for psi in in_other)
    guess = f" Did you mean {' and '.join(meant)}?" if fits else ""
    yield fault(given, steps, "out of range", f"Give what the nozzle sprays at, {limits}.{guess}")


def _psi(typed: object) -> float | None:
    try:
        return units.parse(typed, "psi")
    except units.UnitError:
        return None


def _hubs(given: Given) -> Iterator[InputError]:
    """Ask for every base where there are several: which fields a hub serves depends on where it stands."""
    sprayers = given.tables("sprayer")
    hubs = dict.fromkeys(str(sprayer.get("hub", _HOME)) for _, sprayer in sprayers)
    for number, sprayer in sprayers if len(hubs) > 1 else ():
        if sprayer.get("base") is None:
            why = f", and the farm has several hubs ({', '.join(hubs)}): a field belongs to the nearest"
            yield missing_fault(given, ("sprayer", number, "base"), why)


def _base(given: Given, at: Steps, name: str) -> Iterator[InputError]:
    item, limit = (0, 90) if name == "latitude" else (1, 180)
    value = typed_number(given, *at, "base", item)
    if value is not None and abs(value) > limit:
        mend = f"The {name} lies within -{limit} and {limit}; the latitude comes first."
        yield fault(given, (*at, "base"), f"no such {name}", mend)


RULES = (_sprayers,)


def of_farm(given: Given, farm_file: Path | None) -> tuple[Sprayer, ...] | None:
    """Give the sprayers of a farm, checked once for all its fields.

    Returns
    -------
    tuple of Sprayer or None
        None where there is no farm, the field has sprayers of its own, or any fault is to be told.
    """
    listed = ("sprayer", 0)
    if farm_file is None or not given.places.get(listed, "").startswith(f"{farm_file.name}:"):
        return None
    return once_read.of_file(farm_file, "sprayers", partial(_faultless, farm_file))


def _faultless(farm_file: Path) -> tuple[Sprayer, ...] | None:
    given = merged(None, farm_file)
    if any(True for rule in RULES for _ in rule(given)):
        return None
    try:
        return TypeAdapter(tuple[Sprayer, ...]).validate_python(given.get("sprayer"))
    except ValidationError:
        return None
