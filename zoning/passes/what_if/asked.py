"""What can be reckoned again without the program: other prices, costs, source or rule. Values only.

The page carries it to the grower; days, passes and carrier volumes stay as they were planned.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from zoning.returns.terms import Terms
from zoning.settings.model import Source

Rule = Literal["expected", "chance", "cautious"]
Action = Literal["spray", "skip"]
Steps = npt.NDArray[np.int16]


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What may be moved. Prices and costs are as typed: before the grower's share, haul not taken off."""

    grain_price_usd_bu: float
    product_usd_ac: float
    pass_usd_ac: float
    source: Source
    rule: Rule
    min_net_usd_ac: float
    min_chance_frac: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIfVolume:
    """What a treated acre costs at one carrier volume, None where it is not known.

    `terms` are those of the plan. The own machine may cost more at some volumes than at that of the plan's
    figure: `pass_more_usd_ac` is by how much, before the grower's share.
    """

    terms: Terms
    volume_gal_ac: float | None
    pass_more_usd_ac: float = 0.0

    @property
    def others_usd_ac(self) -> tuple[float, float, float, float]:
        """Adjuvant, adjuvant by share of the tank, foliar feed, water: costs that no figure moves.

        Product, the first three, pass and water add up to `returns.costs.cost_usd_ac`, in that order.
        """
        terms, gal_ac = self.terms, self.volume_gal_ac or 0.0
        tank_usd_ac, water_usd_ac = terms.adjuvant_usd_gal * gal_ac, terms.water_usd_gal * gal_ac
        return terms.adjuvant_usd_ac, tank_usd_ac, terms.foliar_feed_usd_ac, water_usd_ac


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIfVisit:
    """A visit that may be made: a pass of the plan, or (`number` 0) one that the plan does not make.

    `zones` are those that it may spray; `cost_usd_ac` is the avoidable cost of a treated acre at the figures
    of the plan, the grower's own share, visit and tracks apart. `volume` is its place among the volumes. With
    `own_days` each zone is sprayed on its own best day.
    """

    number: int
    day: int
    last_day: int
    rate_gal_ac: float | None
    zones: tuple[int, ...]
    cost_usd_ac: float
    volume: int = 0
    own_days: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WhatIfZone:
    """A zone at its pass, or at the best option that it had.

    `visit` is its place among the visits, -1 where none may take it. `steps` holds for each response source,
    in whole steps of 1/20 bu/ac, the response on some days, shape (days, draws): the first `visit_days` are
    those on which the visit sprays it; row `judged_on` is the one on which it is judged, at the volume
    `volume` (its place among the volumes). Sources without figures are left out; without any no day is open
    to it. `track_loss_bu_ac` is with all of its own wheel tracks.
    `stands` is the plan's action where something else than the figures decided it (hours, another pass,
    the user): it stays until the next run, None where the figures decide.
    """

    zone: int
    area_ac: float
    visit: int
    judged_on: int
    track_loss_bu_ac: float
    steps: Mapping[Source, Steps]
    stands: Action | None = None
    visit_days: int = 1
    volume: int = 0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WhatIf:
    """The zones of a field with their draws, and all that their money is made of.

    `swaths` groups ground by which zones lie on its swaths: for each group the places of the zones among
    `zones` and their acres there; empty where no wheel track counts. Costs are the grower's own share, but
    for those in `base`. `volumes` are the carrier volumes of the options, without any nothing can be judged.
    """

    base: Figures
    zones: tuple[WhatIfZone, ...]
    visits: tuple[WhatIfVisit, ...]
    swaths: tuple[tuple[tuple[int, float], ...], ...]
    share_of_grain_frac: float
    haul_usd_bu: float
    share_of_cost_frac: float
    loss_weight: float
    product_counts: bool  # False: it is bought already
    pass_counts: Literal["treated", "field", "no"]  # by which acres it is billed
    field_ac: float  # that a bill for the whole field counts
    per_visit_usd: float
    minimum_bill_usd: float
    goes_anyway: bool
    split_load_usd: float
    volumes: tuple[WhatIfVolume, ...] = ()
