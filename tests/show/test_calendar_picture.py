"""calendar.png: nothing collides, nothing leaves the sheet, passes stand on their half-days."""

import re
import warnings
from dataclasses import replace
from datetime import date, timedelta
from itertools import combinations

import matplotlib
import numpy as np
import pytest
from made_farm_plans import (
    RIG,
    TODAY,
    MadePass,
    bare_farm,
    farm_of,
    part_done,
    seeded_farm,
    small_farm,
    with_passes,
)
from made_plans import Made, made_plan
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from PIL import Image

from zoning import colours
from zoning.show import calendar_picture as picture
from zoning.show.calendar_rows import Row, busiest, rows
from zoning.show.calendar_sheet import (
    LINE,
    NEAR_BEST,
    PLANNED,
    SPRAYED,
    SPRAYED_SIGN,
    USED,
    WINDOW,
    Inks,
    Sheet,
    field_row,
)
from zoning.show.furniture import Page
from zoning.show.look import DPI, LOOK

LONG = "A farm with a very long name that somebody typed to see what happens " * 4


def two_at_once():
    """Two passes of one half-day, one with a gap, one four weeks later, and hours from three sources."""
    plan = with_passes(
        made_plan(Made(labels=[[1, 2, 3, 4]])),
        [
            MadePass((1,), ((2, "AM", 1.0, 1.0),)),
            MadePass((2,), ((2, "AM", 1.0, 1.0), (2, "PM", 1.0, 1.0)), rate_gal_ac=20.0),
            MadePass((3,), ((30, "PM", 1.0, 1.0),), rate_gal_ac=10.0),
            MadePass((4,), ((5, "PM", 1.0, 1.0), (6, "PM", 1.0, 1.0)), rate_gal_ac=10.0),
        ],
    )
    return farm_of([plan], {RIG: ["forecast"] * 2 + ["past years"] + ["planning triple"] * 29})


def long_names():
    farm = seeded_farm(7, 4, sprayers=2)
    plans = tuple(replace(plan, field=f"$x^2$ {LONG} 漢字 {place}") for place, plan in enumerate(farm.plans))
    hours = tuple(replace(use, sprayer=LONG) if use.sprayer == RIG else use for use in farm.hours)
    return replace(
        farm,
        farm=LONG,
        plans=plans,
        hours=hours,
        solver="greedy",
        order_by=TODAY - timedelta(days=3),
    )


CASES = {
    "small": small_farm(),
    "one field": farm_of(small_farm().plans[:1], {RIG: ["forecast"] * 7 + ["past years"] * 14}),
    "five, metric": seeded_farm(3, 5, sprayers=2, units="metric"),
    "forty": seeded_farm(5, 40, sprayers=2),
    "no pass": bare_farm(),
    "level 1": bare_farm(2, level=1),
    "part done": part_done(),
    "two at once": two_at_once(),
    "long names": long_names(),
    "no field": farm_of([], {}),
}


@pytest.fixture(params=list(CASES), scope="module")
def drawn(request):
    farm = CASES[request.param]
    with matplotlib.rc_context(LOOK):
        return farm, picture.draw(farm)


def texts(figure):
    renderer = figure.canvas.get_renderer()
    with matplotlib.rc_context(LOOK):
        return [
            (text, text.get_window_extent(renderer))
            for text in figure.axes[0].texts
            if text.get_text().strip()
        ]


def overlap(one, other):
    wide = min(one.x1, other.x1) - max(one.x0, other.x0)
    high = min(one.y1, other.y1) - max(one.y0, other.y0)
    return max(wide, 0) * max(high, 0)


def test_no_text_leaves_the_sheet_or_covers_another(drawn):
    _, figure = drawn
    found = texts(figure)
    sheet = figure.bbox
    for text, box in found:
        assert box.x0 >= 0, text
        assert box.y0 >= 0, text
        assert box.x1 <= sheet.x1, text
        assert box.y1 <= sheet.y1, text
    for (one, first), (other, second) in combinations(found, 2):
        assert overlap(first, second) < 1.0, (one, other)


