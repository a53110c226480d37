"""farm.json and schedule.csv: complete, readable by others, nothing that is not a number."""

import csv
import io
import json
import re
from collections import defaultdict
from dataclasses import replace
from datetime import date
from pathlib import Path

import fiona
import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_farm_plans import MadePass, bare_farm, farm_of, seeded_farm, small_farm, with_passes
from made_plans import Made, made_plan

from zoning.errors import InputError
from zoning.prescription import geopackage
from zoning.prescription.as_json import plan_json
from zoning.prescription.as_json.farm_json import (
    as_object,
    schedule_columns,
    schedule_csv,
    schedule_rows,
    write,
)
from zoning.words import Said

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "files.md"
KEYS = [
    *("schema_version", "farm", "today", "schedule", "order_by", "call_by", "totals", "hours", "worth"),
    *("left_out", "fields", "failures", "notes"),
]


def read_back(farm):
    return list(csv.DictReader(io.StringIO(schedule_csv(farm))))


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("seed", range(3))
def test_the_table_reads_back_as_what_the_plan_says(seed, units):
    farm = seeded_farm(seed, fields=7, sprayers=2, units=units)
    rows = read_back(farm)
    assert len(rows) == sum(len(one.parts) for plan in farm.plans for one in plan.passes)
    order = [(row["day"], row["half"]) for row in rows]
    assert order == sorted(order)
    of_pass = defaultdict(list)
    for row in rows:
        of_pass[row["field"], int(row["pass"])].append(row)
    for plan in farm.plans:
        for one in plan.passes:
            own = of_pass.pop((plan.field, one.number))
            assert [
                (date.fromisoformat(row["day"]).toordinal(), row["half"], float(row["hours_h"]))
                for row in own
            ] == [(part.day, part.half, pytest.approx(part.hours_h, abs=1e-6)) for part in one.parts]
            assert sum(float(row["area_ac"]) for row in own) == pytest.approx(one.area_ac, abs=1e-5)
            assert [float(row["tankfuls"]) for row in own] == [
                pytest.approx(part.loads, abs=1e-6) for part in one.parts
            ]
            assert {row["pass_loads"] for row in own} == {str(one.loads)}
            for row in own:
                assert row["zones"].split() == [str(zone) for zone in one.zones]
                assert row["due"] == one.due.isoformat()
                assert float(row["in_time_frac"]) == one.in_time_frac
                assert float(row["rate_gal_ac"]) == one.rate_gal_ac
                if units == "metric":
                    # 10 gal/ac = 93.53956 L/ha, 1 ac = 0.40468564 ha
                    assert float(row["rate_l_ha"]) == pytest.approx(9.353956 * one.rate_gal_ac, rel=1e-6)
                    assert float(row["area_ha"]) == pytest.approx(
                        0.40468564 * float(row["area_ac"]), abs=2e-6
                    )
    assert not of_pass


def test_by_hand_the_table_of_the_small_farm():
    # 3 loads, 1.6 of them on Jul 6 PM and 1.4 on Jul 7 AM: 1.6/3 and 1.4/3 of the area of zone 1
    farm = small_farm()
    area_ac = farm.plans[0].zones[0].area_ac
    first, second, *others = read_back(farm)
    assert (first["day"], first["half"], first["hours_h"], first["tankfuls"]) == (
        "2026-07-06",
        "PM",
        "2.5",
        "1.6",
    )
    assert (second["day"], second["half"], second["hours_h"]) == ("2026-07-07", "AM", "1.5")
    assert float(first["area_ac"]) == pytest.approx(area_ac * 1.6 / 3, abs=1e-6)
    assert float(second["area_ac"]) == pytest.approx(area_ac * 1.4 / 3, abs=1e-6)
    assert [(row["field"], row["sprayer"], row["due"], row["in_time_frac"]) for row in others] == [
        ("North forty", "hired rig", "", ""),
        ("Three Dates", "ground rig", "2026-07-20", "1.0"),
    ]


