"""Plans made by hand for the tests of the rooms that take a plan and nothing else.

A field is a table of zone numbers, one a cell (0 = outside); its cells become polygons that share vertices.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
import shapely
from pyproj import Geod, Transformer

from zoning.offers.pass_maps import with_maps
from zoning.plan import (
    NO_PRICE_PAYS,
    BlockZones,
    Plan,
    PlanPass,
    PlanZone,
    Scouted,
    SourceReturn,
    Totals,
    ZoneMoney,
)
from zoning.returns.terms import CostLine, Delay, Flip, Step
from zoning.stage.draws import Window
from zoning.words import Said
from zoning.zones.quality import Agreement, LayerQuality, Quality, ZonePatches

GEOD = Geod(ellps="WGS84")
PUBLISHED = "returns.published_mean_bu_ac"
M2_PER_AC = 4046.8564224  # 43 560 international square feet


@dataclass(frozen=True)
class Made:
    """What a made plan can be asked for."""

    labels: Sequence[Sequence[int]]
    block_of_zone: Mapping[int, str] | None = None  # zone -> block name; all in A if left out
    pass_of_zone: Mapping[int, int] | None = None  # zone -> pass number; odd zones in pass 1 if left out
    rates_gal_ac: tuple[float, ...] = (15.0, 20.0, 10.0)  # of pass 1, 2, 3
    level: int = 3
    units: str = "us"
    epsg: int = 32615
    origin_m: tuple[float, float] = (270_000.0, 4_900_000.0)
    cell_m: float = 40.0
    simplify_m: float = 0.0
    field: str = "Three Dates"
    farm: str = "Heron Slough"
    first_planted: date = date(2026, 4, 28)
    dates: bool = True  # False: no model gives a date


def acres(area) -> float:
    """Geodesic area by pyproj, the witness of the project's own function."""
    return abs(GEOD.geometry_area_perimeter(shapely.orient_polygons(area))[0]) / M2_PER_AC


def outlines_m(labels, cell_m: float, origin_m: tuple[float, float], simplify_m: float = 0.0):
    """Zone number -> its outline; all outlines together are a coverage."""
    table = np.asarray(labels)
    numbers = [int(number) for number in np.unique(table) if number > 0]
    shapes = []
    for number in numbers:
        rows, cols = np.nonzero(table == number)
        west, north = origin_m[0] + cols * cell_m, origin_m[1] - rows * cell_m
        shapes.append(shapely.coverage_union_all(shapely.box(west, north - cell_m, west + cell_m, north)))
    if simplify_m:
        shapes = list(shapely.coverage_simplify(shapes, simplify_m))
    return dict(zip(numbers, shapes, strict=True))


def to_lonlat(area, epsg: int):
    step = Transformer.from_crs(epsg, 4326, always_xy=True)
    return shapely.transform(area, lambda xy: np.column_stack(step.transform(xy[:, 0], xy[:, 1])))


def _money(zone: int, sprayed: bool) -> ZoneMoney:
    net = 21.4 + zone if sprayed else -3.2 - 1.7 * zone
    response = round(2.7 + net / 10.4, 2)
    return ZoneMoney(
        net_mean_usd_ac=net,
        net_p10_usd_ac=net - 22.0,
        net_p90_usd_ac=net + 27.0,
        chance_pays=0.78 if sprayed else 0.31,
        break_even_price_usd_bu=28.0 / response if response > 0.05 else NO_PRICE_PAYS,
        break_even_response_bu_ac=2.69,
        response_mean_bu_ac=response,
        response_sd_bu_ac=1.75,
        by_source={
            "pooled trials": SourceReturn(
                action="skip", net_usd_ac=-11.0, chance_pays=0.22, needed_response_bu_ac=2.69
            ),
            "practice series": SourceReturn(
                action="spray", net_usd_ac=17.0, chance_pays=0.74, needed_response_bu_ac=2.69
            ),
            "own trials": None,
        },
        perfect_information_usd_ac=3.25,
        toss_up=False,
        no_contrast_usd_ac=net - 4.5 if zone == 1 else None,
        steps=(
            Step(name="published_mean", evidence=(PUBLISHED,), kind="published", change_bu_ac=1.64),
            Step(name="pressure", evidence=(), kind="yours", change_bu_ac=response - 1.64 + 0.2),
            Step(name="stage", evidence=("returns.curve_low_early",), kind="assumption", change_bu_ac=-0.2),
        ),
        rests_on_frac={"yours": 0.25, "published": 0.625, "assumption": 0.125},
        delay=Delay(
            days=(739803, 739804, 739805),
            net_usd_ac=(net, net - 1.5, net - 4),
            pays_until=739804 if sprayed else None,
        ),
        flips=_flips(net, response),
    )


