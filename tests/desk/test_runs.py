"""Runs from the desk: one at a time, the last result stays, earlier plans are kept and compared."""

import errno
import json
import os
import shutil
import threading

import pytest
from made_desks import Desk, demo_farm, listing

from zoning import evidence
from zoning.desk import history, last_plan
from zoning.errors import InputError

SKIP = {"cells": {"date": "2026-07-08", "lat": "44.306080", "lon": "-95.408371", "pressure": "low"}}


@pytest.fixture
def held(monkeypatch):
    """A run that waits in its first step until it is let go."""
    from zoning import field as one_field

    gate, began = threading.Event(), threading.Event()
    real = one_field.run

    def run(folder, **more):
        began.set()
        assert gate.wait(60)
        return real(folder, **more)

    monkeypatch.setattr(one_field, "run", run)
    yield began, gate
    gate.set()


def test_a_run_that_finds_the_same_leaves_no_trace(desk):
    before = listing(desk.folder)
    told = desk.run()
    assert (told["running"], told["faults"], told["changed"]) == (False, [], False)
    assert told["steps"][0] == "reading the field"
    assert desk.get("state").json()["history"] == []
    now = listing(desk.folder)
    assert {name for name in {*now, *before} if now.get(name) != before.get(name)} == set()


def test_while_one_runs_no_other_begins_and_no_input_changes(desk, held):
    began, gate = held
    before = listing(desk.folder)
    assert desk.post("run", {}).status_code == 202
    assert began.wait(30)
    assert desk.get("progress").json()["running"]
    again = desk.post("run", {})
    assert again.status_code == 409
    assert "a run goes on" in again.json()["lines"][0]
    assert desk.post("counts/add", SKIP).status_code == 409
    assert listing(desk.folder) == before
    assert desk.get("").status_code == 200  # the last good page is still shown
    gate.set()
    assert desk.runner.wait(120)


def test_the_faults_of_a_run_are_plain_lines_and_the_last_result_stands(desk):
    path = desk.folder / "field.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("1.7", '"very late"'), encoding="utf-8")
    out = listing(desk.folder / "out")
    told = desk.run()
    assert "maturity_group" in told["faults"][0]
    assert "Traceback" not in json.dumps(told)
    assert listing(desk.folder / "out") == out
    assert desk.get("state").status_code == 409
    assert desk.get("").status_code == 200


def test_what_was_changed_is_told_until_a_run_has_seen_it(desk):
    assert desk.get("state").json()["waiting"] == []
    desk.post("counts/add", SKIP)
    assert desk.get("state").json()["waiting"] == ["a count is added to scouting.csv"]
    path = desk.folder / "field.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("1.7", '"very late"'), encoding="utf-8")
    assert desk.run()["faults"]
    path.write_text(text, encoding="utf-8")
    assert desk.get("state").json()["waiting"] == ["a count is added to scouting.csv"]
    desk.run()
    assert desk.get("state").json()["waiting"] == []


def test_a_bug_of_ours_is_said_and_does_not_block_the_desk(desk, monkeypatch):
    from zoning import field as one_field

    monkeypatch.setattr(one_field, "write", lambda *_args: 1 / 0)
    monkeypatch.setattr(threading, "excepthook", lambda _args: None)
    desk.post("counts/add", SKIP)
    out = listing(desk.folder / "out")
    told = desk.run()
    assert "fault of the program" in told["faults"][0]
    assert listing(desk.folder / "out") == out
    assert history.kept(desk.home, desk.folder) == []
    monkeypatch.undo()
    assert desk.run()["faults"] == []


def test_a_full_disk_is_said_and_the_last_result_stands(desk, monkeypatch):
    from zoning import field as one_field

    def full(*_args):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(desk.folder / "out.new" / "map.png"))

    monkeypatch.setattr(one_field, "write", full)
    desk.post("counts/add", SKIP)
    out = listing(desk.folder / "out")
    [line] = desk.run()["faults"]
    assert line.startswith("map.png: the files cannot be written (no space left on device)")
    assert listing(desk.folder / "out") == out
    assert history.kept(desk.home, desk.folder) == []


def test_a_plan_that_is_replaced_is_kept_and_compared(desk):
    before = (desk.folder / "out" / "plan.json").read_bytes()
    desk.post("counts/add", SKIP)
    assert desk.run()["changed"]
    (one,) = desk.get("state").json()["history"]
    assert one["name"].startswith("2026-07-08_1415")
    assert one["name"].endswith(f"_{json.loads(before)['run_id']}.json")
    assert (desk.folder / "history" / one["name"]).read_bytes() == before
    told = desk.get("compare", params={"with": one["name"]}).json()
    was, now = ({zone["zone"]: zone for zone in plan["zones"]} for plan in (json.loads(before), desk.plan()))
    assert json.loads(before)["zones_id"] == desk.plan()["zones_id"]  # a count draws no zone anew
    differ = [
        zone
        for zone in now
        if (
            was[zone]["action"],
            was[zone]["stage"]["r3_likely"],
            was[zone]["spray_on"],
            was[zone]["rate_gal_ac"],
        )
        != (
            now[zone]["action"],
            now[zone]["stage"]["r3_likely"],
            now[zone]["spray_on"],
            now[zone]["rate_gal_ac"],
        )
    ]
    assert [one["zone"] for one in told["zones"]] == differ
    assert differ or told["headline"].startswith("no zone")


