"""Results of trials made by hand, for the tests of what shows them: no room of the chain is asked.

A field is a rectangle with a corner cut off; strips lie side by side along its heading, the combine drives
them up and down. Yields are a smooth surface with a response that each zone has, and noise from a seed.
"""

import math
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise

import numpy as np
import shapely
from pyproj import Geod
from scipy import stats
from shapely import affinity

from zoning.inputs.area import to_lonlat
from zoning.inputs.season_book import BookRow
from zoning.plan.trial import TrialPoints, TrialResult, TrialStrip, TrialZone
from zoning.returns.terms import CostLine, Mixture, Part
from zoning.settings.learned import LearnedTrial
from zoning.stage.past_seasons import StageBias
from zoning.strips.learned.learned_terms import Belief, JudgedZone, ReliabilityBin, SeasonBook
from zoning.strips.terms import (
    ByZone,
    Lag,
    Money,
    PairSeen,
    Response,
    RuleCount,
    Spatial,
    StripSeen,
    ZoneResponse,
)
from zoning.words import Said

GEOD = Geod(ellps="WGS84")
M2_PER_AC = 4046.8564224  # 43 560 international square feet
NAN = float("nan")
POOLED_SD, POOLED_DF = 3.5, 20


@dataclass(frozen=True)
class MadeTrial:
    """What a made trial can be asked for."""

    pairs: int = 6
    zones: int = 4
    responses: tuple[float, ...] = (6.4, 4.1, 5.2, 0.6)  # of the zones, in turn
    noise: float = 1.6  # SD of the pairs' differences [bu/ac]
    money: bool = True
    book: bool = True
    time: bool = True
    moisture: bool = True
    out: tuple[int, ...] = ()  # pairs that do not count
    units: str = "us"
    epsg: int = 32615
    origin_m: tuple[float, float] = (270_000.0, 4_900_000.0)
    size_m: tuple[float, float] = (800.0, 620.0)  # across and along the strips
    heading_deg: float = 0.0
    step_m: float = 6.0  # from point to point
    field: str = "Heron Slough"
    farm: str = "Slough Farm"
    country: str = "US"
    season: int = 2026
    harvested: tuple[date, ...] = (date(2026, 10, 2), date(2026, 10, 3))
    sprayed_on: tuple[date, ...] = (date(2026, 7, 21),)
    product: str = "a triazole and a strobilurin"
    judged: bool = True
    beliefs: bool = True
    seed: int = 4


RULES = ("header_up", "ends", "speed", "narrow", "doubled", "limits", "flow", "local")
TAKEN = (0.021, 0.034, 0.012, 0.018, 0.007, 0.004, 0.0, 0.016)  # of all points


class _Told(Said):
    """A sentence that no room says."""

    __slots__ = ()

    def __init__(self, text: str) -> None:
        self.code, self.values, self.text = "made.told", {}, text


def told(text: str) -> Said:
    """Say something that no room says."""
    return _Told(text)


def acres(area) -> float:
    """Geodesic area by pyproj."""
    return abs(GEOD.geometry_area_perimeter(shapely.orient_polygons(area))[0]) / M2_PER_AC


