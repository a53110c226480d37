"""Visits played through every future, against a plain walk through the hours."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.passes.half_days import HalfDays, even
from zoning.passes.hours.in_time import DueVisit, made_in_time_frac

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


@given(
    seed=st.integers(0, 5000),
    asked=st.lists(
        st.tuples(
            st.integers(0, 5),
            st.sampled_from(["AM", "PM"]),
            st.floats(0.2, 9),
            st.integers(0, 3),
            st.booleans(),
        ),
        min_size=1,
        max_size=5,
    ),
)
def test_a_field_with_the_hours_of_the_sprayer_is_like_one_without_its_own(seed, asked):
    hours = random_hours(seed)
    plain = [
        DueVisit(day=FIRST + day, half=half, work_h=round(work, 2), due_day=FIRST + day + more)
        for day, half, work, more, _ in sorted(asked)
    ]
    own = [
        replace(visit, hours=hours if has else None)
        for visit, (*_, has) in zip(plain, sorted(asked), strict=True)
    ]
    assert made_in_time_frac(own, hours).tolist() == made_in_time_frac(plain, hours).tolist()


def test_by_hand_a_field_with_fewer_hours_takes_longer_and_holds_up_the_next():
    # 2 h in each half-day, 1 h of them in the field: 3 h are over at the end of the third half-day
    sprayer, field = even(FIRST, 4, 4.0), even(FIRST, 4, 2.0)
    for due_d, share in ((0, 0.0), (1, 1.0)):
        strict = DueVisit(day=FIRST, half="AM", work_h=3.0, due_day=FIRST + due_d, hours=field)
        # the next has the hours of the sprayer, 2 h in the fourth half-day
        after = DueVisit(day=FIRST, half="PM", work_h=2.0, due_day=FIRST + due_d)
        assert made_in_time_frac([strict, after], sprayer).tolist() == [share, share]
    # half a half-day is half of the hours of either
    strict = DueVisit(day=FIRST, half="AM", work_h=0.5, due_day=FIRST, hours=field)
    for work_h, share in ((3.0, 1.0), (3.1, 0.0)):
        after = DueVisit(day=FIRST, half="AM", work_h=work_h, due_day=FIRST)
        assert made_in_time_frac([strict, after], sprayer).tolist() == [1.0, share]


def test_a_field_without_hours_is_never_done():
    strict = DueVisit(day=FIRST, half="AM", work_h=0.5, due_day=FIRST + 3, hours=even(FIRST, 4, 0.0))
    after = DueVisit(day=FIRST + 1, half="AM", work_h=0.5, due_day=FIRST + 3)
    assert made_in_time_frac([strict, after], even(FIRST, 4, 4.0)).tolist() == [0.0, 0.0]