def _flips(net: float, response: float) -> tuple[Flip, ...]:
    """By hand: 10.40 USD/bu, 28 USD/ac, 2.69 bu/ac."""
    return (
        Flip(name="price", value=28.0 / max(response, 0.3)),
        Flip(name="cost", value=28.0 + net),
        Flip(name="response", value=2.69),
    )


def made_plan(made: Made) -> Plan:
    """Build a plan."""
    shapes = outlines_m(made.labels, made.cell_m, made.origin_m, made.simplify_m)
    blocks = made.block_of_zone or dict.fromkeys(shapes, "A")
    passes = made.pass_of_zone
    if passes is None:
        passes = {zone: 1 for zone in shapes if zone % 2}
    names = sorted(set(blocks.values()))
    zones = []
    for zone, shape in shapes.items():
        place = names.index(blocks[zone])
        planted = made.first_planted + timedelta(days=19 * place)
        r3 = made.first_planted + timedelta(days=71 + 9 * place)
        number = passes.get(zone) if made.level == 3 else None
        sprayed = zone in passes
        lonlat = to_lonlat(shape, made.epsg)
        window = Window(
            r1=r3 - timedelta(days=13),
            r3_early=r3 - timedelta(days=5),
            r3_likely=r3,
            r3_late=r3 + timedelta(days=6),
            closes=r3 + timedelta(days=9),
            sd_d=5.0,
        )
        zones.append(
            PlanZone(
                zone=zone,
                block=blocks[zone],
                outline=lonlat,
                area_ac=acres(lonlat),
                planted=planted,
                maturity_group=1.9,
                window=window if made.dates else None,
                spray_from=r3 - timedelta(days=4) if sprayed and made.level > 1 else None,
                spray_by=r3 + timedelta(days=3) if sprayed and made.level > 1 else None,
                action=None if made.level == 1 else "spray" if sprayed else "skip",
                rate_gal_ac=None if number is None else made.rates_gal_ac[number - 1],
                pass_number=number,
                spray_on=None if number is None else date(2026, 7, 6) + timedelta(days=8 * (number - 1)),
                provisional=True,
                money=None if made.level == 1 else _money(zone, sprayed),
                reason=Said("zones.one_response", block=blocks[zone]),
            )
        )
    return _finish(made, shapes, tuple(zones))


def _finish(made: Made, shapes, zones: tuple[PlanZone, ...]) -> Plan:
    boundary = to_lonlat(shapely.coverage_union_all(list(shapes.values())), made.epsg)
    visits = []
    for number in sorted({zone.pass_number for zone in zones if zone.pass_number}):
        own = [zone for zone in zones if zone.pass_number == number]
        visits.append(
            PlanPass(
                number=number,
                sprayer="ground rig",
                day=own[0].spray_on,
                half="AM",
                rate_gal_ac=made.rates_gal_ac[number - 1],
                area_ac=sum(zone.area_ac for zone in own),
                loads=2,
                visit_costs_usd=36.5,
                zones=tuple(zone.zone for zone in own),
                later_usd=(-12.4, -50.0, -120.0),
            )
        )
    sprayed = [zone for zone in zones if zone.action == "spray"]
    sprayed_ac = sum(zone.area_ac for zone in sprayed)
    totals = Totals(
        spray_ac=sprayed_ac,
        skip_ac=sum(zone.area_ac for zone in zones if zone.action == "skip"),
        net_usd=sum(zone.area_ac * zone.money.net_mean_usd_ac for zone in sprayed) if made.level > 1 else 0.0,
        visit_costs_usd=36.5 * len(visits),
        carrier_gal=sum(visit.area_ac * visit.rate_gal_ac for visit in visits),
        net_p10_usd=-412.5,
        net_p90_usd=3050.0,
        chance_pays=0.71,
        break_even_price_usd_bu=6.9,
        perfect_information_usd=209.4,
        rests_on_frac={"yours": 0.25, "published": 0.625, "assumption": 0.125},
        costs=(
            CostLine(name="product", usd_ac=19.0, usd=19.0 * sprayed_ac, counted=True),
            CostLine(name="pass", usd_ac=9.0, usd=9.0 * sprayed_ac, counted=True),
            CostLine(name="per_visit", usd_ac=math.nan, usd=36.5 * len(visits), counted=True),
        ),
        flips=(
            Flip(name="price", value=18.472),
            Flip(name="cost", value=11.3),
            Flip(name="response", value=2.94),
            *(() if sprayed else (Flip(name="severity", value=17.2),)),
        ),
    )
    plan = Plan(
        run_id="3f9a1c27",
        zones_id="b2d04e11",
        field=made.field,
        farm=made.farm,
        today=date(2026, 7, 1),
        epsg=made.epsg,
        units=made.units,
        country="US",
        level=made.level,
        boundary=boundary,
        area_ac=acres(boundary),
        schedule="alone",
        zones=zones,
        passes=tuple(visits),
        totals=totals if made.level > 1 else None,
        notes=(Said("zones.one_response", block="A"),),
        cautions=(),
        product="Invented Fungicide A",
        blocks=tuple(_block(name, zones) for name in dict.fromkeys(zone.block for zone in zones)),
        quality=_quality(zones),
        source="pooled trials" if made.level > 1 else None,
    )
    return with_maps(plan)


