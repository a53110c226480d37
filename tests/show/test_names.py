"""What the map says of drawn zones and of treatment along the swaths."""

from dataclasses import replace

import matplotlib
import pytest
from made_plans import Made, made_plan

from zoning.plan import PlanTreatment
from zoning.show import map as picture
from zoning.show.names import drawn_names, swath_edges, swath_notes
from zoning.show.panels import panels

LABELS = [[1, 2, 3, 4], [5, 6, 7, 8], [9, 10, 11, 12]]


def named(names, **wanted):
    plan = made_plan(Made(labels=LABELS, cell_m=150, **wanted))
    return replace(
        plan, zones=tuple(replace(zone, name=name) for zone, name in zip(plan.zones, names, strict=True))
    )


def treatment(parts, differs_frac=0.0):
    return PlanTreatment(
        heading_deg=90,
        heading_source="edge",
        swath_m=9,
        step_m=10,
        least_run_m=18,
        treated_ac=5,
        differs_frac=differs_frac,
        parts=parts,
    )


def test_zones_of_one_name_stand_on_one_line():
    plan = named(["West", "East", "West", *["rim"] * 9])
    assert drawn_names(plan) == ("West: 1, 3", "East: 2", "rim: 4, 5, 6, 7, 8, 9, 10, 11, 12")
    assert panels(plan)[0].notes[-3:] == drawn_names(plan)


def test_nothing_is_said_where_nobody_drew():
    plan = named([""] * 12)
    assert drawn_names(plan) == ()
    assert swath_notes(plan) == ()


def test_many_names_are_counted():
    lines = drawn_names(named([f"a zone with a rather long name, number {number}" for number in range(12)]))
    assert len(lines) == 8
    assert lines[-1] == "5 more names stand in the report"


def test_the_map_says_how_far_the_sprayers_files_differ():
    plan = made_plan(Made(labels=LABELS))
    along = treatment((), differs_frac=0.0126)
    assert swath_notes(replace(plan, treatment=along)) == (
        "dashed: edges in the sprayer's files, along its swaths; 1.3 % differs",
    )
    assert swath_notes(replace(plan, treatment=along, passes=())) == ()


@pytest.mark.parametrize("level", [1, 3])
def test_names_are_on_the_sheet_and_do_not_leave_it(level):
    plan = named([f"漢 $ {number} th zone with a long name" for number in range(12)], level=level)
    with matplotlib.rc_context(picture._LOOK):
        figure = picture.draw(plan)
        renderer = figure.canvas.get_renderer()
        page = figure.bbox
        for text in figure.axes[0].texts:
            box = text.get_window_extent(renderer)
            assert box.x0 >= page.x0
            assert box.x1 <= page.x1
            assert box.y0 >= page.y0
    assert any("$ 1 th zone with a" in text.get_text() for text in figure.axes[0].texts)


def test_dashed_lines_are_where_the_sprayers_files_switch():
    plan = made_plan(Made(labels=LABELS, cell_m=150))
    treated, skipped = (plan.zones[0], plan.zones[1:])
    parts = ((treated.outline, 1), *((zone.outline, 0) for zone in skipped))
    along = treatment(parts)
    edges = swath_edges(replace(plan, treatment=along))
    assert edges.length == pytest.approx(300, rel=1e-3)  # two of the four sides of a cell in a corner
    panel = panels(replace(plan, treatment=along))[0]
    assert panel.dashed.equals(edges)
    assert panels(plan)[0].dashed is None
    with matplotlib.rc_context(picture._LOOK):
        figure = picture.draw(replace(plan, treatment=along))
    assert [len(axes.lines) for axes in figure.axes[1:]] == [2, 0, 0]


def test_nothing_is_dashed_where_all_is_treated():
    plan = made_plan(Made(labels=[[1, 1], [1, 1]], cell_m=150))
    along = treatment(((plan.zones[0].outline, 1),))
    assert swath_edges(replace(plan, treatment=along)).is_empty
    with matplotlib.rc_context(picture._LOOK):
        assert not picture.draw(replace(plan, treatment=along)).axes[1].lines
