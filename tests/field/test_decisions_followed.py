"""What the user decided for zones, through a whole run: every output follows, and other zones are refused."""

import hashlib
import json
from datetime import date
from pathlib import Path

import pytest
import shapefile
from made_sprayed import LATER, PRODUCT, sprayed_farm

from cli.main import main
from zoning import farm as whole_farm
from zoning import field, sprayed
from zoning.errors import CONTENT, InputError
from zoning.plan import Plan

TODAY = date(2026, 7, 8)
REASON = '<b>the "neighbour"</b> of zone {zone}, for 5 % less; ünder = danger'


def decided(plan: Plan | dict, folder: Path, *decisions: tuple) -> Path:
    """Write decisions of (zone, action, rate) as the page saves them."""
    zones_id = plan["zones_id"] if isinstance(plan, dict) else plan.zones_id
    keys = ("zone", "action", "rate_gal_ac")
    rows = [
        {**dict(zip(keys, one, strict=True)), "reason": REASON, "decided_on": "2026-07-09"}
        for one in decisions
    ]
    path = folder / "decisions.json"
    whole = {"schema_version": 1, "kind": "sprayworth decisions", "zones_id": zones_id, "run_id": "x"}
    path.write_text(json.dumps({**whole, "field": "Three Dates", "decisions": rows}), encoding="utf-8")
    return path


@pytest.fixture
def demo(tmp_path):
    folder, plan = sprayed_farm(tmp_path)
    return folder / "three_dates", plan


def run(path: Path, **keys) -> Plan:
    return field.run(path, today=TODAY, measured_by=lambda *_, **__: lambda: None, **keys).plan


def zone(plan: Plan, number: int):
    return next(one for one in plan.zones if one.zone == number)


def test_every_output_follows(demo, capsys):
    path, before = demo
    assert [one.action for one in before.zones] == ["spray", "spray", "skip", "spray", "skip", "spray"]
    file = decided(before, path, (3, "spray", 20.0), (4, "skip", None), (5, "spray", 10.0))
    with pytest.raises(SystemExit) as end:
        main(["run", str(path), "--today", str(TODAY), "--quiet"])
    assert end.value.code == 0
    told = " ".join(capsys.readouterr().out.split())
    out = path / "out"
    plan = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    rows = {one["zone"]: one for one in plan["zones"]}
    assert [(n, one["action"], one["rate_gal_ac"]) for n, one in rows.items() if one["override"]] == [
        (3, "spray", 20.0),
        (4, "skip", None),
        (5, "spray", 10.0),
    ]
    assert {n: one["override"]["computed"] for n, one in rows.items() if one["override"]} == {
        3: "skip",
        4: "spray",
        5: "skip",
    }
    assert rows[3]["override"]["reason"] == REASON
    assert rows[3]["reason"]["text"].startswith(f'you: spray at 20 gal/ac, because "{REASON}"; by itself: ')
    # one tank, one volume: zones 3 and 5 are in two passes
    rates = {zone: one["rate_gal_ac"] for one in plan["passes"] for zone in one["zones"]}
    assert (rates[3], rates[5]) == (20.0, 10.0)
    assert set(rates) == {1, 2, 3, 5, 6}
    of_3 = next(one["pass"] for one in plan["passes"] if 3 in one["zones"])
    of_5 = next(one["pass"] for one in plan["passes"] if 5 in one["zones"])
    # a zone's money is its own, also where it loses; the field adds up what its passes return
    assert rows[3]["net_usd_ac"]["mean"] < 0
    shape = shapefile.Reader(str(out / "prescription.shp"), encoding="utf-8")
    in_map = {(one["ZONE"], one["KIND"]): (one["ACTION"], one["RATE_GPA"]) for one in shape.records()}
    assert in_map[3, "ZONE"] == ("SPRAY", 20)
    assert in_map[4, "ZONE"] == ("SKIP", 0)
    for number, of_zone in ((of_3, 3), (of_5, 5)):
        for name in ("README.txt", "load_sheet.txt"):
            page = " ".join((out / "passes" / f"P{number}" / name).read_text(encoding="utf-8").split())
            assert f"decided by the grower, not by the rule: spray zone {of_zone}, skip zone 4" in page
    in_pass = {}
    for number in (of_3, of_5):
        [path_of_map] = (out / "passes" / f"P{number}").glob("*.shp")
        in_pass[number] = {one[0] for one in shapefile.Reader(str(path_of_map)).records()}
    assert in_pass == {of_3: {0, 20}, of_5: {0, 10}}
    assert "zones 3, 4, 5 as you decided" in told
    assert "spray!" in told
    made_of = json.loads((out / "run.json").read_text(encoding="utf-8"))["inputs"]
    assert made_of["decisions.json"] == hashlib.sha256(file.read_bytes()).hexdigest()
    assert plan["run_id"] != before.run_id
    assert plan["zones_id"] == before.zones_id


