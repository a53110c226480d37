"""trial.pdf: one page, every pair and zone on it or counted as left, tagged, the same bytes.

What the page says is read back with pypdf, which shares nothing with what wrote it. Words are compared
without spaces and hyphens, because a page breaks its lines where it likes.
"""

import io
import re

import pytest
from made_trials import CASES, MadeTrial, made_trial, many_points, with_long_names
from pypdf import PdfReader

from zoning.show.trial import pdf, written
from zoning.show.trial.trial_units import TrialUnits

SHOWN = {
    **CASES,
    "8 pairs, 6 zones": MadeTrial(pairs=8, zones=6),
    "8 pairs, 6 zones, metric, south": MadeTrial(pairs=8, zones=6, units="metric", country="AR", epsg=32720,
                                                 origin_m=(400_000.0, 6_400_000.0)),
    "long names": None,
}  # fmt: skip


def packed(text):
    return re.sub(r"[\s\u200b-]+", "", text)


@pytest.fixture(params=SHOWN, scope="module")
def paper(request):
    case = request.param
    result = with_long_names(made_trial()) if SHOWN[case] is None else made_trial(SHOWN[case])
    return result, PdfReader(io.BytesIO(pdf.pdf(result)))


def test_it_is_one_page_of_the_country(paper):
    result, reader = paper
    (page,) = reader.pages
    wide, high = (round(float(side)) for side in page.mediabox[2:])
    assert (wide, high) == ((612, 792) if result.country == "US" else (595, 842))


def test_it_is_tagged_and_says_what_it_is(paper):
    result, reader = paper
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert b"pdfuaid" in root["/Metadata"].get_object().get_data()
    assert str(result.season) in reader.metadata.title
    assert reader.metadata.creation_date.date() == result.today


def test_all_that_counts_is_on_it(paper):
    result, reader = paper
    text = packed(reader.pages[0].extract_text())
    says = TrialUnits(metric=result.units == "metric", minus="−")
    assert packed(written.answer(result, says)) in text
    told = re.sub(r"\s+", " ", reader.pages[0].extract_text())
    left = max((int(count) for count in re.findall(r"\b(\d+) more on trial\.html", told)), default=0)
    pairs = [one for one in result.pairs if f"S{one.pair}" not in text]
    assert len(pairs) <= left
    for pair in result.pairs:
        if pair not in pairs and pair.why_not is None:
            assert packed(says.more(pair.difference_bu_ac)) in text
        elif pair not in pairs:
            assert packed(pair.why_not.text) in text
    if result.by_zone is not None:
        zones = [
            one
            for one in result.by_zone.zones
            if packed(says.span(one.low_bu_ac, one.high_bu_ac)) not in text
        ]
        assert len(zones) <= left
    assert packed("the product label and local rules decide") in text


@pytest.mark.parametrize("case", ["8 pairs, 6 zones", "8 pairs, 6 zones, metric, south"])
def test_eight_pairs_and_six_zones_have_room_with_the_picture_of_what_is_believed(case):
    result = made_trial(SHOWN[case])
    reader = PdfReader(io.BytesIO(pdf.pdf(result)))
    text = packed(reader.pages[0].extract_text())
    for pair in result.pairs:
        assert f"S{pair.pair}" in text
    says = TrialUnits(metric=result.units == "metric", minus="−")
    for zone in result.by_zone.zones:
        assert packed(says.span(zone.low_bu_ac, zone.high_bu_ac)) in text
    assert len(figures(reader)) == 2
    assert "believednow" in text


def figures(reader):
    found = []

    def walk(node):
        node = node.get_object()
        if isinstance(node, list):
            for one in node:
                walk(one)
        elif isinstance(node, dict):
            if node.get("/S") == "/Figure":
                found.append(node)
            if "/K" in node:
                walk(node["/K"])

    walk(reader.trailer["/Root"]["/StructTreeRoot"])
    return found


def test_pictures_are_told_to_who_cannot_see_them(paper):
    _, reader = paper
    assert figures(reader)
    assert all(len(node["/Alt"]) > 20 for node in figures(reader))


def test_no_text_of_a_user_becomes_markup():
    result = made_trial(MadeTrial(field="#panic() *b* $x$ \\ `c` <d>", product="= head"))
    text = packed(PdfReader(io.BytesIO(pdf.pdf(result))).pages[0].extract_text())
    assert packed("#panic() *b* $x$ \\ `c` <d>") in text


def test_the_same_result_gives_the_same_bytes(tmp_path):
    pdf.write(made_trial(), tmp_path / "trial.pdf")
    assert (tmp_path / "trial.pdf").read_bytes() == pdf.pdf(made_trial())


def test_many_points_make_no_large_file():
    assert len(pdf.pdf(many_points())) < 300_000
