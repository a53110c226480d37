"""learned.toml: what the farm's own strips said, a trial an entry, and how it is read and written."""

from dataclasses import dataclass

from zoning.settings.quantities import Pressure

FILE = "learned.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedTrial:
    """What the strips of one field said in one season, of ground in one pressure class.

    `field` is the name of its folder. A field counts once in a season and class; a season counts once however
    many fields tell of it (`returns.own`).
    """

    season: int
    field: str
    pressure: Pressure
    mean_bu_ac: float
    se_bu_ac: float
    pairs: int
