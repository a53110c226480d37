"""Twenty field folders made by seed, and broken ones: each ends with a valid plan or with clear lines."""

import json
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
import shapefile
from made_fields import BREAKS, Break, Truth, make_field
from shapely import unary_union
from shapely.geometry import shape

from zoning import field
from zoning.errors import InputError
from zoning.plan import Plan

BROKEN_SEED = 74  # level 3, a year's weather, two images, polygons: it runs until something is broken


def check(plan: Plan, truth: Truth) -> None:
    """What must hold of any plan."""
    if any(zone.window is None for zone in plan.zones):  # no weather, and the calendar does not reach so far
        assert truth.outcome == "either"
        assert "stage.no_date" in {note.code for note in plan.notes}
        truth = replace(truth, level=1)
    assert plan.level == truth.level
    assert plan.today == truth.today
    assert plan.units == ("metric" if truth.metric else "us")
    assert plan.area_ac == pytest.approx(truth.area_ac, rel=1e-4)
    check_ground(plan, truth)
    check_windows(plan, truth)
    check_money(plan, truth)
    check_passes(plan, truth)


def check_ground(plan: Plan, truth: Truth) -> None:
    """Zones cover the field: no gap, no overlap, no more and no less ground than the boundary."""
    outlines = [zone.outline for zone in plan.zones]
    assert all(outline.is_valid and not outline.is_empty for outline in outlines)
    assert [zone.zone for zone in plan.zones] == list(range(1, len(outlines) + 1))
    assert sum(zone.area_ac for zone in plan.zones) == pytest.approx(truth.area_ac, rel=1e-4)
    whole, drawn = unary_union(outlines), plan.boundary
    assert whole.symmetric_difference(drawn).area < 1e-4 * drawn.area
    assert sum(outline.area for outline in outlines) == pytest.approx(whole.area, rel=1e-6)


def check_windows(plan: Plan, truth: Truth) -> None:
    """Blocks are planted when they were; stages follow each other; a later block is not earlier at R3."""
    found = {zone.planted for zone in plan.zones}
    assert set(truth.planted) <= found <= set(truth.days)
    dated = [zone for zone in plan.zones if zone.window is not None]
    for zone in dated:
        window = zone.window
        assert zone.planted < window.r1 < window.r3_likely < window.closes
        assert window.r3_early <= window.r3_likely <= window.r3_late
        assert zone.maturity_group == truth.maturity_group
        assert window.sd_d > 1
    for first, second in pairwise(sorted(dated, key=lambda zone: zone.planted)):
        assert first.window.r3_likely <= second.window.r3_likely


def check_money(plan: Plan, truth: Truth) -> None:
    """Level 1 decides nothing; above it every zone has a decision with figures that agree with each other."""
    for zone in plan.zones:
        assert zone.reason.text
        if truth.level == 1:
            assert zone.action is None
            assert zone.money is None
            continue
        assert zone.action in ("spray", "skip")
        money = zone.money
        assert money is not None
        assert 0 <= money.chance_pays <= 1
        assert money.net_p10_usd_ac <= money.net_mean_usd_ac <= money.net_p90_usd_ac
        assert set(money.by_source) == {"pooled trials", "practice series", "own trials"}


def check_passes(plan: Plan, truth: Truth) -> None:
    """Passes exist at level 3 only, and no rate lies below the label's least."""
    assert plan.passes == () or truth.level == 3
    in_pass = {number for one in plan.passes for number in one.zones}
    for zone in plan.zones:
        sprayed = zone.action == "spray" and truth.level == 3
        assert (zone.zone in in_pass) == sprayed
        assert (zone.rate_gal_ac is not None) == sprayed
        if zone.rate_gal_ac is not None:
            assert zone.rate_gal_ac >= truth.label_min_gal_ac - 1e-6
    for one in plan.passes:
        assert one.day >= plan.today
        areas = [zone.area_ac for zone in plan.zones if zone.zone in one.zones]
        assert one.area_ac == pytest.approx(sum(areas), rel=1e-6)