def test_a_pass_without_parts_or_loads_has_its_row():
    plan = replace(made_plan(Made(labels=[[1]])), field='Says "hi", twice')
    (row,) = read_back(farm_of([plan], {}))
    assert row["field"] == 'Says "hi", twice'
    assert (row["day"], row["half"], row["hours_h"], row["tankfuls"]) == ("2026-07-06", "AM", "", "")
    assert row["pass_loads"] == "2"
    halves = MadePass((1,), ((2, "AM", 1.0, 0.0), (2, "PM", 1.0, 0.0)))
    rows = schedule_rows(farm_of([with_passes(plan, [halves])], {}))
    assert [row["area_ac"] for row in rows] == [pytest.approx(plan.area_ac / 2, abs=1e-6)] * 2


def test_the_table_of_a_farm_without_a_pass_is_its_heading():
    assert schedule_csv(bare_farm()) == ",".join(schedule_columns(metric=False)) + "\n"


def no_bad_number(thing):
    text = json.dumps(thing, allow_nan=False)
    return not re.search(r"NaN|Infinity", text)


@pytest.mark.parametrize("farm", [small_farm(), small_farm("metric"), bare_farm(), bare_farm(level=1)])
def test_the_object_is_whole_and_json_reads_it_back(farm):
    files = dict.fromkeys(farm.folders, ("plan.json",))
    whole = as_object(farm, files)
    assert list(whole) == KEYS
    assert no_bad_number(whole)
    assert json.loads(plan_json.as_text(whole)) == json.loads(json.dumps(whole))
    assert list(whole["fields"]) == list(farm.folders)
    for plan, own in zip(farm.plans, whole["fields"].values(), strict=True):
        assert own == plan_json.as_object(plan, ("plan.json",))
    of_all = {
        "net_p10_usd": farm.net_p10_usd,
        "net_p90_usd": farm.net_p90_usd,
        "chance_pays": farm.chance_pays,
    }
    assert whole["totals"] == plan_json.sums_of(farm.plans) | of_all  # a range is no sum of the fields' own
    for use, row in zip(farm.hours, whole["hours"], strict=True):
        assert (row["sprayer"], row["day"], row["half"]) == (use.sprayer, use.day.isoformat(), use.half)
        assert (row["planned_h"], row["used_h"], row["source"]) == (use.planned_h, use.used_h, use.source)


def test_range_of_the_farm_is_in_its_totals():
    known = replace(small_farm(), net_p10_usd=-12.5, net_p90_usd=99.25, chance_pays=0.625)
    totals = as_object(known)["totals"]
    assert (totals["net_p10_usd"], totals["net_p90_usd"], totals["chance_pays"]) == (-12.5, 99.25, 0.625)


def test_hours_in_use_are_those_of_the_passes():
    whole = as_object(small_farm())
    passes = [one for field in whole["fields"].values() for one in field["passes"]]
    assert sum(row["used_h"] for row in whole["hours"]) == pytest.approx(
        sum(one["hours_h"] for one in passes)
    )
    for one in passes:
        assert sum(part["hours_h"] for part in one["parts"]) == pytest.approx(one["hours_h"])


def test_metric_twins_stand_beside_and_never_instead():
    us, metric = as_object(small_farm())["left_out"][0], as_object(small_farm("metric"))["left_out"][0]
    assert "area_ha" not in us
    assert metric["area_ac"] == us["area_ac"]
    assert metric["area_ha"] == pytest.approx(0.40468564 * us["area_ac"], abs=1e-6)


def test_what_failed_is_named_each_fault_by_itself():
    faults = InputError.together(
        InputError(f"fault {number}", where="field.toml", mend="Mend it.", code=2) for number in (1, 2)
    )
    whole = as_object(small_farm(), failures=[("wet_corner", faults)])
    assert [(one["field"], one["what"]) for one in whole["failures"]] == [
        ("wet_corner", "fault 1"),
        ("wet_corner", "fault 2"),
    ]
    assert whole["failures"][0]["mend"] == "Mend it."


