"""The desk as people have it: the command, a real port, a browser; what is done there stands in the files."""

import json
import os
import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path
from urllib.parse import urlsplit

import browser
import pytest
from made_desks import Desk, demo_farm, listing

ROOT_OF_CODE = Path(__file__).parents[2]


class Served:
    """The command running, and the address that it printed."""

    def __init__(self, folder, *options: str, before=None) -> None:
        command = [
            sys.executable,
            "-c",
            "from cli.main import main; main()",
            "desk",
            str(folder),
            "--no-browser",
        ]
        self.process = subprocess.Popen(
            [*command, *options],
            cwd=ROOT_OF_CODE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            preexec_fn=before,
        )
        self.address = self.process.stdout.readline().strip()
        self.base = "{0.scheme}://{0.netloc}/".format(urlsplit(self.address))

    def end(self) -> int:
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
        code = self.process.wait(30)
        for stream in (self.process.stdout, self.process.stderr):
            stream.close()
        return code


@pytest.fixture
def serve():
    pytest.importorskip("uvicorn", reason="the desk is an extra")
    served = []

    def start(folder, *options, before=None):
        served.append(Served(folder, *options, before=before))
        return served[-1]

    yield start
    for one in served:
        one.end()


@pytest.fixture
def shown(serve, open_page, folder):
    """The desk of the planned field in a browser, opened with the printed address."""
    one = serve(folder, "--who", "A. Scout")
    opened = open_page(folder, url=one.address, offline=False)
    page = opened.page
    page.wait_for_selector("#desk-rows tr", state="attached", timeout=60_000)
    return one, opened, page


def plan_of(folder):
    return json.loads((folder / "out" / "plan.json").read_text(encoding="utf-8"))


def zones(folder):
    return {one["zone"]: one for one in plan_of(folder)["zones"]}


def says(page, words):
    page.wait_for_selector(f"#desk-told >> text={words}", timeout=120_000)


def run_again(page):
    """Press the button, and wait for the page of the new plan."""
    page.click("#desk-run")
    page.wait_for_selector("#desk-told >> text=/This is the new plan|The plan is as it was/", timeout=120_000)
    page.wait_for_selector("#desk-rows tr", state="attached", timeout=60_000)


def tap(page, x_frac, y_frac):
    page.locator("#map").scroll_into_view_if_needed()
    box = page.locator("#map").bounding_box()
    page.mouse.click(box["x"] + x_frac * box["width"], box["y"] + y_frac * box["height"])


def test_overruled_saved_and_run_again_the_plan_is_another(shown, folder):
    served, opened, page = shown
    assert served.base.startswith("http://127.0.0.1:")
    assert "token" not in page.url
    assert zones(folder)[3]["action"] == "skip"
    page.click('#zone-table tr[data-zone="3"]')
    page.check('#overrule input[value="spray"]')
    page.fill("#overrule-reason", "lesions seen on Tuesday")
    page.click("#overrule button[type=submit]")
    page.click("#desk-save")
    says(page, "1 decision saved")
    run_again(page)
    says(page, "This is the new plan")
    assert zones(folder)[3]["action"] == "spray"
    (line,) = [json.loads(one) for one in (folder / "overrides.jsonl").read_text().splitlines()]
    assert (line["who"], line["zone"], line["reason"]) == ("A. Scout", 3, "lesions seen on Tuesday")
    page.click("#desk-history summary")
    page.click("#desk-compare")
    page.wait_for_selector("#desk-changes >> text=changed since")
    assert "Zone 3: sprayed now, was skipped" in page.inner_text("#desk-changes")
    assert [one for one in opened.requests if not one.startswith(served.base)] == []
    assert opened.errors == []