def put(desk, name, **more):
    """Put an earlier plan into the history, made from the plan of now."""
    path = desk.folder / "history" / name
    path.parent.mkdir(exist_ok=True)
    path.write_text(json.dumps(desk.plan() | more), encoding="utf-8")
    return name


def test_three_zones_changed_since_tuesday(desk):
    # the demo's today is Wednesday, July 8, 2026; three of its six zones said something else the day before
    zones = [dict(zone) for zone in desk.plan()["zones"]]
    was_skipped = zones[0]["action"] == "spray"
    zones[0] |= {"action": "skip" if was_skipped else "spray"}
    zones[2] |= {"stage": zones[2]["stage"] | {"r3_likely": "2026-07-25"}}
    zones[3] |= {"spray_on": "2026-07-24", "rate_gal_ac": 20.0}
    name = put(desk, "2026-07-08_080000_abcd.json", zones=zones, today="2026-07-07")
    told = desk.get("compare", params={"with": name}).json()
    assert told["headline"] == "3 zones changed since Tuesday"
    assert [one["zone"] for one in told["zones"]] == [1, 3, 4]
    assert told["zones"][0]["text"] == (
        "sprayed now, was skipped" if was_skipped else "skipped now, was sprayed"
    )
    assert "was Jul 25" in told["zones"][1]["text"]
    assert "was Jul 24" in told["zones"][2]["text"]
    assert "was 20 gal/ac" in told["zones"][2]["text"]


@pytest.mark.parametrize(
    ("today", "called"),
    [
        ("2026-07-08", "08:00 today"),
        ("2026-07-02", "Thursday"),
        ("2026-07-01", "Jul 1"),
        ("2025-07-08", "Jul 8"),
    ],
)
def test_a_plan_is_called_by_its_day(desk, today, called):
    name = put(desk, "2026-07-08_080000_abcd.json", today=today)
    headline = desk.get("compare", params={"with": name}).json()["headline"]
    assert headline == f"no zone has changed since {called}"


def test_a_plan_of_other_zones_is_not_compared_zone_by_zone(desk):
    name = put(desk, "2026-07-08_080000_abcd.json", zones_id="0000", today="2026-07-06")
    told = desk.get("compare", params={"with": name}).json()
    assert "drawn anew since Monday" in told["headline"]
    assert told["zones"] == []
    assert told["machine"]


ENDLESS = '{"run_id": "a", "zones_id": "b", "today": "2026-07-08", "zones": [{"zone": 1e999}]}'


@pytest.mark.parametrize("text", ["", "{", "[]", '{"schema_version": 99}', "3", ENDLESS])
def test_a_broken_earlier_plan_is_said(desk, text):
    name = put(desk, "2026-07-08_080000_abcd.json")
    (desk.folder / "history" / name).write_text(text, encoding="utf-8")
    answer = desk.get("compare", params={"with": name})
    assert answer.status_code == 422
    assert "not a plan.json" in answer.json()["lines"][0]


def test_so_many_earlier_plans_are_kept_and_no_more(desk):
    most = int(evidence.number("desk.history_most"))
    for second in range(most + 3):
        put(desk, f"2026-07-0{1 + second // 60}_0800{second % 60:02}_abcd.json", run_id=f"{second:04}")
    (desk.folder / "history" / "notes.json").write_text("mine", encoding="utf-8")
    plan = last_plan.of_field(desk.home, desk.folder)
    history.keep(desk.runner.log_of(desk.folder), plan, plan.today)
    kept = history.kept(desk.home, desk.folder)
    assert len(kept) == most
    assert kept[0].run_id == plan.run_id
    assert (desk.folder / "history" / "notes.json").exists()


def test_a_result_of_the_farms_schedule_is_not_replaced_by_a_field_alone(desk):
    path = desk.folder / "out" / "plan.json"
    path.write_text(json.dumps(desk.plan() | {"schedule": "farm"}), encoding="utf-8")
    answer = desk.post("run", {})
    assert answer.status_code == 409
    assert "--alone" in answer.json()["lines"][0]
    assert Desk(desk.folder, alone=True).run()["faults"] == []


def test_after_the_end_nothing_is_written(desk, held):
    began, gate = held
    desk.post("counts/add", SKIP)
    before = listing(desk.folder)
    desk.post("run", {})
    assert began.wait(30)
    desk.runner.stop(patience_s=1.0)
    gate.set()
    assert desk.runner.wait(60)
    assert desk.get("progress").json()["faults"] == ["stopped"]
    assert desk.post("run", {}).status_code == 409
    assert listing(desk.folder) == before


