"""What the reader moves on the page: every figure follows, says what Python says, and comes back."""

import io
from dataclasses import replace

import numpy as np
import pytest
from demo_plan import demo_plan
from PIL import Image

from zoning.passes.what_if import judge
from zoning.settings.shared import Money
from zoning.show import page
from zoning.show.figures import Units, dollars, signed

PRICE = "grain_price_usd_bu"


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    path = tmp_path_factory.mktemp("figures") / "page.html"
    page.write(demo_plan(), path)
    return path


@pytest.fixture
def opened(demo, open_page):
    found = open_page(demo)
    found.page.click("#figures summary")
    yield found
    found.check_quiet()


def value(opened, name):
    """Exact value behind a figure of the page."""
    return float(opened.page.get_attribute(f"#{name}", "data-v"))


def rows(opened):
    """Action, net return and chance of each zone, as they stand in the table."""
    return opened.page.evaluate(
        """() => Object.fromEntries([...document.querySelectorAll('#zone-table tr[data-zone]')].map((row) => [
            row.dataset.zone,
            ['action', 'net', 'chance'].map((name) => row.querySelector(`.c-${name}`).textContent.trim()),
        ]))"""
    )


def settle(opened):
    """Wait for the repaint after a change."""
    opened.page.evaluate(
        "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
    )


def move(opened, box, text):
    opened.page.fill(f"#{box}", text)
    settle(opened)


def same_as_python(opened, figures, written):
    answer = judge(demo_plan().what_if, figures, {})
    assert value(opened, "n-net") == pytest.approx(answer.net_usd, abs=0.005)
    assert value(opened, "n-spray") == pytest.approx(answer.spray_ac, abs=1e-6)
    assert opened.page.inner_text("#n-net") == dollars(answer.net_usd)
    shown = rows(opened)
    for one in answer.zones:
        action, net, _ = shown[str(one.zone)]
        assert action.split()[0] == one.action, one.zone
        assert net == signed(written.net(one.net_mean_usd_ac)), one.zone
    return answer


def test_as_opened_it_says_what_the_plan_says(opened):
    totals = demo_plan().totals
    assert value(opened, "n-net") == pytest.approx(totals.net_usd, abs=0.005)
    assert value(opened, "n-spray") == pytest.approx(totals.spray_ac, abs=1e-6)
    assert not opened.page.is_visible("#stays")
    same_as_python(opened, demo_plan().what_if.base, Units(metric=False))


@pytest.mark.parametrize("price", ["4", "7.4", "12.5", "22"])
def test_another_price_moves_decisions_and_money(opened, price):
    move(opened, "f-price", price)
    figures = replace(demo_plan().what_if.base, grain_price_usd_bu=float(price))
    answer = same_as_python(opened, figures, Units(metric=False))
    assert opened.page.is_visible("#stays")
    assert "run again to re-plan" in opened.page.inner_text("#stays")
    told = opened.page.inner_text("#decision")
    assert dollars(answer.net_usd) in told if answer.spray_ac else "othing" in told


def test_costs_source_and_rule_move_them_too(opened):
    base = demo_plan().what_if.base
    move(opened, "f-product", "25")
    move(opened, "f-pass", "4.5")
    move(opened, "f-min-net", "0")
    figures = replace(base, product_usd_ac=25.0, pass_usd_ac=4.5, min_net_usd_ac=0.0)
    same_as_python(opened, figures, Units(metric=False))
    opened.page.select_option("#f-source", "practice series")
    opened.page.select_option("#f-rule", "chance")
    move(opened, "f-min-chance", "66")
    figures = replace(figures, source="practice series", rule="chance", min_chance_frac=0.66)
    same_as_python(opened, figures, Units(metric=False))
    opened.page.select_option("#f-rule", "cautious")
    settle(opened)
    same_as_python(opened, replace(figures, rule="cautious"), Units(metric=False))
    assert not opened.page.is_visible("#f-min-chance")


def test_box_and_slider_go_together(opened):
    opened.page.evaluate(
        """() => { const slider = document.getElementById('f-price-slider'); slider.value = '14';
            slider.dispatchEvent(new Event('input', {bubbles: true})); }"""
    )
    settle(opened)
    assert opened.page.input_value("#f-price") == "14"
    same_as_python(opened, replace(demo_plan().what_if.base, grain_price_usd_bu=14.0), Units(metric=False))


def test_back_to_the_plan_every_word_is_as_it_was(opened):
    before = opened.page.inner_text("body")
    move(opened, "f-price", "14")
    opened.page.select_option("#f-source", "practice series")
    settle(opened)
    assert opened.page.inner_text("body") != before
    opened.page.click("#f-reset")
    settle(opened)
    assert opened.page.inner_text("body") == before


