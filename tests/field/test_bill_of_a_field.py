"""From the settings to the bill, through a whole run: each price moves the total by its own line alone."""

import json
from datetime import date

import pytest
from made_folders import FIELD, PRODUCT, RESPONSE, TOP, field_folder
from made_offers import choose_alone
from shapely import box
from shapely.geometry import mapping

from zoning import field
from zoning.errors import InputError
from zoning.offers.bill import bill

TODAY = date(2026, 7, 1)
HERE = FIELD.replace(
    "maturity_group = 1.9", 'maturity_group = 2.5\nexpected_yield = "58 bu/ac"\nrow_spacing = "15 in"'
)
# about 64.4 ac at 44.3 N, one block and one zone
BOUNDARY = box(-95.410, 44.300, -95.405, 44.306)
MONEY = {
    "grain_price": '"10.40 USD/bu"',
    "product": '"8 USD/ac"',
    "adjuvant": '"1.5 USD/ac"',
    "foliar_feed": '"0.75 USD/ac"',
    "pass": '"6 USD/ac"',
    "water": '"0.02 USD/gal"',
    "per_visit": '"40 USD"',
}
RIG = {
    "name": '"rig"',
    "boom": '"90 ft"',
    "nozzle_spacing": '"20 in"',
    "nozzle": '"04"',
    "pressure": '["30 psi", "90 psi"]',
    "speed": '["5 mph", "14 mph"]',
    "tank": '"1000 gal"',
    "fill_min": "15",
    "tracks_exist": "true",
    "ferry": '"25 USD"',
}
FLYING = {"boom": '"65 ft"', "speed": '["120 mph", "140 mph"]', "tank": '"500 gal"', "fill_min": "15"}
BY_AIR = 'min_carrier_air = "5 gal/ac"\naerial_allowed = true\ndrone_allowed = true\n'


def as_table(header: str, keys: dict[str, str | None]) -> str:
    given = (f"{key} = {value}\n" for key, value in keys.items() if value is not None)
    return header + "\n" + "".join(given)


def offered(root, *machines: dict[str, str | None], label=True, volume="15 gal/ac", **money: str | None):
    """What a field offers with these machines; None takes a key of [money] out."""
    farm = TOP + as_table("[money]", MONEY | money)
    farm += RESPONSE + 'pressure = "seen"\n[carrier]\n' + f'volumes = ["{volume}"]\n'
    farm += (PRODUCT + BY_AIR if label else "") + "".join(as_table("[[sprayer]]", one) for one in machines)
    folder = field_folder(root, farm, HERE)
    shape = {"type": "Feature", "properties": {}, "geometry": mapping(BOUNDARY)}
    collection = {"type": "FeatureCollection", "features": [shape]}
    (folder / "boundary.geojson").write_text(json.dumps(collection), encoding="utf-8")
    return field.offer(folder, today=TODAY, seed=1)


def billed(root, *machines: dict[str, str | None], **more):
    """Acres, the plan's value, and its lines by name and whether they count."""
    offer = offered(root, *(machines or (RIG,)), **more)
    chosen = choose_alone(offer.zones, offer.options)
    assert len(chosen.visits) == 1
    lines = bill(offer.options, chosen)
    assert len({(line.name, line.counted) for line in lines}) == len(lines)
    acres = float(offer.options.problem.area_ac.sum())
    return acres, chosen.value_usd, {(line.name, line.counted): line.usd for line in lines}


def counted(lines):
    return {name: usd for (name, is_counted), usd in lines.items() if is_counted}


def test_by_hand_every_line_of_the_bill(tmp_path):
    acres, value, lines = billed(tmp_path)
    # by the acre 8, 1.50, .75, 6 and 15 gal x .02 = .30; by the visit 40 and 25
    assert counted(lines) == pytest.approx(
        {
            "product": 8 * acres,
            "adjuvant": 1.5 * acres,
            "foliar_feed": 0.75 * acres,
            "pass": 6 * acres,
            "water": 0.3 * acres,
            "per_visit": 40,
            "ferry": 25,
        }
    )
    assert len(lines) == 7
    # a response of nothing less costs: the gain is what is left
    dearer = billed(tmp_path / "price", grain_price='"20.80 USD/bu"')
    gain = dearer[1] - value
    assert gain - sum(counted(lines).values()) == pytest.approx(value, abs=0.01)


