"""Points of the field in a real browser: listed, read from a file, tried on the map, kept or discarded."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
import shapely
from browser import PHONE
from made_plans import Made, made_plan, with_scouting
from read_page import data, read

from zoning.plan import Scouted
from zoning.show import page as pages

PLAN = made_plan(Made(labels=[[1, 2], [3, 3]], pass_of_zone={1: 1}, cell_m=200.0))
HOSTILE = '</script><img src=x onerror="document.title=1">'


def inside(zone):
    (found,) = (one.outline.representative_point() for one in PLAN.zones if one.zone == zone)
    return found.y, found.x


def csv(*rows, head="date,lat,lon,stage,k,n,note,photo"):
    return "\n".join([head, *rows]).encode()


def row(zone, rest, day="2026-07-01"):
    lat, lon = inside(zone)
    return f"{day},{lat:.6f},{lon:.6f},{rest}"


@pytest.fixture
def opened(open_page, tmp_path):
    def open_plan(plan=None, **more):
        path = tmp_path / "page.html"
        pages.write(plan or with_scouting(PLAN, counted=[1], low=[3]), path)
        return open_page(path, **more)

    return open_plan


def choose(page, content, name="walk.csv", kind="text/csv"):
    page.locator("#f-points").set_input_files([{"name": name, "mimeType": kind, "buffer": content}])
    page.wait_for_function("document.querySelector('#scouting [role=status]').textContent !== ''")
    return page.locator("#scouting [role=status]").inner_text()


def marks(page):
    return page.locator("#map .point:not([data-at])").count()


def test_the_points_of_the_plan_are_listed_and_shown_on_the_map(opened):
    found = opened()
    buttons = found.page.locator(".seen-points button")
    assert buttons.all_inner_texts() == ["zone 1: 20 plants: 14 R2, 6 R3", "zone 3: low"]
    assert found.page.locator(".seen-points .day").all_inner_texts() == ["Jun 28", "Jun 29"]
    assert not found.page.locator("#seen > h2 + ul").is_visible()
    buttons.nth(1).click()
    assert "low" in found.page.locator("#map-point").inner_text()
    assert "zone 3" in found.page.locator("#map-point").inner_text()
    found.check_quiet()


def test_read_points_are_shown_before_they_are_kept_and_stay_after_a_reload(opened):
    found = opened()
    page = found.page
    status = choose(page, csv(row(2, "R3,4,20,wet,a.jpg"), row(3, "R3,40,20,,"), row(1, "R2,,,,")))
    assert status == "2 points of 3 rows read from walk.csv. Not used: 1 row."
    assert "column date; as latitude: lat; as longitude: lon" in page.locator("#scouting").inner_text()
    assert "walk.csv:3: 40 of 20 plants cannot be at R3" in page.locator("#scouting").inner_text()
    assert marks(page) == 2
    texts = page.locator("#scouting .points button").all_inner_texts()
    assert texts == ["zone 2: 4 of 20 at or past R3, wet, photo a.jpg", "zone 1: R2 noted"]
    page.reload()
    assert marks(page) == 0  # they were not kept
    choose(page, csv(row(2, "R3,4,20,wet,a.jpg")))
    page.get_by_role("button", name="Keep these points").click()
    assert marks(page) == 1
    page.reload()
    assert marks(page) == 1
    kept = page.locator(".mark-fresh").inner_text()
    assert "1 point read in this page, not yet in the plan" in kept
    assert "sprayworth scout FIELD --add FILE" in kept
    page.locator("#scouting .points button").first.click()
    assert "4 of 20 at or past R3" in page.locator("#map-point").inner_text()
    status = choose(page, csv(row(2, "R3,4,20,wet,a.jpg")))
    assert "1 point stood here already" in status
    page.get_by_role("button", name="Close").click()
    page.get_by_role("button", name="Forget them").click()
    assert marks(page) == 0
    page.reload()
    assert page.locator(".mark-fresh").inner_text() == ""
    found.check_quiet()


def test_discarded_points_leave_the_map(opened):
    page = opened().page
    choose(page, csv(row(1, "R2,,,,"), row(2, "R2,,,,")))
    assert marks(page) == 2
    page.get_by_role("button", name="Discard them").click()
    assert marks(page) == 0
    assert page.locator("#scouting button:visible").count() == 0
    assert page.locator("#scouting [role=status]").inner_text() == "Nothing was kept of the file."


def test_points_that_are_in_the_plan_by_now_are_kept_no_longer(opened):
    page = opened().page
    choose(page, csv(row(2, "R2,,,,")))
    page.get_by_role("button", name="Keep these points").click()
    lat, lon = inside(2)
    seen = Scouted(on=date(2026, 7, 1), lon=lon, lat=lat, zone=2, kind="count", text="R2 noted")
    # the same page of the same zones, made again with the point in it
    store = page.evaluate("JSON.stringify(window.localStorage)")
    again = opened(replace(PLAN, scouting=(seen,))).page
    again.evaluate("(text) => Object.assign(window.localStorage, JSON.parse(text))", store)
    again.reload()
    assert again.locator(".mark-fresh").inner_text() == ""
    assert marks(again) == 0
    assert again.locator(".seen-points button").count() == 1


def test_the_zone_of_a_point_is_the_one_it_lies_in(opened):
    page = opened().page
    random = np.random.default_rng(3)
    west, south, east, north = PLAN.boundary.bounds
    spots = [(random.uniform(south, north), random.uniform(west, east)) for _ in range(40)]
    true = [
        next((one.zone for one in PLAN.zones if one.outline.contains(shapely.Point(lon, lat))), None)
        for lat, lon in spots
    ]
    rows = [f"2026-07-01,{lat:.7f},{lon:.7f},,,,note {at}," for at, (lat, lon) in enumerate(spots)]
    choose(page, csv(*rows))
    found = page.locator("#scouting .points button").all_inner_texts()
    assert sorted(found) == sorted(
        f"zone {zone}: note {at}" for at, zone in enumerate(true) if zone is not None
    )
    assert len(found) > 30


@pytest.mark.parametrize(
    ("content", "name", "kind", "said"),
    [
        (b"", "empty.csv", "text/csv", "The file is empty"),
        (bytes.fromhex("ffd8ffe000104a46494600"), "leaf.jpg", "image/jpeg", "This is a picture."),
        (bytes.fromhex("ffd8ffe000104a46494600"), "leaf.csv", "text/csv", "not a text table"),
        (b"x," * 2_600_000, "large.csv", "text/csv", "larger than 5 MB"),
        (b"{}", "walk.geojson", "application/json", "no GeoJSON features"),
        (b"date,stage\n2026-07-01,R3\n", "walk.csv", "text/csv", "There is no column lat or lon"),
        (b"<gpx/>", "walk.gpx", "", "--add FILE"),
    ],
)
def test_a_wrong_file_is_refused_in_one_sentence(opened, content, name, kind, said):
    found = opened()
    status = choose(found.page, content, name, kind)
    assert said in status
    assert marks(found.page) == 0
    assert not found.page.get_by_role("button", name="Keep these points").is_visible()
    found.check_quiet()


def test_no_more_than_twenty_reasons_are_listed(opened):
    page = opened().page
    choose(page, csv(*(row(1, "R9,,,,") for _ in range(30))))
    reasons = page.locator("#scouting li")
    assert reasons.count() == 21
    assert reasons.last.inner_text().startswith("and 10 more")


def test_points_outside_are_said(opened):
    page = opened().page
    lat, lon = inside(1)
    status = choose(page, csv(row(1, "R2,,,,"), f"2026-07-01,{lat + 0.01:.6f},{lon:.6f},R2,,,,"))
    assert status == "1 point of 2 rows read from walk.csv. Not used: 1 row."
    assert "outside the boundary" in page.locator("#scouting").inner_text()


def test_hostile_cells_are_words(opened):
    found = opened()
    page = found.page
    title = page.title()
    quoted = '"' + HOSTILE.replace('"', '""') + '"'
    head = f"date,lat,lon,stage,note,{HOSTILE.replace(',', '')}"
    choose(page, csv(row(1, f"R2,{quoted},x"), row(2, f"{quoted},,x"), head=head), f"{HOSTILE[:12]}.csv")
    page.get_by_role("button", name="Keep these points").click()
    page.reload()
    assert HOSTILE in page.locator("#scouting").inner_text()
    assert page.title() == title
    assert page.locator("#scouting img").count() == 0
    found.check_quiet()


@pytest.mark.parametrize(
    "stored",
    ["{", "7", "[null, 3, {}]", '[{"on": "x", "lon": 1, "lat": 2, "zone": 1}]', '[{"lon": "a"}]'],
)
def test_a_store_that_holds_something_else_is_passed_over(opened, stored):
    found = opened()
    key = f"sprayworth points {PLAN.zones_id}"
    found.page.evaluate("([key, text]) => localStorage.setItem(key, text)", [key, stored])
    found.page.reload()
    assert marks(found.page) == 0
    assert found.page.locator("#f-points").is_visible()
    found.check_quiet()


def test_many_points_are_folded_and_a_phone_needs_no_sideways_scroll(opened):
    lat, lon = inside(1)
    many = tuple(
        Scouted(on=date(2026, 7, 1), lon=lon, lat=lat, zone=1, kind="note", text=f"row {at} " + "long" * 30)
        for at in range(40)
    )
    found = opened(replace(PLAN, scouting=many), size=PHONE)
    assert not found.page.locator(".seen-points button").first.is_visible()
    found.page.locator("#seen details > summary").first.click()
    assert found.page.locator(".seen-points button").count() == 40
    choose(found.page, csv(row(2, "R2,,,,")))
    assert found.page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    sizes = found.page.evaluate(
        "[...document.querySelectorAll(':is(.seen-points, #scouting) button')].map((one) => one.offsetHeight)"
    )
    assert min(sizes) >= 44
    found.check_quiet()


def test_without_scripts_the_points_stand_in_the_page(opened):
    found = opened(scripts=False)
    assert "20 plants: 14 R2, 6 R3" in found.page.locator("#seen").inner_text()
    assert found.page.locator("#f-points").count() == 0


def test_the_data_of_a_page_is_what_the_plan_holds():
    plan = with_scouting(PLAN, counted=[1], low=[3])
    text = pages.text(plan)
    held = data(read(text))
    assert [one["zone"] for one in held["scouting"]["points"]] == [1, 3]
    assert held["scouting"]["points"][0]["source"] == "scouting.csv:2"