@pytest.mark.parametrize(("days", "word"), [({99}, "later"), ({3}, "over"), (set(), "no date is known")])
def test_no_line_of_a_day_goes_through_a_word(days, word):
    sheet = Sheet(range(10, 24), 1, 0, 0, 0, 0)
    figure = Figure(figsize=(sheet.width, sheet.height))
    page = Page(figure.add_axes((0, 0, 1, 1)), FigureCanvasAgg(figure).get_renderer(), DPI)
    row = Row(field="a", blocks=(), window=frozenset(days), near_best=frozenset(), marks=())
    field_row(page, sheet, row, sheet.first_row, Inks({}, {}))
    (text,) = page.axes.texts
    assert text.get_text() == word
    ground = text.get_bbox_patch()
    assert to_hex(ground.get_facecolor()) == colours.WHITE.lower()
    assert text.get_zorder() > max(line.get_zorder() for line in page.axes.lines)


def day_places(figure):
    """Middle of each day, from left to right. [inch]."""
    found = [
        text
        for text in figure.axes[0].texts
        if text.get_text() in ("Mo", "Tu", "We", "Th", "Fr", "Sa", "Su") and text.get_size() < 8
    ]
    return [(text.get_position()[0], text.get_text()) for text in found]


def boxes(figure, fills):
    return [
        patch
        for patch in figure.axes[0].patches
        if isinstance(patch, Rectangle) and to_hex(patch.get_facecolor()) in fills
    ]


def test_passes_stand_on_their_half_days_in_their_colour(drawn):
    farm, figure = drawn
    fills = picture._fills(farm)
    days = [place for place, _ in day_places(figure)]
    shown = rows(farm)
    if not any(row.marks for row in shown):
        assert not fills
        return
    wide = days[1] - days[0]
    left = days[0] - wide / 2
    first = picture.period(farm, shown).start
    names = [text for text, _ in texts(figure) if text.get_size() in (9.0, 9.5) and text.get_ha() != "center"]
    assert names
    found = set()
    for box in boxes(figure, set(fills.values())):
        x, y = box.get_xy()
        if x + box.get_width() > left + 1e-6 and y > min(_baselines(figure, shown)):  # not in the legend
            begin, end = (x - left) / (wide / 2), (x + box.get_width() - left) / (wide / 2)
            assert abs(begin - round(begin)) < 1e-6
            row = int(np.argmin([abs(y - base) for base in _baselines(figure, shown)]))
            found |= {(row, half, to_hex(box.get_facecolor())) for half in range(round(begin), round(end))}
    assert found == {
        (index, 2 * (mark.day - first) + mark.pm, fills[mark.rate_gal_ac])
        for index, row in enumerate(shown[: picture.MOST_ROWS])
        for mark in row.marks
    }


def test_what_was_sprayed_is_a_white_box_on_its_day():
    farm = part_done()
    figure = picture.draw(farm)
    days = [place for place, _ in day_places(figure)]
    baselines = _baselines(figure, rows(farm))
    there = [box for box in boxes(figure, {SPRAYED}) if box.get_x() > days[0] - 1]
    there = [box for box in there if box.get_y() > min(baselines)]
    assert len(there) == 1
    (box,) = there
    # the calendar begins on Jun 29, on which zone 3 of the second row (block B) was sprayed
    assert abs(box.get_x() + box.get_width() / 2 - days[0]) < 1e-6
    assert abs(box.get_width() - (days[1] - days[0])) < 1e-6
    assert int(np.argmin([abs(box.get_y() - base) for base in baselines])) == 1
    assert "sprayed already, on that day" in told_of(farm)
    assert SPRAYED_SIGN in told_of(farm)
    assert "sprayed already, on that day" not in told_of(small_farm())