@pytest.mark.parametrize(
    ("key", "twice", "line"),
    [
        ("product", '"16 USD/ac"', "product"),
        ("adjuvant", '"3 USD/ac"', "adjuvant"),
        ("foliar_feed", '"1.5 USD/ac"', "foliar_feed"),
        ("pass", '"12 USD/ac"', "pass"),
        ("water", '"0.04 USD/gal"', "water"),
        ("per_visit", '"80 USD"', "per_visit"),
        ("ferry", '"50 USD"', "ferry"),
    ],
)
def test_a_price_that_doubles_costs_its_own_line_and_no_more(tmp_path, key, twice, line):
    _, value, lines = billed(tmp_path / "once")
    changed = ({**RIG, key: twice},) if key in RIG else ()
    _, less, more = billed(tmp_path / "twice", *changed, **({} if changed else {key: twice}))
    assert value - less == pytest.approx(lines[line, True], abs=0.01)
    assert more == pytest.approx({**lines, (line, True): 2 * lines[line, True]})


def test_by_hand_an_adjuvant_by_share_of_the_tank_is_a_line_of_its_own(tmp_path):
    # .25 % of 15 gal/ac at 20 USD/gal = .75 USD/ac; the water stays .30
    share = {"adjuvant": '"0.25 % v/v"', "adjuvant_price": '"20 USD/gal"'}
    acres, value, lines = billed(tmp_path / "once", **share)
    assert lines["adjuvant", True] == pytest.approx(0.75 * acres)
    assert lines["water", True] == pytest.approx(0.30 * acres)
    _, less, _ = billed(tmp_path / "twice", **share | {"adjuvant_price": '"40 USD/gal"'})
    assert value - less == pytest.approx(0.75 * acres, abs=0.01)


def test_by_hand_the_own_machine_has_its_filling_apart(tmp_path):
    # filling: 1,000 gal / 15 gal/ac = 66.67 ac a load, 15 min at 120 USD/h = 30 USD: .450 USD/ac
    # driving: .4 gal/min at 40 psi is .6 at 90; .6 x 5940 / (15 gal/ac x 20 in) = 11.88 mph;
    # 11.88 x 90 ft / 8.25 x .85 = 110.16 ac/h; 120 / 110.16 = 1.089 USD/ac
    own = {**RIG, "machine": '"120 USD/h"'}
    acres, value, lines = billed(tmp_path / "once", own, **{"pass": None})
    assert lines["filling", True] == pytest.approx(0.45 * acres)
    assert lines["machine", True] == pytest.approx(1.089 * acres, rel=0.0005)
    assert ("pass", True) not in lines
    _, less, twice = billed(tmp_path / "twice", {**RIG, "machine": '"240 USD/h"'}, **{"pass": None})
    assert value - less == pytest.approx(lines["machine", True] + lines["filling", True], abs=0.01)
    assert twice["filling", True] == pytest.approx(2 * lines["filling", True])


def test_by_hand_a_bill_for_the_whole_field_and_a_minimum_bill(tmp_path):
    acres, value, lines = billed(tmp_path / "field", billed='"field"')
    # one zone is the whole field: the same money, billed another way
    assert lines["pass_field", True] == pytest.approx(6 * acres)
    assert ("pass", True) not in lines
    assert billed(tmp_path / "treated")[1] == pytest.approx(value)
    _, less, lines = billed(tmp_path / "least", minimum_bill='"600 USD"')
    assert lines["minimum_bill", True] == pytest.approx(600 - 6 * acres)
    assert value - less == pytest.approx(600 - 6 * acres)
    # a sprayer's own minimum wins
    _, _, lines = billed(tmp_path / "own", {**RIG, "minimum_bill": '"500 USD"'}, minimum_bill='"600 USD"')
    assert lines["minimum_bill", True] == pytest.approx(500 - 6 * acres)


def test_by_hand_crop_share(tmp_path):
    # half of the grain and a quarter of the cost
    acres, value, lines = billed(tmp_path / "all")
    gain = value + sum(counted(lines).values())
    _, mine, shared = billed(tmp_path / "share", share_of_grain="0.5", share_of_cost="0.25")
    assert counted(shared) == pytest.approx({name: usd / 4 for name, usd in counted(lines).items()})
    assert mine == pytest.approx(gain / 2 - sum(counted(lines).values()) / 4, abs=0.01)
    assert acres > 0


