"""Nobody is sent into a sprayed field before the interval of the label has run."""

from datetime import date, datetime

import pytest
from made_folders import MONEY, PRODUCT, RESPONSE, SPRAYER, TOP, read

from zoning.inputs.done import Sprayed
from zoning.passes.entering import first_day

TODAY = date(2026, 7, 8)


@pytest.fixture
def product(tmp_path):
    return read(tmp_path, TOP, MONEY, PRODUCT, SPRAYER, RESPONSE).product  # re_entry_h = 12


def sprayed(end, product="Invented Fungicide"):
    return Sprayed(field="North", end=end, product=product)


@pytest.mark.parametrize(
    ("end", "first"),
    [
        (datetime(2026, 7, 8, 9), date(2026, 7, 9)),  # to 21:00 today: tomorrow is the first whole day
        (datetime(2026, 7, 8, 19), date(2026, 7, 10)),  # to 7:00 tomorrow
        (datetime(2026, 7, 8, 12), date(2026, 7, 9)),  # to midnight exactly
        (datetime(2026, 7, 7, 13), date(2026, 7, 9)),  # to 1:00 today: today is not whole
        (datetime(2026, 7, 7, 12), TODAY),
        (datetime(2026, 6, 1, 9), TODAY),
        (datetime(2026, 7, 10, 9), date(2026, 7, 11)),  # a pass that is planned for later
    ],
)
def test_by_hand_first_whole_day_after_twelve_hours(product, end, first):
    day, why = first_day([sprayed(end)], product, TODAY)
    assert date.fromordinal(day) == first
    assert (why is None) == (first == TODAY)
    assert why is None or f"{first:%b} {first.day}" in why.text


def test_the_last_of_several_passes_counts_in_any_order(product):
    passes = [sprayed(datetime(2026, 7, 9, 9)), sprayed(datetime(2026, 7, 8, 9))]
    for order in (passes, passes[::-1]):
        assert date.fromordinal(first_day(order, product, TODAY)[0]) == date(2026, 7, 10)


def test_an_interval_that_nobody_gave_keeps_people_out_and_is_asked_for(product):
    other = sprayed(datetime(2026, 7, 1, 9), "Herbicide B")
    for label in (product, None):
        day, why = first_day([other], label, TODAY)
        assert day is None
        assert "Herbicide B" in why.text
        assert "label in hand" in why.text
    assert (
        first_day([sprayed(datetime(2026, 5, 1, 9), "Herbicide B")], product, TODAY)[0] == TODAY.toordinal()
    )


def test_the_name_of_the_product_may_be_typed_in_small_letters(product):
    assert first_day([sprayed(datetime(2026, 7, 1), "invented  fungicide")], product, TODAY)[1] is None


def test_a_field_that_nobody_sprayed_may_be_walked_today(product):
    assert first_day([], product, TODAY) == (TODAY.toordinal(), None)
