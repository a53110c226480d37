"""What changed since an earlier plan, in one line; and plans that cannot be compared."""

import hashlib
import json
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_plans import Made, acres, made_plan
from made_strips import with_strips

from zoning.errors import CONTENT, SETTINGS, InputError
from zoning.offers.pass_maps import with_maps
from zoning.prescription import handed
from zoning.prescription.as_json import plan_json
from zoning.prescription.since import changed

FIELD = "Three Dates"
LABELS = [[1, 2], [3, 4]]


def plan_of(passes=None, **wanted):
    return made_plan(Made(labels=LABELS, pass_of_zone=passes or {1: 1, 3: 1}, cell_m=250.0, **wanted))


def line(before, now):
    """Through plan.json and back, as a user has it."""
    return changed(handed.of_object(json.loads(plan_json.as_text(plan_json.as_object(before)))), now)


def with_pass(plan, place=0, **changes):
    passes = list(plan.passes)
    passes[place] = replace(passes[place], **changes)
    return replace(plan, passes=tuple(passes))


def test_the_same_plan_says_that_nothing_changed():
    said = line(plan_of(), plan_of())
    assert said.code == "since.nothing"
    assert said.text == "since the plan of Jul 1, 2026 nothing that the machine does has changed"


def test_only_money():
    plan = plan_of()
    richer = replace(plan, totals=replace(plan.totals, net_usd=plan.totals.net_usd + 250))
    said = line(plan, richer)
    assert said.code == "since.only_money"
    assert f"be {plan.totals.net_usd + 250:,.0f} USD instead of {plan.totals.net_usd:,.0f} USD" in said.text
    assert "nothing that the machine does has changed" in said.text


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"day": date(2026, 7, 8)}, "pass 1 moves from Jul 6 AM to Jul 8 AM"),
        ({"half": "PM"}, "pass 1 moves from Jul 6 AM to Jul 6 PM"),
        ({"sprayer": "second rig"}, "pass 1 is driven by second rig instead of ground rig"),
    ],
)
def test_what_a_pass_does_otherwise(changes, said):
    plan = plan_of()
    assert line(plan, with_pass(plan, **changes)).text == f"since the plan of Jul 1, 2026: {said}"


def test_by_hand_another_volume():
    # by hand: two of four cells of 250 x 250 m get 20 instead of 15 gal/ac, so 5 gal more on each acre
    plan = plan_of()
    other = with_maps(with_pass(plan, rate_gal_ac=20.0))
    sprayed_ac = sum(acres(zone.outline) for zone in plan.zones if zone.pass_number)
    text = line(plan, other).text
    assert "pass 1 sprays 20 instead of 15 gal/ac" in text
    assert text.endswith(f"{5 * sprayed_ac:,.0f} gal of spray mix more")
    assert "to spray" not in text


@pytest.mark.parametrize(
    ("was", "now", "units"),
    [("us", "metric", "L/ha instead of US gal/ac"), ("metric", "us", "US gal/ac instead of L/ha")],
)
def test_files_in_another_unit(was, now, units):
    # a terminal that is still set to the other unit sprays nine times as much, or a ninth
    said = line(plan_of(units=was), plan_of(units=now))
    assert said.text == f"since the plan of Jul 1, 2026: the files now hold {units}: set the terminal to it"


def test_metric_farms_read_litres_and_hectares():
    plan = plan_of(units="metric")
    other = plan_of({1: 1}, units="metric")
    gone_ha = acres(plan.zones[2].outline) * 0.40468564224
    text = line(plan, other).text
    assert f"zones now skipped: 3; {gone_ha:.1f} ha less to spray" in text
    assert f"{gone_ha * 140.309:,.0f} L of spray mix less" in text
    text = line(plan, with_maps(with_pass(plan, rate_gal_ac=20.0))).text
    assert "pass 1 sprays 187.1 instead of 140.3 L/ha" in text


