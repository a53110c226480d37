"""trial.html as a file: the same bytes, the result's figures, nothing loaded, names harmless, small."""

import base64
import hashlib
import re

import pytest
from made_trials import CASES, made_trial, many_points
from read_page import at, read, words

from zoning.show.trial import page
from zoning.show.trial.axis import axis
from zoning.show.trial.trial_units import TrialUnits
from zoning.words import SENTENCES


@pytest.fixture(params=CASES, scope="module")
def result(request):
    return made_trial(CASES[request.param])


@pytest.fixture(scope="module")
def tree(result):
    return read(page.text(result))


def says(result):
    return TrialUnits(metric=result.units == "metric", minus="−")


def test_it_is_well_formed(tree, result):
    assert tree.get("lang") == "en"
    assert len(tree.xpath("//h1")) == len(tree.xpath("//main")) == len(tree.xpath("//title")) == 1
    ids = tree.xpath("//@id")
    assert len(ids) == len(set(ids))
    for target in tree.xpath("//a/@href"):
        assert target[1:] in ids
    for one in tree.xpath("//@aria-labelledby"):
        assert one in ids
    assert not re.search(r"\b(None|nan|inf|Undefined)\b", words(tree.xpath("//body")[0]))


def test_nothing_is_loaded_and_nothing_can_run(result):
    text = page.text(result)
    tree = read(text)
    assert not tree.xpath("//script")
    for name in tree.xpath("//@*/.."):
        assert not [one for one in name.keys() if one.startswith("on") or one == "style"]  # noqa: SIM118
    for address in tree.xpath("//@src | //@href | //@srcset | //@action"):
        assert address.startswith(("#", "data:image/png;base64,"))
    (style,) = re.findall(r"<style>(.*?)</style>", text, re.DOTALL)
    (policy,) = tree.xpath("//meta[@http-equiv='Content-Security-Policy']/@content")
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert f"style-src 'sha256-{digest}'" in policy
    assert policy.startswith("default-src 'none'; img-src data:;")
    assert "unsafe" not in policy
    assert "url(http" not in text
    assert "@import" not in text


def test_every_pair_is_there_with_its_figures_and_its_mark(tree, result):
    written, scale = says(result), axis(result)
    rows = at(tree, "pairs").xpath(".//tbody/tr[th]")
    assert len(rows) == len(result.pairs) + (result.response is not None)  # and the mean
    for pair, row in zip(result.pairs, rows[: len(result.pairs)], strict=True):
        said = words(row)
        assert said.startswith(f"S{pair.pair} ")
        if pair.why_not is not None:
            assert pair.why_not.text in said
            continue
        cells = [words(one) for one in row.xpath("./td")]
        assert cells[1:3] == [written.response(pair.treated_bu_ac), written.response(pair.untreated_bu_ac)]
        assert cells[-1] == written.more(pair.difference_bu_ac)
        (dot,) = row.xpath(".//circle")
        place = float(dot.get("cx").rstrip("%")) / 100
        assert place == pytest.approx(scale.share(pair.difference_bu_ac), abs=1e-4)


def test_every_zone_is_there_with_its_interval(tree, result):
    if result.by_zone is None:
        assert not tree.xpath("//*[@id='zones']")
        return
    written, scale = says(result), axis(result)
    rows = at(tree, "zones").xpath(".//tbody/tr[th]")
    for zone, row in zip(result.by_zone.zones, rows, strict=True):
        said = words(row)
        for text in (written.more(zone.mean_bu_ac), written.span(zone.low_bu_ac, zone.high_bu_ac)):
            assert text in said
        (bar,) = row.xpath(".//rect")
        left, wide = (float(bar.get(name).rstrip("%")) / 100 for name in ("x", "width"))
        assert left == pytest.approx(scale.share(zone.low_bu_ac), abs=2e-4)
        assert left + wide == pytest.approx(scale.share(zone.high_bu_ac), abs=2e-4)


def test_what_pays_is_one_line_through_all_rows(tree, result):
    dashed = tree.xpath("//section[@id='pairs']//td//line[@stroke-dasharray]/@x1")
    if result.response is None or result.response.money is None:
        assert dashed == []
        return
    pays = axis(result).share(result.response.money.break_even_bu_ac)
    assert {round(float(one.rstrip("%")) / 100, 4) for one in dashed} == {round(pays, 4)}
    counted = sum(one.why_not is None for one in result.pairs)
    assert len(dashed) == counted + 1  # and the mean


def test_every_section_has_something_to_say(tree, result):
    for section in tree.xpath("//section"):
        (head,) = section.xpath("./h2")
        assert len(words(section)) > len(words(head))
    shown = set(tree.xpath("//section/@id"))
    assert ("judged" in shown) == bool(result.judged)
    assert ("believed" in shown) == bool(result.beliefs)
    assert ("book" in shown) == bool(result.book.rows)
    assert ("money" in shown) == bool(result.costs)
    for one in (*result.lessons, *result.notes):
        assert one.text in words(tree)


def test_every_rule_is_there_with_its_count(tree, result):
    rows = at(tree, "cleaned").xpath(".//tbody/tr")
    told = [f"{one.removed:,}" for one in result.rules if one.removed]
    assert [words(row.xpath("./td")[1]) for row in rows] == told
    idle = [one for one in result.rules if not one.removed]
    assert ("No point went by these rules" in words(at(tree, "cleaned"))) == bool(idle)


def test_curves_of_a_belief_end_on_the_ground_and_are_of_one_height(tree, result):
    for picture in tree.xpath("//svg[@class='densities']"):
        lines = picture.xpath(".//polyline/@points")
        assert len(lines) == 3
        heights = [min(float(pair.split(",")[1]) for pair in one.split()) for one in lines]
        assert min(heights) == pytest.approx(0, abs=1)


def test_names_are_text():
    result = made_trial(CASES["names"])
    tree = read(page.text(result))
    assert not tree.xpath("//script | //b | //i")
    assert result.field in words(tree)
    assert result.product in words(tree)


def test_the_same_result_gives_the_same_bytes(tmp_path):
    page.write(made_trial(), tmp_path / "one.html")
    page.write(made_trial(), tmp_path / "two.html")
    one = (tmp_path / "one.html").read_bytes()
    assert one == (tmp_path / "two.html").read_bytes()
    assert one.decode("utf-8") == page.text(made_trial())


def test_fifty_thousand_points_make_no_large_page():
    result = many_points()
    assert len(result.points.row) > 45_000
    assert len(page.text(result).encode()) < 300_000


def test_no_sentence_promises_that_a_spray_does_no_harm():
    ours = [text for code, text in SENTENCES.items() if code.startswith("trial_page.")]
    assert not [text for text in ours if re.search(r"\bsafe", text.lower())]
