"""What is printed of a trial: the answer first, then what it rests on. Gives one text; prints nothing."""

from math import isfinite

from zoning.plan.trial import TrialResult
from zoning.show.figures import NONE, plain
from zoning.show.layout import WIDTH, Table, as_text, wrapped
from zoning.show.trial import about, rows, season_rows, written
from zoning.show.trial.trial_units import TrialUnits
from zoning.words import Said

_MOST_LINES = 59  # a screen or two; what is left out stands on the page
# Rows of a table and lines of a list: the first that leave few enough lines.
_ROOM = ((12, 6), (12, 4), (8, 3), (8, 2), (5, 2), (3, 2), (2, 1), (1, 0))


def text(result: TrialResult, width: int = WIDTH) -> str:
    """Give everything that is printed of a trial.

    Parameters
    ----------
    result : TrialResult
        Any.
    width : int
        Of the terminal. [characters]

    Returns
    -------
    str
        The first line is the answer; no line is longer than the terminal is wide.
    """
    shown = ""
    for rows_shown, lines_shown in _ROOM:
        shown = _text(result, width, rows_shown, lines_shown)
        if shown.count("\n") < _MOST_LINES:
            break
    return shown


def _text(result: TrialResult, width: int, rows_shown: int, lines_shown: int) -> str:
    says = written.units_of(result)
    out = _few(about.pairs_out(result), rows_shown)
    beliefs = _few([rows.belief_line(one, says) for one in rows.own_first(result)], max(lines_shown, 1))
    strips = about.about_strips(result)
    parts = [
        wrapped(_top(result, says), width, "  "),
        _table(
            _pairs(result, says),
            width,
            rows_shown,
            [*out, "; ".join([*strips[:1], *strips[-1:]][: len(strips)])],
        ),
        _table(_zones(result, says), width, rows_shown, [about.zones_line(result), rows.judged_line(result)]),
        wrapped([*beliefs, *(rows.beyond_lines(result) if lines_shown > 2 else [])], width, "  "),
        wrapped(
            [*_cleaned(result, with_rules=lines_shown > 0), *_few(_book(result), max(lines_shown, 1))],
            width,
            "  ",
        ),
        _listed("to know:", [plain(one.text) for one in result.notes], width, lines_shown),
        _listed("next season:", [plain(one.text) for one in result.lessons], width, lines_shown),
        wrapped(written.cautions(), width, "  "),
    ]
    return "\n\n".join(part for part in parts if part)


def _few(lines: list[str], most: int) -> list[str]:
    """Cut a list short, and say that it is."""
    left = len(lines) - most
    return lines if left <= 0 else [*lines[:most], Said("trial_page.more_rows", count=left).text]


def _top(result: TrialResult, says: TrialUnits) -> list[str]:
    farm = f" ({plain(result.farm, 40)})" if result.farm else ""
    sprayed = written.sprayed_line(result)
    where = f"{plain(result.field, 60)}{farm}, {written.when(result)}{f'; {sprayed}' if sprayed else ''}"
    return [
        written.answer(result, says),
        where,
        *_joined(written.below_answer(result, says)),
        *_joined([*written.money_lines(result, says), *written.net_lines(result, says)]),
    ]


def _joined(lines: list[str]) -> list[str]:
    return ["; ".join(lines)] if lines else []


def _table(table: Table, width: int, most: int, below: list[str]) -> str:
    """Lay out a table, as many rows as have room, and what is said below it."""
    left = len(table.rows) - most
    shown = Table(table.head, table.rows[:most])
    more = [Said("trial_page.more_rows", count=left).text] if left > 0 else []
    parts = [as_text(shown, width) if shown.rows else "", wrapped([*more, *filter(None, below)], width, "  ")]
    return "\n".join(part for part in parts if part)


def _pairs(result: TrialResult, says: TrialUnits) -> Table:
    unit = says.response_unit
    head = ("pair", f"length {says.way_unit}", f"treated {unit}", f"untreated {unit}", f"difference {unit}")
    counted = [one for one in rows.pair_rows(result, says) if not one.why]
    return Table(
        head, tuple((one.name, one.length, one.treated, one.untreated, one.difference) for one in counted)
    )


def _zones(result: TrialResult, says: TrialUnits) -> Table:
    """Put what each zone returned beside what the plan did there."""
    unit = says.response_unit
    seen = {one.zone: one for one in rows.zone_rows(result, says)}
    judged = {one.zone: one for one in rows.judged_rows(result, says)}
    has_money = result.response is not None and result.response.money is not None
    head: tuple[str, ...] = ("zone", *(("action",) if judged else ()))
    head += ("pairs", f"seen {unit}", f"likely {unit}", f"90 % {unit}")
    head += ("pays, chance", "by the strips") if has_money else ()
    head += (f"spraying there {says.net_unit}", "plan was") if judged else ()
    found = []
    for zone in sorted({*seen, *judged}):
        one, plan = seen.get(zone), judged.get(zone)
        cells = [str(zone)]
        if judged:
            cells.append(plan.action if plan else NONE)
        cells += [one.pairs, one.seen, one.mean, one.span] if one else [NONE] * 4
        if has_money:
            cells += [one.chance, one.told] if one else [NONE] * 2
        if judged:
            cells += [plan.net, plan.judgement] if plan else [NONE] * 2
        found.append(tuple(cells))
    return Table(head, tuple(found))


def _cleaned(result: TrialResult, *, with_rules: bool) -> list[str]:
    rules = [
        Said("trial_page.rule", name=one.name, removed=one.removed).text for one in rows.rule_rows(result)
    ]
    line = about.cleaned_line(result)
    lag = about.lag_line(result)
    kept = [f"{line}: {'; '.join(rules)}" if rules and with_rules else line, lag]
    if result.spatial is not None and isfinite(result.spatial.worth_points):
        kept.append(plain(result.spatial.note.text))
    return kept


def _book(result: TrialResult) -> list[str]:
    bins = [
        Said("trial_page.book_bin", name=one.name, forecast=one.forecast, paid=one.paid, of=one.of).text
        for one in season_rows.bin_rows(result.book)
    ]
    return [*_joined(bins), *season_rows.book_lines(result.book)]


def _listed(head: str, lines: list[str], width: int, most: int) -> str:
    return wrapped([head, *(f"  - {one}" for one in _few(lines, max(most, 1)))], width, "  ") if lines else ""