def _baselines(figure, shown):
    """Lower edges of the rows: the horizontal lines below the head. [inch]."""
    level = [
        line.get_ydata()[0]
        for line in figure.axes[0].lines
        if len(set(line.get_ydata())) == 1 and to_hex(line.get_color()) == "#d3cfc6"
    ]
    assert len(level) == min(len(shown), picture.MOST_ROWS)
    return level


def test_each_row_is_named(drawn):
    farm, figure = drawn
    told = [text.get_text() for text in figure.axes[0].texts]
    for row in rows(farm)[: picture.MOST_ROWS]:
        name = picture.known(row.field)
        assert any(text == name or (text.endswith("...") and name.startswith(text[:-3])) for text in told)


def test_what_the_sheet_must_say():
    farm = small_farm()
    told = " ".join(text.get_text() for text in picture.draw(farm).axes[0].texts)
    for part in (
        "Heron Slough",
        "as of Jul 1, 2026",
        "spray 2 of 4 acres in 3 passes, expected net $55",
        "Order product for the first pass by Jul 3",
        "Call the applicator for the first pass by Jul 1, today",
        "pass at 15 gal/ac",
        "pass at 20 gal/ac",
        "forecast",
        "past years",
        "planning figure",
        farm.plans[0].cautions[0][1:],
        "Within 0.07 % of the best possible",  # 0.00062, up to the next hundredth
    ):
        assert part in told
    assert "safe" not in told.lower()
    greedy = " ".join(text.get_text() for text in picture.draw(long_names()).axes[0].texts)
    assert "A greedy schedule" in greedy
    assert "The last day to order product for the first pass was Jun 28" in greedy


def test_more_rows_than_fit_are_counted_and_those_with_a_pass_go_first():
    farm = seeded_farm(5, 80)
    every = rows(farm)
    assert len(every) > picture.MOST_ROWS
    kept = picture._shown(every)
    assert len(kept) == picture.MOST_ROWS
    assert [row for row in every if row in kept] == list(kept)
    assert sum(bool(row.marks) for row in kept) == min(
        picture.MOST_ROWS, sum(bool(row.marks) for row in every)
    )
    with matplotlib.rc_context(LOOK):
        figure = picture.draw(farm)
    assert any(f"{len(every) - 60} more rows" in text.get_text() for text in figure.axes[0].texts)


def test_the_busiest_sprayers_are_drawn_and_the_others_counted():
    farm = seeded_farm(5, 120, sprayers=30)
    used_h = {}
    for use in farm.hours:
        used_h[use.sprayer] = used_h.get(use.sprayer, 0.0) + use.used_h
    by_use = sorted(used_h, key=lambda rig: -used_h[rig])
    assert set(busiest(farm)) == set(by_use[:12])
    assert busiest(small_farm()) == (RIG, "hired rig")
    told = told_of(farm)
    drawn = [text.split(": ", 1)[1] for text in told if re.fullmatch(r"[a-z]: .*", text)]
    assert set(drawn) == set(by_use[:12])
    assert any(text.startswith("18 more sprayers are less busy") for text in told)
    # rows of their passes come first
    kept = picture._shown(rows(farm), busiest(farm))
    of_them = sum(any(mark.sprayer in by_use[:12] for mark in row.marks) for row in rows(farm))
    assert sum(any(mark.sprayer in by_use[:12] for mark in row.marks) for row in kept) == min(of_them, 60)


def test_a_sheet_of_many_fields_and_sprayers_is_no_longer_than_one_of_some():
    some, many = seeded_farm(5, 90, sprayers=12), seeded_farm(5, 300, sprayers=40)
    tall = [picture.draw(farm).get_size_inches()[1] for farm in (some, many)]
    assert tall[1] <= tall[0] + 5 * LINE  # a few lines that count what is not drawn


def test_same_plan_same_bytes_at_200_dots_an_inch(tmp_path):
    for name in ("a.png", "b.png"):
        picture.write(small_farm(), tmp_path / name)
    assert (tmp_path / "a.png").read_bytes() == (tmp_path / "b.png").read_bytes()
    with Image.open(tmp_path / "a.png") as image:
        assert image.info["dpi"] == pytest.approx((200, 200), abs=0.1)
        assert set(image.info) == {"dpi", "Title", "Description"}


