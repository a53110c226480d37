"""What a farm adds up to is the sum of its fields, the same in every file, on the page, in the report."""

import csv
import io
import json
import re
import sqlite3
from contextlib import closing
from dataclasses import replace
from math import fsum

import pyarrow.parquet
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_farm_plans import farm_of, seeded_farm, spread
from made_no_spray import with_no_spray
from made_plans import Made, made_plan
from read_farm_page import figure, rows

from zoning.prescription import farm_layers
from zoning.prescription.as_json import farm_json, plan_json
from zoning.show import farm_page
from zoning.show.farm_report import whole_page
from zoning.show.figures import Units, dollars
from zoning.show.many import rigs

SUMMED = ("spray_ac", "skip_ac", "net_usd", "visit_costs_usd", "carrier_gal")


def made_farm(seed, fields, units):
    """Fields with passes, one of dates only, one with prices and no rate, one with ground never sprayed."""
    farm = seeded_farm(seed, fields=fields, sprayers=3, units=units)
    dates = made_plan(Made(labels=[[1, 2]], level=1, units=units, field="Dates"))
    prices = made_plan(Made(labels=[[1, 2], [3, 3]], level=2, units=units, field="Prices"))
    ditch = with_no_spray(made_plan(Made(labels=[[1, 2, 4]], units=units, field="Ditch")), {4: "setback"})
    plans = (*farm.plans, dates, prices, ditch)
    return spread(replace(farm, plans=plans, folders=(*farm.folders, "dates", "prices", "ditch")))


@settings(max_examples=6, deadline=None)
@given(seed=st.integers(0, 10_000), fields=st.integers(1, 70), units=st.sampled_from(["us", "metric"]))
def test_every_file_adds_up_to_the_fields(tmp_path_factory, seed, fields, units):
    farm, out = made_farm(seed, fields, units), tmp_path_factory.mktemp("out")
    farm_layers.write(farm, out)
    texts = {
        folder: plan_json.as_text(plan_json.as_object(plan))
        for folder, plan in zip(farm.folders, farm.plans, strict=True)
    }
    farm_json.write(farm, out / "farm.json", texts.__getitem__)
    near = pytest.approx
    known = [plan.totals for plan in farm.plans if plan.totals is not None]
    wanted = {key: fsum(getattr(one, key) for one in known) for key in SUMMED}
    wanted |= {key: fsum(getattr(plan, key) for plan in farm.plans) for key in ("area_ac", "no_spray_ac")}

    told = json.loads((out / "farm.json").read_text(encoding="utf-8"))
    assert {key: told["totals"][key] for key in wanted} == near(wanted, abs=1e-6)
    with (out / "farm.csv").open(encoding="utf-8", newline="") as file:
        table = list(csv.DictReader(file))
    assert [row["folder"] for row in table] == list(told["fields"])
    # each figure is rounded to a millionth
    sums = {key: fsum(float(row[key]) for row in table if row[key]) for key in wanted}
    assert sums == near({key: told["totals"][key] for key in wanted}, abs=1e-6 * len(table))
    if units == "metric":
        sums_ha = fsum(float(row["spray_ha"]) for row in table if row["spray_ha"])
        assert sums_ha == near(told["totals"]["spray_ha"], abs=1e-6 * len(table))

    zones = pyarrow.parquet.read_table(out / "farm.parquet").to_pylist()
    with closing(sqlite3.connect(out / "farm.gpkg")) as base:
        layer = base.execute("select field, area_ac, action from zones").fetchall()
        boundaries = base.execute("select area_ac, no_spray_ac from boundary").fetchall()
        passes = base.execute("select field, area_ac from passes").fetchall() if known else []
    assert len(zones) == len(layer) == sum(len(plan.zones) for plan in farm.plans)
    assert sum(int(row["zones"]) for row in table) == len(zones)
    for found in ([(row["field"], row["area_ac"], row["action"]) for row in zones], layer):
        of_zones = fsum(area for _, area, _ in found)
        assert of_zones == near(wanted["area_ac"] - wanted["no_spray_ac"], rel=1e-6)
        sprayed = fsum(area for _, area, action in found if action == "spray")
        assert sprayed == near(wanted["spray_ac"], rel=1e-6)
    assert fsum(area for area, _ in boundaries) == near(wanted["area_ac"], abs=1e-6 * len(table))
    assert len(passes) == sum(len(plan.passes) for plan in farm.plans)

    schedule = list(csv.DictReader(io.StringIO(farm_json.schedule_csv(farm))))
    of_rigs = rigs(farm)
    assert fsum(float(row["area_ac"]) for row in schedule) == near(fsum(one.area_ac for one in of_rigs))
    assert sum(one.passes for one in of_rigs) == len(passes)

    written = Units(metric=units == "metric")
    page, report = farm_page.text(farm), whole_page(farm, 200)
    assert figure(page, "t-spray") == written.area(told["totals"]["spray_ac"])
    assert figure(page, "t-skip") == written.area(told["totals"]["skip_ac"])
    assert figure(page, "t-net") == dollars(told["totals"]["net_usd"])
    assert len(rows(page)) == len(table)
    last = next(line for line in report.splitlines() if line.startswith("all "))
    area, zone_count, _, spray, skip, count, *_, net = re.split(r"\s+", last.removeprefix("all").strip())
    assert (area, spray) == (written.area(wanted["area_ac"]), written.area(wanted["spray_ac"]))
    assert (skip, net) == (written.area(wanted["skip_ac"]), dollars(wanted["net_usd"]))
    assert (int(zone_count), int(count)) == (len(zones), len(passes))


def test_a_farm_of_dates_only_adds_up_to_nothing():
    farm = farm_of([made_plan(Made(labels=[[1, 2]], level=1))], {})
    totals = farm_json.as_object(farm)["totals"]
    assert {totals[key] for key in SUMMED} == {0.0}
    assert figure(farm_page.text(farm), "t-spray") is None
