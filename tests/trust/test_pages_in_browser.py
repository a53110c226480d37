"""Pages whose every text is hostile, in a real browser: nothing runs and nothing is asked for."""

import json
import subprocess
import sys
from dataclasses import replace

import pytest
from every_command import ROOT
from hostile_texts import HOSTILE, harmed
from made_desks import demo_farm, planned
from made_farm_plans import small_farm
from made_page_plans import page_plan
from made_plans import with_scouting
from made_trials import made_trial

from zoning.show import farm_page, page
from zoning.show.trial import page as trial_page

LOOK = """() => {
  const all = [...document.querySelectorAll('*')];
  for (const one of all) {
    if (one.tagName === 'DETAILS') one.open = true;
    for (const kind of ['mouseover', 'focus', 'load', 'error', 'pointerdown'])
      one.dispatchEvent(new Event(kind, {bubbles: false}));
  }
  for (const one of document.querySelectorAll('summary, [role=tab], a.harm')) one.click();
  const attributes = all.flatMap((one) => [...one.attributes].map((each) => [each.name, each.value]));
  const leads = (one) => /href|src|action/.test(one[0]) && /^\\s*javascript:/i.test(one[1]);
  const foreign = 'img[src^=http], iframe, object, embed, link, base, .harm';
  return {
    hit: window.hit === undefined,
    scripts: document.querySelectorAll('script').length,
    foreign: document.querySelectorAll(foreign).length,
    events: attributes.filter((one) => one[0].startsWith('on')).map(String),
    leads: attributes.filter(leads).map(String),
    text: document.body.textContent.includes('window.hit=1'),
    letters: document.documentElement.outerHTML.length,
  };
}"""
ASKED = """() => {
  const all = [];
  Storage.prototype.getItem = (key) => { all.push(key); return window.given; };
  window.asked = all;
}"""


def plan():
    made = with_scouting(page_plan(6), counted=[1, 2])
    scouting = tuple(
        replace(one, note="n", photo="p.jpg", observer="o", source="s.csv:2") for one in made.scouting
    )
    made = replace(made, product="Fungicide", scouting=scouting)
    return replace(made, zones=tuple(replace(one, name=f"z{one.zone}") for one in made.zones))


WRITERS = {
    "page": lambda path, change: page.write(change(plan()), path),
    "farm": lambda path, change: farm_page.write(change(small_farm()), path, ()),
    "trial": lambda path, change: trial_page.write(change(made_trial()), path),
}


def harmless(opened, clean):
    found = opened.page.evaluate(LOOK)
    assert found["hit"], "a script ran"
    assert found["scripts"] == clean["scripts"]
    assert (found["foreign"], found["events"], found["leads"]) == (0, [], [])
    opened.check_quiet()  # no request, no error, and no violation of the page's own policy
    return found


@pytest.mark.parametrize("name", WRITERS)
def test_hostile_texts_are_texts(name, open_page, tmp_path):
    WRITERS[name](tmp_path / "clean.html", lambda made: made)
    WRITERS[name](tmp_path / "hostile.html", harmed)
    clean = open_page(tmp_path / "clean.html").page.evaluate(LOOK)
    found = harmless(open_page(tmp_path / "hostile.html"), clean)
    assert found["text"], "the texts are not on the page: nothing was tried"
    assert found["letters"] > clean["letters"] + 5 * len(HOSTILE)
    # without scripts it is as harmless
    raw = open_page(tmp_path / "hostile.html", scripts=False)
    assert raw.page.locator("iframe, img[src^=http], .harm").count() == 0
    assert raw.requests == []


def test_an_address_and_a_memory_of_the_browser_do_nothing(open_page, tmp_path):
    """What stands behind the # of a link, and what another page of the folder left in the browser."""
    path = tmp_path / "page.html"
    WRITERS["page"](path, lambda made: made)
    clean = open_page(path).page.evaluate(LOOK)
    zone = {"zone": 1, "action": HOSTILE, "reason": HOSTILE, "date": HOSTILE, "lat": HOSTILE, "note": HOSTILE}
    kept = {"schema_version": 1, "kind": "sprayworth decisions", "field": HOSTILE, "decisions": [zone]}
    tried = {
        f"#{HOSTILE}": HOSTILE,
        "#zone-1": json.dumps([zone]),
        "#javascript:window.hit=1": json.dumps(kept),
        "#constructor": json.dumps({"__proto__": {"hit": 1}, "decisions": [{"zone": "__proto__"}]}),
        "#": "null",
        "": "[" * 5000,
    }
    for fragment, given in tried.items():
        opened = open_page(
            path, before=f"window.given = {json.dumps(given)}; ({ASKED})()", url=path.as_uri() + fragment
        )
        harmless(opened, clean)
        assert opened.page.evaluate("window.asked.length") > 0, "the page asks its memory for nothing"


def test_the_desk_shows_hostile_names_as_texts(open_page, tmp_path):
    pytest.importorskip("uvicorn", reason="the desk is an extra")
    farm = demo_farm(tmp_path / "farm", "three_dates")
    folder = farm / "three_dates"
    for path, was in ((farm / "farm.toml", "Heron Slough"), (folder / "field.toml", "Three Dates")):
        text = path.read_text(encoding="utf-8")
        assert f'name = "{was}"' in text
        named = json.dumps(f"{was} {HOSTILE[:150]}")
        path.write_text(text.replace(f'name = "{was}"', f"name = {named}"), encoding="utf-8")
    planned(folder)
    command = [sys.executable, "-c", "from cli.main import main; main()", "desk", str(farm), "--no-browser"]
    with subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as desk:
        try:
            look_at(open_page, folder, desk.stdout.readline().strip())
        finally:
            desk.kill()


def look_at(open_page, folder, address):
    base = address.partition("?")[0]
    opened = open_page(folder, url=address, offline=False)
    assert opened.page.inner_text("h1").startswith("Heron Slough <img src=")
    opened.page.goto(f"{opened.page.url}field/1/")
    opened.page.wait_for_selector("#desk-run", state="attached", timeout=60_000)
    found = opened.page.evaluate(LOOK)
    assert (found["hit"], found["foreign"], found["events"], found["leads"]) == (True, 0, [], [])
    assert [one for one in opened.requests if not one.startswith(base)] == []
    assert [one for one in opened.errors if "Content Security Policy" in one] == []
