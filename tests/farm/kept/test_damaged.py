"""Of a file that is not whole, or that a stranger made, a ValueError is all that comes."""

import json
import os
import struct
from contextlib import suppress

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_folders import read
from shapely import box

from zoning.farm.kept.codec import about_of, from_bytes, to_bytes
from zoning.farm.kept.container import packed, unpacked
from zoning.returns.terms import Delay
from zoning.stage.draws import StageDraws

THING = {
    "draws": StageDraws(begin_day=np.random.default_rng(0).normal(size=(20, 7))),
    "zeros": np.zeros((30, 30)),
    "delay": Delay(days=(1, 2), net_usd_ac=(0.5, float("inf")), pays_until=None),
    "shape": box(0, 0, 1, 1),
}
WHOLE = to_bytes(THING, {"made_of": "abc"})


def resealed(change):
    """Change what a file says and make it whole again, as a stranger could."""
    members = unpacked(WHOLE)
    text = json.loads(members["thing.json"])
    change(text)
    members["thing.json"] = json.dumps(text).encode()
    return packed(members.items(), stored=frozenset({"about.json"}))


def node(text, mark):
    """Find the first node of a kind."""
    return next(one for one in text["nodes"] if one[0] == mark)


@given(st.integers(0, len(WHOLE) - 1), st.integers(1, 255))
def test_a_changed_byte_is_found(place, by):
    changed = bytearray(WHOLE)
    changed[place] ^= by
    with pytest.raises(ValueError, match=r"."):
        from_bytes(bytes(changed))


def test_a_cut_file_is_found_wherever_it_is_cut():
    for length in range(len(WHOLE)):
        with pytest.raises(ValueError, match=r"."):
            from_bytes(WHOLE[:length])
    with pytest.raises(ValueError, match="cut or was changed"):
        from_bytes(WHOLE + b"\0")


@pytest.mark.parametrize(
    "data", [b"", b"PK", b"PK\x05\x06" + bytes(18), b"{}", b"\x80\x04N.", os.urandom(400)]
)
def test_another_kind_of_file_is_refused(data):
    with pytest.raises(ValueError, match=r"."):
        from_bytes(data)
    assert about_of(data) is None


@given(st.binary(max_size=60), st.integers(0, 400))
def test_the_beginning_of_any_file_tells_or_does_not(noise, at):
    head = WHOLE[:at] + noise + WHOLE[at + len(noise) :]
    assert about_of(head) in (None, {"made_of": "abc"})


def test_only_classes_of_ours_are_made():
    made = []
    for module, name in [
        ("os", "system"),
        ("subprocess", "Popen"),
        ("builtins", "dict"),
        ("zoning.farm.kept.classes", "import_module"),
        ("zoning.words", "Said"),
        ("zoning.errors", "InputError"),
        ("zoning.settings.shared", "Path"),
        ("zoning.settings.quantities", "BaseModel"),
        ("zoning.stage.draws.StageDraws", "of"),
        ("zoning.nowhere", "Thing"),
        ("zoning..stage", "Thing"),
        ("zoning.stage.draws", "__builtins__"),
        ("zoning.desk.running", "Progress"),  # changes
    ]:
        with pytest.raises(ValueError, match=r"of ours|are kept"):
            made.append(
                from_bytes(
                    resealed(lambda text, at=(module, name): text["classes"][0].__setitem__(slice(0, 2), at))
                )
            )
    assert not made


