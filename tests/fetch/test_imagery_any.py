"""Whatever a catalogue or a file of sources holds: scenes, or one clear line; never an error of ours."""

import json
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_catalogue import TILE, Catalogue, scene

from zoning.errors import InputError
from zoning.fetch.imagery import at_once, scenes, sources
from zoning.fetch.imagery.clear import Shares

ATOMS = st.none() | st.booleans() | st.integers(-5, 5) | st.floats(allow_nan=False) | st.text(max_size=8)
JSON = st.recursive(
    ATOMS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
)


@pytest.fixture(scope="module")
def good(tmp_path_factory):
    made = Catalogue(folder=tmp_path_factory.mktemp("scenes"))
    return scene(made, TILE, "2026-06-11")


def places(told, at=()):
    """Every place in a tree, as the keys that lead there."""
    yield at
    inner = told.items() if isinstance(told, dict) else enumerate(told) if isinstance(told, list) else ()
    for key, one in inner:
        yield from places(one, (*at, key))


def spoilt(told, where, value):
    """The tree with another value at one place."""
    if not where:
        return value
    copy = json.loads(json.dumps(told))
    inner = copy
    for key in where[:-1]:
        inner = inner[key]
    inner[where[-1]] = value
    return copy


def read(item):
    """Its scenes, and no fault; or none, and the fault."""
    try:
        return scenes.scenes([item], -95.0, "somebody"), None
    except InputError as fault:
        return (), fault


@given(data=st.data())
def test_an_item_spoilt_anywhere_is_a_scene_or_one_line(good, data):
    where = data.draw(st.sampled_from([one for one in places(good) if one]))
    found, fault = read(spoilt(good, where, data.draw(JSON)))
    if fault is not None:
        assert fault.code == 4
        assert "\n" not in str(fault)
    for one in found:
        assert set(one.bands) >= {"red", "nir"}
        assert all(isinstance(band.href, str) for band in (*one.bands.values(), one.mask))
    scenes.days(found, date(2026, 6, 1), date(2026, 6, 30))


@given(data=st.data())
def test_a_file_of_sources_spoilt_anywhere_is_known_or_nothing(tmp_path_factory, data):
    folder = tmp_path_factory.mktemp("field")
    known = sources.Sources(boundary="b", catalogue="c").with_looks(
        {date(2026, 6, 11): (("S",), Shares(seen=0.5, cloud=0.5, data=1.0))}
    )
    told = json.loads(sources.as_bytes(known))
    where = data.draw(st.sampled_from(list(places(told))))
    (folder / "imagery").mkdir()
    text = json.dumps(spoilt(told, where, data.draw(JSON)))
    (folder / "imagery/sources.json").write_text(text, encoding="utf-8")
    found = sources.read(folder, "b", "c")
    seen = found.shares(date(2026, 6, 11), ("S",))
    assert seen is None or all(isinstance(one, float) for one in (seen.seen, seen.cloud, seen.data))


def test_what_is_written_is_read_back(tmp_path):
    known = sources.Sources(boundary="b", catalogue="c").with_looks(
        {date(2026, 6, 11): (("S", "T"), Shares(seen=0.25, cloud=0.5, data=1.0))}
    )
    (tmp_path / "imagery").mkdir()
    (tmp_path / "imagery/sources.json").write_bytes(sources.as_bytes(known))
    assert sources.read(tmp_path, "b", "c") == known
    assert sources.read(tmp_path, "b", "other").looked == {}
    (tmp_path / "imagery/sources.json").write_bytes(b"{")
    assert sources.read(tmp_path, "b", "c").looked == {}


@given(fails=st.lists(st.booleans(), max_size=20))
def test_several_gives_what_came_in_order_and_stops_after_four_faults_in_a_row(fails):
    def step(place):
        if fails[place]:
            raise InputError(str(place), where="somebody", mend="Wait.")
        return place

    faults = []
    done = list(at_once.several(step, range(len(fails)), faults))
    assert done == sorted(done)
    assert not any(fails[one] for one in done)
    reached = {*done, *(int(fault.what) for fault in faults)}
    assert reached == set(range(len(reached)))
    if len(reached) < len(fails):
        assert any(all(fails[at : at + 4]) for at in range(len(fails) - 3))
