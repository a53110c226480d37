"""What a load sheet says: loads, ground, label limits, and what was typed of the place. Values only."""

from dataclasses import dataclass

from zoning.passes.loads.dose import Amount, Dose
from zoning.passes.sections import SectionCover
from zoning.words import Said

SIDES = ("north", "east", "south", "west")


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One tank load; `mix_gal` is everything in it. An additive whose amount nobody gave is None.

    `area_ac` is what the load sprays: less than its mix would, where a part of it is overage. `water_gal` is
    the mix less what else is known to be in the tank.
    """

    mix_gal: float
    area_ac: float
    product: Amount
    adjuvant: Amount | None
    foliar_feed: Amount | None
    water_gal: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetZone:
    """A zone of the pass, and the top speed at which the volume is held there; None where no range is known.

    With one volume in a pass the speed is one; drive slower where the ground wants it.
    """

    zone: int
    area_ac: float
    speed_mph: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelLimits:
    """What was typed from the label, and is the operator's to keep. None or empty where nobody typed it."""

    max_wind: str  # as typed
    droplet: str
    re_entry_h: float
    pre_harvest_interval_d: int
    hay_grazing_d: int | None
    rainfast_h: float | None
    latest_stage: str
    max_dose: str
    max_applications: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """What lies in and around the field, as typed; empty where nobody typed it.

    `neighbours` has one entry for each side of the compass, in the order of `SIDES`.
    """

    entrance: str
    wires: str
    contact: str
    neighbours: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadSheet:
    """The load sheet of one pass.

    There are `full_loads` loads like `full` (None where there are none) and then the last one. `adjuvant` and
    `foliar_feed` are as typed, empty where nobody gave an amount. `pressure_psi`, `duty_frac` and `nozzle`
    are those at the speed of the zones; None or empty where no nozzle is given (aircraft, drone). The volume
    is held from `slowest_mph` on. `next_field` is where the sprayer goes next, empty where not known,
    `next_same_mix` whether with this product, dose and volume.
    `other_pass` is what goes over the whole field in the same visit, empty where nothing does. `cover` says
    what is sprayed along the edges beyond `area_ac`, None where that was not reckoned; no load holds it.
    """

    product: str
    dose: Dose
    injected: bool
    adjuvant: str
    foliar_feed: str
    zones: tuple[SheetZone, ...]
    area_ac: float
    rate_gal_ac: float
    overage_gal: float
    mix_gal: float
    full_loads: int
    full: Load | None
    last: Load
    nozzle: str
    pressure_psi: float | None
    duty_frac: float | None
    slowest_mph: float
    label: LabelLimits
    site: Site
    notes: tuple[Said, ...]
    other_pass: str = ""
    next_field: str = ""
    next_same_mix: bool = True
    cover: SectionCover | None = None

    @property
    def loads(self) -> int:
        """How many loads there are."""
        return self.full_loads + 1