class _Ground:
    """The field's shapes in its own frame (x across the strips, y along them), and the way to the map."""

    def __init__(self, made: MadeTrial) -> None:
        self.made = made
        wide, high = made.size_m
        cut = 0.18 * min(wide, high)
        self.boundary = shapely.Polygon(
            [(0, 0), (wide, 0), (wide, high - cut), (wide - cut, high), (0, high)]
        )
        self.header, self.width = 9.144, 27.432
        self.zones = [one for one in self._zones() if one.area > 0]
        self.strips = list(self._strips())

    def _zones(self):
        """Bands that lean, so that strips cross several."""
        wide, high = self.made.size_m
        edges = np.linspace(-0.25 * high, 1.25 * high, self.made.zones + 1)
        edges[0], edges[-1] = -high, 2 * high
        for low, top in pairwise(edges):
            band = [(0, low), (wide, low + 0.3 * high), (wide, top + 0.3 * high), (0, top)]
            yield shapely.intersection(shapely.Polygon(band), self.boundary)

    def _strips(self):
        wide, high = self.made.size_m
        rng = np.random.default_rng(self.made.seed)
        apart = wide / (self.made.pairs + 1)
        for pair in range(1, self.made.pairs + 1):
            middle = pair * apart
            first = rng.random() < 0.5
            for at in (0, 1):
                left = middle + (at - 1) * self.width
                box = shapely.box(left, -1, left + self.width, high + 1)
                yield pair, (at == 0) == first, shapely.intersection(box, self.boundary)

    def on_map(self, shape):
        """Turn a shape to the heading and bring it to the plane of the field."""
        turned = affinity.rotate(shape, -self.made.heading_deg, origin=(0, 0))
        return affinity.translate(turned, *self.made.origin_m)

    def lonlat(self, shape):
        return to_lonlat(self.on_map(shape), self.made.epsg)


def _responses(made: MadeTrial, ground: _Ground) -> np.ndarray:
    return np.array([made.responses[at % len(made.responses)] for at in range(len(ground.zones))])


def _points(made: MadeTrial, ground: _Ground, rng) -> tuple[TrialPoints, tuple[RuleCount, ...]]:
    wide, high = made.size_m
    across = np.arange(ground.header / 2, wide, ground.header)
    along = np.arange(made.step_m / 2, high, made.step_m)
    x = np.repeat(across, len(along))
    y = np.concatenate([along if at % 2 == 0 else along[::-1] for at in range(len(across))])
    inside = shapely.contains_xy(ground.boundary, x, y)
    x, y = x[inside], y[inside]
    zone = np.zeros(len(x), dtype=np.int64)
    for at, shape in enumerate(ground.zones):
        zone[shapely.contains_xy(shape, x, y)] = at + 1
    pair = np.zeros(len(x), dtype=np.int64)
    treated = np.zeros(len(x), dtype=np.bool_)
    for number, is_treated, shape in ground.strips:
        middle = shape.centroid.x
        counts = (np.abs(x - middle) < ground.header) & (y > 30) & (y < high - 30)
        pair[counts] = number
        treated[shapely.contains_xy(shape, x, y)] = is_treated
    surface = 58 + 7 * np.sin(x / wide * 5) * np.cos(y / high * 4) - 6 * (y / high - 0.4) ** 2
    lift = np.concatenate([[0.0], _responses(made, ground)])[zone]
    grown = surface + np.where(treated, lift, 0.0) + rng.normal(0, 3.0, len(x))
    removed = np.zeros(len(x), dtype=np.int64)
    counts, before = [], len(x)
    for at, (code, share) in enumerate(zip(RULES, TAKEN, strict=True), start=1):
        free = np.flatnonzero(removed == 0)
        if code == "ends":
            ends = free[(y[free] < 14) | (y[free] > high - 14)]
            taken = ends
        else:
            taken = rng.choice(free, size=int(share * before), replace=False)
        removed[taken] = at
        counts.append(RuleCount(code=code, removed=len(taken), before=len(free)))
    pair[removed > 0] = 0
    east_north = shapely.get_coordinates(ground.on_map(shapely.multipoints(np.column_stack([x, y]))))
    return (
        TrialPoints(
            row=np.arange(2, len(x) + 2),
            east_m=east_north[:, 0],
            north_m=east_north[:, 1],
            yield_bu_ac=grown,
            moisture_frac=np.full(len(x), 0.12 if made.moisture else NAN),
            removed_by=removed,
            pair=pair,
            zone=zone,
            is_treated=treated,
        ),
        tuple(counts),
    )