def test_by_hand_the_field_returns_what_its_zones_return(demo):
    path, before = demo
    decided(before, path, (3, "spray", None), *((number, "skip", None) for number in (1, 2, 4, 5, 6)))
    plan = run(path)
    only = zone(plan, 3)
    # one zone in one pass of one day: its own net on its acres, less coming to the field
    assert plan.passes[0].zones == (3,)
    assert plan.totals.net_usd == pytest.approx(
        only.money.net_mean_usd_ac * only.area_ac - plan.passes[0].visit_costs_usd, abs=0.01
    )
    assert plan.totals.net_usd < 0


def test_a_new_price_keeps_decisions_and_other_zones_do_not(demo):
    path, before = demo
    decided(before, path, (3, "spray", None))
    settings = path.parent / "farm.toml"
    text = settings.read_text(encoding="utf-8")
    assert 'grain_price = "10.40 USD/bu"' in text
    settings.write_text(text.replace('"10.40 USD/bu"', '"9.90 USD/bu"'), encoding="utf-8")
    assert zone(run(path), 3).action == "spray"
    settings.write_text(text, encoding="utf-8")
    of_field = path / "field.toml"
    typed = of_field.read_text(encoding="utf-8")
    of_field.write_text(typed.replace("max_zones_per_block = 3", "max_zones_per_block = 1"), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        run(path)
    assert caught.value.code == CONTENT
    assert f"these decisions were made for other zones ({before.zones_id} of Three Dates" in str(caught.value)
    assert "Open the new page and decide again" in str(caught.value)


def test_a_named_file_stands_for_the_one_in_the_folder(demo, tmp_path):
    path, before = demo
    other = tmp_path / "saved"
    other.mkdir()
    named = decided(before, other, (5, "spray", None))
    decided(before, path, (3, "spray", None))
    plan = run(path, decisions=named)
    assert zone(plan, 5).override is not None
    assert zone(plan, 3).override is None
    assert zone(plan, 3).action == "skip"


def test_a_zone_and_a_volume_that_are_not_there_are_told_together(demo):
    path, before = demo
    decided(before, path, (9, "skip", None), (3, "spray", 17.0))
    with pytest.raises(InputError) as caught:
        run(path)
    first, second = caught.value.faults
    assert str(first) == "decisions.json: zone 9: there is no zone 9. The field has zones 1 to 6."
    assert "zone 3: 17 gal/ac (159 L/ha) is not a volume that label and sprayer allow here" in str(second)
    assert "Take one of 10 gal/ac (94 L/ha), 15 gal/ac" in str(second)


def test_what_the_label_closes_stays_closed_and_is_said(demo):
    path, before = demo
    typed = sprayed.Typed(field="three_dates", zones="1", end="2026-07-07", product=PRODUCT)
    sprayed.record(path.parent, typed, today=TODAY, clock=LATER)
    decided(before, path, (1, "spray", None), (3, "spray", None))
    plan = run(path)
    first = zone(plan, 1)
    assert first.action == "skip"
    assert first.override.refused is not None
    assert first.reason.code == first.override.refused.code == "passes.treated"
    assert zone(plan, 3).action == "spray"
    refused = [one.text for one in plan.notes if one.code == "decisions.not_followed"]
    assert len(refused) == 1
    assert refused[0].startswith("zone 1: ")


def test_decisions_hold_after_a_part_was_sprayed(demo):
    """The same ground with the same numbers, but written down and read back: the zones have another id."""
    path, before = demo
    typed = sprayed.Typed(field="three_dates", zones="1 4", end="2026-07-07", product=PRODUCT)
    sprayed.record(path.parent, typed, today=TODAY, clock=LATER)
    decided(before, path, (3, "spray", None))
    plan = run(path)
    assert plan.zones_id != before.zones_id
    assert zone(plan, 3).action == "spray"
    assert "decisions.kept_numbers" in [one.code for one in plan.notes]
    # and those made on the page of the kept zones
    decided(plan, path, (3, "spray", None))
    assert zone(run(path), 3).action == "spray"
    # other ones are refused as ever
    decided({"zones_id": "0123456789abcdef"}, path, (3, "spray", None))
    with pytest.raises(InputError, match="made for other zones"):
        run(path)


def test_a_rule_of_chances_and_new_tracks_keep_no_decided_zone_out(demo):
    path, _ = demo
    settings = path.parent / "farm.toml"
    text = settings.read_text(encoding="utf-8")
    text = text.replace('rule = "expected"', 'rule = "chance"').replace(
        "tracks_exist = true", "tracks_exist = false"
    )
    settings.write_text(text, encoding="utf-8")
    plan = run(path)
    # tracks that are to be made are dearer than what the zones return: no pass, and this one never pays
    assert {one.action for one in plan.zones} == {"skip"}
    worst = min(plan.zones, key=lambda one: one.money.net_mean_usd_ac)
    assert worst.money.chance_pays < 0.5
    decided(plan, path, (worst.zone, "spray", None))
    now = run(path)
    same = zone(now, worst.zone)
    assert same.action == "spray"
    assert same.override.computed == "skip"
    assert same.reason.code == "decisions.spray"
    assert now.totals.net_usd < 0


def without(path: Path, *tables: str) -> None:
    """Take tables out of the farm's settings, each from its heading to the next one."""
    settings = path.parent / "farm.toml"
    kept, is_out = [], False
    for line in settings.read_text(encoding="utf-8").splitlines():
        if line.startswith("["):
            is_out = line.split("]")[0].strip("[") in tables
        if not is_out:
            kept.append(line)
    settings.write_text("\n".join(kept), encoding="utf-8")


def test_without_prices_a_decision_is_told_and_not_followed(demo):
    path, before = demo
    without(path, "money", "product", "carrier", "sprayer", "response")
    plan = run(path)
    assert plan.level == 1
    decided(plan, path, (3, "spray", None))
    plan = run(path)
    assert zone(plan, 3).override.refused.code == "decisions.no_money"
    assert zone(plan, 3).override.computed is None
    assert zone(plan, 3).action is None
    assert before.level == 3


def test_without_a_sprayer_zones_are_sprayed_and_skipped_but_at_no_rate(demo):
    path, _ = demo
    without(path, "product", "carrier", "sprayer")
    plan = run(path)
    assert plan.level == 2
    decided(plan, path, (3, "spray", None), (1, "skip", None))
    now = run(path)
    assert [zone(now, number).action for number in (1, 3)] == ["skip", "spray"]
    assert now.passes == ()
    decided(plan, path, (3, "spray", 15.0))
    with pytest.raises(InputError, match="there is no sprayer and label to spray it"):
        run(path)


def test_a_bad_file_fails_its_own_field_only(tmp_path):
    folder, _ = sprayed_farm(tmp_path)
    (folder / "three_dates" / "decisions.json").write_bytes(b"\x89PNG\r\n\x1a\n\x00\xff")
    made = whole_farm.run(folder, today=TODAY)
    assert [name for name, _ in made.failures] == ["three_dates"]
    assert len(made.plans) == len(made.outcomes) - 1 > 0


@pytest.mark.parametrize(("content", "code"), [(None, 2), (b"\xff\xd8\xff", 3), (b"{}", 3)])
def test_the_command_ends_with_the_code_of_the_fault(demo, tmp_path, capsys, content, code):
    file = tmp_path / "saved.json"
    if content is not None:
        file.write_bytes(content)
    with pytest.raises(SystemExit) as end:
        main(["run", str(demo[0]), "--decisions", str(file)])
    assert end.value.code == code
    assert "saved.json" in capsys.readouterr().err


def test_check_tells_of_decisions(demo, capsys):
    path, before = demo
    decided(before, path, (3, "spray", None))
    with pytest.raises(SystemExit) as end:
        main(["check", str(path)])
    assert end.value.code == 0
    assert "decisions.json: decisions for 1 zone;" in capsys.readouterr().out
    (path / "decisions.json").write_text("{", encoding="utf-8")
    with pytest.raises(SystemExit) as end:
        main(["check", str(path)])
    assert end.value.code == CONTENT
