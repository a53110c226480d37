"""Deciding for zones on the page, in a real browser: and the next run follows the file that it saves.

The reader of files on the page is held against Python's, file by file, by node.
"""

import base64
import json
from dataclasses import replace
from datetime import date

import pytest
from browser import PHONE, axe
from demo_plan import demo_plan
from made_sprayed import sprayed_farm
from node import evaluate

from zoning import field
from zoning.errors import InputError
from zoning.inputs import decisions
from zoning.plan import Override
from zoning.show import page
from zoning.show.page.decisions_data import decisions_data

TODAY = date(2026, 7, 8)
TOLD = "(text) => document.querySelector('#decisions-told').innerText"
HOSTILE = '</script><img src=x onerror="alert(1)"> & "quoted" {zone} =1+1'


@pytest.fixture(scope="module")
def plan():
    return demo_plan()


@pytest.fixture(scope="module")
def file(plan, tmp_path_factory):
    path = tmp_path_factory.mktemp("page") / "page.html"
    path.write_text(page.text(plan), encoding="utf-8")
    return path


# ---- the twin ----

READ = """given.files.map((bytes) => {
  const volume = (rate) => `${rate} gal/ac`;
  try {
    return decisionsFile.read(new Uint8Array(Buffer.from(bytes, "base64")), given.data, given.zones, volume);
  } catch (fault) {
    return fault.message;
  }
})"""


def whole(plan, *told, **changes):
    head = {"schema_version": 1, "kind": decisions.KIND, "zones_id": plan.zones_id, "field": plan.field}
    return {**head, "decisions": list(told), **changes}


def files(plan):
    """Files good and bad: bytes, by what they are."""
    one = {"zone": 3, "action": "spray", "rate_gal_ac": 15.0, "reason": "road", "decided_on": "2026-07-09"}
    changes = {
        "plain": {},
        "no rate": {"rate_gal_ac": None},
        "rate only": {"action": None},
        "long reason": {"reason": "ü" * 300},
        "trimmed": {"reason": "  pond\t"},
        "emoji": {"reason": "🌱" * 300},
        "hostile": {"reason": HOSTILE},
        "no day": {"decided_on": None},
        "zone as a fraction of none": {"zone": 3.0},
        "byte order mark around it": {"reason": "\ufeffpond\u3000"},
        "zero width": {"reason": "po\u200bnd"},
        "control at the start": {"reason": "\x1fpond"},
        "next line at the end": {"reason": "pond\x85"},
        "only a byte order mark": {"reason": "\ufeff"},
        "day of a week": {"decided_on": "2026-W28-4"},
        "day without dashes": {"decided_on": "20260709"},
        "year 0": {"decided_on": "0000-01-01"},
        "year 1": {"decided_on": "0001-01-01"},
        "zone text": {"zone": "3"},
        "zone 0": {"zone": 0},
        "zone half": {"zone": 2.5},
        "action": {"action": "Spray"},
        "action list": {"action": ["spray"]},
        "neither": {"action": None, "rate_gal_ac": None},
        "skip at a rate": {"action": "skip"},
        "rate text": {"rate_gal_ac": "15"},
        "rate true": {"rate_gal_ac": True},
        "rate 0": {"rate_gal_ac": 0},
        "rate below": {"rate_gal_ac": -15},
        "no reason": {"reason": None},
        "blank": {"reason": " \t "},
        "too long": {"reason": "a" * 301},
        "emoji too long": {"reason": "🌱" * 301},
        "two lines": {"reason": "one\ntwo"},
        "turned": {"reason": "x\u202ey"},
        "control": {"reason": "x\x1b[31my"},
        "half a letter": {"reason": "x\ud800y"},
        "words for a day": {"decided_on": "9 July"},
        "no such day": {"decided_on": "2026-02-30"},
        "day number": {"decided_on": 20260709},
    }
    found = {name: json.dumps(whole(plan, {**one, **change})).encode() for name, change in changes.items()}
    found |= {
        "none": json.dumps(whole(plan)).encode(),
        "twice": json.dumps(whole(plan, one, one)).encode(),
        "no object": json.dumps(whole(plan, 7, None)).encode(),
        "newer": json.dumps(whole(plan, schema_version=2)).encode(),
        "no version": json.dumps(whole(plan, schema_version=None)).encode(),
        "no list": json.dumps(whole(plan, decisions={})).encode(),
        "no field": json.dumps(whole(plan, field="")).encode(),
        "field a number": json.dumps(whole(plan, field=7)).encode(),
        "field turned": json.dumps(whole(plan, field="\u202eslough")).encode(),
        "version 1.0": json.dumps(whole(plan, one, schema_version=1.0)).encode(),
        "another kind": json.dumps(whole(plan, kind="points")).encode(),
        "list": b"[]",
        "null": b"null",
        "empty": b"",
        "NaN": b'{"kind": NaN}',
        "picture": b"\x89PNG\r\n\x1a\n\x00\xff\xd8",
        "with a mark": b"\xef\xbb\xbf" + json.dumps(whole(plan, one)).encode(),
        "large": b" " * (decisions.MOST_BYTES + 1),
    }
    return found


