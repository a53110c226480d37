"""Visits played through every future, against a plain walk through the hours."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.passes.half_days import HalfDays, even
from zoning.passes.in_time import DueVisit, made_in_time_frac

FIRST = 700_000


def random_hours(seed: int, futures: int = 12, days: int = 6) -> HalfDays:
    rng = np.random.default_rng(seed)
    made = rng.integers(0, 6, (futures, days, 2)).astype(float) * (rng.random((futures, days, 2)) < 0.6)
    return HalfDays(
        first_day=FIRST, planned_h=made.mean(axis=0), futures_h=made, source=("past years",) * days
    )


def walked(visits: list[DueVisit], one_future_h: np.ndarray) -> list[bool]:
    """A plain walk: half-day by half-day, what is left of each."""
    left = {(FIRST + n // 2, n % 2): h for n, h in enumerate(one_future_h.reshape(-1))}
    slots = sorted(left)
    at, in_time = 0, []
    for visit in visits:
        begin = (visit.day, 0 if visit.half == "AM" else 1)
        while at < len(slots) and slots[at] < begin:
            at += 1
        needs = visit.work_h
        done_in = slots[at] if at < len(slots) else None
        while needs > 1e-9 and at < len(slots):
            taken = min(needs, left[slots[at]])
            left[slots[at]] -= taken
            needs -= taken
            done_in = slots[at]
            if needs > 1e-9:
                at += 1
        in_time.append(needs <= 1e-9 and done_in is not None and done_in[0] <= visit.due_day)
    return in_time


@given(
    seed=st.integers(0, 5000),
    asked=st.lists(
        st.tuples(st.integers(0, 5), st.sampled_from(["AM", "PM"]), st.floats(0.2, 9), st.integers(0, 3)),
        min_size=1,
        max_size=5,
    ),
)
def test_visits_against_a_plain_walk(seed: int, asked: list[tuple[int, str, float, int]]) -> None:
    hours = random_hours(seed)
    visits = [
        DueVisit(day=FIRST + day, half=half, work_h=round(work, 2), due_day=FIRST + day + more)  # type: ignore[arg-type]
        for day, half, work, more in sorted(asked)
    ]
    witness = np.mean([walked(visits, one) for one in hours.futures_h], axis=0)
    assert made_in_time_frac(visits, hours) == pytest.approx(witness)


def test_by_hand_half_of_the_futures() -> None:
    # one future has 5 h in the morning, the other 2 h: a visit of 4 h planned for it is over that day in one
    futures_h = np.array([[[5.0, 0.0], [5.0, 5.0]], [[2.0, 0.0], [5.0, 5.0]]])
    hours = HalfDays(
        first_day=FIRST, planned_h=futures_h.mean(axis=0), futures_h=futures_h, source=("forecast",) * 2
    )
    visit = DueVisit(day=FIRST, half="AM", work_h=4.0, due_day=FIRST)
    assert made_in_time_frac([visit], hours).tolist() == [0.5]
    # the second waits for the first: in one future 1 h of the morning is left, in the other it begins 2 h
    # into the next day
    second = DueVisit(day=FIRST + 1, half="AM", work_h=8.0, due_day=FIRST + 1)
    assert made_in_time_frac([visit, second], hours).tolist() == [0.5, 1.0]
    longer = DueVisit(day=FIRST + 1, half="AM", work_h=9.0, due_day=FIRST + 1)
    assert made_in_time_frac([visit, longer], hours).tolist() == [0.5, 0.5]


def test_no_limit_is_always_in_time() -> None:
    visits = [DueVisit(day=FIRST, half="PM", work_h=50.0, due_day=FIRST)]
    assert made_in_time_frac(visits, even(FIRST, 3, float("inf"))).tolist() == [1.0]


def test_work_beyond_the_horizon_is_not_in_time() -> None:
    visits = [DueVisit(day=FIRST + 2, half="AM", work_h=5.0, due_day=FIRST + 30)]
    assert made_in_time_frac(visits, even(FIRST, 3, 4.0)).tolist() == [0.0]
    assert made_in_time_frac([], even(FIRST, 3, 4.0)).tolist() == []
