"""What a hostile page, a slow sender or a mailed farm can do to the desk: nothing, and it never breaks.

Who may ask at all is tried in tests/desk/test_trust.py; here whoever asks holds the token.
"""

import asyncio
import json
import shutil
import socket
import string
import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from types import SimpleNamespace
from urllib.parse import quote, urlsplit

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_desks import HERE, Desk, demo_farm, listing, planned

from zoning.desk import asked
from zoning.desk.changes import CHANGES
from zoning.desk.running import How
from zoning.desk.served import serve

PATHS = sorted(CHANGES)
FINE = {200, 202, 409, 413, 415, 422, 503}


class Shown(Desk):
    """A desk that is told in few letters where a property fails."""

    def __repr__(self) -> str:
        return "the desk"


@pytest.fixture(scope="module")
def made_once(tmp_path_factory):
    pytest.importorskip("starlette", reason="the desk is an extra")
    farm = demo_farm(tmp_path_factory.mktemp("desk") / "farm", "three_dates")
    planned(farm / "three_dates")
    return farm


@pytest.fixture
def desk(made_once, tmp_path):
    shutil.copytree(made_once, tmp_path / "farm")
    return Shown(tmp_path / "farm" / "three_dates")


@pytest.fixture(scope="module")
def one_desk(made_once, tmp_path_factory):
    farm = tmp_path_factory.mktemp("fuzzed") / "farm"
    shutil.copytree(made_once, farm)
    return Shown(farm / "three_dates")


# -- odd bodies ----------------------------------------------------------------------------------------------

ODD = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**40), 10**40),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(st.characters(exclude_categories=("Cs",)), max_size=8),
    st.sampled_from(
        ["../../x", "C:\\x", "CON", "=1+1", "<script>", "\u202e", "\x00", "1e999", "2026-13-45", "NaN"]
    ),
)
THINGS = st.recursive(
    ODD,
    lambda more: (
        st.lists(more, max_size=3) | st.dictionaries(st.text(string.printable, max_size=4), more, max_size=3)
    ),
)
KEYS = [
    "zones_id",
    "reason",
    "most",
    "zones",
    "zone",
    "line",
    "file",
    "key",
    "cells",
    "decisions",
    "field",
    "kind",
]
CELLS = st.dictionaries(
    st.sampled_from(["date", "x", "y", "lat", "lon", "n", "v", "r1", "r2", "lesions", "note"]), THINGS
)


def near(plan):
    """Bodies that are nearly right: what the page would send, with some of it odd."""
    right = {
        "zones_id": plan["zones_id"],
        "reason": "seen",
        "most": 2,
        "zones": [1, 2],
        "zone": 1,
        "line": [[10, 10], [300, 10]],
        "file": 1,
        "line_of": 2,
        "key": "",
        "cells": {"date": "2026-07-08", "x": 60, "y": 60, "r2": 20, "r1": 0},
        "schema_version": 1,
        "kind": "sprayworth decisions",
        "field": plan["field"],
        "decisions": [{"zone": 3, "action": "spray", "reason": "seen"}],
    }
    wrong = st.dictionaries(st.sampled_from(KEYS), THINGS | CELLS, min_size=1, max_size=3)
    return st.builds(
        lambda odd, less: {k: v for k, v in (right | odd).items() if k != less}, wrong, st.sampled_from(KEYS)
    )


def test_no_body_breaks_the_desk(one_desk):
    plan = one_desk.plan()
    outside = listing(one_desk.folder.parent.parent)
    name = one_desk.folder.relative_to(one_desk.folder.parent.parent).as_posix()

    @settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow])
    @given(st.sampled_from(PATHS), THINGS | near(plan))
    def tried(path, thing):
        answer = one_desk.post(path, thing)
        assert answer.status_code in FINE, (answer.status_code, answer.text)
        lines = answer.json()["lines"]
        assert lines
        assert all(line.isprintable() for line in lines)
        assert str(one_desk.folder.parent) not in answer.text
        assert "Traceback" not in answer.text

    tried()
    now = listing(one_desk.folder.parent.parent)
    assert {path for path in now if not path.startswith(f"{name}/")} == {
        path for path in outside if not path.startswith(f"{name}/")
    }
    assert one_desk.get("state").status_code == 200


