"""The map that a machine follows in one pass. Values only."""

from dataclasses import dataclass

from shapely import Polygon

from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True)
class MapPart:
    """One polygon of the map that a machine follows, in EPSG:4326; rate 0 where the boom is off."""

    outline: Polygon
    rate_gal_ac: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """What was done to a map so that old terminals take it.

    `polygons` and `size_bytes` (of the .shp) are those before. `joined` polygons, of `joined_ac` acres, got
    the rate of a neighbour; edges moved by `moved_m` at most. `fits` is False where that was not enough.
    """

    polygons: int
    size_bytes: int
    joined: int
    joined_ac: float
    moved_m: float
    fits: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PassMap:
    """The map that the machine follows in one pass: every file of the pass holds these polygons.

    `parts` are single polygons that cover the field, the highest rate first. `treated_ac` is the ground that
    gets the rate. `fitted` is None where the map is as the plan has it. `not_followed` says why the machine
    cannot follow it, empty where it can.
    """

    parts: tuple[MapPart, ...] = ()
    treated_ac: float = 0.0
    fitted: Fitted | None = None
    not_followed: tuple[Said, ...] = ()