def test_what_is_bought_is_shown_and_not_counted(tmp_path):
    acres, value, lines = billed(tmp_path / "none")
    bought = dict.fromkeys(
        ("product_already_bought", "adjuvant_already_bought", "foliar_feed_already_bought"), "true"
    )
    _, more, shown = billed(tmp_path / "bought", **bought)
    assert more - value == pytest.approx((8 + 1.5 + 0.75) * acres, abs=0.01)
    for name in ("product", "adjuvant", "foliar_feed"):
        assert shown[name, False] == pytest.approx(lines[name, True])
        assert (name, True) not in shown


def test_another_pass_takes_over_all_that_goes_with_driving(tmp_path):
    new = {**RIG, "tracks_exist": "false"}
    acres, value, lines = billed(tmp_path / "alone", new)
    anyway = {"other_pass": '"insecticide"', "minimum_bill": '"900 USD"', "split_load": '"60 USD"'}
    _, more, shown = billed(tmp_path / "anyway", new, **anyway)
    taken_over = ("pass", "water", "per_visit", "ferry", "tracks_sprayed")
    assert more - value == pytest.approx(sum(lines[name, True] for name in taken_over), abs=0.01)
    assert counted(shown) == pytest.approx(
        {"product": 8 * acres, "adjuvant": 1.5 * acres, "foliar_feed": 0.75 * acres}
    )
    assert {name for name, is_counted in shown if not is_counted} == {"pass", "water", "per_visit", "ferry"}


def test_a_crop_share_is_said_because_the_bill_on_paper_is_the_whole(tmp_path):
    offer = offered(tmp_path, RIG, share_of_grain="0.6", share_of_cost="0.5")
    said = {note.code: note.text for note in offer.notes}
    assert "60 % of the grain, 50 % of the cost, also in the bill" in said["offers.crop_share"]
    whole = offered(tmp_path / "whole", RIG)
    assert "offers.crop_share" not in {note.code for note in whole.notes}


def test_another_pass_is_said_and_its_price_need_not_be_known(tmp_path):
    offer = offered(tmp_path, RIG, **{"pass": None, "other_pass": '"insecticide"'})
    said = {note.code: note.text for note in offer.notes}
    assert "the insecticide goes over the whole field anyway" in said["offers.goes_anyway"]
    assert said["offers.goes_anyway"].endswith("is product and adjuvant and foliar feed")
    assert "never set it to 0 with both in one tank" in said["offers.own_load"]
    assert "only where its own threshold is met, never as a rider" in said["offers.insecticide"]
    other = offered(tmp_path / "herbicide", RIG, **{"other_pass": '"late herbicide"'})
    assert "offers.insecticide" not in {note.code for note in other.notes}


@pytest.mark.parametrize("kind", ["aerial", "drone"])
def test_by_hand_from_the_air_no_tracks_are_made_and_its_own_bill_counts(tmp_path, kind):
    new = {**RIG, "tracks_exist": "false"}
    _, _, ground = billed(tmp_path / "ground", new)
    assert ground["tracks_sprayed", True] > 0
    flying = {**FLYING, "name": f'"{kind}"', "kind": f'"{kind}"', "pass": '"15 USD/ac"'}
    acres, _, lines = billed(tmp_path / kind, flying)
    assert lines["pass", True] == pytest.approx(15 * acres)
    assert ("tracks_sprayed", True) not in lines


@pytest.mark.parametrize("kind", ["aerial", "drone"])
@pytest.mark.parametrize(("gal_ac", "is_little"), [(3, True), (5, False)])
def test_little_volume_from_the_air_is_said_of_the_pass_in_the_plan(
    tmp_path, monkeypatch, kind, gal_ac, is_little
):
    monkeypatch.setitem(globals(), "BY_AIR", BY_AIR.replace("5 gal/ac", "2 gal/ac"))
    flying = {**FLYING, "name": f'"{kind}"', "kind": f'"{kind}"', "pass": '"5 USD/ac"'}
    made = offered(tmp_path, flying, volume=f"{gal_ac} gal/ac")
    plan = field.settle(made, choose_alone(made.zones, made.options))
    assert [one.rate_gal_ac for one in plan.passes] == [gal_ac]
    said = [note.text for note in plan.notes if note.code == "offers.of_pass"]
    little = "pass 1: 3 gal/ac is less than the 5 gal/ac that is the usual advice from the air"
    assert said == ([little] if is_little else [])


