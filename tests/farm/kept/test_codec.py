"""What is kept comes back as it was, to the bit; its bytes depend on it alone."""

import io
import math
import subprocess
import sys
import zipfile
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import example, given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays_of
from made_folders import read
from same import difference
from shapely import LinearRing, MultiPolygon, Point, box

from zoning.farm.kept.codec import about_of, digest, from_bytes, to_bytes
from zoning.offers.offered import Decided
from zoning.returns.terms import Delay
from zoning.stage.draws import StageDraws
from zoning.words import Said

NUMBERS = st.one_of(
    arrays_of.boolean_dtypes(),
    arrays_of.integer_dtypes(endianness="?"),
    arrays_of.unsigned_integer_dtypes(endianness="?"),
    arrays_of.floating_dtypes(endianness="?"),
    arrays_of.complex_number_dtypes(endianness="?"),
    arrays_of.datetime64_dtypes(endianness="?"),
    arrays_of.unicode_string_dtypes(endianness="?", min_len=1, max_len=5),
)
ARRAYS = arrays_of.arrays(NUMBERS, arrays_of.array_shapes(min_dims=0, max_dims=3, min_side=0, max_side=4))
PLAIN = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(st.characters(), max_size=5),
    st.binary(max_size=5),
    st.dates(),
    st.datetimes(timezones=st.sampled_from([None, UTC, timezone(timedelta(hours=-5, minutes=-30))])),
    st.builds(Path, st.text("abc/. ", max_size=6)),
)
SHAPES = st.builds(
    lambda at, way: way(at),
    st.tuples(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6)),
    st.sampled_from(
        [
            Point,
            lambda at: shapely.set_srid(Point(*at, 3.0), 32614),
            lambda at: box(*at, at[0] + 9, at[1] + 9),
            lambda at: MultiPolygon([box(*at, at[0] + 1, at[1] + 1), box(0, 0, 1, 1).buffer(-0.2)]),
            lambda at: LinearRing([at, (0.0, 1.0), (2.0, 2.0)]),
            lambda _at: shapely.Polygon(),
        ]
    ),
)
HASHABLE = st.recursive(
    PLAIN,
    lambda inner: st.one_of(
        st.tuples(inner, inner),
        st.frozensets(inner, max_size=3),
        st.builds(lambda days: Delay(days=days, net_usd_ac=(), pays_until=None), inner),
    ),
    max_leaves=5,
)
THINGS = st.recursive(
    st.one_of(PLAIN, ARRAYS, SHAPES, HASHABLE),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4),
        st.tuples(inner, inner, inner),
        st.dictionaries(HASHABLE, inner, max_size=3),
        st.sets(HASHABLE, max_size=3),
        st.builds(lambda draws: StageDraws(begin_day=draws), inner),
        st.builds(lambda closed, forced: Decided(closed=closed, forced=forced), inner, inner),
    ),
    max_leaves=12,
)


@given(THINGS)
@example([math.nan, math.inf, -math.inf, -0.0, 0.0, 0, False, 1, 1.0, True, np.float64(1.0), np.bool_(1)])
@example({1: "int", "1": "str", (1,): "tuple", (1.0, True): "mixed"})
@example(("\ud800", "ä\u2028\x00", 10**400, datetime(2026, 11, 1, 1, 30, fold=1)))
@example([np.float32("nan"), np.datetime64("2026-07-08"), np.str_("ä"), np.zeros((0, 3)), np.array(5)])
def test_what_is_kept_comes_back_to_the_bit(thing):
    data = to_bytes(thing)
    again = from_bytes(data)
    assert difference(thing, again) is None
    assert to_bytes(again) == data
    assert digest(again) == digest(thing)


@given(THINGS, THINGS)
@example(0.0, -0.0)
@example(1, True)
@example((), [])
@example(np.zeros(4), np.zeros((2, 2)))
@example(np.zeros(2, "<f8"), np.zeros(4, "<f4"))
@example(Said("zones.one_response", block="A"), Said("zones.one_response", block="B"))
def test_only_the_same_values_have_the_same_digest(one, other):
    assert (digest(one) == digest(other)) == (difference(one, other) is None)


def test_settings_come_back_with_what_was_typed_and_what_was_not(tmp_path):
    settings = read(tmp_path, 'name = "Farm"\n')
    again = from_bytes(to_bytes(settings))
    assert difference(settings, again) is None
    assert again == settings
    assert again.model_fields_set == settings.model_fields_set
    assert again.model_dump(mode="json") == settings.model_dump(mode="json")
    assert again.where("maturity_group") == settings.where("maturity_group")
    assert again.model_copy(update={"season": 2027}).season == 2027