def made_response(differences, money: Money | None) -> Response | None:
    """What pairs say, by the t distribution; from the pooled SD where there is one pair."""
    differences = np.asarray(differences)
    count = len(differences)
    if count == 0:
        return None
    mean = float(differences.mean())
    sd = float(differences.std(ddof=1)) if count > 1 else NAN
    se, df = (sd / math.sqrt(count), count - 1) if count > 1 else (POOLED_SD, POOLED_DF)
    half = se * float(stats.t.ppf(0.95, df))
    told, pays = None, None
    if money is not None:
        pays = float(stats.t.cdf((mean - money.break_even_bu_ac) / se, df))
        low, high = mean - half > money.break_even_bu_ac, mean + half < money.break_even_bu_ac
        told = "paid" if low else "did not pay" if high else "cannot tell"
    return Response(
        pairs=count, mean_bu_ac=mean, sd_bu_ac=sd, se_bu_ac=se, low_bu_ac=mean - half, high_bu_ac=mean + half,
        p_two_sided=float(2 * stats.t.sf(abs(mean / se), df)), relabelled_p=2.0 ** (1 - count),
        from_pooled_sd=count == 1, money=money, chance_pays=pays, told=told,
        pairs_needed=3 * count if told == "cannot tell" else None, se_to_learn_bu_ac=se,
    )  # fmt: skip


def _pairs(made: MadeTrial, ground: _Ground, rng) -> tuple[PairSeen, ...]:
    lifts = _responses(made, ground)
    found = []
    for number in range(1, made.pairs + 1):
        shapes = [shape for pair, _, shape in ground.strips if pair == number]
        shares = np.array(
            [sum(shapely.intersection(zone, one).area for one in shapes) for zone in ground.zones]
        )
        difference = float(shares @ lifts / shares.sum() + rng.normal(0, made.noise))
        out = number in made.out
        found.append(
            PairSeen(
                pair=number,
                length_m=0.0 if out else made.size_m[1] - 60.0,
                points=0 if out else int(4 * (made.size_m[1] - 60) / made.step_m),
                treated_bu_ac=NAN if out else 58.0 + difference,
                untreated_bu_ac=NAN if out else 58.0,
                moisture_difference_frac=0.004 if made.moisture and not out else NAN,
                why_not=told("its untreated strip was sprayed on 38 % of its ground") if out else None,
            )
        )
    return tuple(found)


def _by_zone(made: MadeTrial, ground: _Ground, whole: Response, rng) -> ByZone:
    lifts = _responses(made, ground)
    found = []
    for number in range(1, len(ground.zones) + 1):
        seen = float(lifts[number - 1] + rng.normal(0, made.noise / 2))
        mean, se = 0.6 * seen + 0.4 * whole.mean_bu_ac, 0.8 + 0.1 * (number % 3)
        low, high = mean - 1.75 * se, mean + 1.75 * se
        pays = what = None
        if whole.money is not None:
            needed = whole.money.break_even_bu_ac
            pays = float(stats.norm.cdf((mean - needed) / se))
            what = "paid" if low > needed else "did not pay" if high < needed else "cannot tell"
        found.append(
            ZoneResponse(
                zone=number, pairs=max(1, made.pairs - number % 3), length_m=310.0 + 40 * number,
                seen_bu_ac=seen, mean_bu_ac=mean, se_bu_ac=se, low_bu_ac=low, high_bu_ac=high,
                chance_pays=pays, told=what,
            )
        )  # fmt: skip
    return ByZone(
        zones=tuple(found), zone_sd_bu_ac=1.9, pair_sd_bu_ac=0.7, rest_sd_bu_ac=1.4, differ_p=0.018,
        differ=made.zones > 1,
    )  # fmt: skip