def test_by_hand_new_tracks_cost_what_they_press_down_once(tmp_path):
    # 159 / 90 = 1.767 % of 58 bu/ac = 1.025 bu/ac, 10.40 USD/bu: 10.66 USD/ac
    acres, value, lines = billed(tmp_path / "new", {**RIG, "tracks_exist": "false"})
    assert lines["tracks_sprayed", True] / acres == pytest.approx(10.66, abs=0.01)
    assert billed(tmp_path / "old")[1] - value == pytest.approx(lines["tracks_sprayed", True], abs=0.01)


def test_other_sprayers_say_what_they_would_bill(tmp_path):
    new = {**RIG, "tracks_exist": "false"}
    flying = {**FLYING, "name": '"plane"', "kind": '"aerial"', "pass": '"15 USD/ac"'}
    texts = [note.text for note in offered(tmp_path, new, flying).notes]
    assert "several sprayers may come; these are the figures with rig" in texts
    assert (
        "with plane the pass would be billed 15.00 USD/ac, and would press no new wheel tracks; "
        "with rig it costs 6.00"
    ) in texts
    without_bill = {key: value for key, value in flying.items() if key != "pass"}
    codes = [note.code for note in offered(tmp_path / "no bill", new, without_bill).notes]
    assert "offers.first_sprayer" in codes
    assert "offers.other_sprayer" not in codes


def test_without_a_label_a_machine_still_has_its_price(tmp_path):
    own = {**RIG, "machine": '"120 USD/h"'}
    terms = offered(tmp_path / "own", own, label=False, **{"pass": None}).options.terms[0]
    assert terms.pass_usd_ac == pytest.approx(0.450 + 1.089, abs=0.001)
    flying = {**FLYING, "name": '"plane"', "kind": '"aerial"', "pass": '"15 USD/ac"'}
    assert offered(tmp_path / "air", flying, label=False).options.terms[0].pass_usd_ac == 15
    # a bill for the whole field belongs to the visit, there too, and so does the ferry
    air = offered(tmp_path / "by field", flying, label=False, **{"pass": None, "billed": '"field"'}).options
    assert air.terms[0].pass_usd_ac == 0
    assert (air.problem.bill_usd_ac, air.problem.per_visit_usd) == (15, 40)
    slow = {**own, "speed": '["1 mph", "1 mph"]'}
    with pytest.raises(InputError, match="rig can spray none of the carrier volumes"):
        offered(tmp_path / "slow", slow, label=False, **{"pass": None})


@pytest.mark.parametrize(
    ("row", "there"),
    [
        ("Some Field,2026-06-12 10:00,Herbicide,rig,", True),
        ("field,2026-06-12,Herbicide,Rig,", True),  # by its folder; a day without its hour
        ("Some Field,2026-06-12 10:00,Herbicide,rig,2", False),  # not all of the field
        ("Some Field,2026-06-12 10:00,Herbicide,custom rig,", False),
        ("Some Field,2026-05-01 10:00,Burndown,rig,", False),  # before this crop
        ("Some Field,2026-07-02 10:00,Herbicide,rig,", False),  # after today
        ("Other Field,2026-06-12 10:00,Herbicide,rig,", False),
    ],
)
def test_tracks_of_an_earlier_pass_are_used_again(tmp_path, row, there):
    new = {**RIG, "tracks_exist": "false"}
    (tmp_path / "farm").mkdir()
    done = tmp_path / "farm" / "done.csv"
    done.write_text(f"field,end,product,sprayer,zones\n{row}\n", encoding="utf-8")
    offer = offered(tmp_path, new)
    lines = bill(offer.options, choose_alone(offer.zones, offer.options))
    said = [note.text for note in offer.notes if note.code == "offers.tracks_there"]
    assert ("tracks_sprayed" not in [line.name for line in lines]) == there
    assert (
        said
        == ["rig was in this field on Jun 12 (done.csv): its tracks are used again and press nothing down"]
        * there
    )
    assert "../done.csv" in offer.provenance.inputs