CHANGES = {
    "another version": lambda text: text.update(format=2),
    "no nodes": lambda text: text.pop("nodes"),
    "nodes are no list": lambda text: text.update(nodes=5),
    "a node is a number": lambda text: text["nodes"].append(5),
    "a node is empty": lambda text: text["nodes"].append([]),
    "a node of no kind": lambda text: text["nodes"].append(["?", 1]),
    "a node of a list as its kind": lambda text: text["nodes"].append([[0], 1]),
    "a node that comes later": lambda text: text["nodes"].insert(0, ["t", [99]]),
    "a node before the first": lambda text: text["nodes"].insert(0, ["t", [-1]]),
    "a class that is not listed": lambda text: text["nodes"].append([77]),
    "a class before the first": lambda text: text["nodes"].append([-1, 1]),
    "a root that is not there": lambda text: text.update(root=[999]),
    "a root in a list": lambda text: text.update(root=[[0]]),
    "a part too few": lambda text: node(text, 0).pop(),
    "a part too many": lambda text: node(text, 0).append(1),
    "a class without a part": lambda text: text["classes"][0][2].pop(),
    "a class with another part": lambda text: text["classes"][0][2].append("more"),
    "a class with __class__": lambda text: text["classes"][0].__setitem__(2, ["__class__"]),
    "a class whose parts are lists": lambda text: text["classes"][0].__setitem__(2, [[1]]),
    "a key that has no hash": lambda text: text["nodes"].extend([["l"], ["d", [len(text["nodes"])], 1]]),
    "a key without its value": lambda text: node(text, "d").append("x"),
    "a number that is a word": lambda text: node(text, "x").__setitem__(1, "1e5"),
    "an array that is not there": lambda text: node(text, "a").__setitem__(1, 9),
    "an array of objects": lambda text: node(text, "a").__setitem__(2, "|O"),
    "an array of no kind": lambda text: node(text, "a").__setitem__(2, "ham"),
    "an array with a name for its kind": lambda text: node(text, "a").__setitem__(2, "float64"),
    "an array of another shape": lambda text: node(text, "a").__setitem__(4, 21),
    "an array of a negative shape": lambda text: node(text, "a").__setitem__(slice(4, 6), [-20, -7]),
    "an array of a shape in words": lambda text: node(text, "a").__setitem__(4, "20"),
    "an array the other way": lambda text: node(text, "a").__setitem__(3, True),
    "a shape that is none": lambda text: node(text, "g").__setitem__(1, "AAAA"),
    "a shape of no letters": lambda text: node(text, "g").__setitem__(1, "ä"),
    "a shape in a list": lambda text: node(text, "g").__setitem__(1, [0]),
    "a day that is none": lambda text: text["nodes"].append(["D", "2026-02-30"]),
    "a day of two": lambda text: text["nodes"].append(["D", "2026-02-03", "2026-02-03"]),
    "a moment that is none": lambda text: text["nodes"].append(["T", "x", 0]),
    "a moment of another fold": lambda text: text["nodes"].append(["T", "2026-02-03", 7]),
    "a path of nothing": lambda text: text["nodes"].append(["p", 5]),
    "a sentence of no code": lambda text: text["nodes"].append(["S", "zones.nothing"]),
    "a sentence without its values": lambda text: text["nodes"].append(["S", "zones.one_response"]),
    "a number too short": lambda text: text["nodes"].append(["n", "<f8", "AAAA"]),
    "bytes that are none": lambda text: text["nodes"].append(["b", "AAA"]),
}


@pytest.mark.parametrize("what", CHANGES)
def test_what_a_stranger_wrote_is_refused_in_one_line(what):
    with pytest.raises(ValueError, match=r".") as caught:
        from_bytes(resealed(CHANGES[what]))
    assert "\n" not in str(caught.value)


JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False)
    | st.sampled_from([*"tldsfxnSDTpbgra", "<f8"]),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=2), inner, max_size=2),
    max_leaves=6,
)


@given(st.data())
def test_any_text_gives_a_value_or_is_refused(data):
    def change(text):
        for _ in range(data.draw(st.integers(1, 3))):
            at = data.draw(st.sampled_from([text, *text["nodes"], *text["classes"]]))
            if isinstance(at, dict):
                at[data.draw(st.sampled_from(["root", "nodes", "classes", "format"]))] = data.draw(JSON)
                return
            if at:
                at[data.draw(st.integers(0, len(at) - 1))] = data.draw(JSON)

    with suppress(ValueError):
        from_bytes(resealed(change))


def test_the_witness_reseals_what_it_did_not_change():
    assert sorted(from_bytes(resealed(lambda _text: None))) == sorted(THING)


def test_settings_that_lack_a_key_are_refused(tmp_path):
    data = to_bytes(read(tmp_path, 'name = "Farm"\n'))
    members = unpacked(data)
    text = json.loads(members["thing.json"])
    for one in text["classes"]:
        one[2] = [name for name in one[2] if name != "folder"]
    members["thing.json"] = json.dumps(text).encode()
    with pytest.raises(ValueError, match="other parts"):
        from_bytes(packed(members.items()))


def test_members_that_lie_about_themselves_are_refused():
    members = unpacked(WHOLE)
    without = {name: content for name, content in members.items() if name != "arrays/0.npy"}
    for wrong in (
        without,
        {**members, "more": b""},
        {**members, "arrays/0.npy": members["arrays/0.npy"][:-1]},
        {**members, "arrays/0.npy": members["arrays/0.npy"] + b"\0"},
        {**members, "arrays/0.npy": b"\x93NUMPY"},
        {**members, "thing.json": b"[" * 200_000},
        {**members, "thing.json": b"\xff"},
        {**members, "thing.json": b"[]"},
        {**members, "thing.json": b'{"format": 1, "classes": [], "nodes": [["t", NaN]], "root": [0]}'},
    ):
        with pytest.raises(ValueError, match=r"."):
            from_bytes(packed(wrong.items()))


def test_a_member_that_would_fill_the_memory_is_not_inflated():
    import hashlib
    import zlib

    def head(size, shrunk):
        return (
            struct.pack("<4sHHHHHIIIHH", b"PK\x03\x04", 20, 0, 8, 0, 0x21, 0, len(shrunk), size, 1, 0)
            + b"a"
            + shrunk
        )

    shrunk = zlib.compress(bytes(10_000_000), 9, wbits=-15)
    for size in (10, 0, 2**31):
        body = head(size, shrunk)
        with pytest.raises(ValueError, match=r"size|together|cut"):
            unpacked(body + hashlib.sha256(body).hexdigest().encode())