@settings(max_examples=60)
@given(st.binary(max_size=60))
def test_no_bytes_break_the_reader_of_bodies(raw):
    async def stream():
        yield raw

    request = SimpleNamespace(headers={"content-type": "application/json"}, stream=stream)
    # a thread of its own: the browser of other tests leaves a running loop in this one
    with ThreadPoolExecutor(1) as hand, suppress(asked.NoJsonError, asked.TooLargeError):
        assert isinstance(hand.submit(asyncio.run, asked.body(request)).result(), dict)


# -- odd paths -----------------------------------------------------------------------------------------------

UP = [
    "..",
    "%2e%2e",
    "%2E%2E",
    ".%2e",
    "..%2f",
    "..%5c",
    "..\\",
    "%252e%252e",
    "..;",
    "%c0%ae%c0%ae",
    "%00",
    "....//",
]


@pytest.mark.parametrize("up", UP)
def test_no_path_leads_out_of_the_folder(desk, up):
    for path in (
        f"field/1/{up}/{up}/farm.toml",
        f"{up}/{up}/{up}/{up}/etc/passwd",
        f"field/{up}1/state",
        f"field/1/{up}out/plan.json",
        f"field/1/compare?with={quote(up)}/plan.json",
        f"//127.0.0.1/{up}",
    ):
        answer = desk.client.get(f"/{desk.keys.place}/{path}")
        assert answer.status_code in (400, 403, 404, 405, 422), path
        assert b"grain_price" not in answer.content
        assert b"root:" not in answer.content
        assert b'"zones"' not in answer.content


def test_no_answer_tells_of_the_machine(desk, tmp_path):
    """Neither where the folder lies, nor what runs there, nor where a fault arose."""
    (desk.folder / "field.toml").write_text("name = 3\nboundary = 4\n[[", encoding="utf-8")
    answers = [desk.get(path) for path in ("", "state", "progress", "compare?with=x", "nothing")]
    answers += [desk.post(path, {"reason": "x", "most": 2}) for path in PATHS]
    answers += [
        desk.client.get("/"),
        desk.client.get("/?token=x"),
        desk.client.get("/x", headers={"host": "x"}),
    ]
    for answer in answers:
        assert answer.status_code < 500 or answer.status_code == 503
        for secret in (str(tmp_path), "site-packages", "Traceback", "starlette", "uvicorn", "Python/"):
            assert secret not in answer.text
            assert secret.lower() not in str(answer.headers).lower()


@pytest.mark.parametrize(
    "whole",
    [
        {"totals": {"spray_ac": "much"}},
        {"totals": {}},
        {"totals": [1]},
        {"field": ["<script>alert(1)</script>"]},
        {"zones": [{"zone": 1}]},
        {"today": "2026-02-30"},
        {"crs": "EPSG:99999999"},
        {"zones": 7},
        {"passes": "x"},
        {"run_id": {}, "zones_id": []},
        {"totals": {"spray_ac": 1, "skip_ac": 1, "net_usd": None}},
        {"area_ha": "x", "schedule": ["farm"]},
    ],
)
def test_a_plan_that_somebody_wrote_breaks_nothing(desk, whole):
    """A farm that came by mail brings its own `out`."""
    path = desk.folder / "out" / "plan.json"
    path.write_text(json.dumps(desk.plan() | whole), encoding="utf-8")
    farm = Shown(desk.folder.parent)
    for answer in (
        farm.client.get(f"/{farm.keys.place}/"),
        farm.get("state"),
        farm.get("progress"),
        farm.post("zones/merge", {"zones_id": "x", "zones": [1, 2], "reason": "y"}),
        farm.post("counts/add", {"cells": {"date": "2026-07-08", "x": 60, "y": 60, "r2": 20, "r1": 0}}),
    ):
        assert answer.status_code in FINE, answer.text
        assert "<script>alert" not in answer.text


