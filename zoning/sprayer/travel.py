"""Hours on the way to a field, and which sprayers serve it.

Knows bases and places, not the roads between them: the way is the straight line times a detour. What an hour
of the way costs is not known here.
"""

from collections.abc import Sequence

from pyproj import Geod

from zoning.evidence import number
from zoning.settings.model import Sprayer
from zoning.units import mi_from_m
from zoning.words import Said

_EARTH = Geod(ellps="WGS84")


def straight_m(base: tuple[float, float], latitude_deg: float, longitude_deg: float) -> float:
    """Geodesic from a base, given as latitude and longitude, to a place, in m.

    Examples
    --------
    >>> round(straight_m((44.0, -95.0), 45.0, -95.0))  # a degree of latitude there
    111122
    """
    _, _, way_m = _EARTH.inv(base[1], base[0], longitude_deg, latitude_deg)
    return float(way_m)


def travel_h(sprayer: Sprayer, latitude_deg: float, longitude_deg: float) -> float:
    """Hours on the way that one visit to a field is charged.

    Parameters
    ----------
    sprayer : Sprayer
        Its base, kind, road speed (ground, drone) or top speed (aircraft) are used.
    latitude_deg, longitude_deg : float
        A place in the field. [degree]

    Returns
    -------
    float
        0 where the sprayer has no base; `notes` says so. [h]

    Notes
    -----
    One way a visit, straight line x detour / road speed: a tour serves several fields and comes home, so that
    this is less than there and back for each, and more than the way from the field before. Aircraft fly
    straight at their top speed. A drone comes by road.

    Examples
    --------
    >>> rig = Sprayer.model_validate({"name": "rig", "boom": "90 ft", "tank": "1000 gal", "fill_min": 15,
    ...     "speed": ["5 mph", "14 mph"], "base": [44.31, -95.38], "road_speed": "20 mph"})
    >>> round(travel_h(rig, 44.31, -95.28), 3)  # 7,977 m = 4.957 mi, x 1.27 / 20
    0.315
    """
    if sprayer.base is None:
        return 0.0
    way_mi = mi_from_m(straight_m(sprayer.base, latitude_deg, longitude_deg)) * number(
        "sprayer.ways_per_visit"
    )
    if sprayer.kind == "aerial":
        return way_mi / sprayer.speed_mph[1]
    return way_mi * number("sprayer.road_detour") / sprayer.road_speed_mph


def served_by(sprayers: Sequence[Sprayer], latitude_deg: float, longitude_deg: float) -> tuple[int, ...]:
    """Say which sprayers serve a field: all those of the hub whose base is nearest.

    Parameters
    ----------
    sprayers : sequence of Sprayer
        Of a farm. Where there are several hubs the settings ask for every base.
    latitude_deg, longitude_deg : float
        A place in the field. [degree]

    Returns
    -------
    tuple of int
        Places in `sprayers`, in their order; all of them where there is one hub. Of hubs equally near the
        first.

    Raises
    ------
    ValueError
        Where there are several hubs and a sprayer has no base.

    Examples
    --------
    >>> def rig(name, hub, base):
    ...     return Sprayer.model_validate({"name": name, "boom": "90 ft", "tank": "1000 gal", "fill_min": 15,
    ...         "speed": ["5 mph", "14 mph"], "hub": hub, "base": base})
    >>> north, south = rig("a", "north", [45.0, -95.0]), rig("b", "south", [44.0, -95.0])
    >>> farm = north, south, rig("c", "north", [45.1, -95.0])
    >>> served_by(farm, 44.9, -95.0), served_by(farm, 44.1, -95.0)
    ((0, 2), (1,))
    """
    if len({sprayer.hub for sprayer in sprayers}) < 2:
        return tuple(range(len(sprayers)))
    away_m: dict[str, float] = {}
    for sprayer in sprayers:
        if sprayer.base is None:
            raise ValueError(f"{sprayer.name} has no base, and there are several hubs")
        this_m = straight_m(sprayer.base, latitude_deg, longitude_deg)
        away_m[sprayer.hub] = min(this_m, away_m.get(sprayer.hub, this_m))
    nearest = min(away_m, key=lambda hub: away_m[hub])
    return tuple(place for place, sprayer in enumerate(sprayers) if sprayer.hub == nearest)


def notes(sprayers: Sequence[Sprayer]) -> tuple[Said, ...]:
    """Say how the way to the fields is counted: who has no base, and what is assumed of the others.

    Examples
    --------
    >>> rig = Sprayer.model_validate({"name": "rig", "boom": "90 ft", "tank": "1000 gal", "fill_min": 15,
    ...     "speed": ["5 mph", "14 mph"]})
    >>> [said.code for said in notes([rig])]
    ['sprayer.no_base']
    """
    without = [sprayer.name for sprayer in sprayers if sprayer.base is None]
    said = [Said("sprayer.no_base", sprayers=", ".join(without))] if without else []
    if len(without) < len(sprayers):
        said.append(
            Said(
                "sprayer.way",
                ways=number("sprayer.ways_per_visit"),
                detour=number("sprayer.road_detour"),
            )
        )
    return tuple(said)
