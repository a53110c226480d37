"""What a sprayer has sprayed today takes its hours off today, in every field that it may go to."""

from datetime import date
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_demo import TODAY, three_dates

from zoning import field
from zoning.offers.offered import Offer
from zoning.passes.half_days import even
from zoning.passes.hours.used import less_used, used_h

CLOCK = st.floats(0, 24)


@given(st.lists(st.tuples(CLOCK, CLOCK).map(lambda pair: (min(pair), max(pair))), max_size=6))
def test_hours_in_use_are_those_of_the_minutes_that_any_pass_covers(spans: list[tuple[float, float]]) -> None:
    # a witness that steps through the day: the middle of every hundredth of an hour, in a pass or not
    middle = (np.arange(2400) + 0.5) / 100
    inside = np.zeros(2400, dtype=bool)
    for begin, end in spans:
        inside |= (middle >= begin) & (middle < end)
    # each end of a span may split a hundredth
    assert used_h(spans) == pytest.approx(inside.reshape(2, -1).sum(axis=1) / 100, abs=0.01 * 2 * 6)


def test_by_hand_no_half_day_is_left_with_less_than_nothing() -> None:
    left = less_used(even(200, 3, 8.0), 201, np.array([1.5, 6.0]))  # 4 h a half-day
    assert left.planned_h.tolist() == [[4.0, 4.0], [2.5, 0.0], [4.0, 4.0]]
    assert left.futures_h[0].tolist() == left.planned_h.tolist()
    assert less_used(even(200, 3, 8.0), 199, np.ones(2)).planned_h.tolist() == [[4.0, 4.0]] * 3


def offer_after(root: Path, *rows: str, **more: str) -> Offer:
    folder = three_dates(root)
    if rows:
        text = "field,start,end,sprayer,product\n" + "".join(f"{row}\n" for row in rows)
        (folder.parent / "done.csv").write_text(text)
    for key, value in more.items():
        path = folder / "field.toml"
        path.write_text(f"{path.read_text()}\n[schedule]\n{key} = {value}\n")
    return field.offer(folder, today=TODAY, seed=1)


def hours(offer: Offer) -> np.ndarray:
    assert offer.options is not None
    return offer.options.machine.hours.planned_h


def codes(offer: Offer) -> list[str]:
    assert offer.options is not None
    return [note.code for note in offer.options.of_hours if note.code.startswith("hours.used")]


def rig_of(root: Path) -> tuple[str, np.ndarray]:
    offer = offer_after(root)
    assert offer.options is not None
    assert codes(offer) == []
    assert (hours(offer)[0] > 0).all(), "else there is nothing to take off"
    return offer.options.machine.name, hours(offer)


def test_by_hand_passes_of_today_on_another_field_take_their_hours(tmp_path: Path) -> None:
    rig, before = rig_of(tmp_path / "before")
    # 9:00 to 10:00 and 11:30 to 12:30: 1.5 h before noon, half an hour after; case and spaces do not matter
    offer = offer_after(
        tmp_path / "after",
        f"wet corner,{TODAY} 09:00,{TODAY} 10:00,{rig.upper()} ,other",
        f"far away,{TODAY} 11:30,{TODAY} 12:30,{rig},other",
        f"far away,{TODAY} 07:00,{TODAY} 18:00,somebody else,other",
        f"far away,{date.fromordinal(TODAY.toordinal() - 1)} 07:00,"
        f"{date.fromordinal(TODAY.toordinal() - 1)} 18:00,{rig},other",
    )
    assert hours(offer)[0] == pytest.approx(np.maximum(before[0] - [1.5, 0.5], 0))
    assert hours(offer)[1:] == pytest.approx(before[1:])
    assert offer.options is not None
    futures = offer.options.machine.hours.futures_h
    assert (futures[:, 0] <= hours(offer)[0] + 1e-9).all(), "today is a day of the forecast: alike in all"
    assert codes(offer) == ["hours.used_today"]
    assert "has sprayed 2.0 h on Jul 8" in " ".join(note.text for note in offer.options.of_hours)


def test_without_start_or_end_nothing_is_taken_off_and_it_is_said(tmp_path: Path) -> None:
    rig, before = rig_of(tmp_path / "before")
    for place, times in enumerate((f"{TODAY} 09:00,", f",{TODAY} 10:00", f",{TODAY}")):
        offer = offer_after(tmp_path / str(place), f"wet corner,{times},{rig},other")
        assert hours(offer) == pytest.approx(before)
        assert codes(offer) == ["hours.used_not_known"]


def test_where_the_first_day_that_is_planned_is_later_today_does_not_matter(tmp_path: Path) -> None:
    rig, _ = rig_of(tmp_path / "before")
    row = f"wet corner,{TODAY} 09:00,{TODAY} 12:00,{rig},other"
    later = offer_after(tmp_path / "later", row, lead_time_d="2")
    assert codes(later) == []
    assert hours(later) == pytest.approx(hours(offer_after(tmp_path / "none", lead_time_d="2")))
