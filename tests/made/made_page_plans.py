"""Plans with all that a page may have to show: many zones, draws of three sources, pictures of 3 m cells."""

from dataclasses import replace
from datetime import date

import numpy as np
from made_offers import terms
from made_plans import Made, made_plan
from pyproj import Transformer

from zoning.passes.what_if import Figures, WhatIf, WhatIfVisit, WhatIfVolume, WhatIfZone
from zoning.plan import SOURCES, Picture, Plan

DRAWS = 512
DAY = date(2026, 7, 18).toordinal()


def labels(zones: int, rows: int = 24, cols: int = 30) -> np.ndarray:
    """Table of cells that belong to a number of zones, each in one piece, with edges that wind."""
    across = max(1, round((zones * cols / rows) ** 0.5))
    down = -(-zones // across)
    row, col = np.mgrid[0:rows, 0:cols]
    wave = np.round(1.2 * np.sin(col / 2.0)).astype(int)
    band = np.clip((row + wave) * down // rows, 0, down - 1)
    number = np.minimum(band * across + col * across // cols, zones - 1) + 1
    return number


def what_if(plan: Plan, sources: int = 3, seed: int = 0) -> WhatIf:
    """Draws for a plan made by hand, at 10.40 USD/bu and 30 USD/ac."""
    chance = np.random.default_rng(seed)
    passes = {one.number: place for place, one in enumerate(plan.passes)}
    zones = []
    for one in plan.zones:
        mean = 4.4 if one.action == "spray" else 1.2
        steps = {
            source: np.rint(20 * chance.normal(mean - 0.3 * at, 2.0, (1, DRAWS))).astype(np.int16)
            for at, source in enumerate(SOURCES[:sources])
        }
        zones.append(
            WhatIfZone(
                zone=one.zone,
                area_ac=one.area_ac,
                visit=passes.get(one.pass_number, len(passes)),
                judged_on=0,
                track_loss_bu_ac=0.0,
                steps=steps,
            )
        )
    visits = [_visit(one.number, one.day.toordinal(), one.rate_gal_ac, one.zones) for one in plan.passes]
    skipped = tuple(one.zone for one in plan.zones if one.action != "spray")
    return WhatIf(
        base=Figures(
            grain_price_usd_bu=10.4,
            product_usd_ac=19.0,
            pass_usd_ac=9.0,
            source=SOURCES[0],
            rule="expected",
            min_net_usd_ac=3.0,
            min_chance_frac=0.5,
        ),
        zones=tuple(zones),
        visits=(*visits, _visit(0, DAY, 15.0, skipped)),
        swaths=(),
        share_of_grain_frac=1.0,
        haul_usd_bu=0.0,
        share_of_cost_frac=1.0,
        loss_weight=2.0,
        product_counts=True,
        pass_counts="treated",
        field_ac=sum(one.area_ac for one in plan.zones),
        per_visit_usd=60.0,
        minimum_bill_usd=0.0,
        goes_anyway=False,
        split_load_usd=0.0,
        volumes=(WhatIfVolume(terms=terms(), volume_gal_ac=15.0),),
    )


def _visit(number: int, day: int, rate_gal_ac: float, zones: tuple[int, ...]) -> WhatIfVisit:
    return WhatIfVisit(
        number=number, day=day, last_day=day, rate_gal_ac=rate_gal_ac, zones=zones, cost_usd_ac=30.0
    )


def picture(plan: Plan, name: str, cell_m: float = 3.0, seed: int = 0) -> Picture:
    """Give a layer over the whole field, as uneven as a canopy is."""
    to_m = Transformer.from_crs(4326, plan.epsg, always_xy=True)
    west, south, east, north = plan.boundary.bounds
    (x0, x1), (y0, y1) = to_m.transform([west, east], [south, north])
    rows, cols = int((y1 - y0) / cell_m) + 2, int((x1 - x0) / cell_m) + 2
    chance = np.random.default_rng(seed)
    row, col = np.mgrid[0:rows, 0:cols]
    waves = np.sin(row / 23.0) + np.cos(col / 31.0 + row / 47.0) + 0.15 * chance.normal(size=(rows, cols))
    shades = np.clip(128 + 50 * waves, 1, 255).astype(np.uint8)
    return Picture(
        name=name,
        day=date(2026, 6, 28),
        shades=shades,
        low=0.21,
        high=0.58,
        west_m=x0,
        north_m=y1,
        cell_m=cell_m,
    )


def page_plan(zones: int, *, sources: int = 3, pictures: int = 2, cell_m: float = 3.0) -> Plan:
    """Make a plan of one field of about 180 acres with a number of zones."""
    finer = 2 if zones > 60 else 1  # so that each zone stays in one piece
    table = labels(zones, rows=24 * finer, cols=30 * finer)
    plan = made_plan(Made(labels=table.tolist(), cell_m=32.0 / finer))
    shown = tuple(picture(plan, f"NDRE 2026-06-{20 + at}", cell_m, seed=at) for at in range(pictures))
    return replace(plan, what_if=what_if(plan, sources), pictures=shown, volumes_gal_ac=(10.0, 15.0, 20.0))
