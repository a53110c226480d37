"""trial.html as people see it: at a desk, on phones, on paper, without sight, with the network cut off."""

import browser
import pytest
from made_trials import CASES, made_trial, with_long_names
from pypdf import PdfReader

from zoning.show.trial import page

SHOWN = {**CASES, "long names": None}


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("trial")

    def write(case):
        path = folder / f"{list(SHOWN).index(case)}.html"
        if not path.exists():
            result = with_long_names(made_trial()) if case == "long names" else made_trial(CASES[case])
            page.write(result, path)
        return path

    return write


@pytest.mark.parametrize("case", SHOWN)
def test_no_width_scrolls_sideways_and_nothing_is_asked_for(written, open_page, case):
    opened = open_page(written(case), (1280, 800))
    for wide in (1280, 1024, 900, 640, 390, 320):
        opened.page.set_viewport_size({"width": wide, "height": 800})
        assert opened.page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), wide
    opened.check_quiet()


@pytest.mark.parametrize("size", [browser.DESK, browser.PHONE])
@pytest.mark.parametrize("case", ["paid", "no pair", "level 1", "one pair out"])
def test_who_cannot_see_or_point_finds_no_barrier(written, open_page, case, size):
    script = browser.axe()
    if script is None:
        pytest.skip("axe-core is not installed: npm install --prefix FOLDER axe-core, and name it")
    assert open_page(written(case), size).violations(script) == []


@pytest.mark.parametrize("case", ["paid", "cannot tell", "one pair", "level 1", "no pair"])
def test_it_prints_on_one_sheet(written, open_page, tmp_path, case):
    opened = open_page(written(case))
    opened.page.pdf(path=tmp_path / "page.pdf", prefer_css_page_size=True)
    assert len(PdfReader(tmp_path / "page.pdf").pages) == 1


@pytest.mark.parametrize("size", [browser.DESK, browser.PHONE])
def test_marks_of_all_rows_stand_over_one_axis(written, open_page, size):
    opened = open_page(written("paid"), size)
    left = opened.page.evaluate(
        "[...document.querySelectorAll('#pairs tbody td.plot')].map(one => one.getBoundingClientRect().left)"
    )
    wide = opened.page.evaluate(
        "[...document.querySelectorAll('#pairs tbody td.plot')].map(one => one.getBoundingClientRect().width)"
    )
    assert len(left) == 8  # six pairs, their mean, the figures
    assert max(left) - min(left) < 0.6
    assert max(wide) - min(wide) < 0.6


def test_scale_bars_are_true(written, open_page):
    opened = open_page(written("paid"))
    for unit, per_m in (("m", 1.0), ("ft", 1 / 0.3048)):
        length, wide, px_per_m = opened.page.evaluate(
            """unit => {
                const bar = document.querySelector(`[data-bar="${unit}"]`);
                const scale = document.querySelector('#map').getScreenCTM().a;
                const wide = bar.querySelector('rect').getBoundingClientRect().width;
                return [Number(bar.dataset.length), wide, scale];
            }""",
            unit,
        )
        assert wide / px_per_m * per_m == pytest.approx(length, rel=1e-3)


def test_letters_on_a_phone_can_be_read(written, open_page):
    opened = open_page(written("paid"), browser.PHONE)
    sizes = opened.page.evaluate(
        """[...document.querySelectorAll('#map text')].map(one =>
            parseFloat(getComputedStyle(one).fontSize) * document.querySelector('#map').getScreenCTM().a)"""
    )
    assert min(sizes) > 11
