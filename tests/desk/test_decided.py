"""Decisions saved at the desk: checked as a run checks them, logged by zone, followed by the next run."""

import json

import pytest
from made_desks import WHO


def whole(desk, *made, **more):
    plan = desk.plan()
    about = {name: plan[name] for name in ("zones_id", "run_id", "field")}
    return {"schema_version": 1, "kind": "sprayworth decisions", **about, "decisions": list(made)} | more


def one(zone, action="spray", reason="lesions seen from the road", rate=None):
    return {"zone": zone, "action": action, "rate_gal_ac": rate, "reason": reason, "decided_on": "2026-07-09"}


def saved(desk):
    path = desk.folder / "decisions.json"
    return json.loads(path.read_text(encoding="utf-8")) if path.exists() else None


def test_what_was_decided_is_saved_logged_and_followed(desk):
    assert next(zone for zone in desk.plan()["zones"] if zone["zone"] == 3)["action"] == "skip"
    asked = whole(desk, one(3))
    assert desk.post("decisions", asked).status_code == 200
    assert saved(desk) == asked
    (line,) = desk.log()
    assert (line["what"], line["who"], line["zone"], line["from"]) == ("decision", WHO, 3, None)
    assert line["to"] == {"action": "spray", "rate_gal_ac": None}
    assert line["reason"] == "lesions seen from the road"
    told = desk.run()
    assert told["faults"] == []
    assert told["changed"]
    assert next(zone for zone in desk.plan()["zones"] if zone["zone"] == 3)["action"] == "spray"


def test_only_what_changes_is_logged(desk):
    desk.post("decisions", whole(desk, one(3), one(5)))
    desk.post("decisions", whole(desk, one(3), one(5)))
    assert [(line["zone"], line["what"]) for line in desk.log()] == [(3, "decision"), (5, "decision")]
    desk.post("decisions", whole(desk, one(5, "skip", "too wet")))
    assert [(line["zone"], line["what"], line["to"]) for line in desk.log()[2:]] == [
        (3, "decision taken back", None),
        (5, "decision", {"action": "skip", "rate_gal_ac": None}),
    ]


def test_with_none_left_the_file_goes(desk):
    desk.post("decisions", whole(desk, one(3)))
    assert desk.post("decisions", whole(desk)).status_code == 200
    assert saved(desk) is None


@pytest.mark.parametrize(
    ("made", "more", "words"),
    [
        ([one(99)], {}, "no zone 99"),
        ([one(3, reason="")], {}, "reason"),
        ([one(3, reason="x" * 301)], {}, "301"),
        ([one(3, "burn")], {}, "burn"),
        ([one(3), one(3)], {}, "twice"),
        ([one("3")], {}, "zone"),
        ([one(3)], {"zones_id": "0000"}, "other zones"),
        ([one(3)], {"kind": "a poem"}, "another kind"),
        ([one(3)], {"schema_version": 2}, "newer"),
        ([one(3)], {"decisions": "all"}, "no list"),
    ],
)
def test_what_a_run_would_refuse_is_refused(desk, made, more, words):
    answer = desk.post("decisions", whole(desk, *made, **more))
    assert answer.status_code == 422
    assert words in " ".join(answer.json()["lines"])
    assert saved(desk) is None
    assert desk.log() == []


def test_decisions_that_are_broken_on_the_disk_are_replaced(desk):
    (desk.folder / "decisions.json").write_text("{", encoding="utf-8")
    assert desk.post("decisions", whole(desk, one(3))).status_code == 200
    assert saved(desk)["decisions"] == [one(3)]


def test_without_a_plan_nothing_is_decided(desk):
    asked = whole(desk, one(3))
    (desk.folder / "out" / "plan.json").unlink()
    answer = desk.post("decisions", asked)
    assert answer.status_code == 422
    assert "no plan" in answer.json()["lines"][0]
