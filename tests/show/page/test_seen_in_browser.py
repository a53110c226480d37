"""The page as people see it: without scripts, on a phone, on paper, by keyboard, without sight."""

import re
import unicodedata

import browser
import pytest
from demo_plan import demo_plan
from made_plans import Made, made_plan, smooth_field

from zoning.show import page

LABELS, BLOCKS = smooth_field(3, shape=(20, 20))
LEAST_TARGET_PX = 44  # for gloves and a moving cab
LEAST_TEXT_PX = 16


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    path = tmp_path_factory.mktemp("page") / "page.html"
    page.write(demo_plan(), path)
    return path


@pytest.fixture(scope="module", params=[1, 2])
def lesser(request, tmp_path_factory):
    """Pages without money, and without passes."""
    path = tmp_path_factory.mktemp("lesser") / "page.html"
    plan = made_plan(
        Made(labels=LABELS, block_of_zone=BLOCKS, cell_m=30, level=request.param, field="F" * 60)
    )
    page.write(plan, path)
    return path


def is_wider_than_the_screen(opened):
    return opened.page.evaluate("document.documentElement.scrollWidth > window.innerWidth")


def test_the_longest_range_of_dates_fits_its_column_on_screens_of_any_width(demo, open_page):
    page = open_page(demo, scripts=False).page
    page.evaluate("document.querySelector('.numbers > div:last-child .n').textContent = 'Aug 29–Sep 12'")
    for width in (360, 480, 641, 820, 1000, 1023, 1024, 1100, 1280, 1500):
        page.set_viewport_size({"width": width, "height": 900})
        too_wide = "[...document.querySelectorAll('.n')].filter(n => n.scrollWidth > n.clientWidth).length"
        assert page.evaluate(too_wide) == 0, width


@pytest.mark.parametrize("size", [browser.DESK, browser.PHONE])
def test_without_scripts_the_whole_decision_is_there(demo, open_page, size):
    opened = open_page(demo, size, scripts=False)
    for name in ("#decision", "#range", "#numbers", "#map", "#legend", "#zone-table", "#calendar", "#zone-3"):
        assert opened.page.is_visible(name), name
    for name in ("#bill", "#seen", "#walks", "#missing", "#cautions", "#evidence summary"):
        assert opened.page.is_visible(name), name
    # what would do nothing is not shown
    for name in ("#controls", "#themes", "#layers", "#detail", "#f-units", "#past"):
        assert not opened.page.is_visible(name), name
    opened.page.click("#evidence summary")
    assert opened.page.is_visible("#evidence dl")
    opened.check_quiet()


def test_a_zone_of_the_map_leads_to_its_story_without_scripts(demo, open_page):
    opened = open_page(demo, scripts=False)
    opened.page.focus("#map a.zone[data-zone='6']")
    opened.page.keyboard.press("Enter")
    opened.page.wait_for_url(lambda url: url.endswith("#zone-6"))  # it fails where that does not come


def test_with_scripts_nothing_is_asked_for_and_nothing_complains(demo, open_page):
    opened = open_page(demo)
    assert opened.page.is_visible("#themes")
    opened.check_quiet()


@pytest.mark.parametrize("size", [browser.PHONE, (320, 640), (768, 1024), browser.DESK])
@pytest.mark.parametrize("scripts", [True, False])
def test_no_sideways_scroll(demo, open_page, size, scripts):
    assert not is_wider_than_the_screen(open_page(demo, size, scripts=scripts))


@pytest.mark.parametrize("size", [browser.PHONE, browser.DESK])
def test_lesser_plans_fit_too_and_complain_of_nothing(lesser, open_page, size):
    opened = open_page(lesser, size)
    assert not is_wider_than_the_screen(opened)
    opened.check_quiet()


def test_at_a_desk_map_and_table_stand_side_by_side(demo, open_page):
    opened = open_page(demo)
    area, table = (opened.page.locator(name).bounding_box() for name in ("#map", "#zone-table"))
    assert area["x"] + area["width"] <= table["x"]
    assert abs(area["y"] - table["y"]) < 150
    assert table["y"] + table["height"] < browser.DESK[1] + 100  # the decision and its reasons on one screen


SMALL_TARGETS = """least => [...document.querySelectorAll(
  'main a[href], summary, button, select, input:not([type=radio]):not([type=checkbox]), fieldset label')]
  .filter(one => one.checkVisibility() && !one.closest('svg'))
  .map(one => [one.outerHTML.slice(0, 90), one.getBoundingClientRect()])
  .filter(([, box]) => box.height < least - 0.5 || box.width < least - 0.5)
  .map(([told, box]) => `${told} ${box.width} x ${box.height}`)"""

