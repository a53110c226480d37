"""Who may ask the desk: its own page in this computer's browser, with the token, and nobody else."""

import json
import os

import pytest
from made_desks import HERE, PORT, Desk, listing

from zoning.desk import asked
from zoning.desk.opened import opened
from zoning.errors import InputError

OK = {"origin": HERE, "content-type": "application/json"}
CHANGES = [
    *("decisions", "counts/add", "counts/correct", "counts/strike"),
    *("zones/number", "zones/merge", "zones/split", "zones/back", "run"),
]


def inputs(desk):
    return listing(desk.folder.parent)


def test_the_token_goes_into_a_cookie_that_no_script_reads_and_out_of_the_address(desk):
    answer = desk.client.get(f"/?token={desk.keys.token}")
    assert answer.status_code == 303
    assert desk.keys.token not in answer.headers["location"]
    cookie = answer.headers["set-cookie"]
    for part in ("HttpOnly", "SameSite=Strict", f"Path=/{desk.keys.place}/"):
        assert part in cookie
    assert "Domain" not in cookie


def test_what_a_browser_is_started_with_lets_in_once(desk):
    first = desk.client.get(f"/?token={desk.keys.once}")
    assert first.status_code == 303
    assert desk.keys.once not in first.headers["set-cookie"]
    assert desk.client.get(f"/?token={desk.keys.once}").status_code == 403
    assert desk.client.get(f"/?token={desk.keys.token}").status_code == 303


@pytest.mark.parametrize("token", ["", "?token=", "?token=x", "?other=1"])
def test_without_the_right_token_nobody_comes_in(desk, token):
    assert desk.client.get(f"/{token}").status_code == 403


def test_each_start_has_a_token_and_a_place_of_its_own(desk):
    other = Desk(desk.folder)
    assert {other.keys.token, other.keys.place}.isdisjoint({desk.keys.token, desk.keys.place})
    assert len(desk.keys.token) >= 40


@pytest.mark.parametrize("path", ["", "progress", "state", "compare?with=x"])
def test_without_the_cookie_nothing_is_read(desk, path):
    desk.client.cookies.clear()
    assert desk.get(path).status_code == 403


def test_a_wrong_cookie_is_none(desk):
    desk.client.cookies.clear()
    for text in ("desk=wrong", f"desk={desk.keys.token}x", 'desk="', "other=1", "desk=\xe9"):
        answer = desk.get("state", headers={"cookie": text.encode("latin-1")})
        assert answer.status_code == 403


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1", f"127.0.0.1:{PORT + 1}", f"evil.example:{PORT}", "[::1]:4711"]
)
def test_a_name_that_somebody_made_lead_here_is_refused(desk, host):
    assert desk.get("state", headers={"host": host}).status_code == 421
    assert desk.client.get(f"/?token={desk.keys.token}", headers={"host": host}).status_code == 421


def test_localhost_is_this_computer_too(desk):
    there = {"host": f"localhost:{PORT}", "cookie": f"desk={desk.keys.token}"}
    assert desk.get("state", headers=there).status_code == 200


@pytest.mark.parametrize("path", CHANGES)
@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"origin": "https://evil.example"},
        {"origin": "null"},
        {"origin": f"http://127.0.0.1:{PORT + 1}"},
        {"origin": f"https://127.0.0.1:{PORT}"},
        {"origin": HERE, "sec-fetch-site": "cross-site"},
        {"origin": HERE, "sec-fetch-site": "same-site"},
        {"origin": HERE, "sec-fetch-site": "none"},
    ],
)
def test_another_page_changes_nothing(desk, path, headers):
    before = inputs(desk)
    answer = desk.client.post(
        desk.at(path), content="{}", headers={"content-type": "application/json"} | headers
    )
    assert answer.status_code == 403
    assert inputs(desk) == before


@pytest.mark.parametrize("path", CHANGES)
def test_asking_by_get_changes_nothing(desk, path):
    before = inputs(desk)
    assert desk.get(path).status_code == 405
    assert inputs(desk) == before


def test_looking_at_everything_changes_nothing(desk):
    before = inputs(desk)
    for path in ("", "progress", "state", "compare?with=x"):
        desk.get(path)
    assert inputs(desk) == before


@pytest.mark.parametrize("path", CHANGES)
@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""]
)
def test_what_a_plain_form_can_send_is_refused(desk, path, kind):
    answer = desk.client.post(desk.at(path), content="{}", headers=OK | {"content-type": kind})
    assert answer.status_code == 415


