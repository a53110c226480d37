"""farm.csv: one row a field, every figure that of its plan.json, and nothing where nothing is known."""

import csv
import io
from dataclasses import replace
from datetime import timedelta

import pytest
import shapely
from made_farm_plans import RIG, TODAY, MadePass, bare_farm, farm_of, part_done, seeded_farm, with_passes
from made_no_spray import with_no_spray
from made_plans import Made, made_plan

from zoning.plan import NO_PRICE_PAYS, decided
from zoning.prescription.as_json.plan_json import as_object
from zoning.prescription.field_table import columns, day_of, text, write


def read_back(farm, pages=None):
    return list(csv.DictReader(io.StringIO(text(farm, pages))))


def mixed_farm(units="us"):
    """A field of each level, and one with ground that is never sprayed."""
    plans = [
        made_plan(
            Made(
                labels=[[1, 2], [3, 3]], level=level, field=f"Level {level}", units=units, pass_of_zone={1: 1}
            )
        )
        for level in (1, 2, 3)
    ]
    bare = with_no_spray(made_plan(Made(labels=[[1, 2, 4]], field="Ditch", units=units)), {4: "setback"})
    return farm_of([*plans, bare], {})


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("seed", range(3))
def test_every_figure_is_that_of_the_plan(seed, units):
    farm = seeded_farm(seed, fields=7, sprayers=2, units=units)
    table = read_back(farm)
    assert list(table[0]) == columns(metric=units == "metric")
    assert [row["folder"] for row in table] == list(farm.folders)
    for row, plan in zip(table, farm.plans, strict=True):
        own = as_object(plan)
        for key in ("field", "run_id", "today"):
            assert row[key] == own[key]
        for key in ("area_ac", "no_spray_ac"):
            assert float(row[key]) == own[key]
        for key in ("spray_ac", "skip_ac", "net_usd", "net_p10_usd", "net_p90_usd", "chance_pays"):
            assert float(row[key]) == own["totals"][key]
        for key in ("carrier_gal", "visit_costs_usd", "break_even_price_usd_bu"):
            assert float(row[key]) == own["totals"][key]
        if units == "metric":
            assert float(row["spray_ha"]) == own["totals"]["spray_ha"]
            assert float(row["break_even_price_usd_t"]) == own["totals"]["break_even_price_usd_t"]
        likely = [zone["stage"]["r3_likely"] for zone in own["zones"]]
        assert (row["r3_likely_first"], row["r3_likely_last"]) == (min(likely), max(likely))
        assert (int(row["zones"]), int(row["passes"])) == (len(own["zones"]), len(own["passes"]))
        if own["passes"]:
            first = min(own["passes"], key=lambda one: (one["day"], one["half"], one["pass"]))
            assert row["first_pass_day"] == first["day"]
            assert row["first_pass_half"] == first["half"]
            assert row["first_pass_sprayer"] == first["sprayer"]
            assert float(row["first_pass_rate_gal_ac"]) == first["rate_gal_ac"]
            assert row["first_pass_due"] == first["due"]
            assert row["last_pass_day"] == max(one["parts"][-1]["day"] for one in own["passes"])
        else:
            assert {row[key] for key in row if key.startswith("first_pass")} == {""}
        assert plan.boundary.contains(shapely.Point(float(row["lon"]), float(row["lat"])))


def test_the_action_in_a_word():
    whole = made_plan(Made(labels=[[1, 2]], pass_of_zone={1: 1, 2: 1}))
    part = made_plan(Made(labels=[[1, 2]], pass_of_zone={1: 1}))
    skip = made_plan(Made(labels=[[1, 2]], pass_of_zone={}))
    none = made_plan(Made(labels=[[1, 2]], level=1))
    assert [decided.in_a_word(one) for one in (whole, part, skip, none)] == ["spray", "part", "skip", "none"]


