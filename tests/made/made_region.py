"""A region made by seed: a farm of any number of fields, quickly, with what is true of each.

Nothing of `zoning` is used here. Fields lie on a lattice, a few dozen round each hub with its two sprayers.
Most are quarter sections; some have a slough, point rows or a ditch, some are half sections with a road
between, some are what was left over. Each has one to three planting blocks, a satellite picture and a yield
map of 10 m; some are counted, some have check strips. Each grower sells at a price of their own. The
season, what the crop does and what a spray returns come from `made_seasons`; see `made_region_truth`. No
place, price, variety or label here is real.

By hand: PYTHONPATH=tests/made python tests/made/made_region.py FOLDER FIELDS [--small]
"""

import argparse
import math
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import made_region_files as files
import numpy as np
from made_region_truth import CELL_M, Floats, Shape, TrueBlock, TrueMoney, TrueQuarter
from made_region_weather import TrueWeather, drawn_weather, write_weather
from made_seasons import Season, begin_days, disease_of, season_of
from shapely import MultiPolygon, Polygon, affinity, box

TODAY = date(2026, 7, 8)
CORNER_M = (300_000.0, 4_850_000.0)
SIDE_M = 805.0  # of a quarter section, 64.8 ha
SMALL_SIDE_M = 220.0  # of a field for tests of many: 4.8 ha, no picture
LEFT_OVER_M = 283.0  # 8 ha
ROAD_M = 20.0
APART_M = 1750.0  # from field to field
FIELDS_A_HUB = 50  # more is too much for two sprayers in ten days
VARIETIES = 24
COUNTED = 0.10  # shares of the fields
LAID, DITCH = 0.10, 0.05
HALF, LEFT_OVER, SLOUGH, POINT_ROWS = 0.05, 0.10, 0.15, 0.12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrueRegion:
    """The farm that was made, its season, and its fields in the order of their folders."""

    farm: Path
    today: date
    season: Season
    weather: TrueWeather
    fields: tuple[TrueQuarter, ...]


def made_region(
    folder: Path,
    fields: int,
    seed: int = 0,
    *,
    small: bool = False,
    fields_a_hub: int = FIELDS_A_HUB,
    counted: float = COUNTED,
    pooled: bool = False,
) -> TrueRegion:
    """Make a farm in a new folder.

    Parameters
    ----------
    folder : Path
    fields : int
        How many, named q00001, q00002, ...
    seed : int
        Of season, growers and ground. A field is the same whatever else is asked of one seed, but for its
        place where `fields` or `fields_a_hub` differ.
    small : bool
        Fields of 4.8 ha without pictures.
    fields_a_hub : int
        How many share two sprayers.
    counted : float
        Share of the fields in which somebody counted plants and looked for disease.
    pooled : bool
        What the planner is told of the response: published trials, as the truth is; else trials of its own
        that say 3.6 bu/ac, more than is true of most seasons: the load of a region that sprays much.
    """
    folder.mkdir(parents=True)
    rng = np.random.default_rng([seed, 1])
    season = season_of(rng, seed)
    # ranges as in made_seasons
    money = TrueMoney(
        price_usd_bu=math.nan,  # each grower's own
        product_usd_ac=round(float(rng.uniform(12, 24)), 2),
        adjuvant_usd_ac=2.0,
        pass_usd_ac=round(float(rng.uniform(8, 14)), 2),
        per_visit_usd=round(float(rng.uniform(0, 75)), 2),
    )
    weather = drawn_weather(rng, season.wet, TODAY)
    write_weather(folder, weather, TODAY)
    places = [_place(number, fields, fields_a_hub) for number in range(fields)]
    half = math.sqrt(fields_a_hub) * APART_M / 2
    hubs = [(x + half, y + half) for x, y in places[::fields_a_hub]]
    text = files.farm_toml(TODAY, money, hubs, pooled=pooled)
    (folder / "farm.toml").write_text(text, encoding="utf-8")
    region = _Region(folder=folder, seed=seed, season=season, weather=weather, money=money)
    made = tuple(_field(region, at, number, small, counted) for number, at in enumerate(places))
    return TrueRegion(farm=folder, today=TODAY, season=season, weather=weather, fields=made)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Region:
    """What the fields share."""

    folder: Path
    seed: int
    season: Season
    weather: TrueWeather
    money: TrueMoney


def _place(number: int, fields: int, fields_a_hub: int) -> tuple[float, float]:
    """Southwest corner of a field on the lattice; hubs are squares of it."""
    hub, within = divmod(number, fields_a_hub)
    hubs_a_row = max(1, math.ceil(math.sqrt(math.ceil(fields / fields_a_hub))))
    side = math.ceil(math.sqrt(fields_a_hub))
    row, column = divmod(hub, hubs_a_row)
    y, x = divmod(within, side)
    return CORNER_M[0] + (column * side + x) * APART_M, CORNER_M[1] + (row * side + y) * APART_M


