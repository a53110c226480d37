"""The lines that say how the zones came about."""

from dataclasses import replace

from made_plans import Made, made_plan

from zoning.show.layout import WIDTH
from zoning.show.report import report
from zoning.show.zones import block_lines, layer_lines


def plan_of(**wanted):
    return made_plan(Made(labels=[[1, 2], [3, 3]], **wanted))


def zone_lines(plan):
    return [*layer_lines(plan), *block_lines(plan)]


def test_layers_and_the_curves_of_each_block_are_told():
    first, block = zone_lines(plan_of())
    held = "62 % of NDRE, 31 % of yield (not drawn on)"
    assert first == f"of the differences in the field the zones hold {held}"
    assert block == (
        "block A, 3 zones: explained of ground not used to draw them, 1: 0 %, 2: 41 %, 3: 55 %, 4: 58 %; "
        "kept of the return of a plan for every spot, 1: 70 %, 2: 98 %, 3: 100 %, 4: 100 %; "
        "agreement when drawn again from parts of the ground, 0.91 (1: the same)"
    )


def test_nothing_is_said_of_what_was_not_measured_or_had_no_choice():
    plan = plan_of()
    single = replace(plan.blocks[0], zones=1, held_out=((1, 0.0),), kept=(), agreement=None)
    assert zone_lines(replace(plan, quality=None, blocks=(single,))) == []
    undivided = replace(plan.blocks[0], kept=(), agreement=None)
    (line,) = zone_lines(replace(plan, quality=None, blocks=(undivided,)))
    assert "kept" not in line
    assert "agreement" not in line


def test_no_share_is_shown_below_nothing():
    plan = plan_of()
    noise = replace(plan.blocks[0], held_out=((1, 0.0), (2, -0.03)), kept=((1, 1.0), (2, -4.2)))
    assert "2: 0 %" in zone_lines(replace(plan, blocks=(noise,)))[1]
    assert "-" not in zone_lines(replace(plan, blocks=(noise,)))[1]


def test_the_lines_are_part_of_the_report_and_fit_its_width():
    short, text = report(plan_of()), report(plan_of(), why=True)
    assert "the zones hold" in short
    assert "explained of ground" not in short
    assert "explained of ground" in text
    assert max(map(len, text.splitlines())) <= WIDTH