def _judged(by_zone: ByZone, money: Money) -> tuple[JudgedZone, ...]:
    found = []
    for at, one in enumerate(by_zone.zones):
        action = "skip" if at % 4 == 3 else "spray"
        paid = {"paid": True, "did not pay": False}.get(one.told)
        right = "cannot tell" if paid is None else "right" if paid == (action == "spray") else "wrong"
        net = money.net_usd_ac(one.mean_bu_ac)
        found.append(
            JudgedZone(
                zone=one.zone, action=action, sprayed_frac=0.97 if action == "spray" else 0.02,
                forecast_net_usd_ac=8.0 - 5 * at % 17, forecast_chance=0.71 - 0.13 * (at % 4), net_usd_ac=net,
                net_low_usd_ac=money.net_usd_ac(one.low_bu_ac),
                net_high_usd_ac=money.net_usd_ac(one.high_bu_ac),
                chance_pays=one.chance_pays, told=one.told, judgement=right,
                said=told(f"zone {one.zone}: {action} was {right}"),
            )
        )  # fmt: skip
    return tuple(found)


def _density(parts, over):
    return sum(weight * stats.norm.pdf(over, mean, sd) for weight, mean, sd in parts)


def made_belief(pressure: str, data: tuple[float, float], money: Money | None) -> Belief:
    """A belief by the normal rule, from a prior of two parts."""
    over = np.linspace(-8, 14, 221)
    before = ((0.6, 1.0, 1.2), (0.4, 3.5, 1.6))
    mean, sd = data
    after = []
    for weight, m, s in before:
        share = s**2 / (s**2 + sd**2)
        after.append(
            (
                weight * stats.norm.pdf(mean, m, math.hypot(s, sd)),
                m + share * (mean - m),
                s * math.sqrt(1 - share),
            )
        )
    total = sum(weight for weight, _, _ in after)
    after = [(weight / total, m, s) for weight, m, s in after]

    def moments(parts):
        first = sum(w * m for w, m, _ in parts)
        return first, math.sqrt(sum(w * (s**2 + (m - first) ** 2) for w, m, s in parts))

    def above(parts):
        needed = money.break_even_bu_ac
        return float(sum(w * stats.norm.sf(needed, m, s) for w, m, s in parts))

    def mixture(parts):
        return Mixture(
            tuple(Part(weight=w, low_bu_ac=m, responding_bu_ac=0.0, sd_bu_ac=s) for w, m, s in parts)
        )

    return Belief(
        pressure=pressure, before=mixture(before), after=mixture(after),
        before_mean_bu_ac=moments(before)[0], before_sd_bu_ac=moments(before)[1],
        data_mean_bu_ac=mean, data_sd_bu_ac=sd,
        after_mean_bu_ac=moments(after)[0], after_sd_bu_ac=moments(after)[1],
        chance_before=above(before) if money else None, chance_after=above(after) if money else None,
        response_bu_ac=over, before_density=_density(before, over),
        data_density=_density(((1.0, mean, sd),), over), after_density=_density(after, over),
    )  # fmt: skip


def made_book(field: str, variety: str = "Marsh 2") -> SeasonBook:
    """Three seasons: a chance in four bins, and R3 earlier than the model."""
    rows = tuple(
        BookRow(
            season=year, field=field, zone=zone, block="A", variety=variety, maturity_group=2.1,
            planted=date(year, 5, 2), r3_forecast=date(year, 7, 20), r3_forecast_sd_d=3.1,
            r3_seen=date(year, 7, 17), r3_seen_sd_d=1.0, action="spray", sprayed=True, chance_pays=0.6,
            net_usd_ac=9.0, response_bu_ac=3.0, response_se_bu_ac=1.2, chance_paid=0.7,
        )
        for year in (2024, 2025, 2026)
        for zone in (1, 2, 3)
    )  # fmt: skip
    bins = ((0.0, 0.25, 3, 2, 0.18, 0.21), (0.25, 0.5, 5, 3, 0.41, 0.30), (0.5, 0.75, 7, 3, 0.64, 0.58),
            (0.75, 1.0, 4, 2, 0.82, 0.93))  # fmt: skip
    return SeasonBook(
        rows=rows,
        reliability=tuple(
            ReliabilityBin(low=a, high=b, zones=n, seasons=s, mean_forecast=f, paid_frac=p)
            for a, b, n, s, f, p in bins
        ),
        brier=0.19,
        brier_of_mean=0.24,
        biases=(
            StageBias(kind="field", name=field, seasons=3, seen_d=-2.7, shrunk_d=-1.6, sd_d=1.2),
            StageBias(kind="variety", name=variety, seasons=2, seen_d=1.5, shrunk_d=0.4, sd_d=1.7),
        ),
        notes=(told("19 zones are few to judge chances by"),),
    )


