"""The demo farms are what their script makes, stay small, and show what they are there to show."""

import csv
import re
import shutil
import subprocess
import sys
import tomllib
from datetime import date, timedelta
from pathlib import Path

import fiona
import numpy as np
import pandas as pd
import pytest
import rasterio

from zoning import field, harvest
from zoning.plan import Plan

ROOT = Path(__file__).parents[1]
DEMO = ROOT / "demo_fields"
README = DEMO / "README.txt"
FIELDS = sorted(path.parent for path in DEMO.glob("*/*/field.toml"))
LAID = Path("plover_rise/long_eighty/strips/design.geojson")  # harvested already, so its strips are an input
MADE_BY_RUNS = {"out", "out.last", "out.kept", "strips", "__pycache__"}
INPUTS = sorted(
    path.relative_to(DEMO)
    for path in DEMO.rglob("*")
    if path.is_file()
    and path.suffix != ".bak"
    and (path == DEMO / LAID or not MADE_BY_RUNS & set(path.parts))
)


def trials_before(path: Path) -> list[dict[str, object]]:
    trials = tomllib.loads(path.read_text(encoding="utf-8"))["trial"]
    kept = [one for one in trials if one["season"] != HARVESTED]
    return sorted(kept, key=lambda one: (one["season"], one["field"], one["pressure"]))