SMALL_TEXTS = """least => {
  const found = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const text = walker.currentNode, parent = text.parentElement;
    if (!text.data.trim() || parent.closest('svg, script, style') || !parent.checkVisibility()) continue;
    const size = parseFloat(getComputedStyle(parent).fontSize);
    if (size < least) found.push(`${size}: ${text.data.trim().slice(0, 60)}`);
  }
  return found;
}"""


def test_on_a_phone_targets_are_large_and_so_are_letters(demo, open_page):
    opened = open_page(demo, browser.PHONE)
    opened.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    assert opened.page.evaluate(SMALL_TARGETS, LEAST_TARGET_PX) == []
    assert opened.page.evaluate(SMALL_TEXTS, LEAST_TEXT_PX) == []


def test_on_a_phone_the_controls_are_folded_away(demo, open_page):
    opened = open_page(demo, browser.PHONE)
    assert not opened.page.is_visible("#controls")
    opened.page.tap("#figures summary")
    assert opened.page.is_visible("#f-price")


def test_it_prints_on_one_sheet_with_map_numbers_zones_reasons_and_cautions(demo, open_page, tmp_path):
    pypdf = pytest.importorskip("pypdf")
    opened = open_page(demo)
    opened.page.pdf(path=tmp_path / "page.pdf", prefer_css_page_size=True)
    read = pypdf.PdfReader(tmp_path / "page.pdf")
    assert len(read.pages) == 1
    # Letter, 8.5 x 11 in of 72 points
    assert [round(float(one)) for one in read.pages[0].mediabox[2:]] == [612, 792]
    plan = demo_plan()
    # letters that the font joins, such as fl, count as two
    text = re.sub(r"[\s•]+", " ", unicodedata.normalize("NFKC", read.pages[0].extract_text()))
    for zone in plan.zones:
        assert f"Zone {zone.zone}: {zone.action}" in text
        assert zone.reason.text.split(":")[0][1:] in text
    for caution in plan.cautions:
        assert caution[1:] in text
    assert f"${plan.totals.net_usd:,.0f}" in text
    assert plan.run_id in text
    assert "What if" not in text


@pytest.mark.parametrize("size", [browser.DESK, browser.PHONE])
@pytest.mark.parametrize("are_open", [False, True])
def test_people_who_cannot_see_or_point_can_use_it(demo, open_page, size, are_open):
    script = browser.axe()
    if script is None:
        pytest.skip("axe-core is not installed: npm install --prefix FOLDER axe-core, and name it")
    opened = open_page(demo, size)
    if are_open:
        opened.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    assert opened.violations(script) == []


def test_every_part_can_be_reached_by_keyboard_and_shows_that_it_has_the_focus(demo, open_page):
    opened = open_page(demo)
    seen = set()
    for _ in range(60):
        opened.page.keyboard.press("Tab")
        told = opened.page.evaluate(
            """() => { const one = document.activeElement; const style = getComputedStyle(one);
            const within = one.querySelector('path, circle');
            const isDrawn = within && getComputedStyle(within).stroke !== 'none';
            const isRinged = style.outlineStyle !== 'none' || isDrawn;
            return [one.closest('section, form, header, .bar, body').id || one.tagName, isRinged]; }"""
        )
        seen.add(told[0])
        assert told[1], told
    assert {"map-box", "zones"} <= seen


def test_what_the_plan_said_gives_way_to_other_figures(demo, open_page):
    opened = open_page(demo)
    assert opened.page.is_visible(".most")
    opened.page.click("#figures summary")
    opened.page.fill("#f-price", "14")
    opened.page.wait_for_selector("#stays:visible")
    assert not opened.page.is_visible(".most")
    opened.page.click("#f-reset")
    opened.page.wait_for_selector(".most:visible")
    assert not opened.page.is_visible("#stays")
    opened.check_quiet()


@pytest.mark.parametrize("scripts", [True, False])
@pytest.mark.parametrize(("size", "is_folded"), [(browser.DESK, False), (browser.PHONE, True)])
def test_stories_are_folded_on_a_phone_only(demo, open_page, size, is_folded, scripts):
    """Without scripts nothing knows the width: they stand open everywhere, and a tap folds them."""
    shown = open_page(demo, size=size, scripts=scripts).page
    table, summary = shown.locator("#zone-3 dl"), shown.locator("#zone-3 > details > summary")
    assert table.is_visible() != (is_folded and scripts)
    assert shown.locator("#zone-3 .why").is_visible()
    assert summary.is_visible() == is_folded
    if is_folded:
        before = table.is_visible()
        summary.click()
        assert table.is_visible() != before
