"""The page about inputs names every column, index and limit that the code has."""

import json
import re
from pathlib import Path

import pytest
from shapely import box

from zoning.evidence import named, number, numbers
from zoning.inputs import vector
from zoning.inputs.given import Strip, StripDesign
from zoning.inputs.ground import drawn_zones
from zoning.inputs.images import indices
from zoning.inputs.scouting import rows
from zoning.inputs.strips import design
from zoning.inputs.weather_files import hourly, weather
from zoning.settings.model import Planting
from zoning.units import ft_from_m

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "inputs.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "name",
    [
        *drawn_zones.NAMES,
        "zone_column",
        *weather.NAMES,
        *hourly.NAMES,
        *rows.NEEDED,
        "cause",
        *indices.BANDS,
        *vector.DRIVERS,
        *Planting.model_fields,
    ]
    + [getattr(Planting(), name) for name in Planting.model_fields if name.endswith("_column")],
)
def test_every_name_is_on_the_page(name: str) -> None:
    key = Planting.model_fields[name].alias or name if name in Planting.model_fields else name
    assert f"`{key}`" in PAGE or f"`[planting] {key}`" in PAGE


@pytest.mark.parametrize(("index", "bands"), indices.BANDS.items())
def test_the_bands_of_each_index(index: str, bands: tuple[str, ...]) -> None:
    assert f"| `{index}` | {', '.join(f'`{band}`' for band in bands)} |" in PAGE


def test_limits_on_the_page_are_those_of_the_evidence() -> None:
    words = {
        f"every {number('inputs.edge_longest_m'):g} m": 1,
        f"beyond {number('inputs.latitude_most_deg'):g} degrees": 1,
        f"within the {number('inputs.season_reach_months'):g} months": 1,
        f"narrower than {number('inputs.sliver_width_m'):g} m": 3,
        f"above {100 * number('inputs.worth_saying_frac'):g} % of the field": 2,
        f"more than {number('inputs.zones_most'):g} zones": 1,
        f"more than {number('inputs.planting_run_gap_h'):g} h": 1,
        f"({number('inputs.planting_cell_most_m'):g} m, or the grid's if smaller)": 1,
        f"under {number('inputs.planting_speck_ac'):g} ac": 1,
        f"farther than {number('inputs.planting_far_m'):g} m": 2,
        f"{ft_from_m(number('inputs.strip_width_m')):g} ft without one": 1,
        f"less than {100 * number('inputs.layer_well_seen_frac'):g} %": 3,
        f"more than {100 * number('inputs.negative_reflectance_most_frac'):g} % of the pixels": 1,
        f"than {number('inputs.edge_cells'):g} cells": 1,
        f"more than {100 * number('inputs.impossible_weather_most_frac'):g} % of the rows": 2,
        f"up to\n{number('inputs.weather_lag_most_d'):g} days": 1,
        f"above {number('inputs.rain_most_mm'):,.0f} mm": 1,
        "humidity below {:g} or above {:g} %".format(*numbers("inputs.rh_range_pct")): 1,
        f"above {number('inputs.wind_most_m_s'):g} m/s": 1,
        f"above {number('inputs.rain_most_mm_h'):g} mm in an hour": 1,
        "beyond {:g} to {:g} C".format(*numbers("inputs.temperature_range_c")): 1,
    }
    assert {word: PAGE.count(word) for word in words} == words
    assert named("inputs.season_last_month") == {"north": 12, "south": 6}
    assert number("inputs.planting_run_longest_d") == 2
    assert number("inputs.layer_least_seen_frac") == 0.5
    assert "in at least three strips" in PAGE
    assert number("inputs.strips_fewest") == 3
    assert "fewer than ten records" in PAGE
    assert number("inputs.planting_few_records") == 10
    assert "narrower than half a boom" in PAGE
    assert number("inputs.slip_boom_frac") == 0.5
    assert "at most two days apart,\nwhose forecasts of R3 lie within a day" in PAGE
    assert number("inputs.join_planted_most_d") == 2
    assert number("inputs.join_r3_most_d") == 1


