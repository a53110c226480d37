"""The map of the page as a picture: every zone where and as large as it is, labels inside, on paper too."""

from dataclasses import replace
from datetime import date
from io import BytesIO

import numpy as np
import pytest
import read_map
import shapely
from demo_plan import demo_plan
from made_laid_strips import with_laid_strips
from made_no_spray import with_no_spray
from made_page_plans import page_plan
from made_plans import Made, made_plan, smooth_field, with_scouting
from made_strips import with_swath_cells
from read_page import figures, read, words

from zoning import colours
from zoning.inputs.area import from_lonlat
from zoning.plan import Override
from zoning.show.page import map_svg
from zoning.show.page.drawing import drawing
from zoning.show.page.map_labels import ASPECTS
from zoning.show.page.map_legend import legend
from zoning.show.page.themes import THEMES, looks, themes
from zoning.words import Said

LABELS, BLOCKS = smooth_field(3, shape=(40, 39), hole=True)


def made(**wanted):
    given = {"labels": LABELS, "block_of_zone": BLOCKS, "cell_m": 20, "simplify_m": 8}
    return Made(**(given | {"pass_of_zone": {1: 1, 3: 1, 4: 2}} | wanted))


PLAIN = made_plan(made())
CASES = {
    **{f"level {level}": made_plan(made(level=level)) for level in (1, 2, 3)},
    "metric": made_plan(made(units="metric")),
    "without dates": made_plan(made(level=1, dates=False)),
    "scouted": with_scouting(PLAIN, counted=(1, 2, 5), low=(2, 3, 6)),
    "strips": with_laid_strips(made(), 4),
    "strips aslant": with_scouting(with_laid_strips(made(), 4, heading_deg=12), counted=(1, 4)),
    "no spray": with_no_spray(PLAIN, {2: "setback", 5: "dead ground"}),
    "swaths": with_swath_cells(made(), np.where(np.arange(39) % 3 == 0, 1, 0) * np.ones((40, 1), dtype=int)),
    "overruled": replace(
        PLAIN,
        zones=tuple(
            replace(
                zone,
                override=Override(
                    action="skip", rate_gal_ac=None, reason="wet", decided_on=None, computed="spray"
                ),
            )
            for zone in PLAIN.zones
        ),
    ),
    "south": made_plan(made(epsg=32720, origin_m=(400_000.0, 6_300_000.0), first_planted=date(2025, 11, 3))),
}


@pytest.fixture(params=CASES, scope="module")
def plan(request):
    return CASES[request.param]


# ---- what is there ----


def test_the_map_is_xml_and_holds_every_zone_point_strip_and_ground(plan):
    tree = read_map.tree(map_svg.svg(plan))
    links = [one for one in tree.iter("a") if one.get("class") == "zone"]
    assert [int(one.get("data-zone")) for one in links] == [zone.zone for zone in plan.zones]
    assert [one.get("href") for one in links] == [f"#zone-{zone.zone}" for zone in plan.zones]
    assert all(one.get("aria-label").startswith(f"Zone {one.get('data-zone')}: ") for one in links)
    assert sum(one.get("class") == "point" for one in tree.iter("a")) == len(plan.scouting)
    groups = {one.get("id"): one for one in tree.iter("g") if one.get("id")}
    assert len(groups["map-never"]) == 2 * len(plan.no_spray)
    assert (len(groups["map-strips"]) > 0) == (plan.strips is not None)
    assert ("map-swaths" in groups) == (plan.treatment is not None)
    assert len([one for one in tree.iter("path") if one.get("id") == "map-boundary"]) == 1


def test_nothing_in_it_needs_a_style_or_a_script(plan):
    for one in read_map.tree(map_svg.svg(plan)).iter():
        assert one.tag not in ("style", "script", "foreignObject")
        assert not [name for name in one.attrib if name == "style" or name.startswith("on")]


def test_a_hostile_name_stays_a_name():
    plan = replace(PLAIN, field='</svg><script>alert("1")</script>')
    text = map_svg.svg(plan)
    assert "<script" not in text
    assert read_map.tree(text).get("aria-label").startswith("Map of </svg><script>")


def test_zones_are_as_large_as_they_are(plan):
    """A corner moves by up to half a step both ways, so an area by up to its edge times 0.71 steps."""
    found = read_map.zones(map_svg.svg(plan))
    for zone in plan.zones:
        there = from_lonlat(zone.outline, plan.epsg)
        assert found[zone.zone].area == pytest.approx(there.area, abs=0.071 * there.length / 2 + 0.1)