# -- a real port ---------------------------------------------------------------------------------------------


@pytest.fixture
def listening(desk):
    pytest.importorskip("uvicorn", reason="the desk is an extra")
    served = serve(desk.folder, How(today=None, clock=desk.clock, alone=False, who="A"))
    address = urlsplit(served.address)

    def run():
        with pytest.raises(KeyboardInterrupt):
            served.run()

    import uvicorn

    started = []
    real = uvicorn.Server
    with pytest.MonkeyPatch.context() as patched:

        class Kept(real):
            def __init__(self, config):
                super().__init__(config)
                started.append(self)

        patched.setattr(uvicorn, "Server", Kept)
        thread = threading.Thread(target=run)
        thread.start()
        yield address
        for one in started:
            one.should_exit = True
        thread.join(30)
        assert not thread.is_alive()


def raw(address, request, *, pieces=1):
    """Send bytes, and give the line of the answer; "" where the desk hangs up."""
    with socket.create_connection((address.hostname, address.port), timeout=20) as there:
        step = max(1, len(request) // pieces)
        try:
            for at in range(0, len(request), step):
                there.sendall(request[at : at + step])
            return there.recv(65536).decode("latin-1").partition("\r\n")[0]
        except ConnectionError:
            return ""


def test_odd_requests_are_refused_and_others_are_served_meanwhile(listening):
    host = f"Host: {listening.netloc}\r\n"
    fine = f"GET / HTTP/1.1\r\n{host}\r\n".encode()
    odd = [
        b"\x16\x03\x01\x02\x00\x01",  # somebody speaks TLS
        b"GET / HTTP/9.9\r\n\r\n",
        b"GET / HTTP/1.1\r\n\r\n",  # no name of the computer
        f"GET / HTTP/1.1\r\n{host}Host: evil.example\r\n\r\n".encode(),
        f"GET / HTTP/1.1\r\n{host}X: {'a' * 300_000}\r\n\r\n".encode(),
        f"GET /{'a' * 300_000} HTTP/1.1\r\n{host}\r\n".encode(),
        f"POST / HTTP/1.1\r\n{host}Content-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n".encode(),
        f"POST / HTTP/1.1\r\n{host}Content-Length: -5\r\n\r\n".encode(),
        f"GET / HTTP/1.1\r\n{host}Upgrade: websocket\r\nConnection: Upgrade\r\n\r\n".encode(),
        f"CONNECT evil.example:80 HTTP/1.1\r\n{host}\r\n".encode(),
    ]
    # those that begin and never end
    slow = [socket.create_connection((listening.hostname, listening.port)) for _ in range(40)]
    for one in slow:
        one.sendall(b"POST / HTTP/1.1\r\nContent-Le")
    for request in odd:
        line = raw(listening, request)
        assert line == "" or line.split()[1][0] == "4", (request[:60], line)
    assert raw(listening, fine, pieces=9).split()[1] == "403"
    for one in slow:
        one.close()


def test_many_requests_at_once_are_all_answered(desk):
    answers = []
    threads = [
        threading.Thread(target=lambda: answers.append(desk.get("progress").status_code)) for _ in range(30)
    ]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert answers == [200] * 30


def test_a_scouting_file_stays_of_a_size_that_can_be_read(desk):
    """A row takes what a form holds and no more, so that a page cannot fill the disk by one request."""
    before = listing(desk.folder)
    cells = {
        "date": "2026-07-08",
        "x": 60,
        "y": 60,
        "r2": 20,
        "r1": 0,
        "note": "x" * (asked.MOST_BYTES - 300),
    }
    answer = desk.post("counts/add", {"cells": cells})
    assert answer.status_code in (422, 200)
    now = listing(desk.folder)
    grown = sum(len(one) for one in now.values()) - sum(len(one) for one in before.values())
    assert grown < 2 * asked.MOST_BYTES


def test_the_address_names_this_computer_only(desk):
    assert desk.keys.address.startswith("http://127.0.0.1:")
    assert HERE.startswith("http://127.0.0.1:")
