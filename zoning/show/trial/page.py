"""trial.html: what strips said after harvest, as one file that needs no network and no script."""

import re
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from markupsafe import Markup, escape

from zoning import colours
from zoning.plan.trial import TrialResult
from zoning.show.figures import full_day, plain
from zoning.show.page import own_files
from zoning.show.page.policy import policy
from zoning.show.templates import templates
from zoning.show.trial import about, charts, map_svg, rows, season_rows, written
from zoning.show.trial.axis import Axis, axis
from zoning.show.trial.cells import palette
from zoning.show.trial.ground import ground
from zoning.show.trial.rule_maps import rule_map
from zoning.show.trial.trial_units import TrialUnits
from zoning.strips.learned.learned_terms import Belief
from zoning.words import Said

_MINUS = "−"


def text(result: TrialResult) -> str:
    """Write the page of a trial.

    Parameters
    ----------
    result : TrialResult
        Any.

    Returns
    -------
    str
        HTML; the same result gives the same text.
    """
    return templates("zoning.show.trial").get_template("trial.html.j2").render(_context(result))


def write(result: TrialResult, path: Path) -> None:
    """Write the page of a trial into a file, at once."""
    path.write_bytes(text(result).encode("utf-8"))


@cache
def style() -> str:
    """Give the style of the page: that of the page of a field, and what only this one has."""
    own = resources.files("zoning.show.trial").joinpath("css", "trial.css").read_text(encoding="utf-8")
    lines = (line.strip() for line in own.splitlines())
    return "\n".join((own_files.style(), *(line for line in lines if line and not line.startswith("/*"))))


def _context(result: TrialResult) -> dict[str, Any]:
    says = written.units_of(result, _MINUS)
    look = style()
    return {
        "result": result,
        "policy": policy(look, ""),
        "style": Markup(look),
        "field": plain(result.field),
        "farm": plain(result.farm),
        "when": written.when(result),
        "answer": _unbroken(written.answer(result, says)),
        "below": [written.sentence(one) for one in written.below_answer(result, says)],
        "numbers": written.numbers(result, says),
        "today": full_day(result.today),
        "crs": f"EPSG:{result.epsg}",
        "read": about.columns_line(result),
        **_units(says),
        **_map(result, says),
        **_marks(result, says),
        **_learned(result, says),
        **_rest(result, says),
    }


def _unbroken(text: str) -> Markup:
    """Keep the sign of an amount on its line."""
    return Markup(re.sub(r"[−+]\$[\d,]+", r'<span class="amount">\g<0></span>', str(escape(text))))


def _units(says: TrialUnits) -> dict[str, Any]:
    return {
        "unit": says.response_unit,
        "way_unit": says.way_unit,
        "net_unit": says.net_unit,
        "area_word": says.area_word.removesuffix("s"),
    }


def _map(result: TrialResult, says: TrialUnits) -> dict[str, Any]:
    cells = ground(result).cells
    said = {one: Said(f"trial_page.{one}").text for one in ("treated", "untreated", "left_out")}
    keys = [(_strip_key(dotted=one == "untreated"), said[one]) for one in ("treated", "untreated")]
    dot = f'<rect x="10" y="6" width="2" height="2" fill="{colours.SECONDARY}"/>'
    keys.append((Markup(f'<svg width="22" height="14" aria-hidden="true">{dot}</svg>'), said["left_out"]))
    if len(result.zones) > 1:
        ends = {"first": result.zones[0].zone, "last": result.zones[-1].zone}
        keys.append((Markup(), Said("trial_page.zones_on_map", **ends).text))
    return {
        "map": Markup(map_svg.svg(result)),
        "ramp": {
            "title": Said("trial_page.ramp", unit=says.response_unit).text,
            "low": says.plain_response(cells.low_bu_ac),
            "high": says.plain_response(cells.high_bu_ac),
            "bar": Markup(_ramp()),
        },
        "keys": keys if result.strips else keys[2:],
        "sprayed": written.sentence(written.sprayed_line(result)),
    }


def _ramp() -> str:
    wide = 16
    boxes = "".join(
        f'<rect x="{at * wide}" width="{wide}" height="14" fill="{fill}"/>'
        for at, fill in enumerate(palette())
    )
    size = f'width="{len(palette()) * wide}" height="14"'
    box = f'viewBox="0 0 {len(palette()) * wide} 14" preserveAspectRatio="none"'
    return f'<svg {size} {box} aria-hidden="true">{boxes}</svg>'


