"""`sprayworth done` through its entry point: recorded once, from the plan, whole or not at all."""

import csv
import json
import re
import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_sprayed import LATER, PLANNED, PRODUCT, sprayed_farm

from cli.main import main
from zoning.inputs import done, store
from zoning.plan import Plan

Farm = tuple[Path, Plan]


@pytest.fixture
def farm(tmp_path: Path) -> Farm:
    made = sprayed_farm(tmp_path)
    assert made[1].passes, "the demo farm must have something to record"
    assert len(made[1].passes[0].zones) < len(made[1].zones), "its first pass must leave zones out"
    return made


def call(capsys, *arguments):
    with pytest.raises(SystemExit) as end:
        main([str(one) for one in arguments])
    said = capsys.readouterr()
    return end.value.code, said.out, said.err


def record(capsys, folder: Path, *more: object, today: date = LATER):
    code, out, err = call(capsys, "done", folder, "--field", "three_dates", *more, "--today", today, "--json")
    return code, json.loads(out) if out else None, err


def rows(folder: Path) -> list[dict[str, str]]:
    with (folder / "done.csv").open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


def listed(capsys, folder: Path, today: date = LATER):
    code, out, _ = call(capsys, "done", folder, "--today", today, "--json")
    assert code == 0
    return json.loads(out)


def test_a_pass_is_listed_until_it_is_recorded(farm: Farm, capsys) -> None:
    folder, plan = farm
    first = plan.passes[0]
    before = listed(capsys, folder)["not_recorded"]
    assert [(one["pass"], one["zones"]) for one in before] == [(p.number, list(p.zones)) for p in plan.passes]
    assert before[0]["is_due"] == (first.day <= LATER)
    assert not any(one["is_due"] for one in listed(capsys, folder, PLANNED)["not_recorded"])
    code, _, _ = record(capsys, folder, "--pass", first.number, "--end", first.day)
    assert code == 0
    after = listed(capsys, folder)
    assert [one["pass"] for one in after["not_recorded"]] == [p.number for p in plan.passes[1:]]
    assert [(one["pass"], one["zones"]) for one in after["recorded"]] == [(first.number, list(first.zones))]


@pytest.mark.parametrize("times", [1.1, 1.9])
def test_the_ground_of_a_pass_is_that_of_its_map_as_on_load_sheet_and_record(farm: Farm, capsys, times):
    # check strips: dry ground in sprayed zones, treated ground in skipped ones, even 0.9 of them
    folder, plan = farm
    one = plan.passes[0]
    treated_ac = round(times * one.area_ac, 2)
    written = folder / "three_dates" / "out" / "plan.json"
    whole = json.loads(written.read_text(encoding="utf-8"))
    whole["passes"][0]["treated_ac"] = treated_ac
    written.write_text(json.dumps(whole), encoding="utf-8")
    assert listed(capsys, folder)["not_recorded"][0]["area_ac"] == treated_ac
    _, out, _ = call(capsys, "done", folder, "--record")
    assert re.search(rf"area treated +{treated_ac:.1f} ac", out)
    hours = ("--start", f"{one.day} 07:30", "--end", f"{one.day} 11:10")
    code, _, said = record(capsys, folder, "--pass", one.number, *hours)
    assert code == 0, said
    assert rows(folder)[0]["area"] == f"{treated_ac:.2f} ac"


def test_a_field_whose_plan_cannot_be_read_is_named_beside_the_records(farm: Farm, capsys) -> None:
    folder, _ = farm
    shutil.copytree(folder / "three_dates", folder / "mended_by_hand")
    (folder / "mended_by_hand" / "out" / "plan.json").write_text("[]")
    code, out, err = call(capsys, "done", folder, "--record")
    assert (code, out.count("APPLICATION RECORD")) == (3, len(farm[1].passes))
    assert err.startswith("error: mended_by_hand: ")
    assert "it is not what a run writes. Run the field again." in err
    code, _, err = call(capsys, "done", folder, "--record", "--field", "three_dates")
    assert (code, err) == (0, "")


