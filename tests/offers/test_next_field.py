"""Where the sprayer goes next stands on the load sheet, and whether what is left in the tank fits there."""

from dataclasses import replace

from made_farm_plans import HIRED, RIG, MadePass, with_passes
from made_plans import Made, made_plan
from made_sheets import made_sheet

from zoning.offers.next_field import next_field

SHEET = made_sheet()


def field(name, *passes):
    """A field with passes of one half-day each: day, half, sprayer and load sheet."""
    made = [
        MadePass((number,), ((day, half, 1.0, 1.0),), sprayer=sprayer)
        for number, (day, half, sprayer, _) in enumerate(passes, start=1)
    ]
    plan = with_passes(made_plan(Made(labels=[[1, 2]], field=name)), made)
    sheets = [sheet for *_, sheet in passes]
    return replace(
        plan,
        passes=tuple(replace(one, sheet=sheet) for one, sheet in zip(plan.passes, sheets, strict=True)),
    )


def named(plans):
    """Field, pass -> next field and whether with the same mix."""
    return {
        (plan.field, one.number): (one.sheet.next_field, one.sheet.next_same_mix)
        for plan in next_field(plans)
        for one in plan.passes
        if one.sheet is not None
    }


def test_each_sprayer_is_followed_by_itself_and_in_time():
    plans = [
        field("A", (5, "PM", RIG, SHEET), (9, "AM", RIG, SHEET)),
        field("B", (5, "AM", RIG, SHEET), (6, "AM", HIRED, SHEET)),
        field("C", (7, "AM", RIG, SHEET)),
    ]
    # the rig: B in the morning of day 5, A after noon, C, A again; the hired one has B only
    assert named(plans) == {
        ("B", 1): ("A", True),
        ("A", 1): ("C", True),
        ("C", 1): ("A", True),
        ("A", 2): ("", True),
        ("B", 2): ("", True),
    }


def test_another_volume_product_or_additive_is_another_mix():
    for other in (
        made_sheet(volume_gal_ac=20.0),
        made_sheet(product={"name": "Invented Fungicide B"}),
        made_sheet(product={"dose": "6 fl oz/ac"}),
        made_sheet(product={"adjuvant": "1 pt/ac"}),
    ):
        plans = [field("A", (5, "AM", RIG, SHEET)), field("B", (5, "PM", RIG, other))]
        assert named(plans)["A", 1] == ("B", False)


def test_a_pass_without_a_sheet_is_no_fault():
    plans = [field("A", (5, "AM", RIG, None)), field("B", (5, "PM", RIG, SHEET)), field("C")]
    assert named(plans) == {("B", 1): ("", True)}
    assert next_field([]) == ()
