"""trial.pdf: what the strips of a field said, on one page of paper: tagged, its fonts inside, the same bytes.

No text of a user becomes markup: all of it goes in as JSON, and the template prints it as it is.
"""

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, cast

from zoning import colours
from zoning.plan.trial import TrialResult
from zoning.show.figures import NONE, full_day, plain
from zoning.show.sheet.document import fonts
from zoning.show.sheet.look import ROOM, Markup, SizedMap, paper, printable
from zoning.show.trial import about, map_svg, rows, season_rows, written
from zoning.show.trial.axis import axis
from zoning.show.trial.belief_svg import belief_svg
from zoning.show.trial.cells import palette
from zoning.show.trial.ground import ground
from zoning.show.trial.trial_units import TrialUnits
from zoning.words import Said

_TEMPLATE = Path(__file__).parent / "trial.typ"
_MINUS = "−"
_MAP_WIDE_FRAC = (0.47, 0.42, 0.36)  # widths of the map that are tried, of that of the text
_MAP_HIGH_PT = (300.0, 240.0, 190.0)  # and its height
_PX_PT = 0.67  # points of the paper that a pixel of the map takes


def content(result: TrialResult) -> dict[str, Any]:
    """Give everything that stands on the sheet, for JSON.

    Parameters
    ----------
    result : TrialResult
        Any.
    """
    says = written.units_of(result, _MINUS)
    who = ", ".join(part for part in (plain(result.farm, 40), plain(result.field, 60)) if part)
    return {
        "paper": paper(result.country),
        "title": f"{who}: strips of {result.season}",
        "day": [result.today.year, result.today.month, result.today.day],
        "colours": {
            "ink": colours.INK,
            "secondary": colours.SECONDARY,
            "hatch": colours.SKIP_HATCH,
            "accent": colours.ACCENT,
            "line": colours.LINE,
        },
        "foot": [
            f"{who}, {full_day(result.today)}; run {result.run_id}; {plain(result.file, 60)}",
            f"EPSG:{result.epsg}; {says.response_unit}, {says.net_unit}",
        ],
        "caution": written.cautions()[1],
        "trial": _trial(result, says, who),
    }


def _trial(result: TrialResult, says: TrialUnits, who: str) -> dict[str, Any]:
    sentence = written.sentence
    line = written.in_a_line(result, says)
    below = [line] if line else [*about.pairs_out(result)[:1]]
    spatial = [plain(result.spatial.note.text)] if result.spatial is not None else []
    cells = ground(result).cells
    return {
        "where": who,
        "when": sentence(written.when(result)),
        "answer": written.answer(result, says),
        "below": "".join(f"{sentence(one)}." for one in below),
        "numbers": [
            {"label": one.label, "shown": one.shown, "unit": one.unit, "below": one.below}
            for one in written.numbers(result, says)
        ],
        "maps": [one.as_object() for one in _maps(result)],
        "map_alt": Said("trial_page.map", field=plain(result.field, 60), strips=written.strips(result)).text,
        "ramp": {
            "title": Said("trial_page.ramp", unit=says.response_unit).text,
            "low": says.plain_response(cells.low_bu_ac),
            "high": says.plain_response(cells.high_bu_ac),
            "colours": palette(),
        },
        "keys": [Said(f"trial_page.{one}").text for one in ("treated", "untreated", "left_out")],
        "sprayed": sentence(written.sprayed_line(result)),
        **_marks(result, says),
        "about": [sentence(one) for one in about.about_strips(result)],
        **_beliefs(result, says),
        "costs": _costs(result, says),
        "judged": _judged(result, says),
        "cleaned": [sentence(one) for one in (about.cleaned_line(result), about.lag_line(result), *spatial)],
        "book": season_rows.book_lines(result.book),
        "lessons": [sentence(plain(one.text)) for one in result.lessons],
        "notes": [sentence(plain(one.text)) for one in result.notes],
        "cautions": [sentence(one) for one in written.cautions()[:1]],
    }


def _costs(result: TrialResult, says: TrialUnits) -> str:
    """Write the costs of a treated acre in a line; empty where none are known."""
    told = "; ".join(f"{name} {cost}" for name, cost in rows.cost_rows(result, says))
    tracks = "".join(f"; {one}" for one in written.money_lines(result, says)[1:])
    return f"{says.net_unit}: {told}{tracks}" if told else ""


def _judged(result: TrialResult, says: TrialUnits) -> list[str]:
    """Say of the decisions how many were right, and which were not."""
    line = rows.judged_line(result)
    wrong = [one.said for one in rows.judged_rows(result, says) if one.is_wrong]
    return [written.sentence(one) for one in (line, *wrong)] if line else []


def _maps(result: TrialResult) -> list[SizedMap]:
    """Draw the map in the sizes that are tried."""
    shown = ground(result).drawing
    wide_pt, _ = ROOM[paper(result.country)]
    found = []
    for share, high in zip(_MAP_WIDE_FRAC, _MAP_HIGH_PT, strict=True):
        room = share * wide_pt
        px_m = _PX_PT * max(shown.wide_m / (room - 30 * _PX_PT), shown.high_m / (high - 94 * _PX_PT))
        svg, wide_m, high_m = map_svg.static_svg(result, px_m)
        found.append(SizedMap(svg=svg, width_pt=wide_m / px_m * _PX_PT, height_pt=high_m / px_m * _PX_PT))
    return found