def _strip_key(*, dotted: bool) -> Markup:
    dots = ' stroke-dasharray="1.2 2.6"' if dotted else ""
    return Markup(
        f'<svg width="22" height="14" aria-hidden="true"><rect x="1" y="1" width="20" height="12" '
        f'fill="{palette()[3]}" stroke="{colours.INK}" stroke-width="1.4"{dots}/></svg>'
    )


def _needed(result: TrialResult, says: TrialUnits) -> tuple[float, str] | None:
    """Give what pays and its words."""
    if result.response is None or result.response.money is None:
        return None
    needed = result.response.money.break_even_bu_ac
    return needed, f"{Said('trial_page.n_needed').text} {says.plain_response(needed)}"


def _marks(result: TrialResult, says: TrialUnits) -> dict[str, Any]:
    """Give the rows of pairs and zones with their marks, all over one axis."""
    scale = axis(result)
    needed = _needed(result, says)
    pays = None if needed is None else needed[0]
    return {
        "pairs": [
            (one, Markup(charts.pair_mark(scale, one.value, pays))) for one in rows.pair_rows(result, says)
        ],
        "mean": _mean(result, says, scale, pays),
        "zones": [
            (one, Markup(charts.interval_mark(scale, (low, mean, high), pays, seen)))
            for one in rows.zone_rows(result, says)
            for seen, mean, low, high in (one.values,)
        ],
        "zones_lines": [written.sentence(one) for one in about.zones_lines(result)],
        "plot_head": Markup(charts.axis_head(scale, needed)),
        "plot_foot": Markup(charts.axis_foot(scale, says.minus)),
        "has_money": pays is not None,
        "about_strips": [written.sentence(one) for one in about.about_strips(result)],
    }


def _mean(result: TrialResult, says: TrialUnits, scale: Axis, pays: float | None) -> dict[str, Any] | None:
    whole = result.response
    if whole is None:
        return None
    ends = (whole.low_bu_ac, whole.mean_bu_ac, whole.high_bu_ac)
    span = says.span(whole.low_bu_ac, whole.high_bu_ac)
    return {
        "shown": says.more(whole.mean_bu_ac),
        "span": Said("trial_page.below_interval", span=span).text,
        "mark": Markup(charts.interval_mark(scale, ends, pays)),
    }


def _learned(result: TrialResult, says: TrialUnits) -> dict[str, Any]:
    return {
        "judged": rows.judged_rows(result, says),
        "judged_line": written.sentence(rows.judged_line(result)),
        "beliefs": [_belief(one, result, says) for one in rows.own_first(result)],
        "beyond": [written.sentence(one) for one in rows.beyond_lines(result)],
        "bins": [
            (one, Markup(charts.forecast_mark(*one.shares))) for one in season_rows.bin_rows(result.book)
        ],
        "book_lines": season_rows.book_lines(result.book),
    }


def _belief(one: Belief, result: TrialResult, says: TrialUnits) -> dict[str, Any]:
    found = rows.belief_rows(one, says)
    about = Said(
        "trial_page.belief_picture",
        pressure=rows.pressure_name(one),
        unit=says.response_unit,
        **{row.kind: row.mean for row in found},
    ).text
    return {
        "title": written.sentence(rows.pressure_name(one)),
        "picture": Markup(charts.densities(one, _needed(result, says), says, about)),
        "rows": [(row, _sample(row.kind)) for row in found],
    }


def _sample(kind: str) -> Markup:
    line = f'<line x2="26" y1="5" y2="5" {charts.LINES[kind]}/>'
    return Markup(f'<svg width="26" height="10" aria-hidden="true">{line}</svg>')


def _rest(result: TrialResult, says: TrialUnits) -> dict[str, Any]:
    notes = [
        *rows.idle_rules(result),
        about.lag_line(result),
        *([result.spatial.note.text] if result.spatial is not None else []),
    ]
    return {
        "costs": rows.cost_rows(result, says),
        "money_lines": [written.sentence(one) for one in written.money_lines(result, says)],
        "cleaned_line": written.sentence(about.cleaned_line(result)),
        "rules": [(one, Markup(charts.share_bar(one.share))) for one in rows.rule_rows(result)],
        "rule_maps": [
            (name, Markup(rule_map(result, place, name)))
            for place, one in enumerate(result.rules)
            if one.removed
            for name in (rows.rule_name(one.code),)
        ],
        "cleaning_notes": [written.sentence(plain(one)) for one in notes],
        "lessons": [plain(one.text) for one in result.lessons],
        "notes": [plain(one.text) for one in result.notes],
        "cautions": written.cautions(),
    }