@pytest.mark.parametrize("path", CHANGES)
@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", "null", "3", '"text"', '{"most": NaN}', "[" * 50_000, "\xff", r'{"reason": "\ud800"}'],
)
def test_broken_json_is_refused(desk, path, text):
    before = inputs(desk)
    answer = desk.client.post(desk.at(path), content=text.encode("latin-1"), headers=OK)
    assert answer.status_code == 415
    assert inputs(desk) == before


@pytest.mark.parametrize("path", CHANGES)
def test_too_much_is_refused(desk, path):
    answer = desk.post(path, {"reason": "x" * (asked.MOST_BYTES + 1)})
    assert answer.status_code == 413


def test_too_much_in_pieces_is_refused_too(desk):
    async def pieces():
        for _ in range(1 + asked.MOST_BYTES // 10_000):
            yield b" " * 10_000

    assert desk.client.post(desk.at("run"), content=pieces(), headers=OK).status_code == 413


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"])
def test_no_other_way_of_asking_is_known(desk, method):
    answer = desk.client.request(method, desk.at("state"), headers=OK)
    assert answer.status_code == 405
    assert "access-control-allow-origin" not in answer.headers


@pytest.mark.parametrize("path", ["", "state", "progress", "field/9/", "nothing"])
def test_every_answer_has_the_headers_of_a_careful_page(desk, path):
    for answer in (desk.get(path), desk.client.get("/"), desk.client.get("/elsewhere")):
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "no-referrer"
        assert answer.headers["cache-control"] == "no-store"
        policy = answer.headers["content-security-policy"]
        assert policy.startswith("default-src 'none'")
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert "server" not in answer.headers


def test_the_page_may_ask_its_own_server_and_nothing_else(desk):
    answer = desk.get("")
    assert answer.status_code == 200
    policy = answer.headers["content-security-policy"].split("; ")
    assert "connect-src 'self'" in policy
    assert not any(part.startswith(("img-src", "font-src")) and "http" in part for part in policy)


@pytest.mark.parametrize(
    "path",
    [
        "field/1/../../../etc/passwd",
        "field/1/%2e%2e/%2e%2e/farm.toml",
        "field/1/out/plan.json",
        "field/1/history/x.json",
        "field/0/",
        "field/-1/",
        "field/2/",
        "field/1e0/",
        "field/99999999999999999999/state",
        "field/./1/state/..",
    ],
)
def test_no_path_leads_to_a_file(desk, path):
    answer = desk.client.get(f"/{desk.keys.place}/{path}")
    assert answer.status_code in (403, 404, 405)
    assert b"root:" not in answer.content
    assert b"grain_price" not in answer.content


@pytest.mark.parametrize(
    "name", ["../out/plan.json", "x.json", "", "../../farm.toml", "/etc/passwd", "\0", "." * 5000]
)
def test_an_earlier_plan_goes_by_a_name_of_the_list(desk, name):
    answer = desk.get("compare", params={"with": name})
    assert answer.status_code == 422
    assert "no such earlier plan" in answer.json()["lines"][0]


def test_a_page_whose_scripts_are_not_ours_is_not_shown(desk):
    path = desk.folder / "out" / "page.html"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("</body>", "<script>alert(1)</script></body>"), encoding="utf-8")
    answer = desk.get("")
    # the policy names the only script that may run, and the other one is not it
    assert answer.headers["content-security-policy"].count("script-src 'sha256-") == 1
    path.write_text(text.replace('"use strict";', '"use strict"; alert(1);', 1), encoding="utf-8")
    assert "alert(1)" not in desk.get("").text
    desk.runner.wait(120.0)


@pytest.mark.skipif(os.name != "posix", reason="links")
@pytest.mark.parametrize(
    ("link", "path", "thing"),
    [
        ("decisions.json", "decisions", {}),
        ("overrides.jsonl", "zones/number", {"most": 2, "reason": "two are enough"}),
        ("field.toml", "zones/number", {"most": 2, "reason": "two are enough"}),
        (
            "scouting.csv",
            "counts/add",
            {"cells": {"date": "2026-07-08", "x": 60, "y": 60, "r2": 20, "r1": 0}},
        ),
        ("zones_by_hand.gpkg", "zones/merge", {"zones": [1, 2], "reason": "alike"}),
        ("history", "zones/merge", {"zones": [1, 2], "reason": "alike"}),
    ],
)
def test_a_link_out_of_the_folder_is_not_followed(desk, tmp_path, link, path, thing):
    plan = desk.plan()
    own, outside = desk.folder / link, tmp_path / "outside"
    if link == "history":
        outside.mkdir()
    else:
        outside.write_bytes(own.read_bytes() if own.exists() else b"")
        own.unlink(missing_ok=True)
    own.symlink_to(outside)
    before = listing(tmp_path)
    if path == "decisions":
        one = {"zone": 3, "action": "spray", "reason": "seen"}
        thing = {
            "schema_version": 1,
            "kind": "sprayworth decisions",
            "field": plan["field"],
            "decisions": [one],
        }
    answer = desk.post(path, {"zones_id": plan["zones_id"]} | thing)
    assert answer.status_code == 503, answer.text
    assert "lies outside" in answer.json()["lines"][0]
    now = listing(tmp_path)
    changed = {name for name in now if now[name] != before.get(name)} - {"farm/three_dates/overrides.jsonl"}
    assert changed == set()


