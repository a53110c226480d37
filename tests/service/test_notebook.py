"""What a notebook shows of a planned field: decision, money, map and tables, on light and on dark ground."""

import base64
import re
import subprocess
import sys
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from made_plans import Made, made_plan

from zoning.show import money, notebook
from zoning.show.figures import signed
from zoning.show.table import headline

ROOT = Path(__file__).parents[2]
PICTURE = b"\x89PNG no picture"
VOID = {"img", "br"}


class Read(HTMLParser):
    """Elements, texts, and whether every element is closed in its turn."""

    def __init__(self, text):
        super().__init__()
        self.tags, self.attributes, self.words, self.open = [], [], [], []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += [(tag, *one) for one in attrs]
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.words.append(data)

    @property
    def text(self):
        return " ".join(" ".join(self.words).split())


def plan_of(**wanted):
    return made_plan(Made(labels=[[1, 2], [3, 3]], **wanted))


def test_it_shows_decision_money_map_and_every_zone():
    plan = plan_of()
    read = Read(notebook.text(plan, PICTURE))
    assert read.open == []
    assert headline(plan) in read.text
    assert all(line in read.text for line in money.field_lines(plan))
    assert read.tags.count("tr") == 1 + 2 * len(plan.zones)
    for zone in plan.zones:
        assert zone.reason.text in read.text
        assert signed(zone.money.net_mean_usd_ac) in read.text
    pictures = [value for tag, name, value in read.attributes if (tag, name) == ("img", "src")]
    assert pictures == ["data:image/png;base64," + base64.b64encode(PICTURE).decode()]


@pytest.mark.parametrize("level", [1, 2, 3])
@pytest.mark.parametrize("units", ["us", "metric"])
def test_every_level_has_something_to_show(level, units):
    read = Read(notebook.text(plan_of(level=level, units=units), PICTURE))
    assert read.open == []
    assert "None" not in read.text


def test_nothing_that_a_user_wrote_becomes_markup_and_there_are_no_scripts():
    evil = '<script>alert(1)</script>"&<b>'
    plan = plan_of()
    zones = tuple(replace(zone, name=evil, block=evil) for zone in plan.zones)
    read = Read(notebook.text(replace(plan, field=evil, farm=evil, zones=zones), PICTURE))
    assert read.open == []
    assert not {"script", "b", "link", "iframe", "style"} & set(read.tags)
    assert not [name for _, name, _ in read.attributes if name.startswith("on")]
    assert '<script>alert(1)</script>"&<b>' in read.text
    assert not [value for _, name, value in read.attributes if name in ("src", "href") and "//" in value[:10]]


@pytest.mark.parametrize("ground", ["#ffffff", "#111111"])
def test_it_leaves_letters_and_ground_to_the_notebook(open_page, tmp_path, planned, ground):
    ink = {"#ffffff": "rgb(0, 0, 0)", "#111111": "rgb(255, 255, 255)"}[ground]
    page = tmp_path / "cell.html"
    body = f"<body style='background:{ground};color:{ink}'>{planned._repr_html_()}</body>"
    page.write_text(f"<!doctype html><meta charset=utf-8><title>cell</title>{body}", encoding="utf-8")
    opened = open_page(page, (900, 700))
    opened.check_quiet()
    seen = opened.page.evaluate(
        """() => [...document.querySelectorAll("body > div, body > div *")].map(one => {
            const style = getComputedStyle(one);
            return [style.color, style.backgroundColor];
        })"""
    )
    assert {tuple(one) for one in seen} == {(ink, "rgba(0, 0, 0, 0)")}
    size = opened.page.evaluate(
        """() => { const one = document.querySelector("img");
            return [one.naturalWidth, one.clientWidth, document.documentElement.scrollWidth]; }"""
    )
    assert size[0] > 1000
    assert size[1] <= size[2] == 900  # the map fits, wide tables scroll by themselves


NOTEBOOK = """\
import nbformat
from nbclient import NotebookClient

cells = {cells!r}
book = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(one) for one in cells])
where = {{"metadata": {{"path": {path!r}}}}}
NotebookClient(book, timeout=300, kernel_name="python3", resources=where).execute()
nbformat.write(book, {out!r})
"""


def test_a_real_notebook_shows_plan_table_and_figure(tmp_path):
    pytest.importorskip("nbclient")
    pytest.importorskip("ipykernel")
    nbformat = pytest.importorskip("nbformat")
    page = (ROOT / "docs" / "reference" / "python.md").read_text(encoding="utf-8")
    three = re.findall(r"```python\n(.*?)```", page, flags=re.DOTALL)[0]
    figure = "from IPython.display import Image\nImage(planned.map_png())"
    own = "%matplotlib inline\nax = planned.zones.plot('net_usd_ac_mean')"
    out = tmp_path / "book.ipynb"
    made = NOTEBOOK.format(
        cells=[three, "planned", "planned.passes", figure, own], path=str(ROOT), out=str(out)
    )
    asked = [sys.executable, "-c", made]
    done = subprocess.run(asked, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    shown = [[one.get("data", {}) for one in cell.outputs] for cell in nbformat.read(out, 4).cells]
    (zones,), (plan,), (passes,), (map_,), (*_, drawn) = shown
    assert "maturity_group" in zones["text/html"]
    assert "expected net" in plan["text/html"]
    assert plan["text/plain"].startswith("<PlannedField Three Dates: ")
    assert "visit_costs_usd" in passes["text/html"]
    assert map_["image/png"].replace("\n", "") in plan["text/html"]
    assert drawn["image/png"]