def test_zones_that_are_sprayed_or_skipped_now_and_what_it_sums_to():
    before, now = plan_of({1: 1, 3: 1}), plan_of({1: 1, 2: 1, 4: 1})
    more_ac = sum(acres(now.zones[place].outline) for place in (1, 3)) - acres(now.zones[2].outline)
    text = line(before, now).text
    assert "zones now sprayed: 2, 4; zones now skipped: 3" in text
    assert text.endswith(f"{more_ac:.1f} ac more to spray; {15 * more_ac:,.0f} gal of spray mix more")
    back = line(now, before).text
    assert f"{more_ac:.1f} ac less to spray; {15 * more_ac:,.0f} gal of spray mix less" in back


def test_passes_that_are_new_or_gone():
    one, two = plan_of({1: 1}), plan_of({1: 1, 3: 2})
    assert "pass 2 on Jul 14 AM is new; zones now sprayed: 3" in line(one, two).text
    assert "pass 2 of Jul 14 AM is gone; zones now skipped: 3" in line(two, one).text
    assert "pass 1 on Jul 6 AM is new" in line(plan_of({4: 3}), plan_of({1: 1, 4: 3})).text


def test_a_pass_is_known_by_its_zones_whatever_its_number():
    # the first pass is gone, so the second one has number 1 now; it is the same visit on the same day
    before = plan_of({1: 1, 3: 2})
    now = with_pass(plan_of({3: 1}), day=date(2026, 7, 14), rate_gal_ac=20.0)
    text = line(before, with_maps(now)).text
    assert "pass 2 is now pass 1; pass 1 of Jul 6 AM is gone" in text
    assert "moves" not in text
    assert "instead" not in text


def test_zones_that_go_to_another_pass():
    before, now = plan_of({1: 1, 2: 1, 3: 2}), plan_of({1: 1, 2: 2, 3: 2})
    text = line(before, now).text
    assert "zones now in pass 2: 2" in text
    assert "now sprayed" not in text
    assert "to spray" not in text


def test_zones_that_were_drawn_anew_are_not_named():
    now = made_plan(Made(labels=[[1, 1], [2, 2]], pass_of_zone={1: 1}, cell_m=250.0))
    text = line(plan_of(), replace(now, zones_id="another")).text
    assert "zones were drawn anew" in text
    assert "zones now" not in text


def test_new_zones_with_the_same_map_change_nothing_for_the_machine():
    plan = plan_of()
    assert line(plan, replace(plan, zones_id="another")).code == "since.nothing"


def test_edges_of_a_map_that_moved():
    plan = plan_of()
    other = made_plan(Made(labels=[[1, 2], [3, 4]], pass_of_zone={1: 1, 3: 1}, cell_m=250.02))
    assert line(plan, other).text == "since the plan of Jul 1, 2026: the map of pass 1 has other edges"


def test_check_strips_that_came_went_or_lie_elsewhere():
    made = Made(labels=[[1] * 8, [2] * 8], cell_m=40.0)
    without, two = made_plan(made), with_strips(made, {1: ([1], [2]), 2: ([5], [6])})
    assert "; pairs of check strips: 2 instead of 0" in line(without, two).text
    assert "pairs of check strips: 0 instead of 2" in line(two, without).text
    other = replace(two, strips=replace(two.strips, seed=two.strips.seed + 1))
    assert line(two, other).text.endswith(": check strips lie elsewhere")
    assert "check strips" not in line(two, two).text


def test_a_plan_from_before_maps_had_names_is_compared_by_its_zones():
    plan = plan_of()
    old = plan_json.as_object(plan)
    for one in old["passes"]:
        del one["map_id"], one["treated_ac"]
    assert changed(handed.of_object(old), plan).code == "since.nothing"
    assert "zones were drawn anew" in changed(handed.of_object(old), replace(plan, zones_id="x")).text


def test_another_dose_is_another_mix():
    plan = plan_of()
    old = plan_json.as_object(plan)
    now = plan_json.as_object(plan)
    for one, dose in ((old, "8 fl oz/ac"), (now, "10 fl oz/ac")):
        one["passes"][0]["load_sheet"] = {"product": "Invented Fungicide A", "dose": dose}
    before, after = (handed.of_object(one).passes[0] for one in (old, now))
    assert before.mix != after.mix


def test_a_plan_that_sprays_nothing_or_knows_no_money():
    none = made_plan(Made(labels=LABELS, pass_of_zone={}, cell_m=250.0))
    assert line(none, none).code == "since.nothing"
    bare = made_plan(Made(labels=LABELS, level=1, cell_m=250.0))
    assert line(bare, none).code in ("since.nothing", "since.only_money")
    assert "pass 1 on Jul 6 AM is new" in line(bare, plan_of()).text


