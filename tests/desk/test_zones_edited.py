"""The zones of a field at the desk: their number, two made one, one cut in two, and back again."""

import json
import os
import tomllib

import pytest
import shapely

from zoning.desk import drawn_file, last_plan, log

WHY = {"reason": "we drive it so"}


def toml(desk):
    return tomllib.loads((desk.folder / "field.toml").read_text(encoding="utf-8"))


def asked(desk, **more):
    return {"zones_id": desk.plan()["zones_id"]} | WHY | more


def ran(desk):
    told = desk.run()
    assert told["faults"] == []
    return desk.plan()


def by_block(plan):
    found = {}
    for one in plan["zones"]:
        found.setdefault(one["block"], []).append(one)
    return found


def test_fewer_zones_come_with_the_next_run_and_comments_stay(desk):
    text = (desk.folder / "field.toml").read_text(encoding="utf-8")
    assert len(by_block(desk.plan())["A"]) == 3
    answer = desk.post("zones/number", {"most": 1} | WHY)
    assert answer.status_code == 200
    now = (desk.folder / "field.toml").read_text(encoding="utf-8")
    assert now == text.replace("max_zones_per_block = 3", "max_zones_per_block = 1")
    assert (desk.folder / "field.toml.bak").read_text(encoding="utf-8") == text
    assert all(len(zones) == 1 for zones in by_block(ran(desk)).values())
    (line,) = desk.log()
    assert (line["what"], line["from"], line["to"], line["reason"]) == (
        "number of zones",
        3,
        1,
        WHY["reason"],
    )


@pytest.mark.parametrize("most", [0, 7, -1, 2.5, "2", None, True, [2], 1e99])
def test_a_number_that_cannot_be_is_refused(desk, most):
    before = (desk.folder / "field.toml").read_bytes()
    assert desk.post("zones/number", {"most": most} | WHY).status_code == 422
    assert (desk.folder / "field.toml").read_bytes() == before


def test_a_field_without_its_own_zones_section_gets_one(desk):
    path = desk.folder / "field.toml"
    text = path.read_text(encoding="utf-8")
    start, end = text.index("[zones]"), text.index("[[scouting]]")
    path.write_bytes(b"\xef\xbb\xbf" + (text[:start] + text[end:]).replace("\n", "\r\n").encode())
    assert desk.post("zones/number", {"most": 2} | WHY).status_code == 200
    now = path.read_bytes()
    assert now.startswith(b"\xef\xbb\xbf")
    assert tomllib.loads(now.decode("utf-8-sig"))["zones"] == {"max_zones_per_block": 2}
    assert desk.get("state").json()["most_zones"] == 2


def test_two_zones_become_one_and_blocks_keep_their_edges(desk):
    before = desk.plan()
    answer = desk.post("zones/merge", asked(desk, zones=[1, 2]))
    assert answer.status_code == 200, answer.text
    assert toml(desk)["zones"]["file"] == "zones_by_hand.gpkg"
    now = ran(desk)
    assert len(now["zones"]) == len(before["zones"]) - 1
    was, is_now = by_block(before), by_block(now)
    for block in was:
        total = sum(one["area_ac"] for one in was[block])
        assert sum(one["area_ac"] for one in is_now[block]) == pytest.approx(total, rel=1e-6)
    merged_ac = sum(one["area_ac"] for one in before["zones"] if one["zone"] in (1, 2))
    assert min(abs(one["area_ac"] - merged_ac) for one in is_now["A"]) < 1e-4
    (line,) = desk.log()
    assert (line["what"], line["from"], line["reason"]) == ("zones merged", [1, 2], WHY["reason"])


@pytest.mark.parametrize(
    ("pair", "words"),
    [
        ([1, 1], "not two zones"),
        ([1, 4], "not planted together"),
        ([1, 99], "no zone 99"),
        ([1], "not two zones"),
        ([1, 2, 3], "not two zones"),
        (["1", 2], "no zone"),
        ([True, 2], "no zone"),
        (None, "not two zones"),
    ],
)
def test_what_are_no_two_neighbours_is_refused(desk, pair, words):
    answer = desk.post("zones/merge", asked(desk, zones=pair))
    assert answer.status_code == 422
    assert words in answer.json()["lines"][0]
    assert not (desk.folder / "zones_by_hand.gpkg").exists()
    assert desk.log() == []