@pytest.mark.skipif(os.name != "posix", reason="links")
def test_a_result_that_is_a_link_out_of_the_folder_is_not_shown(desk, tmp_path):
    (desk.folder / "out").rename(tmp_path / "outside")
    (desk.folder / "out").symlink_to(tmp_path / "outside")
    answer = desk.get("", headers={"accept": "text/html"})
    assert answer.status_code == 503
    assert "lies outside" in answer.text
    assert 'id="desk-run"' not in answer.text
    assert desk.get("state").status_code == 503


@pytest.mark.skipif(os.name != "posix", reason="links")
@pytest.mark.parametrize("name", ["out", "strips", "history"])
def test_a_run_writes_through_no_link(desk, tmp_path, name):
    own, outside = desk.folder / name, tmp_path / "outside"
    if own.exists():
        own.rename(outside)
    else:
        outside.mkdir()
    own.symlink_to(outside)
    before = listing(outside)
    assert desk.post("run", {}).status_code == 503
    assert listing(outside) == before


@pytest.mark.skipif(os.name != "posix", reason="links")
@pytest.mark.parametrize("name", ["out", "out.new", "out.last"])
def test_a_farm_writes_through_no_link(folder, tmp_path, name):
    (folder.parent / name).symlink_to(tmp_path, target_is_directory=True)
    farm = opened(folder.parent)
    with pytest.raises(InputError, match="lies outside"):
        farm.check_written(farm.fields[0])


@pytest.mark.skipif(os.name != "posix", reason="links")
def test_a_link_that_leads_to_itself_is_said(desk):
    (desk.folder / "decisions.json").symlink_to(desk.folder / "decisions.json")
    answer = desk.post("zones/number", {"most": 2, "reason": "two are enough"})
    assert answer.status_code == 503
    assert "leads to itself" in answer.json()["lines"][0]


def test_a_result_that_may_not_be_read_is_said(desk, monkeypatch):
    def refuse(_path):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(desk.folder), "read_bytes", refuse)
    answer = desk.get("", headers={"accept": "text/html"})
    assert answer.status_code == 503
    assert "page.html: cannot be read (permission denied)" in answer.text


@pytest.mark.skipif(os.name != "posix", reason="links")
def test_a_field_of_a_farm_that_lies_elsewhere_is_named_and_not_opened(folder, tmp_path):
    (folder.parent / "borrowed").symlink_to(tmp_path, target_is_directory=True)
    (tmp_path / "field.toml").write_text((folder / "field.toml").read_text())
    found = opened(folder.parent)
    assert [one.name for one in found.fields] == ["three_dates"]
    assert found.elsewhere == ("borrowed",)
    desk = Desk(folder.parent)
    assert "borrowed is a link" in desk.client.get(f"/{desk.keys.place}/").text


def test_a_folder_that_is_neither_field_nor_farm_is_named(tmp_path):
    with pytest.raises(InputError, match="neither a field nor a farm") as caught:
        opened(tmp_path)
    assert caught.value.code == 2


@pytest.mark.parametrize("named", ["by its plan", "by its folder"])
def test_names_of_fields_are_harmless_in_the_list(folder, named):
    bad = "<img src=x onerror=alert(1)>"
    path = folder / "out" / "plan.json"
    if named == "by its plan":
        path.write_text(json.dumps(json.loads(path.read_text(encoding="utf-8")) | {"field": bad}))
    else:  # without a plan nothing else names it
        path.unlink()
        folder.rename(folder.parent / bad)
    desk = Desk(folder.parent)
    text = desk.client.get(f"/{desk.keys.place}/").text
    assert "<img" not in text
    assert "&lt;img src=x" in text


def test_what_is_told_is_json(desk):
    answer = desk.post("zones/number", {"most": "<script>", "reason": "x"})
    assert answer.headers["content-type"] == "application/json"
    assert json.loads(answer.text)["lines"]