def clear(error: InputError, folder: Path) -> None:
    """A line a fault: which file, what, and how to mend it."""
    assert error.code in (2, 3)
    for line, fault in zip(str(error).splitlines(), error.faults, strict=True):
        assert line.startswith(fault.where)
        assert fault.mend.endswith((".", "?"))
        assert fault.mend[0].isupper()
        assert "Traceback" not in line
    assert not (folder / "out").exists()


def attempt(folder: Path, truth: Truth) -> tuple[field.Run | None, InputError | None]:
    """Run a field; what comes of it, or the fault."""
    try:
        return field.run(folder, today=truth.today, seed=0), None
    except InputError as error:
        return None, error


@pytest.mark.parametrize("seed", range(20))
def test_a_made_field_ends_with_a_valid_plan_or_one_clear_line(seed: int, tmp_path: Path) -> None:
    folder = tmp_path / "farm" / "made"
    truth = make_field(folder, seed)
    run, fault = attempt(folder, truth)
    if run is None:
        assert truth.outcome == "either", str(fault)
        assert fault is not None
        clear(fault, folder)
        return
    check(run.plan, truth)
    json.dumps(field.as_object(run), allow_nan=False)


@pytest.mark.parametrize("seed", [2, 7, 5])
def test_the_files_of_a_made_field_say_what_the_plan_says(seed: int, tmp_path: Path) -> None:
    folder = tmp_path / "farm" / "made"
    truth = make_field(folder, seed)
    run = field.run(folder, today=truth.today, seed=0)
    field.write(run, folder / "out")
    written = {path.name for path in (folder / "out").iterdir()}
    assert {"plan.json", "zones.gpkg", "map.png", "run.json"} <= written
    assert ("prescription.shp" in written) == (truth.level == 3)
    plan = json.loads((folder / "out" / "plan.json").read_text(encoding="utf-8"))
    assert [zone["action"] for zone in plan["zones"]] == [zone.action for zone in run.plan.zones]
    if truth.level < 3:
        return
    with shapefile.Reader(folder / "out" / "prescription") as file:
        rows = [(shape(row.shape.__geo_interface__), row.record.as_dict()) for row in file.shapeRecords()]
    areas = {"AREA_HA", "AREA_AC"} & set(rows[0][1])
    per_ac = 1 / 0.40468564224 if areas == {"AREA_HA"} else 1
    assert sum(record[area] for _, record in rows for area in areas) * per_ac == pytest.approx(
        truth.area_ac, rel=1e-3
    )  # two decimals a polygon
    rates = {name for name in rows[0][1] if name.startswith("RATE_")}
    for _, record in rows:
        assert (record["ACTION"] == "SPRAY") == all(record[name] > 0 for name in rates)


def test_the_same_seed_gives_the_same_plan(tmp_path: Path) -> None:
    folder = tmp_path / "farm" / "made"
    truth = make_field(folder, 5)
    first, second = (field.run(folder, today=truth.today, seed=3) for _ in range(2))
    assert json.dumps(field.as_object(first)) == json.dumps(field.as_object(second))


@pytest.mark.parametrize("fault", BREAKS, ids=lambda fault: fault.what)
def test_a_broken_field_is_answered_in_clear_lines(fault: Break, tmp_path: Path) -> None:
    folder = tmp_path / "farm" / "made"
    truth = make_field(folder, BROKEN_SEED)
    fault.do(folder, truth)
    with pytest.raises(InputError) as caught:
        field.run(folder, today=truth.today, seed=0)
    assert caught.value.code == fault.code
    assert fault.says in str(caught.value).lower()
    clear(caught.value, folder)


def test_both_files_are_named_when_both_are_wrong(tmp_path: Path) -> None:
    folder = tmp_path / "farm" / "made"
    truth = make_field(folder, BROKEN_SEED)
    next(fault for fault in BREAKS if fault.what == "two files at once").do(folder, truth)
    with pytest.raises(InputError) as caught:
        field.run(folder, today=truth.today, seed=0)
    named = " ".join(one.where for one in caught.value.faults)
    assert "field.toml" in named
    assert "farm.toml" in named


def test_the_broken_field_would_run(tmp_path: Path) -> None:
    folder = tmp_path / "farm" / "made"
    truth = make_field(folder, BROKEN_SEED)
    check(field.run(folder, today=truth.today, seed=0).plan, truth)