def test_zones_lie_where_they_are_with_north_up(plan):
    west, _, _, north = from_lonlat(plan.boundary, plan.epsg).bounds
    found = read_map.zones(map_svg.svg(plan))
    for zone in plan.zones:
        there = from_lonlat(zone.outline, plan.epsg).centroid
        assert found[zone.zone].centroid.x == pytest.approx(there.x - west, abs=1)
        assert found[zone.zone].centroid.y == pytest.approx(north - there.y, abs=1)


def test_zones_still_share_their_edges(plan):
    found = [*read_map.zones(map_svg.svg(plan)).values()]
    together = shapely.union_all(found)
    assert sum(one.area for one in found) == pytest.approx(together.area, rel=1e-4)
    if not plan.no_spray:
        whole = from_lonlat(plan.boundary, plan.epsg)
        assert together.area == pytest.approx(whole.area, abs=0.071 * whole.length)


def test_a_hole_stays_a_hole():
    ring = np.ones((20, 20), dtype=int)
    ring[6:13, 7:12] = 2
    found = read_map.zones(map_svg.svg(made_plan(Made(labels=ring, cell_m=20))))
    # by hand: 400 and 35 cells of 400 m2
    assert found[2].area == pytest.approx(35 * 400, abs=20)
    assert found[1].area == pytest.approx(365 * 400, abs=100)
    assert not found[1].contains(found[2].representative_point())


def test_by_hand_paths_are_read_as_they_are_filled():
    # a square of 10 m with one of 2 m left out: 100 - 4
    assert read_map.shape("M0 0l10 0 0 10-10 0zM4 4l2 0 0 2-2 0z").area == 96
    assert read_map.shape("M0 0l10 0 0 20-10 0z").area == 200


# ---- labels ----


@pytest.mark.parametrize("theme", THEMES)
def test_labels_lie_in_their_zone_and_cover_neither_each_other_nor_a_point(plan, theme):
    text = map_svg.static_svg(plan, theme)
    zones = read_map.zones(text)
    found = read_map.labels(text)
    assert found
    points = [shapely.Point(one.x, one.y) for one in drawing(plan).spots]
    strips = shapely.union_all([one.outline_m for one in drawing(plan).strips])
    for at, one in enumerate(found):
        assert not any(one.box.intersects(other.box) for other in found[:at])
        if one.of.startswith("S"):
            continue
        assert zones[int(one.of)].buffer(0.2).covers(one.box)
        assert not any(one.box.distance(point) < 1 for point in points)
        assert not one.box.buffer(-0.2).intersects(strips)


def test_large_zones_have_labels_in_every_theme():
    for theme in themes(PLAIN):
        text = map_svg.static_svg(PLAIN, theme)
        named = {one.of for one in read_map.labels(text)}
        large = {str(zone.zone) for zone in PLAIN.zones if zone.area_ac > 20}
        assert large <= named


def test_every_place_for_a_label_lies_in_its_zone(plan):
    ground = drawing(plan)
    for zone, (first, again) in zip(ground.zones, ground.rooms, strict=True):
        for room in (*first, *again):
            for half, aspect in zip(room.halves, ASPECTS, strict=True):
                box = shapely.box(
                    room.x - half * aspect, room.y - half, room.x + half * aspect, room.y + half
                )
                assert zone.buffer(1e-6).covers(box)


def test_no_figure_is_a_negative_nothing(plan):
    for theme in themes(plan):
        for zone in looks(plan, theme):
            assert not {"-0", "−0"} & {line for lines in zone.tries for line in lines}
    near = tuple(replace(one, money=replace(one.money, net_mean_usd_ac=-0.3)) for one in PLAIN.zones)
    assert {one.tries[-1] for one in looks(replace(PLAIN, zones=near), "return")} == {("0",)}


def test_what_each_theme_says():
    by_hand = {
        # 1, 3 in pass 1 at 15 gal/ac, 4 in pass 2 at 20; the net of a skipped zone is -3.2 - 1.7 zone
        "decision": {1: "P1 · 15 gal/ac", 4: "P2 · 20 gal/ac", 2: "skip"},
        "return": {1: "+22", 4: "+25", 2: "−7"},
        "date": {1: "Jul 3–14"},
        "zone": {1: f"block {BLOCKS[1]}"},
    }
    for theme, told in by_hand.items():
        found = dict(zip([zone.zone for zone in PLAIN.zones], looks(PLAIN, theme), strict=True))
        for zone, wanted in told.items():
            assert found[zone].tries[0][1] == wanted