FILES = ("plan.json", 'Größe "1".zip', "a\u2028b\\n")


def written(farm, path, failures=(), **how):
    """What `write` writes, each field from the text of its own plan.json."""
    texts = {
        folder: json.dumps(plan_json.as_object(plan, FILES), **how) + "\n"
        for folder, plan in zip(farm.folders, farm.plans, strict=True)
    }
    write(farm, path, texts.__getitem__, failures)
    return path.read_bytes()


def in_full(farm, failures=()):
    """The same made whole in memory, as it once was."""
    return as_object(farm, dict.fromkeys(farm.folders, FILES), failures)


FARMS = {
    "small": small_farm(),
    "metric": small_farm("metric"),
    "level 1": bare_farm(level=1),
    "no field": farm_of([], {}),
    "odd names": farm_of(
        [made_plan(Made(labels=[[1]], field='a "b"\n{},\\n  é'))], {}, folders=('q "1"\n: {é',), farm="[]{}"
    ),
    "no notes": replace(small_farm(), notes=(), left_out=(), worth=(), hours=()),
    "bare note": replace(small_farm(), notes=(Said("sprayer.no_base", sprayers='}\n"x"'),)),
}


@pytest.mark.parametrize("farm", FARMS.values(), ids=FARMS)
def test_field_by_field_it_has_the_bytes_of_the_whole(tmp_path, farm):
    faults = [("wet_corner", InputError("a\nb", where="x", mend="Mend it."))]
    for failed in ([], faults):
        whole = plan_json.as_text(in_full(farm, failed)).encode()
        made = written(farm, tmp_path / "farm.json", failed, indent=2, ensure_ascii=False)
        assert made == whole


@given(seed=st.integers(0, 10_000), fields=st.integers(0, 6), units=st.sampled_from(["us", "metric"]))
def test_however_a_field_is_written_the_farm_reads_back_the_same(tmp_path_factory, seed, fields, units):
    farm = seeded_farm(seed, fields=fields, units=units)
    path = tmp_path_factory.mktemp("farm") / "farm.json"
    for how in ({}, {"indent": 1}, {"separators": (",", ":")}):
        assert json.loads(written(farm, path, **how)) == json.loads(json.dumps(in_full(farm)))


def test_each_field_is_asked_for_once_and_in_order(tmp_path):
    farm, asked = seeded_farm(3, fields=6), []

    def text_of(folder):
        asked.append(folder)
        return "{}"

    write(farm, tmp_path / "farm.json", text_of)
    assert asked == list(farm.folders)


def test_a_figure_that_is_none_is_a_fault_of_ours():
    with pytest.raises(ValueError, match="bound_usd"):
        as_object(replace(small_farm(), bound_usd=float("inf")))


def names_in(section):
    return re.findall(r"^\| `([a-z_]+)`", section, flags=re.MULTILINE)


def test_the_reference_names_every_key_and_column():
    page = PAGE.read_text(encoding="utf-8")
    about = page.split("\n## farm.json\n")[1].split("\n## ")[0]
    whole = as_object(small_farm())
    expected = [*KEYS, *whole["schedule"], *whole["hours"][0]]
    assert names_in(about) == expected
    for key in (*whole["worth"][0], *whole["left_out"][0]):
        assert f"`{key}`" in about
    table = page.split("\n## schedule.csv\n")[1].split("\n## ")[0]
    assert names_in(table) == schedule_columns(metric=False)


def test_hours_and_due_day_of_a_pass_stand_in_the_geopackage(tmp_path):
    plan = small_farm().plans[0]
    geopackage.write(plan, tmp_path)
    with fiona.open(tmp_path / geopackage.NAME, layer="passes") as file:
        rows = [dict(feature.properties) for feature in file]
    assert [(row["hours_h"], row["in_time_frac"], row["due"]) for row in rows] == [
        (4.0, 0.83, "2026-07-11"),
        (1.2, 1.0, "2026-07-20"),
    ]