def test_what_nobody_typed_is_the_plan_s_and_the_record_says_so(farm: Farm, capsys) -> None:
    folder, plan = farm
    one = plan.passes[0]
    _, said, _ = record(
        capsys, folder, "--pass", one.number, "--start", f"{one.day} 07:30", "--end", f"{one.day} 11:10",
        "--wind", "6 mph SW", "--temperature", "75 F", "--applicator", "A. Sprayer",
    )  # fmt: skip
    (row,) = rows(folder)
    assert row["field"] == "Three Dates"
    assert row["zones"] == " ".join(map(str, one.zones))
    assert (row["start"], row["end"], row["half"]) == (f"{one.day} 07:30", f"{one.day} 11:10", "AM")
    assert (row["wind"], row["temperature"], row["applicator"]) == ("6 mph SW", "75 F", "A. Sprayer")
    assert (row["product"], row["sprayer"]) == (PRODUCT, one.sprayer)
    assert row["rate"] == f"{one.rate_gal_ac:g} gal/ac"
    areas = {zone.zone: zone.area_ac for zone in plan.zones}
    assert float(row["area"].removesuffix(" ac")) == pytest.approx(
        sum(areas[z] for z in one.zones), abs=0.005
    )
    assert row["loads"] == str(one.loads)
    taken = ["zones", "rate", "area", "loads", "sprayer", "product"]
    assert said["from_plan"] == taken
    assert row["source"] == f"plan {plan.run_id[:8]}: {' '.join(taken)}"
    assert said["files_written"] == ["three_dates/applied/zones.gpkg", "done.csv"]


def test_a_part_of_a_pass_leaves_the_rest_open(farm: Farm, capsys) -> None:
    folder, plan = farm
    one = plan.passes[0]
    some, others = one.zones[:1], one.zones[1:]
    _, said, _ = record(capsys, folder, "--pass", one.number, "--end", one.day, "--zones", some[0])
    assert said["recorded"]["zones"] == list(some)
    assert said["recorded"]["loads"] is None, "the plan's loads are those of all of its zones"
    left = listed(capsys, folder)["not_recorded"][0]
    assert (left["pass"], left["zones"]) == (one.number, list(others))
    again = ("--pass", one.number, "--end", one.day)
    code, _, err = record(capsys, folder, *again, "--zones", ",".join(map(str, one.zones)))
    assert (code, "recorded already" in err) == (2, True)
    code, said, _ = record(capsys, folder, *again)
    assert (code, said["recorded"]["zones"]) == (0, list(others))
    code, _, err = record(capsys, folder, *again)
    assert code == 2
    assert f"pass {one.number} is recorded already" in err
    assert len(rows(folder)) == 2


def test_a_new_plan_s_pass_of_the_same_number_is_another_pass(farm: Farm, capsys) -> None:
    folder, plan = farm
    one = plan.passes[0]
    record(capsys, folder, "--pass", one.number, "--end", one.day)
    path = folder / "three_dates" / "out" / "plan.json"
    whole = json.loads(path.read_text())
    # a zone that was sprayed, which the new plan sprays once more, and one that was not
    rest = sorted([one.zones[0], next(zone.zone for zone in plan.zones if zone.zone not in one.zones)])
    whole |= {"run_id": "f" * 16, "today": LATER.isoformat()}
    whole["passes"] = [whole["passes"][0] | {"zones": rest, "day": LATER.isoformat()}]
    path.write_text(json.dumps(whole))
    assert [tuple(p["zones"]) for p in listed(capsys, folder)["not_recorded"]] == [tuple(rest)]
    code, said, _ = record(capsys, folder, "--pass", one.number, "--end", LATER)
    assert (code, said["recorded"]["zones"]) == (0, rest)