def read_here(content):
    """Give what Python makes of a file: decisions, or why they are refused."""
    try:
        return decisions.of_content(content, "decisions.json")
    except InputError as fault:
        return fault


def test_the_page_takes_what_the_run_takes_and_refuses_what_it_refuses(plan):
    given = files(plan)
    asked = {
        "files": [base64.b64encode(one).decode() for one in given.values()],
        "data": decisions_data(plan),
        "zones": [one.zone for one in plan.zones],
    }
    answers = dict(zip(given, evaluate(("decisions_file",), READ, asked), strict=True))
    taken = 0
    for name, content in given.items():
        answer = answers[name]
        known = read_here(content)
        if isinstance(known, InputError):
            assert isinstance(answer, str), name
            assert len(answer.splitlines()) == len(known.faults), name
            continue
        taken += 1
        assert answer == [
            {
                "zone": one.zone,
                "action": one.action,
                "rate_gal_ac": one.rate_gal_ac,
                "reason": one.reason,
                "decided_on": one.decided_on.isoformat() if one.decided_on else None,
            }
            for one in known.made
        ], name
    assert 8 <= taken < len(given) / 2


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"zones_id": "0123"}, 'made for other zones ("0123" of Three Dates; the zones here are'),
        ({"decisions": [{"zone": 99, "action": "skip", "reason": "x"}]}, "Decision 1: there is no zone 99."),
        (
            {"decisions": [{"zone": 1, "rate_gal_ac": 17, "reason": "x"}]},
            "Zone 1: 17 gal/ac is not a rate that label and sprayer allow here: take one of 10 gal/ac, 15",
        ),
    ],
)
def test_what_only_the_field_can_tell_is_refused_too(plan, change, said):
    content = json.dumps(whole(plan, **change)).encode()
    asked = {
        "files": [base64.b64encode(content).decode()],
        "data": decisions_data(plan),
        "zones": [one.zone for one in plan.zones],
    }
    (answer,) = evaluate(("decisions_file",), READ, asked)
    assert said in answer


# ---- in the browser ----


def decide(shown, zone, action, reason, rate=None):
    shown.click(f'#zone-table tr[data-zone="{zone}"] a')
    if action is not None:
        shown.check(f'#overrule input[value="{action}"]')
    if rate is not None:
        shown.select_option("#overrule-rate", label=rate)
    shown.fill("#overrule-reason", reason)
    shown.click("#overrule button[type=submit]")


def told(shown):
    return shown.inner_text("#decisions-told")


def saved(shown):
    with shown.expect_download() as waiting:
        shown.click("#decisions-save")
    assert waiting.value.suggested_filename == "decisions.json"
    return waiting.value.path().read_bytes()


