"""A run with any settings, boundary, planting and scouting ends with a valid plan or with clear lines."""

import json

from any_run import any_folder, write
from clear_faults import check
from hypothesis import HealthCheck, event, given, settings
from shapely import unary_union

from zoning import field
from zoning.errors import InputError
from zoning.plan import Plan

IS_HUNT = settings.get_current_profile_name() == "search"


def valid(plan: Plan) -> None:
    """What must hold of any plan."""
    outlines = [zone.outline for zone in plan.zones]
    assert all(outline.is_valid and not outline.is_empty for outline in outlines)
    assert [zone.zone for zone in plan.zones] == list(range(1, len(outlines) + 1))
    whole = unary_union([*outlines, *(one.outline for one in plan.no_spray)])
    assert whole.symmetric_difference(plan.boundary).area <= 1e-4 * plan.boundary.area
    assert abs(sum(outline.area for outline in outlines) - unary_union(outlines).area) <= 1e-6 * whole.area
    sprayed = {zone.zone: zone.pass_number for zone in plan.zones if zone.pass_number}
    assert sprayed == {zone: one.number for one in plan.passes for zone in one.zones}
    for zone in plan.zones:
        assert zone.reason.text
        assert zone.action in ((None,) if plan.level == 1 else ("spray", "skip"))
        if zone.money is not None:
            assert 0 <= zone.money.chance_pays <= 1
            low, mean, high = (
                zone.money.net_p10_usd_ac, zone.money.net_mean_usd_ac, zone.money.net_p90_usd_ac,
            )  # fmt: skip
            assert low <= mean + 1e-9 or high >= mean - 1e-9
        if zone.window is not None:
            assert zone.planted <= zone.window.r1 <= zone.window.r3_likely <= zone.window.closes
    assert all(one.day >= plan.today for one in plan.passes)
    assert all(note.text for note in plan.notes)


@settings(max_examples=settings().max_examples if IS_HUNT else 14, suppress_health_check=list(HealthCheck))
@given(any_folder())
def test_a_run_ends_with_a_valid_plan_or_with_clear_lines(tmp_path_factory, drawn):
    folder = write(drawn, tmp_path_factory.getbasetemp() / "any_farm")
    try:
        run = field.run(folder, today=drawn.today, seed=0)
    except InputError as error:
        event(f"refused: {error.what[:40]}")
        check(error)
        return
    event("planned")
    valid(run.plan)
    json.dumps(field.as_object(run), allow_nan=False)