def test_a_count_tapped_on_the_map_moves_dates_and_can_be_struck_out_again(shown, folder):
    _, opened, page = shown
    before, first = zones(folder), (folder / "scouting.csv").read_bytes()
    page.click("#desk-counts summary")
    tap(page, 0.12, 0.5)
    says_place = page.inner_text("#desk-place")
    assert "marked on the map" in says_place
    page.fill('#desk-count input[name="v"]', "38")
    page.fill('#desk-count input[name="r1"]', "2")
    page.click("#desk-add")
    says(page, "a count is added to scouting.csv")
    added = (folder / "scouting.csv").read_text(encoding="utf-8").splitlines()[-1].split(",")
    run_again(page)
    now = zones(folder)
    moved = [zone for zone in now if now[zone]["stage"]["r3_likely"] != before[zone]["stage"]["r3_likely"]]
    assert moved, added
    page.click("#desk-counts summary")
    page.click("#desk-rows tr:last-child button")
    page.click("#desk-strike")
    says(page, "no reason")
    page.fill('#desk-count input[name="reason"]', "it was another field")
    page.click("#desk-strike")
    says(page, "is struck out")
    assert (folder / "scouting.csv").read_bytes() == first
    assert (
        opened.errors
        == ["Failed to load resource: the server responded with a status of 422 (Unprocessable Entity)"]
        or not opened.errors
    )


def test_zones_are_cut_on_the_map_made_one_and_taken_back(shown, folder):
    _, _, page = shown
    first = plan_of(folder)
    page.click("#desk-zones summary")
    page.fill('#desk-zoning input[name="reason"]', "two soils")
    page.select_option('#desk-zoning select[name="cut"]', "6")
    page.click("#desk-line")
    says(page, "Tap two places")
    box = page.locator('#map a.zone[data-zone="6"] path').first.bounding_box()
    whole = page.locator("#map").bounding_box()
    x = (box["x"] + box["width"] / 2 - whole["x"]) / whole["width"]
    for y in (0.3, 0.6):
        tap(page, x, y)
    page.click("#desk-split")
    says(page, "zone 6 is two")
    run_again(page)
    assert len(plan_of(folder)["zones"]) == len(first["zones"]) + 1
    assert {"6 a", "6 b"} <= {one["name"] for one in plan_of(folder)["zones"]}
    page.click("#desk-zones summary")
    page.fill('#desk-zoning input[name="reason"]', "no, one soil")
    page.click("#desk-back")
    says(page, "taken back")
    run_again(page)
    assert plan_of(folder)["zones_id"] == first["zones_id"]


def test_a_field_without_a_plan_is_run_first_and_then_shown(serve, open_page, tmp_path):
    farm = demo_farm(tmp_path / "farm", "three_dates")
    folder = farm / "three_dates"
    served = serve(folder)
    page = open_page(folder, url=served.address, offline=False).page
    page.wait_for_selector("#steps", timeout=30_000)
    page.wait_for_selector("#desk-run", timeout=120_000)
    assert (folder / "out" / "plan.json").exists()


def test_a_fault_of_the_first_run_is_a_plain_line(serve, open_page, tmp_path):
    folder = demo_farm(tmp_path / "farm", "three_dates") / "three_dates"
    (folder / "boundary.geojson").unlink()
    page = open_page(folder, url=serve(folder).address, offline=False).page
    page.wait_for_selector(".fault >> text=boundary.geojson", timeout=60_000)
    assert page.is_visible("#again")


def test_a_farm_lists_its_fields_and_each_opens(serve, open_page, folder):
    served = serve(folder.parent)
    page = open_page(folder, url=served.address, offline=False).page
    assert "spray 54 of 119 ac" in page.inner_text(".fields")
    page.click("text=Three Dates")
    page.wait_for_selector("#desk-rows tr", state="attached", timeout=60_000)
    page.click("#desk-farm")
    page.wait_for_selector(".fields")


def test_on_a_phone_nothing_runs_off_and_every_button_can_be_hit(serve, open_page, folder):
    opened = open_page(folder, browser.PHONE, url=serve(folder).address, offline=False)
    page = opened.page
    page.wait_for_selector("#desk-rows tr", state="attached", timeout=60_000)
    for summary in page.locator("#desk summary").all():
        summary.click()
    assert page.evaluate("document.documentElement.scrollWidth") <= browser.PHONE[0]
    for one in page.locator(
        "#desk button:visible, #desk input:visible, #desk select:visible, #desk summary"
    ).all():
        assert one.bounding_box()["height"] >= 44
    script = browser.axe()
    if script:
        assert opened.violations(script) == []


