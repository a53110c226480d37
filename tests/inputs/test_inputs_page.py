"""The page about inputs names every column, index and limit that the code has."""

from pathlib import Path

import pytest

from zoning.evidence import named, number, numbers
from zoning.inputs import drawn_zones, indices, vector, weather
from zoning.inputs.scouting import rows
from zoning.settings.model import Planting
from zoning.units import ft_from_m

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "inputs.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "name",
    [
        *drawn_zones.NAMES,
        "zone_column",
        *weather.NAMES,
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
        f"less than {100 * number('inputs.layer_well_seen_frac'):g} %": 1,
        f"more than {100 * number('inputs.negative_reflectance_most_frac'):g} % of the pixels": 1,
        f"than {number('inputs.edge_cells'):g} cells": 1,
        f"more than {100 * number('inputs.impossible_weather_most_frac'):g} %": 1,
        f"up to\n{number('inputs.weather_lag_most_d'):g} days": 1,
        f"above {number('inputs.rain_most_mm'):,.0f} mm": 1,
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