def test_zones_that_touch_nowhere_are_refused(desk):
    plan = last_plan.of_field(desk.home, desk.folder)
    drawn = drawn_file.of_plan(desk.home, desk.folder, plan)
    apart = [
        (one, other)
        for one in drawn
        for other in drawn
        if one < other
        and plan.zones[one]["block"] == plan.zones[other]["block"]
        and drawn[one].outline.distance(drawn[other].outline) > 1
    ]
    for one, other in apart:
        assert "side by side" in desk.post("zones/merge", asked(desk, zones=[one, other])).json()["lines"][0]
    far = drawn_file.DrawnZone(name="far", outline=shapely.box(0, 0, 1, 1))
    assert drawn_file.joined(drawn[1], far) is None
    corner = shapely.box(0, 0, 1, 1), shapely.box(1, 1, 2, 2)
    assert drawn_file.joined(*(drawn_file.DrawnZone(name="", outline=one) for one in corner)) is None


def middle(desk, zone):
    """A line up and down through the middle of a zone, on the plan's map."""
    plan = last_plan.of_field(desk.home, desk.folder)
    west, north = drawn_file.corner(desk.home, desk.folder, plan)
    inside = drawn_file.of_plan(desk.home, desk.folder, plan)[zone].outline.centroid
    x, y = inside.x - west, north - inside.y
    return [[x, y - 5], [x, y + 5]]


def test_a_zone_is_cut_in_two_along_the_line(desk):
    before = desk.plan()
    answer = desk.post("zones/split", asked(desk, zone=6, line=middle(desk, 6)))
    assert answer.status_code == 200, answer.text
    now = ran(desk)
    assert len(now["zones"]) == len(before["zones"]) + 1
    parts = sorted(one["area_ac"] for one in by_block(now)["C"])
    whole = by_block(before)["C"][0]["area_ac"]
    assert sum(parts) == pytest.approx(whole, rel=1e-6)
    assert parts[0] > 0.2 * whole
    names = {one["name"] for one in now["zones"]}
    assert {"6 a", "6 b"} <= names


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ([[-500, 0], [-500, 10]], "misses the zone"),
        ([[5, 5], [5, 5]], "misses the zone"),
        ([[0, 0]], "no line"),
        ("here", "no line"),
        ([["0", 0], [1, 1]], "no line"),
        ([[1e300, 0], [1, 1]], "no line"),
    ],
)
def test_a_line_that_cuts_nothing_is_refused(desk, line, words):
    answer = desk.post("zones/split", asked(desk, zone=6, line=line))
    assert answer.status_code == 422
    assert words in answer.json()["lines"][0]


def test_a_sliver_is_no_zone(desk):
    plan = last_plan.of_field(desk.home, desk.folder)
    west, _ = drawn_file.corner(desk.home, desk.folder, plan)
    edge = drawn_file.of_plan(desk.home, desk.folder, plan)[6].outline.bounds[0] - west + 1.0
    answer = desk.post("zones/split", asked(desk, zone=6, line=[[edge, 0], [edge, 10]]))
    assert "smaller than the smallest zone" in answer.json()["lines"][0]


def test_each_change_by_hand_can_be_taken_back_until_the_zones_are_as_found(desk):
    text = (desk.folder / "field.toml").read_bytes()
    first = desk.plan()
    assert desk.post("zones/merge", asked(desk, zones=[1, 2])).status_code == 200
    one = ran(desk)
    assert (
        desk.post("zones/split", asked(desk, zone=len(one["zones"]), line=middle(desk, 5))).status_code == 200
    )
    two = ran(desk)
    assert len(two["zones"]) == len(first["zones"])
    assert desk.get("state").json()["by_hand"] == 2
    assert desk.post("zones/back", WHY).status_code == 200
    assert ran(desk)["zones_id"] == one["zones_id"]
    assert desk.post("zones/back", WHY).status_code == 200
    assert (desk.folder / "field.toml").read_bytes() == text
    assert not (desk.folder / "zones_by_hand.gpkg").exists()
    assert ran(desk)["zones_id"] == first["zones_id"]
    answer = desk.post("zones/back", WHY)
    assert answer.status_code == 422
    assert [line["what"] for line in desk.log()] == [
        "zones merged",
        "zone split",
        "zones taken back",
        "zones taken back",
    ]


def test_the_users_own_zones_are_named_again_once_changes_are_taken_back(desk):
    path = desk.folder / "field.toml"
    text = path.read_text(encoding="utf-8").replace("[zones]\n", '[zones]\nfile = "consult.gpkg"  # hers\n')
    path.write_text(text, encoding="utf-8")
    (desk.folder / "consult.gpkg").write_bytes((desk.folder / "out" / "zones.gpkg").read_bytes())
    assert desk.post("zones/merge", asked(desk, zones=[1, 2])).status_code == 200
    assert toml(desk)["zones"]["file"] == "zones_by_hand.gpkg"
    assert desk.post("zones/number", {"most": 2} | WHY).status_code == 422  # drawn zones are not counted
    assert desk.post("zones/back", WHY).status_code == 200
    assert toml(desk)["zones"]["file"] == "consult.gpkg"
    assert "zone_column" not in toml(desk)["zones"]