COSTS = (
    CostLine(name="product", usd_ac=14.2, usd=1562.0, counted=True),
    CostLine(name="adjuvant", usd_ac=1.6, usd=176.0, counted=True),
    CostLine(name="pass", usd_ac=8.5, usd=935.0, counted=True),
    CostLine(name="tracks_sprayed", usd_ac=2.1, usd=231.0, counted=True),
    CostLine(name="per_visit", usd_ac=NAN, usd=150.0, counted=True),
)


def made_trial(made: MadeTrial = MadeTrial()) -> TrialResult:
    """Make a result: the same wishes give the same one."""
    rng = np.random.default_rng(made.seed)
    ground = _Ground(made)
    points, rules = _points(made, ground, rng)
    pairs = _pairs(made, ground, rng)
    money = Money(price_usd_bu=10.4, cost_usd_ac=24.3, tracks_bu_ac=0.2) if made.money else None
    counted = [one.difference_bu_ac for one in pairs if one.why_not is None]
    whole = made_response(counted, money)
    by_zone = _by_zone(made, ground, whole, rng) if whole is not None and made.zones > 1 else None
    season = _trials(made, whole)
    seen = (whole.mean_bu_ac, math.hypot(whole.se_bu_ac, 1.0)) if whole is not None else (0.0, 2.0)
    beliefs = (
        tuple(made_belief(one, seen, money) for one in ("medium", "unknown"))
        if made.beliefs and whole
        else ()
    )
    sprayed = shapely.union_all([*(zone for at, zone in enumerate(ground.zones) if at % 4 != 3)])
    for _, is_treated, strip in ground.strips:
        sprayed = sprayed.union(strip) if is_treated else sprayed.difference(strip)
    boundary = ground.lonlat(ground.boundary)
    return TrialResult(
        run_id="5f0c1e7ab2d4", version="0.1.0", field=made.field, folder="heron_slough", farm=made.farm,
        season=made.season, today=made.harvested[-1] if made.harvested else date(made.season, 10, 9),
        epsg=made.epsg, units=made.units, country=made.country,
        boundary=boundary, area_ac=acres(boundary), heading_deg=made.heading_deg, file="combine_2026.csv",
        harvested=made.harvested if made.time else (), sprayed_on=made.sprayed_on, strip_source="design",
        treated_source="as-applied", product=made.product, header_m=ground.header, strip_width_m=ground.width,
        zones=tuple(
            TrialZone(zone=at, block="A", outline=ground.lonlat(one), area_ac=acres(ground.lonlat(one)))
            for at, one in enumerate(ground.zones, start=1)
        ),
        strips=tuple(
            TrialStrip(
                outline=ground.lonlat(shape),
                seen=StripSeen(
                    pair=pair, treatment="treated" if is_treated else "untreated",
                    sprayed_frac=0.98 if is_treated else 0.38 if pair in made.out else 0.01,
                    points=200, passes=2, mean_bu_ac=61.0,
                ),
            )
            for pair, is_treated, shape in ground.strips
        ),
        treated=ground.lonlat(sprayed), points=points, rules=rules,
        lag=Lag(amount=4.0, unit="s" if made.time else "points", likeness=0.62, likeness_before=0.41),
        mean_yield_bu_ac=float(points.yield_bu_ac[points.removed_by == 0].mean()),
        pairs=pairs, response=whole, by_zone=by_zone,
        spatial=Spatial(points=5200, morans_i=0.31, range_m=46.0, worth_points=240.0,
                        note=told("5,200 points on strips are worth about 240, because neighbours are alike"))
        if whole else None,
        costs=COSTS if made.money else (),
        judged=_judged(by_zone, money) if made.judged and by_zone is not None and money is not None else (),
        beliefs=beliefs, trials=season,
        book=made_book("heron_slough") if made.book else SeasonBook(),
        lessons=(told("lay two more pairs next year: 8 pairs would show 3 bu/ac in 84 of 100 trials"),
                 told("keep the untreated strip of pair 3 farther from the headland")) if whole else (),
        notes=(told("the file names no crop: taken as soybean"),
               *(() if made.time else (told("points have no time, so the lag was sought in points"),)),
               *(() if made.moisture else (told("no moisture: yields are taken as dry"),)),
               *(() if whole else (told("no pair counts: every untreated strip was sprayed"),))),
        columns=(("yield", "Yld_Mass", "lb/s"), ("moisture", "Moist", "%"), ("time", "UTC", "")),
    )  # fmt: skip