def _block(name: str, zones: Sequence[PlanZone]) -> BlockZones:
    count = sum(zone.block == name for zone in zones)
    shares = [0.0, 0.412, 0.55, 0.58][: count + 1]
    return BlockZones(
        block=name,
        zones=count,
        supported=count + 1,
        held_out=tuple(enumerate(shares, start=1)),
        kept=tuple((number, min(1.0, 0.7 + 0.28 * (number - 1))) for number in range(1, count + 2)),
        agreement=Agreement(block=0, mean=0.91, least=0.82, resamples=10) if count > 1 else None,
    )


def _quality(zones: Sequence[PlanZone]) -> Quality:
    return Quality(
        layers=(
            LayerQuality(name="NDRE", used=True, explained_frac=0.62, within_blocks_frac=0.4),
            LayerQuality(name="yield", used=False, explained_frac=0.31, within_blocks_frac=None),
        ),
        zones=tuple(ZonePatches(zone=zone.zone, patches=1, purity_frac=0.9) for zone in zones),
        agreement=(),
        explained_frac=0.62,
        uncleaned_frac=0.64,
        unconstrained_frac=0.7,
    )


def smooth_field(seed: int, blocks: int = 3, zones_per_block: int = 2, shape=(80, 78), hole: bool = False):
    """Labels that look like a real field: rounded corner, strips planted on different days, patches within.

    Gives the labels and the block of each zone.
    """
    chance = np.random.default_rng(seed)
    rows, cols = np.mgrid[0 : shape[0], 0 : shape[1]]
    rough = np.zeros(shape)
    for _ in range(14):
        angle, wave, phase = chance.uniform(0, np.pi), chance.uniform(14, 60), chance.uniform(0, 6)
        rough += np.sin((rows * np.sin(angle) + cols * np.cos(angle)) * 2 * np.pi / wave + phase)
    block = np.minimum(((cols + 0.12 * rows) * blocks / (shape[1] * 1.12)).astype(int), blocks - 1)
    labels, of_zone, number = np.zeros(shape, dtype=int), {}, 0
    for index in range(blocks):
        inside = block == index
        cuts = np.quantile(rough[inside], np.linspace(0, 1, zones_per_block + 1)[1:-1])
        for part in range(zones_per_block):
            number += 1
            labels[inside & (np.digitize(rough, cuts) == part)] = number
            of_zone[number] = chr(ord("A") + index)
    corner = (shape[0] - rows) + (shape[1] - cols) < 0.25 * min(shape)
    labels[corner] = 0
    if hole:
        middle = (rows - shape[0] * 0.45) ** 2 + (cols - shape[1] * 0.55) ** 2
        labels[middle < (0.09 * shape[0]) ** 2] = 0
    return labels, of_zone


def with_scouting(plan: Plan, counted: Sequence[int] = (), low: Sequence[int] = ()) -> Plan:
    """The same plan with a count in some zones, which pins them, and low pressure in others."""
    outlines = {zone.zone: zone.outline for zone in plan.zones}
    seen = []
    for zones, kind, text, source in (
        (counted, "count", "20 plants: 14 R2, 6 R3", "scouting.csv:2"),
        (low, "pressure", "low", ""),
    ):
        for zone in zones:
            place = outlines[zone].representative_point()
            on = date(2026, 6, 28 + len(seen) % 3)
            seen.append(
                Scouted(on=on, lon=place.x, lat=place.y, zone=zone, kind=kind, text=text, source=source)
            )
    zones = tuple(replace(zone, provisional=zone.zone not in counted) for zone in plan.zones)
    return replace(plan, zones=zones, scouting=tuple(sorted(seen, key=lambda one: one.on)))


def renamed(plan: Plan, field: str, block: str) -> Plan:
    """The same plan under another name of field, and of every block."""
    return replace(plan, field=field, zones=tuple(replace(zone, block=block) for zone in plan.zones))