def seasons_before(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as table:
        return [row for row in csv.DictReader(table) if row["season"] != str(HARVESTED)]


# what `strips` adds to where somebody tried the demo: of its season, beside what was there
HARVESTED = 2026
LEARNED = {"learned.toml": trials_before, "season.csv": seasons_before}


@pytest.fixture(scope="module")
def again(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    subprocess.run([sys.executable, DEMO / "make.py", folder], check=True, timeout=120)
    return folder


@pytest.mark.parametrize("name", [path for path in INPUTS if path.suffix != ".py"], ids=str)
def test_the_script_makes_what_is_committed(name: Path, again: Path) -> None:
    made, kept = again / name, DEMO / name
    if name.suffix == ".tif":
        with rasterio.open(made) as first, rasterio.open(kept) as second:
            assert (first.transform, first.crs, first.dtypes) == (second.transform, second.crs, second.dtypes)
            # a rounding of the last digit may differ between versions of the numeric libraries
            assert np.abs(first.read().astype(int) - second.read().astype(int)).max() <= 1
    elif name.suffix == ".gpkg":
        with fiona.open(made) as first, fiona.open(kept) as second:
            assert first.crs == second.crs
            assert [dict(row["properties"]) for row in first] == [dict(row["properties"]) for row in second]
            assert first.bounds == pytest.approx(second.bounds, abs=0.01)
    elif name.name in LEARNED:
        assert LEARNED[name.name](made) == LEARNED[name.name](kept)
    elif name.suffix in (".toml", ".txt", ".csv"):
        assert made.read_text(encoding="utf-8") == kept.read_text(encoding="utf-8")
    else:
        assert made.exists()


def test_nothing_else_lies_there(again: Path) -> None:
    made = {path.relative_to(again) for path in again.rglob("*") if path.is_file()}
    assert made == {path for path in INPUTS if path.suffix != ".py"}


@pytest.mark.parametrize("folder", FIELDS, ids=lambda folder: folder.name)
def test_a_field_is_under_a_megabyte(folder: Path) -> None:
    names = [path for path in INPUTS if folder.relative_to(DEMO) in path.parents]
    assert sum((DEMO / name).stat().st_size for name in names) < 1_000_000


def test_the_hours_of_the_farm_agree_with_its_days() -> None:
    path = DEMO / "heron_slough" / "hourly.csv"
    assert path.stat().st_size < 40_000
    hours = pd.read_csv(path, parse_dates=["time"])
    daily = pd.read_csv(path.with_name("weather.csv"), parse_dates=["date"], index_col="date")
    by_day = hours.groupby(hours["time"].dt.normalize())
    daily = daily.loc[by_day.size().index]
    assert by_day.size().eq(24).all()
    assert by_day["temp_c"].min().sub(daily["tmin_c"]).abs().max() == pytest.approx(0)
    assert by_day["temp_c"].max().sub(daily["tmax_c"]).abs().max() == pytest.approx(0)
    assert by_day["rain_mm"].sum().sub(daily["rain_mm"]).abs().max() < 0.05  # eight hours, rounded
    assert hours["rh_pct"].between(20, 100).all()


def test_only_the_field_where_nothing_pays_has_its_own_prices_and_response() -> None:
    own = {}
    for folder in FIELDS:
        settings = tomllib.loads((folder / "field.toml").read_text(encoding="utf-8"))
        own[folder.name] = {"money", "response"} & set(settings)
    assert {name for name, sections in own.items() if sections} == {"gravel_forty"}


def test_every_demo_file_says_that_it_is_invented() -> None:
    for farm in DEMO.glob("*/farm.toml"):
        text = farm.read_text(encoding="utf-8")
        assert "invented farm" in text.splitlines()[0]
        assert 'name = "Invented Fungicide A"' in text
    assert "invented" in README.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def plans() -> dict[str, Plan]:
    return {folder.name: field.run(folder).plan for folder in FIELDS}


def test_three_dates_sprays_where_lesions_were_seen_and_skips_elsewhere(plans: dict[str, Plan]) -> None:
    zones = plans["three_dates"].zones
    assert {zone.block for zone in zones} == {"A", "B", "C"}
    assert {zone.action for zone in zones if zone.block == "A"} == {"spray", "skip"}
    for zone in zones:
        seen = "lesions seen by scouting" in zone.reason.text
        assert seen == (zone.action == "spray")
        assert seen or "pressure" in zone.reason.text or "cause" in zone.reason.text


def test_r3_lies_where_it_may_in_the_places_of_the_farms(plans: dict[str, Plan]) -> None:
    likely = {name: [zone.window.r3_likely for zone in plan.zones] for name, plan in plans.items()}
    for name in ("three_dates", "level_eighty", "wet_corner", "gravel_forty", "point_rows"):
        assert all(date(2026, 7, 8) < day < date(2026, 8, 12) for day in likely[name]), name
    for name in ("loma_larga", "bajo_chico"):
        assert all(date(2026, 1, 6) < day < date(2026, 2, 5) for day in likely[name]), name
    corner = {zone.block: zone.window.r3_likely for zone in plans["wet_corner"].zones}
    assert corner["B"] - corner["A"] > timedelta(10)  # planted 37 days later


@pytest.mark.parametrize("name", ["level_eighty", "bajo_chico"])
def test_an_even_stand_is_one_zone(plans: dict[str, Plan], name: str) -> None:
    assert len(plans[name].zones) == 1


def test_nothing_pays_on_gravel(plans: dict[str, Plan]) -> None:
    assert {zone.action for zone in plans["gravel_forty"].zones} == {"skip"}
    assert plans["gravel_forty"].passes == ()


def test_the_late_corner_is_a_block_of_its_own(plans: dict[str, Plan]) -> None:
    planted = {zone.block: zone.planted for zone in plans["wet_corner"].zones}
    assert planted == {"A": date(2026, 5, 6), "B": date(2026, 6, 12)}


def test_heron_slough_fields_are_of_the_size_that_is_said(plans: dict[str, Plan]) -> None:
    for name, plan in plans.items():
        assert 15 < plan.area_ac < 130, name


def test_what_strips_find_in_long_eighty_is_what_was_put_there(tmp_path: Path) -> None:
    told = re.search(r"invented too: (\S+) bu/ac in zone 1 and (\S+) bu/ac in zone 2", README.read_text())
    assert told is not None
    farm = tmp_path / "plover_rise"
    shutil.copytree(DEMO / farm.name, farm, ignore=shutil.ignore_patterns("out", "2026"))
    found = harvest.trial(farm / "long_eighty", harvest.Asked()).result
    assert found.by_zone is not None
    for zone, truth_bu_ac in zip(found.by_zone.zones, map(float, told.groups()), strict=True):
        assert zone.low_bu_ac < truth_bu_ac < zone.high_bu_ac
    assert [zone.told for zone in found.by_zone.zones] == ["cannot tell", "did not pay"]
    assert found.by_zone.differ
    assert found.response is not None
    assert found.response.told == "cannot tell"  # of the field as a whole: its zones answer for themselves
    assert found.lag.amount == pytest.approx(10, abs=1.5)


def test_points_of_the_harvest_are_few_enough_to_keep() -> None:
    file = DEMO / "plover_rise/long_eighty/harvest/yield.csv"
    assert file.stat().st_size < 500_000
    assert 4_000 < len(pd.read_csv(file)) < 6_000