def test_metric_and_back(opened):
    before = opened.page.inner_text("body")
    opened.page.select_option("#f-units", "metric")
    settle(opened)
    written = Units(metric=True)
    assert opened.page.inner_text("#n-spray") == written.area(demo_plan().totals.spray_ac)
    same_as_python(opened, demo_plan().what_if.base, written)
    # by hand: 10.40 USD/bu / (60 x 0.45359237 kg/bu) x 1000 kg/t = 382.13 USD/t
    assert float(opened.page.input_value("#f-price")) == pytest.approx(382.13, abs=0.005)
    move(opened, "f-price", "500")
    price = 500 * 60 * 0.45359237 / 1000
    same_as_python(opened, replace(demo_plan().what_if.base, grain_price_usd_bu=price), written)
    for part in ("#numbers", "#zone-table thead", "#zone-table tbody", "#legend", "#controls"):
        told = opened.page.inner_text(part)
        for word in ("$/ac", "gal/ac", "bu/ac", "$/bu", " ac\n"):
            assert word not in told, (part, word)
    opened.page.select_option("#f-units", "us")
    opened.page.click("#f-reset")
    settle(opened)
    assert opened.page.inner_text("body") == before


@pytest.mark.parametrize("text", ["", "-3"])
def test_what_is_no_price_moves_nothing_and_is_marked(opened, text):
    net = value(opened, "n-net")
    move(opened, "f-price", text)
    assert opened.page.get_attribute("#f-price", "aria-invalid") == "true"
    assert value(opened, "n-net") == net
    move(opened, "f-price", "11")
    assert opened.page.get_attribute("#f-price", "aria-invalid") is None


def test_a_browser_too_old_for_the_scripts_shows_the_page_as_it_was_rendered(opened):
    told = opened.page.inner_text("#decision")
    opened.page.add_init_script("delete Element.prototype.replaceChildren")
    opened.page.reload()
    assert opened.page.inner_text("#decision") == told
    assert not opened.page.is_visible("#f-price")
    assert not opened.page.is_visible("#decisions-undo")


MOST = (("price", Money, "grain_price_usd_bu"), ("product", Money, "product_usd_ac"),
        ("pass", Money, "pass_usd_ac"), ("min-net", Money, "min_net_usd_ac"))  # fmt: skip


@pytest.mark.parametrize(("box", "part", "name"), MOST)
def test_a_box_takes_what_the_settings_take_and_no_more(opened, box, part, name):
    most = next(one.le for one in part.model_fields[name].metadata if hasattr(one, "le"))
    move(opened, f"f-{box}", f"{most:g}")
    assert opened.page.get_attribute(f"#f-{box}", "aria-invalid") is None
    net = value(opened, "n-net")
    figures = replace(demo_plan().what_if.base, **{name: most})
    assert net == pytest.approx(judge(demo_plan().what_if, figures, {}).net_usd, abs=0.01)
    for beyond in (f"{most + 1:g}", "1e308"):
        move(opened, f"f-{box}", beyond)
        assert opened.page.get_attribute(f"#f-{box}", "aria-invalid") == "true"
        assert value(opened, "n-net") == net
    opened.page.click("#f-reset")
    assert opened.page.get_attribute(f"#f-{box}", "aria-invalid") is None


def test_the_chosen_zone_stands_beside_the_map(opened):
    opened.page.click("#zone-table tr[data-zone='6'] .c-net")
    settle(opened)
    detail = opened.page.inner_text("#detail")
    assert "Zone 6" in detail
    assert "practice series" in detail
    assert opened.page.get_attribute("#zone-table tr[data-zone='6']", "aria-current") == "true"
    move(opened, "f-price", "22")
    assert signed(Units(metric=False).net(_zone(22.0, 6).net_mean_usd_ac)) in opened.page.inner_text(
        "#detail"
    )


def _zone(price, zone):
    figures = replace(demo_plan().what_if.base, grain_price_usd_bu=price)
    return next(one for one in judge(demo_plan().what_if, figures, {}).zones if one.zone == zone)


@pytest.mark.parametrize("sight", ["none", "protanopia", "deuteranopia", "tritanopia", "achromatopsia"])
def test_spray_and_skip_are_told_apart_by_every_eye(opened, sight):
    """Sprayed ground is much darker, and even; skipped ground is light, and hatched."""
    session = opened.page.context.new_cdp_session(opened.page)
    session.send("Emulation.setEmulatedVisionDeficiency", {"type": sight})
    for layer in opened.page.query_selector_all("#layers input:checked"):
        layer.uncheck()
    settle(opened)
    picture = Image.open(io.BytesIO(opened.page.locator("#map").screenshot())).convert("L")
    grey = np.asarray(picture, dtype=float)
    looks = {}
    for zone, place in (("spray", 1), ("skip", 6)):
        box = opened.page.evaluate(
            """(zone) => { const own = document.querySelector(`#map a.zone[data-zone="${zone}"] path`)
                .getBoundingClientRect(), map = document.getElementById('map').getBoundingClientRect();
                return [own.x - map.x + own.width / 2, own.y - map.y + own.height / 2]; }""",
            place,
        )
        # a square of 16 pixels, a quarter of the zone away from its middle, where its number stands
        x, y = (int(part) for part in box)
        looks[zone] = grey[y - 8 : y + 8, x - 48 : x - 32]
    assert looks["skip"].mean() - looks["spray"].mean() > 60
    assert looks["skip"].std() > 10 + looks["spray"].std()