def test_equal_parts_that_never_change_become_one_and_others_stay_apart():
    def draws():
        return StageDraws(begin_day=np.arange(14.0).reshape(2, 7))

    listed = ["a"]
    one, other, lists = from_bytes(
        to_bytes(((draws(), box(0, 0, 1, 1)), (draws(), box(0, 0, 1, 1)), [["a"], ["a"]]))
    )
    assert one is other
    assert one[0].begin_day is other[0].begin_day
    assert lists[0] is not lists[1]
    apart, shared = from_bytes(to_bytes(({"x": ["a"], "y": ["a"]}, {"x": listed, "y": listed})))
    assert apart["x"] is not apart["y"]
    assert shared["x"] is shared["y"]
    assert len(to_bytes([draws().begin_day] * 50)) < len(to_bytes([draws().begin_day])) + 500


def test_arrays_that_may_have_become_one_cannot_be_written_into():
    again = from_bytes(to_bytes(np.arange(3.0)))
    with pytest.raises(ValueError, match="read-only"):
        again[0] = 1.0


def test_arrays_lie_in_memory_as_they_did():
    by_rows = np.arange(6.0).reshape(2, 3)
    again = from_bytes(to_bytes([by_rows, np.asfortranarray(by_rows), by_rows[:, ::2]]))
    assert [one.flags.c_contiguous for one in again] == [True, False, True]
    assert [one.tolist() for one in again] == [by_rows.tolist(), by_rows.tolist(), by_rows[:, ::2].tolist()]
    assert all(one.flags.aligned for one in again)


def test_bytes_do_not_depend_on_the_order_in_which_a_set_is_walked():
    code = (
        "from zoning.farm.kept.codec import to_bytes, digest; import sys;"
        "thing = [{'a', 'b', 'c', ('d', 1), None, 2.5}, frozenset({('x', frozenset('pq')), ('y', 'z')})];"
        "sys.stdout.write(to_bytes(thing).hex() + digest(thing))"
    )
    runs = [
        subprocess.run(
            [sys.executable, "-c", code],
            env={"PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
            cwd=Path(__file__).parents[3],
        ).stdout
        for seed in ("1", "2", "3")
    ]
    assert runs[0]
    assert runs[0] == runs[1] == runs[2]


def test_a_zip_reader_and_numpy_open_what_is_kept():
    zeros, draws = np.zeros((40, 30)), np.random.default_rng(1).normal(size=(512, 7))
    data = to_bytes([zeros, np.asfortranarray(draws), np.array(3)], {"made_of": "abc"})
    with zipfile.ZipFile(io.BytesIO(data)) as file:
        assert file.testzip() is None
        assert file.namelist()[:2] == ["about.json", "thing.json"]
        assert {one.date_time for one in file.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    with np.load(io.BytesIO(data), allow_pickle=False) as members:
        assert np.array_equal(members["arrays/0"], zeros)
        assert np.array_equal(members["arrays/1"], draws)
        assert members["arrays/1"].flags.f_contiguous
        assert members["arrays/2"] == 3


def test_what_is_said_of_a_value_stands_at_the_beginning_and_is_no_part_of_it():
    about = {"made_of": "abc", "varieties": ["", "P1"], "n": 3, "none": None}
    data = to_bytes(np.arange(9999.0), about)
    assert about_of(data) == about
    assert about_of(data[:300]) == about
    assert difference(from_bytes(data), np.arange(9999.0)) is None


def test_text_shrinks_and_draws_stay_as_they_are():
    draws = np.random.default_rng(1).normal(size=4096)
    assert draws.nbytes < len(to_bytes(draws)) < draws.nbytes + 1500
    assert len(to_bytes([f"a sentence that is told {n} times" for n in range(500)])) < 6000


class Stranger:
    """A class that is not ours."""


@pytest.mark.parametrize(
    "thing",
    [
        Stranger(),
        lambda: None,
        np.array([object()]),
        np.ma.zeros(3),
        np.zeros(2, [("a", "f8")]),
        range(3),
        datetime,
        ValueError("x"),
        type("Word", (str,), {})("x"),
    ],
)
def test_what_cannot_come_back_as_it_was_is_refused(thing):
    with pytest.raises(TypeError, match="cannot be kept"):
        to_bytes((1, [thing]))
    with pytest.raises(TypeError, match="cannot be kept"):
        digest((1, [thing]))


def test_a_thing_that_holds_itself_is_refused():
    ring: list[object] = []
    ring.append(ring)
    with pytest.raises(TypeError, match="holds itself"):
        to_bytes(ring)
