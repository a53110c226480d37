"""decisions.json: what the page saves, and everything that can be wrong with it, told in one go."""

import json
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.errors import CONTENT, SETTINGS, WORLD, InputError
from zoning.inputs.decisions import REASON_MOST, is_hidden, read

WHOLE = {
    "schema_version": 1,
    "kind": "sprayworth decisions",
    "zones_id": "1c72dcbf19de0ca2",
    "run_id": "44",
    "field": "Home",
}
ONE = {
    "zone": 3,
    "action": "spray",
    "rate_gal_ac": 15.0,
    "reason": "beside the road",
    "decided_on": "2026-07-09",
}


def written(folder, *decisions, **changes) -> Path:
    path = folder / "decisions.json"
    path.write_text(json.dumps({**WHOLE, "decisions": list(decisions), **changes}), encoding="utf-8")
    return path


def faults(path: Path) -> list[str]:
    with pytest.raises(InputError) as caught:
        read(path, path.name)
    assert {one.code for one in caught.value.faults} == {CONTENT}
    return [str(one) for one in caught.value.faults]


def test_what_the_page_saves_is_read(tmp_path):
    found = read(written(tmp_path, ONE, {"zone": 5, "action": "skip", "reason": "  pond "}), "decisions.json")
    assert (found.zones_id, found.field, found.file) == ("1c72dcbf19de0ca2", "Home", "decisions.json")
    first, second = found.made
    assert (first.zone, first.action, first.rate_gal_ac) == (3, "spray", 15.0)
    assert str(first.decided_on) == "2026-07-09"
    assert (second.action, second.rate_gal_ac) == ("skip", None)
    assert (second.reason, second.decided_on) == ("pond", None)


def test_a_rate_alone_is_a_decision_and_none_is_fine(tmp_path):
    assert read(written(tmp_path, {**ONE, "action": None}), "d").made[0].rate_gal_ac == 15.0
    assert read(written(tmp_path), "d").made == ()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"zone": "3"}, "zone is missing or no whole number"),
        ({"zone": True}, "zone is missing or no whole number"),
        ({"zone": 0}, "zone is missing or no whole number"),
        ({"action": "Spray!"}, 'action is "Spray!"'),
        ({"action": ["spray"]}, 'action is ["spray"]'),
        ({"action": None, "rate_gal_ac": None}, "neither action nor rate"),
        ({"action": "skip"}, "a zone that is skipped has no rate"),
        ({"rate_gal_ac": "15"}, 'rate_gal_ac is "15"'),
        ({"rate_gal_ac": False}, "rate_gal_ac is false"),
        ({"rate_gal_ac": -15}, "rate_gal_ac is -15"),
        ({"rate_gal_ac": 10**400}, "rate_gal_ac is 1000"),
        ({"reason": None}, "the reason is missing"),
        ({"reason": " \t "}, "the reason is missing"),
        ({"reason": 7}, "the reason is missing"),
        ({"reason": "a" * (REASON_MOST + 1)}, "the reason has 301 letters"),
        ({"reason": "one\ntwo"}, "letters that do not show"),
        ({"reason": "x\u202ey"}, "letters that do not show"),
        ({"reason": "x\x1b[31my"}, "letters that do not show"),
        ({"reason": "x\ud800y"}, "letters that do not show"),
        ({"decided_on": "9 July"}, 'decided_on is "9 July"'),
        ({"decided_on": 20260709}, "decided_on is 20260709"),
    ],
)
def test_one_thing_wrong_is_named(tmp_path, change, said):
    (fault,) = faults(written(tmp_path, {**ONE, **change}))
    assert said in fault
    assert "decisions.json: " in fault


def test_everything_wrong_is_told_together(tmp_path):
    bad = {"zone": 4, "action": "spray", "rate_gal_ac": "x", "reason": ""}
    told = faults(written(tmp_path, ONE, ONE, bad, 7, field=None))
    assert len(told) == 5
    assert "field is missing" in told[0]
    assert "zone 3 is decided twice, in decision 1 as well" in told[1]
    assert "zone 4: rate_gal_ac" in told[2]
    assert "zone 4: the reason is missing" in told[3]
    assert "decision 4: it is no object" in told[4]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\x89PNG\r\n\x1a\n\x00\x00\xff\xd8", "perhaps a picture"),
        (b"{", "line 1 is no JSON"),
        (b"", "line 1 is no JSON"),
        (b"[]", "another kind of file"),
        (b'{"schema_version": 1, "zones": []}', "another kind of file"),
        (b"[" * 100_000, "no file of decisions"),
        (b'{"kind": NaN}', "no file of decisions"),
        (b'{"kind": "sprayworth decisions", "decisions": []}', "schema_version is missing"),
        (b'{"kind": "sprayworth decisions", "schema_version": 1}', "decisions is missing"),
        (b'{"kind": "sprayworth decisions", "schema_version": 2}', "a newer version made this file"),
        (b" " * 2_000_001, "too large"),
    ],
)
def test_another_file_is_refused_in_one_sentence(tmp_path, content, said):
    path = tmp_path / "decisions.json"
    path.write_bytes(content)
    (fault,) = faults(path)
    assert said in fault


def test_a_file_that_is_not_there_is_code_2_and_one_that_may_not_be_read_code_4(tmp_path):
    for path in (tmp_path / "none.json", tmp_path):
        with pytest.raises(InputError) as caught:
            read(path, path.name)
        assert caught.value.code == SETTINGS
    path = written(tmp_path, ONE)
    path.chmod(0)
    if os.access(path, os.R_OK):
        pytest.skip("this user may read everything")
    with pytest.raises(InputError) as caught:
        read(path, path.name)
    assert caught.value.code == WORLD


@given(reason=st.text(max_size=310))
def test_any_reason_is_read_as_it_is_or_refused(tmp_path_factory, reason):
    path = written(tmp_path_factory.mktemp("any"), {**ONE, "reason": reason})
    plain = reason.strip()
    if not plain or len(plain) > REASON_MOST or is_hidden(plain):
        assert len(faults(path)) == 1
    else:
        assert read(path, path.name).made[0].reason == plain