def test_skipped_zones_are_hatched_and_losses_too():
    for zone, look in zip(PLAIN.zones, looks(PLAIN, "decision"), strict=True):
        assert look.hatched == (zone.action == "skip")
    for zone, look in zip(PLAIN.zones, looks(PLAIN, "return"), strict=True):
        assert look.hatched == (zone.money.net_mean_usd_ac < -0.5)


def with_decisions(**refused):
    """The plain plan, where the user decided zones 2 and 4: what of it is not followed is in `refused`."""
    own = Override(action=None, rate_gal_ac=20.0, reason="wet", decided_on=None, computed="skip")
    zones = tuple(
        replace(zone, override=replace(own, **refused)) if zone.zone in (2, 4) else zone
        for zone in PLAIN.zones
    )
    return replace(PLAIN, zones=zones)


def test_what_was_decided_has_a_mark_and_a_dashed_edge_on_paper_too():
    plan = with_decisions()
    assert [one.tries[-1][0] for one in looks(plan, "decision")] == ["1", "2!", "3", "4!", "5", "6"]
    for text in (map_svg.svg(plan), map_svg.static_svg(plan)):
        tree = read_map.tree(text)
        (over,) = [one for one in tree.iter("g") if one.get("id") == "map-over"]
        assert {one.get("href") for one in over} == {"#map-z2", "#map-z4"}
        assert any(one.get("stroke-dasharray") for one in over)
    told = {one.get("data-zone"): one.get("aria-label") for one in tree_links(plan)}
    assert {zone for zone, label in told.items() if "decided by you" in label} == {"2", "4"}
    assert "dashed edge and !: decided by you" in legend(plan)
    assert 'data-key="overruled">' in legend(plan)


def test_what_was_decided_and_not_followed_has_neither():
    plan = with_decisions(refused=Said("decisions.not_sprayed"))
    assert [one.tries[-1][0] for one in looks(plan, "decision")] == ["1", "2", "3", "4", "5", "6"]
    assert 'stroke-dasharray="7 5"' not in map_svg.svg(plan)
    assert "decided by you" not in map_svg.svg(plan)
    assert 'data-key="overruled" hidden>' in legend(plan)


def tree_links(plan):
    return [one for one in read_map.tree(map_svg.svg(plan)).iter("a") if one.get("class") == "zone"]


def test_zones_without_any_pass_to_go_with_are_drawn():
    plan = page_plan(6)
    zones = tuple(replace(one, visit=-1) for one in plan.what_if.zones)
    closed = replace(plan, what_if=replace(plan.what_if, zones=zones, visits=()))
    by_plan = {zone.zone: zone.rate_gal_ac for zone in plan.zones}
    assert {one["zone"]: one["rate_gal_ac"] for one in map_svg.map_data(closed)["zones"]} == by_plan


def test_more_carrier_is_darker():
    # zones 1, 3 get 15 gal/ac, zone 4 gets 20
    fill = {zone.zone: look.fill for zone, look in zip(PLAIN.zones, looks(PLAIN, "decision"), strict=True)}
    assert fill[1] == fill[3]
    assert colours.luminance(fill[4]) < colours.luminance(fill[1]) < colours.luminance(fill[2])


def test_a_return_below_the_least_is_too_close_to_call():
    plan = page_plan(6)  # its least net return is 3 $/ac
    nets = (2.9, -2.9, 3.1, -3.1, 0.0, 20.0)
    zones = tuple(
        replace(zone, money=replace(zone.money, net_mean_usd_ac=net))
        for zone, net in zip(plan.zones, nets, strict=True)
    )
    found = looks(replace(plan, zones=zones), "return")
    assert [one.toss_up for one in found] == [True, True, False, False, True, False]
    assert {one.fill for one in found if one.toss_up} == {colours.NET[4]}


# ---- the legend and the scale bars ----


def keys_of(plan, theme):
    """Colour, words and acres of each line of the legend that a theme shows."""
    (shown,) = read(legend(plan)).xpath(f"//ul[@data-theme='{theme}']")
    for one in shown.xpath("li[not(@hidden) and .//rect]"):
        areas = [value for quantity, value, _ in figures(one) if quantity == "area_ac"]
        yield one.xpath(".//rect/@fill")[0], words(one), areas[0] if areas else None


