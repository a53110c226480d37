"""What practice asks to be said, where it matters and nowhere else; what disagrees, with both sides."""

import re
from datetime import date

import numpy as np
import pytest
from made_demo import TODAY, three_dates
from made_folders import FIELD, MONEY, PRODUCT, RESPONSE, SPRAYER, TOP, faults, read
from made_offers import choose_alone

from zoning import field
from zoning.evidence import entry, number
from zoning.passes.label import allowed_days
from zoning.returns.hearsay import disagreements, practice_says
from zoning.returns.remarks import Situation, codes, keeps_out, remarks
from zoning.words import SENTENCES

LEVEL_3 = (TOP, MONEY, PRODUCT, SPRAYER, RESPONSE)
GROUND = Situation(sprayer_kind="ground", volumes_gal_ac=(10.0, 15.0, 20.0))


def given(tmp_path, own="", farm=LEVEL_3):
    return read(tmp_path, *farm, field=FIELD.replace("[planting]", f"{own}\n[planting]"))


def with_groups(tmp_path, groups, used=()):
    text = PRODUCT.replace('["3", "11"]', str(list(groups)).replace("'", '"'))
    text += f"groups_used = {str(list(used)).replace(chr(39), chr(34))}\n"
    return read(tmp_path, TOP, MONEY, text, SPRAYER, RESPONSE)


def said(settings, of=GROUND):
    return [one.code for one in remarks(settings, of)]


def test_where_all_is_well_nothing_is_remarked(tmp_path):
    assert said(given(tmp_path)) == []
    assert said(read(tmp_path / "1")) == []


# -- resistance ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("groups", "used", "expected"),
    [
        (["11"], [], ["returns.solo_group_11"]),
        (["FRAC 3"], [], ["returns.solo_group"]),
        (["M05"], [], []),  # a code with a letter is not that of a single site
        (["3 + 11"], [], []),  # two in one text
        (["3", "11"], ["7"], []),
        (["3", "11"], ["11"], ["returns.group_again"]),
        (["3", "7", "11"], ["group 11", "3"], ["returns.group_again"]),
        (["3", "11"], ["11", "3", "7"], ["returns.same_groups_again"]),
        (["11"], ["11"], ["returns.solo_group_11", "returns.group_again"]),
        (["M5", "3"], ["M5"], []),
    ],
)
def test_resistance(tmp_path, groups, used, expected):
    assert said(with_groups(tmp_path, groups, used)) == expected


def test_only_the_repeated_groups_are_named(tmp_path):
    (one,) = remarks(with_groups(tmp_path, ["3", "7", "11"], ["11", "3"]), GROUND)
    assert "groups 3 and 11" in one.text
    assert "7" not in one.text
    assert "Invented" not in one.text, "codes, no product names"


def test_codes_are_read_as_people_write_them():
    assert codes(["FRAC 11", "Group 3", "03", "m 05", "M5", "7/11"]) == ("11", "3", "M5", "7")


# -- crop ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("own", "of", "expected"),
    [
        ("drought = true", {}, ["returns.leaf_burn"]),
        ("wheat_follows = true", {}, ["returns.wheat_follows"]),
        ('previous_crop = "wheat"', {"is_late": True}, ["returns.double_crop"]),
        ('previous_crop = "wheat"', {}, []),  # planted in time: the wheat was last year's
        ('previous_crop = "double crop after barley"', {}, ["returns.double_crop"]),
        ('previous_crop = "Soybeans"', {}, ["returns.after_soybean"]),
        ('previous_crop = "maize"', {"is_late": True}, []),
        ('canopy = "closed"', {}, ["returns.closed_canopy"]),
        ('canopy = "open"', {}, []),
        ("", {"is_contrasted": True}, ["returns.roots_and_stems"]),
        ('market = "seed"', {}, ["returns.market"]),
        ('market = "food grade"', {}, ["returns.market"]),
        ('market = "contract"', {}, ["returns.market"]),
    ],
)
def test_crop(tmp_path, own, of, expected):
    assert said(given(tmp_path, own), Situation(sprayer_kind="ground", **of)) == expected


def test_leaves_burn_from_triazoles_only(tmp_path):
    settings = with_groups(tmp_path, ["7", "11"])
    assert said(settings.model_copy(update={"drought": True})) == []


def test_soybean_after_soybean_is_silent_where_it_is_switched_off(tmp_path):
    off = given(tmp_path, 'previous_crop = "soybean"', (*LEVEL_3, "[effects]\nprevious_crop = false\n"))
    assert said(off) == []


def test_published_double_crop_with_little_frogeye(tmp_path):
    # Barro et al., Profitability of foliar fungicides in double-crop soybean: -28 to +72 kg/ha
    metric = given(tmp_path, 'previous_crop = "double crop"').model_copy(update={"units": "metric"})
    (one,) = remarks(metric, GROUND)
    assert "-28 to +72 kg/ha" in one.text
    (other,) = remarks(metric.model_copy(update={"units": "us"}), GROUND)
    assert "-0.4 to +1.1 bu/ac" in other.text