def test_what_is_saved_on_the_page_is_what_the_next_run_follows(open_page, tmp_path):
    folder, plan = sprayed_farm(tmp_path)
    path = tmp_path / "page.html"
    path.write_text(page.text(plan), encoding="utf-8")
    opened = open_page(path)
    shown = opened.page
    decide(shown, 3, "spray", HOSTILE, "20 gal/ac")
    decide(shown, 4, "skip", "  pond ")
    content = saved(shown)
    assert shown.input_value("#decisions-text").encode() == content
    (folder / "three_dates" / "decisions.json").write_bytes(content)
    now = field.run(folder / "three_dates", today=TODAY, measured_by=lambda *_, **__: lambda: None).plan
    three, four = now.zones[2], now.zones[3]
    assert (three.action, three.rate_gal_ac, three.override.reason) == ("spray", 20.0, HOSTILE)
    assert (four.action, four.override.reason) == ("skip", "pond")
    # the page of that run has them, and says so
    path.write_text(page.text(now), encoding="utf-8")
    again = open_page(path)
    items = again.page.locator("#decisions-list li").all_inner_texts()
    assert len(items) == 2
    assert HOSTILE in items[0]
    assert all("In the plan." in one for one in items)
    assert "By the rule: skip." in items[0]
    assert "By the rule: spray." in items[1]
    opened.check_quiet()
    again.check_quiet()


def test_nothing_is_decided_without_a_reason(open_page, file):
    opened = open_page(file)
    shown = opened.page
    decide(shown, 3, None, "why not")
    assert "choose spray, skip or another rate" in told(shown)
    decide(shown, 3, "spray", "   ")
    assert told(shown) == "Not kept: the reason is missing: write down why."
    assert shown.get_attribute("#overrule-reason", "aria-invalid") == "true"
    assert shown.evaluate("decisions.forced()") == {}
    assert shown.locator("#decisions-list li").count() == 0
    opened.check_quiet()


def test_undo_and_redo_go_step_by_step(open_page, file):
    shown = open_page(file).page
    planned = shown.inner_text("#decision")
    decide(shown, 3, "spray", "road")
    decide(shown, 1, "skip", "pond")
    shown.click("#take-back-3")
    lists = [shown.evaluate("decisions.forced()")]
    for _ in range(3):
        shown.click("#decisions-undo")
        lists.append(shown.evaluate("decisions.forced()"))
    assert lists == [{"1": "skip"}, {"1": "skip", "3": "spray"}, {"3": "spray"}, {}]
    assert shown.is_disabled("#decisions-undo")
    shown.wait_for_function("(text) => document.querySelector('#decision').innerText === text", arg=planned)
    shown.click("#decisions-redo")
    shown.click("#decisions-redo")
    assert shown.evaluate("decisions.forced()") == {"1": "skip", "3": "spray"}
    decide(shown, 5, "skip", "x")  # what was taken back is gone now
    assert shown.is_disabled("#decisions-redo")


def test_they_are_kept_for_these_zones_and_these_only(open_page, file, plan, tmp_path):
    opened = open_page(file)
    decide(opened.page, 3, "spray", "road")
    opened.page.reload()
    assert opened.page.evaluate("decisions.forced()") == {"3": "spray"}
    other = tmp_path / "other.html"
    other.write_text(file.read_text(encoding="utf-8").replace(plan.zones_id, "0" * 16), encoding="utf-8")
    opened.page.goto(other.as_uri())
    assert opened.page.evaluate("decisions.forced()") == {}