def _outline(rng: np.random.Generator, small: bool) -> Shape:
    """Draw the shape of a field, its southwest corner at (0, 0)."""
    kind, cut, wet = rng.random(3)
    if small:
        return box(0, 0, SMALL_SIDE_M, SMALL_SIDE_M)
    if kind < LEFT_OVER:
        return box(0, 0, LEFT_OVER_M, LEFT_OVER_M)
    quarter = box(0, 0, SIDE_M, SIDE_M)
    if kind < LEFT_OVER + HALF:
        return MultiPolygon([quarter, affinity.translate(quarter, 0, SIDE_M + ROAD_M)])
    if cut < POINT_ROWS:  # a road or river across the northeast corner
        right, top = rng.uniform(0.3, 0.8, 2) * SIDE_M
        quarter = Polygon([(0, 0), (SIDE_M, 0), (SIDE_M, right), (top, SIDE_M), (0, SIDE_M)])
    if wet < SLOUGH:
        hole = Polygon(files.slough(rng, (SIDE_M, SIDE_M)))
        return quarter.difference(hole) if quarter.contains(hole) else quarter
    return quarter


def _blocks(
    rng: np.random.Generator, region: _Region, side_m: float, lengths_d: Floats
) -> tuple[TrueBlock, ...]:
    number = int(rng.choice([1, 2, 3], p=[0.35, 0.4, 0.25]))
    edges = [0.0, *np.sort(rng.uniform(0.2, 0.8, number - 1)) * side_m, side_m]
    edges = [round(edge / CELL_M) * CELL_M if 0 < edge < side_m else edge for edge in edges]
    kept = [edges[0]]
    kept += [edge for before, edge in pairwise(edges[:-1]) if edge - before >= 3 * CELL_M]
    planted = TODAY.replace(month=4, day=24) + timedelta(int(rng.integers(0, 24)))
    field_d = rng.normal(0, 3.2)
    found = []
    for west, east in pairwise([*kept, side_m]):
        variety = int(rng.integers(VARIETIES))
        group = round(1.5 + 0.1 * (variety % 8), 1)
        of_variety = np.random.default_rng([region.seed, 7, variety]).normal(0, 1.8)
        off_d = region.season.date_off_d + of_variety + field_d + rng.normal(0, 1.2)
        r3 = region.weather.r3_day(planted, group) + off_d
        found.append(
            TrueBlock(
                west_m=west,
                east_m=east,
                planted=planted,
                variety=f"Made {variety + 1}",
                maturity_group=group,
                begin_day=begin_days(float(r3), lengths_d),
            )
        )
        planted += timedelta(int(rng.integers(6, 16)))
    return tuple(found)


def _field(
    region: _Region, corner_m: tuple[float, float], number: int, small: bool, counted: float
) -> TrueQuarter:
    rng = np.random.default_rng([region.seed, 2, number])
    outline = _outline(rng, small)
    # means and SDs as in made_seasons
    lengths_d = np.maximum(rng.normal([13, 9, 9, 12.5, 18], [1.5, 1, 1.2, 2, 2]), 3)
    expected = float(np.round(np.clip(rng.normal(58, 8), 38, 80)))
    is_counted, is_laid, has_ditch = rng.random(3) < (counted, LAID, DITCH)
    field = TrueQuarter(
        name=f"q{number + 1:05d}",
        corner_m=corner_m,
        outline_m=affinity.translate(outline, *corner_m),
        blocks=_blocks(rng, region, outline.bounds[2], lengths_d),
        counted=bool(is_counted),
        key=(region.seed, number),
        money=replace(region.money, price_usd_bu=round(float(rng.uniform(8.5, 13)), 2)),
        expected_yield_bu_ac=expected,
        disease=disease_of(rng, region.season, expected),
        gain_bu_ac=float(region.season.gain_bu_ac + rng.normal(0, 0.45)),
        late_share=float(rng.random()),
    )
    here = region.folder / field.name
    here.mkdir()
    files.write_outlines(here, field.outline_m, field.blocks)
    text = files.field_toml(field, rng)
    if not small:
        files.write_pictures(here, field, rng)
        text += files.LAYERS
        text += files.STRIPS if is_laid else ""
        if has_ditch:
            files.write_ditch(here, field.outline_m, rng)
            text += files.SETBACK
    if is_counted:
        files.write_counts(here / "scouting.csv", field, rng, region.season.wet, TODAY)
        text += files.SCOUTING
    (here / "field.toml").write_text(text, encoding="utf-8")
    return field


def main() -> None:
    """Make a region by hand."""
    asked = argparse.ArgumentParser()
    asked.add_argument("folder", type=Path)
    asked.add_argument("fields", type=int)
    asked.add_argument("--small", action="store_true")
    asked.add_argument("--seed", type=int, default=0)
    args = asked.parse_args()
    made_region(args.folder, args.fields, args.seed, small=args.small)


if __name__ == "__main__":
    main()