@pytest.mark.parametrize("path", ["zones/merge", "zones/split"])
def test_a_page_that_shows_other_zones_changes_none(desk, path):
    answer = desk.post(path, asked(desk, zones=[1, 2], zone=6, line=[[0, 0], [1, 1]]) | {"zones_id": "0000"})
    assert answer.status_code == 422
    assert "other zones" in answer.json()["lines"][0]


@pytest.mark.parametrize("path", ["zones/merge", "zones/split", "zones/number", "zones/back"])
def test_no_zone_is_changed_without_a_reason(desk, path):
    thing = asked(desk, zones=[1, 2], zone=6, line=middle(desk, 6), most=2) | {"reason": " "}
    answer = desk.post(path, thing)
    assert answer.status_code == 422
    assert "reason" in answer.json()["lines"][0]


def test_zones_of_a_field_that_is_sprayed_in_part_stay(desk):
    text = "field,zones,end,product\nThree Dates,1 2,2026-07-08,Invented Fungicide A\n"
    (desk.folder.parent / "done.csv").write_text(text, encoding="utf-8")
    for path in ("zones/merge", "zones/split", "zones/number"):
        answer = desk.post(path, asked(desk, zones=[1, 2], zone=6, line=middle(desk, 6), most=2))
        assert answer.status_code == 422, path
        assert "sprayed" in answer.json()["lines"][0]


def test_decisions_for_zones_that_will_be_others_go_and_the_log_says_so(desk):
    plan = desk.plan()
    one = {"zone": 3, "action": "spray", "reason": "more lesions there", "rate_gal_ac": None}
    thing = {"schema_version": 1, "kind": "sprayworth decisions", "zones_id": plan["zones_id"]}
    thing |= {"field": plan["field"], "run_id": plan["run_id"], "decisions": [one]}
    assert desk.post("decisions", thing).status_code == 200
    assert json.loads((desk.folder / "decisions.json").read_text())["decisions"] == [one]
    assert desk.post("zones/merge", asked(desk, zones=[1, 2])).status_code == 200
    assert not (desk.folder / "decisions.json").exists()
    assert [(line["what"], line["zone"]) for line in desk.log()][1:] == [
        ("zones merged", None),
        ("decision taken back", 3),
    ]
    ran(desk)


def test_the_log_is_added_to_and_never_changed(desk):
    path = desk.folder / "overrides.jsonl"
    path.write_text('{"of": "somebody else"}\n{"a line that a crash cut', encoding="utf-8")
    before = path.read_bytes()
    assert desk.post("zones/number", {"most": 2} | WHY).status_code == 200
    now = path.read_bytes()
    assert now.startswith(before + b"\n")
    assert json.loads(now.splitlines()[-1])["to"] == 2


def test_a_full_disk_that_takes_a_part_of_a_line_leaves_none_of_it(desk, monkeypatch):
    path = desk.folder / "overrides.jsonl"
    assert desk.post("zones/number", {"most": 2} | WHY).status_code == 200
    before, settings = path.read_bytes(), (desk.folder / "field.toml").read_bytes()
    real = os.write
    monkeypatch.setattr(log.os, "write", lambda handle, text: real(handle, text[:7]))
    answer = desk.post("zones/number", {"most": 1} | WHY)
    monkeypatch.undo()
    assert answer.status_code == 503
    assert "no space left" in answer.json()["lines"][0]
    assert path.read_bytes() == before
    assert (desk.folder / "field.toml").read_bytes() == settings


@pytest.mark.parametrize("reason", ["we drive \u202eit so", "bell \x07"])
def test_a_reason_with_letters_that_do_not_show_is_refused(desk, reason):
    answer = desk.post("zones/number", {"most": 2, "reason": reason})
    assert answer.status_code == 422
    assert "do not show" in answer.json()["lines"][0]


def test_where_the_log_cannot_be_written_nothing_is_changed(desk):
    (desk.folder / "overrides.jsonl").mkdir()
    before = (desk.folder / "field.toml").read_bytes()
    answer = desk.post("zones/number", {"most": 2} | WHY)
    assert answer.status_code == 503
    assert (desk.folder / "field.toml").read_bytes() == before