def test_a_newer_plan_wins_over_what_the_browser_kept(open_page, file, plan, tmp_path):
    opened = open_page(file)
    decide(opened.page, 3, "spray", "road")
    decide(opened.page, 1, "skip", "pond")
    newer = Override(
        action="skip", rate_gal_ac=None, reason="hail", decided_on=date(2026, 7, 9), computed="skip"
    )
    zones = [replace(zone, override=newer if zone.zone == 3 else zone.override) for zone in plan.zones]
    path = tmp_path / "newer.html"
    page.write(replace(plan, zones=tuple(zones), run_id="f" * 16), path)
    opened.page.goto(path.as_uri())
    assert opened.page.evaluate("decisions.forced()") == {"1": "skip", "3": "skip"}
    items = opened.page.locator("#decisions-list li").all_inner_texts()
    assert any("hail" in one and "In the plan." in one for one in items)
    assert not any("road" in one for one in items)


def test_a_browser_that_keeps_nothing_says_so(open_page, file):
    opened = open_page(file)
    shown = opened.page
    shown.add_init_script(
        "delete window.localStorage; Object.defineProperty(window, 'localStorage', "
        "{get() { throw new DOMException('forbidden', 'SecurityError'); }})"
    )
    shown.reload()
    decide(shown, 3, "spray", "road")
    assert shown.evaluate("decisions.forced()") == {"3": "spray"}
    assert shown.is_visible("#decisions-kept")
    opened.check_quiet()


def test_a_file_is_read_or_refused_in_plain_words(open_page, file, plan, tmp_path):
    opened = open_page(file)
    shown = opened.page
    decide(shown, 1, "skip", "pond")
    shown.click("#decisions summary")
    given = files(plan)
    path = tmp_path / "decisions.json"
    for name, said in (
        ("picture", "perhaps a picture"),
        ("another kind", "another kind of file"),
        ("no reason", "Zone 3: the reason is missing"),
    ):
        path.write_bytes(given[name])
        shown.set_input_files("#decisions-open", path)
        shown.wait_for_function(
            "(text) => document.querySelector('#decisions-told').innerText.includes(text)", arg=said
        )
        assert shown.evaluate("decisions.forced()") == {"1": "skip"}
    path.write_bytes(given["hostile"])
    shown.set_input_files("#decisions-open", path)
    shown.wait_for_function("() => decisions.forced()[3] === 'spray'")
    assert shown.evaluate("decisions.forced()") == {"3": "spray"}
    assert HOSTILE in shown.inner_text("#decisions-list")
    shown.click("#decisions-undo")
    assert shown.evaluate("decisions.forced()") == {"1": "skip"}
    opened.check_quiet()


def test_it_can_be_done_with_the_keys_alone(open_page, file):
    shown = open_page(file).page
    shown.focus('#zone-table tr[data-zone="3"] a')
    shown.keyboard.press("Enter")
    shown.focus('#overrule input[value="spray"]')
    shown.keyboard.press("Space")
    shown.keyboard.press("Tab")
    shown.keyboard.press("Tab")
    shown.keyboard.type("road")
    shown.keyboard.press("Enter")
    assert shown.evaluate("decisions.forced()") == {"3": "spray"}


@pytest.mark.parametrize("size", [(1280, 800), PHONE])
def test_nobody_is_kept_out_and_nothing_runs_over_the_edge(open_page, file, size):
    script = axe()
    opened = open_page(file, size)
    shown = opened.page
    decide(shown, 3, "spray", "w" * 300, "20 gal/ac")
    shown.click("#decisions summary")
    assert shown.evaluate("document.documentElement.scrollWidth") <= size[0]
    if script is None:
        pytest.skip("axe-core is not had")
    assert opened.violations(script) == []


def test_a_rate_follows_the_units(open_page, file):
    shown = open_page(file).page
    decide(shown, 3, "spray", "road", "20 gal/ac")
    shown.select_option("#f-units", "metric")
    shown.wait_for_function("() => document.querySelector('#decisions-list').innerText.includes('187 L/ha')")
    assert json.loads(shown.input_value("#decisions-text"))["decisions"][0]["rate_gal_ac"] == 20
