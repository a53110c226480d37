"""The printed table: units, dates, signs, and a width that a terminal has."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_plans import Made, made_plan, smooth_field, with_scouting

from zoning.plan import NO_PRICE_PAYS, PlanWalk
from zoning.show import figures
from zoning.show.layout import Table, as_text
from zoning.show.report import report
from zoning.show.table import farm_table, headline, summary, table
from zoning.words import Said

LABELS, BLOCKS = smooth_field(3, shape=(20, 20))
WANTED = (
    "zone", "block", "area ac", "planted", "R3 early", "R3 likely", "R3 late", "closes", "spray from",
    "spray by", "action", "rate gal/ac", "net $/ac", "80 % range", "chance that it pays", "break-even $/bu",
    "reason",
)  # fmt: skip


def plan_of(**wanted):
    given_ = {"labels": LABELS, "block_of_zone": BLOCKS, "cell_m": 30, "pass_of_zone": {1: 1, 3: 1, 4: 2}}
    return made_plan(Made(**(given_ | wanted)))


def with_money(plan, **changes):
    zone = plan.zones[0]
    return replace(plan, zones=(replace(zone, money=replace(zone.money, **changes)), *plan.zones[1:]))


def cell(plan, head, row=0):
    shown = table(plan)
    return shown.rows[row][shown.head.index(head)]


def test_a_full_plan_has_every_column():
    shown = table(plan_of())
    assert shown.head == WANTED
    assert all(len(row) == len(WANTED) for row in shown.rows)
    assert len(shown.rows) == 6


@pytest.mark.parametrize("level", [1, 2])
def test_what_a_level_does_not_know_has_no_column(level):
    head = table(plan_of(level=level)).head
    assert "rate gal/ac" not in head
    assert ("net $/ac" in head) == (level == 2)
    assert "R3 likely" in head
    assert head[-1] == "reason"


def test_metric_farm():
    plan = plan_of(units="metric")
    head = table(plan).head
    assert {"area ha", "rate L/ha", "net $/ha", "break-even $/t"} < set(head)
    assert cell(plan, "rate L/ha") == "140"  # by hand: 15 gal/ac x 9.354 = 140.3 L/ha


def test_dates_by_the_name_of_the_month():
    plan = plan_of()
    assert cell(plan, "planted") == "Apr 28"
    assert cell(plan, "R3 likely") == "Jul 8"
    assert cell(plan, "spray from", row=1) == "-"
    assert cell(plan_of(level=1, dates=False), "R3 likely") == "-"


@pytest.mark.parametrize(
    ("net", "shown"), [(-0.4, "0"), (0.4, "0"), (-0.6, "-1"), (12.5, "+12"), (1234.0, "+1,234")]
)
def test_whole_dollars_with_a_sign_and_never_minus_zero(net, shown):
    assert cell(with_money(plan_of(), net_mean_usd_ac=net), "net $/ac") == shown


def test_no_price_pays_is_said_in_a_word():
    plan = with_money(plan_of(), break_even_price_usd_bu=NO_PRICE_PAYS)
    assert cell(plan, "break-even $/bu") == "none"


@settings(max_examples=200, deadline=None)
@given(st.floats(-1e7, 1e7))
def test_no_figure_reads_minus_zero(value):
    for text in (
        figures.whole(value),
        figures.signed(value),
        figures.dollars(value),
        figures.signed(value, "−"),
    ):
        assert text not in ("-0", "−0", "+0", "-$0")


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("why", [False, True])
@pytest.mark.parametrize("width", [40, 60, 80, 100, 120, 160])
def test_no_line_is_wider_than_the_terminal(units, width, why):
    plan = plan_of(units=units)
    long = replace(plan.zones[0], reason=Said("zones.one_response", block="A very long name " * 20))
    text = report(replace(plan, zones=(long, *plan.zones[1:])), width, why=why)
    assert max(len(line) for line in text.splitlines()) <= width
    assert all(line == line.rstrip() for line in text.splitlines())


def test_every_cell_reaches_the_text():
    plan = plan_of()
    for width in (80, 120):
        words = " ".join(as_text(table(plan), width).split())
        for row in table(plan).rows:
            assert all(text in words for text in row)


def test_on_a_phone_each_zone_becomes_a_few_lines_the_decision_first():
    plan = plan_of()
    words = as_text(table(plan), 44)
    assert max(len(line) for line in words.splitlines()) <= 44
    assert words.splitlines()[0].startswith("zone 1: action spray, net $/ac +22,")
    for row in table(plan).rows:  # a cell may be broken over two lines
        assert all(text in " ".join(words.split()) for text in row if text != "-")
    assert as_text(Table(("zone", "a long head"), ()), 8) == "zone, a\nlong\nhead"


def test_one_table_at_120_columns_two_at_80():
    assert as_text(table(plan_of()), 120).count("zone ") < as_text(table(plan_of()), 80).count("zone ")
    assert "\n\n" not in as_text(table(plan_of()), 120)


def test_reasons_stand_below_their_row():
    lines = as_text(table(plan_of())).splitlines()
    at = next(index for index, line in enumerate(lines) if line.lstrip().startswith("1 "))
    assert lines[at + 1].strip() == "the zones of block A respond alike, as far as is known"


def test_headline_says_that_most_does_not_pay_only_where_it_is_true():
    most_skipped = plan_of(pass_of_zone={1: 1})
    most_sprayed = plan_of(pass_of_zone={1: 1, 2: 1, 3: 1, 4: 1})
    assert "most of these acres do not pay" in headline(most_skipped)
    assert "most of these acres" not in headline(most_sprayed)
    out = Said("passes.left_out_of_visit", number=1)  # they pay, so nobody says that they do not
    left = replace(
        most_skipped,
        zones=tuple(replace(one, reason=out) if one.zone > 1 else one for one in most_skipped.zones),
    )
    assert "most of these acres" not in headline(left)
    nothing = plan_of(pass_of_zone={})
    would = "; one would be worth it from 18.47 $/bu or with 2.9 bu/ac"
    assert headline(nothing) == f"skip all 88 acres: no pass is worth it{would}"
    without = replace(nothing, totals=replace(nothing.totals, flips=()))
    assert headline(without) == "skip all 88 acres: no pass is worth it"
    no_day = replace(nothing, totals=replace(nothing.totals, flips=(), rests_on_frac={}))
    assert headline(no_day) == "skip all 88 acres: no pass can be made"
    barred = replace(without, totals=replace(without.totals, nearest_net_usd=7412.0))
    assert headline(barred) == (
        "skip all 88 acres: a pass would be worth it, expected net $7,412, but none can be made"
    )
    short = tuple(replace(one, reason=Said("passes.hours_taken", usd=7412.0)) for one in barred.zones)
    assert headline(replace(barred, zones=short)).endswith("net $7,412, but its hours go to other fields")
    assert headline(plan_of()).startswith("spray 48 of 88 acres in 2 passes, expected net $")


def test_headline_speaks_of_the_farm_s_own_unit_and_a_little_is_not_nothing():
    # 2 cells of 40 m are .32 ha, the field of 15 x 15 of them has 36 ha
    labels = [[1] * 15 for _ in range(15)]
    labels[3][4] = labels[3][5] = 2
    plan = made_plan(Made(labels=labels, pass_of_zone={2: 1}, units="metric"))
    assert headline(plan).startswith("spray 0.3 of 36 hectares in 1 pass")
    assert headline(plan).endswith("; most of these hectares do not pay for a pass")


def test_headline_of_a_plan_without_money():
    assert headline(plan_of(level=1)) == "6 zones on 88 acres, R3 likely Jul 8–26; zones and dates only"
    assert headline(plan_of(level=1, dates=False)).endswith("zones only")
    assert "in" not in headline(plan_of(level=2)).split(",")[0].split()


def test_summary_is_one_line():
    plan = replace(plan_of(), field="North\n\x1b[31mforty")
    assert summary(plan).startswith("North  [31mforty: spray ")
    assert summary(plan).endswith("first pass Jul 6")
    assert len(summary(plan).splitlines()) == 1


def test_farm_table_adds_up():
    plans = [plan_of(), plan_of(level=1), plan_of(pass_of_zone={})]
    shown = farm_table(plans)
    assert len(shown.rows) == 4
    total = dict(zip(shown.head, shown.rows[-1], strict=True))
    assert float(total["area ac"]) == pytest.approx(sum(plan.area_ac for plan in plans), abs=0.05)
    assert total["passes"] == "2"
    assert shown.rows[1][shown.head.index("net $")] == "-"
    assert max(len(line) for line in as_text(shown).splitlines()) <= 120
    assert farm_table([]).rows[-1][0] == "all"


def test_counted_zones_have_a_star_behind_their_likely_day():
    plan = with_scouting(plan_of(), counted=[2, 5])
    bare = [cell(plan_of(), "R3 likely", row) for row in range(6)]
    stars = [cell(plan, "R3 likely", row).removeprefix(day) for row, day in enumerate(bare)]
    assert stars == ["", "*", "", "", "*", ""]
    undated = with_scouting(plan_of(level=1, dates=False), counted=[2])
    assert cell(undated, "R3 likely", 1) == "-"


@pytest.mark.parametrize("units", ["us", "metric"])
def test_the_star_does_not_break_the_table_at_120_columns(units):
    plan = with_scouting(plan_of(units=units), counted=[1, 2, 3, 4, 5, 6])
    text = as_text(table(plan), 120)
    assert "\n\n" not in text
    assert max(len(line) for line in text.splitlines()) <= 120
    assert text.count("*") == 6


@pytest.mark.parametrize(
    ("counted", "said"),
    [
        ([], "all dates are provisional: no zone is counted"),
        ([3], "* pinned by a count; dates without a star are provisional"),
        ([1, 2, 3, 4, 5, 6], "* pinned by a count"),
    ],
)
@pytest.mark.parametrize("level", [1, 2, 3])
def test_report_says_below_the_table_which_dates_are_provisional(counted, said, level):
    lines = report(with_scouting(plan_of(level=level), counted=counted)).splitlines()
    assert said in lines
    assert sum("provisional" in line for line in lines) == ("provisional" in said)


def test_report_of_a_plan_without_dates_says_nothing_of_how_sure_they_are():
    text = report(plan_of(level=1, dates=False))
    assert "provisional" not in text
    assert "pinned" not in text


def test_report_has_the_notes_on_counts_and_on_where_to_walk():
    walk = Said("offers.walk", zones="zones 3, 4", day=date(2026, 7, 10), plants=20)
    moved = Said(
        "offers.count_moved",
        zone=1,
        on=date(2026, 7, 1),
        text="20 plants: 14 R2, 6 R3",
        more="",
        likely=date(2026, 7, 4),
        before=date(2026, 7, 8),
        sd=1.62,
        sd_before=4.08,
    )
    text = " ".join(report(replace(plan_of(), notes=(moved, walk))).split())
    provisional = "- no count pins R3 in zones 3, 4: the dates are provisional"
    assert f"{provisional}, walk there about Jul 10 and stage 20 plants" in text
    before, after = "R3 likely Jul 4 instead of Jul 8", "±1.6 d, was ±4.1"
    assert f"- zone 1: {before}, {after} (counted Jul 1, 20 plants: 14 R2, 6 R3)" in text


def test_report_says_that_the_field_has_the_sprayer_to_itself():
    text = report(plan_of())
    assert "schedule: alone" in text
    assert "pass 2: Jul 14 AM, ground rig, 20 gal/ac" in text
    assert "schedule" not in report(plan_of(level=2))


def test_the_page_never_promises(capsys):
    text = " ".join(report(plan_of(level=level)) for level in (1, 2, 3)).lower()
    assert "safe" not in text
    assert capsys.readouterr().out == ""


def test_empty_table_has_a_head():
    assert as_text(Table(("zone", "net $/ac"), ())) == "       net\nzone  $/ac"


def test_days_over_the_end_of_a_year():
    assert figures.days(date(2025, 12, 30), date(2026, 1, 2)) == "Dec 30–Jan 2"


def test_a_zone_that_somebody_else_drew_is_called_by_its_name():
    plan = made_plan(Made(labels=[[1, 2]]))
    named = replace(plan, zones=(replace(plan.zones[0], name="North hill"), *plan.zones[1:]))
    first, second = (row[-1] for row in table(named).rows)
    assert first == f"North hill: {plan.zones[0].reason.text}"
    assert second.startswith(plan.zones[1].reason.text)


def test_report_says_where_a_look_is_worth_the_way():
    one = PlanWalk(zone=4, lon=-95.4, lat=44.3, day=date(2026, 7, 18), plants=30, usd=21.4, informs=(1, 4))
    text = " ".join(report(replace(plan_of(), walks=(one,))).split())
    where = "go and look in zone 4 by Jul 18: stage 30 plants there"
    assert f"{where}, worth $21; it may change zones 1, 4" in text
    assert "go and look" not in report(plan_of())