@given(
    before=st.dictionaries(st.integers(1, 4), st.integers(1, 2)),
    now=st.dictionaries(st.integers(1, 4), st.integers(1, 2)),
)
def test_nothing_is_said_only_where_every_machine_file_is_the_same(before, now):
    old, new = plan_of(before), plan_of(now)
    said = line(old, new)
    same = [(one.day, one.rate_gal_ac, one.map) for one in old.passes] == [
        (one.day, one.rate_gal_ac, one.map) for one in new.passes
    ]
    assert (said.code in ("since.nothing", "since.only_money")) == same
    assert "\n" not in said.text


def written(folder, whole):
    path = folder / "plan.json"
    path.write_text(whole if isinstance(whole, str) else json.dumps(whole), encoding="utf-8")
    return path


def test_reads_what_a_run_wrote(tmp_path):
    path = written(tmp_path, plan_json.as_object(plan_of()))
    read = handed.read(path, FIELD)
    assert read.digest == hashlib.sha256(path.read_bytes()).hexdigest()
    assert [one.number for one in read.passes] == [1]
    assert read.zones == (1, 2, 3, 4)


def refused(path, field=FIELD):
    with pytest.raises(InputError) as caught:
        handed.read(path, field)
    assert "\n" not in str(caught.value)
    return caught.value.code, str(caught.value)


def test_a_file_that_is_not_there_or_a_folder(tmp_path):
    code, text = refused(tmp_path / "plan.json")
    assert code == SETTINGS
    assert "no such file" in text
    assert refused(tmp_path)[0] == SETTINGS


def test_a_plan_of_another_field(tmp_path):
    code, text = refused(written(tmp_path, plan_json.as_object(plan_of())), "North 40")
    assert code == CONTENT
    assert "'Three Dates', not of 'North 40'" in text


def test_a_plan_of_a_newer_version(tmp_path):
    code, text = refused(written(tmp_path, plan_json.as_object(plan_of()) | {"schema_version": 99}))
    assert code == CONTENT
    assert "newer version made this plan (schema_version 99)" in text


GOOD = plan_json.as_object(plan_of())


@pytest.mark.parametrize(
    "whole",
    [
        "",
        "no JSON",
        "[" * 100_000,
        "[]",
        "{}",
        "NaN",
        GOOD | {"schema_version": "1"},
        GOOD | {"schema_version": True},
        GOOD | {"zones": {}},
        GOOD | {"zones": [3]},
        GOOD | {"passes": None},
        GOOD | {"today": "yesterday"},
        GOOD | {"totals": []},
        GOOD | {"passes": [GOOD["passes"][0] | {"rate_gal_ac": None}]},
        GOOD | {"passes": [GOOD["passes"][0] | {"area_ac": float("nan")}]},
        GOOD | {"passes": [GOOD["passes"][0] | {"zones": ["1"]}]},
        GOOD | {"passes": [GOOD["passes"][0] | {"day": 20260706}]},
        GOOD | {"passes": [GOOD["passes"][0] | {"load_sheet": {}}]},
    ],
    ids=lambda whole: repr(whole)[:12] if isinstance(whole, str) else None,
)
def test_what_is_no_plan_is_refused_in_one_line(tmp_path, whole):
    code, text = refused(written(tmp_path, whole))
    assert code == CONTENT
    assert "not a plan.json" in text


def test_bytes_that_are_no_text(tmp_path):
    path = tmp_path / "plan.json"
    path.write_bytes(b"\xff\xfe\x00")
    assert refused(path)[0] == CONTENT


@given(key=st.sampled_from(["schema_version", "field", "today", "zones_id", "zones", "passes"]))
def test_a_key_that_is_missing_is_named(key):
    with pytest.raises(ValueError, match=f"it has no {key}"):
        handed.of_object({name: value for name, value in GOOD.items() if name != key})


def test_days_are_told_by_name():
    plan = plan_of()
    later = with_pass(plan, day=plan.passes[0].day + timedelta(days=30))
    assert "to Aug 5 AM" in line(plan, later).text
