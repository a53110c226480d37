"""What was sprayed closes zones: after R1 for the season, before it only at the label's maximum."""

from datetime import date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.inputs.given import Sprayed
from zoning.passes.treated import treated
from zoning.settings.model import Product
from zoning.stage.draws import StageDraws

R1 = date(2026, 7, 2)
TODAY = date(2026, 7, 31)
LABEL = {
    "name": "Invented Fungicide A",
    "groups": ["3"],
    "dose": "8 fl oz/ac",
    "max_dose": "32 fl oz/ac",
    "re_entry_h": 12,
    "min_carrier_ground": "10 gal/ac",
    "pre_harvest_interval_d": 30,
    "max_applications": 2,
    "latest_stage": "R5",
    "max_wind": "10 mph",
}


def label(**changed: object) -> Product:
    return Product.model_validate(LABEL | changed)


def stage(r1: date = R1) -> StageDraws:
    days = r1.toordinal() + np.array([0.0, 3, 13, 22, 29, 44, 62])
    return StageDraws(days + np.linspace(-4, 4, 9)[:, np.newaxis] + 0.5)


def sprayed(on: date, zones: str = "", product: str = "Invented Fungicide A") -> Sprayed:
    return Sprayed(field="North", end=datetime(on.year, on.month, on.day, 10), product=product, zones=zones)


def asked(*passes: Sprayed, product: Product | None = None, zones: tuple[int, ...] = (1, 2, 3)):
    return treated(zones, [stage()] * len(zones), passes, product or label(), TODAY)


@pytest.mark.parametrize(
    ("on", "is_closed"), [(date(2026, 7, 1), False), (R1, True), (date(2026, 7, 20), True)]
)
def test_by_hand_a_pass_from_r1_on_closes_its_zones(on: date, is_closed: bool) -> None:
    """R1 falls in the middle of 2 July: a pass of that day counts as one at R1."""
    found = asked(sprayed(on, "1 3"))
    assert found.closed.tolist() == [is_closed, False, is_closed]
    assert found.applied.tolist() == [1, 0, 1]
    assert found.last_on == (on, None, on)
    assert [why.code if why else None for why in found.why] == [
        "passes.treated" if is_closed else None,
        None,
        "passes.treated" if is_closed else None,
    ]


def test_of_two_passes_the_last_is_the_one_that_is_told() -> None:
    first, second = date(2026, 6, 10), date(2026, 6, 20)
    found = asked(sprayed(second, "2"), sprayed(first, "2"), product=label(max_applications=3))
    assert found.applied.tolist() == [0, 2, 0]
    assert found.last_on == (None, second, None)


def test_a_pass_before_r1_is_said_where_the_zone_stays_open() -> None:
    early, late = sprayed(date(2026, 6, 20), "2"), sprayed(date(2026, 7, 20), "2")
    found = asked(early)
    assert [note.code for note in found.notes] == ["passes.early_pass"]
    assert "was sprayed here on Jun 20, before flowering" in found.notes[0].text
    assert asked(late).notes == ()  # its reason says it
    assert asked(early, product=label(max_applications=1)).notes == ()


def test_two_passes_before_r1_use_up_a_label_that_allows_two() -> None:
    early = [sprayed(date(2026, 6, 10)), sprayed(date(2026, 6, 24), "2")]
    found = asked(*early)
    assert found.applied.tolist() == [1, 2, 1]
    assert found.closed.tolist() == [False, True, False]
    assert found.why[1].text == (
        "sprayed on Jun 10 and Jun 24; applications so far this season: 2; the label as entered allows 2"
    )
    assert asked(*early, product=label(max_applications=3)).closed.tolist() == [False] * 3


def test_by_hand_the_season_s_amount_may_allow_fewer_than_the_number() -> None:
    """15 fl oz hold one dose of 8 and no second; a pint holds 16, two."""
    once = sprayed(date(2026, 6, 10), "1")
    found = asked(once, product=label(max_dose="15 fl oz/ac"))
    assert found.closed.tolist() == [True, False, False]
    assert found.why[0].text.startswith("sprayed on Jun 10; ")
    assert "15 fl oz/ac" in found.why[0].text
    assert not asked(once, product=label(max_dose="1 pt/ac")).closed.any()


def test_only_the_product_of_the_plan_counts_and_the_rest_is_named() -> None:
    herbicide = sprayed(date(2026, 7, 10), product="Herbicide  B")
    found = asked(
        herbicide, sprayed(date(2026, 7, 12), "2", product="invented  fungicide A"), sprayed(R1, "7", "")
    )
    assert found.closed.tolist() == [False, True, False]
    assert [note.text for note in found.notes] == [
        "something that is not named was sprayed here on Jul 2: it does not count against the season's "
        "limits of Invented Fungicide A",
        "Herbicide B was sprayed here on Jul 10: it does not count against the season's limits of Invented "
        "Fungicide A",
    ]


def test_a_zone_that_the_field_does_not_have_is_said() -> None:
    found = asked(sprayed(date(2026, 7, 12), "2 9"))
    assert found.closed.tolist() == [False, True, False]
    assert [note.code for note in found.notes] == ["passes.zone_not_known"]


def test_what_comes_after_today_is_not_known() -> None:
    found = asked(sprayed(TODAY + timedelta(days=1), "2"))
    assert not found.closed.any()
    assert not found.applied.any()
    assert found.notes == ()


PASSES = st.lists(
    st.builds(
        sprayed,
        st.dates(date(2026, 6, 1), TODAY),
        st.sampled_from(["", "1", "2 3", "1 2 3"]),
        st.sampled_from(["Invented Fungicide A", "Other"]),
    ),
    max_size=5,
)


@given(PASSES, st.integers(1, 4))
def test_no_zone_stays_open_at_the_label_s_maximum(passes: list[Sprayed], most: int) -> None:
    found = asked(*passes, product=label(max_applications=most))
    assert (found.closed | (found.applied < min(most, 4))).all()
    assert all((why is not None) == bool(shut) for why, shut in zip(found.why, found.closed, strict=True))


@given(PASSES, PASSES)
def test_a_further_pass_never_opens_a_zone(passes: list[Sprayed], more: list[Sprayed]) -> None:
    before, after = asked(*passes), asked(*passes, *more)
    assert (after.closed >= before.closed).all()
    assert (after.applied >= before.applied).all()
