"""The sheet as a PDF: tagged, its fonts inside, the same bytes for the same plan.

No text of a user becomes markup: all of it goes in as JSON, and the templates print it as it is.
"""

import json
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any, cast

from zoning import colours
from zoning.plan import Plan
from zoning.show.figures import Units, full_day, plain
from zoning.show.sheet import grower, operator
from zoning.show.sheet.look import paper, printable
from zoning.words import cautions

_TEMPLATE = Path(__file__).parent / "sheet.typ"


def content(plan: Plan) -> dict[str, Any]:
    """Give everything that stands on the sheet of a plan, for JSON.

    Parameters
    ----------
    plan : Plan
        Any level; without passes there is only the page for the grower.
    """
    written = Units(metric=plan.units == "metric")
    money = f", {written.net_unit}, {written.response_unit}" if plan.level > 1 else ""
    who = ", ".join(part for part in (plain(plan.farm, 40), plain(plan.field, 40)) if part)
    foot = [
        f"{who}, {full_day(plan.today)}; run {plan.run_id}, zones {plan.zones_id}",
        f"EPSG:{plan.epsg}; {written.area_unit}{money}",
    ]
    return {
        "paper": paper(plan.country),
        "title": f"{who}: spray sheet of {full_day(plan.today)}",
        "day": [plan.today.year, plan.today.month, plan.today.day],
        "colours": {"ink": colours.INK, "secondary": colours.SECONDARY, "hatch": colours.SKIP_HATCH},
        "foot": foot,
        "caution": cautions(plan.country)[0],
        "grower": grower.page(plan),
        "passes": operator.pages(plan),
    }


@cache
def fonts() -> Any:
    """Load the fonts once: those that come with matplotlib, and no other."""
    from matplotlib import get_data_path
    from typst import Fonts

    folder = Path(get_data_path()) / "fonts" / "ttf"
    return Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[folder])


def pdf(plan: Plan) -> bytes:
    """Give the sheet of a plan as a PDF.

    Parameters
    ----------
    plan : Plan
        Any level.

    Returns
    -------
    bytes
        Tagged as PDF/UA-1 asks for; its date is `today` of the plan.
    """
    import typst

    compiler = typst.Compiler(_TEMPLATE, root=_TEMPLATE.parent, font_paths=fonts())
    made = compiler.compile(
        format="pdf",
        sys_inputs={"sheet": json.dumps(printable(content(plan)), ensure_ascii=False)},
        pdf_standards=["ua-1"],
        timestamp=datetime(plan.today.year, plan.today.month, plan.today.day, tzinfo=UTC),
    )
    return cast(bytes, made)


def write(plan: Plan, path: Path) -> None:
    """Write the sheet of a plan.

    Parameters
    ----------
    plan : Plan
        Any level.
    path : Path
        The PDF file; the same plan gives the same bytes.
    """
    path.write_bytes(pdf(plan))