def test_the_end_waits_for_files_that_are_being_written(desk, monkeypatch):
    from zoning import field as one_field

    began, gate = threading.Event(), threading.Event()
    real = one_field.write

    def write(*args, **more):
        began.set()
        assert gate.wait(60)
        return real(*args, **more)

    monkeypatch.setattr(one_field, "write", write)
    desk.post("counts/add", SKIP)
    run_id = desk.plan()["run_id"]
    desk.post("run", {})
    assert began.wait(60)
    threading.Timer(0.3, gate.set).start()
    desk.runner.stop(patience_s=60.0)
    assert desk.plan()["run_id"] != run_id
    assert not (desk.folder / "out.new").exists()


def test_a_farm_is_run_as_one_and_each_field_keeps_its_earlier_plan(tmp_path):
    farm = demo_farm(tmp_path / "farm", "three_dates", "point_rows")
    desk = Desk(farm)
    names = [one.name for one in desk.home.fields]
    assert names == ["point_rows", "three_dates"]
    number = 1 + names.index("three_dates")
    outside = listing(tmp_path).keys()
    assert desk.run(number)["faults"] == []
    assert {desk.plan(name)["schedule"] for name in names} == {"farm"}
    text = desk.client.get(f"/{desk.keys.place}/").text
    for place, name in enumerate(("Point Rows", "Three Dates"), 1):
        assert f'href="field/{place}/">{name}</a> <span>plan of Jul 8, 2026: spray' in text
    assert desk.get("state", number).json()["history"] == []
    farm_page = desk.client.get(f"/{desk.keys.place}/farm/")
    assert farm_page.status_code == 200
    for place in (1, 2):
        assert f'href="../field/{place}/"' in farm_page.text
    assert "out/page.html" not in farm_page.text
    assert desk.post("counts/add", SKIP, number).status_code == 200
    assert desk.run(number)["changed"]
    assert len(desk.get("state", number).json()["history"]) == 1
    assert len(desk.get("state", 1).json()["history"]) in (0, 1)
    new = listing(tmp_path).keys() - outside
    assert all(name.startswith("farm/") for name in new)


def test_a_run_of_a_farm_that_fails_half_way_keeps_no_copy_of_a_plan_that_still_stands(
    planned_farm, tmp_path, monkeypatch
):
    from zoning import farm as many

    shutil.copytree(planned_farm, tmp_path / "farm")
    desk = Desk(tmp_path / "farm")
    [one] = desk.home.fields
    made = one / "out" / "plan.json"  # as if the farm's schedule had made it
    made.write_text(made.read_text(encoding="utf-8").replace('"schedule": "alone"', '"schedule": "farm"'))
    kept_while = []

    def fails(_root, *, watch, **_more):
        watch.tell(many.SCHEDULED)
        kept_while.extend(history.kept(desk.home, one))
        raise InputError("the disk is full", where="out", mend="Make room.")

    monkeypatch.setattr(many, "run", fails)
    before = listing(desk.folder)
    assert "the disk is full" in desk.run()["faults"][0]
    assert kept_while  # so that there was something to take away
    assert history.kept(desk.home, one) == []
    assert listing(desk.folder) == before


def test_a_farm_without_its_page_or_with_a_foreign_one_is_said_in_a_plain_page(desk):
    farm = Desk(desk.folder.parent)
    for text in (None, "<p>another version</p>"):
        if text is not None:
            (farm.folder / "out").mkdir()
            (farm.folder / "out" / "farm.html").write_text(text, encoding="utf-8")
        answer = farm.client.get(f"/{farm.keys.place}/farm/", headers={"accept": "text/html"})
        assert answer.status_code == 409
        assert "Run a field of the farm again" in answer.text
        assert ("of another version" in answer.text) == (text is not None)


def test_a_run_of_one_field_alone_has_seen_no_change_of_another(tmp_path):
    desk = Desk(demo_farm(tmp_path / "farm", "three_dates", "point_rows"), alone=True)
    names = [one.name for one in desk.home.fields]
    own, other = 1 + names.index("three_dates"), 1 + names.index("point_rows")
    assert desk.post("counts/add", SKIP, own).status_code == 200
    assert desk.run(other)["made"] == 1
    assert desk.get("state", own).json()["waiting"] == ["a count is added to scouting.csv"]
    assert desk.run(own)["made"] == 2
    assert desk.get("state", own).json()["waiting"] == []


def test_a_farm_field_with_a_fault_stops_no_other_and_is_named(tmp_path):
    farm = demo_farm(tmp_path / "farm", "three_dates", "point_rows")
    (farm / "point_rows" / "boundary.geojson").write_text("{}", encoding="utf-8")
    desk = Desk(farm)
    told = desk.run(2)
    assert told["faults"]
    assert all(line.startswith("point_rows: ") for line in told["faults"])
    assert (farm / "three_dates" / "out" / "plan.json").exists()


def test_without_the_extra_a_plain_line_says_what_to_install(folder, monkeypatch):
    from zoning.desk import served

    monkeypatch.setattr(served, "_NEEDED", ("starlette", "not_there_at_all"))
    with pytest.raises(
        InputError, match=r"not_there_at_all is not installed.*pip install 'sprayworth\[desk\]'"
    ) as caught:
        served.serve(folder, Desk(folder).how)
    assert caught.value.code == 2