def test_hours_in_use_are_drawn_to_scale():
    farm = small_farm()
    figure = picture.draw(farm)
    days = [place for place, _ in day_places(figure)]
    left = days[0] - (days[1] - days[0]) / 2
    narrow = days[1] - days[0]  # narrower than the legend's
    planned = [box for box in boxes(figure, {PLANNED}) if left < box.get_x() and box.get_width() < narrow]
    used = [box for box in boxes(figure, {USED}) if left < box.get_x() and box.get_width() < narrow]
    assert len(planned) == 2 * 2 * len(days)  # two rigs, two halves
    inch_per_h = max(box.get_height() for box in planned) / 3.0  # afternoons have 3 h
    told_h = sorted(box.get_height() / inch_per_h for box in used)
    assert told_h == pytest.approx([1.0, 1.2, 1.5, 2.5])


def test_letters_that_the_font_lacks_and_dollar_signs_do_no_harm(tmp_path):
    farm = replace(small_farm(), farm="$x^2$ \\frac 漢字 \x1b[31m\n")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        picture.write(farm, tmp_path / "calendar.png")
    assert (tmp_path / "calendar.png").stat().st_size > 10_000


@pytest.mark.parametrize("rates", range(1, 7))
def test_numbers_on_passes_can_be_read_and_volumes_told_apart(rates):
    plan = made_plan(Made(labels=[list(range(1, rates + 1))]))
    passes = [
        MadePass((index + 1,), ((index, "AM", 1.0, 1.0),), rate_gal_ac=8.0 + index) for index in range(rates)
    ]
    fills = picture._fills(farm_of([with_passes(plan, passes)], {}))
    assert len(set(fills.values())) == rates
    light = [colours.luminance(fill) for fill in fills.values()]
    assert light == sorted(light, reverse=True)  # dark is more
    for fill in fills.values():
        assert colours.contrast(fill, colours.readable_on(fill)) >= 4.5


def test_shapes_stand_out_without_their_colour():
    # meaningful graphics need 3:1 against what is beside them: fills that are paler have an edge that does
    assert colours.contrast(NEAR_BEST, colours.WHITE) >= 3
    assert colours.contrast(NEAR_BEST, WINDOW) >= 3
    assert colours.contrast(colours.SECONDARY, colours.WHITE) >= 4.5
    for fill in (WINDOW, colours.SPRAY_LEAST, colours.WHITE):
        assert colours.contrast(colours.INK, fill) >= 3
    assert colours.contrast(USED, PLANNED) >= 3
    assert colours.contrast(colours.SKIP_HATCH, PLANNED) >= 3


def test_weekdays_are_those_of_the_calendar():
    names = [name for _, name in day_places(picture.draw(two_at_once()))]
    assert names == [
        ["Mo", "Tu", "We", "Th", "Fr", "Sa", "Su"][(TODAY + timedelta(days=index)).weekday()]
        for index in range(31)
    ]
    assert date(2026, 7, 1).weekday() == 2  # a Wednesday


def test_by_hand_bars_are_as_high_as_the_hours_that_are_shown():
    # hours before the days of the sheet do not make the bars on it small, and are not called the highest bar
    farm = two_at_once()
    shown = {text for text in map(str.strip, told_of(farm)) if text.startswith("highest bar")}
    before = replace(farm.hours[0], day=TODAY - timedelta(days=1), planned_h=40.0)
    assert shown == {
        text for text in told_of(replace(farm, hours=(before, *farm.hours))) if "highest" in text
    }
    within = (replace(farm.hours[-60], planned_h=40.0), *farm.hours[:-60], *farm.hours[-59:])
    assert "highest bar 40 h" in told_of(replace(farm, hours=within))


def told_of(farm):
    """Every text of the sheet."""
    return [text.get_text() for text in picture.draw(farm).axes[0].texts]