def test_interrupted_in_a_run_it_ends_at_once_and_leaves_no_half_written_file(serve, open_page, folder):
    served = serve(folder)
    desk = Desk(folder)
    assert (
        desk.post(
            "counts/add",
            {"cells": {"date": "2026-07-08", "lat": "44.30608", "lon": "-95.408371", "r2": 20, "r1": 0}},
        ).status_code
        == 200
    )
    page = open_page(folder, url=served.address, offline=False).page
    page.wait_for_selector("#desk-rows tr", state="attached", timeout=60_000)
    before = listing(folder)
    page.click("#desk-run")
    says(page, "...")
    assert served.end() == 130  # which waits for no run to come to its end
    assert listing(folder) == before or plan_of(folder)["run_id"]
    assert not (folder / "out.new").exists()
    assert not [name for name in listing(folder) if name.startswith(".")]


def test_it_says_that_it_was_interrupted_where_a_shell_ignores_that(serve, folder):
    served = serve(folder, before=lambda: signal.signal(signal.SIGINT, signal.SIG_IGN))
    opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
    assert opener.open(served.address, timeout=30).status == 200  # by now it listens to interrupts itself
    assert served.end() == 130


def test_nothing_is_written_outside_the_folder(serve, open_page, folder, tmp_path):
    before = listing(tmp_path)
    served = serve(folder)
    page = open_page(folder, url=served.address, offline=False).page
    page.wait_for_selector("#desk-rows tr", state="attached", timeout=60_000)
    page.click("#desk-zones summary")
    page.fill('#desk-zoning input[name="reason"]', "one is enough")
    page.fill('#desk-zoning input[name="most"]', "1")
    page.click("#desk-number")
    says(page, "at most 1 zones in a block")
    run_again(page)
    assert len(zones(folder)) == 3
    served.end()
    now = listing(tmp_path)
    changed = {name for name in {*before, *now} if before.get(name) != now.get(name)}
    assert changed
    assert all(name.startswith("farm/three_dates/") for name in changed)


def test_it_listens_on_this_computer_only_and_the_first_page_waits_for_no_run(serve, folder):
    before = listing(folder)
    served = serve(folder)
    port = urlsplit(served.address).port
    opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
    text = opener.open(served.address, timeout=30).read().decode("utf-8")
    assert 'id="desk-run"' in text
    assert listing(folder) == before
    others = {one[4][0] for one in socket.getaddrinfo(socket.gethostname(), port, socket.AF_INET)}
    for address in others - {"127.0.0.1", "127.0.1.1"}:
        with pytest.raises(OSError, match=r"."), socket.create_connection((address, port), timeout=5):
            pass


@pytest.mark.parametrize("options", [["--port", "1"], ["--port", "70000"], ["--today", "soon"]])
def test_what_cannot_be_is_a_plain_line(folder, options):
    command = [
        sys.executable,
        "-c",
        "from cli.main import main; main()",
        "desk",
        str(folder),
        "--no-browser",
        *options,
    ]
    if options == ["--port", "1"] and os.geteuid() == 0:
        pytest.skip("an administrator may listen there")
    done = subprocess.run(command, cwd=ROOT_OF_CODE, capture_output=True, text=True, timeout=60)
    assert done.returncode in (2, 4)
    assert "Traceback" not in done.stderr


def test_a_folder_that_is_no_field_ends_the_command(tmp_path):
    command = [
        sys.executable,
        "-c",
        "from cli.main import main; main()",
        "desk",
        str(tmp_path),
        "--no-browser",
    ]
    done = subprocess.run(command, cwd=ROOT_OF_CODE, capture_output=True, text=True, timeout=60)
    assert done.returncode == 2
    assert "neither a field nor a farm" in done.stderr
    assert done.stdout == ""


def test_a_port_that_is_taken_is_a_plain_line(serve, folder):
    port = str(urlsplit(serve(folder).address).port)
    command = [sys.executable, "-c", "from cli.main import main; main()", "desk", str(folder), "--no-browser"]
    done = subprocess.run(
        [*command, "--port", port], cwd=ROOT_OF_CODE, capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 4
    assert f"port {port} cannot be used" in done.stderr