def test_every_fault_is_a_line_and_nothing_is_written(farm: Farm, capsys) -> None:
    folder, plan = farm
    code, out, err = record(
        capsys, folder, "--pass", plan.passes[0].number, "--end", LATER + timedelta(days=1),
        "--zones", "1,99", "--rate", "-5 gal/ac", "--loads", "0", "--area", "9000 ac", "--wind", "-3 mph",
        "--temperature", "300 F",
    )  # fmt: skip
    assert (code, out) == (2, None)
    lines = err.strip().splitlines()
    assert all(line.startswith("error: --") for line in lines)
    named = [line.split(":")[1].strip() for line in lines]
    assert sorted(named) == sorted(
        ["--end", "--zones", "--rate", "--loads", "--area", "--wind", "--temperature"]
    )
    assert not (folder / "done.csv").exists()
    assert not (folder / "three_dates" / "applied").exists()


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--pass", "1"], r"--end: when it was over is not given"),
        (["--pass", "1", "--start", "2026-07-20 08:00"], r"--end: when it was over is not given"),
        (["--pass", "77", "--end", "2026-07-20"], r"has no pass 77\. The plan of 2026-07-08 has pass"),
        (["--pass", "1", "--end", "7/20/2026"], r"--end: end 7/20/2026 is not a date"),
        (["--product", "X", "--end", "2026-06-08"], r"2026-06-08 is not after planting \(2026-06-08\)"),
        (["--pass", "1", "--start", "2026-07-20 12:00", "--end", "2026-07-20 08:00"], r"before it starts"),
        (["--pass", "1", "--start", "2026-07-01 12:00", "--end", "2026-07-20 08:00"], r"more than 7 days"),
        (["--end", "2026-07-20"], r"--product: the product is not given"),
        (["--field", "nowhere", "--pass", "1", "--end", "2026-07-20"], r"--field: there is no field nowhere"),
        (["--field", "wet_corner", "--pass", "1", "--end", "2026-07-20"], r"--pass: Wet Corner has no plan"),
        (["--field", "wet_corner", "--product", "X", "--zones", "1", "--end", "2026-07-20"], "no zones yet"),
        (["--pass", "1", "--end", "2026-07-20", "--as-applied", "no.shp"], r"no\.shp: there is no such file"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_in_a_line(farm: Farm, capsys, options: list[str], told: str) -> None:
    folder, _ = farm
    code, out, err = record(capsys, folder, *options)
    assert (code, out) == (2, None)
    assert len(err.strip().splitlines()) == 1
    assert re.search(told, err)
    assert not (folder / "done.csv").exists()


def test_two_fields_and_none_named(farm: Farm, capsys) -> None:
    code, _, err = call(capsys, "done", farm[0], "--pass", "1", "--end", "2026-07-20", "--today", LATER)
    assert (code, "--field: no field is named. Give one of three_dates, wet_corner." in err) == (2, True)


def test_another_product_is_recorded_and_named_as_such(farm: Farm, capsys) -> None:
    folder, _ = farm
    options = ("--product", "Herbicide B", "--end", "2026-06-20 10:00", "--sprayer", "borrowed rig")
    code, said, _ = record(capsys, folder, *options)
    assert code == 0
    assert [note["code"] for note in said["notes"]] == ["done.other_product", "done.other_sprayer"]
    assert said["recorded"]["zones"] == []
    assert said["files_written"] == ["done.csv"], "no zones are kept for a pass over the whole field"
    code, _, err = record(capsys, folder, *options)
    assert (code, "is recorded there already" in err) == (2, True)


def test_a_bare_number_is_written_with_the_farm_s_unit(farm: Farm, capsys) -> None:
    folder, _ = farm
    options = ("--rate", "15", "--area", "90.5", "--wind", "6", "--temperature", "75")
    record(capsys, folder, "--product", "X", "--end", "2026-07-20 12:00", *options)
    (row,) = rows(folder)
    assert (row["rate"], row["area"]) == ("15 gal/ac", "90.5 ac")
    assert (row["wind"], row["temperature"]) == ("6 mph", "75 F")
    assert row["half"] == "AM", "what is over at noon was of the morning"


def test_times_with_a_zone_stand_on_the_farm_s_clock(farm: Farm, capsys) -> None:
    """In July the clock of Chicago is five hours behind UTC."""
    folder, _ = farm
    record(
        capsys, folder, "--product", "X", "--start", "2026-07-20T12:30Z", "--end", "2026-07-20T22:10+02:00"
    )
    (row,) = rows(folder)
    assert (row["start"], row["end"]) == ("2026-07-20 07:30", "2026-07-20 15:10")


def test_a_pass_that_ends_tomorrow_by_the_world_s_clock_is_of_today(farm: Farm, capsys) -> None:
    folder, _ = farm
    code, said, _ = record(capsys, folder, "--product", "X", "--end", "2026-07-31T03:00Z", today=LATER)
    assert (code, said["recorded"]["day"]) == (0, "2026-07-30")


def test_rows_and_columns_that_somebody_wrote_stay(farm: Farm, capsys) -> None:
    folder, _ = farm
    old = b"# my own list\r\nfield;end;product;crew\r\nWet Corner;2026-06-20;Herbicide;Ann\r\n"
    (folder / "done.csv").write_bytes(old)
    code, _, _ = record(capsys, folder, "--product", "=X+1", "--end", "2026-07-20", "--rate", "15 gal/ac")
    assert code == 0
    new = (folder / "done.csv").read_bytes()
    lines = new.decode().split("\r\n")
    assert lines[0] == "# my own list"
    assert lines[1].startswith("field;end;product;crew;")
    assert lines[2].startswith("Wet Corner;2026-06-20;Herbicide;Ann")
    assert "'=X+1" in lines[3], "no spreadsheet reckons with it"
    assert (folder / "done.csv.bak").read_bytes() == old
    assert [one.product for one in done.read(folder / "done.csv")] == ["Herbicide", "=X+1"]


@pytest.mark.parametrize("refused_at", [1, 2, 3, 4])
def test_a_disk_that_refuses_leaves_nothing_half_written(
    farm: Farm, capsys, monkeypatch: pytest.MonkeyPatch, refused_at: int
) -> None:
    folder, plan = farm
    record(capsys, folder, "--product", "X", "--end", "2026-06-20")
    before = (folder / "done.csv").read_bytes()
    real, calls = store.os.fsync, []

    def full(handle: int) -> None:
        calls.append(handle)
        if len(calls) == refused_at:
            raise OSError(28, "No space left on device")
        real(handle)

    monkeypatch.setattr("zoning.inputs.store.os.fsync", full)
    code, out, err = record(capsys, folder, "--pass", plan.passes[0].number, "--end", plan.passes[0].day)
    assert (code, out) == (4, None)
    assert "cannot be written" in err
    assert (folder / "done.csv").read_bytes() == before
    left = [one.name for one in folder.rglob("*") if ".bak" not in one.name and one.name.startswith(".")]
    assert left == []
    assert not (folder / "three_dates" / "applied").exists()


def test_a_broken_plan_is_named_and_stops_no_other_field(farm: Farm, capsys) -> None:
    folder, _ = farm
    (folder / "three_dates" / "out" / "plan.json").write_text('{"passes": 3}')
    code, out, err = call(capsys, "done", folder, "--today", LATER)
    assert code == 3
    assert "three_dates/out/plan.json: it is not what a run writes. Run the field again." in err
    assert "no pass is recorded" in out


def test_check_reads_what_was_sprayed(farm: Farm, capsys) -> None:
    folder, _ = farm
    record(capsys, folder, "--product", "X", "--end", "2026-07-01")
    _, out, _ = call(capsys, "check", folder / "three_dates", "--today", PLANNED)
    assert "done.csv: passes over this crop up to 2026-07-08: 1" in out
    table = folder / "done.csv"
    table.write_text(table.read_text().replace("2026-07-01", "7/1/2026"))
    code, _, err = call(capsys, "check", folder / "three_dates", "--today", PLANNED)
    assert (code, "done.csv:2: end 7/1/2026 is not a date" in err) == (3, True)


def test_a_field_by_itself_is_a_farm_of_one(farm: Farm, capsys) -> None:
    folder, plan = farm
    one = plan.passes[0]
    options = ("done", folder / "three_dates", "--pass", one.number, "--end", one.day, "--today", LATER)
    code, out, _ = call(capsys, *options)
    assert code == 0
    assert f"zone{'' if len(one.zones) == 1 else 's'} {', '.join(map(str, one.zones))}" in out
    assert rows(folder)[0]["pass"] == str(one.number)


def test_a_record_to_fill_in_for_each_pass_or_for_one(farm: Farm, capsys) -> None:
    folder, plan = farm
    _, out, _ = call(capsys, "done", folder, "--record", "--field", "three_dates", "--today", LATER)
    assert out.count("APPLICATION RECORD") == len(plan.passes)
    assert PRODUCT in out
    _, out, _ = call(capsys, "done", folder, "--record", "--field", "wet_corner", "--today", LATER)
    assert out.count("APPLICATION RECORD: Heron Slough, Wet Corner\n") == 1
    _, out, _ = call(capsys, "done", folder, "--record", "--field", "three_dates", "--pass", "1", "--json")
    (one,) = json.loads(out)["records"]
    assert one["title"] == "APPLICATION RECORD: Heron Slough, Three Dates, pass 1"
    assert not (folder / "done.csv").exists()


ZONES = st.sets(st.integers(1, 6), min_size=1)
DAYS = st.dates(date(2026, 6, 20), LATER)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(ZONES, DAYS, st.integers(0, 1439), st.floats(1, 90), st.floats(0.1, 40))
def test_what_is_recorded_is_read_back(
    tmp_path_factory, capsys, zones: set[int], day: date, minute: int, rate: float, loads: float
) -> None:
    folder, plan = sprayed_farm(tmp_path_factory.mktemp("farm"))
    zones &= {zone.zone for zone in plan.zones}
    end = f"{day} {minute // 60:02d}:{minute % 60:02d}"
    code, _, err = record(
        capsys, folder, "--product", PRODUCT, "--zones", " ".join(map(str, zones)), "--end", end,
        "--rate", f"{rate:.3f} gal/ac", "--loads", f"{loads:.2f}",
    )  # fmt: skip
    assert (code, err) == (0, "")
    (one,) = done.read(folder / "done.csv", "America/Chicago")
    whole = zones == {zone.zone for zone in plan.zones}
    assert one.zone_numbers == (frozenset() if whole else frozenset(zones))
    assert f"{one.end:%Y-%m-%d %H:%M}" == end
    assert one.rate_gal_ac == pytest.approx(float(f"{rate:.3f}"))
    assert one.loads == pytest.approx(float(f"{loads:.2f}"))
