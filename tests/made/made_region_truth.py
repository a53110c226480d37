"""What is true of each field of a made region: its blocks, its ground, what any plan returns there.

Nothing of `zoning` is used here. The model is that of `made_seasons`, whose docstring names its sources;
there a field has zones, here the same figures vary over cells of 10 m, so that a plan is judged whatever
zones it has.

- What `made_seasons` draws for each zone is a smooth pattern over the field here, patches of some 100-200
  m: the gain without disease, each disease, the miss of R3. A field with a disease lacks it on 15 % of its
  ground.
- A dense canopy has somewhat more disease: correlation .4 (assumed), so that an image taken before R3 shows
  it dimly.
- The miss of R3 is shared by season (2.4 d), variety (1.8), field (3.2), block (1.2), place (.8), as there.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from made_seasons import RESIDUAL_LIFE, STAGE_MEANS, Disease, TrueZone
from pyproj import Transformer
from scipy.ndimage import gaussian_filter
from shapely import MultiPolygon, Polygon, contains_xy, transform

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Shape = Polygon | MultiPolygon

EPSG = 32615
CELL_M = 10.0
AROUND = 2  # cells of the pictures beyond the field, on each side
ACRE_M2 = 4046.8564224
SEEN = 0.4  # correlation of each disease with the canopy
LACKS_Z = -1.0364  # 15 % of a normal pattern lies below
# mean of e^.3p where the pattern p is above that: .951; in made_seasons .85 x 1.046
AS_IN_SEASONS = 0.889 / 0.951
PATTERNS = ("soil", "canopy", "brown", "frogeye", "gain", "late")
BENDS = np.union1d(STAGE_MEANS[0], RESIDUAL_LIFE[0])  # stages
TO_LONLAT = Transformer.from_crs(EPSG, 4326, always_xy=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueMoney:
    """What the grower of a field pays and gets."""

    price_usd_bu: float
    product_usd_ac: float
    adjuvant_usd_ac: float
    pass_usd_ac: float
    per_visit_usd: float

    @property
    def cost_usd_ac(self) -> float:
        """All that a sprayed acre costs."""
        return self.product_usd_ac + self.adjuvant_usd_ac + self.pass_usd_ac


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrueBlock:
    """A planting block: its west and east edge in the field, and the days on which R1 ... R7 really begin."""

    west_m: float
    east_m: float
    planted: date
    variety: str
    maturity_group: float
    begin_day: Floats  # date.toordinal() plus the part of the day

    @property
    def r3_day(self) -> float:
        """Day on which R3 begins, on average over the block."""
        return float(self.begin_day[2])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sprayed:
    """Ground that is sprayed once. `days` are those on which the pass works there, each with its share."""

    outline: Shape  # EPSG:4326
    days: tuple[tuple[float, float], ...]
    visit: int = 1  # ground of one visit shares what a visit costs


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrueGround:
    """Each cell of a field: where it is and what is true there; arrays (cells,)."""

    lonlat: tuple[Floats, Floats]
    area_ac: Floats
    block: npt.NDArray[np.int64]
    gain_bu_ac: Floats  # without disease, at mid R3
    saved_bu_ac: Floats  # of what disease would take
    late_d: Floats  # R3 after that of the block


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrueQuarter:
    """A field of the region, and the truth of it."""

    name: str  # of its folder
    corner_m: tuple[float, float]  # southwest, in EPSG
    outline_m: Shape  # in EPSG
    blocks: tuple[TrueBlock, ...]
    counted: bool
    key: tuple[int, int]  # of its draws: seed and number
    money: TrueMoney
    expected_yield_bu_ac: float
    disease: Disease
    gain_bu_ac: float  # without disease, mean of the field
    late_share: float

    @property
    def area_ac(self) -> float:
        """Acres within the boundary."""
        return float(self.outline_m.area) / ACRE_M2

    @property
    def outline(self) -> Shape:
        """The boundary in EPSG:4326."""
        return transform(self.outline_m, lambda xy: np.column_stack(TO_LONLAT.transform(*xy.T)))

    @property
    def ground(self) -> TrueGround:
        """The cells of the field."""
        return _ground(self)

    def net_usd_ac(self, day: float) -> Floats:
        """What spraying each cell on a day truly returns, visits apart; shape (cells,)."""
        ground = self.ground
        response = np.empty(ground.area_ac.size)
        for number, block in enumerate(self.blocks):
            here = ground.block == number
            response[here] = _response_bu_ac(self, block, here, day - ground.late_d[here])
        return self.money.price_usd_bu * response - self.money.cost_usd_ac

    def return_usd(self, sprayed: Sequence[Sprayed]) -> float:
        """Give what a plan of this field truly returns: each sprayed cell, and what the visits cost."""
        ground = self.ground
        total = 0.0
        for one in sprayed:
            inside = contains_xy(one.outline, *ground.lonlat)
            for day, share in one.days:
                total += share * float(ground.area_ac[inside] @ self.net_usd_ac(day)[inside])
        return total - self.money.per_visit_usd * len({one.visit for one in sprayed})

    def clairvoyant_usd(self) -> float:
        """Give what no plan exceeds: each cell on its own best day, in one visit."""
        ground = self.ground
        best = np.zeros(ground.area_ac.size)
        for number, block in enumerate(self.blocks):
            here = ground.block == number
            # between these days the response is straight
            for day in np.interp(BENDS, np.arange(1.0, 7.0), block.begin_day[:6]):
                best[here] = np.maximum(best[here], _response_bu_ac(self, block, here, day))
        net = np.maximum(self.money.price_usd_bu * best - self.money.cost_usd_ac, 0)
        return max(0.0, float(ground.area_ac @ net) - self.money.per_visit_usd)


def _response_bu_ac(field: TrueQuarter, block: TrueBlock, here: Bools, day: float | Floats) -> Floats:
    """Give the response of some cells of a block, the day being that of the block."""
    without = _zone(block, field.late_share, gain=1.0, saved=0.0).response_bu_ac(day)
    of_disease = _zone(block, field.late_share, gain=0.0, saved=1.0).response_bu_ac(day)
    ground = field.ground
    return np.asarray(ground.gain_bu_ac[here] * without + ground.saved_bu_ac[here] * of_disease)


def _zone(block: TrueBlock, late_share: float, *, gain: float, saved: float) -> TrueZone:
    return TrueZone(
        zone=0,
        block=0,
        area_ac=0.0,
        pressure="unknown",
        forecast_r3_day=0.0,
        begin_day=block.begin_day,
        gain_bu_ac=gain,
        saved_bu_ac=saved,
        late_share=late_share,
        diseased=saved > 0,
    )


def patterns(key: tuple[int, int], cells: tuple[int, int]) -> dict[str, Floats]:
    """Draw the patterns of a field's ground, mean 0 and SD 1, rows from the north; cells are its own."""
    shape = (cells[0] + 2 * AROUND, cells[1] + 2 * AROUND)
    rng = np.random.default_rng([key[0], 3, key[1]])
    # laid at 20 m, which patches of 100 m do not miss, because drawing is what takes the time
    coarse = (len(PATTERNS), (shape[0] + 1) // 2, (shape[1] + 1) // 2)
    rough = rng.standard_normal(coarse)
    drawn = {}
    for name, raw in zip(PATTERNS, rough, strict=True):
        smooth = gaussian_filter(raw, 4.5 if name == "soil" else 3.0, mode="wrap", truncate=3.0)
        smooth = np.repeat(np.repeat(smooth, 2, axis=0), 2, axis=1)[: shape[0], : shape[1]]
        drawn[name] = (smooth - smooth.mean()) / smooth.std()
    for name in ("brown", "frogeye"):
        drawn[name] = SEEN * drawn["canopy"] + np.sqrt(1 - SEEN**2) * drawn[name]
    return drawn


def cells_of(outline_m: Shape) -> tuple[int, int]:
    """Rows and columns of the cells of a field."""
    west, south, east, north = outline_m.bounds
    return int(np.ceil((north - south) / CELL_M)), int(np.ceil((east - west) / CELL_M))


def middles_m(corner_m: tuple[float, float], cells: tuple[int, int]) -> tuple[Floats, Floats]:
    """Eastings of the columns and northings of the rows of a field's pictures, the middle of each cell."""
    columns = corner_m[0] + CELL_M * (np.arange(cells[1] + 2 * AROUND) - AROUND + 0.5)
    rows = corner_m[1] + CELL_M * (np.arange(cells[0] + 2 * AROUND)[::-1] - AROUND + 0.5)
    return columns, rows


@lru_cache(maxsize=4)
def _ground(field: TrueQuarter) -> TrueGround:
    cells = cells_of(field.outline_m)
    east_m, north_m = (one.ravel() for one in np.meshgrid(*middles_m(field.corner_m, cells)))
    inside = contains_xy(field.outline_m, east_m, north_m)
    east_m, north_m = east_m[inside], north_m[inside]
    of = {name: one.ravel()[inside] for name, one in patterns(field.key, cells).items()}
    edges_m = [field.corner_m[0] + block.west_m for block in field.blocks[1:]]
    frogeye_bu_ac = field.disease.frogeye_pct * field.disease.frogeye_bu_ac_pct
    taken = sum(
        most * AS_IN_SEASONS * np.exp(0.3 * of[name]) * (of[name] > LACKS_Z)
        for name, most in (("brown", field.disease.brown_bu_ac), ("frogeye", frogeye_bu_ac))
    )
    return TrueGround(
        lonlat=TO_LONLAT.transform(east_m, north_m),
        area_ac=np.full(east_m.size, field.area_ac / east_m.size),
        block=np.searchsorted(edges_m, east_m, side="right"),
        gain_bu_ac=field.gain_bu_ac + 0.35 * of["gain"],
        saved_bu_ac=np.asarray(field.disease.efficacy * taken),
        late_d=0.8 * of["late"],
    )