def test_what_is_not_known_is_empty():
    table = {row["field"]: row for row in read_back(mixed_farm())}
    money = ("spray_ac", "skip_ac", "net_usd", "net_p10_usd", "chance_pays", "break_even_price_usd_bu")
    assert {table["Level 1"][key] for key in (*money, "carrier_gal", "spray_from", "first_pass_day")} == {""}
    assert table["Level 1"]["action"] == "none"
    assert table["Level 1"]["r3_likely_first"]
    assert table["Level 1"]["provisional"] == "true"
    assert "" not in {table["Level 3"][key] for key in (*money, "carrier_gal", "spray_from")}
    assert float(table["Ditch"]["no_spray_ac"]) > 0
    dateless = farm_of([made_plan(Made(labels=[[1, 2]], level=1, dates=False))], {})
    (row,) = read_back(dateless)
    assert (row["r3_likely_first"], row["r3_likely_last"], row["provisional"]) == ("", "", "")


def test_no_price_pays_is_empty_and_nothing_is_not_a_number():
    farm = bare_farm(1)
    totals = replace(farm.plans[0].totals, break_even_price_usd_bu=NO_PRICE_PAYS, nearest_net_usd=-31.5)
    (row,) = read_back(replace(farm, plans=(replace(farm.plans[0], totals=totals),)))
    assert row["break_even_price_usd_bu"] == ""
    assert row["nearest_net_usd"] == "-31.5"
    assert not {"nan", "inf", "None"} & {cell for row in read_back(mixed_farm()) for cell in row.values()}


def test_the_first_pass_is_the_first_in_time():
    plan = made_plan(Made(labels=[[1, 2, 3]]))
    later = MadePass((1,), ((6, "AM", 1.0, 1.0), (7, "AM", 1.0, 1.0)), sprayer="late")
    first = MadePass((3,), ((2, "PM", 1.0, 1.0),), sprayer="early", rate_gal_ac=20.0, due_d=4)
    (row,) = read_back(farm_of([with_passes(plan, [later, first])], {}))
    assert (row["first_pass_sprayer"], row["first_pass_half"]) == ("early", "PM")
    assert row["first_pass_day"] == (TODAY + timedelta(days=2)).isoformat()
    assert row["first_pass_due"] == (TODAY + timedelta(days=4)).isoformat()
    assert row["first_pass_rate_gal_ac"] == "20.0"
    assert row["last_pass_day"] == (TODAY + timedelta(days=7)).isoformat()
    assert row["passes"] == "2"


def test_what_was_sprayed_is_said_by_its_last_day():
    first, *others = read_back(part_done())
    assert first["sprayed_on"] == (TODAY - timedelta(days=2)).isoformat()
    assert {row["sprayed_on"] for row in others} == {""}


def test_pages_stand_where_they_were_written():
    farm = seeded_farm(1, fields=3)
    some = [farm.folders[1]]
    assert [row["page"] for row in read_back(farm, some)] == ["", f"{some[0]}/out/page.html", ""]
    assert [row["results"] for row in read_back(farm, some)] == [f"{name}/out" for name in farm.folders]
    assert all(row["page"] for row in read_back(farm))
    assert not any(row["page"] for row in read_back(farm, ()))


def test_names_are_cells_whatever_they_hold():
    name = 'Ünal; "40",\n=1+1'
    farm = farm_of([made_plan(Made(labels=[[1, 2]], field=name))], {RIG: ["forecast"]}, folders=('a "b", c',))
    (row,) = read_back(farm)
    assert (row["field"], row["folder"]) == (name, 'a "b", c')


def test_a_farm_without_a_field_is_a_heading(tmp_path):
    farm = farm_of([], {})
    assert write(farm, tmp_path) == ("farm.csv",)
    assert (tmp_path / "farm.csv").read_text(encoding="utf-8") == ",".join(columns(metric=False)) + "\n"


def test_the_day_of_the_last_plan_is_read_from_it(tmp_path):
    assert day_of(tmp_path / "out") is None
    assert day_of(tmp_path) is None
    write(farm_of([], {}), tmp_path)
    assert day_of(tmp_path) is None
    write(seeded_farm(1), tmp_path)
    assert day_of(tmp_path) == TODAY.isoformat()
    for broken in (b"\xff\xfe", b"", b"a,b\n1,2\n"):
        (tmp_path / "farm.csv").write_bytes(broken)
        assert day_of(tmp_path) is None