def acres(zones):
    return pytest.approx(sum(zone.area_ac for zone in zones), abs=1e-5)


def test_the_legend_has_the_colours_of_the_map_and_the_acres_of_each():
    found = {colour: area for colour, _, area in keys_of(PLAIN, "decision")}
    by_colour = {}
    for zone, look in zip(PLAIN.zones, looks(PLAIN, "decision"), strict=True):
        by_colour.setdefault(look.fill, []).append(zone)
    assert len(by_colour) == 3  # two volumes, and skipped
    assert found == {colour: acres(zones) for colour, zones in by_colour.items()}


def test_the_legend_of_days_holds_every_acre_once():
    by_colour = {}
    for zone, look in zip(PLAIN.zones, looks(PLAIN, "date"), strict=True):
        by_colour.setdefault(look.fill, []).append(zone)
    found = {colour: area for colour, _, area in keys_of(PLAIN, "date")}
    assert len(by_colour) > 1
    assert found == {colour: acres(zones) for colour, zones in by_colour.items()}


def test_the_legend_of_returns_shows_a_loss_as_brown():
    (loss,) = [colour for colour, told, _ in keys_of(PLAIN, "return") if "loss" in told]
    assert loss in colours.NET[: len(colours.NET) // 2]
    ends = [value for quantity, value, _ in figures(read(legend(PLAIN))) if quantity == "net_usd_ac"]
    assert ends[0] == -ends[1] < min(zone.money.net_mean_usd_ac for zone in PLAIN.zones)


def test_by_hand_bars_are_as_long_as_they_say(plan):
    """A foot is 0.3048 m by definition; each bar is drawn in metres."""
    for bar in read_map.tree(map_svg.svg(plan)).iter("g"):
        if bar.get("data-bar"):
            length_m = float(bar.get("data-length")) * {"m": 1.0, "ft": 0.3048}[bar.get("data-bar")]
            assert float(bar.find("rect").get("width")) == pytest.approx(length_m, rel=1e-4)


# ---- size, and places on it ----


def test_two_hundred_zones_stay_small():
    plan = page_plan(200, pictures=0)
    assert len(map_svg.svg(plan)) < 150_000
    assert len(map_svg.svg(page_plan(200))) < 150_000  # with two pictures of 3 m cells


def test_the_same_plan_gives_the_same_bytes():
    assert map_svg.svg(made_plan(made())) == map_svg.svg(made_plan(made()))


# ---- paper ----


def test_paper_shows_what_the_plan_says():
    typst = pytest.importorskip("typst")
    image = pytest.importorskip("PIL.Image")
    plan = demo_plan()
    text = map_svg.static_svg(plan)
    source = (
        f"#set page(width: 700pt, height: 700pt, margin: 0pt)\n#image(bytes({_quoted(text)}), width: 700pt)"
    )
    picture = image.open(BytesIO(typst.compile(source.encode(), format="png", ppi=72))).convert("RGB")
    scale = picture.width / float(read_map.tree(text).get("viewBox").split()[2])
    left, top = (float(one) for one in read_map.tree(text).get("viewBox").split()[:2])
    pixels = np.asarray(picture).astype(int)
    zones = read_map.zones(text)
    hidden = shapely.union_all(
        [*(one.box for one in read_map.labels(text)), *(one.outline_m for one in drawing(plan).strips)]
    ).buffer(12)
    for zone, look in zip(plan.zones, looks(plan, "decision"), strict=True):
        ground = zones[zone.zone].buffer(-8).difference(hidden)
        rows, cols = np.mgrid[0 : pixels.shape[0], 0 : pixels.shape[1]]
        inside = shapely.contains_xy(ground, (cols + 0.5) / scale + left, (rows + 0.5) / scale + top)
        fill = np.abs(pixels[inside] - colours.rgb(look.fill)).max(axis=1) < 8
        line = np.abs(pixels[inside] - colours.rgb(colours.SKIP_HATCH)).max(axis=1) < 40
        assert inside.sum() > 500
        if look.hatched:
            assert 0.3 < fill.mean() < 0.9
            assert line.mean() > 0.05
        else:
            assert fill.mean() > 0.9
            assert line.mean() < 0.02


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