def test_what_is_said_of_guidance_lines_and_check_strips_is_what_is_done() -> None:
    for words in (
        f"run more than {number('inputs.guidance_within_deg'):g} degrees off the longest",
        f"strays more than {number('inputs.guidance_straight_m'):g} m from the straight way",
        f"more than {number('inputs.guidance_near_m'):g} m from the field are not used",
        f"more than {number('inputs.guidance_given_within_deg'):g} degree off the lines",
        f"lie more than {number('inputs.strip_beside_m'):g} m beside the swaths",
        f"driven more than {number('inputs.guidance_given_within_deg'):g} degree off their heading",
        f"overlap by more than {number('inputs.strip_overlap_m'):g} m",
    ):
        assert words in PAGE
    assert "ends nearer to each other than half of its length" in PAGE
    assert number("inputs.guidance_chord_frac") == 0.5
    pair = [
        Strip(pair=1, treatment=treatment, outline=box(east, 4_906_000, east + 27, 4_906_500))
        for treatment, east in (("untreated", 310_000), ("treated", 310_027))
    ]
    made = StripDesign(season=2026, width_m=27.0, heading_deg=0.0, seed=0, strips=tuple(pair))
    whole = json.loads(design.as_text(made, 32615, {"field": "North", "laid_on": "2026-07-08"}))
    section = PAGE[PAGE.index("## Check strips") : PAGE.index("## What was sprayed")]
    named_there = set(re.findall(r"^\| `(\w+)` \|", section, re.MULTILINE))
    members = set(whole) - {"type", "features"}
    assert named_there == members | set(whole["features"][0]["properties"])
    assert design.SCHEMA_VERSION == 1
    assert f"`{design.FILE}`" in section


def test_what_is_said_of_images_is_what_is_done() -> None:
    low, high = numbers("inputs.vegetation_red_frac")
    for words in (
        f"NDVI is above {number('inputs.vegetation_ndvi'):g}: the median red",
        f"must lie within\n{low:g} to {high:g}",
        f"less than {100 * number('inputs.negative_reflectance_few_frac'):g} % of it below 0",
        f"more than {100 * number('inputs.negative_reflectance_most_frac'):g} % of the field are below 0",
        f"NDVI below {number('inputs.water_ndvi'):g} (water) or below {number('inputs.bare_ndvi'):g}",
        f"within {number('inputs.cloud_margin_m'):g} m (from centre to centre)",
        f"more than {number('inputs.registration_fair_px'):g} pixels off is moved",
        f"more than {number('inputs.registration_most_px'):g} pixels off is left out",
        f"does not tell the shift to {number('inputs.registration_known_to_px'):g} pixels",
        f"(count - {-number('inputs.sentinel2_offset_counts'):g}) / {1 / number('inputs.sentinel2_scale'):g}",
        f"from baseline {number('inputs.sentinel2_offset_baseline'):05.2f} on",
        f"count x 0.0000275 - {-number('inputs.landsat_offset'):g}",
        "scene classification 4, 5 | 3, 8, 9, 10",
        "QA_PIXEL bits 0 to 4 not set | bits 2, 3, 4",
    ):
        assert words in PAGE, words
    assert number("inputs.landsat_scale") == 0.0000275
    assert number("inputs.bare_most_frac") == pytest.approx(1 / 3, abs=1e-3)
    assert numbers("inputs.sentinel2_clear_classes").tolist() == [4, 5]
    assert numbers("inputs.sentinel2_cloud_classes").tolist() == [3, 8, 9, 10]
    assert numbers("inputs.landsat_unclear_bits").tolist() == [0, 1, 2, 3, 4]
    assert numbers("inputs.landsat_cloud_bits").tolist() == [2, 3, 4]