def test_an_organic_crop_is_refused_in_one_line(tmp_path):
    for farm in (LEVEL_3, (TOP,)):
        text = FIELD.replace("[planting]", 'market = "organic"\n[planting]')
        (one,) = faults(tmp_path / str(len(farm)), *farm, field=text)
        assert one.startswith('field.toml:3: market = "organic": an organic crop gets no such product.')
        assert "\n" not in one


def test_an_unknown_market_names_those_that_are_known(tmp_path):
    (one,) = faults(tmp_path, *LEVEL_3, field=FIELD.replace("[planting]", 'market = "seeds"\n[planting]'))
    assert "food grade" in one


# -- lodged --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        ("ground", ["returns.lodged_no_pass"]),
        ("", ["returns.lodged"]),
        ("aerial", []),
        ("drone", []),
    ],
)
def test_a_lodged_crop_keeps_the_ground_sprayer_out(tmp_path, kind, expected):
    settings = given(tmp_path, "lodged = true")
    assert said(settings, Situation(sprayer_kind=kind)) == expected
    assert keeps_out(settings, kind) == (kind == "ground")
    assert not keeps_out(given(tmp_path / "standing"), kind)


# -- where sources disagree ----------------------------------------------------------------------------------


def told(settings, of=GROUND):
    return {one.code: one.text for one in disagreements(settings, of)}


def test_only_what_matters_in_this_field_is_disputed(tmp_path):
    settings = given(tmp_path)
    assert list(told(settings, Situation())) == ["returns.disagree_time_of_day"]
    assert set(told(settings)) == {"returns.disagree_carrier", "returns.disagree_time_of_day"}
    one_volume = Situation(sprayer_kind="ground", volumes_gal_ac=(15.0,), is_late=True, is_past_middle=True)
    assert set(told(settings, one_volume)) == {
        "returns.disagree_late_planting",
        "returns.disagree_time_of_day",
        "returns.disagree_late_spray",
    }


@pytest.mark.parametrize(
    ("effects", "of", "code", "used"),
    [
        ("carrier = true", {}, "returns.disagree_carrier", "returns.carrier_counts"),
        ("carrier = false", {}, "returns.disagree_carrier", "returns.carrier_free"),
        ("morning = true", {}, "returns.disagree_time_of_day", "returns.morning_counts"),
        ("morning = false", {}, "returns.disagree_time_of_day", "returns.morning_free"),
        ('late_planting = "more"', {"is_late": True}, "returns.disagree_late_planting", "returns.late_more"),
        ('late_planting = "less"', {"is_late": True}, "returns.disagree_late_planting", "returns.late_less"),
        ("", {"is_late": True}, "returns.disagree_late_planting", "returns.late_neutral"),
    ],
)
def test_what_is_used_here_follows_the_switch(tmp_path, effects, of, code, used):
    settings = given(tmp_path, farm=(*LEVEL_3, f"[effects]\n{effects}\n"))
    of = Situation(sprayer_kind="ground", volumes_gal_ac=(10.0, 20.0), **of)
    assert told(settings, of)[code].endswith(SENTENCES[used])


def test_practice_on_volume_is_told_where_both_can_be_chosen(tmp_path):
    settings = given(tmp_path)
    sees = "some yield for 20 over 10"
    assert sees in told(settings)["returns.disagree_carrier"]
    few = Situation(sprayer_kind="ground", volumes_gal_ac=(10.0, 15.0))
    assert sees not in told(settings, few)["returns.disagree_carrier"]
    metric = settings.model_copy(update={"units": "metric"})
    # 20, 10 and 15 gal/ac x 9.354
    text = told(metric)["returns.disagree_carrier"]
    assert "for 187 over 94" in text
    assert "140 L/ha" in text


def test_what_is_left_after_r3_is_that_of_the_curve_in_use(tmp_path):
    late = Situation(is_past_middle=True)
    text = told(given(tmp_path), late)["returns.disagree_late_spray"]
    # published curve at mid R4: .40 and .65; practice: 5.75/11 = .52 for both
    assert re.findall(r"(\d+) %", text) == ["40", "65"]
    practice = given(tmp_path / "2", farm=(*LEVEL_3, 'stage_curve = "practice"\n'))
    assert re.findall(r"(\d+) %", told(practice, late)["returns.disagree_late_spray"]) == ["52", "52"]


