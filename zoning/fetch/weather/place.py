"""For which place: the middle of a farm's fields, and how far they lie from it. Asks nobody."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from pyproj import Geod

from zoning.errors import SETTINGS, InputError
from zoning.evidence import number
from zoning.inputs import area, files
from zoning.inputs.ground import boundary
from zoning.settings.model import Settings
from zoning.settings.read import FARM_FILE, FIELD_FILE, fields_of, is_farm, load
from zoning.words import Said

_EARTH = Geod(ellps="WGS84")
_SHARED = ("weather.", "get.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place on earth, in degrees, east and north positive."""

    latitude_deg: float
    longitude_deg: float

    def rounded(self, decimals: int) -> "Place":
        """Give the place as it is told to a service.

        Examples
        --------
        >>> Place(latitude_deg=44.30512, longitude_deg=-95.4).rounded(2)
        Place(latitude_deg=44.31, longitude_deg=-95.4)
        """
        return Place(
            latitude_deg=round(self.latitude_deg, decimals), longitude_deg=round(self.longitude_deg, decimals)
        )

    def away_m(self, other: "Place") -> float:
        """Give the distance to another place, in metres on the ellipsoid."""
        _, _, way_m = _EARTH.inv(
            self.longitude_deg, self.latitude_deg, other.longitude_deg, other.latitude_deg
        )
        return float(way_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Home:
    """A farm, or a field without one: where its files go, and what stands in its settings.

    `settings` are those of the field that says least of its own about weather. `toml` is the file that names
    the weather files, `fields` counts those whose boundary was read.
    """

    folder: Path
    toml: Path
    settings: Settings
    place: Place
    fields: int
    farthest_m: float
    notes: tuple[Said, ...]

    def today(self, asked: date | None, clock: date) -> date:
        """Give the day as of which weather is got."""
        return asked or self.settings.as_of or clock


def home_of(folder: Path) -> Home:
    """Find out what a folder is, and where its fields lie.

    Parameters
    ----------
    folder : Path
        A farm's, or a field's: weather is shared, so that for a field of a farm that of the farm is got.

    Raises
    ------
    InputError
        Code 2 or 3: what is wrong with the settings or boundaries, where no field can be placed.
    """
    own = None if is_farm(folder) else load(folder)
    farm = folder if own is None else own.farm_folder
    home = farm or folder
    is_shared = own is None or own.farm_folder not in (None, own.folder)
    folders = fields_of(home) if is_shared else (folder,)
    read, places, faults, notes = (
        list[Settings](),
        list[tuple[Place, float]](),
        list[InputError](),
        list[Said](),
    )
    for one in folders:
        try:
            settings = load(one)
            file = settings.boundary.file
            edge = boundary.read(files.find(settings, "boundary.file", file), file)
        except InputError as fault:
            faults.append(fault)
            notes.append(Said("fetch.weather_field_passed", field=one.name, what=fault.faults[0]))
            continue
        read.append(settings)
        at = Place(latitude_deg=edge.latitude_deg, longitude_deg=edge.longitude_deg)
        places.append((at, area.geodesic_ac(area.to_lonlat(edge.area, edge.epsg))))
    if not read:
        raise InputError.together(faults) if faults else _no_field(home)
    if own is not None and is_shared:
        notes.insert(0, Said("fetch.weather_of_farm", field=folder.name))
    at = middle(places)
    farthest_m = max(at.away_m(one) for one, _ in places)
    if farthest_m > number("fetch.weather_far_m"):
        notes.append(Said("fetch.weather_far", fields=len(places), far_m=farthest_m))
    return Home(
        folder=home,
        toml=home / (FARM_FILE if farm is not None else FIELD_FILE),
        settings=min(read, key=_own_words),
        place=at,
        fields=len(read),
        farthest_m=farthest_m,
        notes=tuple(notes),
    )


def middle(places: Sequence[tuple[Place, float]]) -> Place:
    """Give the middle of places, each with its weight, also across longitude 180.

    Examples
    --------
    >>> west, east = (Place(latitude_deg=10, longitude_deg=one) for one in (179.5, -179.5))
    >>> middle([(west, 1.0), (east, 3.0)])
    Place(latitude_deg=10.0, longitude_deg=-179.75)
    """
    first = places[0][0].longitude_deg
    whole = sum(weight for _, weight in places)
    north = sum(one.latitude_deg * weight for one, weight in places) / whole
    east = sum(_turned(one.longitude_deg - first) * weight for one, weight in places) / whole
    return Place(latitude_deg=north, longitude_deg=_turned(first + east))


def _turned(longitude_deg: float) -> float:
    return (longitude_deg + 180) % 360 - 180


def _own_words(settings: Settings) -> int:
    """Count what a field says by itself about the weather that a farm shares."""
    return sum(
        key.startswith(_SHARED) and place.startswith(FIELD_FILE) for key, place in settings.origin.items()
    )


def _no_field(home: Path) -> InputError:
    mend = "Add one with `sprayworth new`, with its boundary: weather is got for the place of the fields."
    return InputError("this farm has no field", where=home, mend=mend, code=SETTINGS)