def _marks(result: TrialResult, says: TrialUnits) -> dict[str, Any]:
    scale = axis(result)
    whole = result.response
    money = whole.money if whole is not None else None
    pays = None
    if money is not None:
        needed = money.break_even_bu_ac
        text = f"{Said('trial_page.n_needed').text} {says.plain_response(needed)}"
        pays = {"share": scale.share(needed), "text": text}
    mean = None
    if whole is not None:
        ends = (whole.low_bu_ac, whole.mean_bu_ac, whole.high_bu_ac)
        mean = {
            "name": written.sentence(Said("trial_page.mean").text),
            "span": Said("trial_page.below_interval", span=says.span(ends[0], ends[2])).text,
            "shown": says.more(whole.mean_bu_ac),
            "shares": [scale.share(one) for one in ends],
        }
    return {
        "axis": {
            "zero": scale.share(0.0),
            "pays": pays,
            "ticks": [list(one) for one in scale.marks(says.minus)],
        },
        "mean": mean,
        "pairs": {
            "caption": f"{written.sentence(Said('trial_page.treated_less').text)}, {says.response_unit}",
            "head": ["Pair", "Treated", "Untreated", "Difference"],
            "rows": [
                {
                    "name": one.name,
                    "treated": one.treated,
                    "untreated": one.untreated,
                    "difference": one.difference,
                    "share": None if one.value is None else scale.share(one.value),
                    "why": one.why,
                }
                for one in rows.pair_rows(result, says)
            ],
        },
        "zones": _zones(result, says),
    }


def _zones(result: TrialResult, says: TrialUnits) -> dict[str, Any]:
    scale = axis(result)
    has_money = result.response is not None and result.response.money is not None
    judged = {one.zone: f"{one.action}, {one.judgement}" for one in rows.judged_rows(result, says)}
    caption = f"{written.sentence(Said('trial_page.by_zone').text)}, {says.response_unit}"
    found = []
    for one in rows.zone_rows(result, says):
        seen, mean, low, high = one.values
        found.append(
            {
                "zone": str(one.zone),
                "pairs": one.pairs,
                "seen": one.seen,
                "seen_share": scale.share(seen),
                "shares": [scale.share(value) for value in (low, mean, high)],
                "after": [
                    *(one.mean, one.span),
                    *([one.chance, one.told] if has_money else []),
                    *([judged.get(one.zone, NONE)] if judged else []),
                ],
            }
        )
    head = ["Zone", "Pairs", "Seen", "Likely", "90 %"]
    head += [*(["Chance", "Paid?"] if has_money else []), *(["Plan was"] if judged else [])]
    return {
        "caption": caption,
        "head": head,
        "left": [one in ("Paid?", "Plan was") for one in head[3:]],
        "rows": found,
        "below": ". ".join(written.sentence(one) for one in about.zones_lines(result)),
    }


def _beliefs(result: TrialResult, says: TrialUnits) -> dict[str, Any]:
    shown = []
    for one in rows.own_first(result):
        told = rows.belief_rows(one, says)
        about = Said(
            "trial_page.belief_picture",
            pressure=rows.pressure_name(one),
            unit=says.response_unit,
            **{row.kind: row.mean for row in told},
        ).text
        shown.append(
            {
                "title": written.sentence(rows.pressure_name(one)),
                "svg": Markup(belief_svg(one, result, says)),
                "alt": about,
                "rows": [_belief_row(row) for row in told],
            }
        )
    lines = [written.sentence(rows.belief_line(one, says)) for one in rows.own_first(result)]
    lines += [written.sentence(one) for one in rows.beyond_lines(result)]
    return {"beliefs": shown, "belief_lines": lines}


def _belief_row(row: rows.BeliefRow) -> dict[str, str]:
    pays = "" if row.chance == NONE else Said("trial_page.pays", chance=row.chance).text
    return {"kind": row.kind, "name": row.name, "mean": row.mean, "spread": row.spread, "chance": pays}


def pdf(result: TrialResult) -> bytes:
    """Give the sheet of a trial as a PDF.

    Parameters
    ----------
    result : TrialResult
        Any.

    Returns
    -------
    bytes
        One page, tagged as PDF/UA-1 asks for; its date is `today` of the result.
    """
    import typst

    compiler = typst.Compiler(_TEMPLATE, root=_TEMPLATE.parent.parent, font_paths=fonts())
    day = result.today
    made = compiler.compile(
        format="pdf",
        sys_inputs={"sheet": json.dumps(printable(content(result)), ensure_ascii=False)},
        pdf_standards=["ua-1"],
        timestamp=datetime(day.year, day.month, day.day, tzinfo=UTC),
    )
    return cast(bytes, made)


def write(result: TrialResult, path: Path) -> None:
    """Write the sheet of a trial.

    Parameters
    ----------
    result : TrialResult
        Any.
    path : Path
        The PDF file; the same result gives the same bytes.
    """
    path.write_bytes(pdf(result))