# -- practice without a source -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("farm", "kind", "has"),
    [
        (LEVEL_3, "ground", ["practice_coverage"]),
        (LEVEL_3, "aerial", []),
        ((TOP, MONEY, RESPONSE), "", []),
        ((TOP, MONEY + 'foliar_feed = "4 USD/ac"\n', RESPONSE), "", ["practice_boron"]),
        ((TOP, MONEY, PRODUCT.replace('"3", ', ""), SPRAYER, RESPONSE), "aerial", ["practice_groups"]),
    ],
)
def test_practice_says_what_fits_and_that_it_has_no_source(tmp_path, farm, kind, has):
    found = practice_says(given(tmp_path, farm=farm), Situation(sprayer_kind=kind))
    text = " ".join(one.text for one in found)
    for name in ("practice_coverage", "practice_boron", "practice_groups"):
        assert (str(entry(f"returns.{name}").value) in text) == (name in has), name
    assert ("nodes 6-13" in text) == (kind == "ground")
    assert len(found) == (1 if has else 0)
    assert all("without a source" in one.text for one in found)


def test_what_practice_says_is_of_that_kind():
    for name in ("groups", "volume_gal_ac", "coverage", "boron", "nodes", "nodes_at_r3", "late_planting"):
        one = entry(f"returns.practice_{name}")
        assert (one.kind, one.source) == ("common practice", "")
    assert number("returns.morning_bu_ac") == 0.5


# -- in a field ----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return three_dates(tmp_path_factory.mktemp("remarks"))


def offered(folder, own="", after=""):
    settings = folder / "field.toml"
    text = settings.read_text()
    settings.write_text(f"{own}\n{text}\n{after}")
    try:
        return field.offer(folder, today=TODAY, seed=1)
    finally:
        settings.write_text(text)


def test_a_field_is_told_each_of_them_at_most_once(folder):
    notes = [note.code for note in offered(folder).notes]
    disputed = [code for code in notes if code.startswith("returns.disagree")]
    assert len(disputed) == len(set(disputed))
    # planted 28 April, 15 May and 8 June: one block after 21 May; three volumes; not yet past R3
    assert disputed == [
        "returns.disagree_late_planting",
        "returns.disagree_carrier",
        "returns.disagree_time_of_day",
    ]
    assert notes.count("returns.practice_says") == 1


def test_late_begins_where_the_trials_say_not_where_tracks_do(folder):
    planting = folder / "planting.geojson"
    text = planting.read_text()
    for planted, is_late in (("2026-05-20", False), ("2026-05-25", True)):
        planting.write_text(text.replace("2026-06-08", planted))
        codes_said = [note.code for note in offered(folder).notes]
        assert ("returns.disagree_late_planting" in codes_said) == is_late
    planting.write_text(text)


def test_a_field_past_the_middle_of_r3_is_told_how_late_a_spray_helps(folder):
    # the applicator comes 25 days after 7 July, when the second block is past the middle of R3
    late = offered(folder, after="[schedule]\nnotice_d = 25\n")
    assert [note.code for note in late.notes].count("returns.disagree_late_spray") == 1


def test_a_lodged_field_gets_no_ground_pass_and_is_told_why(folder):
    offer = offered(folder, "lodged = true")
    assert not offer.options.problem.worth_it.any()
    assert "returns.lodged_no_pass" in [note.code for note in offer.notes]
    plan = field.settle(offer, choose_alone(offer.zones, offer.options))
    assert {zone.action for zone in plan.zones} == {"skip"}
    assert {zone.reason.code for zone in plan.zones} == {"offers.no_day"}
    assert plan.totals.net_usd == 0


@pytest.mark.parametrize(
    ("key", "code", "told"),
    [
        ("lead_time_d", "offers.ordered_too_late", "the product takes 60 days to come"),
        ("notice_d", "offers.called_too_late", "the applicator wants 60 days of notice"),
    ],
)
def test_by_hand_what_comes_after_the_window_is_said_with_the_day_that_was_missed(folder, key, code, told):
    offer = offered(folder, after=f"[schedule]\n{key} = 60\n")
    plan = field.settle(offer, choose_alone(offer.zones, offer.options))
    assert {zone.reason.code for zone in plan.zones} == {code}
    product = offer.settings.product
    for zone, one in zip(plan.zones, offer.zones, strict=True):
        # the last day of the label: the later ones of the sixty are refused
        last = max(
            day
            for day in range(TODAY.toordinal(), TODAY.toordinal() + 60)
            if allowed_days(one.stage, np.array([day]), product)[0][0]
        )
        day, by = date.fromordinal(last), date.fromordinal(last - 60)
        assert told in zone.reason.text
        assert f"{day:%b} {day.day} is the last day" in zone.reason.text
        assert f"by {by:%b} {by.day}" in zone.reason.text
        assert by < TODAY


def test_where_the_label_was_over_already_nobody_is_told_to_have_ordered_late(folder):
    # with so long an interval before harvest no day from today on is allowed, whenever the product comes
    late = "[schedule]\nlead_time_d = 5\n[product]\npre_harvest_interval_d = 120\n"
    offer = offered(folder, after=late)
    plan = field.settle(offer, choose_alone(offer.zones, offer.options))
    assert {zone.reason.code for zone in plan.zones} == {"offers.no_day"}


def test_no_sentence_promises_anything():
    for code, text in SENTENCES.items():
        if code.startswith("returns."):
            assert "safe" not in text.lower(), code
