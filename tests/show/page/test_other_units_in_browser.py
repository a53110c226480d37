"""The switch of units: the page then reads as Python writes it for a farm with the other units."""

from dataclasses import replace

import pytest
from demo_plan import demo_plan
from made_page_plans import what_if
from made_plans import Made, made_plan

from zoning.show import page
from zoning.show.page.both_units import twin

# Notes were worded when the plan was made and keep the units of its farm.
PARTS = ("#decision", "#range", "#numbers", "#legend", "#zones", "#calendar", "#stories", "#bill",
         "#sources", "#turns", "#strips", "#walks")  # fmt: skip
TEXTS = """(parts) => parts.map((part) => { const place = document.querySelector(part);
    return place && place.textContent.replace(/\\s+/g, ' '); })"""


def nothing_sprayed():
    plan = made_plan(Made(labels=[[1, 2], [3, 4]], cell_m=200, pass_of_zone={}))
    return replace(plan, what_if=what_if(plan), volumes_gal_ac=(15.0,))


@pytest.mark.parametrize("made", [demo_plan, nothing_sprayed])
@pytest.mark.parametrize(("own", "other"), [("us", "metric"), ("metric", "us")])
def test_the_switched_page_reads_as_that_of_a_farm_with_those_units(made, own, other, open_page, tmp_path):
    texts = {}
    for units in ("us", "metric"):
        path = tmp_path / f"{units}.html"
        page.write(replace(made(), units=units), path)
        shown = open_page(path).page
        texts[units] = shown.evaluate(TEXTS, PARTS)
        if units == own:
            switched = shown
    switched.select_option("#f-units", other)
    now = switched.evaluate(TEXTS, PARTS)
    for part, text, wanted in zip(PARTS, now, texts[other], strict=True):
        assert text == wanted, part
    turned = {part for part, was, text in zip(PARTS, texts[own], now, strict=True) if text != was}
    assert turned >= {"#decision", "#numbers", "#legend", "#zones", "#stories", "#bill", "#sources"}
    switched.select_option("#f-units", own)
    assert switched.evaluate(TEXTS, PARTS) == texts[own]


def test_by_hand_what_differs_is_marked_with_its_unit_and_nothing_else():
    marked = twin(
        "Below 7.45 $/bu, at 43 $/ac (54 ac), on Jul 8", "Below 274 $/t, at 106 $/ha (22 ha), on Jul 8"
    )
    assert marked == (
        'Below <i data-t="274 $/t">7.45 $/bu</i>, at <i data-t="106 $/ha">43 $/ac</i> '
        '(<i data-t="22 ha">54 ac</i>), on Jul 8'
    )


def test_what_people_wrote_stays_text_in_both():
    assert twin("<b> 1 ac", "<b> 2 ha") == '&lt;b&gt; <i data-t="2 ha">1 ac</i>'
    assert twin('1 "', '2 " <b>') == '<i data-t="2 &#34; &lt;b&gt;">1 &#34;</i>'