def _trials(made: MadeTrial, whole: Response | None) -> tuple[LearnedTrial, ...]:
    """Trials of the farm: two earlier ones, and this one."""
    earlier = (
        LearnedTrial(season=2024, field="west", pressure="medium", mean_bu_ac=1.8, se_bu_ac=1.1, pairs=4),
        LearnedTrial(
            season=2025, field="heron_slough", pressure="medium", mean_bu_ac=3.6, se_bu_ac=1.4, pairs=5
        ),
    )
    if whole is None:
        return earlier
    mine = LearnedTrial(
        season=made.season, field="heron_slough", pressure="medium", mean_bu_ac=whole.mean_bu_ac,
        se_bu_ac=whole.se_to_learn_bu_ac, pairs=whole.pairs,
    )  # fmt: skip
    return (*earlier, mine)


SOUTH = {"epsg": 32720, "origin_m": (400_000.0, 6_400_000.0), "country": "AR", "season": 2027,
         "harvested": (date(2027, 3, 29), date(2027, 4, 1)), "sprayed_on": (date(2027, 1, 18),)}  # fmt: skip
CASES = {
    "paid": MadeTrial(),
    "did not pay": MadeTrial(responses=(0.4, 0.9, -0.6, 0.2), noise=1.0),
    "cannot tell": MadeTrial(responses=(3.4, 2.0, 2.8, 1.2), noise=3.4, seed=11),
    "no pair": MadeTrial(out=(1, 2, 3, 4, 5, 6)),
    "one pair": MadeTrial(pairs=1),
    "one pair out": MadeTrial(out=(3,), heading_deg=23.0),
    "level 1": MadeTrial(money=False),
    "one zone": MadeTrial(zones=1),
    "12 pairs, 30 zones": MadeTrial(pairs=12, zones=30, size_m=(1600.0, 800.0), step_m=10.0),
    "no book": MadeTrial(book=False, judged=False, beliefs=False),
    "metric": MadeTrial(units="metric"),
    "south, metric": MadeTrial(units="metric", **SOUTH),
    "names": MadeTrial(field='Größe "Süd" <script>alert(1)</script> & Sohn', farm="Müller's <b>Hof</b>",
                       product='"<i>x</i>" & y'),
    "no moisture, no time": MadeTrial(moisture=False, time=False),
    "a strip of a field": MadeTrial(size_m=(1500.0, 260.0), pairs=8, heading_deg=90.0),
    "tall": MadeTrial(size_m=(300.0, 1500.0), pairs=3, heading_deg=0.0),
}  # fmt: skip


def many_points() -> TrialResult:
    """Some 50,000 points."""
    return made_trial(MadeTrial(step_m=1.1))


def with_long_names(made: TrialResult) -> TrialResult:
    """The same with names as nobody should give."""
    long = "A field with a very long name that somebody typed to see what happens " * 3
    return replace(made, field=long, farm=long, file=long.replace(" ", "_"))
