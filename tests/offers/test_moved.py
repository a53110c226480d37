"""What moved the responses beside scouting is said once, with how little it rests on."""

import pytest
from made_demo import TODAY, three_dates

from zoning import field
from zoning.evidence import number
from zoning.returns.mixture import mean

NO_MEASURE = {"measured_by": lambda *_, **__: lambda: None}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The demo field, walked by nobody, in as many zones as its layers tell apart."""
    folder = three_dates(tmp_path_factory.mktemp("moved"))
    settings = folder / "field.toml"
    text = settings.read_text().split("[[scouting]]")[0]
    settings.write_text(text.replace("[zones]\n", '[zones]\ndivide_by = "layers"\n'))
    return folder


def offered(folder, today=TODAY, effects=""):
    farm = folder.parent / "farm.toml"
    text = farm.read_text()
    farm.write_text(text + effects)
    try:
        return field.offer(folder, today=today, seed=1)
    finally:
        farm.write_text(text)


def test_zones_denser_than_their_block_expect_more_and_it_is_said(folder):
    offer = offered(folder)
    sds = {one.zone: mean(one.case.mixture) - mean(one.plain_case.mixture) for one in offer.zones}
    assert min(sds.values()) < 0 < max(sds.values())
    # a zone cannot move by more than two SD of canopy do
    most = number("returns.contrast_canopy_odds") ** number("returns.contrast_most_sd")
    for one in offer.zones:
        before = 1 - one.plain_case.mixture.parts[0].weight
        after = 1 - one.case.mixture.parts[0].weight
        assert 1 / most <= after / (1 - after) * (1 - before) / before <= most
    (note,) = [note for note in offer.notes if note.code == "offers.zone_contrast"]
    assert note.values["most"] == pytest.approx(max(map(abs, sds.values())))
    assert "no trial has measured" in note.text


def test_switched_off_nothing_is_moved_and_nothing_said(folder):
    offer = offered(folder, effects="\n[effects]\nzone_contrast = false\nfavourable_days = false\n")
    assert all(one.plain_case is None for one in offer.zones)
    codes = {note.code for note in offer.notes}
    assert not codes & {"offers.zone_contrast", "offers.favourable_days", "offers.unfavourable_days"}
    even = offered(folder)
    for one, other in zip(offer.zones, even.zones, strict=True):
        names = {link.name for link in other.chain} - {link.name for link in one.chain}
        assert names <= {"canopy", "wet_ground", "favourable_days"}


def test_weather_is_said_only_where_its_days_lie_around_r3(folder):
    assert not said_of_weather(offered(folder))  # the hours end before the two weeks around R3 begin
    settings = folder / "field.toml"
    text = settings.read_text()
    settings.write_text(text.replace("maturity_group = 1.7", "maturity_group = 0.2"))
    try:
        notes = said_of_weather(offered(folder))
    finally:
        settings.write_text(text)
    assert notes
    for note in notes:
        assert note.values["known_days"] >= note.values["days"]
        assert "of 21" in note.text


def said_of_weather(offer):
    return [note for note in offer.notes if note.code.endswith("favourable_days")]


def test_a_zone_without_contrast_is_priced_on_the_same_luck(folder):
    for one in offered(folder).zones:
        assert one.plain_case.stage is one.case.stage
        ranks = one.case.response_draws_bu_ac.argsort(kind="stable")
        assert (
            one.plain_case.response_draws_bu_ac[ranks] == sorted(one.plain_case.response_draws_bu_ac)
        ).all()
